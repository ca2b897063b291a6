"""Ended bookings, extended and recorded while others book what was theirs."""

from functools import partial

import pytest
from django.utils import timezone

from inventory.models import BookingLine, CalendarLink, LogEntry
from inventory.operations import bookings, calendars, expiring, ledger, projects
from inventory.operations.errors import OperationError
from tests.concurrency.together import at_once, told_apart
from tests.domain.cared import days_ago, in_days
from tests.factories import (
    G,
    make_booking,
    make_project,
    make_vessel,
    signed,
    somebody,
)

pytestmark = [
    pytest.mark.postgres,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("postgres", "shipped"),
]

WRITERS = 6


def ended():
    """Return a vessel and a booking of all of it that ended a while ago."""
    with days_ago(5):
        vessel = make_vessel(holding_ug=5 * G)
        return vessel, make_booking(vessel, needed_by=in_days(0), expires_on=in_days(1))


def extension(booking):
    return partial(expiring.extend, booking, expires_on=in_days(9), **signed())


def rival(vessel, project):
    facts = {"purpose": "x", "needed_by": timezone.localdate(), **signed()}
    return partial(bookings.book, project, wishes=[(vessel, 5 * G)], **facts)


def test_an_ended_booking_and_others_for_its_metal_give_exactly_one_promise():
    vessel, booking = ended()
    project = make_project()

    outcomes = at_once(
        extension(booking), *[rival(vessel, project) for _ in range(WRITERS)]
    )

    done, _ = told_apart(outcomes, OperationError)
    assert len(done) == 1
    assert ledger.read(vessel.pk).promised_ug == 5 * G


def test_no_closed_project_is_left_with_a_promise_that_was_extended_meanwhile():
    _, booking = ended()
    project = booking.project

    outcomes = at_once(extension(booking), partial(projects.close, project, **signed()))

    done, _ = told_apart(outcomes, OperationError)
    project.refresh_from_db()
    promised = BookingLine.objects.open().filter(booking=booking).exists()
    assert len(done) == 1
    assert (project.closed_on is None) == promised


def test_an_extension_while_the_end_is_recorded_promises_once():
    vessel, booking = ended()

    outcomes = at_once(
        extension(booking), *[expiring.expire_due for _ in range(WRITERS)]
    )

    told_apart(outcomes, OperationError)
    assert ledger.read(vessel.pk).promised_ug == 5 * G
    assert LogEntry.objects.filter(verb="expire").count() <= 1
    assert LogEntry.objects.filter(verb="extend").count() == 1


def test_however_often_the_daily_work_runs_at_once_each_end_is_recorded_once():
    ended()

    at_once(*[expiring.expire_due for _ in range(WRITERS)])

    assert LogEntry.objects.filter(verb="expire").count() == 1


def test_links_made_at_the_same_moment_leave_one_that_stands():
    user = somebody()

    outcomes = at_once(
        *[partial(calendars.make_link, user, **signed()) for _ in range(WRITERS)]
    )

    told_apart(outcomes, OperationError)
    assert CalendarLink.objects.filter(revoked_at=None).count() == 1
