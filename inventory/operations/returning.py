"""What comes back of vessels handed over, and what a partner reports of them."""

from dataclasses import replace

from django.db.models import Sum
from django.utils import timezone

from inventory.calc.units import show_mass
from inventory.models import (
    End,
    Method,
    Movement,
    MovementKind,
    Return,
    ReturnKind,
    Vessel,
    WeighingPurpose,
)

from . import coming_back, estimating, ledger, log, taking, vessels
from .coming_back import Empty, Weighed
from .errors import NotEnough, OperationError

# What nobody measured is taken as known to half of it either way: rectangular within
# ± a half, common practice, no source.
AS_REPORTED = 0.5 / 3**0.5

__all__ = ["AS_REPORTED", "Empty", "Weighed", "report", "reported_ug", "take_back"]


@log.operation
def report(line, *, used_ug=None, u_ug=None, note="", happened_at=None, by, request_id):
    """Record what the partner says was used of a vessel in its hands; return it.

    `used_ug` None is all that was left: then nothing is, and it was as much as the
    record says, as surely. Else `u_ug` is the standard uncertainty of the amount, by
    default that of half of it either way. Nobody measured this: the movement and the
    Return say so.
    """
    log.lock(Vessel.objects.all(), line.vessel_id)
    if earlier := log.repeated(request_id):
        return earlier.returns.get()
    vessel = ledger.read(line.vessel_id)
    happened_at = happened_at or timezone.now()
    refuse_back(line, vessel)
    refuse_moment(line, happened_at, "happened_at")
    if used_ug is None:
        refuse_another_use_after(line, happened_at)
        taken = all_of_it(vessel, u_ug)
    else:
        taken = some_of_it(vessel, used_ug, u_ug)
    partner = line.hand_over.partner
    entry = log.write(
        "report",
        f"{partner} reports {show_mass(taken.mass_ug)} of {vessel} used"
        + (f": {note}" if note else ""),
        by=by,
        request_id=request_id,
        vessel=vessel,
        project=line.hand_over.project,
    )
    movement = use(line, vessel, taken, entry, happened_at, f"Reported by {partner}")
    ledger.finish(vessel, entry, happened_at)
    return Return.objects.create(
        line=line,
        kind=ReturnKind.REPORTED,
        used_ug=taken.mass_ug,
        u_ug=taken.u_ug,
        is_back=False,
        happened_at=happened_at,
        note=note,
        movement=movement,
        entry=entry,
    )


def all_of_it(vessel, u_ug):
    """Return the Taken of a report that nothing is left: how sure is on record."""
    refuse_more_than_left(vessel, vessel.remaining_ug)
    if u_ug is not None:
        raise OperationError(
            "How sure all of it is, the record says: leave this empty.", "u_used"
        )
    return replace(taking.all_of_it(vessel, None), method=Method.REPORTED)


def some_of_it(vessel, used_ug, u_ug):
    """Return the Taken of a reported amount, k = 1; refuse what cannot be."""
    refuse_more_than_left(vessel, used_ug)
    if u_ug is None:
        u_ug = used_ug * AS_REPORTED
    if u_ug > used_ug:
        raise OperationError(
            f"This is more than the {show_mass(used_ug)} that it is about: give half "
            "of the ± around that.",
            "u_used",
        )
    return taking.changed(vessel, Method.REPORTED, used_ug, u_ug, taking.NO_LIQUID)


def refuse_another_use_after(line, happened_at):
    """Refuse that nothing was left at a moment after which something was used."""
    reports = line.returns.filter(movement__corrected_by=None)
    if reports.filter(happened_at__gt=happened_at).exists():
        raise OperationError("A use was reported for a later moment.", "happened_at")


def refuse_more_than_left(vessel, used_ug):
    if not vessel.remaining_ug:
        raise OperationError(f"By the record nothing is left in {vessel}.", "used")
    if used_ug > vessel.remaining_ug:
        raise NotEnough(
            f"By the record {show_mass(vessel.remaining_ug)} is left in {vessel}. If "
            "nothing is left now, report that all of it was used.",
            wanted_ug=used_ug,
            available_ug=vessel.remaining_ug,
            field="used",
        )


def refuse_back(line, vessel):
    """Refuse to record something of a vessel that is not with the partner any more."""
    if back := line.returns.filter(is_back=True).first():
        raise OperationError(
            f"{vessel} came back on {log.local_date(back.happened_at):%-d %b %Y}. "
            "What happens to it now is recorded on its own page."
        )


