"""Weighing a vessel again: does it still hold what the record says?"""

from django.db.models import F, FloatField, OuterRef, Subquery
from django.db.models.functions import Abs

from inventory.calc import density, estimate, events
from inventory.calc.units import show_mass, show_volume
from inventory.models import Cause, Estimate, Vessel, Weighing, WeighingPurpose

from . import custody, estimating, ledger, log, observing, readings, vessels
from .errors import Disagrees, OperationError

FEW = 5
# µg²: a tare known to better than a gram was weighed, one way or another.
WEIGHED_VAR = 1e12


def work_out(vessel, seen, cause=""):
    """Return (trial, happenings) of a check weighing. Records nothing.

    A `cause` lets the part that changed go, before the reading is taken in.
    """
    if not vessel.filled_on:
        raise OperationError(f"{vessel} has not been filled yet: tare it instead.")
    if vessel.retired_on:
        raise OperationError(f"{vessel} is retired.")
    custody.refuse_elsewhere(vessel)
    glass = observing.glass_of(vessel, readings.Facts.read())
    happenings = [*letting_go(vessel, cause)]
    happenings.append(
        observing.observe(
            seen,
            glass,
            metal_ug=vessel.remaining_ug,
            liquid_ug=vessel.liquid_ug,
            words="Weighed again",
            reading="check",
        )
    )
    happenings += doubt(vessel, happenings, cause, seen.read_at)
    trial = estimating.attempt(vessel, happenings, seen.read_at)
    if trial.is_last and seen.gas != vessel.gas:
        raise OperationError(
            f"By the record, {vessel.gas.name} is inside {vessel}. Record the change "
            "of the gas first: it weighs, too.",
            "gas",
        )
    return trial, happenings


def doubt(vessel, happenings, cause, read_at):
    """Return the doubt that stays when nobody knows why a reading did not fit.

    Two readings that contradict each other must not look surer together than each
    alone: the metal is taken as uncertain by half of D, so that k = 2 covers it.
    """
    if cause != Cause.UNKNOWN:
        return []
    outcome = estimating.attempt(vessel, happenings, read_at).steps[-1].outcome
    event = events.Change(u_metal_ug=abs(outcome.innovation_ug) / 2)
    return [observing.Happening(event, "Not explained: the doubt stays", "check")]


def letting_go(vessel, cause):
    """Return the happening that frees the part a person holds responsible."""
    room_ug = float(vessel.capacity_ul * 1000 * 10)
    freed = {
        Cause.METAL: events.Unknown(metal_low_ug=-room_ug, metal_high_ug=room_ug),
        Cause.LIQUID: events.Unknown(liquid_low_ug=-room_ug, liquid_high_ug=room_ug),
        Cause.TARE: events.Unknown(tare_low_ug=-room_ug, tare_high_ug=room_ug),
    }.get(cause)
    return [observing.Happening(freed, Cause(cause).label, "check")] if freed else []


@log.operation
def check(vessel, seen, *, cause="", reason="", by, request_id):
    """Record a check weighing and return it.

    A reading that disagrees by more than 2 u(D) is refused with Disagrees, unless
    a person says what it shows (`cause`) and why they think so (`reason`). What it
    changes is posted as a difference in the ledger.
    """
    log.lock(Vessel.objects.all(), vessel.pk)
    if earlier := log.repeated(request_id):
        return earlier.weighings.get()
    vessel = ledger.read(vessel.pk)
    log.refuse_future(seen.read_at, "read_at")
    estimating.refuse_before_filling(vessel, seen.read_at)
    trial, happenings = work_out(vessel, seen)
    outcome = trial.disagreement()
    if outcome and not (cause and reason):
        raise disagrees(vessel, seen, trial, outcome)
    if outcome:
        trial, happenings = work_out(vessel, seen, cause)
    else:
        cause = ""
    refuse_nonsense(vessel, trial.after, cause)
    entry = log.write(
        "check",
        f"Weighed {vessel} again" + (f": {reason}" if outcome else ": it agrees"),
        by=by,
        request_id=request_id,
        vessel=vessel,
    )
    weighing = vessels.weigh(vessel, WeighingPurpose.CHECK, seen, entry, cause=cause)
    estimating.record(
        vessel,
        happenings,
        entry=entry,
        happened_at=seen.read_at,
        weighings={"check": weighing},
    )
    settle(vessel, entry, seen.read_at, reason if outcome else "It agrees")
    return weighing


def refuse_nonsense(vessel, state, cause):
    """Refuse a cause that leaves less than nothing, or more than fits in the vessel."""
    if cause == Cause.LIQUID and not (vessel.medium.is_liquid or vessel.liquid_ug):
        raise OperationError(f"There is no liquid medium in {vessel}.", "cause")
    for name, part_ug, u_ug in (
        ("metal", state.metal_ug, state.u_metal_ug),
        ("liquid medium", state.liquid_ug, state.u_liquid_ug),
        ("glass", state.tare_ug, state.u_tare_ug),
    ):
        if part_ug < -3 * max(u_ug, 1.0):
            raise OperationError(
                f"That would leave {show_mass(part_ug)} of {name}: it cannot be so.",
                "cause",
            )
    facts = readings.Facts.read().material(vessel.batch.material)
    volume_ul = density.volume_ul(state.metal_ug, facts, 20.0)
    if volume_ul.n > vessel.capacity_ul * 1.05:
        raise OperationError(
            f"That would make {show_volume(volume_ul.n)} of metal in a vessel of "
            f"{show_volume(vessel.capacity_ul)}: it cannot be so.",
            "cause",
        )


