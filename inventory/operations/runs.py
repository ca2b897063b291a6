"""A run's log: set up once, read again and again, struck out where it is wrong."""

from dataclasses import astuple

from inventory.calc.units import show_rate
from inventory.models import Batch, RunLog, RunReading, Vessel

from . import log
from .closing import refuse_closed
from .errors import OperationError
from .run_rows import NAMES, clock, facts_of, ml, problem, receiver_volume, told

IMPORT_MAX = 5000
FIRST_YEAR = 1900


@log.operation
def set_up(batch, facts, *, by, request_id):
    """Note, or note anew, when a run began and ended, its receiver, and what pays.

    `facts` are the RunLog's fields. Returns the run's log.
    """
    batch = log.lock(Batch.objects.all(), batch.pk)
    if log.repeated(request_id):
        return batch.run_log
    refuse_closed(batch)
    run = of(batch) or RunLog(batch=batch)
    refuse_times(facts)
    refuse_receiver(batch, run, facts)
    for name, value in facts.items():
        setattr(run, name, value)
    run.save()
    log.write(
        "run-set-up",
        f"Set up the run of {batch}: {in_words(run)}",
        by=by,
        request_id=request_id,
        batch=batch,
    )
    return run


def of(batch):
    """Return the run log of a batch with its receiver, or None."""
    return RunLog.objects.filter(batch=batch).select_related("receiver").first()


def refuse_times(facts):
    """Refuse a run that has not begun yet, or that ends before it begins."""
    if facts["started_at"].year < FIRST_YEAR:
        raise OperationError("Look at the year again.", "started_at")
    log.refuse_future(facts["started_at"], "started_at")
    ended_at = facts.get("ended_at")
    if ended_at:
        log.refuse_future(ended_at, "ended_at")
    if ended_at and ended_at < facts["started_at"]:
        raise OperationError("The run cannot end before it starts.", "ended_at")


def refuse_receiver(batch, run, facts):
    """Refuse a receiver that is not this batch's empty glass, or is too small."""
    vessel, volume_ul = facts.get("receiver"), facts.get("receiver_ul")
    if vessel:
        vessel = Vessel.objects.get(pk=vessel.pk)  # somebody may have filled it
    if vessel and volume_ul:
        raise OperationError(
            f"The record of {vessel} has its volume: leave this empty.",
            "receiver_volume",
        )
    if vessel and vessel.pk != run.receiver_id:
        if vessel.batch_id != batch.pk:
            raise OperationError(f"{vessel} does not belong to {batch}.", "receiver")
        if vessel.filled_on or vessel.retired_on:
            raise OperationError(
                f"{vessel} is not an empty vessel any more.", "receiver"
            )
    holds_ul = vessel.capacity_ul if vessel else volume_ul
    highest = batch.run_readings.standing().exclude(receiver_ul=None)
    highest = highest.order_by("-receiver_ul").first()
    if highest and (holds_ul is None or highest.receiver_ul > holds_ul):
        raise OperationError(
            f"A reading of {ml(highest.receiver_ul)} is on record: "
            "the receiver holds at least that.",
            "receiver" if vessel else "receiver_volume",
        )


@log.operation
def read(batch, seen, *, by, request_id):
    """Record what was read off the run, and return the reading.

    A moment before the start or before other readings is kept; the page marks it.
    """
    batch = log.lock(Batch.objects.all(), batch.pk)
    if earlier := log.repeated(request_id):
        return earlier.run_readings.get()
    refuse_closed(batch)
    run = needed(batch)
    if found := problem(seen, run):
        raise OperationError(*found)
    if seen.receiver_ul is not None and seen.receiver_c is None:
        raise OperationError(
            "Read how warm the receiver is too: the metal's density hangs on it. "
            "If it is as warm as before, tick “same”.",
            "receiver_temperature",
        )
    entry = log.write(
        "run-reading",
        f"Read the run of {batch} at {clock(seen.read_at)}: {told(seen)}",
        by=by,
        request_id=request_id,
        batch=batch,
    )
    return RunReading.objects.create(batch=batch, entry=entry, **facts_of(seen))


def needed(batch):
    """Return the run log of a batch, or say that it has to be set up first."""
    run = of(batch)
    if run is None:
        raise OperationError(
            "Set the run up first: when it started, and what it runs into."
        )
    return run


@log.operation
def strike(reading, *, reason, by, request_id):
    """Take a wrong reading out of the sums. It stays visible, struck through."""
    batch = log.lock(Batch.objects.all(), reading.batch_id)
    if earlier := log.repeated(request_id):
        return earlier.run_readings.get()
    refuse_closed(batch)
    if reading.strikes_id or RunReading.objects.filter(strikes=reading).exists():
        raise OperationError("This reading is struck out already.")
    entry = log.write(
        "run-strike",
        f"Struck out the run reading of {clock(reading.read_at)}: {reason}",
        by=by,
        request_id=request_id,
        batch=batch,
    )
    copied = facts_of(reading) | {"note": reason}
    return RunReading.objects.create(
        batch=batch, entry=entry, strikes=reading, imported=reading.imported, **copied
    )


@log.operation
def import_readings(batch, rows, *, by, request_id):
    """Record a list of Seen at once; return the readings that were new.

    One that is on record already, at the same time with the same values, struck out
    or not, is not recorded a second time.
    """
    batch = log.lock(Batch.objects.all(), batch.pk)
    if earlier := log.repeated(request_id):
        return list(earlier.run_readings.order_by("id"))
    refuse_closed(batch)
    run = needed(batch)
    if len(rows) > IMPORT_MAX:
        raise OperationError(f"At most {IMPORT_MAX} readings are recorded in one go.")
    for seen in rows:
        if found := problem(seen, run):
            raise OperationError(f"{clock(seen.read_at)}: {found[0]}")
    fresh = new_among(batch, rows)
    if not fresh:
        raise OperationError("All of these readings are on record already.")
    entry = log.write(
        "run-import",
        f"Imported {len(fresh)} readings of the run of {batch}, from "
        f"{clock(min(seen.read_at for seen in fresh))} to "
        f"{clock(max(seen.read_at for seen in fresh))}",
        by=by,
        request_id=request_id,
        batch=batch,
    )
    return RunReading.objects.bulk_create(
        RunReading(batch=batch, entry=entry, imported=True, **facts_of(seen))
        for seen in fresh
    )


def new_among(batch, rows):
    """Return the rows that are not on record, each of them once, in order."""
    on_record = batch.run_readings.filter(strikes=None).values_list(*NAMES)
    known, fresh = set(on_record), {}
    for seen in rows:
        if astuple(seen) not in known:
            fresh.setdefault(astuple(seen), seen)
    return list(fresh.values())


def in_words(run):
    """Return what is noted about a run, for the logbook."""
    holds_ul = receiver_volume(run)
    said = [f"started {clock(run.started_at)}"]
    if run.ended_at:
        said.append(f"ended {clock(run.ended_at)}")
    if holds_ul:
        glass = f"{run.receiver}" if run.receiver_id else "graduated glass"
        read_to = ml(run.u_receiver_ul)
        said.append(f"receiver {glass}, {ml(holds_ul)}, read to {read_to}")
    if run.worth_ug_per_h:
        said.append(f"worth going on above {show_rate(run.worth_ug_per_h)}")
    return "; ".join(said)
