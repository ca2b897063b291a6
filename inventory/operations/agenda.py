"""What is due on which day, for somebody's calendar.

Inside people see all of it. A partner sees what is theirs: bookings, requests, and
the vessels they are to bring back.
"""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Exists, F, Max, OuterRef, Subquery
from django.db.models.functions import Coalesce
from django.utils import timezone

from inventory.calc.units import show_mass
from inventory.models import Balance, Booking, LogEntry, Membership, MetalRequest

from . import availability, inspections

# What is longer ago is not kept in the feed.
PAST = timedelta(days=60)


@dataclass(frozen=True, slots=True)
class Due:
    """One thing on one day. `key` stays the same when the day moves."""

    key: str
    day: date
    title: str
    text: str
    changed_at: datetime
    address: str


def of_user(user):
    """Return what is due for `user`, from two months ago on, the oldest first."""
    found = [*bookings(user), *requests(user), *returns(user)]
    if not user.is_partner:
        found += [*looks(), *calibrations()]
    since = timezone.localdate() - PAST
    return sorted(
        (due for due in found if due.day >= since), key=lambda due: (due.day, due.key)
    )


def bookings(user):
    """Yield when each booking is needed, and when it ends, while metal is promised."""
    extended = LogEntry.objects.filter(verb="extend", subject_id=OuterRef("pk"))
    newest = extended.order_by("-id").values("recorded_at")[:1]
    rows = (
        Booking.objects.visible_to(user)
        .with_open()
        .filter(is_open=True)
        .annotate(changed_at=Coalesce(Subquery(newest), F("entry__recorded_at")))
        .select_related("project")
    )
    for booking in rows:
        about = f"{show_mass(booking.open_ug)} for {booking.project}: {booking.purpose}"
        changed, at = booking.changed_at, booking.get_absolute_url()
        yield Due(
            f"booking-{booking.pk}-needed",
            booking.needed_by,
            f"{booking}: metal needed",
            about,
            changed,
            at,
        )
        yield Due(
            f"booking-{booking.pk}-ends",
            booking.expires_on,
            f"{booking}: ends",
            f"{about}. What is not taken by then is free for others.",
            changed,
            at,
        )


def requests(user):
    """Yield when each request is needed of which something is still to be found."""
    rows = (
        MetalRequest.objects.visible_to(user)
        .with_booked()
        .waiting()
        .annotate(changed_at=Max("steps__entry__recorded_at"))
        .select_related("project", "material", "entry")
    )
    for request in rows:
        yield Due(
            f"request-{request.pk}-needed",
            request.needed_by,
            f"{request}: metal needed",
            f"{request.amount_words} of {request.material.name} for {request.project}: "
            f"{request.purpose}",
            request.changed_at or request.entry.recorded_at,
            request.get_absolute_url(),
        )


def returns(user):
    """Yield when vessels are to be back from partners."""
    rows = availability.out().filter(return_by__isnull=False)
    if user.is_partner:
        theirs = Membership.objects.filter(
            user=user,
            project=OuterRef("hand_over__project"),
            partner=OuterRef("hand_over__partner"),
        )
        rows = rows.filter(Exists(theirs))
    for line in rows.select_related("entry"):
        yield Due(
            f"return-{line.pk}",
            line.return_by,
            f"{line.vessel}: due back from {line.hand_over.partner}",
            f"Handed over for {line.hand_over.project}.",
            line.entry.recorded_at,
            line.hand_over.get_absolute_url(),
        )


def looks():
    """Yield when vessels are to be looked at again."""
    rows = inspections.current().filter(next_on__isnull=False)
    for look in rows.select_related("entry"):
        stands = f" It stands in {look.vessel.place}." if look.vessel.place else ""
        yield Due(
            f"inspection-{look.vessel_id}",
            look.next_on,
            f"{look.vessel}: look at it again",
            f"Last seen {look.looked_on:%-d %b %Y}: {look.get_seal_display().lower()}."
            f"{stands}",
            look.entry.recorded_at,
            look.vessel.get_absolute_url(),
        )


def calibrations():
    """Yield when balances in use are due. Whichever was changed last dates them all."""
    changes = LogEntry.objects.filter(verb__in=["balance-add", "balance-change"])
    changed_at = changes.aggregate(at=Max("recorded_at"))["at"]
    for balance in Balance.objects.filter(is_in_use=True, due_on__isnull=False):
        yield Due(
            f"calibration-{balance.pk}",
            balance.due_on,
            f"{balance}: calibration due",
            "Readings after this day are noted with a reservation.",
            changed_at,
            "",
        )
