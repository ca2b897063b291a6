"""Looking after vessels, promises and calendars, asked once each: see tests.domain.asked."""

from datetime import timedelta

import time_machine
from django.utils import timezone

from inventory.operations import calendars, expiring, heels, inspections
from tests.factories import G, make_booking, make_vessel, signed, somebody


def ask_inspect():
    facts = {"looked_on": timezone.localdate(), "seal": "tight"}
    return inspections.record, [make_vessel()], facts


def ask_note_heel():
    return heels.note, [make_vessel(), G], {}


def ask_extend():
    booking = make_booking(make_vessel(), G)
    later = booking.expires_on + timedelta(days=7)
    return expiring.extend, [booking], {"expires_on": later}


def ask_expire():
    with time_machine.travel(timezone.now() - timedelta(days=60)):
        booking = make_booking(make_vessel(), G)
    return expiring.expire, [booking.lines.get()], {}


def ask_remind():
    return expiring.remind_of, [make_booking(make_vessel(), G)], {}


def ask_make_calendar_link():
    return calendars.make_link, [somebody()], {}


def ask_revoke_calendar_link():
    calendars.make_link(somebody(), **signed())
    return calendars.revoke, [somebody()], {}
