"""A booking names its metals: grams of different metals are never added up."""

from datetime import timedelta

import pytest
from django.core import mail
from django.utils import timezone

from inventory.operations import agenda, bookings
from tests.domain.handed import hand_over, make_line, make_metal, pick
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_partner,
    make_vessel,
    signed,
)
from tests.web.person import opened

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

BOTH = "2.000 g of rubidium, 1.000 g of caesium"


@pytest.fixture
def mixed(films, group):
    """Return a booking of rubidium and caesium, needed within the week."""
    rubidium, caesium = make_vessel(), make_vessel(make_batch("Cs"))
    return bookings.book(
        films,
        wishes=[(rubidium, 2 * G), (caesium, G)],
        partner=group,
        purpose="alloy films",
        needed_by=timezone.localdate() + timedelta(days=3),
        expires_on=timezone.localdate() + timedelta(days=5),
        **signed(),
    )


def test_the_home_of_a_partner_says_each_metal_of_a_booking(as_partner, mixed):
    page = opened(as_partner, "/")

    assert BOTH in page.by_id("promised").above("section").text


def test_the_home_of_the_house_says_each_metal_that_is_due_and_that_ends(
    as_keeper, mixed
):
    words = opened(as_keeper, "/").by_id("attention").above("section").text

    assert words.count(BOTH) == 2


def test_the_page_of_a_project_says_each_metal_of_each_booking_and_of_all(
    as_keeper, mixed, films
):
    make_booking(make_vessel(), G, project=films)

    page = opened(as_keeper, films.get_absolute_url())

    assert "Promised now 1.000 g of caesium, 3.000 g of rubidium" in page.main.text
    rows = page.by_id("bookings").above("section").text
    assert "rubidium and caesium" in rows
    assert BOTH in rows


def test_a_partner_s_project_page_counts_no_promise_to_others(as_partner, mixed, films):
    other = make_partner("Cluster group")
    films.partners.add(other)
    make_booking(make_vessel(), G, project=films, partner=other)

    words = opened(as_partner, films.get_absolute_url()).main.text

    assert "Promised to you 1.000 g of caesium, 2.000 g of rubidium" in words


def test_a_project_without_a_promise_says_nothing_is_promised(as_keeper, films):
    words = opened(as_keeper, films.get_absolute_url()).main.text

    assert "Promised now Nothing" in words


@pytest.mark.parametrize("page", ["", "extend/"])
def test_the_pages_of_a_booking_say_each_metal(as_keeper, mixed, page):
    words = opened(as_keeper, f"{mixed.get_absolute_url()}{page}").main.text

    assert BOTH in words


def test_the_calendar_names_the_metals_of_a_booking(keeper, mixed):
    needed, ends = agenda.of_user(keeper)

    assert needed.title == f"{mixed}: rubidium and caesium needed"
    assert ends.title == f"{mixed}: promise of rubidium and caesium ends"
    assert needed.text.startswith(f"{BOTH} for ")


def test_a_letter_about_a_booking_says_each_metal(
    films, group, django_capture_on_commit_callbacks
):
    group.email = "films@example.org"
    group.save()
    wishes = [(make_vessel(), 2 * G), (make_vessel(make_batch("Cs")), G)]
    day = timezone.localdate()
    with django_capture_on_commit_callbacks(execute=True):
        bookings.book(
            films, wishes=wishes, partner=group, purpose="films", needed_by=day,
            **signed(),
        )  # fmt: skip

    (letter,) = [each for each in mail.outbox if each.to == ["films@example.org"]]
    assert "1.000 g of caesium, 2.000 g of rubidium is promised to you" in letter.body


def test_the_record_of_a_booking_says_each_metal(mixed):
    assert mixed.entry.summary.startswith("Booked 1.000 g of caesium, 2.000 g of rub")


def test_a_hand_over_of_two_metals_says_each(as_keeper, films, group):
    rubidium, caesium = make_metal(), make_metal(make_batch("Cs"))
    facts = {"partner": group, "project": films}
    made = hand_over([pick(make_line(each, **facts)) for each in (rubidium, caesium)])

    words = opened(as_keeper, films.get_absolute_url()).by_id("handed-over")

    assert "5.005 g of rubidium, 5.004 g of caesium" in words.above("section").text
    assert made.entry.summary.startswith(
        "Handed 5.004 g of caesium, 5.005 g of rubidium in 2 vessels over to "
    )


def test_a_list_that_adds_up_all_metals_says_so(as_keeper, mixed):
    page = opened(as_keeper, "/projects/")

    assert "Promised, all metals" in page.main.text
