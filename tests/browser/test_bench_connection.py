"""Rows of the bench outlive reloads, lost answers, log-outs and other people."""

import re

import pytest
from django.conf import settings

from inventory.models import LogEntry, Movement, Role, User, Vessel
from tests.browser.benched import (
    ROW,
    WAITING,
    bench_of,
    box,
    come_back,
    lose,
    state,
    weigh,
)
from tests.browser.conftest import sign_in
from tests.browser.walking import expect, press
from tests.factories import (
    make_balance,
    make_batch,
    make_tared,
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


def test_a_row_that_was_not_sent_survives_a_reload_and_is_sent_then(
    batch, tared, operator, sit, width
):
    page = sit(operator, width=width)
    page.goto(bench_of(batch))
    lose(page)
    weigh(page, tared[0])
    # Nothing is under way at the reload: what the browser would do with that varies.
    expect(state(page, tared[0])).to_contain_text("There is no connection.")
    box(page, tared[1]).fill("25.1")

    page.reload()

    expect(box(page, tared[0])).to_have_value("25 g")
    expect(state(page, tared[0])).to_contain_text(WAITING)
    expect(box(page, tared[1])).to_have_value("25.1")
    assert not Movement.objects.exists()
    page.unroute(ROW)
    come_back(page)
    expect(state(page, tared[0])).to_contain_text("recorded")
    box(page, tared[1]).press("Enter")
    expect(state(page, tared[1])).to_contain_text("recorded")
    assert Movement.objects.count() == 2
    page.reload()
    expect(page.get_by_text(WAITING)).to_have_count(0)


def test_rows_typed_without_a_connection_are_sent_once_when_it_is_back(
    batch, tared, operator, sit, faults
):
    faults.expect_no_network()
    page = sit(operator)
    page.goto(bench_of(batch))
    page.context.set_offline(True)

    weigh(page, tared[0])
    for vessel in tared[1:]:
        box(page, vessel).fill("25.5")
        box(page, vessel).press("Enter")
    for vessel in tared:
        expect(state(page, vessel)).to_contain_text(WAITING)
        expect(state(page, vessel)).to_contain_text("There is no connection.")
    lines = LogEntry.objects.count()
    page.context.set_offline(False)

    for vessel in tared:
        expect(state(page, vessel)).to_contain_text("recorded")
    assert LogEntry.objects.count() == lines + 3
    assert Movement.objects.count() == 3


def lose_answers(page):
    """Let the first row reach the server, and lose its answer and all further rows."""
    sent = []

    def answer(route):
        if not sent:
            route.fetch()
        sent.append(route.request.post_data)
        route.abort("aborted")

    page.route(ROW, answer)
    return sent


def test_a_row_whose_answer_was_lost_is_sent_again_and_recorded_once(
    batch, tared, operator, sit
):
    page = sit(operator)
    page.goto(bench_of(batch))
    sent = lose_answers(page)
    weigh(page, tared[0])
    expect(state(page, tared[0])).to_contain_text("There is no connection.")
    assert sent
    assert Movement.objects.count() == 1
    expect(box(page, tared[0])).to_have_attribute("readonly", "")

    page.unroute(ROW)
    come_back(page)
    expect(state(page, tared[0])).to_contain_text("recorded")

    assert Movement.objects.count() == 1


def test_a_new_vessel_whose_answer_was_lost_is_made_once_and_then_filled(
    batch, operator, sit
):
    page = sit(operator)
    page.goto(bench_of(batch))
    lose_answers(page)
    box(page, None, "Inner volume").fill("20 mL")
    box(page, None, "Tare").fill("20")
    box(page, None, "Kept in").select_option("argon")
    box(page, None, "Tare").press("Enter")
    expect(page.get_by_text("There is no connection.", exact=True)).to_be_visible()

    # Nobody here knows that the tare is recorded and the vessel made.
    box(page, None).first.fill("25")
    page.unroute(ROW)
    box(page, None).first.press("Enter")

    expect(state(page, f"{batch}-01")).to_contain_text("± ")
    assert Vessel.objects.count() == Movement.objects.count() == 1


def test_after_a_reload_a_vessel_whose_answer_was_lost_stands_in_one_row(
    batch, operator, sit
):
    page = sit(operator)
    page.goto(bench_of(batch))
    lose_answers(page)
    box(page, None, "Inner volume").fill("20 mL")
    box(page, None, "Tare").fill("20")
    box(page, None, "Tare").press("Enter")
    expect(page.get_by_text("There is no connection.", exact=True)).to_be_visible()

    page.unroute(ROW)
    page.reload()

    expect(state(page, f"{batch}-01")).to_contain_text("recorded")
    expect(page.get_by_text(f"{batch}-01", exact=True)).to_have_count(1)
    assert Vessel.objects.count() == 1


def test_a_kept_row_that_cannot_be_read_is_told_and_holds_up_no_other(
    batch, tared, operator, sit
):
    page = sit(operator)
    page.goto(bench_of(batch))
    lose(page)
    weigh(page, tared[0])
    expect(state(page, tared[0])).to_contain_text("There is no connection.")
    broken = f"tarebook-bench:{operator.pk}:{batch}:n-broken"
    page.evaluate("(key) => localStorage.setItem(key, '{tare: 20.31')", broken)
    page.unroute(ROW)

    page.reload()

    expect(page.get_by_text("{tare: 20.31")).to_be_visible()
    expect(state(page, tared[0])).to_contain_text("recorded")
    page.reload()
    expect(page.get_by_text("is damaged")).to_be_hidden()


def test_whoever_may_no_longer_send_rows_is_told_so_and_not_to_log_in(
    batch, tared, operator, sit, faults
):
    faults.expect_by_script(403)
    page = sit(operator)
    page.goto(bench_of(batch))
    User.objects.filter(pk=operator.pk).update(role=Role.READER)

    weigh(page, tared[0])

    expect(state(page, tared[0])).to_contain_text("Your role does not let you send it.")
    expect(page.get_by_role("link", name="Log in again")).to_be_hidden()


def test_whoever_was_logged_out_logs_in_again_and_the_row_is_sent(
    batch, tared, operator, sit
):
    page = sit(operator)
    page.goto(bench_of(batch))
    page.context.clear_cookies(name=settings.SESSION_COOKIE_NAME)
    weigh(page, tared[0])
    expect(state(page, tared[0])).to_contain_text("You are logged out here.")

    with page.context.expect_page() as opened:
        page.get_by_role("link", name="Log in again").click()
    window = opened.value
    window.get_by_label("Username").fill("the-operator")
    window.get_by_label("Password").fill("argon")
    press(window, "Log in")
    expect(window).to_have_title(re.compile("Home"))
    window.close()
    come_back(page)

    expect(state(page, tared[0])).to_contain_text("recorded")
    assert Movement.objects.get().entry.by == operator


def test_another_person_at_the_same_machine_neither_sees_nor_sends_the_rows(
    batch, tared, operator, keeper, sit, faults, live_server
):
    faults.expect_by_script(409)
    faults.expect_no_network()
    page = sit(operator)
    page.goto(bench_of(batch))
    page.context.set_offline(True)
    weigh(page, tared[0])
    expect(state(page, tared[0])).to_contain_text(WAITING)

    sign_in(page.context, keeper, live_server.url)
    page.context.set_offline(False)
    expect(state(page, tared[0])).to_contain_text("did not type this")
    page.reload()
    expect(box(page, tared[0])).to_have_value("")
    assert not Movement.objects.exists()
    sign_in(page.context, operator, live_server.url)
    page.reload()

    expect(state(page, tared[0])).to_contain_text("recorded")
    assert Movement.objects.get().entry.by == operator


def test_a_browser_that_keeps_nothing_says_so_and_the_rows_are_saved_all_the_same(
    batch, tared, operator, sit
):
    page = sit(operator)
    page.add_init_script(
        "Storage.prototype.setItem = () => { throw new Error('forbidden'); }"
    )
    page.goto(bench_of(batch))
    expect(page.get_by_text("This browser keeps nothing for this page")).to_be_visible()

    weigh(page, tared[0])

    expect(state(page, tared[0])).to_contain_text("recorded")
