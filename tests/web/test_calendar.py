"""The calendar other programs read, by a second library and by the words of RFC 5545."""

from datetime import timedelta

import vobject
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from inventory.models import CalendarLink, LogEntry
from inventory.operations import agenda, calendars, expiring, ledger
from inventory.web.views import calendar as calendar_view
from tests.domain.cared import days_ago, in_days, lend, make_inspection
from tests.factories import (
    G,
    make_balance,
    make_booking,
    make_partner,
    make_project,
    make_request,
    make_share,
    make_vessel,
    signed,
    take,
)
from tests.web.pages import Page
from tests.web.person import opened, recorded, sent_twice

AT = "/calendar/"


def fetched(user):
    """Return the feed of somebody as a program without a log-in gets it."""
    token = calendars.make_link(user, **signed()).token
    return Client().get(f"/calendar/{token}.ics")


def events(answer):
    """Return {what a UID begins with: event} of a feed, read by vobject."""
    assert answer.status_code == 200
    calendar = vobject.readOne(answer.content.decode())
    found = getattr(calendar, "vevent_list", [])
    return {event.uid.value.partition("@")[0]: event for event in found}


def due(user, key):
    (found,) = [due for due in agenda.of_user(user) if due.key == key]
    return found


def address(page):
    return page.by_id("calendar-address")["value"]


def test_a_link_is_shown_once_right_after_it_was_made(as_keeper, shipped):
    page = recorded(as_keeper, AT)

    shown = address(page)
    assert shown.startswith("http://testserver/calendar/")
    assert Client().get(shown).status_code == 200
    assert opened(as_keeper, AT).by_id("calendar-address") is None


def test_a_form_sent_twice_still_shows_the_address_that_stands(as_keeper, shipped):
    page = sent_twice(as_keeper, AT)

    assert CalendarLink.objects.count() == 1
    assert "had been sent already" in page.messages


def test_a_double_click_shows_the_address_of_the_one_link(as_keeper, shipped):
    sent = opened(as_keeper, AT).typed()
    for _ in range(2):
        assert as_keeper.post(AT, sent).status_code == 302

    shown = address(opened(as_keeper, AT))
    assert Client().get(shown).status_code == 200


def test_the_address_names_the_public_one_where_it_is_set(as_keeper, shipped, settings):
    settings.PUBLIC_URL = "https://metals.example.org"

    shown = address(recorded(as_keeper, AT))

    assert shown.startswith("https://metals.example.org/calendar/")


def test_a_revoked_link_is_answered_as_one_that_never_was(as_keeper, keeper, shipped):
    shown = address(recorded(as_keeper, AT))
    recorded(as_keeper, f"{AT}revoke/")

    revoked = Client().get(shown)
    made_up = Client().get(f"/calendar/{'A' * 43}.ics")

    assert revoked.status_code == made_up.status_code == 404
    assert Page(revoked).main.text == Page(made_up).main.text


def test_revoking_without_a_link_says_so(as_keeper, shipped):
    page = Page(
        as_keeper.post(f"{AT}revoke/", opened(as_keeper, f"{AT}revoke/").typed())
    )

    assert page.status == 422
    assert "There is no link to revoke." in page.main.text


def test_a_feed_is_only_read(keeper, shipped):
    token = calendars.make_link(keeper, **signed()).token

    assert Client().post(f"/calendar/{token}.ics").status_code == 405


def test_a_feed_is_a_calendar_that_nobody_else_keeps(keeper, shipped):
    answer = fetched(keeper)

    assert answer["Content-Type"] == "text/calendar; charset=utf-8"
    assert answer["Cache-Control"] == "private, no-cache"
    assert "Set-Cookie" not in answer


def test_inside_people_see_everything_that_is_due(keeper, shipped):
    booking = make_booking(
        make_vessel(), 2 * G, needed_by=in_days(3), expires_on=in_days(9)
    )
    wish = make_request(needed_by=in_days(4))
    vessel = make_vessel()
    make_inspection(vessel, next_on=in_days(30))
    lent = lend(make_vessel(), back_in=5, expected_ug=G)
    balance = make_balance(name="Balance 7", due_on=in_days(60))

    found = events(fetched(keeper))

    assert {key: event.dtstart.value for key, event in found.items()} == {
        f"booking-{booking.pk}-needed": in_days(3),
        f"booking-{booking.pk}-ends": in_days(9),
        f"request-{wish.pk}-needed": in_days(4),
        f"inspection-{vessel.pk}": in_days(30),
        f"return-{lent.pk}": in_days(5),
        f"calibration-{balance.pk}": in_days(60),
    }
    needed = found[f"booking-{booking.pk}-needed"]
    assert needed.summary.value == f"{booking}: rubidium needed"
    assert "2.000 g of rubidium" in needed.description.value


def test_each_event_is_a_whole_day_with_what_rfc_5545_asks_for(keeper, shipped):
    booking = make_booking(make_vessel(), needed_by=in_days(3))

    event = events(fetched(keeper))[f"booking-{booking.pk}-needed"]

    # 3.6.1: UID and DTSTAMP must be there; 3.8.2.4: a DATE needs VALUE=DATE;
    # 3.8.2.2: DTEND is not part of it.
    assert event.dtstart.params == {"VALUE": ["DATE"]}
    assert event.dtend.value - event.dtstart.value == timedelta(days=1)
    assert event.dtstamp.value == event.last_modified.value
    assert event.dtstamp.value == booking.entry.recorded_at.replace(microsecond=0)
    assert event.transp.value == "TRANSPARENT"


