"""The tare sheet: what has to be written down before there is metal in the glass."""

from dataclasses import dataclass

from . import lettering, parts
from .lettering import Part, Parts, text
from .page import Paper, Running, render

TITLE = "Tare sheet"
# A row for a pen held in a glove.
ROW_MM = 9.0

RULES = (
    "Weigh each vessel empty, with the stopper, cap or stopcock it will be closed with. "
    "Once there is metal in it, its tare can no longer be had.",
    "The receiver too. A flame-sealed ampoule: keep the piece that is drawn off, and "
    "weigh it with the sealed ampoule. A label weighs as well: put a blank one on first.",
)

READINGS = ("", "Date, time", "Balance", "Its last check")
AIR = ("Room air, °C", "Pressure, hPa", "Humidity, %", "Read by")
VESSEL = ("Vessel and glass mark", "Kind, inner volume", "Tare with closure, g")
FILLING = ("Gas inside", "Gross, closed, g", "Closure", "Medium", "Initials")


@dataclass(frozen=True, slots=True)
class Row:
    """A vessel that waits for its metal. `tare` is empty until it was weighed."""

    code: str
    mark: str
    kind: str
    volume: str
    tare: str = ""
    tared: str = ""  # when, and on which balance
    gas: str = ""


@dataclass(frozen=True, slots=True)
class TareSheet:
    """Everything a tare sheet says, ready to print; `blank` rows follow the others."""

    batch: str
    metal: str
    url: str
    owner: str
    printed: str
    rows: tuple[Row, ...]
    blank: int


def print_sheet(sheet: TareSheet, paper: Paper) -> bytes:
    """Return the tare sheet as PDF, lengthwise. Raises CannotPrint."""
    running = Running(TITLE, sheet.batch, sheet.owner, sheet.printed)
    return render(paper.landscape(), running, lambda width: _story(sheet, width))


def _story(sheet: TareSheet, width: float) -> Parts:
    first, second = RULES
    rules = [text(first, lettering.STRONG), text(second)]
    return [
        parts.masthead(TITLE, sheet.metal, rules, sheet.url, sheet.batch, width),
        parts.gap(2),
        _readings(width),
        parts.gap(4),
        _vessels(sheet, width),
        parts.gap(2),
        text(parts.CAUTION, lettering.SMALL),
    ]


def _readings(width: float) -> Part:
    """Return the lines for the balance and the air at either weighing."""
    blank = [""] * (len(READINGS + AIR) - 1)
    return parts.table(
        [*READINGS, *AIR],
        [["At the tare", *blank], ["At the gross", *blank]],
        width,
        shares=[24, 36, 48, 36, 28, 30, 28, 36],
        to_write_in=ROW_MM,
    )


def _vessels(sheet: TareSheet, width: float) -> Part:
    columns = [*VESSEL, *FILLING]
    rows: list[list[parts.Cell]] = [
        [
            lettering.stacked(row.code, row.mark, lettering.STRONG),
            lettering.stacked(row.kind, row.volume),
            lettering.stacked(row.tare, row.tared),
            row.gas,
            *[""] * 4,
        ]
        for row in sheet.rows
    ]
    rows += [[""] * len(columns) for _ in range(sheet.blank)]
    return parts.table(
        columns,
        rows,
        width,
        shares=[36, 30, 46, 26, 46, 32, 32, 20],
        to_write_in=ROW_MM,
    )
