"""The whole main job, walked as a person would, at the desk and on the phone."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import Batch, Vessel
from tests.browser.walking import (
    expect,
    field,
    follow,
    go,
    links_on,
    look_up,
    panel,
    press,
    reading,
    the_pdf,
    told,
)
from tests.factories import make_balance, make_laboratory, make_place

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

TARES = ("12.8731 g", "12.9144 g", "12.7986 g")
# The weighing equation for a vessel closed at both weighings: 4.2475 g between the
# readings × (1 − 1.193/8000) + 5 mL of the air that vacuum took the place of, at
# 1.193 kg/m³ for 21.5 °C, 1013 hPa and 45 % (CIPM-2007).
GROSS, NET_G = "17.1206 g", 4.2528


@pytest.fixture
def laboratory(shipped):
    make_laboratory()
    make_balance(name="Analytical balance")
    make_place(name="Glovebox")


@pytest.mark.parametrize(
    ("width", "javascript"),
    [(1280, True), (360, True), (1280, False)],
    ids=["desk", "phone", "without JavaScript"],
)
def test_from_the_empty_glass_to_the_batch_record_behind_the_printed_label(
    laboratory, keeper, sit, width, javascript
):
    page = sit(width=width, javascript=javascript)
    log_in(page)
    code = record_a_batch(page)
    tare_three(page, code)
    fill_the_first(page)
    see_what_is_held(page, code)
    start_a_project(page)
    book_it(page, code)
    open_what_the_label_says(page, code)


def log_in(page):
    page.goto("/")
    field(page, "Username").fill("the-keeper")
    field(page, "Password").fill("argon")
    press(page, "Log in")
    expect(page).to_have_title(re.compile("Home"))


def record_a_batch(page):
    follow(page, "New batch")
    field(page, "Material").select_option("Rb")
    field(page, "Origin").select_option("Made here")
    field(page, "Process").select_option("Reduction")
    field(page, "Route").fill("calcium reduction of the chloride")
    field(page, "Purity").fill("99.8 %")
    press(page, "Record the batch")
    told(page, "recorded")
    charge(page, "RbCl", "Metal source", "60.00 g")
    charge(page, "Ca", "Reductant", "14.2 g")
    # 60.00 g of RbCl at 120.921 g/mol holds 496.2 mmol or 42.41 g of rubidium, by the
    # atomic weights of the CIAAW.
    expect(panel(page, "Charged")).to_contain_text(
        re.compile(r"42\.4\d*\sg\s±\s0\.\d+\sg\s\(k\s=\s2\)\s+496\smmol")
    )
    return Batch.objects.get().code


def unfold(page):
    """Open what a small screen folds away."""
    more = page.get_by_text("More to do")
    if more.is_visible():
        more.click()


def charge(page, formula, role, mass):
    unfold(page)
    follow(page, "Charge")
    field(page, "Formula").fill(formula)
    field(page, "Role").select_option(role)
    field(page, "Mass").fill(mass)
    press(page, "Record the charge")
    expect(panel(page, "Charged")).to_contain_text(formula)


def tare_three(page, code):
    page.get_by_role("link", name="Tare vessels").first.click()
    expect(field(page, "Batch")).to_have_value(code)
    for row, tare in enumerate(TARES):
        field(page, "Tare").nth(row).fill(tare)
    field(page, "Kind of vessel").select_option("Ampoule")
    field(page, "Inner volume").fill("5 mL")
    field(page, "Place").select_option("Glovebox")
    note_the_air(page)
    press(page, "Record the tares")
    told(page, f"Tared 3 vessels: {code}-01, {code}-02, {code}-03")


def note_the_air(page):
    page.get_by_text("The air around").click()
    field(page, "Air temperature").fill("21.5 °C")
    field(page, "Air pressure").fill("1013 hPa")
    field(page, "Relative humidity").fill("45 %")


def fill_the_first(page):
    page.get_by_role("row").filter(has_text="-01").get_by_role(
        "link", name="Fill"
    ).click()
    field(page, "Gross: vessel, closure and contents").fill(GROSS)
    field(page, "Kept in").select_option("vacuum")
    field(page, "Closed with").select_option("Flame-sealed")
    note_the_air(page)
    press(page, "Work it out first")
    worked_out, spread = reading(panel(page, "Worked out, not recorded yet"))
    assert worked_out == pytest.approx(NET_G, abs=5e-4)
    assert Vessel.objects.filter(filled_on=None).count() == 3

    press(page, "Record the filling")
    told(page, "Filled")
    assert reading(page.get_by_role("main")) == (worked_out, spread)
    # 4.25 g of rubidium at 1.532 g/cm³ (CRC Handbook, 20 °C) are 2.78 mL.
    figure = page.get_by_role("main").get_by_role("img").first
    expect(figure).to_have_accessible_name(re.compile(r"-01"))
    expect(page.get_by_role("main")).to_contain_text(re.compile(r"2\.7[5-9] mL"))


def see_what_is_held(page, code):
    go(page, "Home")
    held = page.get_by_role("listitem").filter(has_text="g free")
    expect(held).to_contain_text("Rubidium")
    expect(held).to_contain_text("4.253 g in 1 vessel")
    field(page, "Material").select_option("Rb")
    field(page, "Need").fill("25 mmol")
    press(page, "Look")
    expect(panel(page, "Is there enough?")).to_contain_text("Yes")
    look_up(page, f"{code.lower()} 1")
    expect(page.get_by_role("heading", level=1)).to_contain_text(f"{code}-01")


def start_a_project(page):
    go(page, "Projects")
    follow(page, "New project")
    field(page, "Title").fill("Vapour cells")
    press(page, "Start the project")
    told(page, "Vapour cells started")


def book_it(page, code):
    go(page, "Vessels")
    page.get_by_label(f"Select {code}-01").check()
    press(page, "Book from the ticked")
    expect(page.get_by_label(f"Book from {code}-01")).to_be_checked()
    field(page, "Project").select_option("Vapour cells")
    field(page, "For").fill("Vapour cell filling")
    in_a_week = timezone.localdate() + timedelta(days=7)
    field(page, "Needed by").fill(in_a_week.isoformat())
    press(page, "Record the booking")
    told(page, f"Booked 4.253 g for Vapour cells from {code}-01")


def open_what_the_label_says(page, code):
    follow(page, "Labels")
    (link,) = links_on(the_pdf(page))
    assert link.endswith(f"/B/{code}/01".upper())
    page.goto(link)
    expect(page.get_by_role("heading", level=1)).to_contain_text(f"Rubidium {code}")
    marked = page.get_by_role("main").locator("[aria-current=true]")
    expect(marked).to_have_count(1)
    expect(marked).to_contain_text(f"{code}-01")
    expect(marked).to_be_in_viewport()
