"""How wide words are, and how little room they can take, before any is set."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from math import ceil

from .boxes import Paragraph, Style, Typeface
from .dimensions import LEADING

# Both hold words together and are printed as plain spaces. What is too long for its
# line is parted at the first, never at the second: a number stays with its unit.
NO_BREAK_SPACE = "\u00a0"
NEVER_BREAK_SPACE = "\u202f"
# Between facts; printed as a raised dot, and not at all where a line ends. A private
# character, so that a dot which somebody typed is never taken for it.
SEPARATOR = "\ue000"
_SHOWN = str.maketrans({NO_BREAK_SPACE: " ", NEVER_BREAK_SPACE: " ", SEPARATOR: "·"})

_DROPPED = str.maketrans("", "", NO_BREAK_SPACE + SEPARATOR)

Word = tuple[str, float, bool]  # with its spaces held, width in ems, whether bold


def width_mm(text: str, style: Style, face: Typeface) -> float:
    return face.width_em(shown(text), bold=style.bold) * style.size_mm


@dataclass(frozen=True, slots=True)
class Measure:
    """How much of a column paragraphs take at least, whatever their size.

    For each: type size over the x-height it was made for, ems of its words, ems of a
    space, and how many words there are.
    """

    parts: tuple[tuple[float, float, float, int], ...]

    def least_mm2(self, x_mm: float, height_mm: float) -> float:
        """Return no more than the area it covers in columns this high together.

        A quick way to see that a size cannot fit, without setting anything.
        """
        found = 0.0
        for scale, ems, space, words in self.parts:
            size = scale * x_mm
            spaces = words - height_mm / (LEADING * size)  # none where a line ends
            found += (ems + space * max(spaces, 0.0)) * size * size
        return found * LEADING


def measure(paragraphs: Iterable[Paragraph], x_mm: float, face: Typeface) -> Measure:
    """Measure paragraphs that were made for this x-height."""
    parts = []
    for paragraph in paragraphs:
        bold = paragraph.style.bold
        ems, words = extent(paragraph.sentences, paragraph.lead, bold, face)
        space = face.width_em(" ", bold=bold)
        parts.append((paragraph.style.size_mm / x_mm, ems, space, words))
    return Measure(tuple(parts))


def least_height_mm(
    paragraphs: Iterable[Paragraph], width_mm: float, face: Typeface
) -> float:
    """Return no more than the height of these paragraphs in a column this wide.

    Lines of n words have n - 1 spaces between them.
    """
    found = 0.0
    for paragraph in paragraphs:
        style = paragraph.style
        sentences, lead = paragraph.sentences, paragraph.lead
        ems, words = extent(sentences, lead, style.bold, face)
        space = face.width_em(" ", bold=style.bold)
        room = width_mm / style.size_mm + space
        lines = ceil((ems + space * words) / room - 1e-6)
        found += lines * LEADING * style.size_mm
    return found


@lru_cache(maxsize=4096)
def words_of(
    sentences: tuple[str, ...], lead: str, bold: bool, face: Typeface
) -> tuple[Word, ...]:
    found = [word for text in sentences for word in measured(text, bold, face)]
    return (*measured(lead, True, face), *found)


@lru_cache(maxsize=4096)
def extent(
    sentences: tuple[str, ...], lead: str, bold: bool, face: Typeface
) -> tuple[float, int]:
    """Return the least ems of all words together, and how many there are.

    Spaces that hold a word together and dots between facts are left out: where a line
    ends they are not printed.
    """
    words = words_of(sentences, lead, bold, face)
    ems = (
        ems_of(word.translate(_DROPPED), heavy, face)
        if NO_BREAK_SPACE in word
        else width
        for word, width, heavy in words
    )
    return sum(ems), len(words)


@lru_cache(maxsize=4096)
def measured(text: str, bold: bool, face: Typeface) -> tuple[Word, ...]:
    """Return the words with their widths: a label is tried in many sizes."""
    found = (word for word in re.split(r"[ \t\r\n]+", text) if word)
    return tuple((word, ems_of(word, bold, face), bold) for word in found)


def ems_of(word: str, bold: bool, face: Typeface) -> float:
    return face.width_em(shown(word), bold=bold)


def shown(word: str) -> str:
    return word.translate(_SHOWN)
