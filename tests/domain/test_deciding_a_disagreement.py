"""What a person decides that a disagreeing weighing shows: that part gives way."""

import pytest

from inventory.models import Cause, Movement
from inventory.operations import checking, ledger
from inventory.operations.errors import Disagrees
from tests.domain.by_hand import OIL, RB, WEIGHT, K, lift, u_filled, u_reading
from tests.domain.by_hand import metal as net
from tests.domain.records import refused
from tests.factories import (
    ROOM,
    G,
    expected_reading,
    make_batch,
    make_check,
    make_vessel,
    make_weighed_vessel,
    newest_state,
    observe,
    signed,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

WHY = "seen by the second person"
PARTS = ("metal_ug", "liquid_ug", "tare_ug")


def oiled():
    """Return 5 g of potassium under 10 g of oil, poured in to 2 mg."""
    return make_weighed_vessel(
        make_batch("K"), gain_ug=5 * G, oil_ug=10 * G, u_oil_ug=2_000
    )


def decide(vessel, off_ug, cause, reason=WHY):
    return make_check(vessel, off_ug, cause=cause, reason=reason)


def posted():
    """Return (signed µg, words) of every difference in the ledger."""
    found = Movement.objects.filter(kind="difference")
    return [(m.mass_ug if m.to_vessel_id else -m.mass_ug, m.purpose) for m in found]


def test_metal_that_went_unrecorded_is_posted_with_the_reason():
    vessel = make_weighed_vessel(gain_ug=5 * G)

    weighing = decide(vessel, -1 * G, "metal")

    assert posted() == [(pytest.approx(-net(1e6, RB), abs=3), WHY)]
    assert weighing.cause == "metal"
    assert weighing.entry.summary == f"Weighed {vessel} again: {WHY}"
    assert ledger.read(vessel.pk).remaining_ug == pytest.approx(net(4e6, RB), abs=3)


def test_metal_that_is_let_go_is_as_sure_as_the_new_reading_and_the_tare():
    vessel = make_weighed_vessel(gain_ug=5 * G)
    before = newest_state(vessel)

    decide(vessel, -1 * G, "metal")

    state = newest_state(vessel)
    u_ug = 2**0.5 * u_reading() / lift(RB)
    assert state.u_metal_ug == pytest.approx(u_ug, rel=0.02)
    assert state.tare_ug == before.tare_ug
    assert state.u_tare_ug == pytest.approx(before.u_tare_ug)


def test_metal_found_more_comes_from_what_was_unaccounted_for():
    vessel = make_weighed_vessel(gain_ug=5 * G)

    decide(vessel, 1 * G, "metal")

    found = Movement.objects.get(kind="difference")
    assert (found.from_end, found.to_vessel) == ("unaccounted", vessel)
    assert found.mass_ug == pytest.approx(net(1e6, RB), abs=3)


def test_liquid_that_ran_off_leaves_the_metal_and_the_ledger_alone():
    vessel = oiled()
    before = newest_state(vessel)

    decide(vessel, -1 * G, "liquid")

    state = newest_state(vessel)
    assert state.liquid_ug == pytest.approx(10e6 - 1e6 * WEIGHT / lift(OIL), abs=3)
    assert (state.metal_ug, state.u_metal_ug) == (before.metal_ug, before.u_metal_ug)
    assert posted() == []


def test_another_closure_leaves_metal_and_liquid_alone():
    vessel = oiled()
    before = newest_state(vessel)

    decide(vessel, -300_000, "tare")

    state = newest_state(vessel)
    assert state.tare_ug == pytest.approx(before.tare_ug - 300_000 * WEIGHT, abs=1)
    assert (state.metal_ug, state.liquid_ug) == (before.metal_ug, before.liquid_ug)
    assert posted() == []


def test_not_known_takes_the_weighted_mean_of_record_and_reading():
    vessel = make_vessel(u_ug=10_000, **ROOM)

    decide(vessel, -50_000, "unknown")

    # Stated to 10 mg, read (and tared) to 0.2 mg: nearly all of D is the metal's.
    u_seen = 2**0.5 * u_reading()
    share = (10_000 * lift(RB)) ** 2 / ((10_000 * lift(RB)) ** 2 + u_seen**2)
    assert posted() == [
        (pytest.approx(-50_000 * WEIGHT * share / lift(RB), abs=5), WHY)
    ]
    # Two readings that contradict each other: k = 2 covers what is between them.
    doubt = 50_000 * WEIGHT / 2
    assert newest_state(vessel).u_metal_ug == pytest.approx(
        (u_seen**2 + doubt**2) ** 0.5, rel=0.02
    )


@pytest.mark.parametrize("cause", Cause.values)
def test_after_a_decision_the_same_reading_agrees(cause):
    vessel = oiled()
    reading = expected_reading(vessel, **ROOM) - 500_000
    seen = observe(reading, gas="argon", **ROOM)
    checking.check(vessel, seen, cause=cause, reason=WHY, **signed())

    again = expected_reading(vessel, **ROOM)

    # All of it but for `unknown`, where the record keeps its weight in the mean.
    kept = 1 if cause == "unknown" else 0
    assert abs(again - reading) < 3 + kept * 400_000
    if not kept:
        checking.check(ledger.read(vessel.pk), seen, **signed())


def test_a_decided_reading_stores_no_verdict_of_its_own():
    vessel = make_weighed_vessel()

    decide(vessel, -1 * G, "metal")

    assert vessel.estimates.last().verdict == ""


def test_less_metal_than_none_is_no_cause():
    vessel = make_weighed_vessel(gain_ug=5 * G)

    with refused("That would leave -1.001 g of metal: it cannot be so.", "cause"):
        decide(vessel, -6 * G, "metal")


def test_more_metal_than_has_room_is_no_cause():
    # 20 mL of rubidium weigh 30.6 g.
    vessel = make_weighed_vessel(gain_ug=5 * G)

    with refused(
        "That would make 22.9 mL of metal in a vessel of 20.0 mL: it cannot be so.",
        "cause",
    ):
        decide(vessel, 30 * G, "metal")


def test_less_liquid_than_none_is_no_cause():
    vessel = oiled()

    with refused(
        "That would leave -2.022 g of liquid medium: it cannot be so.", "cause"
    ):
        decide(vessel, -12 * G, "liquid")


def test_liquid_is_no_cause_where_there_never_was_any():
    vessel = make_weighed_vessel()

    with refused(f"There is no liquid medium in {vessel}.", "cause"):
        decide(vessel, 5_000, "liquid")


def test_less_glass_than_none_is_no_cause():
    vessel = make_weighed_vessel(gain_ug=5 * G)

    with refused("That would leave -2.003 g of glass: it cannot be so.", "cause"):
        decide(vessel, -22_003_000, "tare")


def causes(vessel, off_ug):
    with pytest.raises(Disagrees) as refusal:
        make_check(vessel, off_ug)
    return " ".join(refusal.value.causes)


def test_only_oiled_metal_may_have_lost_oil():
    assert "Liquid medium was carried out" in causes(oiled(), -1 * G)
    assert "Liquid medium" not in causes(make_weighed_vessel(), -1 * G)


def test_metal_taken_and_air_let_in_explain_opposite_sides():
    vessel = make_weighed_vessel()

    assert "Metal was taken and not recorded." in causes(vessel, -1 * G)
    assert "Air got in" not in causes(vessel, -1 * G)
    assert "Air got in" in causes(vessel, 5_000)
    assert "Metal was taken" not in causes(vessel, 5_000)


def test_only_a_gas_can_have_been_pumped_off():
    evacuated = make_vessel(kept_in="vacuum", gas="vacuum")

    assert "The gas inside was pumped off" in causes(make_vessel(), -20_000)
    assert "The gas inside" not in causes(evacuated, -20_000)


def test_wrong_stopper_wrong_vessel_and_the_balance_are_always_named():
    for off_ug in (-1 * G, 1 * G):
        named = causes(make_weighed_vessel(), off_ug)
        for word in ("another stopper", "another vessel", "The balance"):
            assert word in named


def test_a_decision_counts_in_the_next_reading():
    vessel = make_weighed_vessel(make_batch("K"), gain_ug=5 * G)
    decide(vessel, -1 * G, "metal")

    with pytest.raises(Disagrees) as refusal:
        make_check(vessel, 1 * G)

    assert refusal.value.outcome.u_innovation_ug < 1.1 * u_filled(4e6, K)
