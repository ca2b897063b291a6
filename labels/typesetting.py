"""How words become lines that stay inside a column and out of each other's way.

Lengths in millimetres from the label's lower left corner; type sizes are the em in
millimetres. Nothing here draws: a typeface only has to say how wide its words are.
"""

import re
from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

# Regulation (EU) 2024/2865: at least 120 % of the type size from line to line.
LEADING = 1.2
# A strip narrower than this many ems beside an obstacle is left white.
NARROWEST_EM = 6.0
# Both hold words together and are printed as plain spaces. What is too long for its
# line is parted at the first, never at the second: a number stays with its unit.
NO_BREAK_SPACE = "\u00a0"
NEVER_BREAK_SPACE = "\u202f"
# Between facts; printed as a raised dot, and not at all where a line ends. A private
# character, so that a dot which somebody typed is never taken for it.
SEPARATOR = "\ue000"
_SHOWN = str.maketrans({NO_BREAK_SPACE: " ", NEVER_BREAK_SPACE: " ", SEPARATOR: "·"})


_Word = tuple[str, float]  # what is printed, and its width in ems


class Typeface(Protocol):
    """What has to be known of a typeface to set it; heights and widths in ems."""

    x_height_em: float
    ascent_em: float
    descent_em: float

    def width_em(self, text: str, *, bold: bool) -> float: ...

    def missing(self, text: str) -> str:
        """Return the characters of `text` that the typeface cannot show."""
        ...

    def __hash__(self) -> int: ...


@dataclass(frozen=True, slots=True)
class Box:
    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.top - self.bottom

    def moved(self, right: float, up: float) -> "Box":
        return Box(
            self.left + right, self.bottom + up, self.right + right, self.top + up
        )

    def holds(self, other: "Box", *, slack: float = 1e-6) -> bool:
        return (
            other.left >= self.left - slack
            and other.bottom >= self.bottom - slack
            and other.right <= self.right + slack
            and other.top <= self.top + slack
        )

    def overlaps(self, other: "Box", *, slack: float = 1e-6) -> bool:
        return (
            self.left < other.right - slack
            and other.left < self.right - slack
            and self.bottom < other.top - slack
            and other.bottom < self.top - slack
        )


@dataclass(frozen=True, slots=True)
class Style:
    size_mm: float
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Words set one after another in one style."""

    text: str
    style: Style
    space_before_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Line:
    """One line of text where it will be drawn, and the room its glyphs may take."""

    text: str
    style: Style
    left_mm: float
    baseline_mm: float
    box: Box

    def moved(self, right: float, up: float) -> "Line":
        return Line(
            text=self.text,
            style=self.style,
            left_mm=self.left_mm + right,
            baseline_mm=self.baseline_mm + up,
            box=self.box.moved(right, up),
        )


@dataclass(frozen=True, slots=True)
class Column:
    """Where text may go: an area, less what already stands in it."""

    area: Box
    obstacles: tuple[Box, ...] = ()

    def span(self, top: float, height: float) -> tuple[float, float]:
        """Return the free stretch, left to right, for a line of this height."""
        left, right = self.area.left, self.area.right
        for obstacle in self.blocking(top, height):
            if obstacle.left - left > right - obstacle.right:
                right = min(right, obstacle.left)
            else:
                left = max(left, obstacle.right)
        return left, right

    def blocking(self, top: float, height: float) -> list[Box]:
        strip = Box(self.area.left, top - height, self.area.right, top)
        return [o for o in self.obstacles if strip.overlaps(o)]


def set_text(
    paragraphs: Iterable[Paragraph], column: Column, face: Typeface
) -> tuple[Line, ...] | None:
    """Set the paragraphs one below another; None if they need more than the column."""
    lines: list[Line] = []
    top = column.area.top
    for paragraph in paragraphs:
        if lines:
            top -= paragraph.space_before_mm
        queue = deque(_measured(paragraph.text, paragraph.style.bold, face))
        while queue:
            line = _next_line(queue, paragraph.style, top, column, face)
            if line is None:
                return None
            lines.append(line)
            top = line.box.bottom - _half_gap(paragraph.style, face)
    return tuple(lines)


def height_mm(lines: tuple[Line, ...], face: Typeface) -> float:
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


def width_mm(text: str, style: Style, face: Typeface) -> float:
    return face.width_em(_shown(text), bold=style.bold) * style.size_mm


def _half_gap(style: Style, face: Typeface) -> float:
    """Half of what the leading adds to the glyphs' own height."""
    return (LEADING - face.ascent_em - face.descent_em) * style.size_mm / 2


