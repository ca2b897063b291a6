"""The sheets to choose from: those that are shipped, and the laboratory's own."""

from typing import Any

from inventory.models import LabelSheet

from .formats import Format
from .geometry import Sheet
from .stock import SHEETS

PREFIX = "own-"


def key_of(record: Any) -> str:
    return f"{PREFIX}{record.pk}"


def sheet_of(record: Any) -> Sheet:
    """Return an own sheet as what labels are laid out on. Raises ValueError."""
    return Sheet(
        key=key_of(record),
        name=record.name,
        page_mm=(record.page_width_mm, record.page_height_mm),
        label_mm=(record.label_width_mm, record.label_height_mm),
        margin_mm=(record.margin_left_mm, record.margin_top_mm),
        pitch_mm=(record.pitch_x_mm, record.pitch_y_mm),
        columns=record.columns,
        rows=record.rows,
        clear_mm=record.clear_mm,
        offset_mm=(record.offset_x_mm, record.offset_y_mm),
    )


def every_sheet() -> dict[str, Sheet]:
    """Return {key: sheet} of all that are in use, the laboratory's own first."""
    own = LabelSheet.objects.filter(retired_on=None)
    return {key_of(record): sheet_of(record) for record in own} | SHEETS


def fitting(format: Format, sheets: dict[str, Sheet]) -> list[Sheet]:
    """Return the sheets whose places can carry this format."""
    return [sheet for sheet in sheets.values() if format.fits(sheet.piece_mm)]


def usual(format: Format, sheets: dict[str, Sheet]) -> Sheet:
    """Return the sheet to take unasked: of the format's own size, else any it fits."""
    found = fitting(format, sheets)
    exact = [sheet for sheet in found if sheet.piece_mm == format.size_mm]
    return (exact or found)[0]
