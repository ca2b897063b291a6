"""What a run's readings say so far: grams, yield, rate, and when it stops paying."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from inventory.calc import running
from inventory.calc.density import MaterialFacts, NoDensity, TooHot
from inventory.calc.uncertainty import nominal, spread, uncertain
from inventory.models import RunLog

from . import accounts, runs
from .readings import Facts

HOUR = timedelta(hours=1)
# Nobody plans a run so far ahead; and a calendar ends somewhere.
FARTHEST_H = 24 * 365
LEVELS_MOST = 1000
NO_MASS = (running.ReceiverFrozen, TooHot, NoDensity)


@dataclass(frozen=True, slots=True)
class Level:
    """A receiver reading as metal: µg with k = 1, or why it gives none."""

    read_at: datetime
    point: running.Point | None = None
    mass_ug: float = 0.0
    u_ug: float = 0.0
    problem: str = ""


@dataclass(frozen=True, slots=True)
class SoFar:
    """How a run stands. Masses in µg, rates in µg/h, each `u_…` with k = 1.

    Collected is what is in the receiver, and what was before it was `emptied`. What
    the readings do not support is None. `uncounted` is why the newest receiver
    reading gives no mass, or "".
    """

    run: RunLog
    metal: MaterialFacts
    readings: int = 0
    read_at: datetime | None = None
    levels: tuple[Level, ...] = ()
    level_at: datetime | None = None
    collected_ug: float | None = None
    u_collected_ug: float = 0.0
    in_receiver_ug: float | None = None
    u_in_receiver_ug: float = 0.0
    emptied: bool = False
    yield_fraction: float | None = None
    u_yield: float = 0.0
    rate_ug_per_h: float | None = None
    u_rate: float = 0.0
    falls_below_at: datetime | None = None
    u_falls_below: timedelta | None = None
    words: str = ""
    uncounted: str = ""


def of(batch, *, facts=None, theoretical=None):
    """Return the SoFar of a batch's run, or None if it was never set up.

    `theoretical` is (µg, u) of the batch's account, if that was worked out already.
    """
    run = runs.of(batch)
    if run is None:
        return None
    metal = (facts or Facts.read()).material(batch.material)
    standing = batch.run_readings.standing()
    newest = standing.in_order().last()
    levels = [level_of(row, run, metal) for row in some_of(standing)]
    found = {
        "metal": metal,
        "readings": standing.count(),
        "read_at": newest and newest.read_at,
        "levels": tuple(levels),
        "uncounted": levels[-1].problem if levels else "",
    }
    if counted := [level for level in levels if level.point]:
        found |= worked_out(run, counted, metal)
        found |= yield_of(found, theoretical or theoretical_of(batch))
    return SoFar(run=run, **found)


def some_of(standing):
    """Return the readings with a level in order, of very many every so many.

    The newest is always among them: it is what the page is about.
    """
    rows = standing.exclude(receiver_ul=None).in_order()
    rows = list(rows.values_list("read_at", "receiver_ul", "receiver_c", named=True))
    step = len(rows) // LEVELS_MOST + 1
    return rows[::-step][::-1]


def level_of(reading, run, metal):
    """Return the Level of a reading with a receiver level."""
    known = {"read_at": reading.read_at}
    if reading.receiver_c is None:
        return Level(**known, problem="How warm the receiver was is not on record.")
    point = running.Point(
        hours=(reading.read_at - run.started_at) / HOUR,
        receiver_ul=reading.receiver_ul,
        u_ul=run.u_receiver_ul,
        receiver_c=reading.receiver_c,
    )
    try:
        mass = running.collected(point, metal)
    except NO_MASS as error:
        return Level(**known, problem=str(error))
    return Level(**known, point=point, mass_ug=nominal(mass), u_ug=spread(mass))


def worked_out(run, counted, metal):
    """Return what the counted levels say, as fields of SoFar."""
    points = [level.point for level in counted]
    said = running.progress(points, metal, run.worth_ug_per_h)
    ended_h = run.ended_at and (run.ended_at - run.started_at) / HOUR
    if run.ended_at and said.falls_below and said.falls_below > ended_h:
        # Nothing falls any further once the run is over.
        said = running.progress(points, metal)
    found = {
        "collected_ug": nominal(said.collected),
        "u_collected_ug": spread(said.collected),
        "in_receiver_ug": nominal(said.in_receiver),
        "u_in_receiver_ug": spread(said.in_receiver),
        "emptied": said.emptied,
        "level_at": counted[-1].read_at,
        "words": said.words,
    }
    if said.rate_ug_per_h is not None:
        found["rate_ug_per_h"] = nominal(said.rate_ug_per_h)
        found["u_rate"] = spread(said.rate_ug_per_h)
    if said.falls_below is not None and abs(said.falls_below) < FARTHEST_H:
        found["falls_below_at"] = run.started_at + said.falls_below * HOUR
        u_hours = min(said.u_falls_below or 0.0, FARTHEST_H)
        found["u_falls_below"] = u_hours * HOUR
    return found


def theoretical_of(batch):
    account = accounts.of_all([batch])[batch.pk]
    return account.theoretical_ug, account.u_theoretical_ug


def all_fillings(batch, run, metal):
    """Return running.Progress of a run's levels: what it says of every filling."""
    levels = [
        level_of(row, run, metal) for row in some_of(batch.run_readings.standing())
    ]
    return running.progress([each.point for each in levels if each.point], metal)


def yield_of(found, theoretical):
    """Return the yield so far as fields of SoFar; nothing without charges."""
    theoretical_ug, u_ug = theoretical
    if not theoretical_ug:
        return {}
    share = running.yield_so_far(
        uncertain(found["collected_ug"], found["u_collected_ug"], "collected"),
        uncertain(theoretical_ug, u_ug, "theoretical metal"),
    )
    return {"yield_fraction": nominal(share), "u_yield": spread(share)}
