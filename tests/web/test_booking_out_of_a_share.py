"""Booking out of a share, and beyond it."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from inventory.models import Booking
from tests.domain.handed import make_line
from tests.factories import (
    G,
    make_partner,
    make_project,
    make_share,
    make_vessel,
)
from tests.web.person import (
    opened,
    recorded,
    refused,
)

pytestmark = pytest.mark.usefixtures("shipped")

BOOK = "/bookings/new/"


@pytest.fixture
def films():
    return make_partner("Thin films")


@pytest.fixture
def project(films, partner):
    return make_project(partner, partner=films, title="Getters")


@pytest.fixture
def share(project, films):
    return make_share(project, films, mass_ug=10 * G)


@pytest.fixture
def wish(project, films):
    """Return what is typed to book for the partner within a week."""
    day = timezone.localdate() + timedelta(days=7)
    about = {"project": str(project.pk), "partner": str(films.pk)}
    return {**about, "purpose": "series 4", "needed_by": day.isoformat()}


def as_user(user):
    client = Client()
    client.force_login(user)
    return client


def test_a_booking_names_its_partner_and_holds_until_a_day(as_keeper, share, wish):
    vessel, day = make_vessel(), timezone.localdate() + timedelta(days=9)

    page = recorded(
        as_keeper,
        f"{BOOK}?vessel={vessel.pk}",
        **wish,
        **{f"take_{vessel.pk}": "on", "expires_on": day.isoformat()},
    )

    booking = Booking.objects.get()
    assert (booking.partner, booking.expires_on) == (share.partner, day)
    assert page.facts["Partner"] == "Thin films"
    (row,) = opened(as_keeper, share.project.get_absolute_url()).table_under("bookings")
    assert row[1] == "Thin films"
    assert row[5] == f"{day:%-d %b %Y}"


def test_a_booking_holds_two_weeks_longer_than_needed_unless_told(
    as_keeper, share, wish
):
    vessel = make_vessel()

    recorded(as_keeper, f"{BOOK}?vessel={vessel.pk}", **wish)

    booking = Booking.objects.get()
    assert booking.expires_on - booking.needed_by == timedelta(days=14)


def test_a_booking_that_ends_before_it_is_needed_is_refused(as_keeper, share, wish):
    vessel, day = make_vessel(), timezone.localdate() + timedelta(days=6)
    end = {"expires_on": day.isoformat()}

    at = f"{BOOK}?vessel={vessel.pk}"
    said = refused(as_keeper, at, "expires_on", **wish, **end)

    assert said == "The promise would end before the metal is needed."


def test_a_partner_of_another_project_is_refused(as_keeper, wish):
    other = make_partner("Zeolites")
    make_project(partner=other)
    vessel = make_vessel()
    wish["partner"] = str(other.pk)

    said = refused(as_keeper, f"{BOOK}?vessel={vessel.pk}", "partner", **wish)

    assert said == "Zeolites is no partner of this project."


def test_the_only_partner_of_a_chosen_project_is_filled_in(as_keeper, project, films):
    vessel = make_vessel()

    at = f"{BOOK}?vessel={vessel.pk}&project={project.pk}"

    assert opened(as_keeper, at).typed()["partner"] == [str(films.pk)]
    assert opened(as_keeper, f"{BOOK}?vessel={vessel.pk}&project=x").typed()[
        "partner"
    ] == [""]


def test_beyond_the_share_the_keeper_is_asked_why_and_then_books(
    as_keeper, share, wish
):
    vessel = make_vessel(holding_ug=12 * G, capacity_ul=40_000)
    at, tick = f"{BOOK}?vessel={vessel.pk}", {f"take_{vessel.pk}": "on"}
    assert "beyond_share" not in opened(as_keeper, at).typed()

    said = refused(as_keeper, at, "beyond_share", **wish)
    assert said.startswith("Thin films has 10.000 g free of its share")
    assert not Booking.objects.exists()

    sent = {**opened(as_keeper, at).typed(), **wish, **tick}
    answer = as_keeper.post(at, {**sent, "beyond_share": "the last of the batch"})
    page = opened(as_keeper, answer["Location"])
    assert Booking.objects.get().beyond_share == "the last of the batch"
    assert page.facts["Beyond the share"] == "the last of the batch"


def test_why_the_share_was_exceeded_is_not_the_partner_s_to_read(partner, share):
    vessel = make_vessel(holding_ug=12 * G, capacity_ul=40_000)
    about = {"partner": share.partner, "project": share.project}
    line = make_line(vessel, beyond_share="a matter of ours", **about)

    page = opened(as_user(partner), line.booking.get_absolute_url())

    assert "a matter of ours" not in page.main.text
