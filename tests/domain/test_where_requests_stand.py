"""What of a request is booked, went out, and is missing: worked by hand."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import Booking, HandOverLine, MetalRequest, Where
from inventory.operations import asking, bookings, corrections, taking
from tests.domain.handed import hand_over, make_metal, pick, report
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_partner,
    make_project,
    make_request,
    make_share,
    make_vessel,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def project():
    return make_project()


def now(metal_request):
    return MetalRequest.objects.with_booked().get(pk=metal_request.pk)


def book(metal_request, mass_ug, vessel=None):
    """Return the line of a booking of so much for the request."""
    booking = make_booking(
        vessel or make_vessel(),
        mass_ug,
        project=metal_request.project,
        request=metal_request,
    )
    return booking.lines.get()


def lapse(line):
    """Let the day of a booking have passed."""
    past = timezone.localdate() - timedelta(days=1)
    Booking.objects.filter(pk=line.booking_id).update(needed_by=past, expires_on=past)


def test_a_request_stands_as_asked_then_as_granted(project):
    metal_request = make_request(project)
    assert now(metal_request).where == Where.ASKED

    asking.grant(metal_request, **signed())

    assert now(metal_request).where == Where.WAITING
    assert now(metal_request).missing_ug == 3 * G


@pytest.mark.parametrize(
    ("end", "where"),
    [("decline", Where.DECLINED), ("take_back", Where.WITHDRAWN)],
)
def test_what_was_ended_says_so_and_waits_for_nothing(project, end, where):
    metal_request = make_request(project)
    getattr(asking, end)(metal_request, reason="enough", **signed())

    assert now(metal_request).where == where
    assert not MetalRequest.objects.with_booked().waiting().exists()


def test_what_is_booked_is_missing_no_more(project):
    metal_request = make_request(project)  # 3 g

    book(metal_request, 2 * G)
    partly = now(metal_request)
    book(metal_request, 1 * G)
    whole = now(metal_request)

    assert (partly.where, partly.booked_ug, partly.missing_ug) == (
        Where.PARTLY, 2 * G, 1 * G
    )  # fmt: skip
    assert (whole.where, whole.booked_ug, whole.missing_ug) == (
        Where.BOOKED, 3 * G, 0
    )  # fmt: skip
    assert not MetalRequest.objects.with_booked().waiting().exists()


def test_a_booking_that_is_released_or_has_ended_is_missing_again(project):
    metal_request = make_request(project)
    line = book(metal_request, 3 * G)
    bookings.release(line, reason="broken", **signed())
    assert now(metal_request).where == Where.WAITING

    lapse(book(metal_request, 3 * G))

    assert now(metal_request).where == Where.EXPIRED
    assert now(metal_request).missing_ug == 3 * G


def test_what_was_taken_against_its_booking_is_served(project):
    metal_request = make_request(project)
    line = book(metal_request, 3 * G, make_vessel(holding_ug=3 * G))

    movement = take(line.vessel, line=line, settle=True)

    served = now(metal_request)
    assert (served.where, served.served_ug, served.missing_ug) == (Where.OVER, 3 * G, 0)
    corrections.correct(movement, reason="the wrong vessel", **signed())
    assert now(metal_request).served_ug == 0


# NaK at 22 °C: 874 - 0.24 (22 + 12.6) = 865.7 kg/m³ (catalogue, with its sources), so
# 3.42 mL are 2.961 g, 98.7 % of 3 g, and 3.44 mL are 2.978 g, 99.3 %.
@pytest.mark.parametrize(
    ("volume_ul", "where"), [(3_420, Where.PARTLY_OVER), (3_440, Where.OVER)]
)
def test_a_drawn_aliquot_need_not_hit_its_mass_to_the_microgram(
    project, volume_ul, where
):
    metal_request = make_request(project, symbol="NaK")
    vessel = make_vessel(make_batch("NaK"), holding_ug=9 * G)
    line = book(metal_request, 3 * G, vessel)

    taken = take(vessel, taking.Drawn(volume_ul, 10, 22.0), line=line, settle=True)

    assert taken.mass_ug < 3 * G
    assert now(metal_request).where == where


def test_metal_that_is_still_promised_has_to_be_all_of_it(project):
    metal_request = make_request(project)
    book(metal_request, 2_999_999)

    assert now(metal_request).where == Where.PARTLY


def test_what_was_handed_over_is_served_whatever_comes_back():
    partner = make_partner()
    project = make_project(partner=partner.name)
    make_share(project, partner)
    metal_request = make_request(project, "5 g", partner=partner)
    about = {"project": project, "partner": partner, "request": metal_request}
    line = make_booking(make_metal(), **about).lines.get()

    hand_over([pick(line)])

    gone = now(metal_request)
    assert gone.where == Where.OVER
    assert (gone.served_count, gone.booked_count, gone.missing_ug) == (1, 0, 0)
    report(gone_line(metal_request), used_ug=1 * G)
    assert now(metal_request).served_ug == gone.served_ug


def gone_line(metal_request):
    return HandOverLine.objects.get(booking_line__booking__request=metal_request)


def test_vessels_are_counted(project):
    metal_request = make_request(project, None, vessel_count=3)
    batch = make_batch()
    first, second = make_vessel(batch), make_vessel(batch)

    book(metal_request, None, second)
    line = book(metal_request, None, first)
    take(first, line=line, settle=True)

    counted = now(metal_request)
    assert (counted.booked_count, counted.served_count, counted.missing_count) == (
        1, 1, 1
    )  # fmt: skip
    assert counted.missing_ug is None
    assert counted.where == Where.PARTLY
    book(metal_request, None, make_vessel(batch))
    assert now(metal_request).where == Where.BOOKED


def test_more_than_was_asked_for_is_not_less_than_nothing_missing(project):
    metal_request = make_request(project)
    book(metal_request, 4 * G)

    assert now(metal_request).missing_ug == 0


def test_a_booking_for_something_else_is_not_counted(project):
    metal_request = make_request(project)
    make_booking(make_vessel(), 3 * G, project=project)

    assert now(metal_request).booked_ug == 0
