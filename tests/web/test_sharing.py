"""Projects and bookings, as a person keeps them in a browser."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import Booking, BookingLine, Project
from tests.factories import G, make_booking, make_project, make_vessel, take
from tests.web.pages import Page
from tests.web.person import (
    filled_in,
    opened,
    recorded,
    refused,
    refused_as_a_whole,
    sent_twice,
)

BOOK = "/bookings/new/"


@pytest.fixture
def vessel(shipped):
    return make_vessel()


@pytest.fixture
def wish(vessel):
    """Return what is typed to book for a new project within a week."""
    day = timezone.localdate() + timedelta(days=7)
    project = make_project(title="Films")
    return {
        "project": str(project.pk),
        "purpose": "series 4",
        "needed_by": day.isoformat(),
    }


def test_a_ticked_vessel_is_booked_with_all_that_is_free(as_keeper, vessel, wish):
    page = recorded(as_keeper, f"{BOOK}?vessel={vessel.pk}", **wish)

    line = BookingLine.objects.get()
    assert (line.vessel, line.mass_ug, line.is_whole) == (vessel, 5 * G, True)
    assert "Booked 5.000 g for Films" in page.messages
    assert vessel.code in page.main.text


def test_a_mass_books_that_much_and_leaves_the_rest_free(as_keeper, vessel, wish):
    recorded(as_keeper, f"{BOOK}?material=Rb", **wish, **{f"mass_{vessel.pk}": "2 g"})

    words = opened(as_keeper, vessel.get_absolute_url()).main.text
    assert BookingLine.objects.get().mass_ug == 2 * G
    assert "3.000 g" in words
    assert "Films" in words


def test_several_vessels_are_booked_at_once(as_keeper, vessel, wish):
    other = make_vessel(vessel.batch)

    recorded(as_keeper, f"{BOOK}?vessel={vessel.pk}&vessel={other.pk}", **wish)

    assert Booking.objects.get().lines.count() == 2


def test_metal_without_anything_free_is_said_to_have_nothing_free(as_keeper, vessel):
    make_booking(vessel)

    page = opened(as_keeper, f"{BOOK}?material=Rb")

    assert "Nothing free" in page.main.text


def test_more_than_is_free_is_refused_at_its_vessel_with_what_is(
    as_keeper, vessel, wish
):
    make_booking(vessel, 4 * G)
    field = f"mass_{vessel.pk}"

    said = refused(as_keeper, f"{BOOK}?material=Rb", field, **wish, **{field: "2 g"})

    assert (
        said == f"{vessel} has 1.000 g free: 5.000 g is left, 4.000 g of it promised."
    )


def test_a_booking_on_a_spent_vessel_is_refused_at_the_vessel(as_keeper, vessel, wish):
    take(vessel)

    said = refused(as_keeper, f"{BOOK}?vessel={vessel.pk}", f"mass_{vessel.pk}", **wish)

    assert said == f"{vessel} is spent: nothing can be booked."


def test_a_vessel_that_was_spent_while_the_form_was_open_is_refused_not_left_out(
    as_keeper, vessel, wish
):
    other = make_vessel(vessel.batch)
    at = f"{BOOK}?material=Rb"
    ticks = {f"take_{vessel.pk}": "on", f"take_{other.pk}": "on"}
    sent = filled_in(as_keeper, at, **wish, **ticks)
    take(vessel)

    page = Page(as_keeper.post(at, sent))

    assert page.status == 422
    assert list(page.wrong()) == [f"mass_{vessel.pk}"]
    assert page.typed()[f"take_{other.pk}"] == ["on"]
    assert not Booking.objects.exists()


def test_a_vessel_that_was_promised_meanwhile_is_refused_not_left_out(
    as_keeper, vessel, wish
):
    at = f"{BOOK}?material=Rb"
    sent = filled_in(as_keeper, at, **wish, **{f"take_{vessel.pk}": "on"})
    make_booking(vessel)

    page = Page(as_keeper.post(at, sent))

    assert page.status == 422
    assert list(page.wrong()) == [f"mass_{vessel.pk}"]


def test_a_booking_without_a_vessel_is_refused(as_keeper, vessel, wish):
    words = refused_as_a_whole(as_keeper, f"{BOOK}?material=Rb", **wish)

    assert "Tick at least one vessel." in words


def test_a_booking_for_a_day_that_has_passed_is_refused(as_keeper, vessel, wish):
    wish["needed_by"] = (timezone.localdate() - timedelta(days=1)).isoformat()

    said = refused(as_keeper, f"{BOOK}?vessel={vessel.pk}", "needed_by", **wish)

    assert said == "This date has passed."


@pytest.mark.parametrize("by", ["vessel={0.pk}", "material=Rb"])
def test_a_booking_sent_twice_is_recorded_once_and_says_so(as_keeper, vessel, wish, by):
    tick = {f"take_{vessel.pk}": "on"}

    page = sent_twice(as_keeper, f"{BOOK}?{by.format(vessel)}", **wish, **tick)

    assert Booking.objects.count() == 1
    assert "had been sent already" in page.messages


def test_a_released_line_is_free_again(as_keeper, vessel):
    booking = make_booking(vessel, 2 * G)
    line = booking.lines.get()

    page = recorded(
        as_keeper, f"/booking-lines/{line.pk}/release/", reason="no longer needed"
    )

    assert "Released 2.000 g" in page.messages
    assert (
        "Free 5.000 g" in opened(as_keeper, f"/vessels/{vessel.pk}/withdraw/").main.text
    )


def test_a_release_sent_twice_is_recorded_once_and_says_so(as_keeper, vessel):
    line = make_booking(vessel).lines.get()

    page = sent_twice(as_keeper, f"/booking-lines/{line.pk}/release/", reason="over")

    assert "had been sent already" in page.messages


def test_a_project_is_started_with_its_members(as_keeper, partner, shipped):
    page = recorded(
        as_keeper,
        "/projects/new/",
        title="Getter films",
        **{f"role_{partner.pk}": "lead"},
    )

    project = Project.objects.get()
    assert [m.user for m in project.memberships.all()] == [partner]
    assert page.all("h1")[0].text == "Getter films"


def test_a_changed_project_keeps_what_was_not_changed(as_keeper, partner, shipped):
    project = make_project(partner, title="Films", partner="Thin-film group")

    recorded(as_keeper, f"/projects/{project.pk}/change/", title="Getter films")

    project.refresh_from_db()
    assert project.title == "Getter films"
    assert [partner.name for partner in project.partners.all()] == ["Thin-film group"]
    assert project.memberships.get().user == partner


def test_two_projects_of_one_title_are_refused(as_keeper, shipped):
    make_project(title="Films")

    said = refused(as_keeper, "/projects/new/", "title", title="films")

    assert said == "There is a project of this title."


def test_a_project_that_ends_before_it_starts_is_refused(as_keeper, shipped):
    typed = {"title": "Films", "starts_on": "2026-05-02", "ends_on": "2026-05-01"}

    said = refused(as_keeper, "/projects/new/", "ends_on", **typed)

    assert said == "The project ends before it starts."


def test_a_project_sent_twice_is_started_once_and_says_so(as_keeper, shipped):
    page = sent_twice(as_keeper, "/projects/new/", title="Films")

    assert Project.objects.count() == 1
    assert "had been sent already" in page.messages


def test_a_project_that_metal_is_promised_to_is_not_closed(as_keeper, vessel):
    project = make_booking(vessel).project

    words = refused_as_a_whole(as_keeper, f"/projects/{project.pk}/close/")

    assert "still promised to this project" in words


def test_a_closed_project_says_so_and_takes_no_more_bookings(as_keeper, vessel, wish):
    page = recorded(as_keeper, f"/projects/{wish['project']}/close/")

    booking = opened(as_keeper, f"{BOOK}?vessel={vessel.pk}")
    assert "Closed" in page.main.text
    assert "Films" not in booking.main.text
