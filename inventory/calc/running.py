"""A run while it goes on: grams so far, yield so far, how fast, and till when."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, sqrt

from .density import MaterialFacts, density_at, state_at
from .falloff import FallOff, Sample, fall_off, mean_rate
from .stoichiometry import yield_of
from .uncertainty import UFloat, exact, nominal, spread, uncertain
from .units import show_rate, show_temperature

SHARED = 0.5
"""The part of a reading's variance that all readings of one receiver share (its
calibration), and that cancels in a rate. Our own estimate."""

UNSTATED = 0.01
"""The u of a reading that states none, as a share of the reading. Our own estimate:
half a division of a receiver with fifty."""

NEWEST = 4
"""Readings that the present rate is taken from."""

READ_AT_MOST = 24
"""Readings, evenly in time, that stand for a logger's thousands: their errors are
not independent, and would pass for more than they know."""

EMPTIED = 3.0
"""Standard uncertainties by which a level has to fall to be another filling."""

DEEP = 0.5
"""The part of its level that a receiver falls below to be taken as emptied wholly:
less of a fall may be the noise of a logger's thousands of readings."""

OUT_OF_LINE = 3.0
"""Times the fastest rise before, for a level to be a slip. Our own estimate."""

CLEARLY = 3.0
"""Standard uncertainties by which the rate has to fall for a prediction."""


class ReceiverFrozen(ValueError):
    """The metal in the receiver is solid, so its graduation tells no mass."""


@dataclass(frozen=True, slots=True)
class Point:
    """A receiver reading: hours into the run, µL with u (k = 1), °C of the receiver."""

    hours: float
    receiver_ul: float
    u_ul: float
    receiver_c: float


@dataclass(frozen=True, slots=True)
class Progress:
    """How a run stands. Masses in µg, hours as in the readings.

    `in_receiver` is what the newest reading shows, `emptied` whether the level ever
    fell. `collected` is that reading and what the receiver showed before each fall to
    less than half, taken as emptied wholly; one graduation read it all, so the
    uncertainties are added without cancelling. `rate_ug_per_h` is the mean over the
    newest readings. `falls_below` is when the rate falls, or fell, below what is worth
    going on for, with its standard uncertainty; both are None unless the readings
    support it. `words` say to a person what they do and do not support.
    """

    collected: UFloat
    in_receiver: UFloat
    emptied: bool
    rate_ug_per_h: UFloat | None
    falls_below: float | None
    u_falls_below: float | None
    words: str


def collected(point: Point, facts: MaterialFacts) -> UFloat:
    """Return the mass in µg that a receiver reading shows.

    A reading without uncertainty is taken as good to 1 %. Raises ReceiverFrozen
    below the melting point, density.TooHot from the boiling point on; both say it
    in a sentence.
    """
    if _frozen(point, facts):
        raise ReceiverFrozen(
            f"{facts.symbol} is solid at {show_temperature(point.receiver_c)} (it melts "
            f"at {show_temperature(facts.melting_point_c)}): a graduation can be read "
            "only while the metal is liquid."
        )
    u_ul = point.u_ul or UNSTATED * point.receiver_ul
    volume = uncertain(point.receiver_ul, u_ul, "receiver reading")
    return exact(volume * density_at(facts, point.receiver_c))


def yield_so_far(collected_ug: UFloat, theoretical_ug: UFloat) -> UFloat:
    """Return what is collected as a fraction of what the charges can give.

    Raises FormulaError if they hold none of the metal.
    """
    return yield_of(collected_ug, theoretical_ug)


def progress(
    points: Sequence[Point],
    facts: MaterialFacts,
    worth_ug_per_h: float | None = None,
) -> Progress:
    """Return how the run stands, from readings in any order.

    The rate is the slope of a weighted straight line through the newest readings.
    When it falls below `worth_ug_per_h` comes from a weighted straight line through
    ln(rate) against time. It is told only if the rate is clearly falling, an
    exponential describes the readings, and it lies no further ahead than they reach
    back. Readings of frozen metal are left out; if all are, ReceiverFrozen is
    raised. Raises ValueError without any reading.
    """
    if not points:
        raise ValueError("a run without receiver readings has no progress")
    ordered = sorted(points, key=lambda point: point.hours)
    liquid = [point for point in ordered if not _frozen(point, facts)] or ordered
    newest = collected(liquid[-1], facts)
    fillings, notes = _fillings(_samples(liquid, facts))
    if len(liquid) < len(points):
        notes.append("Readings of the frozen receiver are left out.")
    used = _thinned(fillings[-1])
    latest = used[-NEWEST:]
    rate, when = mean_rate(latest), None
    if rate is None:
        words = "Too few readings for a rate."
    else:
        words, when = _outlook(fall_off(used), worth_ug_per_h)
        if worth_ug_per_h and when is None:
            hours = latest[-1].hours - latest[0].hours
            words = f"{_against(rate, hours, worth_ug_per_h)} {words}"
    tops = [
        full[-1].mass
        for full, then in pairwise(fillings)
        if _mass(then[0]) < DEEP * _mass(full[-1])
    ]
    return Progress(
        _added([*tops, newest]) if tops else newest,
        newest,
        len(fillings) > 1,
        rate,
        None if when is None else nominal(when),
        None if when is None else spread(when),
        " ".join([*notes, words]),
    )


def _frozen(point: Point, facts: MaterialFacts) -> bool:
    return state_at(facts, point.receiver_c) == "solid"


