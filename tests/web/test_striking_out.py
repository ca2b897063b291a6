"""Striking a check weighing out: it stays to be seen, and counts no more."""

import pytest

from inventory.models import Movement, Weighing
from inventory.operations import ledger
from tests.factories import G, make_balance, make_batch, make_vessel
from tests.web.person import opened, recorded, refused, refused_as_a_whole, sent_twice


@pytest.fixture
def vessel(shipped):
    """Return an argon-filled ampoule of 20 mL that holds 5 g of rubidium."""
    make_balance(name="Balance 1")
    return make_vessel(make_batch("Rb"))


@pytest.fixture
def wrong(as_keeper, vessel):
    """Return a check weighing, half a gram off, that was held to show lost metal."""
    recorded(
        as_keeper,
        f"/vessels/{vessel.pk}/check/",
        reading="24.4953 g",
        cause="metal",
        reason="a spill",
    )
    return Weighing.objects.get(purpose="check")


def strike(weighing):
    return f"/weighings/{weighing.pk}/strike/"


def test_the_vessel_s_page_leads_to_striking_a_check_out(as_keeper, vessel, wrong):
    links = opened(as_keeper, vessel.get_absolute_url()).links

    assert strike(wrong) in links
    others = Weighing.objects.exclude(pk=wrong.pk)
    assert not {strike(weighing) for weighing in others} & set(links)


def test_a_struck_weighing_stays_visible_with_the_reason(as_keeper, vessel, wrong):
    page = recorded(as_keeper, strike(wrong), reason="it was another vessel")

    row = page.table_under("readings")[-1]
    assert "Struck out" in row[1]
    assert "it was another vessel" in row[1]
    assert row[2] == "24.4953 g"
    assert [struck.text for struck in page.by_id("readings").above("section").all("s")]
    assert strike(wrong) not in page.links


def test_what_a_struck_weighing_changed_is_put_back_in_the_open(
    as_keeper, vessel, wrong
):
    page = recorded(as_keeper, strike(wrong), reason="it was another vessel")

    assert ledger.read(vessel.pk).remaining_ug == 5 * G
    assert Movement.objects.filter(kind="difference").count() == 2
    assert "it was another vessel" in page.table_under("ledger")[-1][4]
    assert "Remaining 5.000" in page.main.text


def test_a_struck_weighing_leaves_the_drawing_and_the_steps(as_keeper, vessel, wrong):
    before = len(opened(as_keeper, vessel.get_absolute_url()).table_under("over-time"))

    page = recorded(as_keeper, strike(wrong), reason="it was another vessel")

    assert len(page.table_under("over-time")) < before
    assert "Weighed again" not in str(page.table_under("over-time"))


def test_striking_out_without_a_reason_is_refused(as_keeper, wrong):
    refused(as_keeper, strike(wrong), "reason", reason="")


def test_a_weighing_is_struck_out_once_only(as_keeper, wrong):
    recorded(as_keeper, strike(wrong), reason="it was another vessel")

    words = refused_as_a_whole(as_keeper, strike(wrong), reason="again")

    assert "This weighing is struck out already." in words


def test_striking_out_sent_twice_is_recorded_once_and_says_so(as_keeper, wrong):
    page = sent_twice(as_keeper, strike(wrong), reason="it was another vessel")

    assert "had been sent already" in page.messages


def test_a_reading_that_proves_a_movement_is_not_struck_out(as_keeper, vessel):
    tare = vessel.weighings.get(purpose="tare")

    words = refused_as_a_whole(as_keeper, strike(tare), reason="misread")

    assert "correct the movement instead" in words
