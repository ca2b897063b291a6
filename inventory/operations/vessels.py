"""Vessels: laid out, tared empty, moved, retired. What they hold: see ledger."""

from dataclasses import dataclass

from django.db.models import Max
from django.utils import timezone

from inventory.calc import codes
from inventory.calc.units import show_mass
from inventory.models import (
    Balance,
    Batch,
    Medium,
    Vessel,
    Weighing,
    WeighingPurpose,
)

from . import custody, log
from .errors import OperationError


@dataclass(frozen=True, slots=True)
class Observation:
    """One balance reading and what was around it. Masses in µg.

    `read_at` is when; conditions that were not noted are None. `gas` is the medium
    in the headspace, `liquid_ug` the liquid medium inside, in total.
    """

    reading_ug: int
    balance: Balance
    read_at: object
    gas: Medium
    liquid_ug: int = 0
    u_liquid_ug: int = 0
    air_temperature_c: float | None = None
    air_pressure_pa: float | None = None
    air_humidity: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class Empty:
    """An empty vessel with its closure on, tared now or (None) later."""

    kind: str
    capacity_ul: int
    tare: Observation | None
    glass_mark: str = ""
    field: str | None = None

    def at(self, name):
        """Return which field a refusal about its `name` belongs to."""
        return self.field and f"{self.field}-{name}"


@log.operation
def tare(empties, *, batch=None, place=None, by, request_id):
    """Record tared empty vessels, in order, and return them.

    With a `batch` they get its next numbers at once; without one they are known by
    their glass marks until they are filled.
    """
    if batch:
        batch = log.lock(Batch.objects.all(), batch.pk)
    if earlier := log.repeated(request_id):
        return [weighing.vessel for weighing in earlier.weighings.all()]
    for empty in empties:
        log.refuse_future(empty.tare.read_at, "read_at")
    refuse_marks(empties, needed=batch is None)
    vessels = stand(empties, batch, place)
    entry = log.write(
        "tare",
        f"Tared {', '.join(map(str, vessels))}",
        by=by,
        request_id=request_id,
        batch=batch,
    )
    for vessel, empty in zip(vessels, empties, strict=True):
        weigh(vessel, WeighingPurpose.TARE, empty.tare, entry)
    return vessels


def stand(empties, batch, place):
    """Save the vessels that `empties` describe, numbered if for a batch; return them."""
    vessels = [
        Vessel(
            kind=empty.kind,
            capacity_ul=empty.capacity_ul,
            glass_mark=empty.glass_mark,
            place=place,
        )
        for empty in empties
    ]
    if batch:
        number(vessels, batch)
    for vessel in vessels:
        vessel.save()
    return vessels


@log.operation
def lay_out(
    batch, kind, capacity_ul, count, *, glass_marks=(), place=None, by, request_id
):
    """Give `count` vessels the batch's next numbers before they are tared; return them.

    So that codes and a tare sheet can be printed before the run. `glass_marks` go
    to the first of them, in order; an empty one leaves its vessel without.
    """
    assert count > 0, count
    batch = log.lock(Batch.objects.all(), batch.pk)
    if earlier := log.repeated(request_id):
        return list(batch.vessels.filter(pk__gte=earlier.subject_id)[:count])
    if len(glass_marks) > count:
        raise OperationError(
            f"These are {len(glass_marks)} marks for {count} vessels.", "glass_marks"
        )
    marks = [*glass_marks, *[""] * (count - len(glass_marks))]
    empties = [Empty(kind, capacity_ul, None, mark) for mark in marks]
    try:
        refuse_marks(empties, needed=False)
    except OperationError as error:
        raise OperationError(str(error), "glass_marks") from error
    vessels = stand(empties, batch, place)
    log.write(
        "lay out",
        f"Laid out {named(vessels)}, to be tared",
        by=by,
        request_id=request_id,
        batch=batch,
        subject_id=vessels[0].pk,
    )
    return vessels


def named(vessels):
    """Return the codes of vessels with consecutive numbers, the long run shortened."""
    if len(vessels) < 4:
        return ", ".join(map(str, vessels))
    return f"{vessels[0]} to {vessels[-1]}"


