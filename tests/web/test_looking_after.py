"""Inspections, heels and later ends, as a person notes them in a browser."""

import pytest

from inventory.models import Booking, Inspection
from inventory.operations import expiring, ledger
from tests.domain.cared import days_ago, in_days, make_inspection
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_partner,
    make_project,
    make_share,
    make_vessel,
    take,
)
from tests.web.person import (
    answered,
    opened,
    recorded,
    refused,
    refused_as_a_whole,
    sent_twice,
)


@pytest.fixture
def vessel(shipped):
    return make_vessel()


def attention(client):
    return opened(client, "/").by_id("attention").above("section").text


def look(vessel):
    return f"{vessel.get_absolute_url()}look/"


def heel(vessel):
    return f"{vessel.get_absolute_url()}heel/"


def extension(booking):
    return f"{booking.get_absolute_url()}extend/"


def test_a_look_is_recorded_and_stands_on_the_vessel_s_page(as_keeper, vessel):
    page = recorded(
        as_keeper, look(vessel), seal="tight", look="bright", next_on=in_days(30)
    )

    (row,) = page.table_under("inspections")
    assert row[0] == f"{in_days(0):%-d %b %Y}"
    assert row[1:4] == ["Tight", "bright", f"{in_days(30):%-d %b %Y}"]


def test_a_leaking_vessel_says_stop_on_its_page(as_keeper, vessel):
    page = recorded(as_keeper, look(vessel), seal="leaks")

    assert "its seal leaked" in page.main.text
    assert "Stop and look" in page.main.text


def test_home_tells_of_seals_that_leak_and_of_vessels_to_look_at(as_keeper, vessel):
    other, fine = make_vessel(), make_vessel()
    make_inspection(vessel, seal="leaks")
    make_inspection(other, next_on=in_days(7))
    make_inspection(fine, next_on=in_days(8))

    words = attention(as_keeper)

    assert f"{vessel} Leaks" in words
    assert f"To be looked at again {other}" in words
    assert str(fine) not in words.partition("To be looked at again")[2][:60]


def test_a_look_sent_twice_is_recorded_once_and_says_so(as_keeper, vessel):
    page = sent_twice(as_keeper, look(vessel), seal="tight")

    assert Inspection.objects.count() == 1
    assert "had been sent already" in page.messages


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("looked_on", {"looked_on": in_days(1)}, "This lies in the future."),
        ("looked_on", {"looked_on": in_days(-9)}, "was filled on"),
        ("looked_on", {"looked_on": "31 Feb"}, "Enter a valid date."),
        ("next_on", {"next_on": in_days(0)}, "Choose a day that is still to come."),
        ("next_on", {"next_on": "soon"}, "Enter a valid date."),
    ],
)
def test_a_look_that_cannot_be_is_refused_at_its_field(
    as_keeper, vessel, field, typed, sentence
):
    said = refused(as_keeper, look(vessel), field, **{"seal": "tight", **typed})

    assert sentence in said


def test_a_look_that_says_nothing_of_the_seal_is_refused(as_keeper, vessel):
    page = answered(as_keeper, look(vessel), look="bright")

    assert page.status == 422
    (seal,) = page.main.all("fieldset")
    assert "This field is required." in seal.text


def test_a_heel_is_noted_and_counts_when_the_vessel_is_asked(as_keeper, vessel):
    page = recorded(as_keeper, heel(vessel), heel="0.5 g")
    assert page.facts["Cannot be got out"] == "500.0 mg"

    said = opened(as_keeper, f"{vessel.get_absolute_url()}?need=4.9+g").main.text

    assert "almost certainly not" in said.lower()
    assert "500.0 mg staying behind" in said


def test_a_heel_typed_with_the_question_goes_before_the_one_noted(as_keeper, vessel):
    recorded(as_keeper, heel(vessel), heel="0.5 g")

    said = opened(
        as_keeper, f"{vessel.get_absolute_url()}?need=4.9+g&heel=0+g"
    ).main.text

    assert "more than 99.9 %" in said


