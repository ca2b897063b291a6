"""The label of an outer box: the full label, and below it the vessels inside."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil

from . import blocks, layout
from .boxes import Box, Column, Face, Line, Typeface
from .composing import Composed, Job, Listed, phrase, sizes_said
from .dimensions import FLOOR_X_MM, LEADING, for_capacity
from .measuring import width_mm
from .notes import list_goes_on
from .placing import stack_mm
from .press import Press, Setting, boxed, smallest_x_mm
from .spreading import DoesNotFit, missing
from .typesetting import height_mm, set_text
from .wording import LabelContent

LARGEST_LIST_MM = 1.6
GAP_MM = 4.0  # between the columns of the list
AMOUNT_GAP_MM = 2.0  # between a code and its mass
RULE_MM = 1.5  # white between the label and the list
WHERE = "The outer-box label"
MOST_PARTS = 9


@dataclass(frozen=True, slots=True)
class Listing:
    """A list as it is set at the bottom of an area."""

    lines: tuple[Line, ...]
    top: float
    count: int  # entries on it


def box(job: Job) -> Composed:
    """Return the label with as much of the list as it holds, and what goes on."""
    area = boxed(job.size_mm, job.clear_mm)
    for listing, least_x_mm in _listings(job, area):
        setting = _setting(job, replace(area, bottom=listing.top))
        label = Press(job.content, setting, job.face).best(least_x_mm)
        if label:
            return _composed(job, area, label, listing, least_x_mm)
    press = Press(job.content, _setting(job, area), job.face)
    raise DoesNotFit(job.size_mm, missing(press), WHERE)


def _composed(
    job: Job, area: Box, label: Face, listing: Listing, x_mm: float
) -> Composed:
    lines = label.lines + listing.lines
    first = replace(label, lines=lines, x_height_mm=smallest_x_mm(lines, job.face))
    rest = job.inside[listing.count :]
    counted = _further(job, area, rest, x_mm, MOST_PARTS)
    faces = (first, *_further(job, area, rest, x_mm, len(counted) + 1))
    said = sizes_said(job.content, faces)
    if len(faces) == 1:
        return Composed("box", faces, "", said)
    faces = tuple(replace(face, parts=len(faces)) for face in faces)
    return Composed("box", faces, "box", (list_goes_on(len(faces)), *said))


def _setting(job: Job, area: Box) -> Setting:
    """Return how the label above the list is tried.

    Pictograms larger than they have to be do not stand side by side.
    """
    content = job.content
    plain = layout.setting(content, job.size_mm, job.clear_mm)
    count = len(content.pictograms)
    wished = layout.wished_side_mm(for_capacity(content.capacity_ul))
    sizes = tuple(
        (side, x)
        for side, x in plain.sizes
        if side <= wished or stack_mm(count, side) <= area.height
    )
    return replace(
        plain,
        format="box",
        area=area,
        sizes=sizes,
        arrangements=layout.arrangements(content, area),
    )


def _listings(job: Job, area: Box) -> Iterator[tuple[Listing, float]]:
    """Yield the lists to try, and the least x-height of the label above.

    All of it first, large and then smaller; then as many rows as there is room for.
    """
    entries, target = job.inside, for_capacity(job.content.capacity_ul).x_height_mm
    if not entries:
        yield Listing((), area.bottom, 0), FLOOR_X_MM
        return
    if _grid(entries, area, FLOOR_X_MM, job.face) is None:
        raise DoesNotFit(job.size_mm, "its list of vessels", WHERE)
    count = len(entries)
    said = _heading(job.content, count)
    for x in layout.x_heights_mm(max(LARGEST_LIST_MM, target)):
        if found := _set_list(said, entries, area, x, job.face):
            yield found, min(x, target)
    for x in (target, FLOOR_X_MM):
        grid = _grid(entries, area, x, job.face)
        columns = grid.columns if grid else count
        for rows in range((count - 1) // columns, 0, -1):
            shown = rows * columns
            more = _phrases(job.content, "more_inside", count=count - shown)
            if found := _set_list((*said, *more), entries[:shown], area, x, job.face):
                yield found, x


def _further(
    job: Job, area: Box, entries: tuple[Listed, ...], x_mm: float, parts: int
) -> tuple[Face, ...]:
    """Return labels with the rest of the list on them."""
    faces: list[Face] = []
    leading = LEADING * blocks.style(job.face, x_mm).size_mm
    said = _heading(job.content, len(job.inside))
    while entries:
        number = len(faces) + 2
        which = job.content.words.part.format(part=number, parts=parts)
        head = blocks.continuation_head(job.content, x_mm, job.face, which, facts=False)
        lines = set_text(head, Column(area), job.face) or ()
        room = replace(area, top=area.top - height_mm(lines, job.face) - RULE_MM)
        grid = _grid(entries, room, x_mm, job.face)
        shown = max(1, int(room.height / leading) - 2) * grid.columns if grid else 0
        listing = _set_list(said, entries[:shown], room, x_mm, job.face)
        if not lines or listing is None:
            raise DoesNotFit(job.size_mm, "its list of vessels", WHERE)
        up = room.top + RULE_MM - listing.top
        lines += tuple(line.moved(0, up) for line in listing.lines)
        smallest = smallest_x_mm(lines, job.face)
        faces.append(
            Face(job.size_mm, lines, x_height_mm=smallest, part=number, format="box")
        )
        entries = entries[shown:]
    return tuple(faces)


def _heading(content: LabelContent, count: int) -> tuple[str, ...]:
    return _phrases(content, "inside" if count > 1 else "inside_one", count=count)


def _phrases(content: LabelContent, name: str, **values: int) -> tuple[str, ...]:
    return tuple(text.format(**values) for text in phrase(content, name))


@dataclass(frozen=True, slots=True)
class _Grid:
    """The columns of a list."""

    columns: int
    width: float
    aside: float  # where amounts begin in one


def _grid(
    entries: tuple[Listed, ...], area: Box, x_mm: float, face: Typeface
) -> _Grid | None:
    """Return the columns that the longest code and amount leave room for."""
    body = blocks.style(face, x_mm)
    bold = blocks.style(face, x_mm, bold=True)
    names = max(width_mm(blocks.held(entry.name), bold, face) for entry in entries)
    amounts = max(width_mm(blocks.held(entry.amount), body, face) for entry in entries)
    width = names + AMOUNT_GAP_MM + amounts
    columns = int((area.width + GAP_MM) // (width + GAP_MM))
    return _Grid(columns, width, names + AMOUNT_GAP_MM) if columns else None


def _set_list(
    said: tuple[str, ...],
    entries: tuple[Listed, ...],
    area: Box,
    x_mm: float,
    face: Typeface,
) -> Listing | None:
    """Set heading and entries at the bottom of the area; None without room."""
    grid = _grid(entries, area, x_mm, face) if entries else None
    body = blocks.style(face, x_mm)
    bold = blocks.style(face, x_mm, bold=True)
    heading = set_text([blocks.one(blocks.apart(said), bold)], Column(area), face)
    if grid is None or heading is None:
        return None
    leading = LEADING * bold.size_mm
    rows = ceil(len(entries) / grid.columns)
    tall = rows * leading
    top = area.bottom + tall + height_mm(heading, face)
    if top + RULE_MM > area.top + 1e-9:
        return None
    lines = [line.moved(0, top - area.top) for line in heading]
    for number, entry in enumerate(entries):
        column, row = divmod(number, rows)
        left = area.left + column * (grid.width + GAP_MM)
        highest = area.bottom + tall - row * leading
        strip = Box(left, highest - leading, area.right, highest)
        for text, style, start in (
            (entry.name, bold, left),
            (entry.amount, body, left + grid.aside),
        ):
            cell = Column(replace(strip, left=start))
            lines += set_text([blocks.one(blocks.held(text), style)], cell, face) or ()
    return Listing(tuple(lines), top + RULE_MM, len(entries))
