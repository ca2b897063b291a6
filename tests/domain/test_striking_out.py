"""A check weighing that was wrong is struck out, in sight; nothing else is."""

import pytest
from django.utils import timezone

from inventory.models import Movement, Weighing
from inventory.operations import checking, corrections, ledger, media, taking, vessels
from tests.domain.by_hand import RB, metal
from tests.domain.records import refused
from tests.domain.taken import drawn, weighed_out
from tests.factories import (
    ROOM,
    G,
    earlier,
    expected_reading,
    fill,
    make_balance,
    make_batch,
    make_booking,
    make_check,
    make_vessel,
    make_weighed_vessel,
    medium,
    newest_state,
    observe,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

WHY = "the draught shield was open"


def strike(weighing):
    return checking.strike(weighing, reason=WHY, **signed())


def decided(vessel, off_ug, **facts):
    return make_check(vessel, off_ug, cause="metal", reason="by the notebook", **facts)


def test_without_a_struck_weighing_the_estimate_is_as_before_it():
    vessel = make_weighed_vessel()
    before = newest_state(vessel)
    weighing = decided(vessel, -1 * G)

    strike(weighing)

    assert newest_state(vessel) == before
    assert ledger.read(vessel.pk).remaining_ug == round(before.metal_ug)


def test_what_the_struck_weighing_posted_is_posted_back_with_the_reason():
    vessel = make_weighed_vessel()
    weighing = decided(vessel, -1 * G)

    striking = strike(weighing)

    posted, back = Movement.objects.filter(kind="difference")
    assert back.mass_ug == posted.mass_ug == pytest.approx(metal(1e6, RB), abs=3)
    assert (back.from_end, back.to_vessel) == ("unaccounted", vessel)
    assert back.purpose == f"Weighing struck out: {WHY}"
    assert back.entry == striking.entry


def test_the_struck_weighing_stays_as_it_was_written():
    weighing = decided(make_weighed_vessel(), -1 * G)
    as_written = Weighing.objects.filter(pk=weighing.pk).values().get()

    striking = strike(weighing)

    assert Weighing.objects.filter(pk=weighing.pk).values().get() == as_written
    assert (striking.strikes, striking.note) == (weighing, WHY)
    assert striking.reading_ug == weighing.reading_ug
    assert weighing.events.exists()


def test_the_log_says_which_weighing_was_struck_and_why():
    vessel, when = make_weighed_vessel(), earlier(minutes=1)

    striking = strike(make_check(vessel, read_at=when))

    day = f"{timezone.localtime(when):%-d %b %Y}"
    assert striking.entry.summary == (
        f"Struck out the weighing of {vessel} on {day}: {WHY}"
    )


def test_what_came_after_a_struck_weighing_still_counts():
    vessel = make_weighed_vessel(make_batch("NaK"), filled_at=earlier(days=9))
    untouched = make_weighed_vessel(make_batch("NaK"), filled_at=earlier(days=9))
    wrong = decided(vessel, -1 * G, read_at=earlier(days=5))
    for each in (vessel, untouched):
        take(each, drawn(1_000), happened_at=earlier(days=2))

    strike(wrong)

    one, other = newest_state(vessel), newest_state(untouched)
    assert one.metal_ug == pytest.approx(other.metal_ug)
    assert one.root == pytest.approx(other.root)


def test_a_weighing_is_struck_once():
    weighing = make_check(make_weighed_vessel())
    strike(weighing)

    with refused("This weighing is struck out already."):
        strike(weighing)


def test_the_weighing_that_strikes_is_not_struck():
    striking = strike(make_check(make_weighed_vessel()))

    with refused("This weighing is struck out already."):
        strike(striking)


def test_a_weighing_struck_and_weighed_again_counts_as_new():
    vessel = make_weighed_vessel()
    strike(decided(vessel, -1 * G))

    make_check(vessel)

    assert vessel.estimates.last().verdict == "quiet"
    assert ledger.read(vessel.pk).remaining_ug == pytest.approx(metal(5e6, RB), abs=3)


@pytest.mark.parametrize("purpose", ["tare", "gross", "before", "after"])
def test_a_reading_that_proves_a_movement_is_not_struck(purpose):
    vessel = make_weighed_vessel()
    take(vessel, weighed_out(vessel, 2 * G))

    with refused("This reading proves a movement: correct the movement instead."):
        strike(vessel.weighings.get(purpose=purpose))


def test_a_reading_beside_a_change_of_medium_is_struck_and_its_amount_is_open_again():
    vessel = make_weighed_vessel(make_batch("K"))
    oil, nobody_knows = medium("mineral_oil_light"), taking.Liquid(is_unknown=True)
    seen = observe(33 * G, gas="argon", **ROOM)
    what = media.Exchange(oil, medium("argon"), nobody_knows, way=1, after=seen)
    media.exchange(vessel, what, happened_at=earlier(), **signed())
    sure = newest_state(vessel)

    strike(vessel.weighings.get(purpose="after"))

    # Uniform from 0 to 20 g (JCGM 100, 4.3.7): as before the reading.
    state = newest_state(vessel)
    assert sure.u_liquid_ug < 1_000
    assert state.u_liquid_ug == pytest.approx(20e6 / 12**0.5)
    assert state.metal_ug == sure.metal_ug


def test_a_retired_vessel_whose_last_reading_is_struck_is_in_use_again():
    vessel = make_weighed_vessel()
    weighing = decided(vessel, -5 * G - 200)
    vessels.retire(vessel, reason="washed", **signed())

    strike(weighing)

    vessel.refresh_from_db()
    assert (vessel.retired_on, vessel.spent_on) == (None, None)
    assert ledger.read(vessel.pk).remaining_ug == pytest.approx(metal(5e6, RB), abs=3)


def test_a_check_of_a_filling_that_was_corrected_is_struck_without_harm():
    vessel = make_weighed_vessel()
    weighing = make_check(vessel)
    corrections.correct(vessel.movements_in.get(kind="fill"), reason="x", **signed())

    strike(weighing)

    vessel.refresh_from_db()
    assert (vessel.filled_on, vessel.spent_on) == (None, None)


def test_striking_what_found_promised_metal_waits_for_the_booking_to_be_released():
    vessel = make_weighed_vessel()
    weighing = decided(vessel, 1 * G)
    make_booking(vessel, ledger.read(vessel.pk).free_ug - G)
    make_booking(vessel)

    with refused(
        f"By this weighing {vessel} holds 5.005 g, but 6.006 g of it is promised. "
        "Have a booking released first."
    ):
        strike(weighing)


def test_a_struck_check_on_a_poor_balance_gives_back_all_the_uncertainty():
    vessel = make_vessel(u_ug=10_000)
    poor = make_balance(repeatability_ug=20_000)
    before = newest_state(vessel)
    weighing = make_check(vessel, balance=poor)

    strike(weighing)

    assert newest_state(vessel) == before


def test_a_correction_of_a_filling_takes_its_later_checks_out_of_the_estimate():
    vessel = make_weighed_vessel()
    make_check(vessel)
    corrections.correct(vessel.movements_in.get(kind="fill"), reason="x", **signed())
    vessel.refresh_from_db()

    fill(vessel, gross=observe(23 * G, gas="argon", **ROOM))

    assert newest_state(vessel).metal_ug == pytest.approx(metal(3e6, RB), abs=3)
    assert vessel.estimates.last().event.words == "Weighed with the metal in"


def test_a_check_after_a_weighed_change_of_medium_is_struck_and_the_change_stays():
    vessel = make_weighed_vessel(make_batch("K"))
    oil = media.Exchange(
        medium("mineral_oil_light"), medium("argon"), taking.Liquid(4 * G, 4_000)
    )
    media.exchange(vessel, oil, happened_at=earlier(minutes=5), **signed())
    before = newest_state(vessel)
    weighing = make_check(vessel, read_at=earlier(minutes=1))

    strike(weighing)

    assert newest_state(vessel) == before
    assert before.liquid_ug == pytest.approx(4e6, abs=1)
    assert expected_reading(vessel, **ROOM) > 28 * G
