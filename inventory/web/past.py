"""The running estimate of a vessel, step by step, for its table and its drawing."""

from inventory.models import Cause, Estimate

from .charts import Point

MOST_ROWS = 100
# What a movement of each kind is in the drawing.
MOVED = {
    "fill": "fill",
    "withdrawal": "withdrawal",
    "destruction": "withdrawal",
    "transfer": "transfer",
}


def of_vessel(vessel):
    """Return the newest revision's snapshots with their events, oldest first."""
    newest = vessel.estimates.order_by("-id").values_list("revision").first()
    if newest is None:
        return []
    rows = Estimate.objects.filter(vessel=vessel, revision=newest[0])
    together = rows.select_related("event__movement", "event__weighing")
    return list(together.order_by("id"))


def known(snapshots):
    """Leave out the moments at which a part was let go and not yet found again."""
    return [row for row in snapshots if not row.undecided]


def rows(snapshots):
    """Return the newest lines of the table of estimates, oldest first."""
    return [
        {
            "at": row.event.happened_at,
            "words": row.event.words,
            "cause": cause_of(row),
            "metal_ug": max(row.metal_ug, 0.0),
            "u_ug": row.var_metal**0.5,
            "innovation_ug": row.innovation_ug if row.verdict else None,
            "u_innovation_ug": row.u_innovation_ug,
            "verdict": row.verdict,
        }
        for row in known(snapshots)
    ][-MOST_ROWS:]


def points(snapshots):
    """Return the points of the drawing of what remained over time."""
    return [
        Point(
            at=row.event.happened_at,
            metal_ug=max(row.metal_ug, 0.0),
            u_ug=row.var_metal**0.5,
            kind=kind_of(row.event),
            words=": ".join(filter(None, (row.event.words, cause_of(row)))),
            verdict=row.verdict,
        )
        for row in known(snapshots)
    ]


def cause_of(row):
    """Return what somebody decided that a reading which disagreed shows, or nothing.

    The part they held responsible was let go, so the reading has no verdict left.
    """
    weighing = row.event.weighing
    return weighing.get_cause_display() if weighing and weighing.cause else ""


def kind_of(event):
    """Return the kind of mark that an event gets in the drawing."""
    if event.movement_id:
        return MOVED.get(event.movement.kind, "withdrawal")
    if event.kind == "observe":
        shows_metal = event.weighing and event.weighing.cause == Cause.METAL
        return "difference" if shows_metal else "check"
    return "start" if event.kind == "start" else "medium"