def test_lines_end_with_crlf_and_are_no_longer_than_75_octets(keeper, shipped):
    # RFC 5545, 3.1.
    project = make_project(title="Getter films; thin, and ä long näme " * 3)
    booking = make_booking(make_vessel(), project=project)

    answer = fetched(keeper)

    lines = answer.content.split(b"\r\n")
    assert lines[-1] == b""
    assert not any(b"\n" in line or b"\r" in line for line in lines)
    assert max(map(len, lines)) <= 75
    event = events(answer)[f"booking-{booking.pk}-needed"]
    assert project.title in event.description.value


def test_a_uid_stays_and_its_stamp_moves_on_when_a_booking_is_extended(keeper, shipped):
    with days_ago(1):
        booking = make_booking(make_vessel(), needed_by=in_days(3))
    before = events(fetched(keeper))

    expiring.extend(booking, expires_on=in_days(40), **signed())

    after = events(fetched(keeper))
    key = f"booking-{booking.pk}-ends"
    assert set(after) == set(before)
    assert after[key].dtstart.value == in_days(40)
    assert after[key].uid.value == before[key].uid.value
    moved_at = LogEntry.objects.get(verb="extend").recorded_at
    assert after[key].last_modified.value == moved_at.replace(microsecond=0)
    assert due(keeper, key).changed_at == moved_at > booking.entry.recorded_at


def test_links_are_given_where_the_public_address_is_known(keeper, shipped, settings):
    booking = make_booking(make_vessel())
    key = f"booking-{booking.pk}-needed"
    assert not hasattr(events(fetched(keeper))[key], "url")

    settings.PUBLIC_URL = "https://metals.example.org"

    event = events(fetched(keeper))[key]
    assert event.url.value == f"https://metals.example.org/bookings/{booking.pk}/"


def test_what_is_served_is_due_no_more(keeper, shipped):
    vessel = make_vessel()
    booking = make_booking(vessel)
    take(ledger.read(vessel.pk), line=booking.lines.get())

    assert events(fetched(keeper)) == {}


def test_an_empty_calendar_still_has_a_component(keeper, shipped):
    # RFC 5545, 3.6: at least one.
    answer = fetched(keeper)

    calendar = vobject.readOne(answer.content.decode())
    assert [part.name for part in calendar.components()] == ["VTIMEZONE"]


def test_a_partner_sees_only_what_is_theirs(partner, shipped):
    films, clusters = make_partner("Films group"), make_partner("Clusters group")
    project = make_project(partner, partner=films)
    project.partners.add(clusters)
    make_share(project, films)
    make_share(project, clusters)
    own = make_booking(make_vessel(), 2 * G, project=project, partner=films)
    wish = make_request(project, partner=films)
    lent = lend(make_vessel(), back_in=5, expected_ug=G, project=project, to=films)
    make_booking(make_vessel(), project=project, partner=clusters)
    make_request(project, partner=clusters)
    lend(make_vessel(), back_in=5, expected_ug=G, project=project, to=clusters)
    make_booking(make_vessel())
    make_inspection(make_vessel(), next_on=in_days(30))
    make_balance(due_on=in_days(60))

    assert set(events(fetched(partner))) == {
        f"booking-{own.pk}-needed",
        f"booking-{own.pk}-ends",
        f"request-{wish.pk}-needed",
        f"return-{lent.pk}",
    }


def test_the_page_shows_the_next_dues_and_leaves_out_what_is_past(
    as_keeper, keeper, shipped
):
    with days_ago(3):
        booking = make_booking(
            make_vessel(), needed_by=in_days(1), expires_on=in_days(9)
        )

    words = opened(as_keeper, AT).by_id("dues").above("section").text

    assert f"{booking}: promise of rubidium ends" in words
    assert f"{booking}: rubidium needed" not in words
    assert f"booking-{booking.pk}-needed" in events(fetched(keeper))


def test_twenty_things_due_cost_a_feed_no_more_queries_than_one(keeper, shipped):
    def more():
        make_booking(make_vessel(), G)
        make_request()
        make_inspection(make_vessel(), next_on=in_days(9))
        lend(make_vessel(), back_in=5, expected_ug=G)

    def asked(token):
        with CaptureQueriesContext(connection) as found:
            assert Client().get(f"/calendar/{token}.ics").status_code == 200
        return len(found)

    token = calendars.make_link(keeper, **signed()).token
    more()
    few = asked(token)
    for _ in range(4):
        more()

    assert asked(token) == few


def test_the_page_says_when_more_is_due_than_it_shows(as_keeper, shipped, monkeypatch):
    monkeypatch.setattr(calendar_view, "MOST_SHOWN", 2)
    first, second = (make_request(needed_by=in_days(days)) for days in (1, 2))
    shown = opened(as_keeper, AT).by_id("dues").above("section").text
    assert "and more" not in shown

    third = make_request(needed_by=in_days(3))

    shown = opened(as_keeper, AT).by_id("dues").above("section").text
    assert "and more" in shown
    assert str(first) in shown
    assert str(second) in shown
    assert str(third) not in shown
