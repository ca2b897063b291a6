"""The ledger's verbs: withdraw, destroy, correct. Filling has its own module."""

from dataclasses import dataclass

from django.utils.text import capfirst

from inventory.calc import density
from inventory.calc.uncertainty import uncertain
from inventory.calc.units import show_mass
from inventory.calc.weighing import NetMass
from inventory.models import (
    BookingLine,
    End,
    Method,
    Movement,
    MovementKind,
    Vessel,
    WeighingPurpose,
)

from . import bookings, log, readings, vessels
from .errors import NotEnough, OperationError


@dataclass(frozen=True, slots=True)
class Weighed:
    """Metal taken, found from the closed vessel's weight before and after."""

    before: vessels.Observation
    after: vessels.Observation


@dataclass(frozen=True, slots=True)
class Drawn:
    """Metal taken as a volume at a temperature. `u_volume_ul` is k = 1."""

    volume_ul: int
    u_volume_ul: int
    temperature_c: float


@dataclass(frozen=True, slots=True)
class Whole:
    """All that the vessel holds, as for an ampoule broken into a reaction."""


@dataclass(frozen=True, slots=True)
class Taken:
    """How much metal a withdrawal takes, in µg, and how that was found."""

    mass_ug: int
    u_ug: int
    method: str
    net: NetMass | None = None


def work_out(vessel, how):
    """Return what `how` takes out of `vessel`, or refuse. Records nothing.

    `vessel` comes from `with_remaining`, with its batch, material and medium.
    """
    if vessel.retired_on:
        raise OperationError(f"{vessel} is retired.")
    if not vessel.filled_on:
        raise OperationError(f"{vessel} has not been filled yet.")
    if vessel.remaining_ug == 0:
        raise NotEnough(f"{vessel} is empty.", wanted_ug=0, available_ug=0)
    facts = readings.Facts.read()
    match how:
        case Weighed():
            return by_weight(vessel, how, facts)
        case Drawn():
            return by_volume(vessel, how, facts)
        case Whole():
            u_ug = round(Vessel.objects.with_u().get(pk=vessel.pk).u2_ug2 ** 0.5)
            return Taken(vessel.remaining_ug, u_ug, Method.WHOLE)


def by_weight(vessel, how, facts):
    """Return the mass taken between two weighings of the closed vessel."""
    vessels.refuse_reading(how.before, "before")
    vessels.refuse_reading(how.after, "after")
    if how.after.reading_ug >= how.before.reading_ug:
        raise OperationError(
            f"After taking, the vessel reads {show_mass(how.after.reading_ug)}; "
            f"before, {show_mass(how.before.reading_ug)}. Are the two swapped?",
            "after",
        )
    lost_ug = how.before.reading_ug - how.after.reading_ug
    net = readings.net(
        how.after,
        how.before,
        vessel=vessel,
        material=vessel.batch.material,
        medium=vessel.medium,
        facts=facts,
        staying_ug=max(vessel.remaining_ug - lost_ug, 0),
    )
    mass_ug = round(net.mass.n)
    if mass_ug <= 0:
        raise OperationError(
            "With the gas and the liquid medium taken into account, no metal came out.",
            "after",
        )
    return Taken(mass_ug, round(net.mass.s), Method.WEIGHED, net)


def by_volume(vessel, how, facts):
    """Return the mass of a drawn volume, from the density at its temperature."""
    material = facts.material(vessel.batch.material)
    try:
        metal = density.density_at(material, how.temperature_c)
    except density.TooHot as error:
        raise OperationError(str(error), "temperature") from error
    if density.state_at(material, how.temperature_c) == "solid":
        raise OperationError(
            f"{capfirst(vessel.batch.material.name)} is solid below "
            f"{material.melting_point_c:g} °C: a volume cannot be drawn.",
            "temperature",
        )
    volume = uncertain(how.volume_ul, how.u_volume_ul, "volume drawn")
    mass = metal * volume
    return Taken(round(mass.n), round(mass.s), Method.VOLUME)


