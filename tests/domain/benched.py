"""Rows of the bench, in one line."""

from uuid import uuid4

from inventory.operations import bench, filling, vessels
from tests.factories import (
    ML,
    ROOM,
    G,
    medium,
    observe,
    signed,
    somebody,
)

TARE = {"gas": "argon", **ROOM}


def gross(batch, reading_ug=25 * G, *, kept_in="argon", closure="stopcock", **facts):
    """Return how a vessel was filled, under argon, weighed an hour ago."""
    names = ("place", "accept_medium")
    put = {name: facts.pop(name) for name in names if name in facts}
    seen = observe(reading_ug, gas="argon", **{**ROOM, **facts})
    return filling.Filling(
        batch, medium(kept_in), medium("argon"), closure, gross=seen, **put
    )


def laid_out(batch, count=1, capacity_ul=20 * ML):
    return vessels.lay_out(batch, "ampoule", capacity_ul, count, **signed())


def new(capacity_ul=20 * ML, **facts):
    return {"empty": vessels.Empty("ampoule", capacity_ul, None, **facts)}


def fill_row(batch, source=None, request_id=None, **row):
    return bench.fill_row(
        batch,
        bench.Row(**row),
        source=source,
        by=somebody(),
        request_id=request_id or uuid4(),
    )
