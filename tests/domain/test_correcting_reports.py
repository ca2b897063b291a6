"""Putting right what was recorded of a vessel in a partner's hands, or back from them."""

import pytest

from inventory.models import Return
from inventory.operations import checking, corrections, ledger, returning, taking
from tests.domain.handed import (
    empty,
    held_ug,
    make_handed,
    make_metal,
    report,
    take_back,
    weighed_back,
)
from tests.domain.records import on_record, refused
from tests.factories import (
    ROOM,
    G,
    earlier,
    expected_reading,
    observe,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def test_a_reported_use_is_corrected_while_the_vessel_is_still_there():
    line = make_handed()
    told = report(line, 2 * G)

    corrections.correct(told.movement, reason="another vessel", **signed())

    vessel = ledger.read(line.vessel_id)
    assert vessel.remaining_ug == line.mass_ug
    assert vessel.custodian == line.hand_over.partner
    assert Return.objects.get() == told
    assert returning.reported_ug(line) == 0


def test_a_reported_emptying_is_corrected_and_the_vessel_is_not_spent():
    line = make_handed()
    told = report(line)

    corrections.correct(told.movement, reason="another vessel", **signed())

    vessel = ledger.read(line.vessel_id)
    assert (vessel.spent_on, vessel.opened_on) == (None, None)


def test_other_movements_of_a_vessel_with_a_partner_are_not_corrected():
    line = make_handed()
    filling = line.vessel.movements_in.get()

    with refused(
        f"{line.vessel} is with {line.hand_over.partner}: record its return first."
    ):
        corrections.correct(filling, reason="the wrong one", **signed())


@pytest.mark.parametrize("how", ["empty", "weighed"])
def test_a_use_found_at_the_return_is_corrected_and_the_vessel_stays_here(how):
    line = make_handed()
    back = take_back(line, empty() if how == "empty" else weighed_back(line, 2 * G))

    corrections.correct(back.movement, reason="the wrong vessel", **signed())

    vessel = ledger.read(line.vessel_id)
    assert vessel.remaining_ug == line.mass_ug
    assert (vessel.custodian, vessel.spent_on) == (None, None)


def correct(told):
    return corrections.correct(told.movement, reason="another vessel", **signed())


def test_a_report_is_not_corrected_after_a_weighing_that_found_less_used():
    line = make_handed()
    told = report(line, 3 * G)
    take_back(line, weighed_back(line, -G))
    once = on_record()

    with refused(
        f"{line.vessel} came back and was weighed since: that decided. "
        "To put the report right, strike out that weighing first."
    ):
        correct(told)
    assert on_record() == once

    reading = line.vessel.weighings.last()
    checking.strike(reading, reason="the wrong vessel", **signed())
    correct(told)
    assert held_ug(line) == line.mass_ug


def test_a_report_is_not_corrected_after_a_weighing_that_found_more_used():
    line = make_handed()
    told = report(line, G)
    back = take_back(line, weighed_back(line, G))

    with refused(
        f"{line.vessel} came back and was weighed since: that decided. "
        "To put the report right, correct that return first."
    ):
        correct(told)

    correct(back)
    correct(told)
    assert held_ug(line) == line.mass_ug


def test_a_report_is_not_corrected_after_the_vessel_came_back_empty():
    line = make_handed()
    told = report(line)
    take_back(line, empty())

    with refused(f"{line.vessel} came back and was empty since: that decided."):
        correct(told)


def test_a_report_is_not_corrected_while_the_vessel_is_out_again():
    line = make_handed()
    told = report(line, G)
    correct(take_back(line, weighed_back(line, G)))
    again = make_handed(ledger.read(line.vessel_id), handed_at=earlier(minutes=1))

    with refused(
        f"{line.vessel} is with {again.hand_over.partner}: record its return first."
    ):
        correct(told)


def test_a_correction_sent_twice_is_done_once_though_the_vessel_left_meanwhile():
    vessel = make_metal()
    movement = take(vessel, taking.Received(G, 1_000), happened_at=earlier(days=1))
    about = {"reason": "another vessel", **signed()}
    first = corrections.correct(movement, **about)
    make_handed(ledger.read(vessel.pk), handed_at=earlier(minutes=1))

    assert corrections.correct(movement, **about) == first


def test_a_weighing_is_not_struck_out_while_the_vessel_is_with_a_partner():
    vessel = make_metal()
    lighter = expected_reading(vessel, taken_ug=G, **ROOM)
    checking.check(
        vessel,
        observe(lighter, gas=vessel.gas.key, read_at=earlier(hours=30), **ROOM),
        cause="metal",
        reason="spilt",
        **signed(),
    )
    line = make_handed(ledger.read(vessel.pk))
    reading = vessel.weighings.filter(purpose="check").get()
    once = on_record()

    with refused(
        f"{vessel} is with {line.hand_over.partner}: record its return first."
    ):
        checking.strike(reading, reason="the wrong vessel", **signed())
    assert on_record() == once


def test_a_strike_sent_twice_is_done_once_though_the_vessel_left_meanwhile():
    vessel = make_metal()
    same = expected_reading(vessel, **ROOM)
    seen = observe(same, gas=vessel.gas.key, read_at=earlier(hours=30), **ROOM)
    reading = checking.check(vessel, seen, **signed())
    about = {"reason": "the wrong vessel", **signed()}
    first = checking.strike(reading, **about)
    make_handed(ledger.read(vessel.pk))

    assert checking.strike(reading, **about) == first
