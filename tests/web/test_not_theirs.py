"""What is not a partner's is answered as what does not exist, and is logged."""

import pytest
from django.test import Client

from tests.factories import make_booking, make_partner, make_project, make_vessel
from tests.web.addresses import PAGES, address
from tests.web.answers import ROLES
from tests.web.pages import Page

OF_OTHERS = {
    key: row
    for key, row in PAGES.items()
    if row[2][ROLES.index("partner")] == 404 and row[2][ROLES.index("reader")] == 200
}


def refusals(caplog):
    return [r.getMessage() for r in caplog.records if r.name == "inventory.access"]


def as_(user):
    client = Client()
    client.force_login(user)
    return client


def test_there_are_addresses_of_others_to_try():
    assert {"project", "booking", "batch", "attachment"} <= {
        name for name, _ in OF_OTHERS
    }


@pytest.mark.parametrize("key", OF_OTHERS, ids=" ".join)
def test_each_address_of_others_answers_404_and_is_logged(key, lab, partner, caplog):
    arguments, query, _ = PAGES[key]
    at = address(key[0], arguments, query, lab)

    answer = as_(partner).get(at)

    assert answer.status_code == 404
    assert refusals(caplog) == [
        f"the-partner (partner) asked for {at}, which is not theirs."
    ]


@pytest.mark.parametrize(
    "at", ["/projects/9999/", "/bookings/9999/", "/batches/XX99Z/", "/B/XX99Z/01"]
)
def test_what_does_not_exist_is_no_trespass(at, lab, partner, caplog):
    assert as_(partner).get(at).status_code == 404
    assert refusals(caplog) == []


def test_what_is_not_theirs_reads_like_what_does_not_exist(lab, partner):
    client = as_(partner)

    theirs_not = Page(client.get(lab.foreign.get_absolute_url()))
    nowhere = Page(client.get("/projects/9999/"))

    assert theirs_not.main.text == nowhere.main.text


def test_a_scanned_label_of_others_is_logged(lab, partner, caplog):
    for at in (f"/B/{lab.foreign_batch}/01", f"/B/{lab.batch}/02"):
        assert as_(partner).get(at).status_code == 404

    assert len(refusals(caplog)) == 2


def test_inside_people_are_never_logged(lab, reader, caplog):
    as_(reader).get(lab.foreign.get_absolute_url())
    as_(reader).get("/projects/9999/")

    assert refusals(caplog) == []


def test_bookings_for_another_partner_of_the_same_project_are_not_theirs(
    shipped, partner, caplog
):
    own, other = make_partner(), make_partner()
    project = make_project(partner, partner=own)
    project.partners.add(other)
    mine = make_booking(make_vessel(), project=project, partner=own)
    everybody_s = make_booking(make_vessel(), project=project)
    foreign = make_booking(make_vessel(), project=project, partner=other)
    client = as_(partner)

    answers = [
        client.get(booking.get_absolute_url()).status_code
        for booking in (mine, everybody_s, foreign)
    ]

    assert answers == [200, 200, 404]
    assert len(refusals(caplog)) == 1
