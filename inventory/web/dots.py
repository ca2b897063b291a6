"""The yields of batches over time: a dot each, its k = 2 bar, and the mean of others.

Geometry alone, as in web.charts: lengths are pixels of the drawing, y pointing down,
and a drawing has no ids.
"""

from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor, log10

from django.utils import timezone

from inventory.calc.units import show_yield

from . import axes, charts
from .steps import px

K = charts.K
DAY = 86_400.0
APART = 9.0  # two bars of one day stand beside each other
CAP = 4.0


@dataclass(frozen=True, slots=True)
class Dot:
    """One batch: its middle, its bar as an SVG path, and its words."""

    x: float
    y: float
    bar: str
    words: str
    newest: bool
    open: bool


@dataclass(frozen=True, slots=True)
class Plot:
    """A drawing of yields, ready for its template."""

    size: str
    width: float
    height: float
    grid: str
    axis: str
    mean: str
    band: str
    dots: list[Dot]
    dates: list[charts.Label]
    shares: list[charts.Label]


@dataclass(frozen=True, slots=True)
class Scale:
    """Yields in per cent between two round numbers, and where they stand."""

    least: float
    most: float
    step: float
    foot: float

    def y(self, percent):
        share = (percent - self.least) / (self.most - self.least)
        return self.foot - share * (self.foot - charts.TOP)

    @property
    def marks(self):
        count = round((self.most - self.least) / self.step)
        return [self.least + n * self.step for n in range(count + 1)]

    @property
    def places(self):
        return max(-floor(log10(self.step) + 1e-9), 0)


def drawn(rows, said):
    """Return what the template shows of rows with yields, newest first; or None."""
    with_yield = [row for row in rows if row.result][::-1]
    if not with_yield:
        return None
    return {
        "plots": [
            plot(with_yield, said, size) for size in (charts.WIDE, charts.NARROW)
        ],
        "words": in_words(with_yield),
        "any_open": any(not row.account.closing for row in with_yield),
        "mean": said is not None,
    }


def in_words(rows):
    """Return the sentence that stands for the drawing."""
    told = [f"{row.batch} {row.account.yield_words}" for row in rows]
    return f"Yields in the order of time: {'; '.join(told)}."


def plot(rows, said, size):
    """Return the drawing of rows in order of time, at least one."""
    zone = timezone.get_current_timezone()
    mean = said.difference.mean if said else None
    scale = scale_of(rows, mean, size)
    left = max(len(text(scale, mark)) for mark in scale.marks) * size.letter + 14
    frame = charts.Frame(
        left=left,
        right=size.width - charts.RIGHT,
        foot=scale.foot,
        first=rows[0].at.timestamp() - DAY,
        last=rows[-1].at.timestamp() + DAY,
        top_ug=1.0,
    )
    dates = axes.date_marks(frame.first, frame.last, zone, size.dates)
    places = apart([frame.x(row.at) for row in rows], frame.right)
    return Plot(
        size=size.name,
        width=size.width,
        height=size.height,
        grid="".join(across(frame, scale.y(mark)) for mark in scale.marks[1:]),
        axis=axis(frame, dates),
        mean=across(frame, scale.y(100 * mean.value)) if mean else "",
        band=band(frame, scale, mean) if mean else "",
        dots=[dot(row, x, scale, said) for row, x in zip(rows, places, strict=True)],
        dates=[label(frame, mark, size) for mark in dates],
        shares=[
            charts.Label(px(left - 8), px(scale.y(mark)), text(scale, mark))
            for mark in scale.marks
        ],
    )


def text(scale, mark):
    return f"{mark:.{scale.places}f}"


def scale_of(rows, mean, size):
    """Return the scale that holds every bar and the mean's band, not from zero."""
    ends = [(row.result.value, row.result.u) for row in rows]
    if mean:
        ends.append((mean.value, mean.u))
    low = min(100 * (value - K * u) for value, u in ends)
    high = max(100 * (value + K * u) for value, u in ends)
    step = axes.round_step(max(high - low, 0.1), size.masses)
    return Scale(
        floor(low / step) * step,
        max(ceil(high / step), floor(low / step) + 1) * step,
        step,
        size.height - charts.FOOT,
    )


def apart(places, end):
    """Return the places pushed apart to the right, so that no bar hides another."""
    found = places[:1]
    for here, there in pairwise(places):
        found.append(max(there, found[-1] + APART if there - here < APART else there))
    over = max(found[-1] - end, 0)
    return [x - over for x in found]


def dot(row, x, scale, said):
    value, spread = 100 * row.result.value, 100 * K * row.result.u
    top, foot = scale.y(value + spread), scale.y(value - spread)
    caps = "".join(f"M{px(x - CAP)},{px(y)}h{2 * CAP:g}" for y in (top, foot))
    shown = show_yield(row.result.value, row.result.u)
    return Dot(
        x=px(x),
        y=px(scale.y(value)),
        bar=f"M{px(x)},{px(top)}V{px(foot)}{caps}",
        words=f"{row.batch}, {axes.on_day(row.at)}: {shown}",
        newest=said is not None and row is said.newest,
        open=not row.account.closing,
    )


def across(frame, y):
    return f"M{px(frame.left)},{px(y)}H{px(frame.right)}"


def band(frame, scale, mean):
    """Return the k = 2 band of the mean, as wide as the plot."""
    top, foot = (scale.y(100 * (mean.value + sign * K * mean.u)) for sign in (1, -1))
    left, right = px(frame.left), px(frame.right)
    return f"M{left},{px(top)}H{right}V{px(foot)}H{left}z"


def axis(frame, dates):
    ticks = "".join(f"M{px(frame.x(d.value))},{px(frame.foot)}v5" for d in dates)
    corner = f"M{px(frame.left)},{px(charts.TOP - 6)}V{px(frame.foot)}"
    return f"{corner}H{px(frame.right)}{ticks}"


def label(frame, mark, size):
    """Return a date below its tick; the longer second line stays on the drawing."""
    x, half = frame.x(mark.value), len(mark.under) * size.letter / 2
    inside = min(max(x, half), size.width - half)
    return charts.Label(px(x), px(frame.foot + 19), mark.text, mark.under, px(inside))
