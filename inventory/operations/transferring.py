"""Metal from one vessel into empty, tared ones of the same batch: both sides at once."""

from dataclasses import dataclass, field, replace

from inventory.calc import events
from inventory.calc.units import show_mass
from inventory.models import (
    Batch,
    BookingLine,
    End,
    Method,
    Movement,
    MovementKind,
    Vessel,
)

from . import (
    bookings,
    custody,
    estimating,
    filling,
    ledger,
    log,
    observing,
    serving,
    taking,
    vessels,
)
from .errors import OperationError

# More may seem to arrive than left by this many u, and be the readings' doubt.
IMPOSSIBLE = 3


@dataclass(frozen=True, slots=True)
class Arrival:
    """One receiving vessel and how it was filled: see filling.Filling."""

    vessel: Vessel
    filling: filling.Filling
    field: str | None = None


@dataclass(frozen=True, slots=True)
class Balance:
    """What left the source and what arrived, in µg, and the gap between them.

    `left` is None when the source was not weighed or measured: then what arrived
    is what left. `u_gap_ug` is the standard uncertainty of the gap.
    """

    arrived: list = field(default_factory=list)
    left: taking.Taken | None = None

    @property
    def arrived_ug(self):
        return sum(found.mass_ug for found in self.arrived)

    @property
    def u_arrived_ug(self):
        return sum(found.u_ug**2 for found in self.arrived) ** 0.5

    @property
    def gap_ug(self):
        return self.left.mass_ug - self.arrived_ug if self.left else 0

    @property
    def u_gap_ug(self):
        u_left = self.left.u_ug if self.left else 0
        return (u_left**2 + self.u_arrived_ug**2) ** 0.5

    @property
    def gap_is_significant(self):
        return abs(self.gap_ug) > 2 * self.u_gap_ug


def work_out(source, arrivals, how, happened_at):
    """Return the Balance of a transfer, or refuse. Records nothing.

    `how` is a taking.Weighed or Drawn of the source, or None.
    """
    if not arrivals:
        raise OperationError("Choose at least one vessel to fill.")
    refuse_source(source)
    estimating.refuse_before_filling(source, happened_at)
    if len({arrival.vessel.pk for arrival in arrivals}) < len(arrivals):
        raise OperationError("A vessel is filled once: one is named twice here.")
    arrived = []
    for arrival in arrivals:
        if arrival.vessel.pk == source.pk:
            raise OperationError("A vessel cannot be filled from itself.")
        try:
            arrived.append(filling.work_out(arrival.vessel, arrival.filling))
        except OperationError as error:
            its_own = error.field in (None, "gross", "stated")
            field = arrival.field if its_own and arrival.field else error.field
            raise OperationError(f"{arrival.vessel}: {error}", field) from error
    left = taking.work_out(source, how, happened_at) if how else None
    found = Balance(arrived, left)
    if left:
        ledger.refuse_disagreement(source, left)
        refuse_more_than_left(source, found)
    return found


def refuse_more_than_left(source, found):
    """Refuse more metal in the filled vessels than came out: it cannot be so."""
    if found.gap_ug < -IMPOSSIBLE * found.u_gap_ug:
        raise OperationError(
            f"{show_mass(found.arrived_ug)} arrived, but only "
            f"{show_mass(found.left.mass_ug)} left {source}. A reading or a vessel is "
            "wrong: look before anything is recorded.",
            "after",
        )


def read_again(arrivals):
    """Return the arrivals with their vessels as they are now that they are locked."""
    keys = [arrival.vessel.pk for arrival in arrivals]
    now = Vessel.objects.select_related("place").in_bulk(keys)
    return [replace(arrival, vessel=now[arrival.vessel.pk]) for arrival in arrivals]


def refuse_source(source):
    if source.retired_on or not source.filled_on or not source.remaining_ug:
        raise OperationError(f"{source} holds no metal to transfer.")
    custody.refuse_elsewhere(source)


