"""What is due on which day, for somebody's calendar.

Inside people see all of it. A partner sees what is theirs: bookings, requests, and
the vessels they are to bring back.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Count, Exists, F, Max, OuterRef, Subquery
from django.db.models.functions import Coalesce
from django.urls import reverse
from django.utils import timezone

from inventory.models import (
    Balance,
    Booking,
    HandOverLine,
    LogEntry,
    Membership,
    MetalRequest,
)

from . import inspections

# What is longer ago, or later, is not kept in the feed.
PAST = timedelta(days=60)
AHEAD = timedelta(days=365)
# More looks than this on one day are one thing to do.
MANY = 20


@dataclass(frozen=True, slots=True)
class Due:
    """One thing on one day. `key` stays the same when the day moves."""

    key: str
    day: date
    title: str
    text: str
    changed_at: datetime
    address: str


@dataclass(frozen=True, slots=True)
class Span:
    """The days that are asked for, both included, and how many things at most."""

    since: date
    until: date
    most: int | None = None

    def of(self, rows, field):
        """Return those `rows` whose day in `field` lies within, the first ones first."""
        within = rows.filter(**{f"{field}__range": (self.since, self.until)})
        return within.order_by(field, "pk")[: self.most]


def of_user(user, *, since=None, most=None):
    """Return what is due for `user`, the oldest first, up to a year ahead.

    From two months ago on, unless `since` says otherwise; at most so many.
    """
    today = timezone.localdate()
    span = Span(since or today - PAST, today + AHEAD, most)
    found = [*bookings(user, span), *requests(user, span), *returns(user, span)]
    if not user.is_partner:
        found += [*looks(span), *calibrations(span)]
    return sorted(found, key=lambda due: (due.day, due.key))[:most]


def bookings(user, span):
    """Yield when each booking is needed, and when it ends, while metal is promised."""
    extended = LogEntry.objects.filter(verb="extend", subject_id=OuterRef("pk"))
    newest = extended.order_by("-id").values("recorded_at")[:1]
    rows = (
        Booking.objects.visible_to(user)
        .with_open()
        .with_metals()
        .filter(is_open=True)
        .annotate(changed_at=Coalesce(Subquery(newest), F("entry__recorded_at")))
        .select_related("project")
    )
    for booking in span.of(rows, "needed_by"):
        yield Due(
            f"booking-{booking.pk}-needed",
            booking.needed_by,
            f"{booking}: {booking.metal_words} needed",
            about(booking),
            booking.changed_at,
            booking.get_absolute_url(),
        )
    for booking in span.of(rows, "expires_on"):
        yield Due(
            f"booking-{booking.pk}-ends",
            booking.expires_on,
            f"{booking}: promise of {booking.metal_words} ends",
            f"{about(booking)}. What is not taken by then is free for others.",
            booking.changed_at,
            booking.get_absolute_url(),
        )


def about(booking):
    return f"{booking.promised_words} for {booking.project}: {booking.purpose}"


def requests(user, span):
    """Yield when each request is needed of which something is still to be found."""
    rows = (
        MetalRequest.objects.visible_to(user)
        .with_booked()
        .waiting()
        .annotate(changed_at=Max("steps__entry__recorded_at"))
        .select_related("project", "material", "entry")
    )
    for request in span.of(rows, "needed_by"):
        yield Due(
            f"request-{request.pk}-needed",
            request.needed_by,
            f"{request}: {request.material.name} needed",
            f"{request.amount_words} of {request.material.name} for {request.project}: "
            f"{request.purpose}",
            request.changed_at or request.entry.recorded_at,
            request.get_absolute_url(),
        )


def returns(user, span):
    """Yield when vessels are to be back from partners."""
    rows = HandOverLine.objects.out().select_related(
        "entry", "vessel", "hand_over__partner", "hand_over__project"
    )
    if user.is_partner:
        theirs = Membership.objects.filter(
            user=user,
            project=OuterRef("hand_over__project"),
            partner=OuterRef("hand_over__partner"),
        )
        rows = rows.filter(Exists(theirs))
    for line in span.of(rows, "return_by"):
        yield Due(
            f"return-{line.pk}",
            line.return_by,
            f"{line.vessel}: due back from {line.hand_over.partner}",
            f"Handed over for {line.hand_over.project}.",
            line.entry.recorded_at,
            line.hand_over.get_absolute_url(),
        )


def looks(span):
    """Yield when vessels are to be looked at again; very many on a day, as one."""
    rows = inspections.current().select_related("entry")
    within = rows.filter(next_on__range=(span.since, span.until))
    days = within.order_by().values("next_on")
    days = days.annotate(count=Count("pk"), at=Max("entry__recorded_at"))
    many = {day["next_on"]: day for day in days if day["count"] > MANY}
    for day, found in sorted(many.items())[: span.most]:
        yield Due(
            f"inspections-{day}",
            day,
            f"{found['count']} vessels: look at them again",
            "Their last looks asked for this day. Home lists the first of them.",
            found["at"],
            reverse("home"),
        )
    for look in span.of(rows.exclude(next_on__in=many), "next_on"):
        yield look_at(look)


def look_at(look):
    """Return one vessel that is to be looked at again."""
    stands = f" It stands in {look.vessel.place}." if look.vessel.place else ""
    return Due(
        f"inspection-{look.vessel_id}",
        look.next_on,
        f"{look.vessel}: look at it again",
        f"Last seen {look.looked_on:%-d %b %Y}: {look.get_seal_display().lower()}."
        f"{stands}",
        look.entry.recorded_at,
        look.vessel.get_absolute_url(),
    )


def calibrations(span):
    """Yield when balances in use are due. Whichever was changed last dates them all."""
    changes = LogEntry.objects.filter(verb__in=["balance-add", "balance-change"])
    changed_at = changes.aggregate(at=Max("recorded_at"))["at"]
    for balance in span.of(Balance.objects.filter(is_in_use=True), "due_on"):
        yield Due(
            f"calibration-{balance.pk}",
            balance.due_on,
            f"{balance}: calibration due",
            "Readings after this day are noted with a reservation.",
            changed_at,
            "",
        )
