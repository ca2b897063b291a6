"""A mistake is undone by the same mass going back, in sight of everybody."""

import pytest
from django.db.models import Sum

from inventory.models import Movement
from inventory.operations import corrections, filling, ledger, taking, vessels
from inventory.operations.errors import NotEnough
from tests.domain.records import refused
from tests.factories import (
    G,
    earlier,
    make_batch,
    make_booking,
    make_tared,
    make_vessel,
    medium,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def correct(movement):
    return corrections.correct(movement, reason="the wrong vessel", **signed())


def filling_of(vessel):
    return Movement.objects.get(to_vessel=vessel, kind="fill")


def test_a_corrected_withdrawal_puts_the_same_mass_back():
    vessel = make_vessel(holding_ug=5 * G)
    first = take(vessel)

    correction = correct(first)

    assert ledger.read(vessel.pk).remaining_ug == 5 * G
    assert correction.corrects == first
    assert (correction.mass_ug, correction.u_ug) == (first.mass_ug, first.u_ug)
    assert (correction.from_end, correction.to_vessel) == ("experiment", vessel)
    assert correction.purpose == "the wrong vessel"


def test_the_first_movement_stays_on_record():
    vessel = make_vessel()
    first = take(vessel)
    as_written = Movement.objects.filter(pk=first.pk).values().get()

    correct(first)

    assert Movement.objects.filter(pk=first.pk).values().get() == as_written
    assert not Movement.objects.standing().filter(pk=first.pk).exists()


def test_a_vessel_whose_only_withdrawal_is_undone_was_never_opened():
    vessel = make_vessel()
    first = take(vessel)

    correct(first)

    vessel.refresh_from_db()
    assert (vessel.opened_on, vessel.spent_on) == (None, None)


def test_a_vessel_with_another_withdrawal_stays_opened():
    vessel = make_vessel(make_batch("NaK"), holding_ug=5 * G, filled_at=earlier(days=3))
    take(vessel, taking.Drawn(1_000, 10, 22.0), happened_at=earlier(days=2))
    last = take(vessel)

    correct(last)

    vessel.refresh_from_db()
    assert vessel.opened_on is not None
    assert vessel.spent_on is None


def test_a_corrected_withdrawal_no_longer_adds_to_the_uncertainty():
    vessel = make_vessel(make_batch("NaK"), holding_ug=5 * G, u_ug=2_000)
    wrong = take(vessel, taking.Drawn(1_000, 100, 22.0))

    correct(wrong)

    assert take(vessel).u_ug == 2_000


def test_a_corrected_filling_leaves_the_vessel_tared_and_empty():
    vessel = make_vessel(holding_ug=5 * G)
    code = vessel.code

    correction = correct(filling_of(vessel))

    vessel.refresh_from_db()
    assert ledger.read(vessel.pk).remaining_ug == 0
    assert (vessel.filled_on, vessel.medium, vessel.gas) == (None, None, None)
    assert (vessel.closure, vessel.code) == ("", code)
    assert correction.to_batch == vessel.batch


def test_a_vessel_whose_filling_was_corrected_is_filled_anew():
    vessel = make_vessel(holding_ug=5 * G)
    correct(filling_of(vessel))
    argon = medium("argon")

    filling.fill(
        vessel,
        filling.Filling(vessel.batch, argon, argon, "stopcock", stated_ug=4 * G),
        happened_at=earlier(),
        **signed(),
    )

    assert ledger.read(vessel.pk).remaining_ug == 4 * G


def test_a_corrected_filling_no_longer_left_its_batch():
    vessel = make_vessel(holding_ug=5 * G)

    correct(filling_of(vessel))

    batch = type(vessel.batch).objects.with_filled().with_held().get()
    assert (batch.filled_ug, batch.held_ug) == (0, 0)


def test_a_correction_is_not_corrected():
    correction = correct(take(make_vessel()))

    with refused("A correction is not corrected: record what is right."):
        correct(correction)


def test_a_movement_is_corrected_once():
    first = take(make_vessel())
    correct(first)

    with refused("This movement is corrected already."):
        correct(first)


def test_a_filling_is_not_corrected_while_withdrawals_stand():
    vessel = make_vessel()
    take(vessel)

    with refused(
        f"Metal was taken out of {vessel} since. Correct those movements first, the "
        "newest first."
    ):
        correct(filling_of(vessel))


def test_a_filling_is_corrected_after_its_withdrawals_were():
    vessel = make_vessel(holding_ug=5 * G)
    correct(take(vessel))

    correct(filling_of(vessel))

    assert ledger.read(vessel.pk).remaining_ug == 0


def test_promised_metal_is_not_corrected_away():
    vessel = make_vessel(holding_ug=5 * G)
    make_booking(vessel, 2 * G)

    with refused(
        f"2.000 g of {vessel} is promised. Have the bookings released first."
    ) as refusal:
        correct(filling_of(vessel))

    assert isinstance(refusal.value, NotEnough)
    assert refusal.value.available_ug == 3 * G


def test_a_correction_names_the_project_of_what_it_undoes():
    vessel = make_vessel()
    line = make_booking(vessel).lines.get()
    first = take(vessel, line=line)

    correction = correct(first)

    assert correction.project == first.project
    used = Movement.objects.standing().filter(project=first.project)
    assert used.aggregate(total=Sum("mass_ug"))["total"] is None


def test_a_filling_is_not_corrected_in_glass_that_was_tared_again():
    vessel = make_vessel(glass_mark="A 7")
    withdrawn = take(vessel)
    vessels.retire(vessel, reason="washed", **signed())
    again = make_tared(glass_mark="A 7")
    correct(withdrawn)

    with refused(f"The glass A 7 is tared again as {again}. Retire that vessel first."):
        correct(filling_of(vessel))


def test_a_withdrawal_is_corrected_also_when_its_glass_was_tared_again():
    vessel = make_vessel(holding_ug=5 * G, glass_mark="A 7")
    withdrawn = take(vessel)
    vessels.retire(vessel, reason="washed", **signed())
    make_tared(glass_mark="A 7")

    correct(withdrawn)

    assert ledger.read(vessel.pk).remaining_ug == 5 * G
