"""How pure a metal is: its grade in words, and what an analysis found in it."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from . import formulas, units

SPECIES_MAX = 20
UNITS = {"mg/kg": 1e-6, "µg/g": 1e-6, "ppm": 1e-6, "%": 1e-2}
NUMBERS = (
    *("none", "one", "two", "three", "four", "five", "six"),
    *("seven", "eight", "nine"),
)
NINES_MAX = 6

# What laboratories differ by at some 20 mg/kg: 2^(1 − 0.5 lg c) % (Horwitz, Anal.
# Chem. 54 (1982) 67A; from memory).
MARGIN = 0.1


class PurityError(units.UnitError):
    """What was typed about an impurity cannot be; the message is fit to show."""


@dataclass(frozen=True, slots=True)
class Content:
    """How much of an impurity there is, as a mass fraction; or less than that."""

    fraction: float
    unit: str
    below: bool = False


def parse_content(text: str) -> Content:
    """Return `text` ("12 mg/kg", "< 5 ppm", "0.02 %") as a content."""
    typed = unicodedata.normalize("NFKC", text).strip()
    below = typed.startswith("<")
    try:
        fraction, unit = units.parse_content(typed.removeprefix("<"))
    except units.UnitError as error:
        raise PurityError(str(error)) from error
    if not fraction:
        raise PurityError(
            "Nothing found means below a limit: write the limit, as in < 1 mg/kg."
        )
    return Content(fraction, unit, below)


def show_content(content: Content) -> str:
    """Return a content in the unit it was given in: "12 mg/kg", "< 5 ppm"."""
    number = Decimal(f"{content.fraction / UNITS[content.unit]:.8g}")
    return f"{'< ' if content.below else ''}{number.normalize():f} {content.unit}"


def parse_species(text: str, symbol: str) -> str:
    """Return the element or compound that is an impurity in the metal `symbol`."""
    species = unicodedata.normalize("NFKC", text).replace(" ", "")
    if len(species) > SPECIES_MAX:
        raise PurityError(f"Write it with at most {SPECIES_MAX} characters.")
    try:
        formulas.formula_mass(species)
    except formulas.FormulaError:
        raise PurityError(
            f"“{text.strip()}” is no symbol or formula; write it as in Fe or H2O."
        ) from None
    if species in (symbol, *formulas.METALS_OF.get(symbol, ())):
        raise PurityError(f"{species} is the metal itself, not an impurity.")
    return species


def grade(fraction: float) -> str:
    """Return the nines of a purity, "three nines five (3N5)"; "" below 90 %.

    The figure before N counts the nines, the one after it is the next digit, cut and
    not rounded: 99.98 % is 3N8 (common practice, no source).
    """
    digits = f"{Decimal(repr(fraction)):f}".partition(".")[2]
    nines = len(digits) - len(digits.lstrip("9"))
    if not 1 <= nines <= NINES_MAX:
        return ""
    following = int(digits[nines : nines + 1] or "0")
    counted = f"{NUMBERS[nines]} nine{'s' if nines > 1 else ''}"
    if not following:
        return f"{counted} ({nines}N)"
    return f"{counted} {NUMBERS[following]} ({nines}N{following})"


def total(contents: Iterable[Content]) -> float:
    """Return the mass fraction of all that was found; limits do not count."""
    return sum(content.fraction for content in contents if not content.below)


def contradiction(purity: float | None, contents: Iterable[Content]) -> str:
    """Return in one sentence that more was found than the purity leaves room for.

    Or nothing: when it fits, or is over by no more than laboratories differ.
    """
    found = total(contents)
    if purity is None or found <= (1 - purity) * (1 + MARGIN) + 1e-12:
        return ""
    return (
        f"The impurities add up to {show_share(found)}, but a purity of "
        f"{units.show_percent(purity)} leaves {show_share(1 - purity)} for them."
    )


def show_share(fraction: float) -> str:
    """Return a small mass fraction with two digits, in mg/kg below a tenth of a %."""
    unit = "%" if fraction >= 0.001 else "mg/kg"
    number = Decimal(f"{fraction / UNITS[unit]:.2g}")
    return f"{number.normalize():f} {unit}"
