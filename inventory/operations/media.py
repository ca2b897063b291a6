"""The medium around the metal: added, drained or exchanged, weighed or not."""

from dataclasses import dataclass, replace

from inventory.calc import events
from inventory.calc.units import show_mass
from inventory.models import (
    Medium,
    Vessel,
    WeighingPurpose,
)

from . import (
    checking,
    custody,
    estimating,
    ledger,
    log,
    observing,
    readings,
    rules,
    vessels,
)
from .errors import Disagrees, OperationError
from .taking import NO_LIQUID, Liquid


@dataclass(frozen=True, slots=True)
class Exchange:
    """What surrounds the metal afterwards, and what was weighed or measured.

    `liquid` is the change of the liquid medium inside; with a reading `after` and
    an unknown amount, the reading decides it. `way` bounds an amount that nobody
    knows: 1 was put in, -1 was drained, 0 is either.
    """

    medium: Medium
    gas: Medium
    liquid: Liquid = NO_LIQUID
    way: int = 0
    before: vessels.Observation | None = None
    after: vessels.Observation | None = None
    accept_medium: bool = False


def refuse_mixture(vessel, exchange):
    """Refuse one liquid on top of another: what is left of the first has no number.

    And refuse a gas in its stead while it is inside, or a liquid never put in.
    """
    old, new, liquid = vessel.medium, exchange.medium, exchange.liquid
    if old == new:
        return
    drained = liquid.is_unknown or liquid.change_ug <= -vessel.liquid_ug * 0.9
    still_inside = old.is_liquid and vessel.liquid_ug > 0 and not drained
    if new.is_liquid and old.is_liquid and vessel.liquid_ug > 0:
        if still_inside or liquid.is_unknown:
            raise OperationError(
                f"There is {old.name} inside. Two liquids do not keep a known density: "
                f"drain it first, then put in the {new.name}.",
                "medium",
            )
    elif still_inside:
        raise OperationError(
            f"There is {old.name} inside: say how it was drained.", "way"
        )
    elif new.is_liquid and not (liquid.is_unknown or liquid.change_ug > 0):
        raise OperationError(f"Say how much {new.name} was put in.", "way")


def happenings_of(vessel, exchange, inside_ug):
    """Return what the exchange does to the estimate, in order.

    `inside_ug` is roughly the liquid that is inside afterwards.
    """
    facts = readings.Facts.read()
    old = observing.glass_of(vessel, facts)
    new = replace(old, medium=exchange.medium)
    found = []
    if exchange.before:
        found.append(
            observing.observe(
                exchange.before,
                old,
                metal_ug=vessel.remaining_ug,
                liquid_ug=vessel.liquid_ug,
                words="Weighed before the medium was changed",
                reading="before",
            )
        )
    found += liquid_happenings(vessel, exchange)
    if exchange.gas != vessel.gas:
        around = readings.conditions(exchange.after or exchange.before or NOT_NOTED)
        found.append(observing.gas_change(vessel.gas, exchange.gas, new, around))
    if exchange.after:
        found.append(
            observing.observe(
                exchange.after,
                new,
                metal_ug=vessel.remaining_ug,
                liquid_ug=max(inside_ug, 0),
                words="Weighed after the medium was changed",
                reading="after",
            )
        )
    return found


@dataclass(frozen=True)
class _NotNoted:
    """Conditions that nobody noted."""

    air_temperature_c: None = None
    air_pressure_pa: None = None
    air_humidity: None = None


NOT_NOTED = _NotNoted()


def liquid_happenings(vessel, exchange):
    liquid = exchange.liquid
    if liquid.is_unknown:
        inside_ug, room_ug = max(float(vessel.liquid_ug), 0.0), vessel.capacity_ul * 1e3
        event = events.Unknown(
            liquid_low_ug=0.0 if exchange.way > 0 else -inside_ug,
            liquid_high_ug=0.0 if exchange.way < 0 else room_ug,
        )
        return [observing.Happening(event, "Liquid medium changed, amount unknown")]
    if liquid.change_ug or liquid.u_ug:
        word = "put in" if liquid.change_ug > 0 else "taken out"
        words = f"Liquid medium {word}"
        return [observing.liquid_change(liquid.change_ug, liquid.u_ug, words)]
    return []