def settle(vessel, entry, happened_at, purpose):
    estimating.settle(vessel, entry=entry, happened_at=happened_at, purpose=purpose)
    now = Vessel.objects.with_remaining().get(pk=vessel.pk)
    if now.remaining_ug:
        now.spent_on = now.retired_on = None
    elif now.filled_on and now.spent_on is None:
        now.spent_on = log.local_date(happened_at)
    now.save(update_fields=["spent_on", "retired_on"])


def disagrees(vessel, seen, trial, outcome):
    """Return the refusal of a reading that does not fit, with what may explain it."""
    size = show_mass(abs(outcome.innovation_ug))
    side = "more" if outcome.innovation_ug > 0 else "less"
    advice = (
        "Look into it before the metal is used."
        if outcome.verdict == "investigate"
        else "Check it."
    )
    return Disagrees(
        f"{vessel} reads {size} {side} than the record expects; the uncertainty of "
        f"that is {show_mass(outcome.u_innovation_ug)}, so it is "
        f"{outcome.ratio:.1f} u. {advice} Weigh again, or say below what happened.",
        outcome=outcome,
        fits=others_that_fit(vessel, trial.steps[-1].event),
        causes=likely_causes(vessel, outcome),
        field="reading",
    )


def likely_causes(vessel, outcome):
    """Return, in sentences, what this vessel's history makes likely."""
    gain = outcome.innovation_ug > 0
    causes = []
    if vessel.medium.is_liquid:
        causes.append("Liquid medium was carried out with metal, or some was added.")
    if gain and vessel.gas.key != "air":
        causes.append(
            "Air got in: what the metal takes up "
            "of it stays. Look at the seal and at the colour."
        )
    if not gain and vessel.gas.kind == "gas":
        causes.append("The gas inside was pumped off or is another one.")
    if not gain:
        causes.append("Metal was taken and not recorded.")
    causes.append("It was weighed with another stopper, cap or clip than its tare.")
    causes.append("It is another vessel: compare the code on the glass.")
    causes.append("The balance: level, draught, static charge, calibration.")
    return causes


def others_that_fit(vessel, observe):
    """Return other vessels at the same place whose record this reading fits."""
    newest = Estimate.objects.filter(vessel=OuterRef("pk")).order_by("-id")
    f, g = observe.metal_factor, observe.liquid_factor
    near = (
        Vessel.objects.in_stock()
        .filter(place=vessel.place)
        .exclude(pk=vessel.pk)
        .annotate(
            **{
                name: Subquery(newest.values(name)[:1], output_field=FloatField())
                for name in ("tare_ug", "metal_ug", "liquid_ug", "var_tare")
            }
        )
        # A vessel whose glass was never weighed would fit any reading.
        .filter(var_tare__lt=WEIGHED_VAR)
        .annotate(
            off=Abs(
                F("tare_ug") + f * F("metal_ug") + g * F("liquid_ug") - observe.z_ug
            )
        )
        .order_by("off")
    )
    fits = []
    for other in near[: 2 * FEW]:
        _, snapshots = estimating.stored(other)
        d, u_d = estimate.innovation(state_of(snapshots[-1]), observe)
        if estimate.verdict_on(d, u_d) == "quiet":
            fits.append(other)
    return fits[:FEW]


def state_of(snapshot):
    """Return the calculation's State of a stored snapshot."""
    return estimate.State(
        *(getattr(snapshot, part) for part in estimating.PARTS),
        root=tuple(snapshot.root),
        undecided=tuple(filter(None, snapshot.undecided.split(","))),
    )


def proves_a_movement(weighing):
    """Return whether the ledger stands on this reading: a tare on which all stands."""
    return (
        weighing.purpose == WeighingPurpose.TARE
        or weighing.events.filter(movement__isnull=False).exists()
    )


@log.operation
def strike(weighing, *, reason, by, request_id):
    """Take a weighing back, and return the weighing that says so.

    It stays visible, struck through; the history is read again without it. A
    weighing that proves a movement goes with the correction of that movement; one
    beside a change of the medium proves none.
    """
    log.lock(Vessel.objects.all(), weighing.vessel_id)
    if earlier := log.repeated(request_id):
        return earlier.weighings.get()
    # What left the house was written down with this reading.
    custody.refuse_elsewhere(Vessel.objects.get(pk=weighing.vessel_id))
    if proves_a_movement(weighing):
        raise OperationError(
            "This reading proves a movement: correct the movement instead."
        )
    if weighing.strikes_id or Weighing.objects.filter(strikes=weighing).exists():
        raise OperationError("This weighing is struck out already.")
    vessel = ledger.read(weighing.vessel_id)
    entry = log.write(
        "strike",
        f"Struck out the weighing of {vessel} on "
        f"{log.local_date(weighing.read_at):%-d %b %Y}: {reason}",
        by=by,
        request_id=request_id,
        vessel=vessel,
    )
    copied = {
        name: getattr(weighing, name)
        for name in vessels.Observation.__dataclass_fields__
        if name != "note"
    }
    striking = Weighing.objects.create(
        vessel=vessel,
        purpose=WeighingPurpose.CHECK,
        entry=entry,
        strikes=weighing,
        note=reason,
        **copied,
    )
    settle(vessel, entry, weighing.read_at, f"Weighing struck out: {reason}")
    return striking
