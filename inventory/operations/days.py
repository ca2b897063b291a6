"""Days that are still to come: how far ahead one may lie, and that a project ends."""

from datetime import timedelta

from django.utils import timezone

from .errors import OperationError

# No plan for metal reaches farther; a day near the calendar's end breaks its sums.
FARTHEST = timedelta(days=3652)
TOO_FAR = "This is more than ten years ahead."


def is_too_far(day):
    """Return whether a day lies more than ten years ahead."""
    return day - timezone.localdate() > FARTHEST


def refuse(project, **days):
    """Refuse any of `days`, by the names of their fields, too far or past the end.

    A day that was left empty is None.
    """
    for field, day in days.items():
        if day is None:
            continue
        if is_too_far(day):
            raise OperationError(TOO_FAR, field)
        if project.ends_on and day > project.ends_on:
            raise OperationError(f"The project {ends(project)}.", field)


def ends(project):
    """Return `ends on 3 May 2026`, or `ended on` when that has passed."""
    verb = "ended" if project.ends_on < timezone.localdate() else "ends"
    return f"{verb} on {project.ends_on:%-d %b %Y}"
