"""Promises: never more than is free, released or served once."""

from datetime import timedelta

import pytest
from django.db import IntegrityError
from django.utils import timezone
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.models import Booking
from inventory.operations import bookings, ledger, projects, vessels
from inventory.operations.errors import NotEnough, OperationError
from tests.domain.records import on_record, refused
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_project,
    make_tared,
    make_vessel,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def book(project, *wishes, **facts):
    facts = {"purpose": "a run", "needed_by": timezone.localdate(), **facts}
    return bookings.book(project, wishes=wishes, **facts, **signed())


def free(vessel):
    return ledger.read(vessel.pk).free_ug


def test_what_is_booked_is_no_longer_free():
    vessel = make_vessel(holding_ug=5 * G)

    make_booking(vessel, 2 * G)
    make_booking(vessel, 1 * G)

    now = ledger.read(vessel.pk)
    assert (now.remaining_ug, now.promised_ug, now.free_ug) == (5 * G, 3 * G, 2 * G)


def test_booking_without_a_mass_promises_all_that_is_free():
    vessel = make_vessel(holding_ug=5 * G)
    make_booking(vessel, 2 * G)

    line = make_booking(vessel, None).lines.get()

    assert line.mass_ug == 3 * G
    assert not line.is_whole
    assert free(vessel) == 0


def test_booking_all_of_an_untouched_vessel_promises_the_whole_vessel():
    vessel = make_vessel(holding_ug=5 * G)

    assert make_booking(vessel, None).lines.get().is_whole


def test_one_booking_may_promise_from_several_vessels():
    first, second = make_vessel(), make_vessel()

    booking = book(make_project(), (second, 2 * G), (first, None))

    assert {line.vessel: line.mass_ug for line in booking.lines.all()} == {
        first: 5 * G,
        second: 2 * G,
    }
    assert "7.000 g" in booking.entry.summary


def test_booking_for_today_is_not_too_late():
    booking = book(make_project(), (make_vessel(), None))

    assert booking.needed_by == timezone.localdate()


def test_more_than_is_free_is_refused_with_the_numbers():
    vessel, project = make_vessel(holding_ug=5 * G), make_project()
    make_booking(vessel, 4 * G)

    with refused(
        f"{vessel} has 1.000 g free: 5.000 g is left, 4.000 g of it promised.",
        f"mass_{vessel.pk}",
    ) as refusal:
        book(project, (vessel, G + 1))

    assert isinstance(refusal.value, NotEnough)
    assert (refusal.value.wanted_ug, refusal.value.available_ug) == (G + 1, G)


def test_nothing_free_is_refused_also_without_a_mass():
    vessel, project = make_vessel(holding_ug=5 * G), make_project()
    make_booking(vessel)

    with refused(
        f"{vessel} has 0 g free: 5.000 g is left, 5.000 g of it promised.",
        f"mass_{vessel.pk}",
    ):
        book(project, (vessel, None))


def test_one_wish_too_many_refuses_the_whole_booking():
    good, spent, project = make_vessel(), make_vessel(), make_project()
    take(spent)

    with refused(f"{spent} is spent: nothing can be booked.", f"mass_{spent.pk}"):
        book(project, (good, G), (spent, G))

    assert free(good) == 5 * G


def test_one_vessel_twice_in_one_booking_is_not_promised_twice():
    vessel, project = make_vessel(holding_ug=5 * G), make_project()
    before = on_record()

    with pytest.raises((IntegrityError, OperationError)):
        book(project, (vessel, 3 * G), (vessel, 3 * G))

    assert on_record() == before


def test_a_vessel_that_was_never_filled_cannot_be_booked():
    vessel, project = make_tared(make_batch()), make_project()

    with refused(
        f"{vessel} is not filled yet: nothing can be booked.", f"mass_{vessel.pk}"
    ):
        book(project, (vessel, G))


def test_a_retired_vessel_cannot_be_booked():
    vessel, project = make_vessel(), make_project()
    take(vessel)
    vessels.retire(vessel, reason="washed", **signed())

    with refused(f"{vessel} is retired: nothing can be booked.", f"mass_{vessel.pk}"):
        book(project, (vessel, G))


def test_a_date_that_has_passed_is_refused():
    vessel, project = make_vessel(), make_project()
    yesterday = timezone.localdate() - timedelta(days=1)

    with refused("This date has passed.", "needed_by"):
        book(project, (vessel, G), needed_by=yesterday)


def test_a_booking_of_nothing_is_refused():
    project = make_project()

    with refused("Choose at least one vessel."):
        book(project)


def test_a_closed_project_gets_no_promises():
    vessel, project = make_vessel(), make_project()
    projects.close(project, **signed())

    with refused("This project is closed."):
        book(project, (vessel, G))


def test_a_released_promise_is_free_again():
    vessel = make_vessel(holding_ug=5 * G)
    line = make_booking(vessel, 2 * G).lines.get()

    released = bookings.release(line, reason="not needed", **signed())

    assert free(vessel) == 5 * G
    assert released.closed_by.verb == "release"
    assert "2.000 g" in released.closed_by.summary
    assert not Booking.objects.with_open().get().is_open


def test_a_promise_is_released_once():
    line = make_booking(make_vessel(), G).lines.get()
    bookings.release(line, reason="not needed", **signed())

    with refused("This promise is closed already."):
        bookings.release(line, reason="not needed", **signed())


def test_a_promise_that_was_served_is_not_released():
    vessel = make_vessel()
    line = make_booking(vessel).lines.get()
    take(vessel, line=line)

    with refused("This promise is closed already."):
        bookings.release(line, reason="not needed", **signed())


@settings(
    max_examples=15,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(
    wishes=st.lists(st.integers(min_value=1, max_value=3 * G), min_size=1, max_size=8)
)
def test_free_is_what_is_left_less_what_is_promised_and_never_below_nothing(wishes):
    vessel, promised = make_vessel(holding_ug=5 * G), 0

    for wish in wishes:
        if wish <= 5 * G - promised:
            make_booking(vessel, wish)
            promised += wish
        else:
            with pytest.raises(NotEnough):
                make_booking(vessel, wish)

        assert free(vessel) == 5 * G - promised >= 0
