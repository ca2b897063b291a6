"""How much metal a batch can give at most, and how much of that it gave."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

import molmass

from .uncertainty import UFloat, exact, nominal, uncertain

FORMULA_MAX = 60

Role = Literal["source", "reductant", "flux", "getter", "solvent", "other"]

METALS_OF: Mapping[str, tuple[str, ...]] = {"NaK": ("Na", "K")}

ELECTRONS = {
    **dict.fromkeys(("Li", "Na", "K", "Rb", "Cs"), 1),
    **dict.fromkeys(("Mg", "Ca", "Sr", "Ba"), 2),
    **dict.fromkeys(("Al", "La", "Ce", "Y"), 3),
    **dict.fromkeys(("Zr", "Ti", "Hf", "Si", "Th"), 4),
}
"""Electrons an atom gives as a reductant, by its usual oxidation state."""

ANION_CHARGE = {"O": 2, "S": 2, "F": 1, "Cl": 1, "Br": 1, "I": 1}
"""What stays behind as an anion; all other elements end up as elements."""

_PART = re.compile(r"([0-9]{1,3})?((?:[A-Z][a-z]?[0-9]{0,4}|[(\[]|[)\]][0-9]{0,4})+)")
_WATER_DOT = re.compile(r"(?<![A-Za-z)\]]1)\.(?=[0-9]*H2O(?![a-z0-9]))")


class FormulaError(ValueError):
    """What was typed is no formula that can be worked with; fit to show."""


@dataclass(frozen=True, slots=True)
class ChargeFacts:
    """A reagent weighed into a batch: mass and u (k = 1) in µg, purity 0 to 1."""

    formula: str
    mass_ug: float
    u_mass_ug: float
    purity: float
    role: Role


@dataclass(frozen=True, slots=True)
class Theoretical:
    """The most metal that the charges can give, and what each source adds in µg."""

    amount_mol: float
    mass_ug: UFloat
    by_charge: list[tuple[ChargeFacts, UFloat]] = field(default_factory=list)


def _clean(formula: str) -> str:
    """Return the formula as molmass reads it, or say in one sentence why not.

    A dot before water, or a raised dot before anything, joins a hydrate's parts.
    Decimals, charges and isotopes are refused, because molmass would read
    "2H2O" as heavy water and "C1.5H" as C and five H.
    """
    if len(formula) > FORMULA_MAX:
        raise FormulaError("This formula is too long.")
    text = unicodedata.normalize("NFKC", formula).replace(" ", "")
    shown = formula.strip()
    if not text:
        raise FormulaError("Write the formula, as in RbCl or K2CO3.")
    if re.search(r"[+\-−]|[(\[][0-9]|\^", text):
        raise FormulaError(f"“{shown}” holds a charge or an isotope; leave it out.")
    parts = re.split(r"[·∙•⋅*]", _WATER_DOT.sub("·", text))
    if any(part.isdigit() or "." in part or "," in part for part in parts):
        raise FormulaError(f"“{shown}” needs whole numbers of atoms, as in CuSO4·5H2O.")
    if re.match(r"[0-9]", parts[0]):
        raise FormulaError("Begin the formula with an element, as in CuSO4·5H2O.")
    return "".join(_part(part, shown) for part in parts)


def _part(part: str, shown: str) -> str:
    """Return one part of a hydrate with its number moved behind it."""
    match = _PART.fullmatch(part)
    if match is None:
        raise FormulaError(f"“{shown}” is not a formula; write it as in RbCl.")
    if {"D", "T"} & set(re.findall("[A-Z][a-z]?", part)):
        raise FormulaError(f"“{shown}” holds an isotope; write H for it.")
    return f"({match.group(2)}){match.group(1) or ''}"


def _parsed(formula: str) -> molmass.Formula:
    clean = _clean(formula)
    try:
        parsed = molmass.Formula(
            clean,
            parse_groups=False,
            parse_oligos=False,
            parse_fractions=False,
            parse_arithmetic=False,
            allow_empty=False,
        )
        _counts(parsed)  # reads the formula, which was only stored so far
    except molmass.FormulaError:
        raise FormulaError(
            f"“{formula.strip()}” is not a formula; check its symbols and brackets."
        ) from None
    return parsed


def _counts(parsed: molmass.Formula) -> dict[str, int]:
    composition = parsed.composition(isotopic=False)
    return {symbol: int(item.count) for symbol, item in composition.items()}


def formula_mass(formula: str) -> float:
    """Return the molar mass in g/mol, with molmass's standard atomic weights."""
    return float(_parsed(formula).mass)


