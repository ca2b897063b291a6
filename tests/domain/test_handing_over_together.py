"""Several promises of one vessel to one partner leave with it together."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import BookingLine, MetalRequest
from tests.domain.handed import hand_over, make_line, make_metal, pick
from tests.domain.records import refused
from tests.factories import (
    G,
    make_booking,
    make_partner,
    make_project,
    make_request,
    make_share,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def theirs():
    partner = make_partner("Group A")
    return {"partner": partner, "project": make_project(partner=partner)}


@pytest.fixture
def vessel(shipped):
    return make_metal()


def test_promises_that_are_all_of_a_vessel_are_handed_over_together(vessel, theirs):
    lines = [
        pick(make_line(vessel, 2 * G, **theirs)),
        pick(make_line(vessel, **theirs)),
    ]

    made = hand_over(lines)

    handed = made.lines.get()
    assert (handed.vessel, handed.mass_ug) == (vessel, vessel.remaining_ug)
    assert "in 1 vessel over to Group A" in made.entry.summary
    assert not BookingLine.objects.open().exists()
    for line in lines:
        line.refresh_from_db()
        assert line.closed_by == handed.entry


def test_one_of_two_promises_of_a_vessel_does_not_take_it_away(vessel, theirs):
    line = pick(make_line(vessel, 2 * G, **theirs))
    pick(make_line(vessel, **theirs))

    with refused(
        f"2.000 g of the {vessel.remaining_ug / G:.3f} g in {vessel} is promised. Draw "
        "the aliquot into a vessel of its own first, or withdraw it.",
        f"line_{line.pk}",
    ):
        hand_over([line])


def test_promises_that_leave_metal_for_others_are_not_enough_together(vessel, theirs):
    lines = [pick(make_line(vessel, G, **theirs)) for _ in range(2)]

    with refused(
        f"2.000 g of the {vessel.remaining_ug / G:.3f} g in {vessel} is promised. Draw "
        "the aliquot into a vessel of its own first, or withdraw it.",
        f"line_{lines[0].pk}",
    ):
        hand_over(lines)


def test_a_vessel_promised_for_several_requests_is_drawn_for_each(vessel, theirs):
    make_share(**theirs)
    lines = [
        pick(make_line(vessel, mass_ug, request=make_request(**theirs), **theirs))
        for mass_ug in (2 * G, None)
    ]

    with refused(
        f"{vessel} is promised for several requests. Draw an aliquot for each into a "
        "vessel of its own first.",
        f"line_{lines[0].pk}",
    ):
        hand_over(lines)


def test_the_request_among_promises_that_leave_together_is_served(vessel, theirs):
    make_share(**theirs)
    request = make_request(**theirs)
    lines = [
        pick(make_line(vessel, 2 * G, **theirs)),
        pick(make_line(vessel, request=request, **theirs)),
    ]

    hand_over(lines)

    now = MetalRequest.objects.with_booked().get()
    assert (now.served_ug, now.missing_ug) == (vessel.remaining_ug, 0)


def test_only_what_no_booking_put_to_the_share_is_held_to_it_anew(vessel, theirs):
    # Some 5 g: 2 g are promised out of the share of 5.1 g, and the rest fits.
    make_share(**theirs, mass_ug=int(5.1 * G))
    lines = [
        pick(make_line(vessel, 2 * G, **theirs)),
        pick(make_booking(vessel, project=theirs["project"]).lines.get()),
    ]

    assert hand_over(lines, **theirs).lines.count() == 1


def test_a_vessel_of_several_promises_comes_back_once(vessel, theirs):
    lines = [
        pick(make_line(vessel, 2 * G, **theirs)),
        pick(make_line(vessel, **theirs)),
    ]
    soon, later = (timezone.localdate() + timedelta(days=days) for days in (7, 8))

    with refused(
        f"{vessel} comes back once: write the same day and mass at each of its lines, "
        "or leave one empty.",
        f"return_{lines[1].pk}",
    ):
        hand_over(lines, returns={lines[0].pk: (soon, G), lines[1].pk: (later, G)})

    made = hand_over(lines, returns={lines[1].pk: (later, G)})
    assert made.lines.get().return_by == later
