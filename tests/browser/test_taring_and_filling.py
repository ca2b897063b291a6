"""Taring a set of vessels and filling one, with the slips that people make."""

import re

import pytest

from inventory.models import Vessel
from tests.browser.walking import (
    expect,
    field,
    follow,
    go,
    panel,
    press,
    refused,
    told,
)
from tests.factories import (
    G,
    make_balance,
    make_batch,
    make_place,
    make_tared,
    make_vessel,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def balance(shipped):
    return make_balance(name="Analytical balance")


def test_vessels_without_a_batch_are_known_by_their_glass_marks_until_filled(
    balance, operator, sit
):
    batch = make_batch("Na")
    page = sit(operator, width=360)
    page.goto("/")
    follow(page, "Tare vessels")

    for row, mark in enumerate(("A1", "A2", "A3")):
        field(page, "Glass mark").nth(row).fill(mark)
        field(page, "Tare").nth(row).fill(f"{50 + row}.1234 g")
    field(page, "Kind of vessel").select_option("Schlenk tube")
    field(page, "Inner volume").fill("50 mL")
    press(page, "Record the tares")

    told(page, "Tared 3 vessels: glass A1, glass A2, glass A3")
    follow(page, "glass A2")
    follow(page, "Fill")
    field(page, "Batch").select_option(str(batch))
    field(page, "Gross: vessel, closure and contents").fill("61.1234 g")
    field(page, "Kept in").select_option("argon")
    field(page, "Closed with").select_option("Stopcock and stopper")
    press(page, "Record the filling")
    told(page, f"{batch}-01")
    expect(page.get_by_role("main")).to_contain_text("A2")


def test_more_rows_keep_what_was_typed(balance, operator, sit):
    page = sit(operator, width=360)
    page.goto("/vessels/tare/")
    rows = field(page, "Tare").count()
    field(page, "Glass mark").first.fill("A1")
    field(page, "Tare").first.fill("50.1234 g")
    field(page, "Inner volume").fill("50 mL")

    press(page, "More rows")

    expect(field(page, "Tare")).to_have_count(rows + 6)
    expect(field(page, "Tare").first).to_have_value("50.1234 g")
    expect(field(page, "Inner volume")).to_have_value("50 mL")
    assert not Vessel.objects.exists()


def test_without_a_batch_each_vessel_needs_its_glass_mark(balance, operator, sit):
    page = sit(operator, width=360)
    page.goto("/vessels/tare/")
    field(page, "Tare").first.fill("50.1234 g")
    field(page, "Inner volume").fill("50 mL")

    press(page, "Record the tares")

    expect(page.locator("main [data-refused]")).to_be_focused()
    mark = field(page, "Glass mark").first
    expect(mark).to_have_accessible_description(re.compile("give each one"))
    expect(field(page, "Tare").first).to_have_value("50.1234 g")
    assert not Vessel.objects.exists()


def test_a_gross_that_cannot_be_is_refused_at_its_field_and_kept(
    balance, operator, sit
):
    vessel = make_tared(make_batch(), tare_ug=20 * G)
    page = sit(operator, width=360)
    page.goto(f"/vessels/{vessel.pk}/fill/")
    name = "Gross: vessel, closure and contents"
    field(page, "Kept in").select_option("argon")

    for gross, sentence in (
        ("19.5 g", "lighter"),
        ("-25 g", "negative"),
        ("25 mL", "mass"),
        ("25,5 g", "Write a point"),
        ("nan", "is not a mass"),
        ("25.00005 g", "more digits"),
    ):
        field(page, name).fill(gross)
        press(page, "Work it out first")

        refused(page, name, sentence)
        expect(field(page, name)).to_have_value(gross)
        expect(field(page, "Kept in")).to_have_value("argon")
        expect(panel(page, "Worked out, not recorded yet")).to_have_count(0)


def test_a_double_click_on_record_fills_once(balance, operator, sit):
    vessel = make_tared(make_batch(), tare_ug=20 * G)
    page = sit(operator)
    page.goto(f"/vessels/{vessel.pk}/fill/")
    field(page, "Gross: vessel, closure and contents").fill("25 g")
    field(page, "Kept in").select_option("argon")

    page.get_by_role("button", name="Record the filling").dblclick()

    expect(panel(page, "Ledger").get_by_role("row")).to_have_count(2)


def test_a_moved_vessel_stands_on_the_page_of_its_new_place(balance, operator, sit):
    vessel = make_vessel()
    make_place(name="Glovebox B")
    page = sit(operator, width=360)
    page.goto(vessel.get_absolute_url())

    follow(page, "Move")
    field(page, "Place").select_option("Glovebox B")
    press(page, "Record the move")
    told(page, f"{vessel} now stands in Glovebox B")
    go(page, "Places")
    follow(page, "Glovebox B")

    expect(page.get_by_role("main")).to_contain_text(str(vessel))


def test_the_list_is_searched_sorted_and_taken_away_as_csv(balance, operator, sit):
    rubidium, sodium = make_vessel(), make_vessel(make_batch("Na"))
    page = sit(operator)
    page.goto("/vessels/")

    follow(page, "Remaining")
    field(page, "Metal").select_option("Na")
    press(page, "Show")
    expect(page.get_by_role("row").filter(has_text=str(sodium))).to_be_visible()
    expect(page.get_by_role("row").filter(has_text=str(rubidium))).to_have_count(0)
    with page.expect_download() as download:
        follow(page, "As CSV")

    text = download.value.path().read_text()
    assert str(sodium) in text
    assert str(rubidium) not in text
