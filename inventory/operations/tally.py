"""How far the filling of many vessels has come, against what the metal comes from."""

from dataclasses import dataclass

from inventory.calc import weighing
from inventory.calc.estimate import verdict_on
from inventory.calc.uncertainty import exact, nominal, spread, uncertain
from inventory.models import MovementKind, WeighingPurpose

from . import progress, readings

WITH_METAL = [
    WeighingPurpose.GROSS,
    WeighingPurpose.BEFORE,
    WeighingPurpose.AFTER,
    WeighingPurpose.CHECK,
]


@dataclass(frozen=True, slots=True)
class Tally:
    """The running sum of a bench. Masses in µg, each `u_…` with k = 1.

    `given_ug` is what the source gave by readings of its own, None where there are
    none: the run log's collected metal, or what the `source` vessel lost since the
    first row. `missing_ug` is that less what is on record as having left it by then;
    `later` rows are not in it. `begun_ug` is what the source vessel held before.
    """

    count: int
    filled_ug: int
    u_filled_ug: float
    source: object = None
    begun_ug: int | None = None
    given_ug: float | None = None
    u_given_ug: float = 0.0
    given_at: object = None
    missing_ug: float = 0.0
    u_missing_ug: float = 0.0
    later: int = 0

    @property
    def verdict(self):
        """How what is missing stands to its uncertainty, as of a reading."""
        return verdict_on(self.missing_ug, self.u_missing_ug)


def total(movements):
    """Return the sum of movements in µg; their errors are taken as independent."""
    masses = (uncertain(move.mass_ug, move.u_ug, "moved") for move in movements)
    return exact(sum(masses, exact(0.0)))


def counted(rows):
    filled = total(rows)
    return {
        "count": len(rows),
        "filled_ug": round(nominal(filled)),
        "u_filled_ug": spread(filled),
    }


def of_run(batch):
    """Return the Tally of what was filled from the batch's run itself."""
    rows = list(batch.movements_out.filter(to_vessel__isnull=False).standing())
    found = counted(rows)
    log = progress.of(batch, theoretical=(0.0, 0.0))
    if log is None or log.collected_ug is None:
        return Tally(**found)
    collected = uncertain(log.collected_ug, log.u_collected_ug, "collected")
    missing = exact(collected - total(rows))
    return Tally(
        **found,
        given_ug=log.collected_ug,
        u_given_ug=log.u_collected_ug,
        given_at=log.level_at,
        missing_ug=nominal(missing),
        u_missing_ug=spread(missing),
    )


def of_vessel(source):
    """Return the Tally of what was transferred from a receiver, one of `for_list`."""
    out = list(source.movements_out.standing().order_by("happened_at", "entry_id"))
    rows = [move for move in out if move.kind == MovementKind.TRANSFER]
    found = {**counted(rows), "source": source}
    if not rows:
        return Tally(**found, begun_ug=source.remaining_ug)
    first = when(rows[0])
    came = source.movements_in.standing()
    found["begun_ug"] = sum(move.mass_ug for move in came if when(move) < first)
    found["begun_ug"] -= sum(move.mass_ug for move in out if when(move) < first)
    before, after = around(source, first)
    if not before or not after:
        return Tally(**found)
    # What a weighing found missing is in its readings: it is not metal that left.
    gone = [move for move in out if move.kind != MovementKind.DIFFERENCE]
    gone = [move for move in gone if when(before) < when(move) < when(after)]
    try:
        given = lost_between(source, before, after)
    except weighing.GrossLighterThanTare:
        return Tally(**found)  # It lost nothing: no sum to hold the rows against.
    missing = exact(given - total(gone))
    return Tally(
        **found,
        given_ug=nominal(given),
        u_given_ug=spread(given),
        given_at=after.read_at,
        missing_ug=nominal(missing),
        u_missing_ug=spread(missing),
        later=sum(when(row) > when(after) for row in rows),
    )


def when(record):
    """Return what puts movements and weighings in the order they happened.

    Several fall in one minute; then they stand in the order they were recorded.
    """
    return getattr(record, "happened_at", None) or record.read_at, record.entry_id


def around(source, first):
    """Return the last weighing with the metal before the first row, and the newest."""
    seen = source.weighings.filter(
        purpose__in=WITH_METAL, strikes=None, struck_by=None
    ).select_related("balance", "gas")
    in_order = sorted(seen, key=when)
    before = [reading for reading in in_order if when(reading) < first]
    after = [reading for reading in in_order if when(reading) > first]
    return (before or [None])[-1], (after or [None])[-1]


def lost_between(source, before, after):
    """Return the metal in µg that was in at one weighing and not at a later one."""
    found = readings.net(
        after,
        before,
        vessel=source,
        material=source.batch.material,
        medium=source.medium,
        facts=readings.Facts.read(),
        staying_ug=source.remaining_ug,
    )
    return found.mass
