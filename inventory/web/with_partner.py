"""A partner's home: their shares, requests and bookings, and what is with them."""

from datetime import timedelta

from django.db.models import F
from django.utils import timezone

from inventory.models import (
    Booking,
    HandOver,
    HandOverLine,
    Membership,
    Project,
    Share,
)
from inventory.operations import standings

from . import asked

NEWEST = 20
SOON = timedelta(days=7)


def home(user):
    """Return what a partner's home shows, in as many questions for one project as ten."""
    today = timezone.localdate()
    projects = Project.objects.visible_to(user).open()
    bookings = Booking.objects.visible_to(user).with_open().with_metals()
    return {
        "projects": with_shares(user, projects),
        "requests": asked.open_first(asked.requests().visible_to(user), NEWEST),
        "bookings": bookings.filter(is_open=True).select_related("project"),
        "out": with_them(user),
        "today": today,
        "soon": today + SOON,
    }


def with_shares(user, projects):
    """Return (project, membership, standings of its own shares) for each project."""
    theirs = {
        member.project_id: member
        for member in Membership.objects.filter(user=user).select_related("partner")
    }
    shares = Share.objects.filter(
        project__memberships__user=user,
        project__memberships__partner=F("partner"),
        project__in=projects,
    )
    found = {}
    for standing in standings.of_shares(shares):
        found.setdefault(standing.share.project_id, []).append(standing)
    return [
        (project, theirs[project.pk], found.get(project.pk, [])) for project in projects
    ]


def with_them(user):
    """Return the vessels handed over to their organisations and not yet back."""
    lines = HandOverLine.objects.out().filter(
        hand_over__in=HandOver.objects.visible_to(user)
    )
    return lines.select_related(
        "hand_over__project", "vessel__batch__material"
    ).order_by("-id")
