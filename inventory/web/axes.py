"""Where the marks of a chart's axes stand, and what is written at them."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from math import ceil, floor, log10

MINUTES = (5, 10, 15, 30, 60, 120, 180, 360, 720)
DAYS = (1, 2, 7, 14)  # 7 and 14 fall on Mondays
MONTHS = (1, 2, 3, 6)
YEARS = (1, 2, 5, 10, 20, 50, 100)
STEPS = (
    *(("minute", n) for n in MINUTES),
    *(("day", n) for n in DAYS),
    *(("month", n) for n in MONTHS),
    *(("year", n) for n in YEARS),
)
SECONDS = {"minute": 60, "day": 86_400, "month": 30.4 * 86_400, "year": 365 * 86_400}


@dataclass(frozen=True, slots=True)
class Mark:
    """A place on an axis, as seconds since 1970 or as µg, and its words.

    `under` is the day or the year that the text leaves out, where it changes.
    """

    value: float
    text: str
    under: str = ""


def on_day(at: datetime) -> str:
    """Return a day with its month in letters: "3 Mar 2026"."""
    return f"{at.day} {at:%b} {at.year}"


def round_step(span: float, most: int) -> float:
    """Return the smallest 1, 2 or 5 times a power of ten that divides into `most`."""
    rough = span / most
    power = 10.0 ** floor(log10(rough))
    return next(n * power for n in (1, 2, 5, 10) if n * power >= rough * (1 - 1e-9))


def mass_marks(top_ug: float, most: int) -> list[Mark]:
    """Return marks in grams from 0 up to the first at or above `top_ug`."""
    step = round_step(top_ug / 1e6, most)
    places = max(-floor(log10(step) + 1e-9), 0)
    count = ceil(top_ug / 1e6 / step - 1e-9)
    return [Mark(n * step * 1e6, f"{n * step:.{places}f}") for n in range(count + 1)]


def date_marks(start: float, end: float, zone: tzinfo, most: int) -> list[Mark]:
    """Return marks between two moments (seconds since 1970), at most so many.

    They stand at round times of the clock in `zone`: full hours, midnights,
    Mondays, first days of a month or of a year.
    """
    first, last = (
        datetime.fromtimestamp(at, UTC).astimezone(zone) for at in (start, end)
    )
    finer = STEPS[0][0], []
    for unit, n in STEPS:
        if (end - start) / (n * SECONDS[unit]) > 2 * most - 1:
            continue
        moments = [m for m in _moments(unit, n, first, last) if first <= m <= last]
        if len(moments) <= most:
            break
        finer = unit, moments
    if len(moments) < 2:
        # Eight days may hold one Monday: every other mark of the step before, then.
        unit, moments = finer[0], finer[1][::2]
    return list(_written(unit, moments))


def _moments(unit: str, n: int, first: datetime, last: datetime) -> Iterator[datetime]:
    """Yield every round moment from just before `first` to just after `last`."""
    zone = first.tzinfo
    midnight = datetime.combine(first.date(), time(), zone)
    if unit == "minute":
        # By the clock on the wall, so that the marks stay round in summer time too.
        count = ((last.date() - first.date()).days + 1) * 1440 // n
        yield from (midnight + timedelta(minutes=i * n) for i in range(count))
    elif unit == "day":
        # Day 1 of the proleptic calendar is a Monday.
        for day in range(first.toordinal(), last.toordinal() + 1):
            if (day - 1) % n == 0:
                yield datetime.combine(date.fromordinal(day), time(), zone)
    else:
        months = n if unit == "month" else 12 * n
        for index in range(first.year * 12, last.year * 12 + 12):
            if index % months == 0:
                yield datetime(index // 12, index % 12 + 1, 1, tzinfo=zone)


def _written(unit: str, moments: list[datetime]) -> Iterator[Mark]:
    """Yield the marks with their words; what stays the same is written once."""
    before = ""
    for at in moments:
        text, under = {
            "minute": (f"{at:%H:%M}", on_day(at)),
            "day": (f"{at.day} {at:%b}", str(at.year)),
            "month": (f"{at:%b}", str(at.year)),
            "year": (str(at.year), ""),
        }[unit]
        yield Mark(at.timestamp(), text, under if under != before else "")
        before = under