def _samples(points: Sequence[Point], facts: MaterialFacts) -> list[Sample[UFloat]]:
    """Return the readings as masses that share the receiver's and density's error."""
    fullest = max(point.receiver_ul for point in points)
    calibration = uncertain(0.0, 1.0, "receiver's graduation")
    samples = []
    for point in points:
        u_ul = point.u_ul or UNSTATED * fullest or 1.0
        shared, own = sqrt(SHARED) * u_ul, sqrt(1 - SHARED) * u_ul
        density = density_at(facts, point.receiver_c)
        level = uncertain(point.receiver_ul, own, "receiver reading")
        mass = exact((level + shared * calibration) * density)
        samples.append(Sample(point.hours, mass, own * nominal(density)))
    return samples


def _added(masses: Sequence[UFloat]) -> UFloat:
    total = sum(nominal(mass) for mass in masses)
    return uncertain(total, sum(spread(mass) for mass in masses), "collected")


def _fillings(
    samples: Sequence[Sample[UFloat]],
) -> tuple[list[list[Sample[UFloat]]], list[str]]:
    """Return the readings between one emptying and the next, and what was seen.

    A single reading below those around it is a slip of the eye, not an emptying; so
    is one above them that the metal cannot have reached.
    """
    kept: list[Sample[UFloat]] = []
    fillings = [kept]
    notes: list[str] = []
    top = samples[0]
    for sample, after in zip(samples, [*samples[1:], None], strict=True):
        if _below(sample, top):
            if after is not None and not _below(after, top):
                notes.append(
                    f"The reading at {sample.hours:.1f} h is below those around it "
                    "and left out."
                )
                continue
            if _too_high(kept, sample):
                notes.append(
                    f"The reading at {kept.pop().hours:.1f} h is above those around it "
                    "and left out."
                )
                kept.append(sample)
                top = max(kept, key=_mass)
                continue
            if len(fillings) > 1 and not _below(kept[0], top):
                kept.clear()  # It is still being emptied.
            else:
                kept = []
                fillings.append(kept)
                notes.append(
                    f"At {sample.hours:.1f} h the receiver shows less than before: "
                    "emptied, or a reading is wrong. The rate is from there on only; "
                    "what it showed before counts as collected if it fell by half."
                )
            top = sample
        kept.append(sample)
        top = max(top, sample, key=_mass)
    return fillings, notes


def _mass(sample: Sample[UFloat]) -> float:
    return nominal(sample.mass)


def _below(sample: Sample[UFloat], other: Sample[UFloat]) -> bool:
    return _mass(other) - _mass(sample) > EMPTIED * hypot(sample.u, other.u)


def _too_high(kept: Sequence[Sample[UFloat]], after: Sample[UFloat]) -> bool:
    """Return whether the last reading kept is a slip, by those before and after it.

    It is, if it was reached far faster than any before it, and without it the level
    goes on rising. Where nothing was collected before, there is no telling.
    """
    if len(kept) < 3 or not _below(kept[0], kept[-2]) or _below(after, kept[-2]):
        return False
    rates = [
        (_mass(later) - _mass(sooner)) / (later.hours - sooner.hours)
        for sooner, later in pairwise(kept)
        if later.hours > sooner.hours
    ]
    return len(rates) == len(kept) - 1 and rates[-1] > OUT_OF_LINE * max(rates[:-1])


def _thinned(samples: list[Sample[UFloat]]) -> list[Sample[UFloat]]:
    """Return at most READ_AT_MOST of the readings, evenly in time, the newest too."""
    if len(samples) <= READ_AT_MOST:
        return samples
    start, end = samples[0].hours, samples[-1].hours
    step = (end - start) / (READ_AT_MOST - 1)
    picked: list[Sample[UFloat]] = []
    for sample in samples:
        if sample.hours >= start + len(picked) * step - 1e-9 * step:
            picked.append(sample)
    return [*picked[: READ_AT_MOST - 1], samples[-1]]


def _outlook(trend: FallOff | None, worth: float | None) -> tuple[str, UFloat | None]:
    """Return what the trend says, and when the rate passes `worth` if it does."""
    if trend is None:
        return "The readings are too few or too coarse to say how it changes.", None
    change, u = nominal(trend.per_hour), spread(trend.per_hour)
    if change > CLEARLY * u:
        return "The rate is rising.", None
    if change > -CLEARLY * u:
        return "It is not clearly falling.", None
    return _crossing(trend, worth) if worth else ("The rate is falling.", None)


def _crossing(trend: FallOff, worth: float) -> tuple[str, UFloat | None]:
    """Return when a falling rate passes `worth`, if the readings carry that far."""
    when = trend.reaches(worth)
    at, expanded = nominal(when), 2 * spread(when)
    carried = trend.end - trend.start
    limit = show_rate(worth)
    about = f"at about {at:.1f} h ± {max(expanded, 0.1):.1f} h (k = 2) into the run"
    if at + expanded < trend.start:
        return f"It was below {limit} by {trend.start:.1f} h already.", None
    if at - expanded > trend.end + carried:
        return f"It is falling, but not below {limit} within {carried:.1f} h.", None
    if expanded > carried or not trend.start <= at <= trend.end + carried:
        return f"It is falling; when it passes {limit} cannot be told.", None
    if at <= trend.end:
        return f"The rate fell below {limit} {about}.", when
    since = f"If it goes on falling as since {trend.start:.1f} h"
    return f"{since}, the rate falls below {limit} {about}.", when


def _against(rate: UFloat, hours: float, worth: float) -> str:
    """Return how the present rate compares with what is worth going on for."""
    over, u = nominal(rate) - worth, spread(rate)
    told = "above" if over > 2 * u else "below" if over < -2 * u else "about"
    return f"The rate of the last {hours:.1f} h is {told} {show_rate(worth)}."
