"""One bench in two windows of the same browser: no row is sent by both, none is lost."""

import pytest

from inventory.models import Vessel
from tests.browser.benched import bench_of, box, state
from tests.browser.walking import expect
from tests.factories import make_balance, make_batch

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def batch(shipped):
    make_balance(name="Balance 1")
    return make_batch("Rb")


def in_two_windows(page, batch):
    """Type a new vessel, and open its bench once more; return the second window."""
    page.goto(bench_of(batch))
    box(page, None, "Inner volume").fill("20 mL")
    box(page, None, "Tare").fill("20")
    other = page.context.new_page()
    other.goto(bench_of(batch))
    expect(box(other, None, "Tare").last).to_have_value("20")
    return other


def test_a_window_that_was_told_nothing_sends_no_row_that_another_one_sent(
    batch, operator, sit
):
    page = sit(operator)
    page.context.add_init_script(
        "addEventListener('storage', (event) => event.stopImmediatePropagation());"
    )
    other = in_two_windows(page, batch)
    box(page, None, "Tare").press("Enter")
    expect(state(page, f"{batch}-01")).to_contain_text("recorded")
    expect(box(other, None, "Tare").last).to_have_value("20")

    box(other, None, "Tare").last.press("Enter")

    expect(other.get_by_text("Another window of this bench sent")).to_be_visible()
    expect(box(other, None, "Tare").nth(1)).to_have_value("")
    assert Vessel.objects.count() == 1


def test_what_is_typed_over_a_row_that_another_window_sent_is_kept_and_sent_on_demand(
    batch, operator, sit
):
    page = sit(operator)
    page.context.add_init_script(
        "addEventListener('storage', (event) => event.stopImmediatePropagation());"
    )
    other = in_two_windows(page, batch)
    box(page, None, "Tare").press("Enter")
    expect(state(page, f"{batch}-01")).to_contain_text("recorded")

    mine = box(other, None, "Tare").last
    mine.fill("21")
    mine.press("Tab")
    box(other, None, "Tare").first.focus()
    expect(other.get_by_text("sent or changed this row too")).to_be_visible()
    expect(mine).to_have_value("21")
    assert Vessel.objects.count() == 1
    mine.press("Enter")

    expect(state(other, f"{batch}-02")).to_contain_text("recorded")
    assert Vessel.objects.count() == 2
