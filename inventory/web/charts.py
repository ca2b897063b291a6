"""Charts: numbers in, points and SVG path strings out.

Pure geometry, as web.figure is: no Django, no colour. Lengths are in pixels of the
drawing, y pointing down. A drawing has no ids, so any number may stand on one page.
"""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, tzinfo
from itertools import groupby
from operator import attrgetter

from inventory.calc import units

from . import axes, marks
from .marks import Drawn
from .steps import Step, band, line, px

K = 2  # the coverage factor that every shown uncertainty has
HOUR = 3600
INSET = 9.0  # room for half a mark at either end of the time axis
CUT = 1.6  # the picture ends at so many times the most there ever was
LEAST = 1000.0  # µg: no scale is finer than this


@dataclass(frozen=True, slots=True)
class Point:
    """One event of a vessel and what was believed to be in it afterwards.

    `metal_ug` and its standard uncertainty `u_ug` hold until the next event.
    `kind` is a key of marks.SHAPES, `words` say what happened; `verdict` of a
    weighing is quiet, check or investigate, of anything else "". `at` is aware.
    """

    at: datetime
    metal_ug: float
    u_ug: float
    kind: str
    words: str
    verdict: str = ""


@dataclass(frozen=True, slots=True)
class Size:
    """How large a drawing is and how many numbers its axes have room for."""

    name: str
    width: float
    height: float
    dates: int
    masses: int = 5
    letter: float = 7.3  # width of a digit


WIDE = Size("wide", 640, 260, dates=7)
NARROW = Size("narrow", 300, 240, dates=4)
TOP, FOOT, RIGHT = 30.0, 42.0, 22.0  # what is kept free around the plot


@dataclass(frozen=True, slots=True)
class Label:
    """A number beside an axis; of a date, `under` is its second line."""

    x: float
    y: float
    text: str
    under: str = ""
    under_x: float = 0.0


@dataclass(frozen=True, slots=True)
class Frame:
    """Where times and masses fall on one drawing."""

    left: float
    right: float
    foot: float
    first: float
    last: float
    top_ug: float

    def x(self, at: datetime | float) -> float:
        """Return the place of a moment, given as such or in seconds since 1970."""
        seconds = at.timestamp() if isinstance(at, datetime) else at
        room = self.right - self.left - 2 * INSET
        share = (seconds - self.first) / (self.last - self.first)
        return self.left + INSET + share * room

    def y(self, ug: float) -> float:
        """Return the height of a mass, kept inside the plot."""
        share = min(max(ug / self.top_ug, 0.0), 1.0)
        return self.foot - share * (self.foot - TOP)


@dataclass(frozen=True, slots=True)
class Chart:
    """A drawing of what remained over time, ready for its template."""

    size: str
    width: float
    height: float
    grid: str
    axis: str
    band: str
    line: str
    dates: list[Label]
    masses: list[Label]
    marks: list[Drawn]
    cut: bool


def remaining(
    points: list[Point],
    size: Size = WIDE,
    *,
    until: datetime | None = None,
    zone: tzinfo = UTC,
) -> Chart:
    """Return the drawing of events in order of time, at least one.

    The last state holds `until` then, or just past its own event without one.
    Dates are those of `zone`.
    """
    settled = states(points)
    most = max(max(point.metal_ug for point in settled), 0.0)
    reach = max(point.metal_ug + K * point.u_ug for point in settled)
    masses = axes.mass_marks(_top(most, reach), size.masses)
    first = points[0].at.timestamp()
    last = max(points[-1].at, until or points[-1].at).timestamp()
    frame = Frame(
        left=max(len(mark.text) for mark in masses) * size.letter + 14,
        right=size.width - RIGHT,
        foot=size.height - FOOT,
        first=first,
        last=max(last, first + HOUR),
        top_ug=masses[-1].value,
    )
    dates = axes.date_marks(frame.first, frame.last, zone, size.dates)
    steps = [_step(point, frame) for point in settled]
    end = frame.x(last)
    end = end if end - steps[-1].x >= INSET else steps[-1].x + INSET
    return Chart(
        size=size.name,
        width=size.width,
        height=size.height,
        grid="".join(_across(frame, mark.value) for mark in masses[1:]),
        axis=_axis(frame, dates),
        band=band(steps, end),
        line=line(steps, end),
        dates=[_date_label(frame, mark, size) for mark in dates],
        masses=[
            Label(px(frame.left - 8), px(frame.y(m.value)), m.text) for m in masses
        ],
        marks=_marks(points, settled, frame, zone),
        cut=reach > frame.top_ug,
    )


