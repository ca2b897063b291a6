"""Promising metal in the browser, also when two people want the same last of it."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import BookingLine
from tests.browser.walking import expect, field, go, press, refused, told
from tests.factories import G, make_batch, make_project, make_vessel

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

RECORD = "Record the booking"


@pytest.fixture
def project(shipped):
    return make_project(title="Vapour cells")


def open_form(page, *vessels):
    page.goto("/vessels/")
    for vessel in vessels:
        page.get_by_label(f"Select {vessel}").check()
    press(page, "Book from the ticked")


def say_for_whom(page):
    field(page, "Project").select_option("Vapour cells")
    field(page, "For").fill("Vapour cell filling")
    in_a_week = timezone.localdate() + timedelta(days=7)
    field(page, "Needed by").fill(in_a_week.isoformat())


def test_what_is_booked_from_ticked_vessels_is_no_longer_free(project, keeper, sit):
    batch = make_batch()
    vessels = [make_vessel(batch, holding_ug=5 * G) for _ in range(3)]
    page = sit(keeper, width=360)

    open_form(page, *vessels[:2])
    page.get_by_label(f"Mass from {vessels[1]}").fill("2 g")
    say_for_whom(page)
    press(page, RECORD)

    told(page, f"Booked 7.000 g for Vapour cells from {vessels[0]}, {vessels[1]}")
    go(page, "Home")
    held = page.get_by_role("listitem").filter(has_text="g free")
    expect(held).to_contain_text("8.000 g free")
    expect(held).to_contain_text("15.000 g in 3 vessels, 7.000 g promised")


def test_more_than_is_free_is_refused_at_its_vessel(project, keeper, sit):
    vessel = make_vessel(holding_ug=5 * G)
    page = sit(keeper, width=360)

    open_form(page, vessel)
    page.get_by_label(f"Mass from {vessel}").fill("6 g")
    say_for_whom(page)
    press(page, RECORD)

    expect(page.get_by_role("row").filter(has_text=str(vessel))).to_contain_text(
        "5.000 g free"
    )
    expect(page.get_by_label(f"Mass from {vessel}")).to_have_value("6 g")
    expect(field(page, "For")).to_have_value("Vapour cell filling")
    assert not BookingLine.objects.exists()


def test_two_people_at_once_cannot_both_book_the_last_metal(project, keeper, sit):
    vessel = make_vessel(holding_ug=5 * G)
    pages = [sit(keeper), sit(keeper, width=360)]
    for page in pages:
        open_form(page, vessel)
        say_for_whom(page)

    for page in pages:
        press(page, RECORD)

    told(pages[0], f"Booked 5.000 g for Vapour cells from {vessel}")
    expect(pages[1].get_by_role("main")).to_contain_text(
        f"{vessel} has 0 g free: 5.000 g is left, 5.000 g of it promised."
    )
    assert BookingLine.objects.get().mass_ug == 5 * G


def test_a_date_that_has_passed_is_refused_at_its_field(project, keeper, sit):
    vessel = make_vessel(holding_ug=5 * G)
    page = sit(keeper, width=360)

    open_form(page, vessel)
    say_for_whom(page)
    field(page, "Needed by").fill("2024-02-29")
    press(page, RECORD)

    refused(page, "Needed by", "This date has passed")
    expect(page.get_by_label(f"Book from {vessel}")).to_be_checked()
    assert not BookingLine.objects.exists()
