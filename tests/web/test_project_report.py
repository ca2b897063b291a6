"""A project's report: page, tables and paper say the same, to whom it is theirs."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.calc.units import show_mass
from inventory.operations import reporting
from tests.domain.handed import report
from tests.domain.reported import MG, give, received, stated
from tests.factories import (
    G,
    make_batch,
    make_laboratory,
    make_partner,
    make_project,
    take,
)
from tests.web.pages import Page
from tests.web.printing import refused, said
from tests.web.reports import NAMES, at, book, make_reported, page_of, paper, table

pytestmark = pytest.mark.usefixtures("shipped")


@pytest.fixture
def group(shipped):
    return make_partner("Group A")


@pytest.fixture
def project(group):
    return make_reported(group)


def as_csv(value):
    """Return what CSV says for a cell of the workbook."""
    if value is None:
        return ""
    if isinstance(value, date):
        return f"{value:%Y-%m-%d}"
    return value


def test_page_and_paper_say_each_mass_with_its_uncertainty(as_keeper, project):
    found = reporting.of(project)
    page = page_of(as_keeper, project).main.text
    printed = said(as_keeper, paper(project))

    masses = [(row.mass_ug, row.u_ug) for row in found.given]
    masses += [(row.used_ug, row.u_ug) for row in found.returns]
    masses += [(row.given_ug, row.u_given_ug) for row in found.batches]
    masses += [(row.given_ug, row.u_given_ug) for row in found.totals]
    masses += [(row.used_ug, row.u_used_ug) for row in found.totals]
    assert len(masses) == 3 + 2 + 1 + 2 + 2
    for mass in masses:
        assert show_mass(*mass) in page
        assert show_mass(*mass) in printed


def test_page_csv_workbook_and_paper_have_the_same_rows(as_keeper, project):
    page, sheets = page_of(as_keeper, project), book(as_keeper, project)
    printed = said(as_keeper, paper(project))

    assert sheets.sheetnames == ["about", *NAMES]
    for name in NAMES:
        heads, *rows = table(as_keeper, project, name)
        first, *cells = sheets[name].iter_rows(values_only=True)
        assert list(first) == heads
        assert len(cells) == len(rows) == len(page.table_under(name))
        for cell, row in zip(cells, rows, strict=True):
            for value, text in zip(cell, row, strict=True):
                if isinstance(value, int | float):
                    assert float(text) == value
                else:
                    assert text == as_csv(value)
    for row in table(as_keeper, project, "given")[1:]:
        assert printed.count(row[2]) >= 1
        assert row[2] in page.main.text


def test_numbers_of_the_workbook_are_numbers_in_grams_and_days_are_days(
    as_keeper, project
):
    heads, *rows = book(as_keeper, project)["given"].iter_rows(values_only=True)
    poured = next(row for row in rows if row[heads.index("Mass (g)")] == 7)

    row = dict(zip(heads, poured, strict=True))

    # 7 g, stated with u = 4 mg: U = 8 mg.
    assert row["U (g, k = 2)"] == 0.008
    assert row["Purity of the batch (%)"] == pytest.approx(99.8)
    assert row["Date"].date() == timezone.localdate() - timedelta(days=1)
    assert row["Source"] == "stated, not measured"


def test_what_a_partner_reported_is_marked_as_not_measured(as_keeper, project):
    page = page_of(as_keeper, project)

    rows = table(as_keeper, project, "returns")

    assert [row[8] for row in rows[1:]] == ["reported, not measured", "measured"]
    assert page.table_under("returns")[0][3:6] == [
        "Use reported",
        "3.00 g ± 0.40 g (k = 2)",
        "Reported, not measured",
    ]
    assert "Use reported 3.00 g ± 0.40 g (k = 2) reported, not measured" in said(
        as_keeper, paper(project)
    )


def test_it_says_how_the_uncertainty_of_a_sum_was_combined(as_keeper, project):
    assert reporting.COMBINED in page_of(as_keeper, project).main.text
    assert reporting.COMBINED in said(as_keeper, paper(project))
    about = dict(book(as_keeper, project)["about"].iter_rows(values_only=True))
    assert about["Sums"] == reporting.COMBINED
    assert about["Project"] == "Getter films"


# What a spreadsheet takes for the start of a formula: OWASP, CSV Injection.
@pytest.mark.parametrize("start", ["=", "+", "-", "@"])
def test_text_that_a_spreadsheet_would_take_for_a_formula_is_disarmed(as_keeper, start):
    name = f"{start}1+1"
    project = make_project(title=name, partner=name)
    give(project, make_partner(name), stated())

    rows = table(as_keeper, project, "given")
    sheets = book(as_keeper, project)

    assert rows[1][1] == f"'{name}"
    cells = [cell for sheet in sheets for row in sheet.rows for cell in row]
    assert "f" not in {cell.data_type for cell in cells}
    assert sheets["given"]["B2"].value == f"'{name}"
    assert sheets["about"]["B2"].value == f"'{name}"


def test_characters_that_no_workbook_takes_are_left_out(as_keeper, group):
    project = make_project(partner=group.name)
    take(stated(), received(G, MG), project=project, purpose="bell \x07 rung")

    assert book(as_keeper, project)["given"]["L2"].value == "bell  rung"


def test_only_the_days_asked_for_are_shown_and_the_files_keep_to_them(
    as_keeper, project
):
    today = timezone.localdate()

    page = page_of(as_keeper, project, since=today)

    handed = [row for row in page.table_under("given") if "handed over" in row[5]]
    assert handed == []
    query = f"?since={today}"
    for link in page.links:
        if "report" in link and link != at(project):
            assert link.endswith(query), link
    assert len(table(as_keeper, project, "given", since=today)) == 2
    about = dict(book(as_keeper, project, since=today)["about"].values)
    assert about["Period"] == f"since {today:%-d %b %Y}"
    assert f"Period since {today:%-d %b %Y}" in said(
        as_keeper, f"{paper(project)}{query}"
    )


@pytest.mark.parametrize("end", ["", "given.csv", "workbook.xlsx"])
def test_a_period_that_ends_before_it_starts_is_refused_at_its_field(
    as_keeper, project, end
):
    page = Page(as_keeper.get(at(project, end, since="2026-03-20", until="2026-03-19")))

    assert page.status == 422
    assert page.wrong() == {"until": "The period ends before it starts."}
    assert page.by_id("totals") is None


def test_days_that_are_none_are_refused_on_paper_too(as_keeper, project):
    page = refused(as_keeper, paper(project), since="2026-13-01")

    assert page.wrong() == {"since": "Enter a valid date."}


def test_a_table_that_is_none_is_not_found(as_keeper, project):
    assert as_keeper.get(at(project, "people.csv")).status_code == 404


def test_a_project_without_metal_says_so(as_keeper):
    project = make_project()
    make_laboratory()

    page = page_of(as_keeper, project).main.text

    assert "No metal was given." in page
    assert "No metal was handed over or withdrawn." in page
    assert "Nothing came back or was reported used." in page
    assert "No share is agreed." in page
    assert len(table(as_keeper, project, "given")) == 1
    assert book(as_keeper, project)["totals"].max_row == 1
    assert "No metal was handed over." in said(as_keeper, paper(project))


def test_there_is_no_paper_before_the_laboratory_is_named(as_keeper):
    page = refused(as_keeper, paper(make_project()))

    assert "name, address and telephone first" in page.main.text


def test_the_projects_page_leads_to_the_report_and_that_to_its_files(
    as_keeper, project
):
    assert at(project) in Page(as_keeper.get(f"/projects/{project.pk}/")).links

    links = page_of(as_keeper, project).links

    for link in (paper(project), at(project, "workbook.xlsx")):
        assert link in links
    for name in NAMES:
        assert at(project, f"{name}.csv") in links


def test_twenty_vessels_cost_no_more_queries_than_two(as_keeper, project, group):
    def questions():
        counts = []
        for address in (
            at(project),
            at(project, "given.csv"),
            at(project, "workbook.xlsx"),
            paper(project),
        ):
            with CaptureQueriesContext(connection) as asked:
                answer = as_keeper.get(address)
                assert answer.status_code == 200
                answer.close()
            counts.append(len(asked))
        return counts

    questions()
    few = questions()
    batch = make_batch("Cs", purity=0.99)
    lines = give(project, group, *(stated(batch) for _ in range(18)))
    for line in lines[:9]:
        report(line, G)

    assert questions() == few
