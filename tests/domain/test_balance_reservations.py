"""A reading that its balance's record speaks against counts, with that on record."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import Weighing
from inventory.operations import checking, vessels
from tests.domain.taken import weighed
from tests.factories import (
    ML,
    ROOM,
    G,
    expected_reading,
    fill,
    make_balance,
    make_batch,
    make_tared,
    make_weighed_vessel,
    observe,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def reservations(vessel):
    """Return {purpose: reservation} of the vessel's readings."""
    return dict(vessel.weighings.values_list("purpose", "reservation"))


def small(**facts):
    return make_balance(name="Small balance", capacity_ug=22 * G, **facts)


def yesterday():
    return timezone.localdate() - timedelta(days=1)


def overdue():
    return make_balance(name="Old balance", due_on=yesterday())


def test_a_good_balance_leaves_nothing_to_note():
    vessel = make_weighed_vessel()

    assert reservations(vessel) == {"tare": "", "gross": ""}


def test_a_tare_above_what_the_balance_carries_is_noted():
    heavy = observe(22 * G + 1, balance=small())

    (vessel,) = vessels.tare([vessels.Empty("bottle", ML, heavy, "A 7")], **signed())

    assert reservations(vessel) == {
        "tare": "above the 22.000 g that Small balance carries"
    }


def test_a_reading_of_all_that_the_balance_carries_is_not_noted():
    full = observe(22 * G, balance=small())

    (vessel,) = vessels.tare([vessels.Empty("bottle", ML, full, "A 7")], **signed())

    assert reservations(vessel) == {"tare": ""}


def test_a_tare_read_again_above_what_the_balance_carries_is_noted():
    vessel = make_tared(make_batch(), tare_ug=23 * G)

    again = vessels.tare_again(vessel, observe(23 * G, balance=small()), **signed())

    assert again.reservation == "above the 22.000 g that Small balance carries"


def test_a_gross_above_what_the_balance_carries_is_noted_and_counts():
    vessel = make_tared(make_batch(), tare_ug=20 * G)

    movement = fill(vessel, gross=observe(25 * G, gas="argon", balance=small()))

    assert movement.heavy.reservation.startswith("above the 22.000 g")
    assert movement.mass_ug == pytest.approx(5 * G, rel=1e-3)


def test_each_reading_of_a_taking_is_noted_by_itself():
    vessel = make_weighed_vessel(gain_ug=5 * G)

    take(vessel, weighed(25 * G, 21 * G, balance=small(), **ROOM))

    noted = reservations(vessel)
    assert noted["before"] == "above the 22.000 g that Small balance carries"
    assert noted["after"] == ""


def test_a_check_on_an_overdue_balance_is_noted():
    vessel, balance = make_weighed_vessel(), overdue()
    reading = expected_reading(vessel, balance=balance, **ROOM)

    weighing = checking.check(
        vessel, observe(reading, gas="argon", balance=balance, **ROOM), **signed()
    )

    due = f"{yesterday():%-d %b %Y}"
    assert weighing.reservation == f"the calibration of Old balance was due {due}"


def test_a_reading_on_the_day_the_calibration_is_due_is_not_noted():
    balance = make_balance(due_on=timezone.localdate())

    vessel = make_tared(glass_mark="A 7", balance=balance)

    assert reservations(vessel) == {"tare": ""}


def test_an_old_reading_on_a_balance_that_is_overdue_now_was_in_time():
    balance = overdue()

    vessel = make_tared(
        glass_mark="A 7", balance=balance, read_at=timezone.now() - timedelta(days=2)
    )

    assert reservations(vessel) == {"tare": ""}


def test_both_reservations_stand_side_by_side():
    balance = small(due_on=yesterday())

    make_tared(glass_mark="A 7", tare_ug=23 * G, balance=balance)

    first, second = Weighing.objects.get().reservation.split("; ")
    assert first.startswith("above the 22.000 g")
    assert second.startswith("the calibration of Small balance was due")


def test_a_reservation_stays_as_it_was_when_the_balance_is_calibrated_again():
    balance = overdue()
    make_tared(glass_mark="A 7", balance=balance)
    noted = Weighing.objects.get().reservation

    balance.due_on = timezone.localdate() + timedelta(days=365)
    balance.save()

    assert noted
    assert Weighing.objects.get().reservation == noted