def _next_line(
    queue: deque[_Word], style: Style, top: float, column: Column, face: Typeface
) -> Line | None:
    """Take from the queue what fits on the next line; None when the column is full."""
    height = LEADING * style.size_mm
    left, right = column.span(top, height)
    while right - left < NARROWEST_EM * style.size_mm:
        blocking = column.blocking(top, height)
        if not blocking:
            break
        top = max(obstacle.bottom for obstacle in blocking)
        left, right = column.span(top, height)
    if top - height < column.area.bottom - 1e-6:
        return None
    taken = _take(queue, style.bold, (right - left) / style.size_mm, face)
    line = _line(taken, style, left, top, face)
    return line if line.box.right <= right + 1e-6 else None


def _line(
    taken: list[_Word], style: Style, left: float, top: float, face: Typeface
) -> Line:
    """Return the line whose strip of LEADING times its size begins at `top`."""
    spaces = (len(taken) - 1) * face.width_em(" ", bold=style.bold)
    width = (sum(ems for _, ems in taken) + spaces) * style.size_mm
    baseline = top - _half_gap(style, face) - face.ascent_em * style.size_mm
    bottom = baseline - face.descent_em * style.size_mm
    top = baseline + face.ascent_em * style.size_mm
    return Line(
        text=" ".join(_shown(word) for word, _ in taken),
        style=style,
        left_mm=left,
        baseline_mm=baseline,
        box=Box(left, bottom, left + width, top),
    )


def _take(
    queue: deque[_Word], bold: bool, room_em: float, face: Typeface
) -> list[_Word]:
    """Remove and return the words that fit on a line; at least part of one."""
    if queue[0][1] > room_em:
        word, _ = queue.popleft()
        head, tail = _split(word, bold, room_em, face)
        queue.extendleft(_measured(tail, bold, face)[::-1])
        return [(head, _ems(head, bold, face))]
    space = face.width_em(" ", bold=bold)
    used = -space
    taken: list[_Word] = []
    while queue and used + space + queue[0][1] <= room_em + 1e-9:
        taken.append(queue.popleft())
        used += space + taken[-1][1]
    if queue and taken[-1][0].endswith(SEPARATOR):
        fact = taken.pop()[0].rstrip(SEPARATOR + NO_BREAK_SPACE)
        taken.append((fact, _ems(fact, bold, face)))
    return taken


def _split(word: str, bold: bool, room_em: float, face: Typeface) -> tuple[str, str]:
    """Split a word too long for its line: at a held space, a hyphen, or anywhere."""
    fits = 1
    while fits < len(word) - 1 and _ems(word[: fits + 1], bold, face) <= room_em:
        fits += 1
    for mark in (NO_BREAK_SPACE, r"[-–/@.,;]"):
        places = [m.end() for m in re.finditer(mark, word[:fits])]
        if places and places[-1] < len(word):
            return word[: places[-1]].rstrip(NO_BREAK_SPACE), word[places[-1] :]
    return word[:fits], word[fits:]


@lru_cache(maxsize=4096)
def _measured(text: str, bold: bool, face: Typeface) -> tuple[_Word, ...]:
    """Return the words with their widths: a label is tried in many sizes."""
    found = (word for word in re.split(r"[ \t\r\n]+", text) if word)
    return tuple((word, _ems(word, bold, face)) for word in found)


def _ems(word: str, bold: bool, face: Typeface) -> float:
    return face.width_em(_shown(word), bold=bold)


def _shown(word: str) -> str:
    return word.translate(_SHOWN)
