"""Promises end on their day: said before, recorded after, and extended by the keeper.

A lapsed promise counts no more from the day after, whether or not it was recorded.
"""

from datetime import timedelta
from uuid import UUID, uuid5

from django.db.models import OuterRef, Subquery
from django.utils import timezone

from inventory.calc.units import show_mass
from inventory.models import Booking, BookingLine, MovementKind, Project, Vessel

from . import bookings, days, letters, log, shares
from .errors import NotEnough, OperationError

SOON = timedelta(days=7)
# What a promise that ends on its own is signed with: once, whoever asks and how often.
OWN = UUID("5f1f2f0e-9b1c-4c1d-8f0a-6d1f6a5b7c10")


def ending(today, until):
    """Return the bookings with metal still promised that end in these days."""
    return (
        Booking.objects.with_open()
        .with_metals()
        .filter(is_open=True, expires_on__gte=today, expires_on__lte=until)
        .select_related("project", "partner")
        .order_by("expires_on", "id")
    )


@log.operation
def extend(booking, *, expires_on, beyond_share="", by, request_id):
    """Let a booking hold until a later day, and return it.

    One that has ended promises again what it did, if that is still free: its lines
    that nobody recorded as ended simply hold on, the others get a new line. Refused
    as a whole, with a list, when anything of it was promised or used since. What the
    share does not allow any more needs a reason, `beyond_share`, unless the booking
    has one. Locks the vessels in key order, as booking does, then the booking, then
    the project, so that it cannot close meanwhile.
    """
    lines = last_lines(booking)
    locked = bookings.lock_vessels([line.vessel for line in lines])
    booking = log.lock(Booking.objects.all(), booking.pk)
    if log.repeated(request_id):
        return booking
    booking.project = log.lock(Project.objects.all(), booking.project_id)
    lines = [line for line in last_lines(booking) if can_go_on(line)]
    refuse_extending(booking, lines, expires_on)
    ended = booking.has_expired
    promises = []
    if ended:
        promises = again(booking, lines, locked)
        hold_to_share(booking, promises, beyond_share)
    entry = log.write(
        "extend",
        f"{booking} for {booking.project} holds until {expires_on:%-d %b %Y}, "
        f"no longer {booking.expires_on:%-d %b %Y}",
        by=by,
        request_id=request_id,
        project=booking.project,
        subject_id=booking.pk,
    )
    for line, (vessel, mass_ug, is_whole) in zip(lines, promises, strict=ended):
        renew(line, vessel, mass_ug, is_whole, entry)
    booking.expires_on = expires_on
    booking.save(update_fields=["expires_on", "beyond_share"])
    return booking


def last_lines(booking):
    """Return of each vessel the booking's newest line."""
    newest = booking.lines.filter(vessel=OuterRef("vessel")).order_by("-pk")
    lines = booking.lines.filter(pk=Subquery(newest.values("pk")[:1]))
    return list(lines.select_related("vessel", "closed_by").order_by("vessel"))


def can_go_on(line):
    """Return whether a line is still promised, or only ended with its day."""
    return line.closed_by is None or line.closed_by.verb == "expire"


def refuse_extending(booking, lines, expires_on):
    """Refuse a day that is no later, and a booking of which nothing is left."""
    today = timezone.localdate()
    if not lines:
        raise OperationError("Nothing of this booking is promised any more.")
    if booking.project.closed_on:
        raise OperationError("This project is closed.")
    if expires_on < today:
        raise OperationError("This date has passed.", "expires_on")
    if expires_on <= booking.expires_on:
        raise OperationError(
            f"It holds until {booking.expires_on:%-d %b %Y} already: choose a later day.",
            "expires_on",
        )
    days.refuse(booking.project, expires_on=expires_on)


def again(booking, lines, locked):
    """Return the promises of an ended booking anew, or refuse with what is in the way.

    `locked` are its vessels, with what is left and free in them now.
    """
    gone = [words for line in lines if (words := in_the_way(line, locked))]
    if gone:
        raise OperationError(
            f"{booking} ended on {booking.expires_on:%-d %b %Y}, and its metal was not "
            f"kept: {' '.join(gone)} Book anew from what is free."
        )
    return [promised_again(line, locked[line.vessel_id]) for line in lines]