@log.operation
def tare_again(vessel, observation, *, by, request_id):
    """Record a first or a new tare of an empty vessel, and return the weighing."""
    vessel = log.lock(Vessel.objects.all(), vessel.pk)
    if earlier := log.repeated(request_id):
        return earlier.weighings.get()
    if vessel.filled_on:
        raise OperationError(f"{vessel} is filled: its tare can no longer be weighed.")
    if vessel.retired_on:
        raise OperationError(f"{vessel} is retired.")
    log.refuse_future(observation.read_at, "read_at")
    again = " again" if vessel.weighings.filter(purpose="tare").exists() else ""
    entry = log.write(
        "tare",
        f"Tared {vessel}{again}: {show_mass(observation.reading_ug)}",
        by=by,
        request_id=request_id,
        vessel=vessel,
        batch_id=vessel.batch_id,
    )
    return weigh(vessel, WeighingPurpose.TARE, observation, entry)


def number(vessels, batch):
    """Give the vessels the batch's next numbers. The caller holds the batch's lock."""
    last = batch.vessels.aggregate(Max("number"))["number__max"] or 0
    for offset, vessel in enumerate(vessels, start=1):
        vessel.batch = batch
        vessel.number = last + offset
        vessel.code = codes.vessel_code(batch.code, vessel.number)


def weigh(vessel, purpose, observation, entry, **more):
    """Record an observation as a weighing of `vessel`, and return it."""
    facts = {
        name: getattr(observation, name) for name in Observation.__dataclass_fields__
    }
    return Weighing.objects.create(
        vessel=vessel,
        purpose=purpose,
        entry=entry,
        reservation=reservation(observation),
        **facts,
        **more,
    )


def reservation(observation):
    """Return what the balance's record says against a reading, empty if nothing."""
    balance, against = observation.balance, []
    if observation.reading_ug > balance.capacity_ug:
        against.append(
            f"above the {show_mass(balance.capacity_ug)} that {balance} carries"
        )
    day = log.local_date(observation.read_at)
    if balance.due_on and day > balance.due_on:
        against.append(
            f"the calibration of {balance} was due {balance.due_on:%-d %b %Y}"
        )
    return "; ".join(against)


def refuse_marks(empties, *, needed):
    """Refuse a missing glass mark where it is `needed`, one twice, or one in use."""
    seen = set()
    for empty in empties:
        mark = empty.glass_mark
        if not mark:
            if needed:
                raise OperationError(
                    "Without a batch a vessel is known by the mark on its glass: "
                    "give each one.",
                    empty.at("glass_mark"),
                )
            continue
        user = Vessel.objects.filter(glass_mark=mark, retired_on=None).first()
        if user or mark in seen:
            raise OperationError(
                f"The glass mark {mark} is taken"
                + (f" by {user}, which is not retired." if user else " twice here."),
                empty.at("glass_mark"),
            )
        seen.add(mark)


@log.operation
def move(vessel, place, *, by, request_id):
    """Note where the vessel stands now, and return it."""
    vessel = log.lock(Vessel.objects.all(), vessel.pk)
    if log.repeated(request_id):
        return vessel
    custody.refuse_elsewhere(vessel)
    vessel.place = place
    vessel.save(update_fields=["place"])
    log.write(
        "move",
        f"{vessel} moved to {place}",
        by=by,
        request_id=request_id,
        vessel=vessel,
    )
    return vessel


@log.operation
def retire(vessel, *, reason, by, request_id):
    """Retire an empty vessel and return it. Its code stays its own for ever."""
    log.lock(Vessel.objects.all(), vessel.pk)
    vessel = Vessel.objects.with_remaining().get(pk=vessel.pk)
    if log.repeated(request_id):
        return vessel
    if vessel.retired_on:
        raise OperationError(f"{vessel} is retired already.")
    custody.refuse_elsewhere(vessel)
    if vessel.remaining_ug:
        raise OperationError(
            f"{vessel} still holds {show_mass(vessel.remaining_ug)}. "
            "Withdraw it, or record how it was destroyed, first."
        )
    vessel.retired_on = timezone.localdate()
    vessel.save(update_fields=["retired_on"])
    log.write(
        "retire",
        f"{vessel} retired: {reason}",
        by=by,
        request_id=request_id,
        vessel=vessel,
    )
    return vessel
