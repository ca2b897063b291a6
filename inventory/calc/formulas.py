"""A formula as chemists type it, read by a library, or refused in a sentence."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping

import molmass

FORMULA_MAX = 60

METALS_OF: Mapping[str, tuple[str, ...]] = {"NaK": ("Na", "K")}

HALOGENS = ("F", "Cl", "Br", "I")
NON_METALS = (*HALOGENS, "O", "S", "Se", "Te", "N", "P", "C", "B", "H")
ALKALI = ("Li", "Na", "K", "Rb", "Cs")
ALKALINE_EARTHS = ("Be", "Mg", "Ca", "Sr", "Ba")
IONS = {**dict.fromkeys(ALKALI, 1), **dict.fromkeys(ALKALINE_EARTHS, 2)}
"""The charge of each metal of the first two groups in its salts."""

ATOMS_MAX = 30
"""From this count on, a metal's number beside a non-metal is taken for its mass."""

_PART = re.compile(r"([0-9]{1,3})?((?:[A-Z][a-z]?[0-9]{0,4}|[(\[]|[)\]][0-9]{0,4})+)")
_WATER_DOT = re.compile(r"(?<![A-Za-z)\]]1)\.(?=[0-9]*H2O(?![a-z0-9]))")


class FormulaError(ValueError):
    """What was typed is no formula that can be worked with; fit to show."""


def formula_mass(formula: str) -> float:
    """Return the molar mass in g/mol, with molmass's standard atomic weights.

    They agree with IUPAC's of 2021 within the uncertainties given there. Lithium's
    is the worst known: 6.94 ± 0.06, because lots are sold that are short of ⁶Li.
    """
    return float(parsed(formula).mass)


def atom_counts(formula: str) -> dict[str, int]:
    """Return {element: atoms} of one formula unit."""
    return _counts(parsed(formula))


def metal_atoms(formula: str, symbol: str) -> int:
    """Return the atoms of the metal in one formula unit, both metals for NaK."""
    counts = atom_counts(formula)
    return sum(counts.get(metal, 0) for metal in METALS_OF.get(symbol, (symbol,)))


def parsed(formula: str) -> molmass.Formula:
    """Return the formula as read by molmass. Raises FormulaError."""
    clean = _clean(formula)
    try:
        found = molmass.Formula(
            clean,
            parse_groups=False,
            parse_oligos=False,
            parse_fractions=False,
            parse_arithmetic=False,
            allow_empty=False,
        )
        _counts(found)  # reads the formula, which was only stored so far
    except molmass.FormulaError:
        raise FormulaError(
            f"“{formula.strip()}” is not a formula; check its symbols and brackets."
        ) from None
    return found


def refuse_unlikely(formula: str) -> None:
    """Raise FormulaError for what can be read and is most likely a slip.

    Asked where a formula is typed in. Reading one does not ask: what is on record
    is not to be lost because of a check that came later.
    """
    counts = atom_counts(formula)
    _refuse_mass_numbers(counts, formula.strip())
    _refuse_unbalanced_halide(counts, formula.strip())


def _counts(found: molmass.Formula) -> dict[str, int]:
    composition = found.composition(isotopic=False)
    return {symbol: int(item.count) for symbol, item in composition.items()}


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
        raise FormulaError(
            "Begin the formula with an element, as in CuSO4·5H2O, "
            "without a number of moles or an isotope's mass number."
        )
    return "".join(_part(part, shown) for part in parts)


def _part(part: str, shown: str) -> str:
    """Return one part of a hydrate with its number moved behind it."""
    match = _PART.fullmatch(part)
    if match is None:
        raise FormulaError(f"“{shown}” is not a formula; write it as in RbCl.")
    if {"D", "T"} & set(re.findall("[A-Z][a-z]?", part)):
        raise FormulaError(f"“{shown}” holds an isotope; write H for it.")
    return f"({match.group(2)}){match.group(1) or ''}"


def _refuse_mass_numbers(counts: Mapping[str, int], shown: str) -> None:
    """Refuse Sr90CO3, which would be read as ninety atoms of strontium.

    Alloys by their percentages (Na22K78) hold no non-metal and pass.
    """
    if not counts.keys() & set(NON_METALS):
        return
    for element in IONS:
        if counts.get(element, 0) >= ATOMS_MAX:
            raise FormulaError(
                f"“{shown}” reads as {counts[element]} atoms of {element}; "
                "leave out an isotope's mass number."
            )


def _refuse_unbalanced_halide(counts: Mapping[str, int], shown: str) -> None:
    """Refuse RbCl2, CaCl or Li7Cl: a slip that would change the sums unseen.

    Only salts of the first two groups with halogens, dry or with water, are looked
    at: there are no others of these metals with less halogen, and with more of it
    only those of bromine and iodine (CsI3).
    """
    left = dict(counts)
    water = left.pop("O", 0)
    if left.pop("H", 0) != 2 * water:
        return
    halogens = {element: left.pop(element, 0) for element in HALOGENS}
    if not left or left.keys() - IONS.keys() or not any(halogens.values()):
        return
    positive = sum(IONS[element] * count for element, count in left.items())
    negative = sum(halogens.values())
    poly = negative > positive and (halogens["Br"] or halogens["I"])
    if positive != negative and not poly:
        raise FormulaError(
            f"The charges in “{shown}” do not balance; check its numbers, and leave "
            "out an isotope's mass number."
        )
