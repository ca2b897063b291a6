"""The page that shows whether a printer keeps its size and its place."""

from . import blocks
from .boxes import Box, Column, Face, Line, Point, Stroke, Typeface
from .dimensions import FLOOR_X_MM
from .geometry import Sheet
from .measuring import width_mm
from .typesetting import set_text

RULER_MM = 50
MARGIN_MM = 10  # between the rulers and the edge of a small page
CORNER_MM = 3
# An edge is looked for this far to either side of where it should be.
REACH_MM = 5
TICKS_MM = {1: 1.2, 5: 2.0, 10: 3.0}  # how long a tick is at every so many
APART_MM = 4.0
EDGE_MM = 6.0  # from a label's top down to the scale at its left edge
NUMBERS_MM = 5.5  # room for a tick and its number beside a ruler

SIZE = "Both rulers must measure {across} mm and {up} mm: else print at 100 %."
EDGES = (
    "Read at the label's real left edge and top edge: those two numbers are the "
    "sheet's offset to the right and upwards."
)
PAPER = (
    "The two crosses stand {from_mm} mm from the left and from the top of the paper. "
    "{from_mm} less what you measure from the left is the sheet's offset to the right; "
    "what you measure from the top less {from_mm} is its offset upwards."
)
FROM_PAPER_MM = 10


def calibration(sheet: Sheet, face: Typeface) -> Face:
    """Return the page: corners of all labels, two rulers, and scales for the offset.

    On sheets of cut labels the scales stand where the first label's left and top edge
    should be. The number at the edge's real place is what belongs into the sheet's
    offset, which this page leaves out.
    """
    page = Box(0, 0, *sheet.page_mm)
    across, up = (_ruler_mm(length) for length in sheet.page_mm)
    left, bottom = (page.width - across) / 2, (page.height - up) / 2
    drawn = _Drawn(page, face)
    drawn.ruler((left, bottom), across, upright=False)
    # Apart from each other, so that no tick of one makes the other look longer.
    drawn.ruler((left - APART_MM, bottom), up, upright=True)
    outer = left - APART_MM - NUMBERS_MM
    rulers = Box(outer, bottom - NUMBERS_MM, left + across, bottom + up)
    if sheet.uncut:
        drawn.crosses()
        said = PAPER.format(from_mm=FROM_PAPER_MM)
    else:
        drawn.edges(sheet)
        said = EDGES
    drawn.corners(sheet, rulers)
    told = (SIZE.format(across=across, up=up), said)
    drawn.text(told, Box(left, bottom + 2, left + across, bottom + up))
    return Face(sheet.page_mm, tuple(drawn.lines), strokes=tuple(drawn.strokes))


def _ruler_mm(length: float) -> int:
    """Return how long a ruler a page of this length has room for."""
    return min(RULER_MM, int((length - 2 * MARGIN_MM) // 10) * 10)


class _Drawn:
    """What has been put on the page; ticks beyond its edge are left out."""

    def __init__(self, page: Box, face: Typeface) -> None:
        self.page, self.face = page, face
        self.lines: list[Line] = []
        self.strokes: list[Stroke] = []

    def ruler(self, start: Point, length: int, *, upright: bool) -> None:
        """Draw a ruler from `start`, its ticks to the left of it or below."""
        self.stroke(start, length, 0, upright)
        for at in range(length + 1):
            tick = max(size for every, size in TICKS_MM.items() if at % every == 0)
            foot = _along(start, at, -tick, upright)
            self.strokes.append(Stroke((_along(start, at, 0, upright), foot)))
            if at % 10 == 0:
                self.number(at, foot, upright)

    def edges(self, sheet: Sheet) -> None:
        """Draw a scale across the first label's left edge, and one across its top."""
        x, y = next(sheet.origins_mm())
        width, height = sheet.label_mm
        self.scale((x, y + height - EDGE_MM), upright=False)
        self.scale((x + width * 4 / 5, y + height), upright=True)

    def scale(self, zero: Point, *, upright: bool) -> None:
        for at in range(-REACH_MM, REACH_MM + 1):
            point = _along(zero, at, 0, upright)
            tick = TICKS_MM[10 if at == 0 else 5 if at % 5 == 0 else 1]
            foot = _along(zero, at, -tick, upright)
            if not self.page.inset(1).holds(Box(*point, *point)):
                continue
            self.strokes.append(Stroke((point, foot)))
            if at % 5 == 0:
                self.number(at, foot, upright)

    def crosses(self) -> None:
        """Mark where it is so far from the paper's left, and from its top."""
        for x, y in (
            (FROM_PAPER_MM, self.page.top / 2 + RULER_MM / 2 + 10),
            (self.page.right / 2 + RULER_MM / 2 + 10, self.page.top - FROM_PAPER_MM),
        ):
            for right, up in ((CORNER_MM, 0), (0, CORNER_MM)):
                ends = ((x - right, y - up), (x + right, y + up))
                self.strokes.append(Stroke(ends))

    def corners(self, sheet: Sheet, spared: Box) -> None:
        """Mark every label's corners, but for those that the rulers cover."""
        width, height = sheet.label_mm
        for x, y in sheet.origins_mm():
            for right in (0, 1):
                for up in (0, 1):
                    corner = (x + right * width, y + up * height)
                    inwards = (
                        (corner[0] + CORNER_MM * (1 - 2 * right), corner[1]),
                        corner,
                        (corner[0], corner[1] + CORNER_MM * (1 - 2 * up)),
                    )
                    around = Box(*corner, *corner).inset(-CORNER_MM)
                    if not around.overlaps(spared):
                        self.strokes.append(Stroke(inwards))

    def stroke(self, start: Point, length: float, aside: float, upright: bool) -> None:
        self.strokes.append(Stroke((start, _along(start, length, aside, upright))))

    def number(self, value: int, foot: Point, upright: bool) -> None:
        """Write a number at the foot of its tick."""
        style = blocks.style(self.face, FLOOR_X_MM)
        text = str(value).replace("-", "−")
        width = width_mm(text, style, self.face)
        ascent = self.face.ascent_em * style.size_mm
        descent = self.face.descent_em * style.size_mm
        if upright:
            left, baseline = foot[0] - 0.3 - width, foot[1] - (ascent - descent) / 2
        else:
            left, baseline = foot[0] - width / 2, foot[1] - 0.1 - ascent
        box = Box(left, baseline - descent, left + width, baseline + ascent)
        if self.page.holds(box):
            self.lines.append(Line(text, style, left, baseline, box))

    def text(self, told: tuple[str, ...], area: Box) -> None:
        """Write the sentences as large as they fit."""
        for x_mm in (1.4, 1.2, 1.0, FLOOR_X_MM):
            style = blocks.style(self.face, x_mm)
            said = [blocks.one(text, style, style.size_mm / 2) for text in told]
            if lines := set_text(said, Column(area), self.face):
                self.lines += lines
                return


def _along(start: Point, by: float, aside: float, upright: bool) -> Point:
    """Return the point so far along an axis and to its side."""
    x, y = start
    return (x + aside, y + by) if upright else (x + by, y + aside)
