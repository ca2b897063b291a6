"""A calendar as other programs read it: iCalendar, RFC 5545."""

from datetime import UTC, datetime, timedelta
from urllib.parse import urlsplit

from django.conf import settings
from icalendar import Calendar, Event, Timezone, TimezoneStandard

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
    for due in dues:
        calendar.add_component(event(due))
    if not calendar.subcomponents:
        calendar.add_component(nothing())
    return calendar.to_ical()


def event(due):
    """Return a day as an event that takes up nobody's time."""
    found = Event()
    found.add("uid", f"{due.key}@{site()}")
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
    """Return what tells our UIDs from those of others."""
    return urlsplit(settings.PUBLIC_URL).hostname or "tarebook"


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
