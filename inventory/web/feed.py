"""A calendar as other programs read it: iCalendar, RFC 5545."""

from datetime import UTC, datetime, timedelta
from hashlib import sha256

from django.conf import settings
from icalendar import Calendar, Event, Timezone, TimezoneStandard

from inventory.models import LogEntry

PRODUCT = "-//Tarebook//Tarebook//EN"
# How often a program may ask anew (RFC 7986, 5.7).
REFRESH = timedelta(hours=6)


def written(dues, name):
    """Return the bytes of a calendar of all-day events, one for each of `dues`.

    A UID stays the same when its day moves, so that the event moves with it. Lines
    are folded, ended and escaped by the library.
    """
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)
    calendar.add("refresh-interval", REFRESH)
    here = site()
    for due in dues:
        calendar.add_component(event(due, here))
    if not calendar.subcomponents:
        calendar.add_component(nothing())
    return calendar.to_ical()


def event(due, here):
    """Return a day as an event that takes up nobody's time; `here` is the `site`."""
    found = Event()
    found.add("uid", f"{due.key}@{here}")
    found.add("dtstamp", due.changed_at.astimezone(UTC))
    found.add("last-modified", due.changed_at.astimezone(UTC))
    found.add("dtstart", due.day)
    found.add("dtend", due.day + timedelta(days=1))
    found.add("summary", due.title)
    found.add("description", due.text)
    found.add("transp", "TRANSPARENT")
    if settings.PUBLIC_URL and due.address:
        found.add("url", settings.PUBLIC_URL + due.address)
    return found


def site():
    """Return what tells our UIDs from those of every other installation.

    It comes from the random id of the first entry ever logged, which nobody can
    change: so it stays when the address changes, and tells no host (RFC 7986, 5.3).
    """
    first = LogEntry.objects.order_by("id").values_list("request_id", flat=True).first()
    return sha256(f"calendar of {first}".encode()).hexdigest()[:20]


def nothing():
    """Return what an empty calendar holds: RFC 5545, 3.6 asks for a component."""
    standard = TimezoneStandard()
    standard.add("dtstart", datetime(1970, 1, 1))  # noqa: DTZ001 local, by the RFC
    standard.add("tzoffsetfrom", timedelta())
    standard.add("tzoffsetto", timedelta())
    zone = Timezone()
    zone.add("tzid", "UTC")
    zone.add_component(standard)
    return zone
