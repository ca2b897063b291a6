"""Inspections and heels: what was seen, when to look again, what cannot be got out."""

import pytest

from inventory.models import Seal, Vessel
from inventory.operations import heels, inspections, ledger, vessels
from tests.domain.cared import days_ago, in_days, make_inspection
from tests.domain.records import refused
from tests.factories import (
    G,
    make_batch,
    make_partner,
    make_tared,
    make_vessel,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def leaking():
    return set(Vessel.objects.filter(pk__in=inspections.leaking()))


def test_a_look_is_kept_with_what_was_seen_and_who_looked():
    vessel = make_vessel()

    look = make_inspection(vessel, look="bright", next_on=in_days(90), note="by torch")

    assert (look.seal, look.look, look.next_on) == (Seal.TIGHT, "bright", in_days(90))
    assert look.entry.summary == f"Looked at {vessel}: tight, bright"
    assert look.entry.vessel == vessel


def test_the_newest_look_says_whether_a_vessel_leaks():
    vessel, other = make_vessel(), make_vessel()
    make_inspection(vessel, seal="leaks")
    make_inspection(other, seal="doubtful")
    assert leaking() == {vessel}

    make_inspection(vessel, seal="tight", note="greased anew")

    assert leaking() == set()


def test_what_is_due_is_what_the_newest_look_asks_for_by_then():
    soon, later, done = make_vessel(), make_vessel(), make_vessel()
    make_inspection(soon, next_on=in_days(7))
    make_inspection(later, next_on=in_days(8))
    with days_ago(3):
        old = make_vessel()
        make_inspection(old, next_on=in_days(1))
    make_inspection(done, next_on=in_days(2))
    make_inspection(done)

    assert [look.vessel for look in inspections.due(in_days(7))] == [old, soon]


def test_a_doubted_seal_is_told_the_leaking_one_first_until_the_vessel_is_spent():
    doubtful, leaks, spent = make_vessel(), make_vessel(), make_vessel()
    make_inspection(doubtful, seal="doubtful")
    make_inspection(leaks, seal="leaks")
    make_inspection(spent, seal="leaks")
    take(spent)

    assert [look.vessel for look in inspections.doubted()] == [leaks, doubtful]


def test_a_vessel_that_is_with_a_partner_is_neither_due_nor_looked_at():
    vessel = make_vessel()
    make_inspection(vessel, next_on=in_days(2))
    Vessel.objects.filter(pk=vessel.pk).update(custodian=make_partner("Films group"))

    assert not inspections.due(in_days(9)).exists()
    with refused(f"{vessel} is with Films group: record its return first."):
        make_inspection(vessel)


def test_a_look_in_the_future_is_refused_at_its_field():
    vessel = make_vessel()

    with refused("This lies in the future.", "looked_on"):
        make_inspection(vessel, looked_on=in_days(1))


def test_a_look_before_the_filling_is_refused_at_its_field():
    vessel = make_vessel()
    day = f"{vessel.filled_on:%-d %b %Y}"

    with refused(f"{vessel} was filled on {day}.", "looked_on"):
        make_inspection(vessel, looked_on=in_days(-3))


def test_a_look_older_than_the_last_one_is_refused_at_its_field():
    with days_ago(9):
        vessel = make_vessel()
    make_inspection(vessel, looked_on=in_days(-2))
    day = f"{in_days(-2):%-d %b %Y}"

    with refused(f"It was looked at since then, on {day}.", "looked_on"):
        make_inspection(vessel, looked_on=in_days(-3))


@pytest.mark.parametrize("days", [0, -1])
def test_the_next_look_is_still_to_come(days):
    with days_ago(9):
        vessel = make_vessel()

    with refused("Choose a day that is still to come.", "next_on"):
        make_inspection(vessel, looked_on=in_days(-5), next_on=in_days(days))


def test_neither_an_unfilled_nor_a_retired_vessel_is_looked_at():
    empty, retired = make_tared(make_batch()), make_tared(make_batch())
    vessels.retire(retired, reason="cracked", **signed())

    with refused(f"{empty} has not been filled yet."):
        make_inspection(empty)
    with refused(f"{retired} is retired."):
        make_inspection(retired)


def test_what_cannot_be_got_out_is_noted_and_taken_back_with_zero():
    vessel = make_vessel()

    heels.note(vessel, 200_000, **signed())
    assert ledger.read(vessel.pk).heel_ug == 200_000

    noted = heels.note(vessel, 0, **signed())
    assert noted.heel_ug == ledger.read(vessel.pk).heel_ug == 0


def test_no_more_stays_behind_than_there_is():
    vessel = make_vessel(holding_ug=5 * G)

    heels.note(vessel, 5 * G, **signed())
    with refused(f"{vessel} holds 5.000 g in all.", "heel"):
        heels.note(vessel, 5 * G + 1, **signed())


def test_nothing_stays_behind_in_an_empty_or_a_lent_vessel():
    empty, spent, lent = make_tared(make_batch()), make_vessel(), make_vessel()
    take(spent)
    Vessel.objects.filter(pk=lent.pk).update(custodian=make_partner("Films group"))

    with refused(f"{empty} has not been filled yet."):
        heels.note(empty, G, **signed())
    with refused(f"{spent} is spent."):
        heels.note(spent, G, **signed())
    with refused(f"{lent} is with Films group: record its return first."):
        heels.note(lent, G, **signed())
