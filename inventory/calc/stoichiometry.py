"""How much metal a batch can give at most, and how much of that it gave."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from .by_product import ByProduct, by_product
from .charges import ChargeFacts, Role, metal_per_mole, moles_of, pure_parts
from .formulas import (
    FORMULA_MAX,
    METALS_OF,
    FormulaError,
    formula_mass,
    metal_atoms,
    refuse_unlikely,
)
from .reduction import Limit, excess, limited_mass, limiting, reductant_excess
from .uncertainty import UFloat, exact, nominal

__all__ = [
    "FORMULA_MAX",
    "METALS_OF",
    "ByProduct",
    "ChargeFacts",
    "FormulaError",
    "Limit",
    "Role",
    "Theoretical",
    "by_product",
    "excess",
    "formula_mass",
    "limited_mass",
    "limiting",
    "metal_atoms",
    "reductant_excess",
    "refuse_unlikely",
    "theoretical_metal",
    "yield_of",
]


@dataclass(frozen=True, slots=True)
class Theoretical:
    """All the metal in the sources, and what each source adds in µg."""

    amount_mol: float
    mass_ug: UFloat
    by_charge: list[tuple[ChargeFacts, UFloat]] = field(default_factory=list)


def theoretical_metal(charges: Iterable[ChargeFacts], symbol: str) -> Theoretical:
    """Return all the metal that the sources hold; several sources add up.

    For NaK the sodium and the potassium of every source count, each with its own
    atomic weight, so the result is the alloy both could make, at their ratio.
    """
    amount = 0.0
    by_charge: list[tuple[ChargeFacts, UFloat]] = []
    for charge, pure_ug in pure_parts(charges):
        if charge.role != "source":
            continue
        moles = moles_of(charge.formula, pure_ug)
        amount += nominal(moles) * metal_atoms(charge.formula, symbol)
        metal_ug = exact(moles * metal_per_mole(charge.formula, symbol) * 1e6)
        by_charge.append((charge, metal_ug))
    mass = exact(sum((metal_ug for _, metal_ug in by_charge), exact(0.0)))
    return Theoretical(amount, mass, by_charge)


def yield_of(mass_ug: UFloat, theoretical: UFloat) -> UFloat:
    """Return the yield as a fraction of the theoretical mass."""
    if nominal(theoretical) <= 0:
        raise FormulaError("The charges hold none of this metal, so there is no yield.")
    return exact(mass_ug / theoretical)
