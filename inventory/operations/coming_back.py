"""What a vessel that comes back shows of its use. Records nothing."""

from dataclasses import dataclass, field

from inventory.calc.units import show_mass
from inventory.models import Cause, Method

from . import checking, estimating, observing, readings, taking, vessels
from .errors import Disagrees, OperationError

# A reading this many u above what can be inside is no doubt of the balance.
IMPOSSIBLE = 3


@dataclass(frozen=True, slots=True)
class Empty:
    """The vessel came back without metal: the partner used all that was in it."""

    happened_at: object


@dataclass(frozen=True, slots=True)
class Weighed:
    """The vessel came back and was weighed, opened or with its seal as it was.

    `seen` names the gas that is inside now; with `gas_is_unknown` it is the one on
    record. `liquid` is what went in or out with the metal.
    """

    seen: vessels.Observation
    opened: bool = True
    liquid: taking.Liquid = taking.NO_LIQUID
    gas_is_unknown: bool = False

    @property
    def happened_at(self):
        return self.seen.read_at


@dataclass(frozen=True, slots=True)
class Found:
    """What happened to the vessel, and what of the metal was used, if any was.

    `apart` holds whatever the use was: another gas inside. `cause` is what the
    reading shows where no use explains it.
    """

    happenings: list
    used: taking.Taken | None = None
    apart: list = field(default_factory=list)
    cause: str = ""
    purpose: str = "Difference of rounding"


def emptied(vessel):
    """Return the Found of a vessel without metal: all that was left was used."""
    whole = taking.all_of_it(vessel, None)
    return Found(whole.happenings, used=whole if whole.mass_ug else None)


def weighed(line, vessel, how, reported_ug):
    """Return the Found of a vessel that was weighed, or refuse.

    What is missing by the reading was used, as surely as the reading fits the record
    u(D). More than the record is only less than was reported: that difference is
    posted. A vessel with its seal as it was gives nothing away: its reading has to
    agree.
    """
    glass = observing.glass_of(vessel, readings.Facts.read())
    gas = changed_gas(vessel, how, glass)
    liquid = taking.with_liquid(vessel, how.liquid)
    seen = observing.observe(
        how.seen,
        glass,
        metal_ug=vessel.remaining_ug,
        liquid_ug=vessel.liquid_ug,
        words="Weighed after the return",
        reading="check",
    )
    plain = estimating.attempt(vessel, [*gas, *liquid, seen], how.happened_at)
    outcome = plain.steps[-1].outcome
    as_read = Found(
        [*liquid, seen],
        apart=gas,
        purpose="Weighed after the return: nothing is missing",
    )
    if not how.opened and not reported_ug:
        refuse_missing(vessel, outcome)
        return as_read
    u_reading_ug = without_reports(line, vessel, outcome.u_innovation_ug)
    if 2 * u_reading_ug > line.mass_ug:
        refuse_unknown_glass(vessel, reported_ug)
        return as_read
    factor = seen.event.metal_factor
    refuse_surplus(vessel, outcome, factor * reported_ug, u_reading_ug)
    if not reported_ug and outcome.innovation_ug >= 0:
        return as_read
    freed = checking.letting_go(vessel, Cause.METAL)
    decided = [*freed, *liquid, seen]
    trial = estimating.attempt(vessel, [*gas, *decided], how.happened_at)
    left_ug = taking.none_or_more(trial.after)
    refuse_less_than_glass(vessel, left_ug)
    used_ug = vessel.remaining_ug - left_ug
    contradicted = f"Weighed after the return; reported was {show_mass(reported_ug)}"
    purpose = contradicted if reported_ug else "Difference of rounding"
    if used_ug <= 0:
        return Found(decided, apart=gas, cause=Cause.METAL, purpose=purpose)
    u_ug = round(outcome.u_innovation_ug / factor)
    used = taking.Taken(used_ug, u_ug, Method.WEIGHED)
    return Found(decided, used=used, apart=gas, purpose=purpose)


def changed_gas(vessel, how, glass):
    """Return the happening of another gas inside than on record, as a list."""
    if not how.gas_is_unknown and how.seen.gas == vessel.gas:
        return []
    new = None if how.gas_is_unknown else how.seen.gas
    around = readings.conditions(how.seen)
    return [observing.gas_change(vessel.gas, new, glass, around)]


def without_reports(line, vessel, u_ug):
    """Return u(D) less the doubt of what was reported, which the reading ends.

    Once all of it was reported as used, the record is sure that nothing is left.
    """
    reports = line.returns.filter(movement__corrected_by=None, kind="reported")
    doubt = sum(u**2 for u in reports.values_list("u_ug", flat=True))
    return max(u_ug**2 - min(doubt, vessel.u2_ug2), 0.0) ** 0.5


def refuse_missing(vessel, outcome):
    """Refuse a reading that does not fit a vessel nobody opened."""
    if outcome.verdict != "quiet":
        raise Disagrees(
            f"{vessel} reads {show_mass(abs(outcome.innovation_ug))} "
            f"{'more' if outcome.innovation_ug > 0 else 'less'} than the record "
            f"expects, {outcome.ratio:.1f} times the uncertainty of that. If it was "
            "opened, say so below; if not, weigh it again.",
            outcome=outcome,
            field="reading",
        )


def refuse_unknown_glass(vessel, reported_ug):
    """Refuse to find a use from a glass whose weight nobody knows."""
    if not reported_ug:
        raise OperationError(
            f"The glass of {vessel} was never weighed without metal, nor before it "
            "left: this reading cannot tell what was used. First record what the "
            "partner reports as used.",
            "reading",
        )


def refuse_surplus(vessel, outcome, reported_ug, u_reading_ug):
    """Refuse more metal than left the house: it cannot be so."""
    surplus_ug = outcome.innovation_ug - reported_ug
    if surplus_ug > IMPOSSIBLE * u_reading_ug:
        raise Disagrees(
            f"{vessel} reads {show_mass(surplus_ug)} more than when it left, "
            f"{surplus_ug / u_reading_ug:.1f} times the uncertainty of that. Look at "
            "the closure and weigh again. If another gas is inside, or liquid went "
            "in, say so below.",
            outcome=outcome,
            field="reading",
        )


def refuse_less_than_glass(vessel, left_ug):
    if left_ug < 0:
        raise OperationError(
            f"By this reading {show_mass(-left_ug)} more than all of the metal would "
            f"be gone from {vessel}. Is its closure complete? Is it the right vessel?",
            "reading",
        )
