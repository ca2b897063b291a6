"""Taking metal out, in one line."""

from inventory.operations import filling, ledger
from tests.factories import (
    earlier,
    make_batch,
    make_tared,
    medium,
    observe,
    signed,
)

ROOM = {"air_temperature_c": 20.0, "air_pressure_pa": 101_325.0, "air_humidity": 0.5}


def weighed(before_ug, after_ug, **facts):
    facts = {"gas": "argon", **facts}
    return ledger.Weighed(observe(before_ug, **facts), observe(after_ug, **facts))


def drawn(volume_ul, *, temperature_c=22.0, u_volume_ul=20):
    return ledger.Drawn(volume_ul, u_volume_ul, temperature_c)


def under_oil(symbol, holding_ug):
    """Return a vessel of 20 mL that holds this much metal under light oil."""
    vessel = make_tared(make_batch(symbol))
    oil, argon = medium("mineral_oil_light"), medium("argon")
    what = filling.Filling(vessel.batch, oil, argon, "stopcock", stated_ug=holding_ug)
    filling.fill(vessel, what, happened_at=earlier(), **signed())
    return vessel


def only_line(booking):
    return booking.lines.get()


def destroy(vessel, **facts):
    facts = {"how": "quenched in alcohol", "happened_at": earlier(), **facts}
    return ledger.destroy(vessel, **facts, **signed())
