"""The pieces that are cut to shape: flag, wrap, tag and fold-out.

Each has an outline to cut, lines to fold, and arrangements that keep its text on what
stays flat or is seen at one glance. Lengths in millimetres.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil, pi

from . import pictograms
from .boxes import Box, Column, Point, Stroke
from .placing import (
    MARK_GAP_MM,
    MARK_GUTTER_MM,
    MakeBlock,
    Placed,
    in_corner,
    row,
    stack,
)

CLEAR_MM = 1.5

# The flag: a tail round the stem of an ampoule, stuck onto itself; then a front, and a
# back that folds behind it.
STEMS_MM = (6.0, 12.0)  # the thinnest and the thickest its tail goes round
OVERLAP_MM = 6.0
FLAG_MM = (48.0, 36.0)
TAIL_HEIGHT_MM = 12.0
# Columns beside each other on a wrap, and on a fold-out.
COLUMN_GAP_MM = 2.0

TAG_MM = (105.0, 74.0)
HOLE_MM = 5.0
HOLE_STRIP_MM = 11.0
TAG_CLEAR_MM = 3.0

PANEL_MM = (74.0, 52.0)
PANELS = 3

WRAP_HEIGHT_MM = 36.0
BODIES_MM = (15.0, 34.0)  # the thinnest and the thickest that the wrap goes round


def tail_mm(stem_mm: float) -> float:
    """Return the tail's length: once round the stem, and the overlap that sticks."""
    return pi * stem_mm + OVERLAP_MM


def wrap_mm(body_mm: float) -> float:
    """Return the wrap's length: once round the body, and the overlap that sticks."""
    return pi * body_mm + OVERLAP_MM


LONGEST_TAIL_MM = tail_mm(STEMS_MM[1])
FLAG_PIECE_MM = (LONGEST_TAIL_MM + 2 * FLAG_MM[0], FLAG_MM[1])
WRAP_PIECE_MM = (wrap_mm(BODIES_MM[1]), WRAP_HEIGHT_MM)
FOLDOUT_PIECE_MM = (PANELS * PANEL_MM[0], PANEL_MM[1])


def closed(*points: Point) -> Stroke:
    return Stroke((*points, points[0]))


def rectangle(box: Box) -> Stroke:
    return closed(
        (box.left, box.bottom),
        (box.right, box.bottom),
        (box.right, box.top),
        (box.left, box.top),
    )


def flag_panels() -> tuple[Box, Box]:
    """Return the front and the back, which is folded behind it."""
    width, height = FLAG_MM
    front = Box(LONGEST_TAIL_MM, 0, LONGEST_TAIL_MM + width, height)
    return front, front.moved(width, 0)


def flag_strokes(stem_mm: float | None) -> tuple[Stroke, ...]:
    """Return the outline, the fold, and where the tail's end comes to lie."""
    front, back = flag_panels()
    root = front.left
    start = root - (tail_mm(stem_mm) if stem_mm else LONGEST_TAIL_MM)
    low = (front.height - TAIL_HEIGHT_MM) / 2
    high = low + TAIL_HEIGHT_MM
    outline = closed(
        (start, low),
        (root, low),
        (root, front.bottom),
        (back.right, back.bottom),
        (back.right, back.top),
        (root, front.top),
        (root, high),
        (start, high),
    )
    fold = Stroke(((back.left, back.bottom), (back.left, back.top)), dashed=True)
    end = start + OVERLAP_MM
    sticks = Stroke(((end, low), (end, high)), dashed=True)
    return outline, fold, sticks


def wrap_strokes(body_mm: float) -> tuple[Stroke, ...]:
    """Return the outline, and how far the end comes to lie over the start."""
    length = wrap_mm(body_mm)
    return (
        rectangle(Box(0, 0, length, WRAP_HEIGHT_MM)),
        Stroke(((OVERLAP_MM, 0), (OVERLAP_MM, WRAP_HEIGHT_MM)), dashed=True),
    )