def refuse_moment(line, happened_at, field):
    """Refuse a moment before the hand-over, or one to come."""
    log.refuse_future(happened_at, field)
    if happened_at < line.hand_over.handed_at:
        raise OperationError(
            "This is before it was handed over, on "
            f"{log.local_date(line.hand_over.handed_at):%-d %b %Y}.",
            field,
        )


def use(line, vessel, taken, entry, happened_at, purpose):
    """Record metal that the partner used, as a movement of the project; return it."""
    return ledger.take_out(
        vessel,
        None,
        taken,
        entry,
        kind=MovementKind.WITHDRAWAL,
        happened_at=happened_at,
        to_end=End.EXPERIMENT,
        purpose=purpose,
        project=line.hand_over.project,
    )


def reported_ug(line):
    """Return what the partner reported as used of a vessel, as far as it stands."""
    standing = line.returns.filter(movement__corrected_by=None, kind="reported")
    return standing.aggregate(Sum("used_ug"))["used_ug__sum"] or 0


@log.operation
def take_back(line, how, *, place=None, note="", by, request_id):
    """Record that a vessel is back, `Empty` or `Weighed`, and return the Return.

    Empty, the partner used all of it. Weighed, it used what is missing by the
    reading. If more is left than was reported, the difference is posted for all to
    see. Then the vessel is in this house again, at `place`.
    """
    log.lock(Vessel.objects.all(), line.vessel_id)
    if earlier := log.repeated(request_id):
        return earlier.returns.get()
    vessel = ledger.read(line.vessel_id)
    refuse_back(line, vessel)
    field = "read_at"
    refuse_moment(line, how.happened_at, field)
    if line.returns.filter(happened_at__gt=how.happened_at).exists():
        raise OperationError("A use was reported for a later moment.", field)
    reported = reported_ug(line)
    if isinstance(how, Empty):
        found = coming_back.emptied(vessel)
    else:
        found = coming_back.weighed(line, vessel, how, reported)
    used_ug = found.used.mass_ug if found.used else 0
    entry = log.write(
        "return",
        f"{vessel} is back from {line.hand_over.partner}"
        + (", empty" if isinstance(how, Empty) else ", weighed")
        + (f": {show_mass(used_ug)} used" if used_ug else ": nothing more was used"),
        by=by,
        request_id=request_id,
        vessel=vessel,
        project=line.hand_over.project,
    )
    movement = post(line, vessel, how, found, entry)
    estimating.settle(
        vessel, entry=entry, happened_at=how.happened_at, purpose=found.purpose
    )
    house(vessel, how, place)
    return Return.objects.create(
        line=line,
        kind=ReturnKind.EMPTY if isinstance(how, Empty) else ReturnKind.PARTLY,
        used_ug=used_ug,
        u_ug=found.used.u_ug if found.used else 0,
        is_back=True,
        happened_at=how.happened_at,
        note=note,
        movement=movement,
        entry=entry,
    )


def post(line, vessel, how, found, entry):
    """Record the reading, the events and the use, if any; return its movement."""
    weighings = {}
    if isinstance(how, Weighed):
        purpose = WeighingPurpose.AFTER if found.used else WeighingPurpose.CHECK
        seen = vessels.weigh(vessel, purpose, how.seen, entry, cause=found.cause)
        weighings = {"check": seen}
    about = {"entry": entry, "happened_at": how.happened_at}
    # What gas is inside stays true when the use is corrected.
    estimating.record(vessel, found.apart, **about)
    movement = None
    if found.used:
        movement = Movement.objects.create(
            kind=MovementKind.WITHDRAWAL,
            method=found.used.method,
            material=vessel.batch.material,
            mass_ug=found.used.mass_ug,
            u_ug=found.used.u_ug,
            from_vessel=vessel,
            to_end=End.EXPERIMENT,
            purpose=f"Used at {line.hand_over.partner}",
            project=line.hand_over.project,
            light=weighings.get("check"),
            **about,
        )
    estimating.record(
        vessel, found.happenings, weighings=weighings, movement=movement, **about
    )
    return movement


def house(vessel, how, place):
    """Note that a vessel is here again: where, and what the return showed of it."""
    now = Vessel.objects.with_remaining().get(pk=vessel.pk)
    day = log.local_date(how.happened_at)
    now.custodian, now.place = None, place
    if isinstance(how, Empty) or how.opened:
        now.opened_on = now.opened_on or day
    if isinstance(how, Weighed) and how.seen.gas != now.gas:
        if now.medium_id == now.gas_id:
            now.medium = how.seen.gas
        now.gas = how.seen.gas
    now.spent_on = None if now.remaining_ug else now.spent_on or day
    now.save()
