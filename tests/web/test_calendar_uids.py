"""What tells the events of a feed from those of every other calendar: RFC 7986, 5.3."""

from uuid import uuid4

from django.test import Client

from inventory.models import LogEntry
from inventory.operations import calendars
from inventory.web import feed
from tests.factories import make_booking, make_vessel, signed


def uids(user):
    token = calendars.make_link(user, **signed()).token
    lines = Client().get(f"/calendar/{token}.ics").text.splitlines()
    return [line for line in lines if line.startswith("UID:")]


def test_uids_tell_no_host_and_stay_when_the_address_or_the_secret_changes(
    keeper, shipped, settings
):
    booking = make_booking(make_vessel())
    before = uids(keeper)

    settings.PUBLIC_URL = "https://metals.example.org"
    settings.SECRET_KEY = "another"

    assert uids(keeper) == before
    assert before[0].startswith(f"UID:booking-{booking.pk}-")
    assert "example" not in "".join(before)


def test_uids_of_another_installation_are_others(keeper, shipped):
    # What differs between two is the id of the first thing that was ever logged.
    make_booking(make_vessel())
    ours, first = uids(keeper), LogEntry.objects.order_by("id").first()
    before_it = LogEntry(request_id=uuid4(), pk=first.pk - 1, verb="x", summary="x")
    before_it.save(force_insert=True)

    theirs = uids(keeper)

    assert len(theirs) == len(ours) == 2
    assert not set(theirs) & set(ours)
    assert all(uid.endswith(f"@{feed.site()}") for uid in theirs)
