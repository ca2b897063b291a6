"""A vessel's inner outline, smoothed for the eye and placed on the drawing."""

from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from math import ceil, dist, hypot

from inventory.calc import profile

Point = tuple[float, float]  # (height 0..1, radius), as in the profile

_STEP = 0.006  # between the points that are smoothed, in vessel heights
_REACH = 3  # how many neighbours on either side a point is averaged with
_COARSE, _FINE = 0.004, 0.0006  # how far a straight piece may miss the curve


def _evenly(points: list[Point]) -> list[Point]:
    """Return the same line with a point every step."""
    made = [points[0]]
    for start, end in pairwise(points):
        pieces = max(1, ceil(dist(start, end) / _STEP))
        made += [
            tuple(a + (b - a) * n / pieces for a, b in zip(start, end, strict=True))
            for n in range(1, pieces + 1)
        ]
    return made


def _averaged(points: list[Point]) -> list[Point]:
    """Return each point averaged with its neighbours.

    Below the axis the line goes on as its own mirror image, and past the brim as it
    ran before, so that both ends stay where they are.
    """
    mirrored = [(h, -r) for h, r in points[_REACH:0:-1]]
    last = points[-1]
    beyond = [
        (2 * last[0] - h, 2 * last[1] - r) for h, r in points[-2 : -_REACH - 2 : -1]
    ]
    row = [*mirrored, *points, *beyond]
    width = 2 * _REACH + 1
    return [
        (
            sum(h for h, _ in row[n : n + width]) / width,
            sum(r for _, r in row[n : n + width]) / width,
        )
        for n in range(len(points))
    ]


def _off(point: Point, start: Point, end: Point) -> float:
    """Return the distance of a point from the line through two others."""
    along, across = end[0] - start[0], end[1] - start[1]
    area = along * (point[1] - start[1]) - across * (point[0] - start[0])
    return abs(area) / (hypot(along, across) or 1.0)


def _thinned(points: list[Point], tolerance: float) -> list[Point]:
    """Return as few of the points as keep the line within the tolerance.

    Ramer, Douglas and Peucker's method.
    """
    if len(points) < 3:
        return points
    start, end = points[0], points[-1]
    offs = [_off(point, start, end) for point in points[1:-1]]
    worst = max(offs)
    if worst <= tolerance:
        return [start, end]
    split = offs.index(worst) + 1
    before = _thinned(points[: split + 1], tolerance)
    return before[:-1] + _thinned(points[split:], tolerance)


@cache
def smooth(kind: str, coarse: bool = False) -> tuple[Point, ...]:
    """Return the profile from the axis to the brim with its corners rounded.

    The rounding is for the eye alone: levels are solved on the profile itself, and
    the two differ by less than a hundredth of the height. `coarse` does for a small
    figure.
    """
    points = profile.profile(kind)
    if points[0][1] > 0:
        points = [(points[0][0], 0.0), *points]
    drawn = _evenly(points)
    for _ in range(3):
        drawn = _averaged(drawn)
    drawn = [(h, max(r, 0.0)) for h, r in drawn]
    return tuple(_thinned(drawn, _COARSE if coarse else _FINE))


def up_to(kind: str, height: float, coarse: bool = False) -> list[Point]:
    """Return the smoothed outline from the bottom to a height."""
    outline = smooth(kind, coarse)
    drawn = [outline[0]]
    for low, high in pairwise(outline):
        if high[0] <= height:
            drawn.append(high)
        elif low[0] < height:
            share = (height - low[0]) / (high[0] - low[0])
            drawn.append((height, low[1] + share * (high[1] - low[1])))
    return drawn


def radius_at(kind: str, height: float) -> float:
    """Return the inner radius at a height."""
    return up_to(kind, height)[-1][1]


def widest(kind: str) -> float:
    """Return the largest inner radius."""
    return max(radius for _, radius in smooth(kind))


@dataclass(frozen=True, slots=True)
class Frame:
    """Where a vessel stands on the drawing: its axis, its foot, its size in pixels.

    `widen` stretches the radius alone, so that a slender vessel stays readable when
    small. The level is a height and does not change by it.
    """

    axis_x: float
    foot_y: float
    tall: float
    widen: float = 1.0
    coarse: bool = False

    def y(self, height: float) -> float:
        """Return the y of a height."""
        return self.foot_y - height * self.tall

    def r(self, radius: float) -> float:
        """Return a radius in pixels."""
        return radius * self.tall * self.widen

    def up_to(self, kind: str, height: float) -> list[Point]:
        """Return a vessel's outline as finely as this drawing needs it."""
        return up_to(kind, height, self.coarse)

    def path(self, outline: list[Point]) -> str:
        """Return an outline and its mirror image as one open path, top to top."""
        right = [(self.axis_x + self.r(r), self.y(h)) for h, r in outline]
        left = [(self.axis_x - self.r(r), self.y(h)) for h, r in reversed(outline)]
        return "M" + "L".join(f"{x:.2f},{y:.2f}" for x, y in left + right)
