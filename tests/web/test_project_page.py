"""What a project's page shows: every open request, and what was really taken."""

import pytest
from django.test import Client

from inventory.operations import asking, standings
from inventory.web.views.projects import NEWEST
from tests.domain.handed import make_handed, report, take_back, weighed_back
from tests.factories import (
    G,
    make_partner,
    make_project,
    make_request,
    make_share,
    signed,
)
from tests.web.person import opened

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def listed(page):
    """Return the requests of the page in their order."""
    links = page.by_id("requests").above("section").all("a")
    return [link.text for link in links if link.text.startswith("Request ")]


def test_every_open_request_stands_first_however_many_were_answered_since(as_keeper):
    project = make_project()
    waiting = [make_request(project) for _ in range(NEWEST + 2)]
    for _ in range(NEWEST + 1):
        asking.decline(make_request(project), reason="no metal", **signed())

    found = listed(opened(as_keeper, project.get_absolute_url()))

    assert found[: len(waiting)] == [str(each) for each in waiting]
    assert len(found) == len(waiting) + NEWEST


def test_what_a_weighing_found_again_after_a_report_is_shown_and_explained(
    as_keeper, partner
):
    group = make_partner("Group A")
    project = make_project(partner, partner="Group A")
    share = make_share(project, group)
    line = make_handed(partner=group, project=project)
    report(line, 3 * G)
    take_back(line, weighed_back(line, 0, off_ug=G))

    page = opened(as_keeper, project.get_absolute_url())

    rows = page.by_id("taken").above("section").all("tr")[1:]
    cells = [[cell.text for cell in row.all("td")] for row in rows]
    (found,) = [each for each in cells if "Found again" in each[-1]]
    assert found[1] == str(line.vessel)
    assert found[3].startswith(("−1.0", "−0.99"))
    (standing,) = standings.standing(project)
    assert standing.share == share
    assert standing.used_ug == pytest.approx(2 * G, abs=0.01 * G)
    theirs = Client()
    theirs.force_login(partner)
    assert "Found again" in opened(theirs, project.get_absolute_url()).main.text


def test_another_partner_is_not_told_what_was_found_again(partner):
    group = make_partner("Group A")
    project = make_project(partner, partner="Group B")
    project.partners.add(group)
    line = make_handed(partner=group, project=project)
    report(line, 3 * G)
    take_back(line, weighed_back(line, 0, off_ug=G))
    client = Client()
    client.force_login(partner)

    assert "Found again" not in opened(client, project.get_absolute_url()).main.text


def test_a_return_without_a_report_finds_nothing_again(as_keeper):
    group = make_partner("Group A")
    project = make_project(partner="Group A")
    line = make_handed(partner=group, project=project)
    take_back(line, weighed_back(line, 2 * G))

    words = opened(as_keeper, project.get_absolute_url()).main.text

    assert "Found again" not in words
    assert "2.000" in words
