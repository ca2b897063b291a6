"""Changing the medium, in one line."""

from inventory.operations import media
from inventory.operations.taking import NO_LIQUID, Liquid
from tests.factories import earlier, ledger, medium, signed

OIL = "mineral_oil_light"


def exchange(vessel, kept_in, liquid=NO_LIQUID, *, gas=None, happened_at=None, **facts):
    """Change what surrounds the metal; under a liquid it is argon, if not said."""
    kept_in = medium(kept_in)
    above = medium(gas or "argon") if kept_in.is_liquid else kept_in
    what = media.Exchange(kept_in, above, liquid, **facts)
    when = happened_at or earlier()
    return media.exchange(vessel, what, happened_at=when, **signed())


def put_oil_in(vessel, oil_ug, u_ug=1_000, **facts):
    return exchange(vessel, OIL, Liquid(oil_ug, u_ug), **facts)


def read(vessel):
    return ledger.read(vessel.pk)
