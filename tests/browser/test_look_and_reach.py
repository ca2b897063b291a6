"""Every page fits a phone, is reached by keyboard, and is dark where people want it.

That nothing scrolls sideways and every button is high enough is watched by watch.js
in all tests here; the pages below are those that the walks do not come by.
"""

import re

import pytest

from inventory.models import Movement
from inventory.operations import vessels
from tests.browser.walking import expect, field, panel, press, told
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_place,
    make_project,
    make_tared,
    make_vessel,
    signed,
)
from tests.web.addresses import FILES, PAGES, address
from tests.web.answers import ROLES
from tests.web.laboratory import furnish

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

OPEN_ALL = "for (const fold of document.querySelectorAll('details')) fold.open = true"
TOO_WIDE = "document.documentElement.scrollWidth > innerWidth"
GROUND = """() => {
  const [red, green, blue] = getComputedStyle(document.body).backgroundColor
    .match(/[\\d.]+/g).map(Number);
  return (0.2126 * red + 0.7152 * green + 0.0722 * blue) / 255;
}"""


@pytest.mark.parametrize("role", ["keeper", "partner"])
def test_no_page_scrolls_sideways_or_complains(shipped, keeper, partner, sit, role):
    lab = furnish(partner)
    page = sit({"keeper": keeper, "partner": partner}[role], width=360)

    too_wide = []
    for (name, _), (arguments, query, answers) in PAGES.items():
        if answers[ROLES.index(role)] == 200 and name not in FILES:
            page.goto(address(name, arguments, query, lab))
            page.evaluate(OPEN_ALL)
            for width in (360, 1280):
                page.set_viewport_size({"width": width, "height": 800})
                if page.evaluate(TOO_WIDE):
                    too_wide.append((page.url, width))
            page.set_viewport_size({"width": 360, "height": 800})

    assert not too_wide


def test_long_unbroken_names_do_not_push_a_page_sideways(shipped, keeper, sit, width):
    place = make_place(name="W" * 80)
    vessel = make_vessel(make_batch(route="r" * 300, lot="L" * 80), glass_mark="M" * 30)
    vessels.move(vessel, place, **signed())
    tared = make_tared(glass_mark="W" * 30)
    booking = make_booking(vessel, G, project=make_project(title="T" * 120))
    page = sit(keeper, width=width)

    for url in (
        "/",
        "/vessels/?state=all",
        "/batches/",
        "/projects/",
        "/places/",
        "/bookings/new/?material=Rb",
        f"/vessels/{vessel.pk}/withdraw/",
        f"/vessels/{vessel.pk}/move/",
        place.get_absolute_url(),
        vessel.get_absolute_url(),
        tared.get_absolute_url(),
        vessel.batch.get_absolute_url(),
        booking.get_absolute_url(),
        booking.project.get_absolute_url(),
    ):
        page.goto(url)


def test_a_refused_form_fits_a_phone_and_is_read_from_the_refusal_on(
    shipped, keeper, partner, sit
):
    lab = furnish(partner)
    page = sit(keeper, width=360)

    for url, button in (
        ("/vessels/tare/", "Record the tares"),
        (f"/vessels/{lab.tared.pk}/fill/", "Record the filling"),
        (f"/vessels/{lab.opened.pk}/withdraw/", "Record the withdrawal"),
        ("/bookings/new/?material=Rb", "Record the booking"),
        ("/batches/new/", "Record the batch"),
    ):
        page.goto(url)
        page.evaluate("for (const form of document.forms) form.noValidate = true")
        press(page, button)

        refusal = page.locator("main [data-refused]")
        expect(refusal).to_be_focused()
        expect(refusal).to_contain_text("Nothing was recorded.")


def test_a_withdrawal_is_recorded_by_keyboard_alone(shipped, keeper, sit):
    vessel = make_vessel(holding_ug=5 * G)
    page = sit(keeper)
    page.goto(f"/vessels/{vessel.pk}/withdraw/")

    page.keyboard.press("Tab")
    skip = page.get_by_role("link", name=re.compile("Skip"))
    expect(skip).to_be_focused()
    expect(skip).to_be_in_viewport()
    page.keyboard.press("Enter")
    expect(page.get_by_role("main")).to_be_focused()
    tab_to(page, field(page, "Vessel before"))
    page.keyboard.type("24.9953 g")
    tab_to(page, field(page, "Vessel after"))
    page.keyboard.type("22.9953 g")
    tab_to(page, field(page, "For"))
    page.keyboard.type("Vapour cell filling")
    record = page.get_by_role("button", name="Record the withdrawal")
    tab_to(page, record)
    expect(record).not_to_have_css("outline-style", "none")
    page.keyboard.press("Enter")

    told(page, "Withdrew")
    assert Movement.objects.filter(kind="withdrawal").count() == 1


def tab_to(page, control):
    """Press the tabulator until the control has the focus."""
    for _ in range(30):
        page.keyboard.press("Tab")
        if control.evaluate("element => element === document.activeElement"):
            return
    pytest.fail(f"{control} is not reached by tabulator")


def test_the_dark_scheme_has_a_dark_ground_and_the_light_one_a_light(
    shipped, keeper, sit
):
    vessel = make_vessel()
    grounds = {}

    for scheme in ("light", "dark"):
        page = sit(keeper, width=360, scheme=scheme)
        page.goto(vessel.get_absolute_url())
        expect(panel(page, "Ledger")).to_be_visible()
        grounds[scheme] = page.evaluate(GROUND)

    assert grounds["light"] > 0.8
    assert grounds["dark"] < 0.2