def metal_atoms(formula: str, symbol: str) -> int:
    """Return the atoms of the metal in one formula unit, both metals for NaK."""
    counts = _counts(_parsed(formula))
    return sum(counts.get(metal, 0) for metal in METALS_OF.get(symbol, (symbol,)))


def _sources(charges: Iterable[ChargeFacts]) -> list[ChargeFacts]:
    return [charge for charge in charges if charge.role == "source"]


def _mass_in(charge: ChargeFacts) -> UFloat:
    """Return the charge's pure part in µg."""
    weighed = uncertain(charge.mass_ug, charge.u_mass_ug, f"mass of {charge.formula}")
    return exact(weighed * charge.purity)


def theoretical_metal(charges: Iterable[ChargeFacts], symbol: str) -> Theoretical:
    """Return all the metal that the sources hold; several sources add up.

    For NaK the sodium and the potassium of every source count, each with its own
    atomic weight, so the result is the alloy both could make, at their ratio.
    """
    amount = 0.0
    by_charge: list[tuple[ChargeFacts, UFloat]] = []
    for charge in _sources(charges):
        counts = _counts(_parsed(charge.formula))
        units = exact(_mass_in(charge) * 1e-6 / formula_mass(charge.formula))
        metals = METALS_OF.get(symbol, (symbol,))
        atoms = sum(counts.get(metal, 0) for metal in metals)
        per_unit = sum(counts.get(metal, 0) * formula_mass(metal) for metal in metals)
        amount += nominal(units) * atoms
        by_charge.append((charge, exact(units * per_unit * 1e6)))
    mass = exact(sum((metal_ug for _, metal_ug in by_charge), exact(0.0)))
    return Theoretical(amount, mass, by_charge)


def _electrons_given(formula: str) -> int:
    """Return the electrons one formula unit of a reducing metal or alloy gives."""
    given = 0
    for element, count in _counts(_parsed(formula)).items():
        if element not in ELECTRONS:
            raise FormulaError(
                f"The electrons that {formula.strip()} gives as a reductant "
                "are not known here; charge the metal itself."
            )
        given += ELECTRONS[element] * count
    return given


def _electrons_needed(formula: str) -> int:
    """Return the electrons that free a formula unit's metal, and all it holds besides.

    They equal the charge of the anions left behind: one an alkali halide, two
    an alkaline-earth oxide, eight a chromate, whose chromium is reduced too.
    """
    counts = _counts(_parsed(formula))
    return sum(
        ANION_CHARGE.get(element, 0) * count for element, count in counts.items()
    )


def _excess(charges: Iterable[ChargeFacts], symbol: str) -> UFloat | None:
    given, needed = exact(0.0), exact(0.0)
    for charge in charges:
        if charge.role == "reductant":
            units = _mass_in(charge) / formula_mass(charge.formula)
            given = exact(given + units * _electrons_given(charge.formula))
        elif charge.role == "source" and metal_atoms(charge.formula, symbol):
            units = _mass_in(charge) / formula_mass(charge.formula)
            needed = exact(needed + units * _electrons_needed(charge.formula))
    return exact(given / needed) if nominal(needed) else None


def reductant_excess(charges: Iterable[ChargeFacts], symbol: str) -> float | None:
    """Return the reductant's electrons over those the sources need, 1 being enough.

    None if nothing has to be reduced: no source, the metal itself, or an azide.
    """
    excess = _excess(charges, symbol)
    return None if excess is None else nominal(excess)


def limited_mass(charges: Iterable[ChargeFacts], symbol: str) -> UFloat:
    """Return the most metal in µg, the lesser of what source and reductant allow.

    A batch without any reductant is limited by its sources alone.
    """
    charges = list(charges)
    most = theoretical_metal(charges, symbol).mass_ug
    if not any(charge.role == "reductant" for charge in charges):
        return most
    excess = _excess(charges, symbol)
    if excess is None or nominal(excess) >= 1:
        return most
    return exact(most * excess)


def yield_of(mass_ug: UFloat, theoretical: UFloat) -> UFloat:
    """Return the yield as a fraction of the theoretical mass."""
    if nominal(theoretical) <= 0:
        raise FormulaError("The charges hold none of this metal, so there is no yield.")
    return exact(mass_ug / theoretical)
