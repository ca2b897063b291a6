"""Who is shown which part of a project's report."""

import logging

import pytest

from inventory.models import Membership
from tests.domain.reported import give, stated
from tests.factories import (
    G,
    make_partner,
)
from tests.web.printing import said
from tests.web.reports import NAMES, at, book, make_reported, page_of, paper, table

pytestmark = pytest.mark.usefixtures("shipped")

ACCESS = "inventory.access"


@pytest.fixture
def group(shipped):
    return make_partner("Group A")


@pytest.fixture
def project(group):
    return make_reported(group)


def test_a_partner_sees_the_part_of_their_own_organisation_alone(
    client, partner, project, group
):
    used_here = project.movements.get(booking_line=None, returned=None)
    others = make_partner("Group B")
    project.partners.add(others)
    (theirs,) = give(project, others, stated(holding_ug=9 * G))
    Membership.objects.create(project=project, user=partner, partner=group)
    client.force_login(partner)

    page = page_of(client, project)
    printed = said(client, paper(project))
    everything = [
        page.main.text,
        printed,
        *(str(table(client, project, name)) for name in NAMES),
        str([list(sheet.values) for sheet in book(client, project)]),
    ]

    assert len(page.table_under("given")) == 2
    for each in everything:
        assert "Group B" not in each
        assert theirs.vessel.code not in each
        assert used_here.from_vessel.code not in each
    assert not any(link.startswith("/vessels/") for link in page.links)


def test_a_partner_of_no_organisation_is_told_why_there_is_nothing(
    client, partner, project
):
    Membership.objects.create(project=project, user=partner)
    client.force_login(partner)

    page = page_of(client, project)

    assert "You belong to no organisation in this project." in page.main.text
    assert "No metal was given." in page.main.text


def test_another_projects_report_is_not_found_and_the_try_is_logged(
    client, partner, project, caplog
):
    client.force_login(partner)
    with caplog.at_level(logging.WARNING, logger=ACCESS):
        for address in (at(project), at(project, "workbook.xlsx"), paper(project)):
            assert client.get(address).status_code == 404

    logged = [row.getMessage() for row in caplog.records if row.name == ACCESS]
    assert len(logged) == 3
    assert logged[-1] == (
        f"{partner} (partner) asked for {paper(project)}, which is not theirs."
    )
