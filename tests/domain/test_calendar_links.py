"""A private link to a calendar: one each, revocable, and nowhere kept in the clear."""

from hashlib import sha256

import pytest

from inventory.models import CalendarLink
from inventory.operations import calendars
from tests.domain.records import on_record, refused
from tests.factories import signed

pytestmark = pytest.mark.django_db


def test_a_link_opens_its_owner_s_calendar(keeper, reader):
    mine = calendars.make_link(keeper, **signed())
    other = calendars.make_link(reader, **signed())

    assert calendars.owner_of(mine.token) == keeper
    assert calendars.owner_of(other.token) == reader
    assert calendars.owner_of("") is None


def test_a_link_is_long_and_never_the_same(keeper):
    tokens = {calendars.make_link(keeper, **signed()).token for _ in range(3)}

    # 32 random bytes, 4 characters for 3 of them (RFC 4648, 5).
    assert [len(token) for token in tokens] == [43] * 3


def test_only_a_digest_of_the_link_is_on_record(keeper):
    link = calendars.make_link(keeper, **signed())

    kept = str(on_record())
    assert link.token not in kept
    assert sha256(link.token.encode()).hexdigest() in kept


def test_a_new_link_takes_the_place_of_the_old_one(keeper):
    old = calendars.make_link(keeper, **signed())
    new = calendars.make_link(keeper, **signed())

    assert calendars.owner_of(old.token) is None
    assert calendars.owner_of(new.token) == keeper
    assert CalendarLink.objects.filter(revoked_at=None).get() == new


def test_a_revoked_link_opens_nothing(keeper):
    link = calendars.make_link(keeper, **signed())

    calendars.revoke(keeper, **signed())

    assert calendars.owner_of(link.token) is None
    with refused("There is no link to revoke."):
        calendars.revoke(keeper, **signed())


def test_the_link_of_somebody_who_may_no_longer_sign_in_opens_nothing(keeper):
    link = calendars.make_link(keeper, **signed())
    keeper.is_active = False
    keeper.save()

    assert calendars.owner_of(link.token) is None


def test_a_repeated_request_tells_the_address_no_second_time(keeper):
    request = signed()
    first = calendars.make_link(keeper, **request)
    again = calendars.make_link(keeper, **request)

    assert again == first
    assert not hasattr(again, "token")
    assert calendars.owner_of(first.token) == keeper