@log.operation
def transfer(
    source, arrivals, *, how=None, loss_reason="", line=None, settle=False,
    happened_at, by, request_id,
):  # fmt: skip
    """Move metal from `source` into the arrivals; return the movements.

    A gap between what left and what arrived is posted as a loss only with a
    `loss_reason`; without one it stays unaccounted for, in the open. With a booking
    `line` the metal promised there may be drawn, into one vessel, and the promise
    goes with it; what was clearly not drawn stays promised, unless this is to
    `settle` the line. Locks the batch, then all vessels in the order of their keys.
    """
    batch = log.lock(Batch.objects.select_related("material"), source.batch_id)
    for pk in sorted({source.pk, *(arrival.vessel.pk for arrival in arrivals)}):
        log.lock(Vessel.objects.all(), pk)
    if earlier := log.repeated(request_id):
        return list(earlier.movements.filter(kind=MovementKind.TRANSFER))
    source, arrivals = ledger.read(source.pk), read_again(arrivals)
    line = promised(line, arrivals)
    log.refuse_future(happened_at, "happened_at")
    found = work_out(source, arrivals, how, happened_at)
    if loss_reason and found.gap_ug <= 0:
        raise OperationError(
            "As far as was weighed, no more left than arrived: no loss to post.",
            "is_loss",
        )
    gone_ug = max(found.arrived_ug, found.left.mass_ug if found.left else 0)
    surplus_ug = found.left.surplus_ug if found.left else 0
    total = taking.Taken(gone_ug, 0, Method.WEIGHED, surplus_ug=surplus_ug)
    ledger.refuse_overdraw(source, total, line)
    more_ug = line and serving.refuse_surplus(
        line, source, found.arrived_ug, found.u_arrived_ug
    )

    names = ", ".join(str(arrival.vessel) for arrival in arrivals)
    entry = log.write(
        "transfer",
        f"Transferred {show_mass(found.arrived_ug)} from {source} to {names}"
        + (f", {show_mass(more_ug)} more than {line.booking} held" if more_ug else ""),
        by=by,
        request_id=request_id,
        vessel=source,
        batch=batch,
        project=line.booking.project if line else None,
    )
    if line:
        bookings.close(line, entry=entry)
    weighings = ledger.proof(source, how, entry)
    ledger.note_gas(source, how)
    if surplus_ug:
        estimating.post_difference(
            source,
            source.remaining_ug + surplus_ug,
            entry=entry,
            happened_at=happened_at,
            purpose="The reading before taking, weighed with what was known",
        )
    movements = [
        arrive(source, arrival, worked_out, entry, happened_at)
        for arrival, worked_out in zip(arrivals, found.arrived, strict=True)
    ]
    leave(source, found, movements[0], weighings, entry, happened_at)
    if found.gap_ug > 0:
        lose(source, found, loss_reason, entry, happened_at)
    ledger.finish(source, entry, happened_at)
    if line:
        drawn, u_ug = movements[0].to_vessel, found.u_arrived_ug
        serving.go_with(line, source, drawn, u_ug, settle=settle)
    return movements


def promised(line, arrivals):
    """Return the booking's line, locked, if one is served; it fills one vessel."""
    if line is None:
        return None
    if len(arrivals) > 1:
        raise OperationError(
            "A promised aliquot goes into one vessel. Record the others on their own.",
            arrivals[1].field,
        )
    return log.lock(BookingLine.objects.select_related("booking"), line.pk)


def arrive(source, arrival, found, entry, happened_at):
    """Record one receiving side, and return its movement."""
    vessel = Vessel.objects.get(pk=arrival.vessel.pk)
    if vessel.batch_id is None:
        vessels.number([vessel], source.batch)
    return filling.put_in(
        vessel, arrival.filling, found, entry, happened_at, source=source
    )


def leave(source, found, movement, weighings, entry, happened_at):
    """Record the giving side's events: measured there, or what arrived."""
    if found.left:
        happenings = found.left.happenings
    else:
        change = events.Change(
            metal_ug=-float(found.arrived_ug), u_metal_ug=found.u_arrived_ug
        )
        happenings = [observing.Happening(change, "Metal transferred, as it arrived")]
    estimating.record(
        source,
        happenings,
        entry=entry,
        happened_at=happened_at,
        weighings=weighings,
        movement=movement,
    )


def lose(source, found, reason, entry, happened_at):
    """Post the gap: as a loss if somebody decided so, else as unaccounted for."""
    decided = bool(reason)
    Movement.objects.create(
        kind=MovementKind.LOSS if decided else MovementKind.DIFFERENCE,
        method=Method.WEIGHED,
        material=source.batch.material,
        mass_ug=found.gap_ug,
        u_ug=round(found.u_gap_ug),
        happened_at=happened_at,
        from_vessel=source,
        to_end=End.LOSS if decided else End.UNACCOUNTED,
        purpose=reason or "Left this vessel and did not arrive: unaccounted for",
        entry=entry,
    )
