"""A check weighing: what agrees, what does not, and what is refused."""

from datetime import timedelta
from math import sqrt

import pytest
from django.utils import timezone

from inventory.models import LogEntry, Movement
from inventory.operations import checking, ledger, taking, vessels
from inventory.operations.errors import Disagrees
from tests.domain.by_hand import RB, lift, metal, u_filled, u_reading
from tests.domain.filled import receive
from tests.domain.records import refused
from tests.factories import (
    ROOM,
    G,
    earlier,
    expected_reading,
    make_batch,
    make_check,
    make_place,
    make_tared,
    make_vessel,
    make_weighed_vessel,
    newest_state,
    observe,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

IN = metal(5e6, RB)
# Of D, the reading less what is expected: gross and check, and once the lift (JCGM
# 100, 5.1.2). By chance the same three as in the net mass.
U_D = u_filled(IN, RB)


def disagreement(vessel, off_ug):
    with pytest.raises(Disagrees) as refusal:
        make_check(vessel, off_ug)
    return refusal.value


def test_a_reading_within_two_u_is_recorded_as_one_that_agrees():
    vessel = make_weighed_vessel()

    weighing = make_check(vessel, 1.95 * U_D)

    newest = vessel.estimates.last()
    assert weighing.purpose == "check"
    assert weighing.entry.summary == f"Weighed {vessel} again: it agrees"
    assert (newest.event.weighing, newest.verdict) == (weighing, "quiet")
    assert newest.innovation_ug == pytest.approx(1.95 * U_D, abs=1)
    assert newest.u_innovation_ug == pytest.approx(U_D, rel=0.01)


def test_a_reading_that_agrees_pulls_the_metal_by_its_weight_and_the_ledger_with_it():
    vessel = make_weighed_vessel()
    off_ug = 500

    make_check(vessel, off_ug)

    # What gross said of the sum has variance a, the new reading r: the mean of both,
    # weighted (JCGM 100, 4.1.4 note), moves by D a / (a + r).
    r = u_reading() ** 2
    a = U_D**2 - r
    moved_ug = off_ug * a / (a + r) / lift(RB)
    state, found = newest_state(vessel), Movement.objects.get(kind="difference")
    assert state.metal_ug == pytest.approx(IN + moved_ug, abs=3)
    assert found.mass_ug == pytest.approx(moved_ug, abs=3)
    assert (found.from_end, found.to_vessel) == ("unaccounted", vessel)
    assert found.purpose == "It agrees"


def test_many_readings_that_agree_leave_the_uncertainty_of_the_tare():
    vessel = make_weighed_vessel()

    for _ in range(25):
        make_check(vessel)

    # The gross, with the argon's lift on the metal, counts for 0.6 of a check; all of
    # them share the one tare.
    state = newest_state(vessel)
    assert state.u_metal_ug == pytest.approx(
        u_reading() * sqrt(1 + 1 / 25.6) / lift(RB), rel=0.01
    )


@pytest.mark.parametrize(
    ("times_u", "verdict"),
    [(2.05, "check"), (2.95, "check"), (3.05, "investigate"), (-2.05, "check"),
     (-3.05, "investigate"), (500, "investigate")],
)  # fmt: skip
def test_beyond_two_and_three_u_a_reading_is_not_recorded(times_u, verdict):
    vessel = make_weighed_vessel()
    before = Movement.objects.count(), LogEntry.objects.count()

    found = disagreement(vessel, times_u * U_D)

    assert found.outcome.verdict == verdict
    assert found.outcome.innovation_ug == pytest.approx(times_u * U_D, rel=2e-4, abs=1)
    assert found.outcome.u_innovation_ug == pytest.approx(U_D, rel=0.01)
    assert found.outcome.ratio == pytest.approx(abs(times_u), rel=0.01)
    assert (Movement.objects.count(), LogEntry.objects.count()) == before
    assert not vessel.weighings.filter(purpose="check").exists()


def test_the_refusal_says_how_far_off_and_what_to_do():
    vessel = make_vessel(u_ug=10_000)

    with refused(
        f"{vessel} reads 1.000 g less than the record expects; the uncertainty of that "
        "is 10.0 mg, so it is 99.9 u. Look into it before the metal is used. Weigh "
        "again, or say below what happened.",
        "reading",
    ):
        make_check(vessel, -1_000_200)


def test_a_smaller_disagreement_asks_for_a_check():
    vessel = make_vessel(u_ug=10_000)

    found = disagreement(vessel, 25_000)

    assert "25.0 mg more than the record expects" in str(found)
    assert "2.5 u. Check it. Weigh again" in str(found)


@pytest.mark.parametrize("decided", [{"cause": "metal"}, {"reason": "it was I"}, {}])
def test_a_cause_without_a_reason_or_the_reverse_decides_nothing(decided):
    vessel = make_weighed_vessel()

    with pytest.raises(Disagrees):
        make_check(vessel, -1 * G, **decided)


def test_a_cause_given_for_a_reading_that_agrees_is_not_recorded():
    vessel = make_weighed_vessel()

    weighing = make_check(vessel, cause="metal", reason="just in case")

    assert weighing.cause == ""
    assert weighing.entry.summary.endswith("again: it agrees")
    assert newest_state(vessel).u_metal_ug < U_D * 1.01


def test_an_ampoule_that_was_never_tared_is_tared_by_its_first_reading():
    (vessel,) = receive(make_batch(), count=1)
    first = observe(12_500_000, gas="argon", **ROOM)

    checking.check(vessel, first, **signed())

    # Glass and argon are what the reading leaves beside the 1 g that was stated.
    state = newest_state(vessel)
    assert state.tare_ug == pytest.approx(11_500_000, abs=3_000)
    assert state.u_tare_ug == pytest.approx(10_000, rel=0.01)
    assert (state.metal_ug, state.u_metal_ug) == (G, 10_000)
    assert vessel.estimates.last().verdict == ""


def test_the_second_reading_of_an_untared_ampoule_is_held_against_the_first():
    (vessel,) = receive(make_batch(), count=1)
    checking.check(vessel, observe(12_500_000, gas="argon", **ROOM), **signed())

    found = disagreement(vessel, -5_000)

    assert found.outcome.verdict == "investigate"
    assert found.outcome.u_innovation_ug < 500


def test_a_vessel_that_is_found_to_hold_a_little_less_than_nothing_is_spent():
    vessel, when = make_weighed_vessel(), earlier(minutes=1)

    make_check(
        vessel,
        -5 * G - 200,
        read_at=when,
        cause="metal",
        reason="taken for the run of May, by the notebook",
    )

    now = ledger.read(vessel.pk)
    assert now.remaining_ug == 0
    assert now.spent_on == timezone.localtime(when).date()
    assert newest_state(vessel).metal_ug == pytest.approx(-200, abs=20)


def test_a_spent_vessel_that_is_found_to_hold_metal_is_in_stock_again():
    vessel = make_weighed_vessel()
    take(vessel, taking.Whole())

    make_check(vessel, 1 * G, cause="metal", reason="only half came out")

    now = ledger.read(vessel.pk)
    assert now.remaining_ug == pytest.approx(metal(1e6, RB), abs=2_000)
    assert now.spent_on is None


def test_a_vessel_that_was_never_filled_is_tared_instead():
    vessel = make_tared(make_batch())

    with refused(f"{vessel} has not been filled yet: tare it instead."):
        checking.check(vessel, observe(20 * G, gas="argon"), **signed())


def test_a_retired_vessel_is_not_weighed_again():
    vessel = make_weighed_vessel()
    take(vessel)
    vessels.retire(vessel, reason="washed", **signed())

    with refused(f"{vessel} is retired."):
        checking.check(vessel, observe(25 * G, gas="argon"), **signed())


def test_a_check_in_the_future_is_refused():
    vessel = make_weighed_vessel()

    with refused("This lies in the future.", "read_at"):
        make_check(vessel, read_at=timezone.now() + timedelta(hours=1))


def test_a_check_dated_before_the_filling_is_refused():
    filled_at = earlier(days=3)
    vessel = make_weighed_vessel(filled_at=filled_at)
    day = f"{timezone.localtime(filled_at):%-d %b %Y}"

    with refused(f"This is before {vessel} was filled, on {day}.", "read_at"):
        make_check(vessel, read_at=filled_at - timedelta(seconds=1))


def test_a_check_with_another_gas_than_the_record_has_inside_is_refused():
    vessel = make_weighed_vessel()

    with refused(
        f"By the record, argon is inside {vessel}. Record the change of the gas "
        "first: it weighs, too.",
        "gas",
    ):
        make_check(vessel, gas="vacuum")


@pytest.fixture
def shelf():
    return make_place()


def weighs(place, gain_ug):
    return make_weighed_vessel(gain_ug=gain_ug, place=place)


def like(vessel, other, off_ug=0):
    """Return how far off `vessel` reads when it is `other` on the balance."""
    return expected_reading(other, **ROOM) - expected_reading(vessel, **ROOM) + off_ug


def test_other_vessels_on_the_shelf_that_the_reading_fits_are_named(shelf):
    vessel, mistaken = weighs(shelf, 5 * G), weighs(shelf, 4 * G)
    weighs(shelf, 3 * G)

    found = disagreement(vessel, like(vessel, mistaken))

    assert found.fits == [mistaken]


def test_a_vessel_fits_within_two_u_and_not_beyond(shelf):
    vessel, mistaken = weighs(shelf, 5 * G), weighs(shelf, 4 * G)

    inside = disagreement(vessel, like(vessel, mistaken, 1.9 * U_D))
    outside = disagreement(vessel, like(vessel, mistaken, 2.1 * U_D))

    assert inside.fits == [mistaken]
    assert outside.fits == []


def test_a_vessel_at_another_place_is_not_mistaken(shelf):
    vessel, elsewhere = weighs(shelf, 5 * G), weighs(make_place(), 4 * G)

    assert disagreement(vessel, like(vessel, elsewhere)).fits == []


def test_a_spent_vessel_is_not_mistaken(shelf):
    vessel, spent = weighs(shelf, 5 * G), weighs(shelf, 4 * G)
    off_ug = like(vessel, spent)
    take(spent)

    assert disagreement(vessel, off_ug).fits == []


def test_the_five_nearest_that_fit_are_named_nearest_first(shelf):
    vessel = weighs(shelf, 5 * G)
    others = [weighs(shelf, 4 * G + 40 * n) for n in (5, 1, 3, 0, 6, 2, 4)]
    by_mass = sorted(others, key=lambda other: other.remaining_ug)

    found = disagreement(vessel, like(vessel, by_mass[0]))

    assert found.fits == by_mass[:5]
