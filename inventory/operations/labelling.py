"""Labels that were printed, which of them no longer say what is inside, own sheets."""

from dataclasses import dataclass, field

from django.db.models import Exists, Max, OuterRef, Q, Subquery

from inventory.models import (
    Event,
    HazardProfile,
    LabelPrint,
    LogEntry,
    LotProfile,
    MediumHazard,
    Movement,
    MovementKind,
    Vessel,
)

from . import log
from .catalogue import HAZARDS_CHANGED
from .errors import OperationError

MOST_NAMED = 12
# Which vessels a change of what many share concerns: those with that subject.
CONCERNS = {
    HAZARDS_CHANGED[HazardProfile]: "batch__hazard",
    HAZARDS_CHANGED[MediumHazard]: "medium__hazard",
    "laboratory-change": "",
}


@dataclass(frozen=True, slots=True)
class Printed:
    """One vessel's label as it came out.

    `content_key` is of all that it says; `said` keeps in words what may change.
    """

    vessel: Vessel
    content_key: str
    said: dict = field(default_factory=dict)


@log.operation
def record(printed, *, format, sheet, mode, languages, extras="", reason="", by, request_id):  # fmt: skip
    """Record that these labels were printed, in one job; return the LabelPrints.

    Whoever prints a label again says why: `reason` is noted with each vessel that had
    one already.
    """
    assert printed
    if earlier := log.repeated(request_id):
        return list(earlier.label_prints.all())
    vessels = [each.vessel for each in printed]
    had_one = before(vessels)
    again = [vessel for vessel in vessels if vessel.pk in had_one]
    if again and not reason:
        raise OperationError(
            f"{named(again)} had a label before: say why it is printed again.", "reason"
        )
    alone = vessels[0] if len(vessels) == 1 else None
    entry = log.write(
        "label-print",
        f"Printed {labels_of(vessels)}" + (f": {reason}" if again else ""),
        by=by,
        request_id=request_id,
        vessel=alone,
    )
    return LabelPrint.objects.bulk_create(
        LabelPrint(
            vessel=each.vessel,
            format=format,
            sheet=sheet,
            mode=mode,
            languages=languages,
            extras=extras,
            reason=reason if each.vessel.pk in had_one else "",
            content_key=each.content_key,
            said=each.said,
            entry=entry,
        )
        for each in printed
    )


@log.operation
def record_others(what, names, *, by, request_id):
    """Record that labels of boxes or places were printed; return the log's entry."""
    if earlier := log.repeated(request_id):
        return earlier
    summary = f"Printed {len(names)} × {what.lower()}: {named(names)}"
    return log.write("label-print", summary, by=by, request_id=request_id)


def before(vessels):
    """Return the keys of those that had a label printed already."""
    keys = [vessel.pk for vessel in vessels]
    rows = LabelPrint.objects.filter(vessel__in=keys).order_by()
    return set(rows.values_list("vessel", flat=True).distinct())


def labels_of(vessels):
    if len(vessels) == 1:
        return f"the label of {vessels[0]}"
    return f"{len(vessels)} labels: {named(vessels)}"


def named(vessels):
    """Return the first few codes, and how many more there are."""
    shown = ", ".join(map(str, vessels[:MOST_NAMED]))
    more = len(vessels) - MOST_NAMED
    return f"{shown} and {more} more" if more > 0 else shown


def newest(vessels):
    """Return {vessel key: its newest LabelPrint, with the entry and who}."""
    keys = [vessel.pk for vessel in vessels]
    last = LabelPrint.objects.filter(vessel=OuterRef("vessel")).order_by("-id")
    rows = LabelPrint.objects.filter(
        vessel__in=keys, pk=Subquery(last.values("pk")[:1])
    )
    return {row.vessel_id: row for row in rows.select_related("entry__by")}


def with_label_state(vessels):
    """Annotate `label_entry`, the newest print's log entry, and `label_changed`.

    `label_changed` goes by the log: something was recorded since that a label says.
    Reading the label's whole content again may still find it says the same.
    """
    last = LabelPrint.objects.filter(vessel=OuterRef("pk")).order_by("-id")
    return vessels.annotate(label_entry=Subquery(last.values("entry")[:1])).annotate(
        label_changed=changed_since()
    )


def changed_since():
    """Return the condition that an entry after `label_entry` changes a label.

    What concerns many vessels at once is asked for here, so that nothing searches the
    whole log for each vessel.
    """
    since = {"entry__gt": OuterRef("label_entry")}
    moved = Q(from_vessel=OuterRef("pk")) | Q(to_vessel=OuterRef("pk"))
    movements = Movement.objects.filter(moved, **since)
    # A reading that agrees only moves the estimate within its uncertainty.
    events = Event.objects.filter(vessel=OuterRef("pk"), **since).exclude(
        kind="observe", weighing__cause=""
    )
    lots = LotProfile.objects.filter(batch=OuterRef("batch"), **since)
    batches = LogEntry.objects.filter(
        verb="batch-change", batch=OuterRef("batch"), pk__gt=OuterRef("label_entry")
    )
    found = (
        Exists(movements.exclude(kind=MovementKind.DIFFERENCE))
        | Exists(events)
        | Exists(lots)
        | Exists(batches)
    )
    for verb, subject, entry in newest_of_many():
        concerns = {CONCERNS[verb]: subject} if CONCERNS[verb] else {}
        found |= Q(label_entry__lt=entry, **concerns)
    return found


def newest_of_many():
    """Return (verb, subject, newest entry) of what changes the labels of many."""
    rows = LogEntry.objects.filter(verb__in=CONCERNS).order_by()
    return rows.values_list("verb", "subject_id").annotate(newest=Max("pk"))


def changed(vessels):
    """Return the keys of those whose newest label was overtaken, by the log."""
    rows = Vessel.objects.filter(pk__in=[vessel.pk for vessel in vessels])
    found = with_label_state(rows).filter(label_changed=True)
    return set(found.values_list("pk", flat=True))


def out_of_date(vessels):
    """Return those that hold metal under a label that was overtaken, or under none."""
    found = with_label_state(vessels.in_stock())
    return found.filter(Q(label_entry=None) | Q(label_changed=True))
