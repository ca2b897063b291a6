"""How dense a metal is at a temperature: mass, volume and amount from each other."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import hypot
from typing import Literal

from .uncertainty import Number, UFloat, exact, uncertain
from .units import Need

REFERENCE_C = 20.0
SLOPE_SHARE = 0.10
"""Standard uncertainty of a liquid's slope, our own estimate: published slopes of
sodium, potassium, caesium and magnesium differ by 5 to 13 %, calcium's by more."""

State = Literal["solid", "liquid"]


class TooHot(ValueError):
    """At this temperature the metal boils, so it has no density to give."""


class NoDensity(ValueError):
    """No density is known for the state the metal is in."""


@dataclass(frozen=True, slots=True)
class MaterialFacts:
    """What the catalogue knows of a metal. Densities in kg/m³, k = 1 uncertainties.

    The solid's density holds at 20 °C, the liquid's at the melting point, from
    where it falls by `density_liquid_slope_kg_m3_k` (a positive number) per kelvin.
    """

    symbol: str
    molar_mass_g_mol: float
    density_solid_kg_m3: float | None
    u_density_solid: float
    linear_expansion_per_k: float
    melting_point_c: float
    boiling_point_c: float
    density_liquid_kg_m3: float
    u_density_liquid: float
    density_liquid_slope_kg_m3_k: float


def state_at(facts: MaterialFacts, temperature_c: float) -> State:
    """Return whether the metal is solid or liquid; at the melting point, liquid."""
    return "liquid" if temperature_c >= facts.melting_point_c else "solid"


@lru_cache(maxsize=256)
def _error(facts: MaterialFacts, state: State) -> UFloat:
    """Return the density's error in units of its uncertainty.

    One variable for a metal and state, so that two volumes of the same metal
    share the error of its density.
    """
    return uncertain(0.0, 1.0, f"density of {facts.symbol}")


def density_at(facts: MaterialFacts, temperature_c: float) -> UFloat:
    """Return the density in kg/m³ at a temperature.

    The solid expands by three times its linear expansion from 20 °C; the liquid
    follows a straight line from the melting point (CRC Handbook's form). Raises
    TooHot from the boiling point on, NoDensity for a solid without data.
    """
    if temperature_c >= facts.boiling_point_c:
        raise TooHot(
            f"{facts.symbol} boils at {facts.boiling_point_c:g} °C; "
            f"it has no density at {temperature_c:g} °C."
        )
    state = state_at(facts, temperature_c)
    if state == "liquid":
        above = temperature_c - facts.melting_point_c
        fall = facts.density_liquid_slope_kg_m3_k * above
        best = facts.density_liquid_kg_m3 - fall
        u = hypot(facts.u_density_liquid, SLOPE_SHARE * fall)
    elif facts.density_solid_kg_m3 is None:
        raise NoDensity(
            f"No density of solid {facts.symbol} is known; "
            f"it melts at {facts.melting_point_c:g} °C."
        )
    else:
        warming = temperature_c - REFERENCE_C
        swelling = 1 + 3 * facts.linear_expansion_per_k * warming
        best = facts.density_solid_kg_m3 / swelling
        u = facts.u_density_solid / swelling
    return exact(best + u * _error(facts, state))


def nak_density(mass_fraction_k: float, temperature_c: float) -> float:
    """Return the density in kg/m³ of liquid sodium-potassium alloy.

    v = 1.003 (x_K v_K + x_Na v_Na) with mole fractions x and specific volumes v
    of the liquid metals, themselves cubic in the temperature. Good to 1 % from
    40 to 90 % potassium by mass, where the alloy is liquid near room temperature;
    at room temperature the metals' curves are carried on below their melting.
    Source: O. J. Foust (ed.), Sodium-NaK Engineering Handbook 1 (1972), eq. 1.8
    and 1.9, read second-hand.
    """
    if not 0 <= mass_fraction_k <= 1:
        raise ValueError(f"a mass fraction lies between 0 and 1, not {mass_fraction_k}")
    t = temperature_c
    potassium = 841.5 - 0.2172 * t - 2.70e-5 * t**2 + 4.77e-9 * t**3
    sodium = 950.1 - 0.22976 * t - 1.460e-5 * t**2 + 5.638e-9 * t**3
    moles_k = mass_fraction_k / 39.0983
    moles_na = (1 - mass_fraction_k) / 22.98976928
    x_k = moles_k / (moles_k + moles_na)
    return 1 / (1.003 * (x_k / potassium + (1 - x_k) / sodium))


def volume_ul(mass_ug: Number, facts: MaterialFacts, temperature_c: float) -> UFloat:
    """Return the volume in µL of a mass of metal (1 kg/m³ is 1 µg/µL)."""
    return exact(mass_ug / density_at(facts, temperature_c))


def mass_ug(volume_ul: Number, facts: MaterialFacts, temperature_c: float) -> UFloat:
    """Return the mass in µg of a volume of metal."""
    return exact(volume_ul * density_at(facts, temperature_c))


def amount_mol(mass_ug: float, facts: MaterialFacts) -> float:
    """Return the amount in mol of metal atoms in a mass (mean molar mass for NaK)."""
    return mass_ug * 1e-6 / facts.molar_mass_g_mol


def mass_for_need(need: Need, facts: MaterialFacts, t: float = REFERENCE_C) -> float:
    """Return the mass in µg that meets a need; a volume is taken at `t` °C."""
    if need.kind == "volume":
        return float(mass_ug(need.value, facts, t).nominal_value)
    if need.kind == "amount":
        return need.value * facts.molar_mass_g_mol * 1e6
    return need.value
