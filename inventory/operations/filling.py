"""Filling a tared vessel from a batch: what the readings mean, and what is refused."""

from dataclasses import dataclass, field

from inventory.calc import density, weighing
from inventory.calc.filling import Headspace
from inventory.calc.units import show_mass
from inventory.models import (
    Batch,
    Medium,
    MediumKind,
    MediumRule,
    Method,
    Movement,
    MovementKind,
    Place,
    Vessel,
    WeighingPurpose,
)

from . import log, readings, vessels
from .errors import OperationError


@dataclass(frozen=True, slots=True)
class Filling:
    """What was put into a vessel. Exactly one of `gross` and `stated_ug` is given.

    `stated_ug` is a mass that is known otherwise, as on a supplier's ampoule, with
    its standard uncertainty.
    """

    batch: Batch
    medium: Medium
    gas: Medium
    closure: str
    place: Place | None = None
    gross: vessels.Observation | None = None
    stated_ug: int | None = None
    u_stated_ug: int = 0
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
    net = tare = None
    if filling.gross:
        net, tare = by_weight(vessel, filling, facts)
        mass_ug, u_ug = round(net.mass.n), round(net.mass.s)
        cautions += too_little_to_weigh(mass_ug, filling.gross.balance)
    else:
        mass_ug, u_ug = filling.stated_ug, filling.u_stated_ug
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
        liquid_ug=filling.gross.liquid_ug if filling.gross else 0,
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
        tare=tare,
        cautions=cautions,
    )


def by_weight(vessel, filling, facts):
    """Return the net mass from the newest tare and the gross, and that tare."""
    tare = vessel.weighings.filter(purpose=WeighingPurpose.TARE).last()
    if tare is None:
        raise OperationError(
            f"{vessel} was never tared, so its weight says nothing about the metal. "
            "State the mass instead.",
            "gross",
        )
    vessels.refuse_reading(filling.gross, "gross")
    if filling.gross.read_at < tare.read_at:
        raise OperationError(
            f"The tare was read on {tare.read_at:%-d %b %Y at %H:%M} UTC, after this.",
            "read_at",
        )
    try:
        net = readings.net(
            tare,
            filling.gross,
            vessel=vessel,
            material=filling.batch.material,
            medium=filling.medium,
            facts=facts,
        )
    except weighing.GrossLighterThanTare as error:
        raise OperationError(str(error), "gross") from error
    return net, tare


def too_little_to_weigh(mass_ug, balance):
    """Return a caution when the net mass is below what the balance can weigh well."""
    least_ug = weighing.smallest_net_weight_ug(balance.facts())
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
    cautions = []
    # Where they are one and the same, the medium is what was chosen on the form.
    for medium, field_name in {
        filling.gas: "gas",
        filling.medium: "medium",
    }.items():
        rule = MediumRule.objects.filter(
            material=filling.batch.material, medium=medium
        ).first()
        if rule is None or rule.verdict == "fine":
            continue
        if rule.verdict == "never":
            raise OperationError(rule.reason, field_name)
        if rule.verdict == "avoid" and not filling.accept_medium:
            raise OperationError(
                f"{rule.reason} Tick “go ahead all the same” if you have decided so.",
                field_name,
            )
        cautions.append(rule.reason)
    return cautions


@log.operation
def fill(vessel, filling, *, happened_at, by, request_id):
    """Record that `vessel` was filled, and return the movement.

    Locks the batch, whose next number a vessel without one takes, then the vessel.
    """
    batch = log.lock(Batch.objects.select_related("material"), filling.batch.pk)
    log.lock(Vessel.objects.all(), vessel.pk)
    if earlier := log.repeated(request_id):
        return earlier.movements.first()
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


def put_in(vessel, filling, found, entry, happened_at):
    """Write the vessel's new state, the gross reading and the movement."""
    vessel.medium, vessel.gas = filling.medium, filling.gas
    vessel.closure = filling.closure
    vessel.place = filling.place or vessel.place
    vessel.filled_on = log.local_date(happened_at)
    vessel.save()
    gross = None
    if filling.gross:
        gross = vessels.weigh(vessel, WeighingPurpose.GROSS, filling.gross, entry)
    return Movement.objects.create(
        kind=MovementKind.FILL,
        method=Method.WEIGHED if gross else Method.STATED,
        material=filling.batch.material,
        mass_ug=found.mass_ug,
        u_ug=found.u_ug,
        happened_at=happened_at,
        from_batch=filling.batch,
        to_vessel=vessel,
        light=found.tare,
        heavy=gross,
        entry=entry,
    )
