"""Withdrawing in the browser: each way of taking, and every way of pressing twice."""

import re

import pytest

from inventory.models import Movement, MovementKind
from tests.browser.walking import (
    expect,
    field,
    panel,
    press,
    reading,
    refused,
    told,
)
from tests.factories import ML, G, make_batch, make_vessel

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

RECORD = "Record the withdrawal"


@pytest.fixture
def ampoule(shipped):
    return make_vessel(holding_ug=5 * G)


@pytest.fixture
def bulb(shipped):
    """Return a bulb of sodium-potassium alloy, liquid at room temperature."""
    batch = make_batch("NaK")
    return make_vessel(batch, kind="bulb", capacity_ul=50 * ML, holding_ug=10 * G)


def withdrawals():
    return Movement.objects.filter(kind=MovementKind.WITHDRAWAL).count()


def open_form(page, vessel):
    page.goto(vessel.get_absolute_url())
    page.get_by_role("main").get_by_role("link", name="Withdraw", exact=True).click()


def ask_for_two_grams(page):
    field(page, "Vessel weighed before and after").check()
    field(page, "Vessel before").fill("24.9953 g")
    field(page, "Vessel after").fill("22.9953 g")
    field(page, "For").fill("Vapour cell filling")


def test_between_two_weighings_what_is_worked_out_is_what_is_recorded(
    ampoule, keeper, sit, width
):
    page = sit(keeper, width=width)
    open_form(page, ampoule)
    ask_for_two_grams(page)

    press(page, "Work it out first")
    worked_out, spread = reading(panel(page, "Worked out, not recorded yet"))
    assert withdrawals() == 0
    press(page, RECORD)

    told(page, "Withdrew")
    # Handbook sum: 2 g × (1 − 1.2/8000) ÷ (1 − 1.66/1532), argon at 1.66 kg/m³ having
    # taken the place of rubidium at 1532 kg/m³.
    assert worked_out == pytest.approx(2.0019, abs=5e-4)
    taken = panel(page, "Ledger").get_by_role("row").filter(has_text="Withdrawal")
    assert reading(taken) == (worked_out, spread)
    left, _ = reading(page.get_by_role("main"))
    assert left == pytest.approx(5 - worked_out, abs=2e-3)


def test_a_volume_of_liquid_alloy_is_taken_at_its_density_there(bulb, keeper, sit):
    page = sit(keeper, width=360)
    open_form(page, bulb)

    field(page, "Drawn as a volume").check()
    field(page, "Volume drawn").fill("2 mL")
    field(page, "Temperature of the metal").fill("20 °C")
    field(page, "For").fill("Drying column")
    press(page, RECORD)

    told(page, "Withdrew")
    taken = panel(page, "Ledger").get_by_role("row").filter(has_text="Withdrawal")
    # Handbook table, 20 °C: 0.866 g/mL. Foust's eq. 1.9 gives 0.867, additive volumes
    # by mass 0.859: the sources lie 0.9 % apart.
    assert reading(taken)[0] == pytest.approx(2 * 0.866, rel=0.015)


def test_a_whole_ampoule_leaves_a_spent_vessel(ampoule, keeper, sit):
    page = sit(keeper, width=360)
    open_form(page, ampoule)

    field(page, "The whole contents").check()
    field(page, "For").fill("Broken into the reaction")
    press(page, RECORD)

    expect(page.get_by_role("main")).to_contain_text("spent")
    expect(page.get_by_role("link", name="Withdraw", exact=True)).to_have_count(0)


def test_more_than_is_left_is_refused_with_the_number_that_is(ampoule, keeper, sit):
    page = sit(keeper, width=360)
    open_form(page, ampoule)
    ask_for_two_grams(page)

    field(page, "Vessel after").fill("18.9953 g")
    press(page, RECORD)

    expect(page.get_by_role("main")).to_contain_text("Nothing was recorded.")
    expect(page.get_by_role("main")).to_contain_text(
        re.compile(r"5\.0\d* g is (left|free)")
    )
    expect(field(page, "Vessel before")).to_have_value("24.9953 g")
    assert withdrawals() == 0


def test_a_unit_of_the_wrong_kind_is_refused_at_its_field(ampoule, keeper, sit):
    page = sit(keeper, width=360)
    open_form(page, ampoule)
    ask_for_two_grams(page)

    field(page, "Vessel after").fill("23 mL")
    press(page, RECORD)

    refused(page, "Vessel after", "mass")
    expect(field(page, "Vessel after")).to_have_value("23 mL")


def test_a_double_click_records_once(ampoule, keeper, sit):
    page = sit(keeper)
    open_form(page, ampoule)
    ask_for_two_grams(page)

    page.get_by_role("button", name=RECORD).dblclick()

    told(page, "Withdrew")
    assert withdrawals() == 1


class SlowLine:
    """Lets every form reach the server, and keeps the answer to the first one back."""

    def __init__(self, page):
        self.page = page
        self.sent, self.kept = [], None
        page.route("**/withdraw/", self.carry)

    def carry(self, route):
        self.sent.append(route)
        answer = route.fetch(max_redirects=0)
        if route is self.sent[0]:
            self.kept = answer
        else:
            route.fulfill(response=answer)

    def press_twice(self, name):
        """Press, and press again when the server has recorded and not yet answered."""
        button = self.page.get_by_role("button", name=name, exact=True)
        button.scroll_into_view_if_needed()
        box = button.bounding_box()
        middle = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        self.page.mouse.click(*middle)
        for _ in range(500):
            if self.kept is None:
                self.page.wait_for_timeout(10)
        self.page.mouse.click(*middle)

    def deliver(self):
        self.sent[0].fulfill(response=self.kept)


def test_pressing_again_while_the_answer_is_awaited_sends_nothing_more(
    ampoule, keeper, sit
):
    page = sit(keeper, width=360)
    open_form(page, ampoule)
    ask_for_two_grams(page)
    line = SlowLine(page)

    line.press_twice(RECORD)
    line.deliver()

    told(page, "Withdrew")
    assert len(line.sent) == 1
    assert withdrawals() == 1


def test_without_javascript_pressing_again_is_sent_and_records_nothing_more(
    ampoule, keeper, sit
):
    page = sit(keeper, width=360, javascript=False)
    open_form(page, ampoule)
    ask_for_two_grams(page)
    line = SlowLine(page)

    line.press_twice(RECORD)

    told(page, "sent already")
    assert len(line.sent) == 2
    assert withdrawals() == 1


def test_back_and_sent_again_says_so_and_records_nothing(ampoule, keeper, sit):
    page = sit(keeper, width=360)
    open_form(page, ampoule)
    ask_for_two_grams(page)
    press(page, RECORD)
    told(page, "Withdrew")

    page.go_back(wait_until="commit")
    expect(field(page, "Vessel before")).to_have_value("24.9953 g")
    press(page, RECORD)

    told(page, "sent already")
    assert withdrawals() == 1
