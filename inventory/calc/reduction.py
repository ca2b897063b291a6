"""What source and reductant together allow, counted in electrons.

An upper limit by atoms and electrons. It knows nothing of equilibria, or of metal
that a salt, a flux, a getter or the vessel keeps; only sources and reductants count.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from .charges import ChargeFacts, metal_per_mole, moles_of, pure_parts
from .electrons import Need, electrons_given, electrons_needed
from .formulas import FormulaError, atom_counts, metal_atoms
from .uncertainty import UFloat, exact, nominal, spread

CLOSE = 2.0
"""Standard uncertainties within which source and reductant count as equal."""

BINDING = {"Al": "aluminate", "Si": "silicate", "Ti": "titanate", "Zr": "zirconate"}
"""What the oxides of these reductants form with an oxide that is still there:
4 CaO + 2 Al gives 3 Ca + CaO·Al2O3 (Canadian Institute of Mining Bulletin, January
1948); a dispenser of Na2CrO4 leaves NaCrO2 (J. Vac. Sci. Technol. B 40 (2022), no. 5,
doi 10.1116/6.0001863)."""


@dataclass(frozen=True, slots=True)
class Limit:
    """The most metal in µg that source and reductant together allow.

    `name` is what runs out first: the sources' formulas, "the reductant", both with
    "or" between when they are too close to tell, "" when there is no source. `note`
    is one sentence on why less may come, or "".
    """

    name: str
    mass_ug: UFloat
    note: str = ""


@dataclass(frozen=True, slots=True)
class Source:
    formula: str
    pure_ug: UFloat
    metal_ug: UFloat
    moles: UFloat
    need: Need

    @property
    def least(self) -> UFloat:
        """Electrons in mol without which the metal cannot come."""
        return exact(self.moles * self.need.least)

    @property
    def most(self) -> UFloat:
        """Electrons in mol that it takes if all that can be is reduced."""
        return exact(self.moles * self.need.most)


@dataclass(frozen=True, slots=True)
class Reductant:
    formula: str
    pure_ug: UFloat
    electrons: UFloat


def weighed(
    charges: Iterable[ChargeFacts], symbol: str
) -> tuple[list[Source], list[Reductant]]:
    """Return the sources that hold the metal, and the reductants.

    Raises FormulaError for a reductant whose electrons are unknown, or that is the
    metal itself.
    """
    pure = pure_parts(charges)
    reductants = []
    for charge, pure_ug in pure:
        if charge.role == "reductant":
            _refuse_own_metal(charge.formula, symbol)
            moles = moles_of(charge.formula, pure_ug)
            electrons = exact(moles * electrons_given(charge.formula))
            reductants.append(Reductant(charge.formula.strip(), pure_ug, electrons))
    elements = {el for item in reductants for el in atom_counts(item.formula)}
    sources = []
    for charge, pure_ug in pure:
        if charge.role == "source" and metal_atoms(charge.formula, symbol):
            moles = moles_of(charge.formula, pure_ug)
            metal_ug = exact(moles * metal_per_mole(charge.formula, symbol) * 1e6)
            need = electrons_needed(charge.formula, symbol, elements)
            formula = charge.formula.strip()
            sources.append(Source(formula, pure_ug, metal_ug, moles, need))
    return sources, reductants


def _refuse_own_metal(formula: str, symbol: str) -> None:
    """Refuse sodium as the reductant of NaK: what is left of it is in the product."""
    if metal_atoms(formula, symbol):
        raise FormulaError(
            f"{formula.strip()} as a reductant holds the metal that is being made, and "
            "what is left of it comes out with the rest; so neither an excess nor a "
            "limit by the reductant is worked out."
        )


def total(values: Iterable[UFloat]) -> UFloat:
    return exact(sum(values, exact(0.0)))


def excess(charges: Iterable[ChargeFacts], symbol: str) -> UFloat | None:
    """Return the reductant's electrons over those the sources can take; 1 is enough.

    It is the least that the excess can be: all in the sources that can be reduced
    (carbonate, chromate, water of a hydrate) is counted as reduced. None if no
    reductant is charged, or nothing has to be reduced: the metal itself, an azide.
    Raises FormulaError when the reductant's electrons are not known.
    """
    sources, reductants = weighed(charges, symbol)
    needed = total(source.most for source in sources)
    if not reductants or not nominal(needed):
        return None
    return exact(total(item.electrons for item in reductants) / needed)


def reductant_excess(charges: Iterable[ChargeFacts], symbol: str) -> float | None:
    """Return `excess` without its uncertainty."""
    found = excess(charges, symbol)
    return None if found is None else nominal(found)


def limiting(charges: Iterable[ChargeFacts], symbol: str) -> Limit:
    """Return the most metal that can come, and what sets that limit.

    Each source takes the least electrons its metal can come for, and the reductant
    goes where it frees most. Without a reductant the sources alone set the limit.
    Raises FormulaError when the reductant's electrons are not known.
    """
    sources, reductants = weighed(charges, symbol)
    shares = shares_of(sources, reductants)
    mass = total(
        exact(share * source.metal_ug)
        for share, source in zip(shares, sources, strict=True)
    )
    return Limit(_name(sources, reductants), mass, _note(sources, reductants))


def shares_of(
    sources: Sequence[Source], reductants: Sequence[Reductant]
) -> list[UFloat]:
    """Return the fraction of each source whose metal can be freed."""
    shares = [exact(1.0)] * len(sources)
    if not reductants:
        return shares
    left = total(item.electrons for item in reductants)
    hungry = [i for i, source in enumerate(sources) if nominal(source.least)]
    hungry.sort(key=lambda i: nominal(sources[i].metal_ug / sources[i].least))
    for i in reversed(hungry):
        least = sources[i].least
        if nominal(left) < nominal(least):
            shares[i] = exact(left / least)
            left = exact(0.0)
        else:
            left = exact(left - least)
    return shares


def _name(sources: Sequence[Source], reductants: Sequence[Reductant]) -> str:
    formulas = list(dict.fromkeys(source.formula for source in sources))
    names = " and ".join(filter(None, [", ".join(formulas[:-1]), *formulas[-1:]]))
    needed = total(source.least for source in sources)
    if not reductants or not nominal(needed):
        return names
    spare = exact(total(item.electrons for item in reductants) - needed)
    if abs(nominal(spare)) <= CLOSE * spread(spare) + 1e-9 * nominal(needed):
        return f"{names} or the reductant"
    return names if nominal(spare) > 0 else "the reductant"


def _note(sources: Sequence[Source], reductants: Sequence[Reductant]) -> str:
    """Return why less than the limit may come although both were weighed rightly."""
    if not reductants:
        return ""
    given = nominal(total(item.electrons for item in reductants))
    if given < (1 - 1e-9) * nominal(total(source.most for source in sources)):
        wider = [s.formula for s in sources if s.need.most > s.need.least]
        if wider:
            return (
                f"The reductant is not enough for all that {wider[0]} holds besides "
                "the metal; as far as that is reduced too, less metal comes."
            )
    elements = {el for item in reductants for el in atom_counts(item.formula)}
    for source in sources:
        atoms = atom_counts(source.formula)
        bound = [word for element, word in BINDING.items() if element in elements]
        if "O" in atoms and ("Cr" in atoms or bound):
            word = "chromite" if "Cr" in atoms else bound[0]
            return (
                f"Part of the {source.formula} may stay behind as {word}, whatever the "
                "excess of the reductant; then less metal comes."
            )
    return ""


def limited_mass(charges: Iterable[ChargeFacts], symbol: str) -> UFloat:
    """Return the most metal in µg that `limiting` allows."""
    return limiting(charges, symbol).mass_ug
