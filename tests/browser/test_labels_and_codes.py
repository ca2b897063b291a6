"""From a label or a typed code back to the vessel and its record."""

import re

import pytest

from inventory.calc import codes
from tests.browser.walking import (
    expect,
    field,
    go,
    look_up,
    press,
    told,
)
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_laboratory,
    make_project,
    make_tared,
    make_vessel,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def batch(shipped):
    make_laboratory()
    batch = make_batch()
    for _ in range(3):
        make_vessel(batch, holding_ug=5 * G)
    return batch


def test_a_typed_code_opens_its_vessel_with_and_without_check_character(
    batch, operator, sit
):
    page = sit(operator, width=360)
    page.goto("/guide/")

    for typed in (f"{batch}-02", codes.full_code(batch.code, 2).lower()):
        look_up(page, typed)

        expect(page.get_by_role("heading", level=1)).to_contain_text(f"{batch}-02")
        go(page, "Guide")


def test_a_glass_mark_opens_the_vessel_that_has_no_code_yet(batch, operator, sit):
    vessel = make_tared(glass_mark="K-17")
    page = sit(operator, width=360)
    page.goto("/")

    look_up(page, "k-17")

    link = page.get_by_role("main").get_by_role("link", name=re.compile("K-17"))
    link.click()
    expect(page).to_have_url(re.compile(rf"/vessels/{vessel.pk}/$"))


def test_a_code_that_leads_nowhere_is_answered_in_a_sentence(batch, operator, sit):
    wrong = "A" if codes.check_character(f"{batch}-01") != "A" else "B"
    page = sit(operator, width=360)
    page.goto("/")

    for typed, sentence in (
        (f"{batch}-01-{wrong}", "does not fit; type it again."),
        (f"{batch}-09", "has no vessel number 9."),
        ("ZZ26Q-01", "There is no batch ZZ26Q here."),
        ("blue cupboard", "is not a code; one looks like"),
    ):
        look_up(page, typed)
        told(page, sentence)


def test_the_link_of_an_unknown_label_is_answered_in_a_sentence(
    batch, operator, sit, faults
):
    faults.expect(404)
    page = sit(operator, width=360)

    page.goto(f"/B/{batch}/77")

    expect(page.get_by_role("main")).to_contain_text("A code read from a label can")
    look_up(page, f"{batch}-01")
    expect(page.get_by_role("heading", level=1)).to_contain_text(f"{batch}-01")


def test_a_stranger_who_scans_a_label_is_led_back_to_it_after_logging_in(
    batch, operator, sit
):
    page = sit(width=360)
    page.goto(f"/B/{batch}/02")

    field(page, "Username").fill("the-operator")
    field(page, "Password").fill("argon")
    press(page, "Log in")

    expect(page).to_have_url(re.compile(rf"/batches/{batch}/\?vessel=2"))


def test_a_partner_sees_what_is_booked_for_them_and_nothing_of_others(
    batch, partner, sit, faults, width
):
    mine, theirs = batch.vessels.order_by("number")[:2]
    make_booking(mine, 2 * G, project=make_project(partner, title="Vapour cells"))
    other = make_booking(theirs, project=make_project(title="Getter films"))
    page = sit(partner, width=width)

    page.goto("/")
    expect(page.get_by_role("main")).to_contain_text("2.000 g")
    expect(page.get_by_role("main")).not_to_contain_text("Getter films")
    page.goto(f"/B/{batch}/01")
    expect(page.get_by_role("main")).to_contain_text(f"{batch}-01")
    expect(page.get_by_role("main")).not_to_contain_text(f"{batch}-02")
    expect(page.get_by_label("Find a code")).to_have_count(0)

    faults.expect(404)
    page.goto(other.get_absolute_url())
    expect(page.get_by_role("main")).not_to_contain_text("Getter films")
