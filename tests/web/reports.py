"""Reading a project's report as a page, as tables and as a workbook."""

import csv
from io import BytesIO, StringIO

from openpyxl import load_workbook

from inventory.operations import shares
from tests.domain.handed import make_metal, report, take_back, weighed_back
from tests.domain.reported import MG, give, received, stated
from tests.factories import (
    G,
    make_batch,
    make_laboratory,
    make_project,
    signed,
    take,
)
from tests.web.pages import Page

NAMES = ("given", "returns", "batches", "shares", "totals")


def make_reported(group):
    """Return a project of a partner with a share, two vessels given, one of them back again."""
    make_laboratory()
    made = make_project(title="Getter films", partner=group.name)
    batch = make_batch("Rb", purity=0.998)
    shares.set_share(
        made,
        group,
        batch.material,
        facts={"mass_ug": 20 * G, "smallest_purity": 0.99},
        **signed(),
    )
    weighed, poured = make_metal(batch), stated(batch, holding_ug=7 * G, u_ug=4 * MG)
    first, second = give(made, group, weighed, poured)
    take_back(first, weighed_back(first, 2 * G), note="one break-seal left")
    report(second, 3 * G, u_ug=200 * MG)
    take(stated(batch), received(G, MG), project=made)
    return made


def at(project, end="", **asked):
    query = "&".join(f"{name}={value}" for name, value in asked.items())
    return f"/projects/{project.pk}/report/{end}" + (f"?{query}" if query else "")


def paper(project):
    return f"/labels/projects/{project.pk}/report.pdf"


def page_of(client, project, **asked):
    return Page(client.get(at(project, **asked)))


def table(client, project, name, **asked):
    """Return one table as a spreadsheet reads it from CSV."""
    answer = client.get(at(project, f"{name}.csv", **asked))
    assert answer["Content-Type"].startswith("text/csv")
    assert (
        f'filename="project-{project.pk}-{name}.csv"' in (answer["Content-Disposition"])
    )
    return list(csv.reader(StringIO(answer.text)))


def book(client, project, **asked):
    answer = client.get(at(project, "workbook.xlsx", **asked))
    assert (
        f'filename="project-{project.pk}-report.xlsx"'
        in (answer["Content-Disposition"])
    )
    return load_workbook(BytesIO(answer.content))