def hold_to_share(booking, promises, reason):
    """Refuse what the share does not allow any more; keep the reason if one is why."""
    needed = shares.refuse_beyond(
        booking.project,
        booking.partner,
        promises,
        reason=reason or booking.beyond_share,
    )
    booking.beyond_share = needed or booking.beyond_share


def in_the_way(line, locked):
    """Return why a vessel cannot be promised again, empty if it can."""
    vessel = locked[line.vessel_id]
    try:
        bookings.promise(vessel, promised_again(line, vessel)[1])
    except NotEnough as error:
        return f"{error} {show_mass(line.mass_ug)} was promised."
    except OperationError as error:
        return f"{error}"
    return ""


def promised_again(line, vessel):
    """Return (vessel, mass, whole) of a line that holds on.

    A promise of the whole vessel follows a later weighing, as long as nothing was
    taken out or promised to others.
    """
    if line.is_whole and not vessel.promised_ug and untouched(line):
        return vessel, vessel.free_ug, True
    return vessel, line.mass_ug, line.mass_ug == vessel.remaining_ug


def untouched(line):
    """Return whether no metal was taken from the line's vessel since it was booked."""
    later = line.vessel.movements_out.standing().filter(entry__gt=line.booking.entry_id)
    return not later.exclude(kind=MovementKind.DIFFERENCE).exists()


def renew(line, vessel, mass_ug, is_whole, entry):
    """Let a line of an ended booking hold on; one that is closed gets a new line."""
    if line.closed_by is None:
        if (line.mass_ug, line.is_whole) == (mass_ug, is_whole):
            return
        bookings.close(line, entry=entry)
    BookingLine.objects.create(
        booking=line.booking, vessel=vessel, mass_ug=mass_ug, is_whole=is_whole
    )


@log.operation
def expire(line, *, by, request_id):
    """Record that a promise ended with its day, and return the line."""
    log.lock(Vessel.objects.all(), line.vessel_id)
    line = log.lock(BookingLine.objects.all(), line.pk)
    if log.repeated(request_id) or line.closed_by_id:
        return line
    booking = line.booking
    if not booking.has_expired:
        raise OperationError(f"{booking} holds until {booking.expires_on:%-d %b %Y}.")
    line.closed_by = log.write(
        "expire",
        f"{booking} ended on {booking.expires_on:%-d %b %Y}: "
        f"{show_mass(line.mass_ug)} of {line.vessel} is free again",
        by=by,
        request_id=request_id,
        project=booking.project,
        vessel=line.vessel,
    )
    line.save(update_fields=["closed_by"])
    if not booking.lines.filter(closed_by=None).exists():
        letters.expired(booking)
    return line


def expire_due(by=None):
    """Record every promise that ended with its day; return those lines."""
    found = []
    for line in BookingLine.objects.lapsed().order_by("vessel", "pk"):
        try:
            line = expire(line, by=by, request_id=uuid5(OWN, f"expire {line.pk}"))
        except OperationError:
            continue  # Extended just now.
        if line.closed_by_id and line.closed_by.verb == "expire":
            found.append(line)
    return found


@log.operation
def remind_of(booking, *, by, request_id):
    """Tell its partner that a booking ends soon, note that, and return the booking."""
    booking = log.lock(Booking.objects.all(), booking.pk)
    if log.repeated(request_id):
        return booking
    log.write(
        "remind",
        f"{booking} for {booking.project} ends on {booking.expires_on:%-d %b %Y}",
        by=by,
        request_id=request_id,
        project=booking.project,
        subject_id=booking.pk,
    )
    letters.expiring(booking)
    return booking


def remind(by=None):
    """Remind of every booking that ends within a week, of each day once; return them."""
    today, found = timezone.localdate(), []
    for booking in ending(today, today + SOON):
        request_id = uuid5(OWN, f"remind {booking.pk} {booking.expires_on}")
        if not log.repeated(request_id):
            found.append(remind_of(booking, by=by, request_id=request_id))
    return found
