"""Organisations that metal is shared with, and who of them sees what."""

import pytest

from inventory.models import Booking, BookingLine, Partner, Project
from inventory.operations import partners, people, projects
from inventory.operations.projects import Member
from tests.domain.records import refused
from tests.factories import (
    G,
    make_booking,
    make_partner,
    make_project,
    make_vessel,
    signed,
    somebody,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

FACTS = {"name": "Thin films", "address": "", "email": "", "note": ""}


def test_an_organisation_is_added_and_changed():
    made = partners.add(FACTS, **signed())

    partners.change(made, {**FACTS, "email": "films@example.org"}, **signed())

    kept = Partner.objects.get()
    assert (kept.name, kept.email) == ("Thin films", "films@example.org")


@pytest.mark.parametrize("again", ["Thin films", "THIN FILMS"])
def test_two_organisations_of_one_name_are_refused(again):
    make_partner("Thin films")
    other = make_partner("Zeolites")
    somebody()

    with refused("There is a partner of this name.", "name"):
        partners.add({**FACTS, "name": again}, **signed())
    with refused("There is a partner of this name.", "name"):
        partners.change(other, {**FACTS, "name": again}, **signed())


def test_an_organisation_keeps_its_own_name():
    made = make_partner("thin films")

    assert partners.change(made, FACTS, **signed()).name == "Thin films"


def test_an_e_mail_address_stays_unless_another_one_is_given():
    user = people.add(
        username="ada", role="reader", password="x", email="a@example.org", **signed()
    )

    kept = people.change(user, role="reader", is_active=True, **signed())
    assert kept.email == "a@example.org"
    gone = people.change(user, role="reader", is_active=True, email="", **signed())
    assert gone.email == ""


def shared_project(user):
    """Return a project of two partners that `user` is in for the first of them."""
    ours, others = make_partner("Thin films"), make_partner("Zeolites")
    project = projects.start(
        facts={"title": "Getters"},
        partners=[ours, others],
        members=[Member(user, partner=ours)],
        **signed(),
    )
    return project, ours, others


def test_a_partner_sees_bookings_of_its_own_organisation_and_of_the_whole(partner):
    project, ours, others = shared_project(partner)
    theirs = make_booking(make_vessel(), G, project=project, partner=ours)
    of_all = make_booking(make_vessel(), 2 * G, project=project)
    hidden = make_booking(make_vessel(), 4 * G, project=project, partner=others)
    make_booking(make_vessel(), project=make_project(partner=ours), partner=ours)

    seen = Booking.objects.visible_to(partner)
    vessels = BookingLine.objects.offered_to(partner)
    (listed,) = Project.objects.visible_to(partner).with_promised(partner)

    assert set(seen) == {theirs, of_all}
    assert hidden.lines.get().vessel_id not in {row["vessel"] for row in vessels}
    assert listed.open_ug == 3 * G


def test_a_member_of_no_organisation_sees_only_what_is_for_the_whole(partner):
    project = make_project(partner, title="Getters")
    project.partners.add(ours := make_partner())
    make_booking(make_vessel(), project=project, partner=ours)
    of_all = make_booking(make_vessel(), project=project)

    assert list(Booking.objects.visible_to(partner)) == [of_all]


def test_people_of_the_house_see_every_booking(reader):
    project, ours, _ = shared_project(reader)
    booking = make_booking(make_vessel(), project=project, partner=ours)

    assert list(Booking.objects.visible_to(reader)) == [booking]
    assert Project.objects.with_promised(somebody()).get().open_ug == 5 * G
