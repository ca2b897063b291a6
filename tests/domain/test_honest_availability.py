"""What can be had, now and on a later day, worked by hand beside each check.

Common practice, no source: what is needed until a day counts as gone, a guess of what
comes back lies within half of what is meant to be used.
"""

from math import sqrt

import pytest

from inventory.models import Material, MetalRequest, Project
from inventory.operations import (
    asking,
    availability,
    expiring,
    heels,
    ledger,
    on_hand,
)
from tests.domain.cared import days_ago, in_days, lend, make_inspection
from tests.domain.planned import some
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_request,
    make_vessel,
    signed,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

# Of a normal distribution 97.725 % lie above two standard deviations below its mean
# (NIST/SEMATECH e-Handbook, 1.3.6.7.1).
TWO_U = pytest.approx(0.97725, abs=1e-5)


@pytest.fixture
def batch():
    return make_batch("Rb")


def of_vessel(vessel, **asked):
    return availability.of_vessel(ledger.read(vessel.pk), **asked)


def of_metal(on=None):
    return availability.of_material(Material.objects.get(symbol="Rb"), on)


def masses(what):
    return [part.mass_ug for part in what.parts]


def booked(vessel, mass_ug, needed_in, ends_in):
    return make_booking(
        vessel, mass_ug, needed_by=in_days(needed_in), expires_on=in_days(ends_in)
    )


def granted(need=None, *, needed_in=5, **terms):
    """Return a request that was granted as it was asked for."""
    wish = make_request(need=need, needed_by=in_days(needed_in), **terms)
    return asking.grant(wish, **signed())


def test_a_vessel_has_what_remains_less_promises_less_what_stays_behind(batch):
    vessel = make_vessel(batch, holding_ug=5 * G, u_ug=50_000)
    booked(vessel, G, 3, 10)
    heels.note(vessel, 200_000, **signed())

    what = of_vessel(vessel)

    assert masses(what) == [5 * G, -G, -200_000]
    assert what.free_ug == 3_800_000
    assert what.u_ug == pytest.approx(50_000)
    # 3.8 g free with u = 50 mg: 3.7 g is two of these below.
    assert what.chance(3_700_000) == TWO_U


def test_another_heel_may_be_asked_with_and_none(batch):
    vessel = make_vessel(batch)
    heels.note(vessel, 200_000, **signed())

    assert of_vessel(vessel, heel_ug=G).free_ug == 4 * G
    assert of_vessel(vessel, heel_ug=0).free_ug == 5 * G


def test_on_a_later_day_every_promise_counts_and_one_that_ends_before_is_told(batch):
    vessel = make_vessel(batch)
    ends, holds = booked(vessel, G, 3, 10), booked(vessel, 2 * G, 30, 40)

    what = of_vessel(vessel, on=in_days(20))

    assert masses(what) == [5 * G, -G, -2 * G]
    assert what.free_ug == 2 * G
    assert [(part.about, part.mass_ug) for part in what.lapsing] == [(ends, G)]
    assert what.at_best_ug == 3 * G
    assert holds.expires_on > what.day


def test_a_booking_that_ends_on_the_day_itself_still_holds_then(batch):
    vessel = make_vessel(batch)
    booked(vessel, G, 3, 10)

    assert of_vessel(vessel, on=in_days(10)).lapsing == ()
    assert len(of_vessel(vessel, on=in_days(11)).lapsing) == 1


def test_a_booking_that_has_ended_promises_nothing_now_or_later():
    with days_ago(2):
        vessel = make_vessel()
        booking = booked(vessel, G, 0, 1)

    assert booking.expires_on < in_days(0)
    assert masses(of_vessel(vessel)) == masses(of_vessel(vessel, on=in_days(9)))
    assert of_vessel(vessel).free_ug == 5 * G


def test_a_lent_vessel_has_nothing_until_it_is_back_and_then_what_is_expected(batch):
    vessel = make_vessel(batch, holding_ug=5 * G)
    lend(vessel, back_in=10, expected_ug=3 * G, u_ug=10_000)

    assert of_vessel(vessel, on=in_days(9)).free_ug == 0
    what = of_vessel(vessel, on=in_days(10))
    assert what.free_ug == 3 * G
    # 2 g are to be used; half of that is the half-width, rectangular (GUM 4.3.7).
    assert what.u_ug == pytest.approx(sqrt(10_000**2 + (G / sqrt(3)) ** 2))


@pytest.mark.parametrize("days", [1, 2])
def test_what_is_due_today_or_late_is_told_and_not_counted(days):
    with days_ago(days):
        vessel = make_vessel()
        lend(vessel, back_in=1, expected_ug=3 * G)

    what = of_vessel(vessel, on=in_days(0 if days == 1 else 30))

    assert what.free_ug == 0
    assert "not counted" in what.parts[0].words


