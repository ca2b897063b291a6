"""The ledger's verbs for metal that leaves: withdraw and destroy."""

from inventory.calc.units import show_mass
from inventory.models import (
    BookingLine,
    End,
    Movement,
    MovementKind,
    Vessel,
    WeighingPurpose,
)

from . import bookings, estimating, log, serving, taking, vessels
from .errors import Disagrees, NotEnough, OperationError


@log.operation
def withdraw(
    vessel, how, *, purpose, happened_at, project=None, line=None, settle=True,
    by, request_id,
):  # fmt: skip
    """Take metal out of `vessel` for an experiment, and return the movement.

    `how` is one of the ways in `taking`. With a booking `line` the metal promised
    there may be used, and the line is closed; `settle=False` keeps the rest of it
    promised. Clearly more than it promises has to be within its partner's share. Locks the vessel, so that two people cannot take the same metal.
    """
    log.lock(Vessel.objects.all(), vessel.pk)
    if earlier := log.repeated(request_id):
        return earlier.movements.filter(kind=MovementKind.WITHDRAWAL).first()
    vessel = read(vessel.pk)
    if line:
        line = log.lock(BookingLine.objects.select_related("booking"), line.pk)
    log.refuse_future(happened_at, "happened_at")
    taken = taking.work_out(vessel, how, happened_at)
    refuse_disagreement(vessel, taken)
    refuse_overdraw(vessel, taken, line)
    if line:
        serving.refuse_surplus(line, vessel, taken.mass_ug, taken.u_ug)

    entry = log.write(
        "withdraw",
        f"Withdrew {show_mass(taken.mass_ug)} from {vessel}: {purpose}",
        by=by,
        request_id=request_id,
        vessel=vessel,
        project=line.booking.project if line else project,
    )
    if line:
        bookings.close(line, entry=entry)
    movement = take_out(
        vessel,
        how,
        taken,
        entry,
        kind=MovementKind.WITHDRAWAL,
        happened_at=happened_at,
        to_end=End.EXPERIMENT,
        purpose=purpose,
        project=line.booking.project if line else project,
        booking_line=line,
    )
    if line and not settle:
        bookings.keep_rest(line, taken.mass_ug)
    finish(vessel, entry, happened_at)
    return movement


def read(pk):
    """Return a vessel with its sums and everything the sums of a taking need."""
    return Vessel.objects.for_list().get(pk=pk)


def refuse_disagreement(vessel, taken):
    """Refuse to take from a vessel whose first reading disagrees with the record."""
    if taken.outcome:
        raise Disagrees(
            f"Before anything was taken, {vessel} reads "
            f"{show_mass(abs(taken.outcome.innovation_ug))} "
            f"{'more' if taken.outcome.innovation_ug > 0 else 'less'} than the record "
            f"expects, {taken.outcome.ratio:.1f} times the uncertainty of that. "
            "Record it as a check weighing first, and decide what happened.",
            outcome=taken.outcome,
            field="before",
        )


def refuse_overdraw(vessel, taken, line):
    """Refuse more than is left, and what is promised to somebody else."""
    if line and line.booking.has_expired:
        raise OperationError(
            f"{line.booking} ended on {line.booking.expires_on:%-d %b %Y}. Have it "
            "extended, or take the metal without it.",
            "line",
        )
    if line and (line.vessel_id != vessel.pk or line.closed_by_id):
        raise OperationError("This booking no longer promises anything here.", "line")
    left_ug = vessel.remaining_ug + taken.surplus_ug
    if taken.mass_ug > left_ug:
        raise NotEnough(
            f"Only {show_mass(left_ug)} is left in {vessel}; this would "
            f"take {show_mass(taken.mass_ug)}. If the vessel is now empty, record "
            "that the whole contents were taken.",
            wanted_ug=taken.mass_ug,
            available_ug=left_ug,
        )
    available_ug = left_ug - vessel.promised_ug + (line.mass_ug if line else 0)
    if taken.mass_ug > available_ug:
        raise NotEnough(
            f"{show_mass(left_ug)} is left in {vessel}, of which "
            f"{show_mass(vessel.promised_ug)} is promised: "
            f"{show_mass(available_ug)} may be taken here. Withdraw against the "
            "booking it is for, or have the booking released first.",
            wanted_ug=taken.mass_ug,
            available_ug=available_ug,
        )


