"""Where the pictograms and the QR code stand, and the column they leave for text."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil

from . import blocks, pictograms, qr
from .typesetting import (
    Box,
    Column,
    Line,
    Paragraph,
    Style,
    Typeface,
    height_mm,
    set_text,
    width_mm,
)
from .wording import LabelContent

# Squares on their points meet only there, so little between them looks like enough.
MARK_GAP_MM = 0.5
MARK_GUTTER_MM = 1.2
GUTTER_MM = 1.0  # between the QR code's quiet zone or caption and text
UNBOUNDED_MM = 1000.0
CAPTION_X_MM = 1.2  # x-height at most
CODE_WISHED_MM = 14.0  # width the vessel code is set to, where its size allows


@dataclass(frozen=True, slots=True)
class Mark:
    """A pictogram. `box` is upright round the square that stands on its point."""

    code: str
    side_mm: float
    box: Box


@dataclass(frozen=True, slots=True)
class Code:
    """A QR code. `box` includes the quiet zone."""

    url: str
    module_mm: float
    box: Box


@dataclass(frozen=True, slots=True)
class Placed:
    """What stands on the label before the running text, and the room left."""

    marks: tuple[Mark, ...]
    code: Code
    caption: tuple[Line, ...]
    column: Column


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
        code = replace(self.code, box=self.code.box.moved(left, bottom))
        return code, tuple(line.moved(left, bottom) for line in self.caption)


def place_under(marks: tuple[Mark, ...], block: Block, area: Box) -> Placed | None:
    """Stand the code in the lower left corner, under the pictograms."""
    marks_width = max((mark.box.right for mark in marks), default=area.left) - area.left
    width = max(marks_width, block.width - 2 * block.spare)
    lowest = min((mark.box.bottom for mark in marks), default=area.top + block.quiet)
    if width > area.width / 2 or area.bottom + block.height > lowest + 1e-9:
        return None
    middle = area.left + width / 2
    code, caption = block.at(middle - block.width / 2, area.bottom)
    aside = (width - marks_width) / 2
    centred = tuple(replace(mark, box=mark.box.moved(aside, 0)) for mark in marks)
    left = max(area.left + marks_width + MARK_GUTTER_MM, middle + block.width / 2)
    column = Column(replace(area, left=max(left, area.left + width + MARK_GUTTER_MM)))
    return Placed(centred, code, caption, column)


def place_beside(marks: tuple[Mark, ...], block: Block, area: Box) -> Placed | None:
    """Stand the code in the upper right corner; text runs before and below it."""
    # Nothing is printed in the clear edge, so the white quiet zone may lie in it.
    top, right = area.top + block.quiet, area.right + block.spare
    left = max((mark.box.right + MARK_GUTTER_MM for mark in marks), default=area.left)
    standing = Box(right - block.width, top - block.height, right, top)
    if standing.bottom < area.bottom - 1e-9 or standing.left < left:
        return None
    code, caption = block.at(standing.left, standing.bottom)
    around = replace(
        standing,
        left=min(code.box.left, standing.left + block.spare - GUTTER_MM),
        bottom=standing.bottom - GUTTER_MM / 2,
    )
    return Placed(marks, code, caption, Column(replace(area, left=left), (around,)))


def stack(codes: Sequence[str], side_mm: float, area: Box) -> tuple[Mark, ...] | None:
    """Stack the pictograms from the upper left; None if they need more than `area`."""
    box = pictograms.box_mm(side_mm)
    rows = min(
        len(codes), int((area.height + MARK_GAP_MM + 1e-9) // (box + MARK_GAP_MM))
    )
    if rows < 1:
        return None if codes else ()
    if ceil(len(codes) / rows) * (box + MARK_GAP_MM) - MARK_GAP_MM > area.width + 1e-9:
        return None
    marks = []
    for number, code in enumerate(codes):
        column, row = divmod(number, rows)
        left = area.left + column * (box + MARK_GAP_MM)
        top = area.top - row * (box + MARK_GAP_MM)
        marks.append(Mark(code, side_mm, Box(left, top - box, left + box, top)))
    return tuple(marks)


def block(
    content: LabelContent,
    face: Typeface,
    *,
    x_mm: float,
    module_mm: float,
    clear_mm: float,
    room_mm: float = 0.0,
) -> Block | None:
    """Return the QR code with its caption; None if the caption cannot be set.

    The caption is set to the width of the code, or to `room_mm` where that is more.
    No more than `clear_mm` of the quiet zone may lie in the label's clear edge.
    """
    side, quiet = qr.side_mm(content.url, module_mm), qr.QUIET_MODULES * module_mm
    vessel, leads_to = blocks.held(content.full_code), content.words.see_record
    room = max(side - 2 * quiet, CODE_WISHED_MM, room_mm)
    bold = _fitted(vessel, room, x_mm * blocks.CODE_SCALE, face)
    room = max(room, width_mm(vessel, bold, face))
    caption = (
        Paragraph(vessel, bold),
        Paragraph(leads_to, blocks.style(face, min(x_mm, CAPTION_X_MM))),
    )
    lines = set_text(caption, Column(Box(0, -UNBOUNDED_MM, room, 0)), face)
    if lines is None:
        return None
    inked = max(side - 2 * quiet, *(line.box.width for line in lines))
    width = max(side, inked)
    below = height_mm(lines, face)
    left = (width - side) / 2
    return Block(
        code=Code(content.url, module_mm, Box(left, below, left + side, below + side)),
        caption=tuple(
            line.moved((width - line.box.width) / 2, below) for line in lines
        ),
        width=width,
        height=below + side,
        spare=min((width - inked) / 2, clear_mm),
        quiet=min(quiet, clear_mm),
    )


def _fitted(text: str, width: float, x_mm: float, face: Typeface) -> Style:
    """Return bold of at most this x-height that sets `text` no wider than asked.

    The floor wins over the width.
    """
    wished = blocks.style(face, x_mm, bold=True)
    natural = width_mm(text, wished, face)
    if natural <= width:
        return wished
    least = blocks.FLOOR_X_HEIGHT_MM / face.x_height_em
    return replace(wished, size_mm=max(least, wished.size_mm * width / natural))
