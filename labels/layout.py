"""Which label shows what, where and how large; decided before anything is drawn.

Plans are tried in order of merit: pictograms of 16 mm side with text of 1.2 mm
x-height, then smaller of either, never below the floors. What one label cannot hold
goes on to the next slot of the sheet; what fits nowhere raises DoesNotFit.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise, product
from math import sqrt

from . import blocks, pictograms, placing, qr
from .placing import Code, Mark, Placed
from .typesetting import Box, Column, Line, Paragraph, Typeface, height_mm, set_text
from .wording import CannotPrint, LabelContent, clean

# Annex I 1.2.1.4: not below 10 mm, if possible 16 mm. A fifteenth of 74 × 52 mm is
# 256.5 mm², a little more than 16 × 16, so both are met by 16.02 mm.
LEAST_SIDE_MM = 10.02
WISHED_SIDE_MM = 16.02
TARGET_X_HEIGHT_MM = 1.2  # Regulation (EU) 2024/2865, packages up to 0.5 L

# Side of the pictograms and x-height, best first: what a large label has room for,
# then the widest pictograms with the largest text beside them. On 74 × 52 mm smaller
# pictograms buy little: 10 mm instead of 16 mm turns 0.9 mm of x-height into 1.0 mm.
MERIT: tuple[tuple[float, float], ...] = (
    *product((26.0, 23.0, 20.0), (1.8, 1.6, 1.4)),
    *product((WISHED_SIDE_MM,), (1.6, 1.4, 1.3)),
    *product(
        (WISHED_SIDE_MM, 15.0, 14.0, 13.0, 12.0, 11.0, LEAST_SIDE_MM),
        (1.2, 1.15, 1.1, 1.05, 1.0, 0.95, blocks.FLOOR_X_HEIGHT_MM),
    ),
)
# Text larger than this on a label of 74 × 52 mm looks like shouting.
LARGEST_X_MM = 1.4
# Whole dots of a 300 dpi printer, so that every module is equally wide.
MODULES_MM = (25.4 * 6 / 300, 25.4 * 5 / 300, qr.MODULE_MM)
MOST_PARTS = 9
FOOT_GAP_MM = 0.8


@dataclass(frozen=True, slots=True)
class Face:
    """One printed label, in millimetres from its lower left corner."""

    size_mm: tuple[float, float]
    lines: tuple[Line, ...]
    marks: tuple[Mark, ...]
    code: Code | None
    x_height_mm: float  # the smallest on it
    part: int = 1
    parts: int = 1


class DoesNotFit(CannotPrint):
    """Even at the floors, some of the label's content has no room."""

    def __init__(self, size_mm: tuple[float, float], missing: tuple[str, ...]) -> None:
        self.size_mm, self.missing = size_mm, missing
        super().__init__(
            f"A label of {size_mm[0]:g} × {size_mm[1]:g} mm is too small for "
            f"{' and '.join(missing)}: choose a larger one."
        )


class UnprintableText(CannotPrint):
    """A character that the label typeface lacks, or cannot set as it should be."""

    def __init__(self, text: str, characters: str) -> None:
        self.text, self.characters = text, characters
        super().__init__(f"The label typeface cannot print “{characters}” (“{text}”).")


@dataclass(frozen=True, slots=True)
class _Plan:
    """One way to try: how large things are and where they stand."""

    side_mm: float
    x_mm: float
    code_under_marks: bool = False
    listed: bool = False  # each statement on its own line
    module_mm: float = qr.MODULE_MM


def lay_out(
    content: LabelContent,
    size_mm: tuple[float, float],
    face: Typeface,
    *,
    clear_mm: float = 1.5,
) -> tuple[Face, ...]:
    """Return the label as one face, or as several when one cannot hold it.

    Nothing comes nearer than `clear_mm` to the edge but the white quiet zone of the
    QR code. Raises CannotPrint with a sentence that says why.
    """
    _check(content, face)
    press = _Press(content, size_mm, clear_mm, face)
    for plan in press.plans():
        if press.first(plan):
            return (press.at_its_best(plan),)
    return press.several()


def _check(content: LabelContent, face: Typeface) -> None:
    qr.symbol(content.url)
    for code in content.pictograms:
        pictograms.symbol(code)
    for text in content.every_text():
        if absent := face.missing(clean(text)):
            raise UnprintableText(text, absent)


