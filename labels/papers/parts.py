"""What papers are made of: sections, tables, facts, codes, lines to write on.

Widths and heights are in millimetres.
"""

from collections.abc import Collection, Iterable, Sequence
from itertools import zip_longest
from typing import Any, NamedTuple, TypeAlias

from reportlab.lib.colors import Color
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, Spacer, Table

from labels import qr
from labels.typeface import REGULAR

from . import lettering
from .lettering import INK, SOFT, Part, Parts, text

Cell: TypeAlias = str | Parts


class Fact(NamedTuple):
    """A term, its value, and what is said of the value in smaller type."""

    term: str
    value: str
    note: str = ""


RULE = Color(0.66, 0.68, 0.73)
GUTTER_MM = 3.0  # between columns
TERM_MM = 30.0
CAPTION_MM = 34.0
CODE_MODULE_MM = 0.5
ENOUGH_MM = 45.0  # of a table: less at the foot of a page looks torn off
TALL_MM = 100.0
WITHOUT_END_MM = 10_000.0

CAUTION = (
    "These metals ignite in air and react violently with water. Local codes, the "
    "safety data sheet of the lot and licensed or trained practice come before "
    "anything written here."
)


def height_mm(part: Part, width_mm: float) -> float:
    _, height = part.wrap(width_mm * mm, WITHOUT_END_MM * mm)
    return float(height / mm)


def gap(height: float) -> Part:
    return Spacer(0, height * mm)


def section(
    title: str, width_mm: float, *content: Part, enough_mm: float = ENOUGH_MM
) -> Parts:
    """Return a heading and what follows it.

    It begins only where `enough_mm` of that, or all of it, has room below.
    """
    heading = _table(
        [[[text(title, lettering.HEADING)]]],
        [width_mm],
        [("LINEBELOW", (0, 0), (-1, -1), 0.6, INK)],
    )
    below = sum(height_mm(part, width_mm) for part in content)
    least = height_mm(heading, width_mm) + min(below, enough_mm)
    return [gap(3.4), CondPageBreak(least * mm), heading, gap(0.8), *content]


def table(
    head: Sequence[str],
    rows: Iterable[Sequence[Cell]],
    width_mm: float,
    *,
    shares: Sequence[float],
    figures: Collection[int] = (),
    to_write_in: float = 0,
) -> Part:
    """Return a table whose head is repeated on every page it goes on to.

    The columns divide the width by `shares`; those in `figures` end flush. With
    `to_write_in`, every row is at least that high, in millimetres, and boxed.
    """
    one = width_mm / sum(shares)
    body = [
        [
            _cell(cell, lettering.FIGURES if at in figures else lettering.BODY)
            for at, cell in enumerate(row)
        ]
        for row in rows
    ]
    top = [
        [text(words, lettering.SMALL_RIGHT if at in figures else lettering.SMALL)]
        for at, words in enumerate(head)
    ]
    rule = ("GRID" if to_write_in else "LINEBELOW", (0, 1), (-1, -1), 0.3, RULE)
    # At the top, because reportlab misplaces words in the middle of a torn row.
    boxed = [
        ("LEFTPADDING", (0, 0), (-1, -1), 1.5 * mm),
        ("RIGHTPADDING", (0, 0), (-1, -1), 1.0 * mm),
        ("TOPPADDING", (0, 1), (-1, -1), 1.2 * mm),
    ]
    return _table(
        [top, *body],
        [share * one for share in shares],
        [
            ("LINEBELOW", (0, 0), (-1, 0), 0.6, SOFT),
            rule,
            *(boxed if to_write_in else ()),
        ],
        repeatRows=1,
        minRowHeights=[0, *([to_write_in * mm] * len(body))],
    )


def _cell(cell: Cell, style: ParagraphStyle) -> Parts:
    if isinstance(cell, str):
        return [text(cell, style)] if cell else []
    return cell


def _table(
    rows: list[list[Parts]], widths: list[float], rules: list[Any], **more: Any
) -> Part:
    padding = [
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-2, -1), GUTTER_MM * mm),
        ("RIGHTPADDING", (-1, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 1.4),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.2),
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("FONTNAME", (0, 0), (-1, -1), REGULAR),
    ]
    return Table(
        rows,
        colWidths=[width * mm for width in widths],
        style=[*padding, *rules],
        splitInRow=int(any(_is_tall(row, widths) for row in rows)),
        hAlign="LEFT",
        **more,
    )


def _is_tall(row: list[Parts], widths: list[float]) -> bool:
    """Return whether a row may be torn: it might not fit on a page of its own.

    Others may not, or reportlab would tear them wherever a page ends.
    """
    return any(
        sum(height_mm(part, width) for part in cell) > TALL_MM
        for cell, width in zip(row, widths, strict=True)
    )


def boxed(words: str, width_mm: float) -> Part:
    """Return words that must not be overlooked, in a frame."""
    rules = [
        ("BOX", (0, 0), (-1, -1), 1.0, INK),
        ("LEFTPADDING", (0, 0), (-1, -1), 2 * mm),
        ("RIGHTPADDING", (0, 0), (-1, -1), 2 * mm),
    ]
    return _table([[[text(words, lettering.STRONG)]]], [width_mm], rules)


def facts(width_mm: float, *columns: Sequence[Fact]) -> Part:
    """Return facts, in columns side by side."""
    each = (width_mm + GUTTER_MM) / len(columns)
    rows = [
        [cell for fact in row for cell in _fact(fact)]
        for row in zip_longest(*columns, fillvalue=Fact("", ""))
    ]
    widths = [TERM_MM, each - TERM_MM] * len(columns)
    widths[-1] -= GUTTER_MM
    return _table(rows, widths, [])


def _fact(fact: Fact) -> list[Parts]:
    return [[text(fact.term, lettering.TERM)], [text(fact.value, note=fact.note)]]


def running_line(left: str, right: str, width_mm: float) -> Part:
    """Return the small line at the top or foot of a page."""
    line = _table(
        [[[text(left, lettering.SMALL)], [text(right, lettering.SMALL_RIGHT)]]],
        [width_mm * 0.75, width_mm * 0.25],
        [],
    )
    line.wrap(width_mm * mm, WITHOUT_END_MM * mm)
    return line


class QrCode(Flowable):  # type: ignore[misc]
    """A QR code with its quiet zone, filled as one path so that no seams show."""

    def __init__(self, url: str) -> None:
        super().__init__()
        self.url = url
        self.module = CODE_MODULE_MM * mm
        self.width = self.height = qr.modules(url) * self.module

    def draw(self) -> None:
        canvas = self.canv
        canvas.setFillColorRGB(0, 0, 0)
        canvas.scale(self.module, self.module)
        path = canvas.beginPath()
        for rectangle in qr.rectangles(self.url):
            path.rect(*rectangle)
        canvas.drawPath(path, stroke=0, fill=1)


def masthead(
    kicker: str, title: str, lines: Sequence[Part], url: str, code: str, width_mm: float
) -> Part:
    """Return a document's head: what it is, and the code that leads to its record."""
    square = QrCode(url)
    side = square.width / mm
    words = [text(kicker, lettering.KICKER), text(title, lettering.TITLE), *lines]
    caption = [
        gap(2),
        text(code, lettering.CODE),
        text("scan for the record", lettering.SMALL_RIGHT),
    ]
    return _table(
        [[words, caption, [square]]],
        [width_mm - side - CAPTION_MM, CAPTION_MM, side],
        [("RIGHTPADDING", (1, 0), (1, 0), 0)],
    )
