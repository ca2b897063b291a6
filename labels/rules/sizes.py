"""How large a label and its pictograms have to be for a package of some capacity.

CLP Annex I, Table 1.3; from secondary copies and an authority's page. The capacity is
the package's, not what is in it; a pictogram's size is the side of its square.
"""

from dataclasses import dataclass

LEAST_SIDE_MM = 10.0  # "not less than 1 cm²"


@dataclass(frozen=True, slots=True)
class Least:
    """A row of the table, in millimetres."""

    up_to_l: float
    label_mm: tuple[float, float]
    side_mm: float
    if_possible: bool  # up to 3 litres the table asks for it “if possible”


TABLE = (
    Least(3.0, (74.0, 52.0), 16.0, True),
    Least(50.0, (105.0, 74.0), 23.0, False),
    Least(500.0, (148.0, 105.0), 32.0, False),
    Least(float("inf"), (210.0, 148.0), 46.0, False),
)


def least(capacity_ul: int) -> Least:
    """Return the row for a package of this capacity."""
    litres = capacity_ul / 1_000_000
    return next(row for row in TABLE if litres <= row.up_to_l)


def is_small(label_mm: tuple[float, float], capacity_ul: int) -> bool:
    """Return whether a label is smaller, either way round, than the table asks."""
    wanted = sorted(least(capacity_ul).label_mm)
    given = sorted(label_mm)
    return any(have < want for have, want in zip(given, wanted, strict=True))