class _Press:
    """One vessel's content and the label it must go on."""

    def __init__(
        self,
        content: LabelContent,
        size_mm: tuple[float, float],
        clear_mm: float,
        face: Typeface,
    ) -> None:
        self.content, self.size_mm, self.face = content, size_mm, face
        width, height = size_mm
        self.area = Box(clear_mm, clear_mm, width - clear_mm, height - clear_mm)
        self.count = len(content.statements)

    def plans(self) -> Iterator[_Plan]:
        """Yield the ways to try on a label of this size, best first."""
        full_mm2 = 74 * 52
        larger = sqrt(self.size_mm[0] * self.size_mm[1] / full_mm2)
        seen = set()
        for side, x in MERIT:
            if x > TARGET_X_HEIGHT_MM and x > LARGEST_X_MM * larger:
                continue
            side = side if self.content.pictograms else 0.0
            for under in (True, False) if side else (False,):
                plan = _Plan(side, x, under)
                if plan not in seen:
                    seen.add(plan)
                    yield plan

    def first(
        self, plan: _Plan, *, end: int | None = None, parts: int = 1
    ) -> Face | None:
        """Return the label with all that identifies it and statements up to `end`."""
        placed = self._placed(plan)
        if placed is None:
            return None
        words, x = self.content.words, plan.x_mm
        more = words.continues.format(part=2, parts=parts) if parts > 1 else ""
        foot = blocks.foot(self.content, x, self.face, more)
        body = blocks.head(self.content, x, self.face)
        body += blocks.warnings(self.content, x, self.face, listed=plan.listed, end=end)
        lines = self._column(body, foot, placed.column)
        if lines is None:
            return None
        lines += placed.caption
        return self._face(lines, placed.marks, placed.code, 1, parts)

    def further(
        self, plan: _Plan, start: int, end: int, part: int, parts: int
    ) -> Face | None:
        """Return a continuation label with the statements from `start` to `end`."""
        which = self.content.words.part.format(part=part, parts=parts)
        x = plan.x_mm
        body = blocks.continuation_head(self.content, x, self.face, which)
        body += blocks.warnings(
            self.content, x, self.face, listed=False, start=start, end=end
        )
        lines = set_text(body, Column(self.area), self.face)
        return self._face(lines, (), None, part, parts) if lines else None

    def at_its_best(self, plan: _Plan) -> Face:
        """Return the planned label with what else there is room for.

        That is a line for each statement and, after that, a larger QR code.
        """
        for listed, module_mm in product((True, False), MODULES_MM):
            found = self.first(replace(plan, listed=listed, module_mm=module_mm))
            if found:
                return found
        raise AssertionError("the plan was seen to fit")

    def several(self) -> tuple[Face, ...]:
        """Return the fewest labels that hold everything, in the best plan for that."""
        fewest: tuple[Face, ...] | None = None
        for plan in self.plans():
            faces = self._spread(plan)
            if faces and (fewest is None or len(faces) < len(fewest)):
                fewest = faces
        if fewest is None:
            raise DoesNotFit(self.size_mm, self._missing())
        return fewest

    def _spread(self, plan: _Plan) -> tuple[Face, ...] | None:
        """Fill label after label; hazard statements all stay on the first."""
        ends = self._ends(plan)
        if ends is None:
            return None
        parts = len(ends)
        faces = [self.first(plan, end=ends[0], parts=parts)]
        for number, (start, end) in enumerate(pairwise(ends), start=2):
            faces.append(self.further(plan, start, end, number, parts))
        whole = tuple(face for face in faces if face)
        return whole if len(whole) == parts else None

    def _ends(self, plan: _Plan) -> list[int] | None:
        """Return after which statement each label ends, or None."""
        ends: list[int] = []
        least = len(self.content.h_texts) + len(self.content.euh_texts)
        for end in range(self.count - 1, least - 1, -1):
            if self.first(plan, end=end, parts=2):
                ends.append(end)
                break
        while ends and ends[-1] < self.count and len(ends) < MOST_PARTS:
            start = ends[-1]
            for end in range(self.count, start, -1):
                if self.further(plan, start, end, 2, 2):
                    ends.append(end)
                    break
            else:
                return None
        return ends if ends and ends[-1] == self.count else None

    def _missing(self) -> tuple[str, ...]:
        """Say what is the first thing to find no room at the floors."""
        plan = _Plan(LEAST_SIDE_MM, blocks.FLOOR_X_HEIGHT_MM)
        marks = placing.stack(self.content.pictograms, plan.side_mm, self.area)
        if marks is None:
            return (f"{len(self.content.pictograms)} pictograms of 10 mm side",)
        both = (plan, replace(plan, code_under_marks=True))
        if not any(self._placed(each) for each in both):
            return ("the QR code with the vessel code",)
        hazards = len(self.content.h_texts) + len(self.content.euh_texts)
        for end, name in (
            (0, "the product, its amount and supplier"),
            (hazards, "the hazard statements"),
        ):
            if not any(self.first(each, end=end) for each in both):
                return (name,)
        return ("the precautionary statements",)

    def _placed(self, plan: _Plan) -> Placed | None:
        marks = placing.stack(self.content.pictograms, plan.side_mm, self.area)
        if marks is None:
            return None
        under = plan.code_under_marks
        block = placing.block(
            self.content,
            self.face,
            x_mm=plan.x_mm,
            module_mm=plan.module_mm,
            clear_mm=self.area.left,
            room_mm=pictograms.box_mm(plan.side_mm) if under else 0.0,
        )
        if block is None:
            return None
        place = placing.place_under if under else placing.place_beside
        return place(marks, block, self.area)

    def _column(
        self, body: list[Paragraph], foot: list[Paragraph], column: Column
    ) -> tuple[Line, ...] | None:
        """Set the body from the top and the foot on the bottom of the column."""
        foot_lines = set_text(foot, Column(column.area), self.face)
        if foot_lines is None:
            return None
        top = column.area.bottom + height_mm(foot_lines, self.face)
        foot_column = replace(column, area=replace(column.area, top=top))
        foot_lines = set_text(foot, foot_column, self.face)
        gap = FOOT_GAP_MM if foot else 0.0
        body_column = replace(column, area=replace(column.area, bottom=top + gap))
        body_lines = set_text(body, body_column, self.face)
        if foot_lines is None or body_lines is None:
            return None
        return body_lines + foot_lines

    def _face(
        self,
        lines: tuple[Line, ...],
        marks: tuple[Mark, ...],
        code: Code | None,
        part: int,
        parts: int,
    ) -> Face:
        smallest = min(line.style.size_mm for line in lines) * self.face.x_height_em
        return Face(self.size_mm, lines, marks, code, smallest, part, parts)