def wrap_area(body_mm: float) -> Box:
    """Return what is printed on: not the start, which the end covers."""
    whole = Box(0, 0, wrap_mm(body_mm), WRAP_HEIGHT_MM).inset(CLEAR_MM)
    return replace(whole, left=OVERLAP_MM + CLEAR_MM)


def tag_strokes(size_mm: tuple[float, float]) -> tuple[Stroke, ...]:
    """Return the outline with its two corners cut off, and the hole to punch."""
    width, height = size_mm
    cut = HOLE_STRIP_MM - TAG_CLEAR_MM
    outline = closed(
        (cut, 0),
        (width, 0),
        (width, height),
        (cut, height),
        (0, height - cut),
        (0, cut),
    )
    return outline, Stroke(((HOLE_STRIP_MM / 2, height / 2),), ring_mm=HOLE_MM)


def tag_area(size_mm: tuple[float, float]) -> Box:
    """Return what is printed on: all but the clear edge and the strip with the hole."""
    return replace(Box(0, 0, *size_mm).inset(TAG_CLEAR_MM), left=HOLE_STRIP_MM)


def foldout_panels() -> tuple[Box, ...]:
    """Return the front and the two inner panels, in the order of the strip."""
    width, height = PANEL_MM
    return tuple(Box(0, 0, width, height).moved(n * width, 0) for n in range(PANELS))


def foldout_strokes() -> tuple[Stroke, ...]:
    width, height = PANEL_MM
    folds = (
        Stroke(((n * width, 0), (n * width, height)), dashed=True)
        for n in range(1, PANELS)
    )
    return rectangle(Box(0, 0, *FOLDOUT_PIECE_MM)), *folds


@dataclass(frozen=True, slots=True)
class FrontAndBack:
    """The pictograms on the front, the code on the back, text on both."""

    front: Box
    back: Box
    in_row: bool = False  # along the top instead of stacked on the left

    @property
    def panels(self) -> tuple[Box, ...]:
        return self.front, self.back

    def place(
        self, codes: Sequence[str], side_mm: float, make: MakeBlock | None
    ) -> Placed | None:
        find = row if self.in_row else stack
        marks = find(codes, side_mm, self.front)
        if marks is None:
            return None
        area = self.front
        if marks and self.in_row:
            area = replace(area, top=marks[0].box.bottom - MARK_GAP_MM)
        elif marks:
            right = max(mark.box.right for mark in marks)
            area = replace(area, left=right + MARK_GUTTER_MM)
        if make is None:
            return Placed(marks, None, (), (Column(area), Column(self.back)))
        block = make(0.0)
        behind = in_corner((), block, self.back) if block else None
        if behind is None:
            return None
        return Placed(
            marks, behind.code, behind.caption, (Column(area), *behind.columns)
        )


@dataclass(frozen=True, slots=True)
class Round:
    """The pictograms first, then columns no wider than can be read without turning.

    The code stands in the last of them. A third of the way round is in view.
    """

    area: Box
    body_mm: float

    @property
    def panels(self) -> tuple[Box, ...]:
        return (self.area,)

    def place(
        self, codes: Sequence[str], side_mm: float, make: MakeBlock | None
    ) -> Placed | None:
        marks = stack(codes, side_mm, self.area)
        if marks is None:
            return None
        right = max((mark.box.right for mark in marks), default=self.area.left)
        left = right + (MARK_GUTTER_MM if marks else 0)
        room = replace(self.area, left=left)
        if room.width < pictograms.box_mm(10):
            return None
        *columns, last = columns_of(room, ceil(room.width / (pi * self.body_mm / 3)))
        if make is None:
            return Placed(marks, None, (), tuple(map(Column, (*columns, last))))
        block = make(0.0)
        standing = in_corner(marks, block, last) if block else None
        if standing is None:
            return None
        return replace(standing, columns=(*map(Column, columns), *standing.columns))


def columns_of(area: Box, count: int) -> list[Box]:
    """Divide an area into columns of equal width."""
    width = (area.width - (count - 1) * COLUMN_GAP_MM) / count
    first = replace(area, right=area.left + width)
    return [first.moved(n * (width + COLUMN_GAP_MM), 0) for n in range(count)]
