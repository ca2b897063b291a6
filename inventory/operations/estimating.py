"""The running estimate: events are recorded, read in order, and settled in the ledger.

The ledger's sum for a vessel always equals the estimate's metal, to the microgram:
what a weighing changes is posted as a difference, in the open.
"""

from dataclasses import dataclass
from math import isclose

from inventory.calc import estimate
from inventory.models import (
    End,
    Estimate,
    Event,
    Method,
    Movement,
    MovementKind,
    Vessel,
)

from . import bookings, log
from .errors import OperationError

NUMBERS = (
    "metal_ug",
    "tare_ug",
    "liquid_ug",
    "var_metal",
    "cov_metal_tare",
    "cov_metal_liquid",
    "var_tare",
    "cov_tare_liquid",
    "var_liquid",
)


PARTS = ("metal_ug", "tare_ug", "liquid_ug")


@dataclass(frozen=True, slots=True)
class Trial:
    """What a vessel's history would be with some happenings in it.

    `steps` are those of the happenings; `before` is the state they start from;
    `is_last` is whether nothing happened after them.
    """

    before: estimate.State | None
    steps: list
    is_last: bool

    @property
    def after(self):
        return self.steps[-1].state

    def disagreement(self):
        """Return the Outcome of the first reading that disagrees, if any does."""
        for step in self.steps:
            outcome = step.outcome
            if outcome.verdict in ("check", "investigate") and not outcome.decided:
                return outcome
        return None


def standing(vessel):
    """Return the vessel's events that count, in the order they happened."""
    return since_filling(vessel.events.standing().in_order())


def since_filling(events):
    """Leave out what was recorded of an earlier filling that was corrected since."""
    events = list(events)
    begun = next((event for event in events if event.kind == "start"), None)
    return [event for event in events if begun and event.entry_id >= begun.entry_id]


def refuse_before_filling(vessel, happened_at, field="read_at"):
    """Refuse a moment before there was any metal inside."""
    first = vessel.events.standing().filter(kind="start").first()
    if first and happened_at < first.happened_at:
        raise OperationError(
            f"This is before {vessel} was filled, on "
            f"{log.local_date(first.happened_at):%-d %b %Y}.",
            field,
        )


def run(calc_events):
    """Return the steps of a history that begins with its Start."""
    if not calc_events:
        return []
    return estimate.replay(calc_events[1:], calc_events[0])


def attempt(vessel, happenings, happened_at):
    """Return the Trial of these happenings at that moment. Records nothing."""
    history = standing(vessel)
    earlier = [e.calc() for e in history if e.happened_at <= happened_at]
    later = [e.calc() for e in history if e.happened_at > happened_at]
    new = [happening.event for happening in happenings]
    first = estimate.begin(earlier[0]) if earlier else None
    steps = run(earlier + new + later)
    skipped = max(len(earlier) - 1, 0)
    before = steps[skipped - 1].state if skipped else first
    wanted = len(new) if earlier else len(new) - 1
    return Trial(before, steps[skipped : skipped + wanted], not later)


def record(vessel, happenings, *, entry, happened_at, weighings=None, movement=None):
    """Write the happenings as events. `weighings` are those they name, by name."""
    weighings = weighings or {}
    taken = vessel.events.filter(entry=entry).count()
    Event.objects.bulk_create(
        Event(
            vessel=vessel,
            happened_at=happened_at,
            entry=entry,
            place=taken + place,
            kind=happening.kind,
            facts=happening.facts,
            words=happening.words[:200],
            weighing=weighings.get(happening.reading),
            movement=movement,
        )
        for place, happening in enumerate(happenings)
    )


def settle(vessel, *, entry, happened_at, purpose):
    """Bring estimate and ledger up to date with the events; return the difference.

    What the events make of the metal, less what the ledger says, is posted as a
    movement for all to see; None if they agree to the microgram.
    """
    history = standing(vessel)
    steps = run([event.calc() for event in history])
    write_snapshots(vessel, history, steps)
    believed_ug = believed(history, steps)
    return post_difference(
        vessel, believed_ug, entry=entry, happened_at=happened_at, purpose=purpose
    )


