"""Reading every history again, to see that nothing stored has drifted or been damaged."""

from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter

from inventory.models import Estimate, Event, Vessel

from . import estimating

CHUNK = 500


@dataclass(frozen=True, slots=True)
class Finding:
    """A vessel whose stored estimate or ledger is not what its events give."""

    vessel: str
    what: str


def total():
    """Return how many vessels there are to read."""
    return Vessel.objects.filter(filled_on__isnull=False).count()


def audit():
    """Yield (vessels read so far, findings) chunk by chunk, in flat memory."""
    done, last_pk = 0, 0
    while True:
        chunk = list(
            Vessel.objects.filter(pk__gt=last_pk, filled_on__isnull=False)
            .with_remaining()
            .order_by("pk")[:CHUNK]
        )
        if not chunk:
            return
        done, last_pk = done + len(chunk), chunk[-1].pk
        yield done, read_again(chunk)


def read_again(vessels):
    """Return what is wrong with these vessels, in a few queries for all of them."""
    keys = [vessel.pk for vessel in vessels]
    events = by_vessel(
        Event.objects.standing()
        .filter(vessel__in=keys)
        .order_by("vessel_id", "happened_at", "entry_id", "place")
    )
    kept = by_vessel(
        Estimate.objects.filter(vessel__in=keys).order_by("vessel_id", "id")
    )
    findings = []
    for vessel in vessels:
        history = estimating.since_filling(events.get(vessel.pk, []))
        snapshots = newest_revision(kept.get(vessel.pk, []))
        findings += check(vessel, history, snapshots)
    return findings


def by_vessel(rows):
    return {pk: list(group) for pk, group in groupby(rows, attrgetter("vessel_id"))}


def newest_revision(snapshots):
    if not snapshots:
        return []
    return [row for row in snapshots if row.revision == snapshots[-1].revision]


def check(vessel, history, kept):
    """Return the findings about one vessel."""
    if not history:
        return [Finding(str(vessel), "it is filled, but no event says how")]
    steps = estimating.run([event.calc() for event in history])
    wrong = estimating.differing(kept, estimating.snapshots(history, steps))
    findings = []
    if wrong:
        findings.append(
            Finding(
                str(vessel),
                f"stored estimates that are not what its events give: {len(wrong)}",
            )
        )
    believed_ug = estimating.believed(history, steps)
    if believed_ug != vessel.remaining_ug:
        findings.append(
            Finding(
                str(vessel),
                f"the ledger says {vessel.remaining_ug} µg, its events {believed_ug} µg",
            )
        )
    return findings