def take_out(vessel, how, taken, entry, *, happened_at, **movement):
    """Record the readings, the events and the movement of a taking; return it."""
    if taken.surplus_ug:
        estimating.post_difference(
            vessel,
            vessel.remaining_ug + taken.surplus_ug,
            entry=entry,
            happened_at=happened_at,
            purpose="The reading before taking, weighed with what was known",
        )
    weighings = proof(vessel, how, entry)
    note_gas(vessel, how)
    moved = Movement.objects.create(
        method=taken.method,
        material=vessel.batch.material,
        mass_ug=taken.mass_ug,
        u_ug=taken.u_ug,
        happened_at=happened_at,
        from_vessel=vessel,
        entry=entry,
        heavy=weighings.get("before"),
        light=weighings.get("after"),
        **raw(how),
        **movement,
    )
    estimating.record(
        vessel,
        taken.happenings,
        entry=entry,
        happened_at=happened_at,
        weighings=weighings,
        movement=moved,
    )
    return moved


def note_gas(vessel, how):
    """Note the gas that a weighed taking left inside; `finish` saves it."""
    if isinstance(how, taking.Weighed) and how.after.gas != vessel.gas:
        if vessel.medium_id == vessel.gas_id:
            vessel.medium = how.after.gas
        vessel.gas = how.after.gas


def proof(vessel, how, entry):
    """Record the weighings behind a taking, by the names the events use."""
    if not isinstance(how, taking.Weighed):
        return {}
    return {
        "before": vessels.weigh(vessel, WeighingPurpose.BEFORE, how.before, entry),
        "after": vessels.weigh(vessel, WeighingPurpose.AFTER, how.after, entry),
    }


def raw(how):
    """Return the movement's fields of what was read off a syringe, or counted."""
    match how:
        case taking.Drawn():
            return {
                "volume_ul": how.volume_ul,
                "u_volume_ul": how.u_volume_ul,
                "temperature_c": how.temperature_c,
            }
        case taking.Received() if how.full:
            return {
                "receiver_empty_ug": how.empty.reading_ug,
                "receiver_full_ug": how.full.reading_ug,
                "receiver_balance": how.full.balance,
            }
        case taking.Pieces():
            return {"pieces": how.count, "piece_ug": how.piece_ug}
        case _:
            return {}


def finish(vessel, entry, happened_at):
    """Settle the estimate, and remember when the vessel was opened and spent."""
    estimating.settle(
        vessel,
        entry=entry,
        happened_at=happened_at,
        purpose="Difference of rounding and of what the readings say together",
    )
    now = Vessel.objects.with_remaining().get(pk=vessel.pk)
    if vessel.gas_id != now.gas_id:
        now.gas, now.medium = vessel.gas, vessel.medium
    day = log.local_date(happened_at)
    if now.opened_on is None or day < now.opened_on:
        now.opened_on = day
    now.spent_on = day if now.remaining_ug == 0 else None
    now.save(update_fields=["opened_on", "spent_on", "gas", "medium"])


@log.operation
def destroy(vessel, *, how, happened_at, by, request_id):
    """Record that all the vessel held was destroyed, and return the movement."""
    log.lock(Vessel.objects.all(), vessel.pk)
    if earlier := log.repeated(request_id):
        return earlier.movements.first()
    vessel = read(vessel.pk)
    log.refuse_future(happened_at, "happened_at")
    taken = taking.work_out(vessel, taking.Whole(), happened_at)
    refuse_overdraw(vessel, taken, None)
    entry = log.write(
        "destroy",
        f"Destroyed {show_mass(taken.mass_ug)} in {vessel}: {how}",
        by=by,
        request_id=request_id,
        vessel=vessel,
    )
    movement = take_out(
        vessel,
        taking.Whole(),
        taken,
        entry,
        kind=MovementKind.DESTRUCTION,
        happened_at=happened_at,
        to_end=End.DESTROYED,
        purpose=how,
    )
    finish(vessel, entry, happened_at)
    return movement
