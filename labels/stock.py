"""The sheets we know, described by their millimetres alone.

74 × 52 mm is the smallest label that Regulation (EC) 1272/2008, Annex I 1.2.1.4,
asks for on a package up to 3 litres; 105 × 74 mm the next size up.
"""

from .geometry import Sheet

A4_MM = (210.0, 297.0)
A4_LANDSCAPE_MM = (297.0, 210.0)
LETTER_MM = (215.9, 279.4)
INCH_4X6_MM = (101.6, 152.4)
FULL_MM = (74.0, 52.0)
TAG_MM = (105.0, 74.0)
SMALL_MM = (63.0, 38.0)


def _centred(
    key: str,
    name: str,
    page_mm: tuple[float, float],
    label_mm: tuple[float, float],
    grid: tuple[int, int],
    *,
    gap_mm: tuple[float, float],
    clear_mm: float = 1.5,
) -> Sheet:
    """Return a sheet whose grid stands in the middle of its page."""
    pitch_mm = (label_mm[0] + gap_mm[0], label_mm[1] + gap_mm[1])
    margin_mm = tuple(
        round((page_mm[i] - grid[i] * pitch_mm[i] + gap_mm[i]) / 2, 3) for i in (0, 1)
    )
    return Sheet(
        key=key,
        name=name,
        page_mm=page_mm,
        label_mm=label_mm,
        margin_mm=(margin_mm[0], margin_mm[1]),
        pitch_mm=pitch_mm,
        columns=grid[0],
        rows=grid[1],
        clear_mm=clear_mm,
    )


_ALL = (
    _centred(
        "a4-74x52",
        "A4, 2 × 5 labels of 74 × 52 mm",
        A4_MM,
        FULL_MM,
        (2, 5),
        gap_mm=(8, 2),
    ),
    _centred(
        "a4-105x74",
        "A4 landscape, 2 × 2 tie-on tags of 105 × 74 mm",
        A4_LANDSCAPE_MM,
        TAG_MM,
        (2, 2),
        gap_mm=(10, 10),
        clear_mm=3.0,
    ),
    _centred(
        "a4-63x38",
        "A4, 3 × 7 labels of 63 × 38 mm",
        A4_MM,
        SMALL_MM,
        (3, 7),
        gap_mm=(2, 0),
    ),
    _centred(
        "letter-74x52",
        "US Letter, 2 × 5 labels of 74 × 52 mm",
        LETTER_MM,
        FULL_MM,
        (2, 5),
        gap_mm=(8, 0),
    ),
    _centred(
        "letter-63x38",
        "US Letter, 3 × 6 labels of 63 × 38 mm",
        LETTER_MM,
        SMALL_MM,
        (3, 6),
        gap_mm=(3, 3),
    ),
    _centred(
        "inch-4x6-74x52",
        "4 × 6 inch, 1 × 2 labels of 74 × 52 mm",
        INCH_4X6_MM,
        FULL_MM,
        (1, 2),
        gap_mm=(0, 8),
    ),
    _centred(
        "roll-74x52",
        "Roll, one label of 74 × 52 mm a page",
        FULL_MM,
        FULL_MM,
        (1, 1),
        gap_mm=(0, 0),
    ),
)

SHEETS: dict[str, Sheet] = {sheet.key: sheet for sheet in _ALL}
