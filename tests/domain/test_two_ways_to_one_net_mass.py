"""The estimate and the weighing equation, which share no line, find the same metal."""

import pytest

from inventory.models import VesselKind
from inventory.operations import filling, readings, vessels
from tests.factories import (
    ML,
    G,
    earlier,
    make_batch,
    make_place,
    medium,
    observe,
    signed,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

COOL = {
    "air_temperature_c": 19.0,
    "air_pressure_pa": 102_000.0,
    "air_humidity": 0.3,
}
WARM = {
    "air_temperature_c": 25.0,
    "air_pressure_pa": 99_000.0,
    "air_humidity": 0.6,
}


@pytest.mark.parametrize("warm", [False, True])
@pytest.mark.parametrize("at_tare", ["air", "argon", "vacuum"])
@pytest.mark.parametrize("above", ["argon", "helium"])
@pytest.mark.parametrize(
    ("oil_before", "oil_after"), [(0, 0), (50, 50), (0, 40), (20, 45)]
)
def test_the_estimate_of_a_filling_is_the_weighing_equation(
    warm, at_tare, above, oil_before, oil_after
):
    batch = make_batch("K")
    tare = observe(
        (200 + oil_before) * G,
        gas=at_tare,
        liquid_ug=oil_before * G,
        read_at=earlier(hours=5),
        **COOL,
    )
    empty = vessels.Empty(VesselKind.BOTTLE, 100 * ML, tare)
    (vessel,) = vessels.tare([empty], batch=batch, place=make_place(), **signed())
    gross = observe(
        (215 + oil_after) * G,
        gas=above,
        liquid_ug=oil_after * G,
        **(WARM if warm else COOL),
    )
    kept_in = medium("mineral_oil_light" if oil_after else above)

    movement = filling.fill(
        vessel,
        filling.Filling(
            batch=batch,
            medium=kept_in,
            gas=medium(above),
            closure="screw_cap",
            gross=gross,
        ),
        happened_at=gross.read_at,
        **signed(),
    )

    net = readings.net(
        movement.light,
        movement.heavy,
        vessel=movement.to_vessel,
        material=batch.material,
        medium=kept_in,
        facts=readings.Facts.read(),
    )
    assert movement.mass_ug == pytest.approx(net.mass.n, abs=3)
