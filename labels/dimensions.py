"""How large things on a label have to be for a package, in millimetres.

The tables are those of the rules (`rules.sizes`, `rules.clauses`): the label is set by
what it is judged by.
"""

from dataclasses import dataclass
from functools import lru_cache
from math import sqrt

from .rules.form import x_height_mm
from .rules.sizes import LEAST_SIDE_MM, least

# No letter on any label is smaller than this, measured on its letter x.
FLOOR_X_MM = 0.9
# Regulation (EU) 2024/2865: at least 120 % of the type size from line to line.
LEADING = 1.2


@dataclass(frozen=True, slots=True)
class Dimensions:
    """What a package of some capacity asks for."""

    label_mm: tuple[float, float]  # width, height
    side_mm: float  # of a pictogram: its red frame, not the upright box round it
    least_side_mm: float
    x_height_mm: float

    @property
    def fifteenth_mm(self) -> float:
        """The side of a square that covers a fifteenth of the least label.

        The table's own figures are rounded: 16 mm for 16.02 mm.
        """
        return sqrt(self.label_mm[0] * self.label_mm[1] / 15)


@lru_cache(maxsize=256)
def for_capacity(capacity_ul: int | None) -> Dimensions:
    """Return the dimensions for a package; for the smallest where nobody noted it."""
    row = least(capacity_ul or 0)
    return Dimensions(
        label_mm=row.label_mm,
        side_mm=row.side_mm,
        # Up to 3 litres the table asks for the larger side "if possible" only.
        least_side_mm=LEAST_SIDE_MM if row.if_possible else row.side_mm,
        x_height_mm=x_height_mm(capacity_ul or 0),
    )
