"""The medium around the metal, added, drained or exchanged, weighed or not."""

from math import hypot, sqrt

import pytest

from inventory.models import Movement
from inventory.operations.taking import Liquid
from tests.domain.by_hand import (
    ARGON,
    OIL,
    RB,
    ROOM_UL,
    WEIGHT,
    K,
    lift,
    metal,
    u_reading,
)
from tests.domain.exchanged import exchange, put_oil_in, read
from tests.factories import (
    ROOM,
    G,
    expected_reading,
    make_batch,
    make_check,
    make_weighed_vessel,
    medium,
    newest_state,
    observe,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

UNKNOWN = Liquid(is_unknown=True)
# What 8 g of oil add to a reading under argon.
OIL_8_G = round(8e6 * lift(OIL) / WEIGHT)


def potassium(**facts):
    return make_weighed_vessel(make_batch("K"), gain_ug=5 * G, **facts)


def reads(reading_ug, gas="argon"):
    return observe(reading_ug, gas=gas, **ROOM)


def test_oil_that_was_measured_is_inside_and_the_metal_as_it_was():
    vessel = potassium()
    before = newest_state(vessel)

    put_oil_in(vessel, 8 * G, 16_000)

    state, now = newest_state(vessel), read(vessel)
    assert (state.liquid_ug, state.u_liquid_ug) == (8 * G, 16_000)
    assert (state.metal_ug, state.u_metal_ug) == (before.metal_ug, before.u_metal_ug)
    assert (now.medium.key, now.gas.key) == ("mineral_oil_light", "argon")
    assert not Movement.objects.filter(kind="difference").exists()


def test_the_log_says_what_surrounds_the_metal_now():
    vessel = potassium()

    put_oil_in(vessel, 8 * G)

    entry = vessel.events.last().entry
    assert entry.verb == "medium"
    assert entry.summary == f"{vessel} is now kept in light mineral oil, argon above"


def test_oil_nobody_measured_is_anything_that_has_room():
    vessel = potassium()

    exchange(vessel, "mineral_oil_light", UNKNOWN, way=1)

    # Uniform from 0 to 20 g, at 1 g/mL (JCGM 100, 4.3.7).
    state = newest_state(vessel)
    assert state.liquid_ug == 10 * G
    assert state.u_liquid_ug == pytest.approx(20e6 / sqrt(12))


@pytest.mark.parametrize(
    ("way", "low_ug", "high_ug"),
    [(1, 0, 20e6), (-1, -8e6, 0), (0, -8e6, 20e6)],
    ids=["put in", "drained", "either"],
)
def test_an_unknown_amount_lies_between_none_and_all_that_could_move_that_way(
    way, low_ug, high_ug
):
    vessel = potassium()
    put_oil_in(vessel, 8 * G, 0)

    exchange(vessel, "mineral_oil_light", UNKNOWN, way=way)

    state = newest_state(vessel)
    assert state.liquid_ug == pytest.approx(8e6 + (low_ug + high_ug) / 2)
    assert state.u_liquid_ug == pytest.approx((high_ug - low_ug) / sqrt(12))


def test_a_reading_afterwards_decides_oil_nobody_measured():
    vessel = potassium()
    before = newest_state(vessel)

    exchange(vessel, "mineral_oil_light", UNKNOWN, after=reads(33 * G))

    # 8 g by the readings; in them the oil is lifted by argon.
    state = newest_state(vessel)
    assert state.liquid_ug == pytest.approx(8e6 * WEIGHT / lift(OIL), abs=3)
    # The sum before, the reading, and 19/840 of the oil's lift by argon (catalogue).
    u_lift = 8e6 * ARGON / OIL * 19 / OIL
    u_before = hypot(u_reading(), 0.03 * ARGON * metal(5e6, K) / K)
    assert state.u_liquid_ug == pytest.approx(
        hypot(u_before, u_reading(), u_lift), rel=0.05
    )
    assert state.metal_ug == before.metal_ug


def test_oil_that_was_drained_is_gone():
    vessel = potassium()
    put_oil_in(vessel, 8 * G, 16_000)

    exchange(vessel, "mineral_oil_light", Liquid(-3 * G, 30_000))

    state = newest_state(vessel)
    assert state.liquid_ug == 5 * G
    assert state.u_liquid_ug == pytest.approx(hypot(16_000, 30_000))


def test_a_drained_vessel_is_kept_in_its_gas():
    vessel = potassium()
    put_oil_in(vessel, 8 * G)

    exchange(vessel, "argon", Liquid(-8 * G, 80_000))

    now = read(vessel)
    assert (now.medium.key, now.gas.key) == ("argon", "argon")
    assert newest_state(vessel).u_liquid_ug == pytest.approx(80_000, rel=1e-3)


def test_oil_drained_by_nobody_knows_how_much_is_decided_by_the_reading():
    vessel = potassium()
    put_oil_in(vessel, 8 * G)
    before_ug = expected_reading(vessel, **ROOM)

    exchange(
        vessel,
        "mineral_oil_light",
        UNKNOWN,
        way=-1,
        before=reads(before_ug),
        after=reads(before_ug - 3 * G),
    )

    state = newest_state(vessel)
    assert state.liquid_ug == pytest.approx(8e6 - 3e6 * WEIGHT / lift(OIL), abs=3)


def test_both_readings_are_kept_with_what_they_were_for():
    vessel = potassium()
    before_ug = expected_reading(vessel, **ROOM)

    exchange(
        vessel,
        "mineral_oil_light",
        Liquid(8 * G, 8_000),
        before=reads(before_ug),
        after=reads(before_ug + OIL_8_G),
    )

    kept = vessel.weighings.order_by("id").values_list("purpose", flat=True)
    assert list(kept) == ["tare", "gross", "before", "after"]
    newest = vessel.events.standing().in_order().last()
    assert newest.weighing.purpose == "after"


def test_another_gas_changes_the_effective_tare_by_its_weight():
    vessel = make_weighed_vessel(gain_ug=5 * G)
    before = newest_state(vessel)

    exchange(vessel, "vacuum")

    # Unnoted air: the argon's density by 3 °C and 15 hPa of a default of 20 °C.
    state = newest_state(vessel)
    assert state.tare_ug == pytest.approx(before.tare_ug - ARGON * ROOM_UL, rel=1e-6)
    assert state.metal_ug == before.metal_ug
    u_gas = ARGON * ROOM_UL * hypot(0.03, 0.05 / sqrt(6))
    assert state.u_tare_ug == pytest.approx(hypot(u_gas, u_reading()), rel=0.02)


def test_after_the_gas_was_pumped_off_the_vessel_reads_what_it_should():
    vessel = make_weighed_vessel(gain_ug=5 * G)
    full_ug = expected_reading(vessel, **ROOM)

    exchange(vessel, "vacuum")

    # Only the room beside the metal held argon.
    gone_ug = ARGON * (ROOM_UL - metal(5e6, RB) / RB) / WEIGHT
    assert gone_ug == pytest.approx(27_790, abs=20)
    assert expected_reading(vessel, **ROOM) == pytest.approx(full_ug - gone_ug, abs=3)


def test_a_check_after_another_gas_does_not_change_the_gas_again():
    vessel = make_weighed_vessel(gain_ug=5 * G)
    exchange(vessel, "vacuum")
    before = newest_state(vessel)

    make_check(vessel)
    make_check(vessel)

    assert newest_state(vessel).tare_ug == pytest.approx(before.tare_ug, abs=5)


def test_a_reading_after_another_gas_narrows_what_the_gas_weighed():
    vessel = make_weighed_vessel(gain_ug=5 * G)
    after_ug = expected_reading(vessel, gas="vacuum", **ROOM)

    exchange(vessel, "vacuum", after=reads(after_ug, "vacuum"))

    state = newest_state(vessel)
    assert state.u_tare_ug < 2 * u_reading()
    assert read(vessel).gas == medium("vacuum")


def test_a_medium_to_avoid_goes_in_when_somebody_decided_so():
    vessel = make_weighed_vessel(make_batch("Rb"), gain_ug=5 * G)

    put_oil_in(vessel, 4 * G, accept_medium=True)

    assert read(vessel).medium.key == "mineral_oil_light"


def test_another_liquid_goes_in_after_the_first_was_drained():
    vessel = potassium()
    put_oil_in(vessel, 8 * G)
    exchange(vessel, "argon", Liquid(-8 * G, 80_000))

    exchange(vessel, "kerosene", Liquid(6 * G, 6_000))

    assert read(vessel).medium.key == "kerosene"
    assert newest_state(vessel).liquid_ug == 6 * G


def test_what_is_weighed_after_a_change_lands_in_the_ledger_if_it_moves_the_metal():
    vessel = potassium()
    after_ug = expected_reading(vessel, **ROOM) + OIL_8_G + 500

    put_oil_in(vessel, 8 * G, 0, after=reads(after_ug))

    found = Movement.objects.get(kind="difference")
    assert found.purpose == "Weighed when the medium changed"
    assert 0 < found.mass_ug < 500