@log.operation
def withdraw(
    vessel, how, *, purpose, happened_at, project=None, line=None, settle=True,
    by, request_id,
):  # fmt: skip
    """Take metal out of `vessel` for an experiment, and return the movement.

    `how` is Weighed, Drawn or Whole. With a booking `line` the metal promised
    there may be used, and the line is closed; `settle=False` keeps the rest of it
    promised. Locks the vessel, so that two people cannot take the same metal.
    """
    log.lock(Vessel.objects.all(), vessel.pk)
    if earlier := log.repeated(request_id):
        return earlier.movements.first()
    vessel = read(vessel.pk)
    if line:
        line = log.lock(BookingLine.objects.all(), line.pk)
    log.refuse_future(happened_at, "happened_at")
    taken = work_out(vessel, how)
    refuse_overdraw(vessel, taken, line)

    entry = log.write(
        "withdraw",
        f"Withdrew {show_mass(taken.mass_ug)} from {vessel}: {purpose}",
        by=by,
        request_id=request_id,
        vessel=vessel,
        project=line.booking.project if line else project,
    )
    movement = Movement.objects.create(
        kind=MovementKind.WITHDRAWAL,
        method=taken.method,
        material=vessel.batch.material,
        mass_ug=taken.mass_ug,
        u_ug=taken.u_ug,
        happened_at=happened_at,
        from_vessel=vessel,
        to_end=End.EXPERIMENT,
        purpose=purpose,
        project=line.booking.project if line else project,
        booking_line=line,
        entry=entry,
        **proof(vessel, how, entry),
    )
    if line:
        bookings.serve(line, taken.mass_ug, settle=settle, entry=entry)
    note_dates(vessel, taken, happened_at)
    return movement


def read(pk):
    """Return a vessel with its sums and everything the sums of a taking need."""
    return (
        Vessel.objects.with_remaining()
        .select_related("batch__material", "medium", "gas")
        .get(pk=pk)
    )


def refuse_overdraw(vessel, taken, line):
    """Refuse more than is left, and what is promised to somebody else."""
    if line and (line.vessel_id != vessel.pk or line.closed_by_id):
        raise OperationError("This booking no longer promises anything here.", "line")
    if taken.mass_ug > vessel.remaining_ug:
        raise NotEnough(
            f"Only {show_mass(vessel.remaining_ug)} is left in {vessel}; this would "
            f"take {show_mass(taken.mass_ug)}. If the vessel is now empty, record "
            "that the whole contents were taken.",
            wanted_ug=taken.mass_ug,
            available_ug=vessel.remaining_ug,
        )
    available_ug = vessel.free_ug + (line.mass_ug if line else 0)
    if taken.mass_ug > available_ug:
        raise NotEnough(
            f"{show_mass(vessel.remaining_ug)} is left in {vessel}, of which "
            f"{show_mass(vessel.promised_ug)} is promised: "
            f"{show_mass(available_ug)} may be taken here. Withdraw against the "
            "booking it is for, or have the booking released first.",
            wanted_ug=taken.mass_ug,
            available_ug=available_ug,
        )


def proof(vessel, how, entry):
    """Record the readings behind a withdrawal; return the movement's fields."""
    match how:
        case Weighed():
            return {
                "heavy": vessels.weigh(
                    vessel, WeighingPurpose.BEFORE, how.before, entry
                ),
                "light": vessels.weigh(vessel, WeighingPurpose.AFTER, how.after, entry),
            }
        case Drawn():
            return {
                "volume_ul": how.volume_ul,
                "u_volume_ul": how.u_volume_ul,
                "temperature_c": how.temperature_c,
            }
        case _:
            return {}


def note_dates(vessel, taken, when):
    """Remember when a vessel was first opened, the clock of ageing, and was spent."""
    day = log.local_date(when)
    if vessel.opened_on is None:
        vessel.opened_on = day
    if taken.mass_ug == vessel.remaining_ug:
        vessel.spent_on = day
    vessel.save(update_fields=["opened_on", "spent_on"])


@log.operation
def destroy(vessel, *, how, happened_at, by, request_id):
    """Record that all the vessel held was destroyed, and return the movement."""
    log.lock(Vessel.objects.all(), vessel.pk)
    if earlier := log.repeated(request_id):
        return earlier.movements.first()
    vessel = read(vessel.pk)
    log.refuse_future(happened_at, "happened_at")
    taken = work_out(vessel, Whole())
    refuse_overdraw(vessel, taken, None)
    entry = log.write(
        "destroy",
        f"Destroyed {show_mass(taken.mass_ug)} in {vessel}: {how}",
        by=by,
        request_id=request_id,
        vessel=vessel,
    )
    note_dates(vessel, taken, happened_at)
    return Movement.objects.create(
        kind=MovementKind.DESTRUCTION,
        method=Method.WHOLE,
        material=vessel.batch.material,
        mass_ug=taken.mass_ug,
        u_ug=taken.u_ug,
        happened_at=happened_at,
        from_vessel=vessel,
        to_end=End.DESTROYED,
        purpose=how,
        entry=entry,
    )
