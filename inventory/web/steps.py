"""How a value that holds from each event to the next is drawn, with its band.

A long history is drawn by columns of the picture, so that its path stays short
whatever the number of events, and shows what all of them would.
"""

from collections.abc import Callable, Iterator
from itertools import groupby
from typing import NamedTuple

COLUMN = 2.0  # pixels: events closer than this are drawn by their extremes


class Step(NamedTuple):
    """A state on the drawing from `x` on: its middle and both ends of its band."""

    x: float
    middle: float
    upper: float
    lower: float


def _thinned(
    steps: list[Step], pick: Callable[[list[Step]], list[Step]]
) -> Iterator[Step]:
    """Yield what `pick` keeps of each column of the drawing."""
    for _, group in groupby(steps, key=lambda step: step.x // COLUMN):
        yield from pick(list(group))


def _extremes(column: list[Step]) -> list[Step]:
    """Return the first, highest, lowest and last, which draw the same column."""
    order = range(len(column))
    lowest = max(order, key=lambda n: column[n].middle)
    highest = min(order, key=lambda n: column[n].middle)
    return [column[n] for n in sorted({0, lowest, highest, len(column) - 1})]


def _envelope(column: list[Step]) -> list[Step]:
    """Return the widest that the band is in the column, then the last of it."""
    if len(column) <= 2:
        return column
    upper = min(step.upper for step in column)
    lower = max(step.lower for step in column)
    return [column[0]._replace(upper=upper, lower=lower), column[-1]]


def line(steps: list[Step], end: float) -> str:
    """Return the path of a value that holds from each event to the next."""
    first, *later = _thinned(steps, _extremes)
    moves = "".join(f"H{px(step.x)}V{px(step.middle)}" for step in later)
    return f"M{px(first.x)},{px(first.middle)}{moves}H{px(end)}"


def band(steps: list[Step], end: float) -> str:
    """Return the outline: along the upper ends, then back along the lower ones."""
    steps = list(_thinned(steps, _envelope))
    first, *later = steps
    there = "".join(f"H{px(step.x)}V{px(step.upper)}" for step in later)
    back = "".join(f"V{px(step.lower)}H{px(step.x)}" for step in reversed(steps))
    return f"M{px(first.x)},{px(first.upper)}{there}H{px(end)}{back}z"


def px(length: float) -> float | int:
    """Return a length to a tenth of a pixel, without an idle `.0`."""
    tenth = round(length, 1)
    return int(tenth) if tenth == int(tenth) else tenth
