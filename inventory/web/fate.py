"""What became of a vessel that holds nothing any more: for whoever scans its label."""

from datetime import datetime

from django.db.models import Q
from django.utils.formats import date_format
from django.utils.timezone import localtime

from inventory.calc.units import show_mass
from inventory.models import End, Movement, MovementKind

HAPPENED = {
    MovementKind.WITHDRAWAL: "The last of it, {mass}, was withdrawn on {day}",
    MovementKind.TRANSFER: "The last of it, {mass}, went into {into} on {day}",
    MovementKind.DESTRUCTION: "The rest of it, {mass}, was destroyed on {day}",
}


def of_vessel(vessel, *, with_reasons=True):
    """Return sentences on how a spent or retired vessel came to that; else none.

    Without reasons they tell no more than when, for those outside the laboratory.
    """
    found = []
    if vessel.filled_on and vessel.spent_on:
        found.append(_spent(vessel, with_reasons))
    if vessel.retired_on:
        found.append(_retired(vessel, with_reasons))
    return found


def _spent(vessel, with_reasons):
    last = _last_out(vessel)
    if last is None or not with_reasons:
        return f"Nothing is left in it since {day(vessel.spent_on)}."
    said = HAPPENED[last.kind].format(
        mass=show_mass(last.mass_ug), day=day(last.happened_at), into=last.to_vessel
    )
    return f"{said}: {last.purpose}." if last.purpose else f"{said}."


def _last_out(vessel):
    """Return the newest movement that took metal out and stands."""
    ends = Q(to_vessel__isnull=False) | ~Q(to_end__in=["", End.UNACCOUNTED])
    rows = Movement.objects.standing().filter(ends, from_vessel=vessel)
    rows = rows.filter(kind__in=HAPPENED).select_related("to_vessel")
    return rows.order_by("-happened_at", "-id").first()


def _retired(vessel, with_reasons):
    said = f"Retired on {day(vessel.retired_on)}"
    entry = vessel.entries.filter(verb="retire").select_related("by").first()
    if entry is None or not with_reasons:
        return f"{said}."
    _, _, reason = entry.summary.partition("retired: ")
    return f"{said} by {entry.by}: {reason}." if reason else f"{said} by {entry.by}."


def day(when):
    return date_format(localtime(when) if isinstance(when, datetime) else when)
