"""Is it enough on a later day: the sum is shown line by line."""

import pytest

from inventory.operations import asking, heels
from tests.domain.cared import in_days, lend, make_inspection
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_request,
    make_vessel,
    signed,
)
from tests.web.pages import Page
from tests.web.person import opened


@pytest.fixture
def batch(shipped):
    return make_batch("Rb")


def home(client, need="3 g", **asked):
    page = Page(client.get("/", {"material": "Rb", "need": need, **asked}))
    return page.by_id("enough").above("section")


def verdict(section):
    return section.all("p", **{"class": "notice-title"})[0].text


def lines(section):
    return [row.all("td")[0].text for row in section.all("tbody")[0].all("tr")]


def test_the_sum_of_a_metal_is_shown_line_by_line_each_leading_somewhere(
    as_keeper, batch
):
    vessel, lent = make_vessel(batch), make_vessel(batch)
    booking = make_booking(vessel, G, needed_by=in_days(3), expires_on=in_days(10))
    lend(lent, back_in=5, expected_ug=2 * G)
    wish = asking.grant(make_request(need="1 g"), **signed())
    day = f"{in_days(20):%-d %b %Y}"

    section = home(as_keeper, on=in_days(20))

    assert lines(section) == [
        "Remaining in 1 vessel",
        f"{booking} for {booking.project}, needed by {in_days(3):%-d %b %Y}",
        "Free now, as at the top of Home",
        f"{lent} back from {lent.custodian}, expected by {in_days(5):%-d %b %Y}",
        f"{wish} for {wish.project}, granted, not booked yet",
        "Can be had",
    ]
    # 3 g of the 5 g are to be used: 3 g / 2 / √3, twice that is 1.7 g.
    assert "Can be had 5.0 g ± 1.7 g (k = 2)" in section.text
    assert f"On {day}" in section.text
    # 5 g here, 2 g back, less 1 g booked and 1 g granted; the booking may end unused.
    assert "If nobody uses them, 6.00" in section.text
    assert booking.get_absolute_url() in [link["href"] for link in section.all("a")]


def test_what_comes_back_until_then_is_marked_as_expected(as_keeper, batch):
    lent = make_vessel(batch)
    lend(lent, back_in=5, expected_ug=5 * G)

    assert "Expected back" in home(as_keeper, on=in_days(5)).text
    assert str(lent) not in home(as_keeper, on=in_days(4)).text


def test_what_was_granted_to_others_is_no_yes(as_keeper, batch):
    make_vessel(batch)
    asking.grant(make_request(need="4 g", needed_by=in_days(5)), **signed())

    assert verdict(home(as_keeper, on=in_days(4))) == "Yes"
    assert verdict(home(as_keeper, on=in_days(5))) == "No: it is granted to others"


def test_a_leaking_vessel_is_not_offered(as_keeper, batch):
    make_inspection(make_vessel(batch), seal="leaks")

    section = home(as_keeper)

    assert "In vessels that leak, by their last look" in lines(section)
    assert verdict(section) == "No"


def test_what_the_card_calls_free_is_a_line_of_the_answer_s_sum(as_keeper, batch):
    heeled, leaking = make_vessel(batch), make_vessel(batch)
    heels.note(heeled, G, **signed())
    make_inspection(leaking, seal="leaks")

    words = opened(as_keeper, "/?material=Rb&need=3+g").main.text

    assert "10.000 g free" in words
    assert "Free now, as at the top of Home 10.000 g" in words
    assert "4.000 g can be had" in words


def test_a_request_s_page_calls_free_what_the_home_page_does(as_keeper, batch):
    heeled, booked, _ = (make_vessel(batch) for _ in range(3))
    heels.note(heeled, G, **signed())
    make_booking(booked)
    lend(make_vessel(batch), back_in=5, expected_ug=G)

    page = opened(as_keeper, make_request().get_absolute_url())

    assert page.facts["Free now"] == "10.000 g in 2 vessels"
    assert "10.000 g free" in opened(as_keeper, "/").main.text


def test_without_a_day_it_is_asked_for_today(as_keeper, batch):
    make_vessel(batch)

    assert home(as_keeper).text == home(as_keeper, on=in_days(0)).text
    assert f"On {in_days(0):%-d %b %Y}" in home(as_keeper).text


def test_a_day_that_has_passed_is_refused_at_its_field(as_keeper, batch):
    vessel = make_vessel(batch)
    asked = {"material": "Rb", "need": "3 g", "on": in_days(-1)}

    for at in ("/", vessel.get_absolute_url()):
        page = Page(as_keeper.get(at, asked))
        assert page.wrong() == {"on": "This date has passed."}
        assert page.by_id("id_on")["value"] == f"{in_days(-1)}"


def test_a_vessel_s_page_shows_its_own_sum_for_the_day(as_keeper, batch):
    vessel = make_vessel(batch)
    booking = make_booking(vessel, G, needed_by=in_days(3), expires_on=in_days(10))

    page = opened(as_keeper, f"{vessel.get_absolute_url()}?need=4.5+g&on={in_days(11)}")

    section = page.by_id("enough").above("section")
    assert lines(section) == [
        "Remaining",
        f"{booking} for {booking.project}, needed by {in_days(3):%-d %b %Y}",
        "Free",
    ]
    assert "almost certainly not" in section.text.lower()
    assert "If nobody uses them, 5.000 g is free." in section.text


def test_what_is_with_partners_is_not_counted_as_free_at_home(as_keeper, batch):
    make_vessel(batch)
    lend(make_vessel(batch), back_in=5, expected_ug=G)

    words = opened(as_keeper, "/").main.text

    assert "5.000 g free" in words
    assert "5.000 g with partners" in words
