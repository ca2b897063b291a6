"""How words become lines that stay inside a column and out of each other's way.

Nothing here draws: a typeface only has to say how wide its words are.
"""

import re
from collections import deque
from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import groupby

from .boxes import Box, Column, Line, Paragraph, Style, Typeface
from .dimensions import LEADING
from .measuring import (
    NO_BREAK_SPACE,
    SEPARATOR,
    Word,
    ems_of,
    measured,
    shown,
    words_of,
)

# A strip narrower than this many ems beside an obstacle is left white.
NARROWEST_EM = 6.0


def set_text(
    paragraphs: Iterable[Paragraph], column: Column, face: Typeface
) -> tuple[Line, ...] | None:
    """Set the paragraphs one below another; None if they need more than the column."""
    lines: list[Line] = []
    top = column.area.top
    for paragraph in paragraphs:
        if lines:
            top -= paragraph.space_before_mm
        found = _set_paragraph(paragraph, top, column, face)
        if found is None:
            return None
        lines += found[0]
        top = found[1]
    return tuple(lines)


def set_chain(
    paragraphs: Iterable[Paragraph], columns: Sequence[Column], face: Typeface
) -> tuple[Line, ...] | None:
    """Set the paragraphs through the columns; None if they need more than all.

    A paragraph is parted between two columns only where a sentence ends.
    """
    if len(columns) == 1:
        return set_text(paragraphs, columns[0], face)
    waiting = deque(paragraphs)
    lines: list[Line] = []
    for column in columns:
        top, fresh = column.area.top, True
        while waiting:
            paragraph = waiting.popleft()
            start = top if fresh else top - paragraph.space_before_mm
            found = _set_paragraph(paragraph, start, column, face)
            if found is None:
                head, tail = _parted(paragraph, start, column, face)
                lines += head
                waiting.appendleft(tail)
                break
            lines += found[0]
            top, fresh = found[1], False
    return None if waiting else tuple(lines)


def height_mm(lines: Sequence[Line], face: Typeface) -> float:
    """Return how much of a column these lines take, their leading included."""
    if not lines:
        return 0.0
    first, last = lines[0], lines[-1]
    return (
        first.box.top
        + _half_gap(first.style, face)
        - last.box.bottom
        + _half_gap(last.style, face)
    )


@lru_cache(maxsize=8192)
def _set_paragraph(
    paragraph: Paragraph, top: float, column: Column, face: Typeface
) -> tuple[tuple[Line, ...], float] | None:
    """Return the lines set from `top` down, and where the next may begin.

    Kept, because the labels of a batch share their statements.
    """
    lines: list[Line] = []
    bold = paragraph.style.bold
    queue = deque(words_of(paragraph.sentences, paragraph.lead, bold, face))
    while queue:
        found = _next_line(queue, paragraph, top, column, face)
        if not found:
            return None
        lines += found
        top = found[-1].box.bottom - _half_gap(paragraph.style, face)
    return tuple(lines), top


def _parted(
    paragraph: Paragraph, top: float, column: Column, face: Typeface
) -> tuple[tuple[Line, ...], Paragraph]:
    """Set as many sentences as the column holds; return the others with them."""
    for count in range(len(paragraph.sentences) - 1, 0, -1):
        head = replace(paragraph, sentences=paragraph.sentences[:count])
        if found := _set_paragraph(head, top, column, face):
            rest = paragraph.sentences[count:]
            return found[0], replace(paragraph, sentences=rest, lead="")
    return (), paragraph


def _half_gap(style: Style, face: Typeface) -> float:
    """Half of what the leading adds to the glyphs' own height."""
    return (LEADING - face.ascent_em - face.descent_em) * style.size_mm / 2


def _next_line(
    queue: deque[Word],
    paragraph: Paragraph,
    top: float,
    column: Column,
    face: Typeface,
) -> list[Line]:
    """Take from the queue what fits on the next line; [] when the column is full.

    One line is several where bold words stand beside others.
    """
    style = paragraph.style
    height = LEADING * style.size_mm
    left, right = column.span(top, height)
    while right - left < NARROWEST_EM * style.size_mm:
        blocking = column.blocking(top, height)
        if not blocking:
            break
        top = max(obstacle.bottom for obstacle in blocking)
        left, right = column.span(top, height)
    if top - height < column.area.bottom - 1e-6:
        return []
    # A bold space is the wider one.
    space = face.width_em(" ", bold=style.bold or bool(paragraph.lead))
    taken = _take(queue, space, (right - left) / style.size_mm, face)
    line = _line(taken, paragraph, left, top, face)
    return line if line[-1].box.right <= right + 1e-6 else []


def _line(
    taken: list[Word], paragraph: Paragraph, left: float, top: float, face: Typeface
) -> list[Line]:
    """Return the line whose strip of LEADING times its size begins at `top`."""
    size = paragraph.style.size_mm
    baseline = top - _half_gap(paragraph.style, face) - face.ascent_em * size
    bottom, top = baseline - face.descent_em * size, baseline + face.ascent_em * size
    found = []
    for bold, run in groupby(taken, key=lambda word: word[2]):
        words, space = list(run), face.width_em(" ", bold=bold)
        ems = sum(word[1] for word in words) + space * (len(words) - 1)
        found.append(
            Line(
                text=" ".join(shown(word[0]) for word in words),
                style=Style(size, bold),
                left_mm=left,
                baseline_mm=baseline,
                box=Box(left, bottom, left + ems * size, top),
                lang=paragraph.lang,
            )
        )
        left += (ems + space) * size
    return found


def _take(
    queue: deque[Word], space: float, room_em: float, face: Typeface
) -> list[Word]:
    """Remove and return the words that fit on a line; at least part of one."""
    if queue[0][1] > room_em:
        word, _, bold = queue.popleft()
        head, tail = _split(word, bold, room_em, face)
        queue.extendleft(measured(tail, bold, face)[::-1])
        return [(head, ems_of(head, bold, face), bold)]
    used = -space
    taken: list[Word] = []
    while queue and used + space + queue[0][1] <= room_em + 1e-9:
        taken.append(queue.popleft())
        used += space + taken[-1][1]
    if queue and taken[-1][0].endswith(SEPARATOR):
        word, _, bold = taken.pop()
        fact = word.rstrip(SEPARATOR + NO_BREAK_SPACE)
        taken.append((fact, ems_of(fact, bold, face), bold))
    return taken


def _split(word: str, bold: bool, room_em: float, face: Typeface) -> tuple[str, str]:
    """Split a word too long for its line: at a held space, a hyphen, or anywhere."""
    fits = 1
    while fits < len(word) - 1 and ems_of(word[: fits + 1], bold, face) <= room_em:
        fits += 1
    for mark in (NO_BREAK_SPACE, r"[-–/@.,;]"):
        places = [m.end() for m in re.finditer(mark, word[:fits])]
        if places and places[-1] < len(word):
            return word[: places[-1]].rstrip(NO_BREAK_SPACE), word[places[-1] :]
    return word[:fits], word[fits:]
