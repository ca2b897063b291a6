"""The QR code on a label: which squares are black, and how large they must be.

ISO/IEC 18004: 17 + 4 × version modules a side, and a quiet zone of 4 modules on each
side that stays white. It sets no smallest module; 0.33 mm is what telephones read,
and 4 dots of a 300 dpi printer are 0.339 mm.
"""

import re
from collections.abc import Iterator
from functools import lru_cache

import segno

from .wording import CannotPrint

MODULE_MM = 25.4 * 4 / 300
QUIET_MODULES = 4
# Level M survives 15 % damage; segno raises it when the next level costs no space.
ERROR_LEVEL = "M"

# The alphanumeric set without its space. One other character would put the whole
# address into byte mode and the code up to a version larger.
ALPHANUMERIC = re.compile(r"[0-9A-Z$%*+\-./:]+")

Rectangle = tuple[int, int, int, int]  # left, bottom, width, height in modules


class NotForQr(CannotPrint):
    def __init__(self, url: str) -> None:
        super().__init__(
            f"“{url}” cannot be printed as a QR code: "
            "only capitals, digits and $ % * + - . / : may be in it."
        )


@lru_cache(maxsize=1024)
def symbol(url: str) -> segno.QRCode:
    """Return the code for an upper-case address. Raises NotForQr."""
    if not ALPHANUMERIC.fullmatch(url):
        raise NotForQr(url)
    return segno.make_qr(url, error=ERROR_LEVEL, mode="alphanumeric", boost_error=True)


def modules(url: str) -> int:
    """Return the modules on one side, both quiet zones included."""
    return len(symbol(url).matrix) + 2 * QUIET_MODULES


def side_mm(url: str, module_mm: float = MODULE_MM) -> float:
    """Return the side of the printed square, quiet zone included."""
    return modules(url) * module_mm


@lru_cache(maxsize=1024)
def rectangles(url: str) -> tuple[Rectangle, ...]:
    """Return the black area as few rectangles, in modules from the lower left corner.

    The corner is that of the quiet zone. Runs of equal extent in rows that follow
    each other are one rectangle, which leaves fewer edges to show as hairlines.
    """
    matrix = symbol(url).matrix
    found: list[Rectangle] = []
    open_runs: dict[tuple[int, int], int] = {}  # (start, end) -> row it began in
    for row in range(len(matrix) + 1):
        runs = set(_runs(matrix[row])) if row < len(matrix) else set()
        for run in [run for run in open_runs if run not in runs]:
            found.append(_rectangle(run, open_runs.pop(run), row, len(matrix)))
        for run in runs:
            open_runs.setdefault(run, row)
    return tuple(sorted(found))


def _runs(row: bytearray) -> Iterator[tuple[int, int]]:
    """Yield (start, end) of each stretch of black modules."""
    for match in re.finditer(rb"\x01+", bytes(row)):
        yield match.span()


def _rectangle(run: tuple[int, int], first: int, end: int, size: int) -> Rectangle:
    """Turn rows counted from the top into a height counted from the bottom."""
    left = run[0] + QUIET_MODULES
    bottom = size - end + QUIET_MODULES
    return left, bottom, run[1] - run[0], end - first
