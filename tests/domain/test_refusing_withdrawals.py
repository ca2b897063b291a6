"""What is not taken out, and the sentence that says why."""

from dataclasses import replace
from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.operations import bookings, taking, vessels
from inventory.operations.errors import Disagrees, NotEnough
from tests.domain.records import refused
from tests.domain.taken import destroy, drawn, only_line, weighed, weighed_out
from tests.factories import (
    ML,
    ROOM,
    G,
    make_batch,
    make_booking,
    make_tared,
    make_vessel,
    make_weighed_vessel,
    observe,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def test_more_than_is_left_is_refused_with_the_number_that_is():
    vessel = make_weighed_vessel(gain_ug=5 * G)
    how = weighed(25 * G, 19 * G, **ROOM)

    with refused(
        f"Only 5.005 g is left in {vessel}; this would take 6.006 g. If the vessel is "
        "now empty, record that the whole contents were taken."
    ) as refusal:
        take(vessel, how)

    assert isinstance(refusal.value, NotEnough)
    assert refusal.value.available_ug == vessel.remaining_ug
    assert refusal.value.wanted_ug == pytest.approx(6_005_613, abs=5)


def test_what_is_promised_is_not_given_to_somebody_else():
    vessel = make_vessel(make_batch("NaK"), holding_ug=5 * G)
    make_booking(vessel, 4 * G)

    with refused(
        f"5.000 g is left in {vessel}, of which 4.000 g is promised: 1.000 g may be "
        "taken here. Withdraw against the booking it is for, or have the booking "
        "released first."
    ) as refusal:
        take(vessel, taking.Whole())

    assert (refusal.value.wanted_ug, refusal.value.available_ug) == (5 * G, G)


def test_a_booking_opens_its_own_metal_and_no_one_elses():
    vessel = make_vessel(make_batch("NaK"), holding_ug=5 * G)
    line = only_line(make_booking(vessel, 2 * G))
    make_booking(vessel, 2 * G)

    with refused(
        f"5.000 g is left in {vessel}, of which 4.000 g is promised: 3.000 g may be "
        "taken here. Withdraw against the booking it is for, or have the booking "
        "released first."
    ):
        take(vessel, taking.Whole(), line=line)


def test_a_line_that_was_served_promises_nothing_more():
    vessel = make_vessel(make_batch("NaK"), holding_ug=5 * G)
    line = only_line(make_booking(vessel, 2 * G))
    bookings.release(line, reason="not needed", **signed())

    with refused("This booking no longer promises anything here.", "line"):
        take(vessel, drawn(1_000), line=line)


def test_a_line_serves_only_the_vessel_it_names():
    promised, other = make_vessel(), make_vessel()
    line = only_line(make_booking(promised, G))

    with refused("This booking no longer promises anything here.", "line"):
        take(other, line=line)


def test_nothing_comes_out_of_an_empty_vessel():
    vessel = make_vessel()
    take(vessel)

    with refused(f"{vessel} is empty."):
        take(vessel)


def test_nothing_comes_out_of_a_vessel_that_was_never_filled():
    vessel = make_tared(make_batch())

    with refused(f"{vessel} has not been filled yet."):
        take(vessel)


def test_nothing_comes_out_of_a_retired_vessel():
    vessel = make_vessel()
    take(vessel)
    vessels.retire(vessel, reason="washed", **signed())

    with refused(f"{vessel} is retired."):
        take(vessel)


def test_a_withdrawal_in_the_future_is_refused():
    vessel = make_vessel()

    with refused("This lies in the future.", "happened_at"):
        take(vessel, happened_at=timezone.now() + timedelta(hours=1))


def test_readings_that_look_swapped_are_refused():
    vessel = make_vessel()
    how = weighed(23 * G, 25 * G)

    with refused(
        "After taking, the vessel reads 25.000 g; before, 23.000 g. Are the two "
        "swapped?",
        "after",
    ):
        take(vessel, how)


def test_equal_readings_took_nothing():
    vessel = make_vessel()
    how = weighed(25 * G, 25 * G)

    with refused(
        "After taking, the vessel reads 25.000 g; before, 25.000 g. Are the two "
        "swapped?",
        "after",
    ):
        take(vessel, how)


def test_gas_that_was_pumped_off_is_no_metal():
    # About 28 mg of argon leave a 20 mL vessel that is evacuated.
    vessel = make_weighed_vessel(gain_ug=5 * G)
    how = taking.Weighed(
        observe(25 * G, gas="argon", **ROOM),
        observe(25 * G - 20_000, gas="vacuum", **ROOM),
    )

    with refused(
        "With the gas and the liquid medium taken into account, no metal came out.",
        "after",
    ):
        take(vessel, how)


@pytest.mark.parametrize("late", ["before", "after"])
def test_a_reading_from_the_future_is_refused(late):
    vessel = make_weighed_vessel(gain_ug=5 * G)
    how = weighed(25 * G, 23 * G, **ROOM)
    later = timezone.now() + timedelta(hours=1)
    how = replace(how, **{late: replace(getattr(how, late), read_at=later)})

    with refused("This lies in the future.", "read_at"):
        take(vessel, how)


def test_a_reading_before_that_disagrees_is_a_check_weighing_first():
    vessel = make_vessel(u_ug=10_000, **ROOM)

    with refused(
        f"Before anything was taken, {vessel} reads 50.0 mg less than the record "
        "expects, 5.0 times the uncertainty of that. Record it as a check weighing "
        "first, and decide what happened.",
        "before",
    ) as refusal:
        take(vessel, weighed_out(vessel, 2 * G, off_ug=-50_000))

    assert isinstance(refusal.value, Disagrees)
    assert refusal.value.outcome.verdict == "investigate"


def test_more_counted_pieces_than_are_left_are_refused():
    vessel = make_vessel(holding_ug=2 * G)

    with refused(
        f"Only 2.000 g is left in {vessel}; this would take 2.500 g. If the vessel is "
        "now empty, record that the whole contents were taken."
    ):
        take(vessel, taking.Pieces(5, 500_000, 1_000))


def test_a_receiver_that_reads_less_with_the_metal_was_read_the_wrong_way_round():
    vessel = make_vessel()

    with refused(
        "The receiver reads 30.000 g with the metal and 32.000 g without. Are the two "
        "swapped?",
        "receiver_full",
    ):
        taking.receive(vessel, observe(32 * G), observe(30 * G))


def test_a_volume_of_solid_metal_cannot_be_drawn():
    vessel = make_vessel(make_batch("Cs"), kept_in="vacuum")

    with refused(
        "Caesium is solid below 28.5 °C: a volume cannot be drawn.", "temperature"
    ):
        take(vessel, drawn(500, temperature_c=22.0))


def test_a_volume_of_boiling_metal_cannot_be_drawn():
    vessel = make_vessel(make_batch("Cs"), kept_in="vacuum")

    with refused("Cs boils at 671 °C; it has no density at 700 °C.", "temperature"):
        take(vessel, drawn(500, temperature_c=700.0))


def test_promised_metal_is_not_destroyed():
    vessel = make_vessel(holding_ug=5 * G)
    make_booking(vessel, 2 * G)

    with refused(
        f"5.000 g is left in {vessel}, of which 2.000 g is promised: 3.000 g may be "
        "taken here. Withdraw against the booking it is for, or have the booking "
        "released first."
    ):
        destroy(vessel)


def test_metal_is_not_destroyed_in_the_future():
    vessel = make_vessel()

    with refused("This lies in the future.", "happened_at"):
        destroy(vessel, happened_at=timezone.now() + timedelta(hours=1))


def test_metal_is_not_destroyed_twice():
    vessel = make_vessel()
    destroy(vessel)

    with refused(f"{vessel} is empty."):
        destroy(vessel)


def test_an_unfilled_vessel_has_nothing_to_destroy():
    vessel = make_tared(make_batch(), capacity_ul=5 * ML)

    with refused(f"{vessel} has not been filled yet."):
        destroy(vessel)
