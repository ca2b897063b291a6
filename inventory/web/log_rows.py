"""From the cells of a log file to readings: each row is read, or says why not."""

import re
import unicodedata
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta

from django.utils import timezone

from inventory.calc.units import UnitError
from inventory.operations import run_rows
from inventory.operations.run_rows import Seen

from .log_columns import DAY, NOTE, WHEN
from .logfile import NUMBER
from .quantities import BY_NAME

ORDERS = {
    "ymd": "year, month, day",
    "dmy": "day, month, year",
    "mdy": "month, day, year",
}
NOTHING = {"", "-", "–", "—", "nan", "n/a", "na", "null", "none"}
SECONDS = {"s": 1, "min": 60, "h": 3600}
# Going back by more than this means that midnight was passed.
MIDNIGHT = timedelta(hours=12)

_CLOCK = r"(\d{1,2}):(\d{2})(?::(\d{2})(?:[.,]\d+)?)?(?:\s*([AaPp])\.?[Mm]\.?)?"
_CLOCK_ALONE = re.compile(_CLOCK)
_MOMENT = re.compile(
    rf"(\d{{1,4}})[-./](\d{{1,2}})[-./](\d{{1,4}})(?:[T ,]\s*{_CLOCK})?"
)


class NotRead(ValueError):
    """A row that cannot be read; the message is fit to show."""


@dataclass
class Choices:
    """What a person chose: of each column what it is, and how numbers are written."""

    columns: list[str]
    decimal: str = "."
    order: str = ""

    def one(self, what):
        """Return the column chosen as `what`, or None."""
        return self.columns.index(what) if what in self.columns else None


@dataclass
class Found:
    """What was read of a file: (line, Seen) of each row, (line, why) of the others."""

    rows: list = field(default_factory=list)
    problems: list = field(default_factory=list)


def dates_in(sheet, columns):
    """Return the dates in the columns that are chosen as time, as matches."""
    columns = [n for n, what in enumerate(columns) if what in (WHEN, DAY)]
    cells = (cell for n in columns for cell in sheet.column(n))
    return [match for cell in cells if (match := _MOMENT.match(cell))]


def guessed_order(sheet, columns):
    """Return how dates are ordered, "" if they can be read in two ways.

    A year first, or a number above twelve in one place, leaves one order; between
    points the day comes first.
    """
    dates = dates_in(sheet, columns)
    if all(len(match[1]) == 4 for match in dates):
        return "ymd"
    if any(int(match[1]) > 12 or "." in match[0][:3] for match in dates):
        return "dmy"
    if any(int(match[2]) > 12 for match in dates):
        return "mdy"
    return ""


def refuse(choices):
    """Say in a sentence what is missing or doubled among the chosen columns, or ""."""
    used = [what for what in choices.columns if what]
    names = [what.partition(":")[0] for what in used]
    moments = [name for name in names if name in (WHEN, DAY, "elapsed")]
    twice = [name for name in set(names) if names.count(name) > 1]
    if not moments:
        sentence = "Say which column is the time."
    elif twice or ("elapsed" in moments and len(moments) > 1):
        sentence = "Two columns are chosen for the same thing: leave one of them out."
    elif not set(names) - {WHEN, DAY, "elapsed", "receiver_temperature"}:
        sentence = "Choose a column with readings, besides the time."
    else:
        sentence = ""
    return sentence


def read(sheet, choices, run):
    """Return what is Found in the rows of a sheet. `run` is the batch's RunLog."""
    found, moments = Found(), Moments(choices, run)
    for line, row in sheet.rows:
        try:
            seen = read_row(row, choices, moments)
        except (NotRead, UnitError) as error:
            found.problems.append((line, str(error)))
            continue
        if problem := run_rows.problem(seen, run):
            found.problems.append((line, problem[0]))
        else:
            found.rows.append((line, seen))
    return found


def read_row(row, choices, moments):
    """Return the Seen that a row says."""
    values = {}
    read_at = moments.of(row)
    for n, what in enumerate(choices.columns):
        name, _, unit = what.partition(":")
        cell = row[n].strip() if n < len(row) else ""
        if name == NOTE:
            values["note"] = " ".join(cell.split())[:300].replace("\0", "")
        elif name in BY_NAME and cell.lower() not in NOTHING:
            quantity = BY_NAME[name]
            values[quantity.fact] = quantity.parse(number(cell, unit, choices.decimal))
    return Seen(read_at=read_at, **values)


