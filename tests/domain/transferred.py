"""Transferring from one vessel into others, in one line."""

from inventory.operations import filling, transferring
from tests.factories import (
    ML,
    ROOM,
    G,
    earlier,
    ledger,
    make_batch,
    make_tared,
    make_weighed_vessel,
    medium,
    observe,
    signed,
)


def make_source(symbol="NaK", **facts):
    """Return a vessel of 20 mL with some 10 g by the readings, filled a week ago."""
    facts = {"gain_ug": 10 * G, "filled_at": earlier(days=7), **facts}
    return make_weighed_vessel(make_batch(symbol), **facts)


def make_target(batch, **facts):
    """Return an empty, tared vessel of 5 mL and 10 g under argon."""
    facts = {"tare_ug": 10 * G, "capacity_ul": 5 * ML, **ROOM, **facts}
    return make_tared(batch, **facts)


def arrival(source, target, gross_ug=None, *, kept_in="argon", **facts):
    """Return how one target was filled: by default to a gross of 12 g."""
    if not {"gross", "stated_ug"} & set(facts):
        facts["gross"] = observe(gross_ug or 12 * G, gas=kept_in, **ROOM)
    facts = {"batch": source.batch, "closure": "stopcock", **facts}
    gas = medium(kept_in)
    return transferring.Arrival(target, filling.Filling(medium=gas, gas=gas, **facts))


def transfer(source, arrivals, how=None, **facts):
    facts = {"happened_at": earlier(minutes=1), **signed(), **facts}
    return transferring.transfer(ledger.read(source.pk), arrivals, how=how, **facts)


def into_one(source, gross_ug=None, how=None, **facts):
    """Transfer into one new target; return it and the movement."""
    target = make_target(source.batch)
    (movement,) = transfer(source, [arrival(source, target, gross_ug)], how, **facts)
    return ledger.read(target.pk), movement