def _top(most: float, reach: float) -> float:
    """Return what the scale must hold: the band, unless it dwarfs all there was."""
    return max(min(reach, CUT * most) if most > 0 else reach, LEAST)


def drawn(
    points: list[Point], label: str, until: datetime | None, zone: tzinfo
) -> dict[str, object]:
    """Return what the template shows: both sizes, their words and their key."""
    if not points:
        return {}
    charts = [
        remaining(points, size, until=until, zone=zone) for size in (WIDE, NARROW)
    ]
    return {
        "title": f"Metal remaining over time{label and ': '}{label}",
        "words": in_words(points, zone),
        "charts": charts,
        "key": marks.key({mark.shape for chart in charts for mark in chart.marks}),
        "cut": charts[0].cut,
    }


def states(points: list[Point]) -> list[Point]:
    """Return the last of the points of each moment.

    What is believed between a pour and the reading that tells its size lasts no
    time at all: drawn, it would be a spike that nobody ever saw.
    """
    return [list(group)[-1] for _, group in groupby(points, key=attrgetter("at"))]


def in_words(points: list[Point], zone: tzinfo = UTC) -> str:
    """Return the sentence that stands for the drawing."""
    first, last = points[0], points[-1]
    counts = Counter(marks.shape_of(point.kind, point.verdict) for point in points)
    happened = [
        f"{counts[shape]} {marks.NAMES[shape][counts[shape] > 1]}"
        for shape in marks.SHAPES
        if counts[shape] and shape != "start"
    ]
    middle = f" On the way: {', '.join(happened)}." if happened else ""
    return (
        f"From {axes.on_day(first.at.astimezone(zone))}, "
        f"{units.show_mass(first.metal_ug, first.u_ug)}, "
        f"to {axes.on_day(last.at.astimezone(zone))}, "
        f"{units.show_mass(last.metal_ug, last.u_ug)}.{middle}"
    )


def _step(point: Point, frame: Frame) -> Step:
    spread = K * point.u_ug
    heights = (point.metal_ug, point.metal_ug + spread, point.metal_ug - spread)
    return Step(frame.x(point.at), *map(frame.y, heights))


def _across(frame: Frame, ug: float) -> str:
    return f"M{px(frame.left)},{px(frame.y(ug))}H{px(frame.right)}"


def _axis(frame: Frame, dates: Iterable[axes.Mark]) -> str:
    """Return both axes and a short tick at each date."""
    ticks = "".join(f"M{px(frame.x(d.value))},{px(frame.foot)}v5" for d in dates)
    corner = f"M{px(frame.left)},{px(TOP - 6)}V{px(frame.foot)}"
    return f"{corner}H{px(frame.right)}{ticks}"


def _date_label(frame: Frame, mark: axes.Mark, size: Size) -> Label:
    """Return a date below its tick; the longer second line stays on the drawing."""
    x, half = frame.x(mark.value), len(mark.under) * size.letter / 2
    inside = min(max(x, half), size.width - half)
    return Label(px(x), px(frame.foot + 19), mark.text, mark.under, px(inside))


def _marks(
    points: list[Point], settled: list[Point], frame: Frame, zone: tzinfo
) -> list[Drawn]:
    """Return the events as marks on the line, each with its words."""
    height = {point.at: frame.y(point.metal_ug) for point in settled}
    wanted = [
        Drawn(
            marks.shape_of(point.kind, point.verdict),
            frame.x(point.at),
            height[point.at],
            _event_words(point, zone),
        )
        for point in points
    ]
    return [replace(mark, x=px(mark.x), y=px(mark.y)) for mark in marks.spaced(wanted)]


def _event_words(point: Point, zone: tzinfo) -> str:
    at = point.at.astimezone(zone)
    left = units.show_mass(point.metal_ug, point.u_ug)
    shape = marks.shape_of(point.kind, point.verdict)
    disagrees = f" {marks.ADVICE[shape]}" if shape in marks.ADVICE else ""
    return f"{axes.on_day(at)}, {at:%H:%M}: {point.words}. Then {left}.{disagrees}"
