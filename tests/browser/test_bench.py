"""Filling many vessels at the bench: by keyboard, and without a script."""

import re

import pytest

from inventory.models import Movement, Vessel
from inventory.operations import vessels
from tests.browser.benched import (
    bench_of,
    box,
    state,
    tab_to,
    weigh,
)
from tests.browser.walking import expect, field, panel, press, told
from tests.factories import (
    ML,
    G,
    earlier,
    fill,
    make_balance,
    make_batch,
    make_tared,
    make_weighed_vessel,
    signed,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def batch(shipped):
    make_balance(name="Balance 1")
    return make_batch("Rb")


@pytest.fixture
def tared(batch):
    """Return three vessels of 20 mL, tared at 20 g under argon."""
    return [make_tared(batch) for _ in range(3)]


def test_three_vessels_are_tared_and_filled_by_keyboard_alone(
    batch, operator, sit, width
):
    made = vessels.lay_out(batch, "ampoule", 20 * ML, 3, **signed())
    page = sit(operator, width=width)
    page.goto(bench_of(batch))

    tab_to(page, box(page, made[0], "Tare"))
    for number in range(3):
        page.keyboard.type(f"20.{number}")
        page.keyboard.press("Enter")
    expect(state(page, made[2])).to_contain_text("recorded")
    for _ in range(3):
        page.keyboard.press("ArrowUp")
    expect(box(page, made[0])).to_be_focused()
    page.keyboard.type("25.0000 g")
    page.keyboard.press("Tab")
    page.keyboard.type("argon")
    page.keyboard.press("Enter")
    for number in (1, 2):
        expect(box(page, made[number])).to_be_focused()
        page.keyboard.type(f"25.{number}")
        page.keyboard.press("ArrowDown")

    for vessel in made:
        expect(state(page, vessel)).to_contain_text("recorded")
        expect(state(page, vessel)).to_contain_text("± ")
    expect(page.get_by_text("in 3 vessels")).to_be_visible()
    grosses = Movement.objects.order_by("id").values_list(
        "heavy__reading_ug", flat=True
    )
    assert list(grosses) == [25 * G, 25_100_000, 25_200_000]


def test_enter_in_the_last_row_adds_a_new_vessel(batch, operator, sit, width):
    page = sit(operator, width=width)
    page.goto(bench_of(batch))
    box(page, None, "Inner volume").fill("20 mL")
    box(page, None, "Tare").fill("20")

    page.keyboard.press("Enter")

    expect(state(page, f"{batch}-01")).to_contain_text("recorded")
    new = box(page, None, "Tare")
    expect(new).to_be_focused()
    expect(box(page, None, "Inner volume")).to_have_value("20 mL")
    page.keyboard.type("20.5")
    page.keyboard.press("Enter")
    expect(state(page, f"{batch}-02")).to_contain_text("recorded")
    assert Vessel.objects.count() == 2


def test_a_refused_row_says_why_and_is_sent_again_once_it_is_right(
    batch, tared, operator, sit, faults, width
):
    faults.expect_by_script(422)
    page = sit(operator, width=width)
    page.goto(bench_of(batch))

    weigh(page, tared[0], "19")
    expect(state(page, tared[0])).to_contain_text("refused:")
    expect(state(page, tared[0])).to_contain_text("lighter than the tare")
    expect(box(page, tared[0])).to_have_attribute("aria-invalid", "true")
    page.reload()
    expect(state(page, tared[0])).to_contain_text("lighter than the tare")
    box(page, tared[0]).fill("25")
    box(page, tared[0]).press("Enter")

    expect(state(page, tared[0])).to_contain_text("recorded")
    assert Movement.objects.count() == 1


def test_escape_takes_back_what_is_not_saved(batch, tared, operator, sit):
    page = sit(operator)
    page.goto(bench_of(batch))
    box(page, tared[0]).fill("25")
    box(page, tared[0], "Kept in").select_option("argon")

    page.keyboard.press("Escape")

    expect(box(page, tared[0])).to_have_value("")
    expect(box(page, tared[0], "Kept in")).to_have_value("")
    page.reload()
    expect(box(page, tared[0])).to_have_value("")
    assert not Movement.objects.exists()


def test_a_vessel_that_somebody_else_filled_is_refused_and_nothing_is_lost(
    batch, tared, operator, sit, faults
):
    faults.expect_by_script(422)
    page = sit(operator)
    page.goto(bench_of(batch))
    fill(tared[0], stated_ug=G)

    weigh(page, tared[0])

    expect(state(page, tared[0])).to_contain_text("was filled meanwhile")
    page.reload()
    expect(state(page, tared[0])).to_contain_text("was filled meanwhile")
    assert Movement.objects.count() == 1


def test_the_sum_follows_each_row_from_a_receiver(batch, operator, sit):
    receiver = make_weighed_vessel(batch, filled_at=earlier(hours=2))
    one, other = make_tared(batch), make_tared(batch)
    page = sit(operator)
    page.goto(bench_of(batch))
    field(page, "Metal comes from").select_option(str(receiver))

    weigh(page, one, "22")
    expect(panel(page, "The sum so far")).to_contain_text("2.00187 g")
    box(page, other).fill("21.5")
    box(page, other).press("Enter")

    in_all = re.compile(r"3\.50327 g .* in 2 vessels")
    expect(panel(page, "The sum so far")).to_contain_text(in_all)
    page.reload()
    expect(field(page, "Metal comes from")).to_have_value(str(receiver))
    assert Movement.objects.filter(kind="transfer", from_vessel=receiver).count() == 2


def test_oil_is_asked_for_where_a_row_is_kept_in_oil(
    shipped, operator, sit, faults, width
):
    faults.expect_by_script(422)
    make_balance(name="Balance 1")
    vessel = make_tared(make_batch("K"))
    page = sit(operator, width=width)
    page.goto(bench_of(vessel.batch))
    added = "Liquid added since the tare"
    expect(box(page, vessel, added)).to_be_hidden()

    box(page, vessel, "Kept in").select_option("mineral_oil_light")
    box(page, vessel, added).fill("3 mL")
    box(page, vessel).fill("27")
    box(page, vessel).press("Enter")
    expect(state(page, vessel)).to_contain_text(
        "Gas above a liquid: Say which gas is above the light mineral oil."
    )
    field(page, "Gas above a liquid").select_option("argon")
    box(page, vessel).press("Enter")

    expect(state(page, vessel)).to_contain_text("recorded")
    assert Movement.objects.get().heavy.liquid_ug == pytest.approx(2_520_000, rel=0.01)


def test_without_a_script_each_row_is_saved_by_its_button(
    batch, tared, operator, sit, width
):
    page = sit(operator, width=width, javascript=False)
    page.goto(bench_of(batch))
    box(page, tared[0]).fill("25.0000")
    box(page, tared[0], "Kept in").select_option("argon")
    box(page, tared[1]).fill("25,5 g")

    press(page, f"Save this row: {tared[0]}")
    told(page, f"Filled {tared[0]}")
    expect(box(page, tared[1])).to_have_value("25,5 g")
    press(page, f"Save this row: {tared[1]}")

    expect(box(page, tared[1])).to_have_accessible_description(
        re.compile("Write a point")
    )
    expect(box(page, tared[1])).to_have_value("25,5 g")
    assert Movement.objects.count() == 1


def test_without_a_script_enter_saves_the_row_that_was_typed(
    batch, tared, operator, sit
):
    page = sit(operator, javascript=False)
    page.goto(bench_of(batch))
    box(page, tared[1], "Kept in").select_option("argon")
    box(page, tared[1]).fill("25.5")

    box(page, tared[1]).press("Enter")

    told(page, f"Filled {tared[1]}")
    assert Movement.objects.get().to_vessel == tared[1]
