"""Where the pictograms and the QR code stand, and the columns they leave for text."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil
from typing import Protocol

from . import blocks, pictograms, qr
from .boxes import Box, Code, Column, Line, Mark, Style, Typeface
from .measuring import width_mm
from .typesetting import height_mm, set_text

# Squares on their points meet only there, so little between them looks like enough.
MARK_GAP_MM = 0.5
MARK_GUTTER_MM = 1.2
GUTTER_MM = 1.0  # between the QR code's quiet zone or caption and text
UNBOUNDED_MM = 1000.0
CAPTION_X_MM = 1.2  # x-height at most
CODE_WISHED_MM = 14.0  # width the vessel code is set to, where its size allows
NAMED_MM = 17.0  # and the most that is given to where the code leads


@dataclass(frozen=True, slots=True)
class Placed:
    """What stands on the label before the running text, and the room left."""

    marks: tuple[Mark, ...]
    code: Code | None
    caption: tuple[Line, ...]
    columns: tuple[Column, ...]


@dataclass(frozen=True, slots=True)
class Block:
    """The QR code, below it the vessel code and where the address leads.

    Measured from its own lower left corner; the quiet zone counts as part of it.
    """

    code: Code
    caption: tuple[Line, ...]
    width: float
    height: float
    # White at either side and above that may stand in the label's clear edge.
    spare: float
    quiet: float

    def at(self, left: float, bottom: float) -> tuple[Code, tuple[Line, ...]]:
        moved = tuple(line.moved(left, bottom) for line in self.caption)
        return self.code.moved(left, bottom), moved


# Makes the block, its caption set at least this wide; None where it cannot be set.
MakeBlock = Callable[[float], Block | None]


class Arrangement(Protocol):
    """A way to divide a label between its parts."""

    @property
    def panels(self) -> tuple[Box, ...]:
        """What there is to divide."""
        ...

    def place(
        self, codes: Sequence[str], side_mm: float, make: MakeBlock | None
    ) -> Placed | None:
        """Stand the pictograms and, if there is one, the code; None without room."""
        ...


@dataclass(frozen=True, slots=True)
class Under:
    """The code in the lower left corner, under the pictograms."""

    area: Box

    @property
    def panels(self) -> tuple[Box, ...]:
        return (self.area,)

    def place(
        self, codes: Sequence[str], side_mm: float, make: MakeBlock | None
    ) -> Placed | None:
        area, marks = self.area, stack(codes, side_mm, self.area)
        block = make(pictograms.box_mm(side_mm)) if make else None
        if not marks or block is None:
            return None
        marks_width = max(mark.box.right for mark in marks) - area.left
        width = max(marks_width, block.width - 2 * block.spare)
        lowest = min(mark.box.bottom for mark in marks)
        if width > area.width / 2 or area.bottom + block.height > lowest + 1e-9:
            return None
        middle = area.left + width / 2
        code, caption = block.at(middle - block.width / 2, area.bottom)
        aside = (width - marks_width) / 2
        centred = tuple(mark.moved(aside, 0) for mark in marks)
        left = max(area.left + marks_width + MARK_GUTTER_MM, middle + block.width / 2)
        left = max(left, area.left + width + MARK_GUTTER_MM)
        return Placed(centred, code, caption, (Column(replace(area, left=left)),))


@dataclass(frozen=True, slots=True)
class Beside:
    """The pictograms on the left, the code in the upper right corner."""

    area: Box

    @property
    def panels(self) -> tuple[Box, ...]:
        return (self.area,)

    def place(
        self, codes: Sequence[str], side_mm: float, make: MakeBlock | None
    ) -> Placed | None:
        area, marks = self.area, stack(codes, side_mm, self.area)
        if marks is None:
            return None
        left = max(
            (mark.box.right + MARK_GUTTER_MM for mark in marks), default=area.left
        )
        column = replace(area, left=left)
        if make is None:
            return (
                Placed(marks, None, (), (Column(column),))
                if left < area.right
                else None
            )
        block = make(0.0)
        return in_corner(marks, block, column) if block else None


def in_corner(marks: tuple[Mark, ...], block: Block, area: Box) -> Placed | None:
    """Stand the code in the upper right corner; text runs before and below it."""
    # Nothing is printed in the clear edge, so the white quiet zone may lie in it.
    top, right = area.top + block.quiet, area.right + block.spare
    standing = Box(right - block.width, top - block.height, right, top)
    if standing.bottom < area.bottom - 1e-9 or standing.left < area.left:
        return None
    code, caption = block.at(standing.left, standing.bottom)
    around = replace(
        standing,
        left=min(code.box.left, standing.left + block.spare - GUTTER_MM),
        bottom=standing.bottom - GUTTER_MM / 2,
    )
    return Placed(marks, code, caption, (Column(area, (around,)),))


def stack_mm(count: int, side_mm: float) -> float:
    """Return how high so many pictograms stand one above the other."""
    return count * (pictograms.box_mm(side_mm) + MARK_GAP_MM) - MARK_GAP_MM


def stack(codes: Sequence[str], side_mm: float, area: Box) -> tuple[Mark, ...] | None:
    """Stack the pictograms from the upper left; None if they need more than `area`."""
    if not codes:
        return ()
    pitch = pictograms.box_mm(side_mm) + MARK_GAP_MM
    rows = min(len(codes), int((area.height + MARK_GAP_MM + 1e-9) // pitch))
    if rows < 1 or ceil(len(codes) / rows) * pitch - MARK_GAP_MM > area.width + 1e-9:
        return None
    places = (divmod(number, rows) for number in range(len(codes)))
    return tuple(
        mark(code, side_mm, area.left + column * pitch, area.top - row * pitch)
        for code, (column, row) in zip(codes, places, strict=True)
    )


def row(codes: Sequence[str], side_mm: float, area: Box) -> tuple[Mark, ...] | None:
    """Set the pictograms side by side along the top; None without room."""
    pitch = pictograms.box_mm(side_mm) + MARK_GAP_MM
    if codes and pitch - MARK_GAP_MM > area.height + 1e-9:
        return None
    if len(codes) * pitch - MARK_GAP_MM > area.width + 1e-9:
        return None
    return tuple(
        mark(code, side_mm, area.left + number * pitch, area.top)
        for number, code in enumerate(codes)
    )


def mark(code: str, side_mm: float, left: float, top: float) -> Mark:
    """Return the pictogram whose upright box begins at this corner."""
    box = pictograms.box_mm(side_mm)
    return Mark(code, side_mm, Box(left, top - box, left + box, top))


@lru_cache(maxsize=1024)
def block(
    url: str,
    full_code: str,
    leads_to: str,
    face: Typeface,
    *,
    lang: str,
    x_mm: float,
    module_mm: float,
    clear_mm: float,
    room_mm: float = 0.0,
) -> Block | None:
    """Return the QR code with its caption; None if the caption cannot be set.

    The caption, the vessel code and what the address `leads_to`, is set to the width of
    the code, or to `room_mm` where that is more. No more than `clear_mm` of the quiet
    zone may lie in the label's clear edge.
    """
    side, quiet = qr.side_mm(url, module_mm), qr.QUIET_MODULES * module_mm
    vessel = blocks.held(full_code)
    small = blocks.style(face, min(x_mm, CAPTION_X_MM))
    named = min(width_mm(leads_to, small, face), NAMED_MM)
    room = max(side - 2 * quiet, CODE_WISHED_MM, named, room_mm)
    bold = _fitted(vessel, room, x_mm * blocks.CODE_SCALE, small.size_mm, face)
    room = max(room, width_mm(vessel, bold, face))
    caption = [blocks.one(vessel, bold, lang=lang)]
    if leads_to:
        caption.append(blocks.one(leads_to, small, lang=lang))
    lines = set_text(caption, Column(Box(0, -UNBOUNDED_MM, room, 0)), face)
    if lines is None:
        return None
    inked = max(side - 2 * quiet, *(line.box.width for line in lines))
    width = max(side, inked)
    below = height_mm(lines, face)
    left = (width - side) / 2
    return Block(
        code=Code(url, module_mm, Box(left, below, left + side, below + side)),
        caption=tuple(
            line.moved((width - line.box.width) / 2, below) for line in lines
        ),
        width=width,
        height=below + side,
        spare=min((width - inked) / 2, clear_mm),
        quiet=min(quiet, clear_mm),
    )


def _fitted(
    text: str, width: float, x_mm: float, least_mm: float, face: Typeface
) -> Style:
    """Return bold of at most this x-height that sets `text` no wider than asked.

    The least type size wins over the width.
    """
    wished = blocks.style(face, x_mm, bold=True)
    natural = width_mm(text, wished, face)
    if natural <= width:
        return wished
    return replace(wished, size_mm=max(least_mm, wished.size_mm * width / natural))