def number(cell, unit, decimal):
    """Return a cell as calc.units reads it; a unit in the cell goes before `unit`."""
    cell = unicodedata.normalize("NFKC", cell)
    match = NUMBER.match(cell)
    if not match:
        raise NotRead(f"“{cell[:30]}” is no number.")
    digits, own = match[0], cell[match.end() :].strip()
    other = "," if decimal == "." else "."
    if other in cell:
        names = {",": "a comma", ".": "a point"}
        raise NotRead(
            f"“{cell[:30]}” has {names[other]}; decimals are said to have "
            f"{names[decimal]}."
        )
    digits = digits.replace(",", ".")
    if unit in ("mL", "L") and not own:
        # A logger's digits beyond a microlitre are noise.
        digits = f"{float(digits):.{3 if unit == 'mL' else 6}f}"
    return f"{digits} {own or unit}"


class Moments:
    """Reads the time of each row, one after the other.

    A clock alone runs on from the run's first day, past every midnight.
    """

    def __init__(self, choices, run):
        self.order = choices.order
        self.started_at = timezone.localtime(run.started_at)
        self.when, self.day = choices.one(WHEN), choices.one(DAY)
        self.before = None
        chosen = [w for w in choices.columns if w.startswith("elapsed:")]
        self.elapsed = choices.one(chosen[0]) if chosen else None
        self.per_unit = SECONDS[chosen[0].partition(":")[2]] if chosen else 0
        self.decimal = choices.decimal

    def of(self, row):
        """Return the aware moment of a row."""
        try:
            if self.elapsed is not None:
                return self.since_start(cell_of(row, self.elapsed))
            words = " ".join(
                filter(None, (cell_of(row, n) for n in (self.day, self.when)))
            )
            return self.read(words)
        except (ValueError, OverflowError) as error:
            if isinstance(error, NotRead):
                raise
            raise NotRead("The time of this row cannot be.") from error

    def since_start(self, cell):
        if not NUMBER.fullmatch(cell):
            raise NotRead(f"“{cell[:30]}” is no time since the start.")
        seconds = float(number(cell, "s", self.decimal).split()[0]) * self.per_unit
        moment = self.started_at.astimezone(UTC) + timedelta(seconds=seconds)
        return moment.replace(microsecond=0)

    def read(self, words):
        """Return the moment that a date and a clock say, by the laboratory's clock."""
        if clock := _CLOCK_ALONE.fullmatch(words):
            return self.running_on(clock_time(clock.groups()))
        match = _MOMENT.fullmatch(words)
        if match is None:
            return with_offset(words)
        if match[4] is None:
            raise NotRead(f"“{words}” is a date without a time.")
        day = self.dated(match.groups()[:3])
        return timezone.make_aware(
            datetime.combine(day, clock_time(match.groups()[3:]))
        )

    def dated(self, parts):
        if not self.order:
            raise NotRead("The date can be read in two ways: say how it is ordered.")
        found = dict(zip(self.order, map(int, parts), strict=True))
        year = found["y"] + (2000 if found["y"] < 100 else 0)
        return date(year, found["m"], found["d"])

    def running_on(self, clock):
        """Return a clock time on the day it must have been."""
        if self.before is None:
            moment = datetime.combine(self.started_at.date(), clock)
            if moment < self.started_at.replace(tzinfo=None) - MIDNIGHT:
                moment += timedelta(days=1)
        else:
            moment = datetime.combine(self.before.date(), clock)
            if moment < self.before - MIDNIGHT:
                moment += timedelta(days=1)
        self.before = moment
        return timezone.make_aware(moment)


def cell_of(row, n):
    return row[n].strip() if n is not None and n < len(row) else ""


def clock_time(parts):
    """Return the time of day; twelve hours and a letter are read too."""
    hours, minutes, seconds, half = parts
    hour = int(hours)
    if half:
        if not 1 <= hour <= 12:
            raise NotRead(f"{hours}:{minutes} is no time of twelve hours.")
        hour = hour % 12 + (12 if half.lower() == "p" else 0)
    return time(hour, int(minutes), int(seconds or 0))


def with_offset(words):
    """Return a moment in ISO 8601 with its offset from UTC."""
    try:
        moment = datetime.fromisoformat(words)
    except ValueError:
        moment = None
    if moment is None or moment.tzinfo is None:
        shown = f"“{words[:30]}” is no time that is read here." if words else "No time."
        raise NotRead(shown)
    return moment.replace(microsecond=0)
