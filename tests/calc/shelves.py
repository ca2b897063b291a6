"""Vessels of rubidium and requests for it, in few words."""

from inventory.calc.planning import Candidate, Demand

G = 1_000_000
MG = 1_000


def vessel(key, mass_ug, **facts):
    """Return a sealed vessel of rubidium under argon that may be drawn empty."""
    usual = {
        "drawable_ug": mass_ug,
        "whole_ug": mass_ug,
        "u_ug": 0.0,
        "is_sealed": True,
        "age_rank": 0,
        "purity": 0.998,
        "medium": "argon",
        "material": "Rb",
    }
    return Candidate(key, **usual | facts)


def drawn(key, mass_ug, **facts):
    return Demand(key, "Rb", mass_ug=mass_ug, **facts)


def whole(key, mass_ug=0, vessels=0, **facts):
    return Demand(key, "Rb", mass_ug=mass_ug, vessels=vessels, whole=True, **facts)


def given(found):
    """Return {(vessel, request): µg}."""
    return {(take.candidate, take.demand): take.mass_ug for take in found.takes}
