"""Filling a tared vessel from a batch: what the readings mean, and what is refused."""

from dataclasses import dataclass, field

from inventory.calc import density, weighing
from inventory.calc.balance import smallest_net_weight_ug
from inventory.calc.filling import Headspace
from inventory.calc.units import show_mass
from inventory.models import (
    Batch,
    Medium,
    MediumKind,
    Method,
    Movement,
    MovementKind,
    Place,
    Vessel,
    WeighingPurpose,
)

from . import closing, estimating, gross, log, observing, readings, rules, vessels
from .errors import OperationError


@dataclass(frozen=True, slots=True)
class Filling:
    """What was put into a vessel. Exactly one of `gross` and `stated_ug` is given.

    `stated_ug` is a mass that is known otherwise, as on a supplier's ampoule, with
    its standard uncertainty; `liquid_ug` is then the liquid medium put in with it.
    """

    batch: Batch
    medium: Medium
    gas: Medium
    closure: str
    place: Place | None = None
    gross: vessels.Observation | None = None
    stated_ug: int | None = None
    u_stated_ug: int = 0
    liquid_ug: int = 0
    u_liquid_ug: int = 0
    accept_medium: bool = False


@dataclass(frozen=True, slots=True)
class WorkedOut:
    """What a filling amounts to, in µg, before it is recorded."""

    mass_ug: int
    u_ug: int
    volume_ul: float
    headspace: Headspace
    net: weighing.NetMass | None = None
    tare: object = None
    happenings: list = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)


def work_out(vessel, filling):
    """Return what `filling` puts into `vessel`, or refuse. Records nothing."""
    if vessel.retired_on:
        raise OperationError(f"{vessel} is retired.")
    if vessel.filled_on:
        raise OperationError(
            f"{vessel} was filled on {vessel.filled_on:%-d %b %Y}. Glass that is used "
            "again becomes a new vessel: tare it anew."
        )
    if vessel.batch_id and vessel.batch_id != filling.batch.pk:
        raise OperationError(f"{vessel} was tared for another batch.", "batch")
    cautions = refuse_medium(filling)
    facts = readings.Facts.read()
    material = facts.material(filling.batch.material)
    net = None
    glass = observing.glass_of(
        vessel, facts, material=filling.batch.material, medium=filling.medium
    )
    tare = glass.tare
    if filling.gross:
        net = gross.by_weight(vessel, filling, tare, facts)
        happenings = gross.weighed_in(filling, tare, glass, net.mass.n)
        state = estimating.run([h.event for h in happenings])[-1].state
        mass_ug, u_ug = round(state.metal_ug), round(net.mass.s)
        cautions += too_little_to_weigh(mass_ug, filling.gross.balance)
    else:
        mass_ug, u_ug = filling.stated_ug, filling.u_stated_ug
        happenings = [gross.stated_in(filling, tare, glass)]
    if mass_ug <= 0:
        raise OperationError(
            "With the gas and the liquid medium taken into account, "
            "no metal is left in this reading.",
            "gross",
        )
    room = readings.headspace(
        vessel,
        mass_ug,
        material=filling.batch.material,
        medium=filling.medium,
        liquid_ug=liquid_inside(filling, tare),
        place=filling.place or vessel.place,
        facts=facts,
    )
    if room.verdict == "refuse":
        raise OperationError(room.sentence, "gross" if filling.gross else "stated")
    if room.verdict == "tight":
        cautions.append(room.sentence)
    volume = density.volume_ul(mass_ug, material, 20.0)
    return WorkedOut(
        mass_ug=mass_ug,
        u_ug=u_ug,
        volume_ul=volume.n,
        headspace=room,
        net=net,
        tare=tare if filling.gross else None,
        happenings=happenings,
        cautions=cautions,
    )


def liquid_inside(filling, tare):
    """Return the liquid medium in the filled vessel, in µg."""
    if filling.gross:
        return filling.gross.liquid_ug
    return filling.liquid_ug + (tare.liquid_ug if tare else 0)


def too_little_to_weigh(mass_ug, balance):
    """Return a caution when the net mass is below what the balance can weigh well."""
    least_ug = smallest_net_weight_ug(balance.facts())
    if mass_ug >= least_ug:
        return []
    return [
        f"{balance} weighs {show_mass(round(least_ug))} or more to a tenth of a "
        "per cent (USP ⟨41⟩); this is less."
    ]