def test_a_metal_has_the_sum_of_its_vessels_with_the_root_of_their_variances(batch):
    make_vessel(batch, holding_ug=5 * G, u_ug=30_000)
    make_vessel(batch, holding_ug=4 * G, u_ug=40_000)
    make_vessel(make_batch("K"))

    what = of_metal()

    assert masses(what) == [9 * G]
    # 3-4-5.
    assert what.u_ug == pytest.approx(50_000)
    assert what.chance(8_900_000) == TWO_U


def test_every_line_of_a_metal_s_sum_is_there(batch):
    part, heeled, leaking, lent = (make_vessel(batch) for _ in range(4))
    booked(part, G, 3, 10)
    heels.note(heeled, 500_000, **signed())
    make_inspection(leaking, seal="leaks")
    lend(lent, back_in=10, expected_ug=2 * G)
    granted("1.5 g")

    now, then = of_metal(), of_metal(in_days(20))

    # The three that are here; promised; heel; leaking.
    assert masses(now) == [15 * G, -G, -500_000, -5 * G]
    assert now.free_ug == 8_500_000
    # Promised; back from the partner; granted; heel; leaking.
    assert masses(then) == [15 * G, -G, 2 * G, -1_500_000, -500_000, -5 * G]
    assert then.free_ug == 9_000_000
    assert then.at_best_ug == 10_000_000


def test_what_was_granted_counts_until_it_is_booked_and_only_by_its_day(batch):
    vessel = make_vessel(batch)
    wish = granted("3 g")

    assert of_metal(in_days(4)).free_ug == 5 * G
    assert of_metal(in_days(5)).free_ug == 2 * G

    make_booking(vessel, 2 * G, project=wish.project, request=wish)

    # 2 g are promised, 1 g is still to be found.
    assert masses(of_metal(in_days(5))) == [5 * G, -2 * G, -G]


def test_whole_vessels_that_were_granted_count_as_the_heaviest_that_may_go(batch):
    for mass_g in (4, 6, 7, 5):
        make_vessel(batch, holding_ug=mass_g * G)
    booked(make_vessel(batch, holding_ug=9 * G), G, 30, 40)
    make_inspection(make_vessel(batch, holding_ug=8 * G), seal="leaks")
    some(make_vessel(batch, holding_ug=9 * G), G)
    first, second = granted(vessel_count=2), granted(vessel_count=1)

    claims = {part.about: part for part in of_metal(in_days(5)).parts}

    # Of 9 g something is promised, 8 g leak, 8 g were opened: 7 g + 6 g, then 5 g.
    assert claims[first].mass_ug == -13 * G
    assert claims[second].mass_ug == -5 * G
    assert "granted 2 whole, counted as the heaviest" in claims[first].words


def test_what_a_closed_project_was_granted_claims_nothing(batch):
    make_vessel(batch)
    wish = granted("3 g")
    assert of_metal(in_days(9)).free_ug == 2 * G

    # Written straight into the record: closing asks for an answer first.
    Project.objects.filter(pk=wish.project_id).update(closed_on=in_days(0))

    assert of_metal(in_days(9)).free_ug == 5 * G
    assert not MetalRequest.objects.with_booked().waiting().exists()


def test_the_sum_of_a_metal_begins_with_what_the_home_page_calls_free(batch):
    part, heeled, lent = (make_vessel(batch) for _ in range(3))
    booked(part, G, 3, 10)
    heels.note(heeled, 500_000, **signed())
    lend(lent, back_in=10, expected_ug=2 * G)
    granted("1.5 g")

    what = of_metal(in_days(20))

    # 15 g in all, 5 g of it lent, 1 g promised.
    assert what.card_ug == on_hand.of_all()[batch.material_id].free_ug == 9 * G
    assert [part.mass_ug for part in what.parts[what.on_card :]] == [
        2 * G, -1_500_000, -500_000,
    ]  # fmt: skip
    assert what.free_ug == 9 * G


def test_what_stays_behind_in_a_vessel_promised_whole_is_not_taken_off_twice(batch):
    vessel = make_vessel(batch)
    heels.note(vessel, 500_000, **signed())
    make_booking(vessel)

    assert masses(of_metal()) == [5 * G, -5 * G]


def test_nothing_is_free_below_zero(batch):
    make_vessel(batch, holding_ug=G)
    granted("3 g")

    what = of_metal(in_days(9))

    assert what.free_ug == 0
    assert what.chance(1) < 1e-6


def test_ended_promises_are_the_same_before_and_after_they_are_recorded():
    with days_ago(2):
        booked(make_vessel(), G, 0, 1)
    before = of_metal(in_days(9))

    assert expiring.expire_due()

    assert of_metal(in_days(9)) == before
