"""The sheets we know, described by their millimetres alone in `sheets.csv`.

Label width and height are as the label is read; a `turned` one lies on its side. The
grid stands in the middle of its page. 74 × 52 mm is the smallest label that Regulation
(EC) 1272/2008, Annex I 1.2.1.4, asks for on a package up to 3 litres; 105 × 74 mm the
next size up. Three panels of 74 × 52 mm are 222 or 156 mm long, so that no fold-out
goes on 4 × 6 inch.
"""

import csv
from pathlib import Path

from .geometry import Sheet


def _sheet(row: dict[str, str]) -> Sheet:
    def pair(one: str, other: str) -> tuple[float, float]:
        return float(row[one]), float(row[other])

    page, gap = pair("page_w", "page_h"), pair("gap_x", "gap_y")
    turned = bool(row["turned"])
    label = pair("label_h", "label_w") if turned else pair("label_w", "label_h")
    grid = int(row["columns"]), int(row["rows"])
    pitch = label[0] + gap[0], label[1] + gap[1]
    left, top = (
        round((page[axis] - grid[axis] * pitch[axis] + gap[axis]) / 2, 3)
        for axis in (0, 1)
    )
    return Sheet(
        key=row["key"],
        name=row["name"],
        page_mm=page,
        label_mm=label,
        margin_mm=(left, top),
        pitch_mm=pitch,
        columns=grid[0],
        rows=grid[1],
        clear_mm=float(row["clear"]),
        turned=turned,
        uncut=bool(row["uncut"]),
        endless=bool(row["endless"]),
    )


def _sheets() -> dict[str, Sheet]:
    path = Path(__file__).with_name("sheets.csv")
    with path.open(encoding="utf-8", newline="") as rows:
        return {row["key"]: _sheet(row) for row in csv.DictReader(rows)}


SHEETS = _sheets()
