"""The worked case of a drawing under oil, played through the operations."""

import pytest

from inventory.operations import checking, media, taking
from inventory.operations.taking import Liquid
from tests.domain.by_hand import WEIGHT
from tests.factories import (
    ML,
    ROOM,
    earlier,
    expected_reading,
    fill,
    make_balance,
    make_batch,
    make_tared,
    medium,
    newest_state,
    observe,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

# Common practice, no source: tare 88.412 g, filled 120.930 g, oiled 151.208 g, each
# with u = 4 mg; 3.06 g ± 0.12 g drawn with 0.3 g ± 0.3 g of oil (k = 1); reweighed
# 147.951 g. Printed: metal 29.472 g ± 0.112 g, oil 30.067 g ± 0.112 g, D = 0.103 g,
# u(D) = 0.323 g, with the terms of gas and air left out. Here the vessel is evacuated
# and its readings are conventional mass: all of them times 1 - ρ_air/8000.


@pytest.fixture
def vessel():
    """Fill and oil the vessel, draw from it, and return it."""
    seen = {
        "gas": "vacuum",
        "balance": make_balance(readability_ug=1, repeatability_ug=4_000),
        **ROOM,
    }
    vessel = make_tared(
        make_batch("K"), tare_ug=88_412_000, capacity_ul=100 * ML, **seen
    )
    fill(vessel, kept_in="vacuum", gross=observe(120_930_000, **seen))
    oil = media.Exchange(
        medium("mineral_oil_light"),
        medium("vacuum"),
        Liquid(is_unknown=True),
        after=observe(151_208_000, **seen),
    )
    media.exchange(vessel, oil, happened_at=earlier(), **signed())
    drawn = taking.Received(3_060_000, 120_000, Liquid(-300_000, 300_000))
    take(vessel, drawn)
    vessel.seen = seen
    return vessel


def test_the_reading_after_the_drawing_agrees_by_a_third_of_its_uncertainty(vessel):
    off_ug = 147_951_000 - expected_reading(
        vessel, **{name: vessel.seen[name] for name in ("balance", *ROOM)}
    )

    # The drawn masses are not readings: they stay as they were given.
    drawn_ug = 3_360_000 * (1 - WEIGHT) / WEIGHT
    assert off_ug == pytest.approx(103_000 + drawn_ug, abs=30)


def test_the_reading_after_the_drawing_settles_metal_and_oil(vessel):
    now = checking.ledger.read(vessel.pk)

    checking.check(now, observe(147_951_000, **vessel.seen), **signed())

    state = newest_state(now)
    assert state.metal_ug == pytest.approx(29.472e6 * WEIGHT, abs=700)
    assert state.u_metal_ug == pytest.approx(0.112e6, abs=500)
    assert state.liquid_ug == pytest.approx(30.067e6 * WEIGHT, abs=700)
    assert state.u_liquid_ug == pytest.approx(0.112e6, abs=500)
    newest = now.estimates.last()
    assert newest.innovation_ug == pytest.approx(0.103e6, abs=700)
    assert newest.u_innovation_ug == pytest.approx(0.323e6, abs=500)
    assert newest.verdict == "quiet"
