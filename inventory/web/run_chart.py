"""The chart of a run: temperature, pressure and collected metal over one time.

Numbers in, points and SVG path strings out; no Django, no colour. However many
readings there are, a column of the picture is drawn by its extremes.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, tzinfo
from itertools import groupby
from math import ceil, floor, log10
from typing import NamedTuple

from . import axes
from .charts import HOUR, INSET, NARROW, WIDE, K, Label, Size
from .steps import COLUMN, Step, line, px

PANE, GAP, HEAD, FOOT, RIGHT = 104.0, 34.0, 26.0, 42.0, 22.0
LEFT = 58.0  # room for "0.001" and "10⁻⁵"
BARS_MOST = 60  # more error bars than these hide each other: a band comes instead
DOT = "m-2.6,0a2.6,2.6 0 1,0 5.2,0a2.6,2.6 0 1,0 -5.2,0z"
SUPERSCRIPT = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")


@dataclass(frozen=True, slots=True)
class Series:
    """What is drawn: (moment, °C), (moment, in `pressure_unit`), (moment, µg, u)."""

    temperatures: list[tuple[datetime, float]]
    pressures: list[tuple[datetime, float]]
    masses: list[tuple[datetime, float, float]]
    pressure_unit: str = "Pa"

    def moments(self) -> list[datetime]:
        every = (*self.temperatures, *self.pressures, *self.masses)
        return [row[0] for row in every]


class Scale(NamedTuple):
    """A value axis: from, to, the numbers at it, and how a value is laid on it."""

    low: float
    high: float
    marks: list[tuple[float, str]]
    laid: Callable[[float], float] = float


@dataclass(frozen=True, slots=True)
class Plot:
    """One of the drawings that stand above each other: its paths and numbers."""

    kind: str
    title: str
    title_y: float
    grid: str
    axis: str
    marks: list[Label]
    line: str = ""
    band: str = ""
    bars: str = ""
    dots: str = ""


@dataclass(frozen=True, slots=True)
class Chart:
    """All plots of a run in one size, ready for the template."""

    size: str
    width: float
    height: float
    plots: list[Plot]
    dates: list[Label]
    ticks: str
    start: str


@dataclass(frozen=True, slots=True)
class Room:
    """Where times and values fall in one plot."""

    top: float
    right: float
    first: float
    last: float
    scale: Scale

    @property
    def foot(self) -> float:
        return self.top + PANE

    def x(self, at: datetime | float) -> float:
        seconds = at.timestamp() if isinstance(at, datetime) else at
        share = (seconds - self.first) / (self.last - self.first)
        return LEFT + INSET + share * (self.right - LEFT - 2 * INSET)

    def y(self, value: float) -> float:
        low, high = self.scale.laid(self.scale.low), self.scale.laid(self.scale.high)
        share = (self.scale.laid(value) - low) / (high - low)
        return self.foot - min(max(share, 0.0), 1.0) * PANE


def even(values: Iterable[float], most: int = 4) -> Scale:
    """Return a scale in round steps around the values, at least ten wide."""
    values = list(values)
    low, high = min(values), max(values)
    step = axes.round_step(max(high - low, 10.0), most)
    first, last = floor(low / step), ceil(high / step)
    last = max(last, first + 1)
    places = max(-floor(log10(step) + 1e-9), 0)
    marks = [(n * step, f"{n * step:.{places}f}") for n in range(first, last + 1)]
    return Scale(first * step, last * step, marks)


def decades(values: Iterable[float], most: int = 5) -> Scale:
    """Return a logarithmic scale of whole decades around values above zero."""
    values = list(values)
    low = floor(log10(min(values)) + 1e-9)
    high = max(ceil(log10(max(values)) - 1e-9), low + 1)
    every = ceil((high - low) / most)
    marks = [
        (10.0**n, power(n)) for n in range(low, high + 1) if (n - low) % every == 0
    ]
    return Scale(10.0**low, 10.0**high, marks, log10)


def power(n: int) -> str:
    """Return ten to the n as it is written at an axis."""
    if -3 <= n <= 4:
        return f"{10.0**n:g}"
    return f"10{str(n).translate(SUPERSCRIPT)}"


def grams(masses: list[tuple[datetime, float, float]], most: int = 4) -> Scale:
    """Return a scale in grams from zero to above the highest band."""
    top = max(max(mass + K * u for _, mass, u in masses), 1000.0)
    marks = axes.mass_marks(top, most)
    return Scale(0.0, marks[-1].value, [(mark.value, mark.text) for mark in marks])


def draw(series: Series, started_at: datetime, size: Size, zone: tzinfo) -> Chart:
    """Return the drawing of a run with at least one value to draw."""
    moments = [*series.moments(), started_at]
    first = min(moments).timestamp()
    last = max(max(moments).timestamp(), first + HOUR)
    plots: list[Plot] = []
    tops: list[float] = []
    for kind, title, scale in scales(series):
        tops.append(HEAD + len(plots) * (PANE + GAP))
        room = Room(tops[-1], size.width - RIGHT, first, last, scale)
        plots.append(plot(kind, title, room, series))
    dates = axes.date_marks(first, last, zone, size.dates)
    return Chart(
        size=size.name,
        width=size.width,
        height=room.foot + FOOT,
        plots=plots,
        dates=[date_label(room, mark, size) for mark in dates],
        ticks="".join(f"M{px(room.x(d.value))},{px(room.foot)}v5" for d in dates),
        start="".join(
            f"M{px(room.x(started_at))},{px(top)}v{px(PANE)}" for top in tops
        ),
    )


def scales(series: Series) -> Iterable[tuple[str, str, Scale]]:
    """Yield (kind, title, scale) of each quantity there are values of."""
    if series.temperatures:
        values = (value for _, value in series.temperatures)
        yield "temperature", "Temperature in °C", even(values)
    if series.pressures:
        values = (value for _, value in series.pressures)
        title = f"Pressure in {series.pressure_unit}, by decades"
        yield "pressure", title, decades(values)
    if series.masses:
        yield "mass", "Collected in g", grams(series.masses)


def plot(kind: str, title: str, room: Room, series: Series) -> Plot:
    """Return one plot with its axis, its numbers and its values."""
    marks = [
        Label(px(LEFT - 8), px(room.y(value)), text) for value, text in room.scale.marks
    ]
    grid = "".join(
        f"M{px(LEFT)},{px(room.y(value))}H{px(room.right)}"
        for value, _ in room.scale.marks[1:]
    )
    axis = f"M{px(LEFT)},{px(room.top - 4)}V{px(room.foot)}H{px(room.right)}"
    if kind == "mass":
        values = mass_paths(series.masses, room)
    else:
        rows = series.temperatures if kind == "temperature" else series.pressures
        values = {"line": step_path(rows, room)}
    return Plot(kind, title, px(room.top - 11), grid, axis, marks, **values)


def step_path(rows: list[tuple[datetime, float]], room: Room) -> str:
    """Return the path of values that hold, each till the next one was read."""
    taken = []
    for at, value in rows:
        y = room.y(value)
        taken.append(Step(room.x(at), y, y, y))
    return line(taken, taken[-1].x + INSET / 2)


def mass_paths(
    masses: list[tuple[datetime, float, float]], room: Room
) -> dict[str, str]:
    """Return the line through the masses, with bars or a band of k = 2 about it."""
    spots = thinned(
        [
            Step(room.x(at), *(room.y(mass + K * n * u) for n in (0, 1, -1)))
            for at, mass, u in masses
        ]
    )
    joined = "M" + "L".join(f"{px(s.x)},{px(s.middle)}" for s in spots)
    if len(spots) > BARS_MOST:
        there = "L".join(f"{px(s.x)},{px(s.upper)}" for s in spots)
        back = "L".join(f"{px(s.x)},{px(s.lower)}" for s in reversed(spots))
        return {"line": joined, "band": f"M{there}L{back}z"}
    bars = "".join(
        f"M{px(s.x)},{px(s.upper)}V{px(s.lower)}M{px(s.x - 3)},{px(s.upper)}h6"
        f"M{px(s.x - 3)},{px(s.lower)}h6"
        for s in spots
    )
    dots = "".join(f"M{px(s.x)},{px(s.middle)}{DOT}" for s in spots)
    return {"line": joined, "bars": bars, "dots": dots}


def thinned(spots: list[Step]) -> list[Step]:
    """Return the lowest and the highest of each column, with its widest spread."""
    kept = []
    for _, group in groupby(spots, key=lambda spot: spot.x // COLUMN):
        column = list(group)
        upper = min(spot.upper for spot in column)
        lower = max(spot.lower for spot in column)
        ends = {min(column, key=middle), max(column, key=middle)}
        kept += [
            spot._replace(upper=upper, lower=lower)
            for spot in sorted(ends, key=lambda spot: spot.x)
        ]
    return kept


def middle(spot: Step) -> float:
    return spot.middle


def date_label(room: Room, mark: axes.Mark, size: Size) -> Label:
    """Return a time below its tick; the longer second line stays on the drawing."""
    x = room.x(mark.value)
    half = len(mark.under) * size.letter / 2
    inside = min(max(x, half), size.width - half)
    return Label(px(x), px(room.foot + 19), mark.text, mark.under, px(inside))


def drawn(series: Series, started_at: datetime, zone: tzinfo) -> list[Chart]:
    """Return the drawing for wide and narrow places; nothing without a value."""
    if not series.moments():
        return []
    return [draw(series, started_at, size, zone) for size in (WIDE, NARROW)]
