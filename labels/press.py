"""The search for the sizes and the arrangement that a piece is printed in.

Plans are tried in order of merit: pictograms of the wished side with text of the target
x-height, then smaller of either, never below the floors.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import inf

from . import blocks, pictograms, placing, qr
from .boxes import Box, Code, Column, Face, Line, Mark, Paragraph, Stroke, Typeface
from .dimensions import FLOOR_X_MM
from .measuring import Measure, least_height_mm, measure
from .placing import Arrangement, Placed
from .typesetting import height_mm, set_chain, set_text
from .wording import LabelContent

# Whole dots of a 300 dpi printer, so that every module is equally wide.
MODULES_MM = (25.4 * 6 / 300, 25.4 * 5 / 300, qr.MODULE_MM)
FOOT_GAP_MM = 0.8

Sizes = tuple[tuple[float, float], ...]  # side of the pictograms, x-height


@dataclass(frozen=True, slots=True)
class Setting:
    """A piece to be printed: what divides it, and the sizes to try, best first."""

    format: str
    size_mm: tuple[float, float]
    area: Box  # of what goes on from the label before
    arrangements: tuple[Arrangement, ...]
    sizes: Sizes
    clear_mm: float = 1.5
    # The QR code's widest symbol, quiet zones left out; 0 for a piece without one.
    code_mm: float = inf
    module_sizes_mm: tuple[float, ...] = MODULES_MM
    code_in_head: bool = False
    facts: bool = True
    record: bool = True  # whether the code leads to a batch record, and says so
    closing: tuple[str, ...] = ()  # "Full label on the tag." in each language
    strokes: tuple[Stroke, ...] = ()

    def modules_mm(self, url: str) -> tuple[float, ...]:
        """Return the module widths that the code may have here, largest first."""
        count = qr.modules(url) - 2 * qr.QUIET_MODULES
        return tuple(mm for mm in self.module_sizes_mm if count * mm <= self.code_mm)


@dataclass(frozen=True, slots=True)
class Plan:
    """One way to try: how large things are and where they stand."""

    arrangement: Arrangement
    side_mm: float
    x_mm: float
    module_mm: float  # 0 without a code
    listed: bool = False  # each statement on its own line


class Press:
    """One vessel's content and the piece it must go on."""

    def __init__(self, content: LabelContent, setting: Setting, face: Typeface) -> None:
        self.content, self.setting, self.face = content, setting, face
        self.modules_mm = setting.modules_mm(content.url)
        self.least_module_mm = self.modules_mm[-1] if self.modules_mm else 0.0
        symbol = qr.modules(content.url) - 2 * qr.QUIET_MODULES
        self._code_mm2 = (symbol * self.least_module_mm) ** 2

    def plans(self, least_x_mm: float = 0.0) -> Iterator[Plan]:
        """Yield the ways to try, best first."""
        sizes = self.setting.sizes
        if not self.content.pictograms:
            sizes = tuple(dict.fromkeys((0.0, x) for _, x in sizes))
        for side, x in sizes:
            if x >= least_x_mm - 1e-9:
                for arrangement in self.setting.arrangements:
                    yield Plan(arrangement, side, x, self.least_module_mm)

    def best(self, least_x_mm: float = 0.0) -> Face | None:
        """Return the piece with everything on it, as well as it can be; or None."""
        x = FLOOR_X_MM
        plain = Plan(self.setting.arrangements[0], 0.0, x, self.least_module_mm)
        text = self.body(plain, None, coded=bool(self.modules_mm))
        needed = measure((*text, *self.foot(plain, self.setting.closing)), x, self.face)
        for plan in self.plans(least_x_mm):
            if self._may_hold(plan, needed) and self.first(plan):
                return self._at_its_best(plan)
        return None

    def _may_hold(self, plan: Plan, needed: Measure) -> bool:
        """Whether the text could have room beside pictograms and code: a quick look."""
        room = sum(panel.width * panel.height for panel in plan.arrangement.panels)
        high = sum(panel.height for panel in plan.arrangement.panels)
        marks = len(self.content.pictograms) * pictograms.box_mm(plan.side_mm) ** 2
        return needed.least_mm2(plan.x_mm, high) <= room - marks - self._code_mm2

    def _at_its_best(self, plan: Plan) -> Face:
        """Return the planned piece with what else there is room for.

        That is a line for each statement and, after that, a larger QR code.
        """
        for listed, module_mm in product((True, False), self.modules_mm or (0.0,)):
            found = self.first(replace(plan, listed=listed, module_mm=module_mm))
            if found:
                return found
        raise AssertionError("the plan was seen to fit")

    def first(
        self, plan: Plan, *, end: int | None = None, parts: int = 1
    ) -> Face | None:
        """Return the piece with all that identifies it and statements up to `end`."""
        placed = self.placed(plan)
        if placed is None:
            return None
        more = self.setting.closing
        if parts > 1:
            more = (self.content.words.continues.format(part=2, parts=parts),)
        foot = self.foot(plan, more)
        body = self.body(plan, end, coded=placed.code is not None)
        lines = fill(body, foot, placed.columns, self.face)
        if lines is None:
            return None
        return self.face_of(lines + placed.caption, placed.marks, placed.code, 1, parts)

    def body(self, plan: Plan, end: int | None, *, coded: bool) -> list[Paragraph]:
        """Return what is set from the top down; `coded` with the QR code beside it."""
        content, face, setting = self.content, self.face, self.setting
        code = setting.code_in_head or not coded
        found = blocks.head(content, plan.x_mm, face, code=code, facts=setting.facts)
        listed = plan.listed
        return found + blocks.warnings(content, plan.x_mm, face, listed=listed, end=end)

    def foot(self, plan: Plan, more: tuple[str, ...]) -> list[Paragraph]:
        """Return what stands at the bottom."""
        return blocks.foot(self.content, plan.x_mm, self.face, more)

    def placed(self, plan: Plan) -> Placed | None:
        def make(room_mm: float) -> placing.Block | None:
            content, setting = self.content, self.setting
            return placing.block(
                content.url,
                content.full_code,
                content.words.see_record if setting.record else "",
                self.face,
                lang=content.lang,
                x_mm=plan.x_mm,
                module_mm=plan.module_mm,
                clear_mm=setting.clear_mm,
                room_mm=room_mm,
            )

        return plan.arrangement.place(
            self.content.pictograms, plan.side_mm, make if plan.module_mm else None
        )

    def face_of(
        self,
        lines: tuple[Line, ...],
        marks: tuple[Mark, ...],
        code: Code | None,
        part: int,
        parts: int,
    ) -> Face:
        return Face(
            size_mm=self.setting.size_mm,
            lines=lines,
            marks=marks,
            code=code,
            strokes=self.setting.strokes,
            x_height_mm=smallest_x_mm(lines, self.face),
            part=part,
            parts=parts,
            format=self.setting.format,
        )


