"""How wide a vessel is inside at every height, so that a level can show a volume.

Each kind is a body of revolution given by points (height, inner radius), joined by
straight lines, so every piece is a frustum of a cone. Heights run from 0, the
lowest point inside, to 1, the brim; radii are in the same unit. The capacity is
the volume up to the closure: the stopper's lower end, or the flame seal.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from itertools import pairwise
from math import asin, cos, pi, sin

Point = tuple[float, float]

_ARC_STEPS = 24
_BISECTIONS = 60


def _round_bottom(radius: float) -> list[Point]:
    """Return a hemisphere standing on its lowest point."""
    angles = [pi / 2 * step / _ARC_STEPS for step in range(_ARC_STEPS + 1)]
    return [(radius * (1 - cos(a)), radius * sin(a)) for a in angles]


def _globe(radius: float, neck: float) -> list[Point]:
    """Return a sphere from its lowest point to where it meets a neck."""
    last = pi - asin(neck / radius)
    angles = [last * step / (2 * _ARC_STEPS) for step in range(2 * _ARC_STEPS + 1)]
    return [(radius * (1 - cos(a)), radius * sin(a)) for a in angles]


def _ampoule() -> list[Point]:
    """Return a round-bottomed tube, its shoulder drawn in to a stem that is melted shut."""
    shoulder = [(0.62, 0.12), (0.68, 0.105), (0.74, 0.062), (0.78, 0.036)]
    return [*_round_bottom(0.12), *shoulder, (0.86, 0.028), (0.96, 0.020), (1.0, 0.0)]


def _vial() -> list[Point]:
    """Return a flat-bottomed cylinder with a short shoulder under the screw cap."""
    body = [(0.0, 0.175), (0.012, 0.19), (0.74, 0.19), (0.79, 0.175), (0.83, 0.13)]
    return [*body, (1.0, 0.13)]


def _schlenk_tube() -> list[Point]:
    """Return a long round-bottomed tube, narrowed a little below the joint."""
    return [*_round_bottom(0.10), (0.78, 0.10), (0.83, 0.075), (1.0, 0.078)]


def _schlenk_flask() -> list[Point]:
    """Return a globe with a long straight neck."""
    return [*_globe(0.285, 0.095), (0.62, 0.09), (1.0, 0.095)]


def _bulb() -> list[Point]:
    """Return a globe with a thin neck that ends in a valve or a seal."""
    return [*_globe(0.36, 0.05), (0.78, 0.04), (1.0, 0.04)]


def _bottle() -> list[Point]:
    """Return a wide cylinder with a sloping shoulder and a short wide neck."""
    body = [(0.0, 0.225), (0.02, 0.24), (0.66, 0.24), (0.76, 0.20), (0.83, 0.12)]
    return [*body, (1.0, 0.12)]


_SHAPES: dict[str, tuple[Callable[[], list[Point]], float]] = {
    "ampoule": (_ampoule, 0.86),
    "vial": (_vial, 0.97),
    "schlenk_tube": (_schlenk_tube, 0.90),
    "schlenk_flask": (_schlenk_flask, 0.90),
    "bulb": (_bulb, 0.90),
    "bottle": (_bottle, 0.97),
}

KINDS = tuple(_SHAPES)


def profile(kind: str) -> list[Point]:
    """Return the inside of a kind of vessel as (height, radius), bottom to brim."""
    return list(_points(kind))


@cache
def _points(kind: str) -> tuple[Point, ...]:
    return tuple(_SHAPES[kind][0]())


def closure_height(kind: str) -> float:
    """Return the height up to which the capacity counts, between 0 and 1."""
    return _SHAPES[kind][1]


def _frustum(low: Point, high: Point) -> float:
    """Return the volume between two points of a profile."""
    (h1, r1), (h2, r2) = low, high
    return pi * (h2 - h1) * (r1 * r1 + r1 * r2 + r2 * r2) / 3


def _radius(low: Point, high: Point, height: float) -> float:
    share = (height - low[0]) / (high[0] - low[0])
    return low[1] + share * (high[1] - low[1])


def _volume_below(kind: str, height: float) -> float:
    """Return the volume below a height, in cubes of the vessel's height."""
    points = _points(kind)
    total = 0.0
    for low, high in pairwise(points):
        if height >= high[0]:
            total += _frustum(low, high)
        elif height > low[0]:
            total += _frustum(low, (height, _radius(low, high, height)))
    return total


@cache
def _capacity(kind: str) -> float:
    return _volume_below(kind, closure_height(kind))


def volume_at(kind: str, capacity_ul: float, level: float) -> float:
    """Return the volume in µL below a level given as a height from 0 to 1."""
    level = min(max(level, 0.0), 1.0)
    return capacity_ul * _volume_below(kind, level) / _capacity(kind)


def level_for(kind: str, capacity_ul: float, volume_ul: float) -> float:
    """Return the height, 0 to 1, at which a volume of liquid stands.

    Solved from the volume, not a share of the height. A volume above the capacity
    stands at the closure.
    """
    assert capacity_ul > 0, capacity_ul
    if volume_ul <= 0:
        return 0.0
    if volume_ul >= capacity_ul:
        return closure_height(kind)
    wanted = volume_ul / capacity_ul * _capacity(kind)
    low, high = 0.0, closure_height(kind)
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2
        if _volume_below(kind, middle) < wanted:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def width_mm(kind: str, capacity_ul: float) -> float:
    """Return the inner diameter of a vessel's body, as wide as it is drawn.

    From the kind's usual shape and the capacity alone: glass differs, and is wider
    outside by its walls.
    """
    assert capacity_ul > 0, capacity_ul
    # A microlitre is a cubic millimetre.
    height_mm: float = (capacity_ul / _capacity(kind)) ** (1 / 3)
    return 2 * max(radius for _, radius in _points(kind)) * height_mm