def refuse_disagreement(vessel, happenings, trial):
    """Refuse a reading, before or after, that disagrees with the record."""
    for happening, step in zip(happenings, trial.steps, strict=True):
        outcome = step.outcome
        if outcome.decided or outcome.verdict not in ("check", "investigate"):
            continue
        advice = (
            "Record it as a check weighing first, and decide what happened."
            if happening.reading == "before"
            else "Weigh it again, or say that nobody knows how much went in or out."
        )
        raise Disagrees(
            f"{happening.words}, {vessel} reads "
            f"{show_mass(abs(outcome.innovation_ug))} "
            f"{'more' if outcome.innovation_ug > 0 else 'less'} than the record "
            f"expects, {outcome.ratio:.1f} times the uncertainty of that. {advice}",
            outcome=outcome,
            field=happening.reading,
        )


def refuse_too_little_or_much(vessel, exchange, trial):
    """Refuse to drain more than was inside, or to put in more than has room."""
    after, field = trial.after, "after" if exchange.after else "amount"
    if after.liquid_ug < -3 * max(after.u_liquid_ug, 1.0):
        raise OperationError(
            f"{show_mass(max(vessel.liquid_ug, 0))} of liquid is inside {vessel} by "
            "the record: so much cannot have come out.",
            field,
        )
    if "liquid" in after.undecided or after.liquid_ug <= vessel.liquid_ug:
        return
    room = readings.headspace(
        vessel,
        vessel.remaining_ug,
        material=vessel.batch.material,
        medium=exchange.medium,
        liquid_ug=after.liquid_ug,
        place=vessel.place,
        facts=readings.Facts.read(),
    )
    if room.verdict == "refuse":
        raise OperationError(room.sentence, field)


@log.operation
def exchange(vessel, what, *, note="", happened_at, by, request_id):
    """Record that the medium was added, drained or exchanged; return the vessel."""
    log.lock(Vessel.objects.all(), vessel.pk)
    if log.repeated(request_id):
        return ledger.read(vessel.pk)
    vessel = ledger.read(vessel.pk)
    log.refuse_future(happened_at, "happened_at")
    for seen in filter(None, (what.before, what.after)):
        log.refuse_future(seen.read_at, "read_at")
    if not vessel.filled_on or vessel.retired_on:
        raise OperationError(f"{vessel} holds no metal to keep in anything.")
    custody.refuse_elsewhere(vessel)
    if what.gas.is_liquid:
        raise OperationError("The gas above cannot be a liquid.", "gas")
    estimating.refuse_before_filling(vessel, happened_at)
    rules.refuse(
        vessel.batch.material,
        {"medium": what.medium, "gas": what.gas},
        accepted=what.accept_medium,
    )
    refuse_mixture(vessel, what)
    inside_ug = vessel.liquid_ug + what.liquid.change_ug
    happenings = happenings_of(vessel, what, inside_ug)
    if happenings:
        trial = estimating.attempt(vessel, happenings, happened_at)
        if what.after and what.liquid.is_unknown:
            # How sure a reading is hangs on how much there is, which it has just told.
            happenings = happenings_of(vessel, what, trial.after.liquid_ug)
            trial = estimating.attempt(vessel, happenings, happened_at)
        refuse_disagreement(vessel, happenings, trial)
        refuse_too_little_or_much(vessel, what, trial)
    entry = log.write(
        "medium",
        f"{vessel} is now kept in {what.medium.name}"
        + (f", {what.gas.name} above" if what.gas != what.medium else "")
        + (f": {note}" if note else ""),
        by=by,
        request_id=request_id,
        vessel=vessel,
    )
    purposes = {"before": WeighingPurpose.BEFORE, "after": WeighingPurpose.AFTER}
    weighings = {
        name: vessels.weigh(vessel, purpose, getattr(what, name), entry)
        for name, purpose in purposes.items()
        if getattr(what, name)
    }
    estimating.record(
        vessel, happenings, entry=entry, happened_at=happened_at, weighings=weighings
    )
    vessel.medium, vessel.gas = what.medium, what.gas
    vessel.save(update_fields=["medium", "gas"])
    if happenings:
        checking.settle(vessel, entry, happened_at, "Weighed when the medium changed")
    return vessel