def believed(history, steps):
    """Return the metal in whole µg that a history ends with, never less than none."""
    if not history:
        return 0
    last = steps[-1].state if steps else estimate.begin(history[0].calc())
    return max(round(last.metal_ug), 0)


def snapshots(history, steps):
    """Yield (event, state, outcome) for every event, the Start included."""
    if history:
        yield history[0], estimate.begin(history[0].calc()), None
    for event, step in zip(history[1:], steps, strict=True):
        yield event, step.state, step.outcome


def stored(vessel):
    """Return the newest revision's number and its snapshots."""
    newest = vessel.estimates.order_by("-id").values_list("revision").first()
    if newest is None:
        return 0, []
    return newest[0], list(vessel.estimates.filter(revision=newest[0]).order_by("id"))


def same(snapshot, state, outcome):
    """Return whether a stored snapshot says this, but for the last bits."""
    words = (",".join(state.undecided), verdict_of(outcome))
    kept = [getattr(snapshot, name) for name in NUMBERS]
    kept += [*snapshot.root, *innovation_of(snapshot)]
    found = [getattr(state, name) for name in NUMBERS]
    found += [*state.root, *innovation_of(outcome)]
    return (
        words == (snapshot.undecided, snapshot.verdict)
        and len(kept) == len(found)
        and all(
            isclose(one, other, rel_tol=1e-12, abs_tol=1e-6)
            for one, other in zip(kept, found, strict=True)
        )
    )


def innovation_of(told):
    """Return the innovation and its uncertainty; for what was no reading, zeros."""
    if told is None or told.innovation_ug is None:
        return (0.0, 0.0)
    return (told.innovation_ug, told.u_innovation_ug)


def differing(kept, found):
    """Return the events whose stored snapshot is not what the history gives."""
    found = list(found)
    wrong = [
        event
        for snapshot, (event, state, outcome) in zip(kept, found, strict=False)
        if snapshot.event_id != event.pk or not same(snapshot, state, outcome)
    ]
    missing = [event for event, _, _ in found[len(kept) :]]
    extra = [snapshot.event_id for snapshot in kept[len(found) :]]
    return wrong + missing + extra


def write_snapshots(vessel, history, steps):
    """Append the new snapshots, or write all anew where an earlier one changed."""
    revision, kept = stored(vessel)
    found = list(snapshots(history, steps))
    if len(kept) > len(found) or differing(kept, found[: len(kept)]):
        revision, kept = revision + 1, []
    Estimate.objects.bulk_create(
        Estimate(
            vessel=vessel,
            event=event,
            revision=revision,
            root=list(state.root),
            undecided=",".join(state.undecided),
            innovation_ug=outcome.innovation_ug if outcome else None,
            u_innovation_ug=outcome.u_innovation_ug if outcome else None,
            verdict=verdict_of(outcome),
            **{name: getattr(state, name) for name in NUMBERS},
        )
        for event, state, outcome in found[len(kept) :]
    )


def verdict_of(outcome):
    """Return the verdict to store: none where the reading itself decided a part."""
    if outcome is None or outcome.verdict is None or outcome.decided:
        return ""
    return outcome.verdict


def post_difference(vessel, believed_ug, *, entry, happened_at, purpose):
    """Post what the estimate has over the ledger, or lacks, as one movement."""
    now = Vessel.objects.with_remaining().select_related("batch").get(pk=vessel.pk)
    difference_ug = believed_ug - now.remaining_ug
    if not difference_ug:
        return None
    gain = difference_ug > 0
    if not gain:
        bookings.make_room(now, believed_ug, entry=entry)
    return Movement.objects.create(
        kind=MovementKind.DIFFERENCE,
        method=Method.WEIGHED,
        material_id=now.batch.material_id,
        mass_ug=abs(difference_ug),
        u_ug=0,
        happened_at=happened_at,
        from_end=End.UNACCOUNTED if gain else "",
        from_vessel=None if gain else now,
        to_vessel=now if gain else None,
        to_end="" if gain else End.UNACCOUNTED,
        purpose=purpose,
        entry=entry,
    )
