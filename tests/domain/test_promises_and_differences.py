"""What a reading changes, where the metal is promised."""

import pytest

from inventory.models import BookingLine
from inventory.operations import ledger, taking
from inventory.operations.errors import NotEnough
from tests.domain.by_hand import RB, metal
from tests.domain.records import refused
from tests.domain.taken import drawn, only_line, weighed_out
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_check,
    make_vessel,
    make_weighed_vessel,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def open_lines(vessel):
    return BookingLine.objects.filter(vessel=vessel, closed_by=None)


def test_a_promise_of_the_whole_vessel_follows_what_a_reading_finds():
    vessel = make_weighed_vessel()
    booking = make_booking(vessel)
    first = only_line(booking)

    weighing = make_check(vessel, -500)

    now, line = ledger.read(vessel.pk), open_lines(vessel).get()
    assert now.remaining_ug < vessel.remaining_ug
    assert (line.mass_ug, line.is_whole) == (now.remaining_ug, True)
    assert line.booking == booking
    first.refresh_from_db()
    assert first.closed_by == weighing.entry


def test_a_promise_of_the_whole_vessel_does_not_grow_by_itself():
    vessel = make_weighed_vessel()
    line = only_line(make_booking(vessel))

    make_check(vessel, 500)

    assert open_lines(vessel).get() == line
    assert ledger.read(vessel.pk).free_ug == pytest.approx(307, abs=10)


def test_a_promise_that_is_still_covered_stays():
    vessel = make_weighed_vessel()
    line = only_line(make_booking(vessel, 2 * G))

    make_check(vessel, -1 * G, cause="metal", reason="by the notebook")

    assert open_lines(vessel).get() == line


def test_promises_of_parts_that_are_no_longer_covered_need_a_decision():
    vessel = make_weighed_vessel()
    make_booking(vessel, 2 * G)
    make_booking(vessel, 3 * G)

    with refused(
        f"By this weighing {vessel} holds 4.004 g, but 5.000 g of it is promised. "
        "Have a booking released first."
    ) as refusal:
        make_check(vessel, -1 * G, cause="metal", reason="by the notebook")

    assert isinstance(refusal.value, NotEnough)
    assert refusal.value.available_ug == pytest.approx(metal(4e6, RB), abs=3)
    assert refusal.value.wanted_ug == 5 * G


def test_one_promise_of_a_part_needs_a_decision_too():
    vessel = make_weighed_vessel()
    make_booking(vessel, 5 * G)

    with pytest.raises(NotEnough, match="Have a booking released first"):
        make_check(vessel, -1 * G, cause="metal", reason="by the notebook")


def test_a_promise_of_a_vessel_that_turns_out_empty_needs_a_decision():
    vessel = make_weighed_vessel()
    make_booking(vessel)

    with refused(
        f"By this weighing {vessel} holds 0 g, but 5.005 g of it is promised. "
        "Have a booking released first."
    ):
        make_check(vessel, -5 * G - 200, cause="metal", reason="by the notebook")


def test_a_withdrawal_against_a_whole_promise_that_reads_a_little_less_settles_it():
    vessel = make_weighed_vessel()
    line = only_line(make_booking(vessel))

    movement = take(vessel, weighed_out(vessel, 2 * G, off_ug=-500), line=line)

    line.refresh_from_db()
    assert line.closed_by == movement.entry
    assert not open_lines(vessel).exists()
    assert ledger.read(vessel.pk).free_ug > 2 * G


def test_the_rest_of_a_whole_promise_that_reads_a_little_less_is_what_there_is():
    vessel = make_weighed_vessel()
    line = only_line(make_booking(vessel))

    take(vessel, weighed_out(vessel, 2 * G, off_ug=-500), line=line, settle=False)

    now, rest = ledger.read(vessel.pk), open_lines(vessel).get()
    assert (rest.mass_ug, rest.is_whole) == (now.remaining_ug, True)
    assert rest.mass_ug < line.mass_ug - 2 * G


def test_the_rest_of_a_whole_promise_follows_the_next_reading_too():
    vessel = make_weighed_vessel(make_batch("NaK"))
    line = only_line(make_booking(vessel))
    take(vessel, drawn(1_000), line=line, settle=False)

    make_check(vessel, -500)

    assert open_lines(vessel).get().mass_ug == ledger.read(vessel.pk).remaining_ug


def test_the_rest_of_a_part_promise_is_not_the_whole_vessel():
    vessel = make_vessel(make_batch("NaK"), holding_ug=5 * G)
    line = only_line(make_booking(vessel, 4 * G))

    take(vessel, drawn(1_000), line=line, settle=False)

    assert not open_lines(vessel).get().is_whole


@pytest.mark.parametrize("volume_ul", [313, 777, 1_001])
def test_drawing_on_a_whole_promise_again_and_again_never_fails_by_a_rounding(
    volume_ul,
):
    vessel = make_weighed_vessel(make_batch("NaK"), gain_ug=5_000_003)
    line = only_line(make_booking(vessel))

    for _ in range(4):
        take(vessel, drawn(volume_ul), line=line, settle=False)
        line = open_lines(vessel).get()

    assert line.mass_ug == ledger.read(vessel.pk).remaining_ug


def test_drawing_leaves_no_difference_of_rounding_in_the_ledger():
    vessel = make_vessel(make_batch("NaK"), holding_ug=5 * G)

    for volume_ul in (313, 777, 1_001):
        take(vessel, drawn(volume_ul))

    kinds = vessel.movements_out.values_list("kind", flat=True)
    assert set(kinds) == {"withdrawal"}
    assert not vessel.movements_in.filter(kind="difference").exists()


def test_metal_promised_to_others_is_not_taken_by_weight_either():
    vessel = make_weighed_vessel()
    make_booking(vessel, 4 * G)

    with refused(
        f"5.005 g is left in {vessel}, of which 4.000 g is promised: 1.005 g may be "
        "taken here. Withdraw against the booking it is for, or have the booking "
        "released first."
    ):
        take(vessel, weighed_out(vessel, 2 * G))


def test_what_a_reading_before_finds_more_can_be_taken_at_once():
    vessel = make_vessel(u_ug=100_000)
    make_booking(vessel, 4 * G)
    how = weighed_out(vessel, 1_080_000, off_ug=100_000)

    movement = take(vessel, how)

    # 1 g was free by the ledger; the reading before taking found 100 mg more.
    assert movement.mass_ug == pytest.approx(1_080_000, abs=5)
    assert ledger.read(vessel.pk).free_ug == pytest.approx(20_000, abs=500)


def test_all_of_a_vessel_that_is_promised_twice_is_not_taken_by_one():
    vessel = make_weighed_vessel()
    first = only_line(make_booking(vessel, 2 * G))
    make_booking(vessel)

    with pytest.raises(NotEnough):
        take(vessel, taking.Whole(), line=first)
