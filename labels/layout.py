"""A plain label: which shows what, where and how large, decided before it is drawn.

What one label cannot hold goes on to the next place of the sheet; what fits nowhere
raises DoesNotFit.
"""

from functools import lru_cache
from itertools import product
from math import inf, sqrt

from . import pictograms, qr
from .boxes import Box, Face, Typeface
from .dimensions import FLOOR_X_MM, Dimensions, for_capacity
from .placing import Arrangement, Beside, Under
from .press import Press, Setting, Sizes, boxed
from .spreading import DoesNotFit, spread
from .wording import CannotPrint, LabelContent, clean

__all__ = ["DoesNotFit", "UnprintableText", "check", "lay_out", "setting"]

# What rounding in a drawing may take away.
SPARE_MM = 0.02
# Text larger than this on a label of 74 × 52 mm looks like shouting.
LARGEST_X_MM = 1.4


class UnprintableText(CannotPrint):
    """A character that the label typeface lacks, or cannot set as it should be."""

    def __init__(self, text: str, characters: str) -> None:
        self.text, self.characters = text, characters
        super().__init__(f"The label typeface cannot print “{characters}” (“{text}”).")


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
    check(content, face)
    press = Press(content, setting(content, size_mm, clear_mm), face)
    whole = press.best()
    return (whole,) if whole else spread(press)


def check(content: LabelContent, face: Typeface) -> None:
    """Raise CannotPrint for what cannot be drawn in any size."""
    qr.symbol(content.url)
    for code in content.pictograms:
        pictograms.symbol(code)
    for text in content.every_text():
        if absent := _absent(text, face):
            raise UnprintableText(text, absent)


@lru_cache(maxsize=4096)
def _absent(text: str, face: Typeface) -> str:
    return face.missing(clean(text))


def setting(
    content: LabelContent,
    size_mm: tuple[float, float],
    clear_mm: float,
    *,
    code_mm: float = inf,
) -> Setting:
    """Return how a plain label of this size is tried."""
    area = boxed(size_mm, clear_mm)
    return Setting(
        format="full",
        size_mm=size_mm,
        area=area,
        arrangements=arrangements(content, area) if code_mm else (Beside(area),),
        sizes=plain_sizes(content.capacity_ul, size_mm),
        clear_mm=clear_mm,
        code_mm=code_mm,
    )


def arrangements(content: LabelContent, area: Box) -> tuple[Arrangement, ...]:
    """Return the ways to divide a plain label between its parts."""
    return (Under(area), Beside(area)) if content.pictograms else (Beside(area),)


@lru_cache(maxsize=256)
def plain_sizes(capacity_ul: int | None, size_mm: tuple[float, float]) -> Sizes:
    """Return sides of the pictograms and x-heights, best first.

    First what a large label has room for, then the widest pictograms with the largest
    text beside them. On 74 × 52 mm smaller pictograms buy little: 10 mm instead of
    16 mm turns 0.9 mm of x-height into 1.0 mm.
    """
    wanted = for_capacity(capacity_ul)
    larger = sqrt(size_mm[0] * size_mm[1] / (74 * 52))
    most = max(LARGEST_X_MM * larger, wanted.x_height_mm)
    wished = wished_side_mm(wanted)
    generous = (
        *product((wished + 10, wished + 7, wished + 4), (1.8, 1.6, 1.4)),
        *product((wished,), (1.6, 1.4, 1.3)),
    )
    found = [(side, x) for side, x in generous if wanted.x_height_mm < x <= most]
    if larger > 1.2:  # room to spare: pictograms larger than they have to be
        found += product((wished + 7, wished + 4, wished + 2), (wanted.x_height_mm,))
    found += product(sides_mm(wanted), x_heights_mm(wanted.x_height_mm))
    return tuple(found)


def wished_side_mm(wanted: Dimensions) -> float:
    """Return a side that satisfies both the table and its fifteenth of the area."""
    return max(wanted.side_mm, wanted.fifteenth_mm) + SPARE_MM / 4


def sides_mm(wanted: Dimensions) -> tuple[float, ...]:
    """Return the sides to try, from the wished one to the least."""
    least, wished = wanted.least_side_mm, wished_side_mm(wanted)
    whole = range(int(wished) - 1, int(least), -1)
    return tuple(
        dict.fromkeys((wished, *map(float, whole), min(least + SPARE_MM, wished)))
    )


def x_heights_mm(target_mm: float) -> tuple[float, ...]:
    """Return the x-heights to try, from the target to the floor."""
    steps = round((target_mm - FLOOR_X_MM) / 0.05)
    return tuple(round(target_mm - 0.05 * n, 2) for n in range(steps + 1))
