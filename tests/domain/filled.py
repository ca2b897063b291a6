"""Filling as the pages do it, in one line."""

from inventory.operations import filling, vessels
from tests.factories import ML, G, earlier, make_batch, medium, signed


def tared(tare, *, symbol="Rb", **facts):
    """Return one vessel of 20 mL, tared for a batch of `symbol` as observed."""
    empty = vessels.Empty("ampoule", facts.get("capacity_ul", 20 * ML), tare)
    (vessel,) = vessels.tare([empty], batch=make_batch(symbol), **signed())
    return vessel


def receive(batch, *, count=3, **facts):
    facts = {"stated_ug": G, "u_stated_ug": 10_000, **facts}
    happened_at = facts.pop("happened_at", None) or earlier()
    argon = medium("argon")
    return filling.receive(
        batch,
        {"kind": "ampoule", "capacity_ul": 5 * ML},
        filling.Filling(batch, argon, argon, "flame_sealed", **facts),
        count=count,
        happened_at=happened_at,
        **signed(),
    )
