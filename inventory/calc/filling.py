"""How full a vessel gets when it is warm, and what lies on top of what."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from .density import MaterialFacts, density_at, state_at
from .uncertainty import Number, nominal
from .units import show_temperature

TIGHT_ABOVE = 0.90
REFUSE_ABOVE = 0.98
"""Fractions of the capacity at the warmest temperature (common practice, no source)."""

LIQUID_EXPANSION_PER_K = 1.43e-3
"""Hexane's mean from 20 °C to 40 °C by CoolProp 8.0.0; heptane, toluene less."""

FILLED_AT_C = 20.0

Verdict = Literal["fine", "tight", "refuse"]
Layer = tuple[Literal["metal", "liquid"], float]


@dataclass(frozen=True, slots=True)
class Headspace:
    """How full a vessel is at its warmest; `sentence` says it to a person."""

    fraction_full: float
    melted: bool
    verdict: Verdict
    sentence: str


def headspace(
    metal_ug: float,
    facts: MaterialFacts,
    capacity_ul: float,
    liquid_ul: float = 0,
    warmest_c: float = 40,
) -> Headspace:
    """Return how full the vessel is at `warmest_c`, the most it will see in storage.

    Metal that melts at or below that temperature is taken as liquid, because the
    melt has to fit; the protective liquid, measured at 20 °C, swells as hexane
    would. Above 0.90 is tight, above 0.98 is refused.
    """
    assert capacity_ul > 0, capacity_ul
    melted = state_at(facts, warmest_c) == "liquid"
    metal_ul = metal_ug / nominal(density_at(facts, warmest_c))
    warming = max(warmest_c - FILLED_AT_C, 0.0)
    swollen_ul = liquid_ul * (1 + LIQUID_EXPANSION_PER_K * warming)
    fraction = (metal_ul + swollen_ul) / capacity_ul
    molten = " with the metal molten" if melted else ""
    full = f"{100 * fraction:.0f} % full at {show_temperature(warmest_c)}{molten}"
    if fraction > REFUSE_ABOVE:
        sentence = f"{full}: too little room for expansion, the glass may burst."
        return Headspace(fraction, melted, "refuse", sentence)
    if fraction > TIGHT_ABOVE:
        sentence = f"{full}: little headspace; keep it from getting any warmer."
        return Headspace(fraction, melted, "tight", sentence)
    return Headspace(fraction, melted, "fine", f"{full}.")


def floats(metal_density: Number, liquid_density: Number) -> bool:
    """Return whether the metal floats, which a metal no denser than the liquid does."""
    return nominal(metal_density) <= nominal(liquid_density)


def layers(
    metal_ug: float,
    metal_density: Number,
    liquid_ul: float,
    liquid_density: Number | None,
) -> list[Layer]:
    """Return what lies in the vessel from the bottom up, with volumes in µL.

    The gas or vacuum fills what is left above; what is not there is left out.
    """
    metal: Layer = ("metal", metal_ug / nominal(metal_density))
    liquid: Layer = ("liquid", float(liquid_ul))
    sinks = liquid_density is None or not floats(metal_density, liquid_density)
    order = [metal, liquid] if sinks else [liquid, metal]
    return [layer for layer in order if layer[1] > 0]