def smallest_x_mm(lines: Sequence[Line], face: Typeface) -> float:
    """Return the height of the smallest letter x."""
    return min(line.style.size_mm for line in lines) * face.x_height_em


def fill(
    body: list[Paragraph],
    foot: list[Paragraph],
    columns: tuple[Column, ...],
    face: Typeface,
) -> tuple[Line, ...] | None:
    """Set the body from the top of the first column, the foot at the last's bottom."""
    widest = max(column.area.width for column in columns)
    high = sum(column.area.height for column in columns)
    if least_height_mm((*body, *foot), widest, face) > high + 1e-6:
        return None
    *others, last = columns
    foot_lines = set_text(foot, Column(last.area), face)
    if foot_lines is None:
        return None
    top = last.area.bottom + height_mm(foot_lines, face)
    standing = replace(last, area=replace(last.area, top=top))
    if any(standing.area.overlaps(obstacle) for obstacle in last.obstacles):
        foot_lines = set_text(foot, standing, face)
    else:
        foot_lines = tuple(line.moved(0, top - last.area.top) for line in foot_lines)
    gap = FOOT_GAP_MM if foot else 0.0
    rest = replace(last, area=replace(last.area, bottom=top + gap))
    body_lines = set_chain(body, (*others, rest), face)
    if foot_lines is None or body_lines is None:
        return None
    return body_lines + foot_lines


def boxed(size_mm: tuple[float, float], clear_mm: float) -> Box:
    """Return what may be printed on of a piece with a clear edge."""
    return Box(0, 0, *size_mm).inset(clear_mm)
