"""Is it enough: in words and a number, on a vessel, at home and for a booking."""

import pytest

from inventory.operations import ledger
from tests.factories import G, make_batch, make_booking, make_vessel, take
from tests.web.pages import Page
from tests.web.person import opened

# Of a normal distribution 97.725 % lie above two standard deviations below its mean,
# 2.275 % above two over it (NIST/SEMATECH e-Handbook, 1.3.6.7.1).
TWO_U_BELOW = "very likely: 97.7 %"
TWO_U_ABOVE = "very unlikely: 2.3 %"


@pytest.fixture
def vessel(shipped):
    """Return a vessel that holds 5 g of rubidium with a standard uncertainty of 50 mg."""
    return make_vessel(make_batch("Rb"), u_ug=50_000)


def asked(client, vessel, **query):
    """Return the words in the panel of the vessel's page."""
    page = Page(client.get(vessel.get_absolute_url(), query))
    assert page.status == 200
    return page.by_id("enough").above("section").text


@pytest.mark.parametrize(
    ("need", "words"),
    [
        ("5 g", "About even: 50.0 %"),
        ("4.9 g", TWO_U_BELOW),
        ("4900 mg", TWO_U_BELOW),
        # 85.468 g/mol (IUPAC 2021) and 1.532 g/cm³ (CRC Handbook).
        ("57.33 mmol", TWO_U_BELOW),
        # 101 mg below.
        ("3.198 mL", "very likely: 97.8 %"),
        ("5.1 g", TWO_U_ABOVE),
        ("1 g", "almost certainly: more than 99.9 %"),
        ("9 g", "almost certainly not: less than 0.1 %"),
    ],
)
def test_a_vessel_s_page_says_how_sure_it_is(as_keeper, vessel, need, words):
    said = asked(as_keeper, vessel, need=need)

    assert words[1:] in said


def test_what_stays_behind_is_counted_off(as_keeper, vessel):
    said = asked(as_keeper, vessel, need="4.7 g", heel="0.2 g")

    assert TWO_U_BELOW[1:] in said
    assert "200.0 mg staying behind" in said


def test_what_is_promised_to_others_is_counted_off(as_keeper, vessel):
    make_booking(vessel, 1 * G)

    assert TWO_U_BELOW[1:] in asked(as_keeper, vessel, need="3.9 g")


@pytest.mark.parametrize(
    ("need", "sentence"),
    [
        ("3", "Say a mass, a volume or an amount, as in 3 g"),
        ("3 stone", "Say a mass, a volume or an amount, as in 3 g"),
        ("3 °C", "Say a mass, a volume or an amount, as in 3 g"),
        ("-3 g", "cannot be negative"),
        ("nan g", "is not"),
        ("3,5 g", "Write a point for the decimals"),
    ],
)
def test_a_need_that_cannot_be_read_is_answered_in_a_sentence_at_its_field(
    as_keeper, vessel, need, sentence
):
    page = Page(as_keeper.get(vessel.get_absolute_url(), {"need": need}))

    assert list(page.wrong()) == ["need"]
    assert sentence in page.wrong()["need"]
    assert page.by_id("id_need")["value"] == need
    assert "%" not in page.by_id("enough").above("section").text


def test_a_heel_that_is_no_mass_is_answered_at_its_field(as_keeper, vessel):
    page = Page(
        as_keeper.get(vessel.get_absolute_url(), {"need": "3 g", "heel": "2 mL"})
    )

    assert list(page.wrong()) == ["heel"]


def test_a_spent_vessel_is_not_asked(as_keeper, vessel):
    take(vessel)

    page = Page(as_keeper.get(vessel.get_absolute_url(), {"need": "3 g"}))

    assert page.by_id("enough") is None


def test_home_says_for_each_vessel_how_sure_it_is(as_keeper, vessel):
    sure = make_vessel(vessel.batch)

    page = opened(as_keeper, "/?material=Rb&need=4.9+g")

    answers = {
        item.all("a")[0]["href"]: item.text
        for item in page.by_id("enough").above("section").all("li")
    }
    assert "Very likely: 97.7 %" in answers[vessel.get_absolute_url()]
    # 100 mg over it, with 1 mg.
    assert "more than 99.9 %" in answers[sure.get_absolute_url()]


def test_a_booking_says_for_each_line_how_sure_it_is_there(as_keeper, vessel):
    booking = make_booking(vessel, 4_900_000)

    (line,) = opened(as_keeper, booking.get_absolute_url()).rows()

    assert TWO_U_BELOW in line[-1]


def test_what_others_were_promised_from_the_vessel_counts_for_a_line(as_keeper, vessel):
    make_booking(vessel, 1 * G)
    booking = make_booking(vessel, 3_900_000)

    (line,) = opened(as_keeper, booking.get_absolute_url()).rows()

    assert TWO_U_BELOW in line[-1]


def test_all_of_a_vessel_is_promised_whatever_is_in_it(as_keeper, vessel):
    # Half of all estimates lie above what there is: no answer to this question.
    booking = make_booking(vessel)

    (line,) = opened(as_keeper, booking.get_absolute_url()).rows()

    assert "%" not in line[-1]
    assert "all of it" in line[2]


def test_a_line_that_is_served_is_not_asked(as_keeper, vessel):
    booking = make_booking(vessel, 1 * G)
    take(ledger.read(vessel.pk), line=booking.lines.get())

    (line,) = opened(as_keeper, booking.get_absolute_url()).rows()

    assert "Served" in line[-1]
    assert "that it is there" not in line[-1]