def test_a_heel_sent_twice_is_noted_once(as_keeper, vessel):
    page = sent_twice(as_keeper, heel(vessel), heel="0.5 g")

    assert "had been sent already" in page.messages


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("6 g", "holds 5.000 g in all."),
        ("2 mL", "g"),
        ("-1 g", "cannot be negative"),
        ("", "This field is required."),
        ("0,5 g", "Write a point for the decimals"),
    ],
)
def test_a_heel_that_cannot_be_is_refused_at_its_field(
    as_keeper, vessel, typed, sentence
):
    assert sentence in refused(as_keeper, heel(vessel), "heel", heel=typed)


def test_a_booking_s_page_says_until_when_it_holds(as_keeper, vessel):
    booking = make_booking(vessel, needed_by=in_days(3), expires_on=in_days(20))

    page = opened(as_keeper, booking.get_absolute_url())

    assert page.facts["Holds until"] == f"{in_days(20):%-d %b %Y}"
    assert "Ends soon" not in page.main.text


@pytest.mark.parametrize(
    ("days", "words"),
    [(0, "holds until tonight"), (1, "1 more day,"), (7, "7 more days,")],
)
def test_a_booking_says_before_that_it_ends(as_keeper, vessel, days, words):
    booking = make_booking(vessel, needed_by=in_days(0), expires_on=in_days(days))

    page = opened(as_keeper, booking.get_absolute_url())

    assert words in page.main.text
    assert f"{booking} 5.000 g" in attention(as_keeper)


@pytest.mark.parametrize("recorded_too", [True, False])
def test_an_ended_booking_says_so_and_is_extended(as_keeper, shipped, recorded_too):
    with days_ago(5):
        vessel = make_vessel()
        booking = make_booking(
            vessel, 2 * G, needed_by=in_days(0), expires_on=in_days(1)
        )
    if recorded_too:
        expiring.expire_due()
    page = opened(as_keeper, booking.get_absolute_url())
    assert "This booking has ended" in page.main.text
    assert page.rows()[0][-1].startswith("Ended")

    page = recorded(as_keeper, extension(booking), expires_on=in_days(10))

    assert f"{booking} holds until" in page.messages
    assert ledger.read(vessel.pk).free_ug == 3 * G
    assert "Still promised" in page.rows()[-1][-1]


def test_an_extension_sent_twice_is_recorded_once(as_keeper, vessel):
    booking = make_booking(vessel)

    page = sent_twice(as_keeper, extension(booking), expires_on=in_days(40))

    assert "had been sent already" in page.messages
    assert Booking.objects.get().expires_on == in_days(40)


@pytest.mark.parametrize(
    ("day", "sentence"),
    [
        (in_days(-1), "This date has passed."),
        (in_days(5), "choose a later day"),
        ("", "This field is required."),
        ("2026-02-31", "Enter a valid date."),
    ],
)
def test_a_day_that_is_no_extension_is_refused_at_its_field(
    as_keeper, vessel, day, sentence
):
    booking = make_booking(vessel, needed_by=in_days(3), expires_on=in_days(9))

    assert sentence in refused(
        as_keeper, extension(booking), "expires_on", expires_on=day
    )


def test_why_a_booking_is_extended_beyond_the_share_is_asked_when_it_is(
    as_keeper, shipped
):
    partner = make_partner("Films group")
    project = make_project(partner=partner.name)
    make_share(project, partner, mass_ug=2 * G)
    about = {"project": project, "partner": partner}
    with days_ago(5):
        booking = make_booking(
            make_vessel(), 2 * G, needed_by=in_days(0), expires_on=in_days(1), **about
        )
    make_booking(make_vessel(), G, **about)
    at = extension(booking)
    assert "beyond_share" not in opened(as_keeper, at).typed()

    said = refused(as_keeper, at, "beyond_share", expires_on=in_days(9))
    assert "1.000 g free of its share" in said

    page = recorded(
        as_keeper, at, expires_on=in_days(9), beyond_share="agreed by letter"
    )
    assert page.facts["Beyond the share"] == "agreed by letter"


def test_what_is_in_the_way_of_an_extension_is_named(as_keeper, shipped):
    with days_ago(5):
        vessel = make_vessel(make_batch("Rb"))
        booking = make_booking(vessel, needed_by=in_days(0), expires_on=in_days(1))
    take(vessel)

    words = refused_as_a_whole(as_keeper, extension(booking), expires_on=in_days(9))

    assert f"{vessel} is spent" in words