def refuse_medium(filling):
    """Refuse a medium the metal must never be kept in; return what to mind."""
    if filling.gas.kind == MediumKind.LIQUID:
        raise OperationError("The gas above cannot be a liquid.", "gas")
    media = {"medium": filling.medium}
    if filling.gas != filling.medium:
        media["gas"] = filling.gas
    return rules.refuse(filling.batch.material, media, accepted=filling.accept_medium)


@log.operation
def fill(vessel, filling, *, happened_at, by, request_id):
    """Record that `vessel` was filled, and return the movement.

    Locks the batch, whose next number a vessel without one takes, then the vessel.
    """
    batch = log.lock(Batch.objects.select_related("material"), filling.batch.pk)
    log.lock(Vessel.objects.all(), vessel.pk)
    if earlier := log.repeated(request_id):
        return earlier.movements.first()
    closing.refuse_closed(batch, "batch")
    vessel = Vessel.objects.select_related("place").get(pk=vessel.pk)
    log.refuse_future(happened_at, "read_at")
    found = work_out(vessel, filling)
    if vessel.batch_id is None:
        vessels.number([vessel], batch)
    entry = log.write(
        "fill",
        f"Filled {vessel} with {show_mass(found.mass_ug)} under {filling.medium.name}",
        by=by,
        request_id=request_id,
        vessel=vessel,
        batch=batch,
    )
    return put_in(vessel, filling, found, entry, happened_at)


@log.operation
def receive(batch, empty_facts, filling, *, count, happened_at, by, request_id):
    """Record `count` sealed vessels that came with their mass stated; return them.

    `empty_facts` are kind and inner volume: such a vessel was never tared here.
    """
    batch = log.lock(Batch.objects.select_related("material"), batch.pk)
    if earlier := log.repeated(request_id):
        return [movement.to_vessel for movement in earlier.movements.all()]
    closing.refuse_closed(batch)
    log.refuse_future(happened_at, "read_at")
    received = [Vessel(**empty_facts) for _ in range(count)]
    found = [work_out(vessel, filling) for vessel in received]
    vessels.number(received, batch)
    entry = log.write(
        "receive",
        f"Received {', '.join(map(str, received))} with "
        f"{show_mass(filling.stated_ug)} each",
        by=by,
        request_id=request_id,
        batch=batch,
    )
    for vessel, worked_out in zip(received, found, strict=True):
        vessel.save()
        put_in(vessel, filling, worked_out, entry, happened_at)
    return received


def set_state(vessel, filling, happened_at):
    """Note what surrounds the metal now, how the vessel is closed, and where it is."""
    vessel.medium, vessel.gas = filling.medium, filling.gas
    vessel.closure = filling.closure
    vessel.place = filling.place or vessel.place
    vessel.filled_on = log.local_date(happened_at)
    vessel.save()


def put_in(vessel, filling, found, entry, happened_at, *, source=None):
    """Write the vessel's new state, the gross reading, the movement and the events.

    The metal comes from the batch itself, or from the `source` vessel.
    """
    set_state(vessel, filling, happened_at)
    weighed = None
    if filling.gross:
        weighed = vessels.weigh(vessel, WeighingPurpose.GROSS, filling.gross, entry)
    movement = Movement.objects.create(
        kind=MovementKind.TRANSFER if source else MovementKind.FILL,
        method=Method.WEIGHED if weighed else Method.STATED,
        material=filling.batch.material,
        mass_ug=found.mass_ug,
        u_ug=found.u_ug,
        happened_at=happened_at,
        from_batch=None if source else filling.batch,
        from_vessel=source,
        to_vessel=vessel,
        light=found.tare,
        heavy=weighed,
        entry=entry,
    )
    estimating.record(
        vessel,
        found.happenings,
        entry=entry,
        happened_at=happened_at,
        weighings={"gross": weighed, "tare": found.tare},
        movement=movement,
    )
    estimating.settle(
        vessel, entry=entry, happened_at=happened_at, purpose="Difference of rounding"
    )
    return movement
