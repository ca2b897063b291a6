"""An uncertainty budget as a person reads it: one unit, aligned, a bar a source."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import floor, log10, sqrt

from inventory.calc.weighing import BudgetLine

UNITS = ((1e6, "g"), (10.0, "mg"), (0.0, "µg"))  # from so many µg on
PER_UNIT = {"g": 1e6, "mg": 1e3, "µg": 1.0}


@dataclass(frozen=True, slots=True)
class Row:
    """A source, its standard uncertainty and its share of the variance in per cent."""

    source: str
    u: str
    share: str
    percent: float


@dataclass(frozen=True, slots=True)
class Budget:
    """The rows in the order given, and what they come to together."""

    rows: list[Row]
    combined_ug: float
    combined: str


def drawn(lines: Sequence[BudgetLine]) -> Budget:
    """Return the budget with all its uncertainties in the unit of the combined one.

    The sources are independent, so they add as squares (JCGM 100:2008, 5.1.2).
    One digit more is shown than the two of a result, so that small parts are seen.
    """
    combined_ug = sqrt(sum(line.u_ug**2 for line in lines))
    if not combined_ug:
        return Budget([], 0.0, "0 mg")
    unit = next(name for floor_ug, name in UNITS if combined_ug >= floor_ug)
    places = max(2 - floor(log10(combined_ug / PER_UNIT[unit])), 0)
    rows = [
        Row(
            line.source,
            _shown(line.u_ug / PER_UNIT[unit], places, unit),
            _shown(100 * line.share, 1, "%"),
            round(100 * line.share, 2),
        )
        for line in lines
    ]
    combined = _shown(combined_ug / PER_UNIT[unit], places, unit)
    return Budget(rows, combined_ug, combined)


def _shown(value: float, places: int, unit: str) -> str:
    """Return a number; one that would round to nothing is said to be below a digit."""
    least = 10.0**-places
    below = 0 < value < least / 2
    return f"{'< ' if below else ''}{least if below else value:.{places}f} {unit}"
