"""One row of a run's log: what was read at one moment, what cannot be, its words."""

from dataclasses import dataclass, fields
from datetime import datetime, timedelta

from django.utils import timezone

from inventory.calc.units import show_in, show_pressure, show_temperature

from . import log

FARTHEST_BEFORE = timedelta(days=366)
NOTHING_READ = "Nothing was read, so there is nothing to record.", None
WARMTH_ALONE = (
    "How warm the receiver is says nothing alone: read its level too.",
    "receiver_temperature",
)


@dataclass(frozen=True, slots=True)
class Seen:
    """What was read off a run at one moment; None is what was not read.

    °C, Pa, µL, and for the drip seconds from one drop to the next.
    """

    read_at: datetime
    temperature_c: float | None = None
    pressure_pa: float | None = None
    receiver_ul: int | None = None
    receiver_c: float | None = None
    drip_s: float | None = None
    note: str = ""


NAMES = tuple(field.name for field in fields(Seen))


def facts_of(seen):
    """Return the values that a Seen and a RunReading share."""
    return {name: getattr(seen, name) for name in NAMES}


def receiver_volume(run):
    """Return how much the run's receiver holds in µL, or None if nobody said."""
    return run.receiver.capacity_ul if run.receiver_id else run.receiver_ul


def problem(seen, run):
    """Return (sentence, field) of what is wrong with a reading, or None."""
    if not told(seen):
        found = NOTHING_READ if seen.receiver_c is None else WARMTH_ALONE
    elif seen.read_at > timezone.now() + log.CLOCK_TOLERANCE:
        found = "This lies in the future.", "read_at"
    elif seen.read_at < run.started_at - FARTHEST_BEFORE:
        found = "This is more than a year before the run started.", "read_at"
    elif seen.pressure_pa is not None and seen.pressure_pa <= 0:
        found = "A pressure is above zero.", "pressure"
    elif seen.drip_s is not None and seen.drip_s <= 0:
        found = "The time from drop to drop is above zero.", "drip"
    else:
        found = level_problem(seen.receiver_ul, receiver_volume(run))
    return found


def level_problem(level_ul, holds_ul):
    """Return (sentence, field) of a level that the receiver cannot have, or None."""
    if level_ul is None:
        return None
    if level_ul < 0:
        sentence = "A receiver reading is not below zero."
    elif holds_ul is None:
        sentence = (
            "Say in the run's set-up what the receiver is: a volume alone is no mass."
        )
    elif level_ul > holds_ul:
        sentence = f"{ml(level_ul)} is more than the receiver holds, {ml(holds_ul)}."
    else:
        return None
    return sentence, "receiver"


def told(seen):
    """Return what was read, in words; nothing if nothing was."""
    level = ml(seen.receiver_ul) if seen.receiver_ul is not None else ""
    warmth = show_temperature(seen.receiver_c) if seen.receiver_c is not None else ""
    said = [
        seen.temperature_c is not None and show_temperature(seen.temperature_c),
        seen.pressure_pa is not None and show_pressure(seen.pressure_pa),
        level and warmth and f"{level} at {warmth} in the receiver",
        level and not warmth and f"{level} in the receiver",
        seen.drip_s is not None and f"a drop every {seen.drip_s:g} s",
        seen.note and f"“{seen.note}”",
    ]
    return ", ".join(part for part in said if part)


def ml(ul):
    return f"{show_in(ul, 'mL')} mL"


def clock(when):
    """Return a moment as the clock on the wall shows it."""
    return f"{timezone.localtime(when):%-d %b %Y, %H:%M}"
