"""What a balance's record says against a reading: shown, recorded, never in the way."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import Balance, Weighing
from tests.factories import G, make_balance, make_batch, make_tared, make_vessel
from tests.web.person import opened, recorded, refused

BALANCE = {
    "name": "Balance 2",
    "readability": "0.1 mg",
    "repeatability": "0.2 mg",
    "nonlinearity": "0.3 mg",
    "capacity": "220 g",
    "drift": "1.5",
    "due_on": "2027-03-31",
    "certificate": "C-4711",
}
AGREES = "24.9953 g"

pytestmark = pytest.mark.usefixtures("shipped")


def days_ago(days):
    return timezone.localdate() - timedelta(days=days)


def test_a_balance_is_recorded_with_drift_due_date_and_certificate(as_keeper):
    recorded(as_keeper, "/balances/new/", **BALANCE)

    balance = Balance.objects.get()
    assert balance.drift_ppm == 1.5
    assert balance.due_on.isoformat() == "2027-03-31"
    assert balance.certificate == "C-4711"


def test_a_changed_balance_keeps_drift_due_date_and_certificate(as_keeper):
    recorded(as_keeper, "/balances/new/", **BALANCE)
    balance = Balance.objects.get()

    recorded(as_keeper, f"/balances/{balance.pk}/change/", name="Balance 9")

    balance.refresh_from_db()
    assert (balance.name, balance.drift_ppm) == ("Balance 9", 1.5)
    assert balance.due_on.isoformat() == "2027-03-31"
    assert balance.certificate == "C-4711"


@pytest.mark.parametrize("drift", ["-1", "1.5 mg", "nan", "inf", ""])
def test_a_drift_that_cannot_be_is_refused(as_keeper, drift):
    assert refused(as_keeper, "/balances/new/", "drift", **{**BALANCE, "drift": drift})


def test_a_due_date_that_is_none_is_refused(as_keeper):
    typed = {**BALANCE, "due_on": "2027-02-30"}

    assert refused(as_keeper, "/balances/new/", "due_on", **typed)


def test_the_list_of_balances_shows_when_each_is_due(as_keeper):
    recorded(as_keeper, "/balances/new/", **BALANCE)

    assert "31 Mar 2027" in opened(as_keeper, "/balances/").rows()[0]


def test_a_reading_on_an_overdue_balance_is_recorded_with_that(as_keeper):
    make_balance(name="Balance 1", due_on=days_ago(10))
    vessel = make_vessel(make_batch("Rb"))

    page = recorded(as_keeper, f"/vessels/{vessel.pk}/check/", reading=AGREES)

    due = f"{days_ago(10):%-d %b %Y}"
    shown = page.table_under("readings")[-1]
    assert f"the calibration of Balance 1 was due {due}" in shown[3]
    assert Weighing.objects.get(purpose="check").reservation


def test_a_balance_due_today_is_still_good(as_keeper):
    make_balance(name="Balance 1", due_on=days_ago(0))
    vessel = make_vessel(make_batch("Rb"))

    page = recorded(as_keeper, f"/vessels/{vessel.pk}/check/", reading=AGREES)

    assert page.table_under("readings")[-1][3] == "Balance 1"


def test_a_reading_above_what_the_balance_carries_is_recorded_with_that(as_keeper):
    make_balance(name="Balance 1", capacity_ug=22 * G)
    vessel = make_tared(make_batch("Rb"))

    page = recorded(
        as_keeper, f"/vessels/{vessel.pk}/fill/",
        gross="25 g", medium="argon", closure="stopcock",
    )  # fmt: skip

    tare, gross = page.table_under("readings")
    assert tare[3] == "Balance 1"
    assert "above the 22" in gross[3]
    assert "that Balance 1 carries" in gross[3]


@pytest.mark.parametrize("at", ["check", "fill", "tare", "withdraw"])
def test_whoever_weighs_with_a_reservation_is_told_so_at_once(as_keeper, at):
    make_balance(name="Balance 1", due_on=days_ago(10))
    batch = make_batch("Rb")
    tared = at in ("fill", "tare")
    vessel = make_tared(batch) if tared else make_vessel(batch)
    typed = {
        "check": {"reading": AGREES},
        "fill": {"gross": "25 g", "medium": "argon", "closure": "stopcock"},
        "tare": {"reading": "20 g", "gas": "argon"},
        "withdraw": {
            "method": "weighed",
            "before": AGREES,
            "after": "23.9953 g",
            "purpose": "a run",
        },
    }[at]

    page = recorded(as_keeper, f"/vessels/{vessel.pk}/{at}/", **typed)

    assert "the calibration of Balance 1 was due" in page.messages
