"""The marks of events on a chart: a shape a kind, told apart without colour."""

from dataclasses import dataclass, replace
from math import floor, hypot

# Paths around their own middle. The two of a weighing that disagrees are larger and
# carry a sign; they come in place of the mark of what was weighed.
SHAPES = {
    "start": "m-4,0a4,4 0 1,0 8,0a4,4 0 1,0 -8,0z",
    "fill": "m0,-5.5l5,9h-10z",
    "withdrawal": "m0,5.5l5,-9h-10z",
    "transfer": "m-6,-4.5l6,4.5 6,-4.5v9l-6,-4.5 -6,4.5z",
    "check": "m-3.8,0a3.8,3.8 0 1,0 7.6,0a3.8,3.8 0 1,0 -7.6,0z",
    "difference": "m0,-5.5l5.5,5.5 -5.5,5.5 -5.5,-5.5z",
    "medium": "m-4,-4h8v8h-8z",
    "correction": "m-4,-4l8,8m0,-8l-8,8",
    "warn": "m0,-10l9.5,16.5h-19z",
    "stop": "m-3.5,-8.5h7l5,5v7l-5,5h-7l-5,-5v-7z",
}
SIGNS = {"warn": "m0,-4.2v5m0,3v.1", "stop": "m0,-4.5v5m0,3.6v.1"}
NAMES = {  # of one and of several
    "start": ("start", "starts"),
    "fill": ("filling", "fillings"),
    "withdrawal": ("withdrawal", "withdrawals"),
    "transfer": ("transfer", "transfers"),
    "check": ("check weighing", "check weighings"),
    "difference": ("difference posted", "differences posted"),
    "medium": ("change of medium", "changes of medium"),
    "correction": ("correction", "corrections"),
    "warn": ("weighing to check", "weighings to check"),
    "stop": ("weighing to investigate", "weighings to investigate"),
}
VERDICTS = {"check": "warn", "investigate": "stop"}
ADVICE = {
    "warn": "The weighing disagrees by 2 to 3 u: check.",
    "stop": "The weighing disagrees by more than 3 u: investigate before use.",
}
# Which mark stays where several would lie on each other: the rarer and graver.
RANK = (
    "stop",
    "warn",
    "difference",
    "correction",
    "fill",
    "transfer",
    "withdrawal",
    "medium",
    "start",
    "check",
)
APART, MOST = 11.0, 120


@dataclass(frozen=True, slots=True)
class Drawn:
    """One mark: its shape, its middle in pixels, its words."""

    shape: str
    x: float
    y: float
    words: str

    @property
    def path(self) -> str:
        """Return the outline where it stands on the drawing."""
        return f"M{self.x:g},{self.y:g}{SHAPES[self.shape]}"

    @property
    def sign(self) -> str:
        """Return the exclamation mark inside it, or nothing."""
        sign = SIGNS.get(self.shape)
        return f"M{self.x:g},{self.y:g}{sign}" if sign else ""


def shape_of(kind: str, verdict: str) -> str:
    """Return the shape of an event; that of a disagreeing weighing goes first."""
    return VERDICTS.get(verdict, kind)


def key(shapes: set[str]) -> list[tuple[Drawn, str]]:
    """Return each shape in the middle of a 20 pixel square, with its name."""
    return [(Drawn(s, 10, 10, ""), NAMES[s][0]) for s in SHAPES if s in shapes]


def spaced(wanted: list[Drawn]) -> list[Drawn]:
    """Return the marks that can be told apart, in order, the gravest painted last.

    One that would lie on another is left out, and that one says so in its words.
    """
    apart = APART
    while len(kept := _chosen(wanted, apart)) > MOST:
        apart *= 1.3
    shown = [_with_others(wanted[n], others) for n, others in sorted(kept.items())]
    return sorted(shown, key=lambda mark: mark.shape in ADVICE)


def _chosen(wanted: list[Drawn], apart: float) -> dict[int, int]:
    """Return the places of the marks that stay, with how many each stands for."""
    kept: dict[int, int] = {}
    cells: dict[tuple[int, int], list[int]] = {}
    order = sorted(range(len(wanted)), key=lambda n: (RANK.index(wanted[n].shape), n))
    for n in order:
        mark = wanted[n]
        cell = floor(mark.x / apart), floor(mark.y / apart)
        near = _nearest(mark, wanted, cells, cell)
        if near is not None and _distance(mark, wanted[near]) < apart:
            kept[near] += 1
        else:
            kept[n] = 0
            cells.setdefault(cell, []).append(n)
    return kept


def _nearest(
    mark: Drawn,
    wanted: list[Drawn],
    cells: dict[tuple[int, int], list[int]],
    cell: tuple[int, int],
) -> int | None:
    """Return which kept mark of this cell or of those around it is nearest."""
    around = [(cell[0] + i, cell[1] + j) for i in (-1, 0, 1) for j in (-1, 0, 1)]
    near = [n for place in around for n in cells.get(place, ())]
    return min(near, key=lambda n: _distance(mark, wanted[n]), default=None)


def _distance(one: Drawn, other: Drawn) -> float:
    return hypot(one.x - other.x, one.y - other.y)


def _with_others(mark: Drawn, others: int) -> Drawn:
    if not others:
        return mark
    events = "event" if others == 1 else "events"
    return replace(mark, words=f"{mark.words} And {others} more {events} close by.")
