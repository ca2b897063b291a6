"""A correction takes the movement out of the estimate as well as out of the ledger."""

import pytest

from inventory.models import Movement
from inventory.operations import corrections, ledger, taking
from tests.domain.by_hand import NAK, RB, metal, u_filled, u_reading
from tests.domain.records import refused
from tests.domain.taken import drawn, weighed_out
from tests.factories import (
    ROOM,
    G,
    earlier,
    expected_reading,
    fill,
    make_batch,
    make_check,
    make_weighed_vessel,
    medium,
    newest_state,
    observe,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

WAYS = {
    "whole": lambda vessel: taking.Whole(),
    "volume": lambda vessel: drawn(1_000),
    "pieces": lambda vessel: taking.Pieces(2, 500_000, 10_000),
    "receiver": lambda vessel: taking.Received(1_500_000, 5_000),
    "weighed": lambda vessel: weighed_out(vessel, 2 * G),
    "weighed, another gas": lambda vessel: weighed_out(vessel, 2 * G, gas="vacuum"),
    "weighed, gas unknown": lambda vessel: weighed_out(
        vessel, 2 * G, gas_is_unknown=True
    ),
    "weighed, before a little off": lambda vessel: weighed_out(
        vessel, 2 * G, off_ug=500
    ),
}


def correct(movement):
    return corrections.correct(movement, reason="another vessel", **signed())


def alloy(**facts):
    return make_weighed_vessel(make_batch("NaK"), gain_ug=5 * G, **facts)


@pytest.mark.parametrize("way", WAYS)
def test_after_a_correction_the_vessel_is_believed_to_hold_what_it_did(way):
    vessel = alloy()
    before, read = newest_state(vessel), expected_reading(vessel, **ROOM)
    movement = take(vessel, WAYS[way](vessel))

    correct(movement)

    assert newest_state(vessel) == before
    assert ledger.read(vessel.pk).remaining_ug == vessel.remaining_ug
    assert expected_reading(vessel, **ROOM) == read


def test_the_gas_before_a_corrected_taking_is_inside_again():
    vessel = alloy()
    movement = take(vessel, weighed_out(vessel, 2 * G, gas="vacuum"))

    correct(movement)

    vessel.refresh_from_db()
    assert (vessel.gas, vessel.medium) == (medium("argon"), medium("argon"))


def test_a_gas_that_was_changed_again_since_stays():
    vessel = alloy(filled_at=earlier(days=5))
    wrong = take(
        vessel,
        weighed_out(vessel, 1 * G, gas="vacuum"),
        happened_at=earlier(days=3),
    )
    vessel = ledger.read(vessel.pk)
    take(
        vessel,
        weighed_out(vessel, 1 * G, gas="helium"),
        happened_at=earlier(days=2),
    )

    correct(wrong)

    vessel.refresh_from_db()
    assert vessel.gas == medium("helium")


def test_a_correction_between_others_replays_what_came_after():
    vessel, untouched = alloy(filled_at=earlier(days=9)), alloy()
    wrong = take(vessel, drawn(1_000), happened_at=earlier(days=6))
    take(vessel, drawn(500), happened_at=earlier(days=3))
    take(untouched, drawn(500))

    correct(wrong)

    assert newest_state(vessel).metal_ug == pytest.approx(
        newest_state(untouched).metal_ug, abs=1e-3
    )
    assert newest_state(vessel).root == pytest.approx(newest_state(untouched).root)
    assert ledger.read(vessel.pk).remaining_ug == ledger.read(untouched.pk).remaining_ug


def test_a_reading_after_a_wrong_withdrawal_shows_it_in_the_ledger_when_corrected():
    vessel = make_weighed_vessel(gain_ug=5 * G)
    wrong = take(vessel, taking.Pieces(1, G, 0))
    make_check(vessel)

    correct(wrong)

    # The check still reads 1 g less, and nothing says why: the mean of gross and
    # check by their variances (JCGM 100, 4.1.4), for all to see.
    r = u_reading() ** 2
    a = u_filled(metal(5e6, RB), RB) ** 2 - r
    left_ug = metal(5e6, RB) - 1e6 * a / (a + r)
    assert ledger.read(vessel.pk).remaining_ug == pytest.approx(left_ug, rel=1e-3)
    assert vessel.estimates.last().verdict == "investigate"
    found = Movement.objects.get(kind="difference", mass_ug__gt=1_000)
    assert found.mass_ug == pytest.approx(1e6 * a / (a + r), rel=0.01)
    assert (found.to_end, found.entry.verb) == ("unaccounted", "correct")


def test_the_revision_before_a_correction_stays_to_be_read():
    vessel = alloy()
    movement = take(vessel, drawn(1_000))
    before = list(vessel.estimates.values())

    correct(movement)

    kept = list(vessel.estimates.order_by("id").values())
    assert kept[: len(before)] == before
    assert kept[-1]["revision"] == before[-1]["revision"] + 1


def test_a_corrected_filling_leaves_nothing_to_believe():
    vessel = alloy()

    correct(vessel.movements_in.get(kind="fill"))

    assert ledger.read(vessel.pk).remaining_ug == 0
    vessel.refresh_from_db()
    assert vessel.filled_on is None


def test_a_vessel_filled_again_begins_anew():
    vessel = alloy()
    correct(vessel.movements_in.get(kind="fill"))
    vessel.refresh_from_db()

    fill(vessel, gross=observe(22 * G, gas="argon", **ROOM))

    state = newest_state(vessel)
    assert state.metal_ug == pytest.approx(metal(2e6, NAK), abs=10)
    assert vessel.estimates.last().revision > vessel.estimates.first().revision


def test_a_difference_that_a_weighing_found_is_not_corrected():
    vessel = make_weighed_vessel()
    make_check(vessel, -1 * G, cause="metal", reason="by the notebook")

    with refused("A weighing found this difference: strike out that weighing instead."):
        correct(Movement.objects.get(kind="difference"))
