"""Reagents weighed into a batch, and how much of each is the reagent itself."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import sqrt
from typing import Literal

from .formulas import METALS_OF, atom_counts, formula_mass
from .uncertainty import UFloat, exact, uncertain

Role = Literal["source", "reductant", "flux", "getter", "solvent", "other"]


@dataclass(frozen=True, slots=True)
class ChargeFacts:
    """A reagent weighed into a batch: mass and u (k = 1) in µg, purity 0 to 1.

    Without `u_purity` the purity is a lower bound, as on a bottle: it can be better
    by up to 1 - purity, evenly, so u = (1 - purity)/√12 (JCGM 100:2008, 4.3.8, from
    memory). Raises ValueError for what cannot have been weighed in.
    """

    formula: str
    mass_ug: float
    u_mass_ug: float
    purity: float
    role: Role
    u_purity: float | None = None

    def __post_init__(self) -> None:
        if not self.mass_ug > 0 or not self.u_mass_ug >= 0:
            raise ValueError(f"nothing is charged with {self.mass_ug} µg")
        if not 0 < self.purity <= 1:
            raise ValueError(f"a purity lies between 0 and 1, not {self.purity}")

    @property
    def purity_spread(self) -> float:
        """The standard uncertainty of the purity."""
        given = self.u_purity
        return (1 - self.purity) / sqrt(12) if given is None else given


def pure_parts(charges: Iterable[ChargeFacts]) -> list[tuple[ChargeFacts, UFloat]]:
    """Return each charge with the mass of its pure part in µg.

    Weighings are apart, but one reagent of one stated purity is taken as one bottle,
    whose error all its charges share.
    """
    bottles: dict[tuple[str, float, float], UFloat] = {}
    found = []
    for charge in charges:
        bottle = (charge.formula.strip(), charge.purity, charge.purity_spread)
        if bottle not in bottles:
            tag = f"purity of {bottle[0]}"
            bottles[bottle] = uncertain(charge.purity, charge.purity_spread, tag)
        tag = f"mass of {bottle[0]}"
        weighed = uncertain(charge.mass_ug, charge.u_mass_ug, tag)
        found.append((charge, exact(weighed * bottles[bottle])))
    return found


def moles_of(formula: str, pure_ug: UFloat) -> UFloat:
    return exact(pure_ug * 1e-6 / formula_mass(formula))


def metal_per_mole(formula: str, symbol: str) -> float:
    """Return the grams of metal in one mole; both metals for NaK."""
    counts = atom_counts(formula)
    metals = METALS_OF.get(symbol, (symbol,))
    return sum(counts.get(metal, 0) * formula_mass(metal) for metal in metals)
