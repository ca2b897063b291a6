"""What stands beside a large vessel figure: its scale in mL and the layers' names."""

from dataclasses import dataclass
from itertools import pairwise
from math import floor, log10
from textwrap import wrap

from inventory.calc import profile, units

from . import outline
from .outline import Frame

_VOLUME_LINE, _NAME_LINE, _NAME_WIDTH = 20.0, 14.0, 16  # pixels; letters
_FIRST_Y, _LAST_Y = 20.0, 250.0
_TICK_GAP = 12.5  # between two numbers of the scale


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark of the scale; only some carry their number, set right-aligned."""

    path: str
    y: float
    text_x: float
    text: str = ""


@dataclass(frozen=True, slots=True)
class Callout:
    """Volume and name of one layer, and the line that leads from it to them."""

    volume: str
    name: tuple[str, ...]
    x: float
    y: float
    dot_x: float
    dot_y: float
    leader: str


def in_ml(ul: float) -> str:
    """Return a round volume, as a vessel's capacity is, without idle zeros."""
    return f"{ul / 1000:g} mL"


def scale_step_ul(capacity_ul: float) -> float:
    """Return the step between numbers of a scale: 1, 2 or 5 times a power of ten."""
    rough = capacity_ul / 6
    power = 10 ** floor(log10(rough))
    return next(m * power for m in (1, 2, 5, 10) if m * power >= rough * 0.999)


def _tick(x: float, y: float, length: float, text: str = "") -> Tick:
    return Tick(f"M{x:.2f},{y:.2f}h{-length:g}", round(y, 2), round(x - 11, 2), text)


def ticks(kind: str, capacity_ul: float, frame: Frame, x: float) -> list[Tick]:
    """Return the scale from the bottom up; the capacity itself is the last mark.

    The steps are equal in volume, so their spacing shows how the vessel widens.
    """
    step = scale_step_ul(capacity_ul)
    brim = frame.y(profile.closure_height(kind))
    numbered = frame.y(0)
    marks = [_tick(x, numbered, 7, "0")]
    for n in range(1, int(capacity_ul / step * 5 - 0.001) + 1):
        volume_ul = n * step / 5
        y = frame.y(profile.level_for(kind, capacity_ul, volume_ul))
        whole = n % 5 == 0
        if whole and numbered - y >= _TICK_GAP and y - brim >= _TICK_GAP:
            marks.append(_tick(x, y, 7, f"{volume_ul / 1000:g}"))
            numbered = y
        else:
            marks.append(_tick(x, y, 7 if whole else 4))
    return [*marks, _tick(x, brim, 9, in_ml(capacity_ul))]


def spread(wanted: list[float], heights: list[float]) -> list[float]:
    """Return middles near those wanted, top to bottom, so that no two overlap."""
    gaps = [(above + below) / 2 for above, below in pairwise(heights)]
    placed: list[float] = []
    for y, gap in zip(wanted, [0.0, *gaps], strict=True):
        placed.append(max(y, placed[-1] + gap if placed else _FIRST_Y))
    limit = _LAST_Y - heights[-1] / 2 if heights else _LAST_Y
    for index in reversed(range(len(placed))):
        placed[index] = min(placed[index], limit)
        limit = placed[index] - (gaps[index - 1] if index else 0.0)
    return placed


def callouts(
    kind: str,
    bands: list[tuple[str, float, float, float]],
    frame: Frame,
    column_x: float,
) -> list[Callout]:
    """Return a callout for each band (name, µL, low, high), topmost first."""
    names = [
        tuple(wrap(name, _NAME_WIDTH, break_on_hyphens=False)) for name, *_ in bands
    ]
    middles = [(low + high) / 2 for _, _, low, high in bands]
    heights = [_VOLUME_LINE + _NAME_LINE * len(name) for name in names]
    ys = spread([frame.y(middle) for middle in middles], heights)
    return [
        _callout(kind, middle, units.show_volume(ul), name, frame, column_x, y)
        for middle, (_, ul, _, _), name, y in zip(
            middles, bands, names, ys, strict=True
        )
    ]


def _callout(
    kind: str,
    middle: float,
    volume: str,
    name: tuple[str, ...],
    frame: Frame,
    x: float,
    y: float,
) -> Callout:
    dot_x = frame.axis_x + frame.r(outline.radius_at(kind, middle)) * 0.55
    dot_y = frame.y(middle)
    leader = f"M{dot_x:.2f},{dot_y:.2f}H{x - 14:.2f}L{x - 5:.2f},{y:.2f}"
    # The text block is centred on y: its first baseline is a line's rise below its top.
    first = y - (_NAME_LINE * len(name)) / 2 + (5.0 if volume else -2.0)
    places = [round(value, 2) for value in (x, first, dot_x, dot_y)]
    return Callout(volume, name, *places, leader)


def unknown_capacity(kind: str, frame: Frame, column_x: float) -> Callout:
    """Return the callout that says why no level is drawn."""
    words = ("capacity not", "recorded: no", "level is drawn")
    return _callout(kind, 0.4, "", words, frame, column_x, frame.y(0.4))
