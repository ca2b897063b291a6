"""What each way of taking leaves in the estimate, against sums of our own."""

from math import hypot, sqrt

import pytest

from inventory.operations import taking
from inventory.operations.taking import Liquid
from tests.domain.by_hand import (
    ARGON,
    NAK,
    OIL,
    RB,
    ROOM_UL,
    WEIGHT,
    K,
    lift,
    metal,
    u_filled,
    u_reading,
)
from tests.domain.taken import drawn, weighed, weighed_out
from tests.factories import (
    ROOM,
    G,
    make_batch,
    make_weighed_vessel,
    medium,
    newest_state,
    observe,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

# 5 g by the readings.
IN_RB, IN_K, IN_NAK = metal(5e6, RB), metal(5e6, K), metal(5e6, NAK)


def alloy(**facts):
    return make_weighed_vessel(make_batch("NaK"), gain_ug=5 * G, **facts)


def potassium_under_oil(oil_ug=10 * G, u_oil_ug=0):
    return make_weighed_vessel(
        make_batch("K"), gain_ug=5 * G, oil_ug=oil_ug, u_oil_ug=u_oil_ug
    )


def pieces(**liquid):
    return taking.Pieces(count=4, piece_ug=500_000, u_piece_ug=20_000, **liquid)


def test_a_weighed_filling_is_believed_as_its_readings_say():
    state = newest_state(make_weighed_vessel(gain_ug=5 * G))

    assert state.metal_ug == pytest.approx(IN_RB, abs=2)
    assert state.u_metal_ug == pytest.approx(u_filled(IN_RB, RB), rel=0.02)
    assert (state.liquid_ug, state.u_liquid_ug) == (0, 0)


def test_the_effective_tare_is_the_glass_with_its_argon():
    state = newest_state(make_weighed_vessel(gain_ug=5 * G))

    # k R + ρ_Ar V_in, weighed under argon: the gas is in the reading already. The
    # air's own lift is left at 1.2 kg/m³: (1.1993 - 1.2) · 28.5 mL = -20 µg.
    assert state.tare_ug == pytest.approx(20e6 * WEIGHT, abs=50)
    assert state.u_tare_ug == pytest.approx(u_reading(), rel=0.02)


def test_the_whole_contents_leave_exactly_nothing():
    vessel = make_weighed_vessel()

    take(vessel, taking.Whole())

    state = newest_state(vessel)
    assert (state.metal_ug, state.u_metal_ug) == (0, 0)


def test_a_volume_adds_its_uncertainty_to_what_was_in():
    vessel = alloy()

    movement = take(vessel, drawn(2_000, u_volume_ul=20))

    state = newest_state(vessel)
    assert state.metal_ug == pytest.approx(IN_NAK - 2_000 * NAK, rel=1e-3)
    # 20 µL in 2 mL, and 6 in 866 kg/m³ (catalogue), beside what the filling had.
    u_drawn = 2_000 * NAK * hypot(20 / 2_000, 6 / 866)
    assert movement.u_ug == pytest.approx(u_drawn, rel=0.03)
    assert state.u_metal_ug == pytest.approx(
        hypot(u_filled(IN_NAK, NAK), u_drawn), rel=0.03
    )


def test_a_receiver_takes_out_its_own_net_mass():
    vessel = make_weighed_vessel(gain_ug=5 * G)
    empty = observe(30 * G, gas="argon", **ROOM)
    full = observe(32 * G, gas="argon", **ROOM)

    movement = take(vessel, taking.receive(vessel, empty, full))

    state = newest_state(vessel)
    assert movement.mass_ug == pytest.approx(metal(2e6, RB), abs=3)
    assert state.metal_ug == pytest.approx(IN_RB - metal(2e6, RB), abs=5)
    # Two readings and the argon that the metal displaces there (JCGM 100, 5.1.2).
    u_received = hypot(202, 202, 0.03 * ARGON * 2e6 / RB)
    assert movement.u_ug == pytest.approx(u_received, rel=0.1)
    assert state.u_metal_ug == pytest.approx(
        hypot(u_filled(IN_RB, RB), movement.u_ug), rel=0.03
    )


def test_the_receivers_readings_stay_on_the_movement():
    vessel = make_weighed_vessel()
    empty, full = observe(30 * G, gas="argon"), observe(32 * G, gas="argon")

    movement = take(vessel, taking.receive(vessel, empty, full))

    assert (movement.receiver_empty_ug, movement.receiver_full_ug) == (30 * G, 32 * G)
    assert movement.receiver_balance == full.balance
    assert movement.method == "receiver"


def test_counted_pieces_vary_by_the_root_of_their_number():
    vessel = make_weighed_vessel(make_batch("K"), gain_ug=5 * G)

    movement = take(vessel, pieces())

    state = newest_state(vessel)
    assert (movement.mass_ug, movement.pieces, movement.piece_ug) == (
        2_000_000,
        4,
        500_000,
    )
    assert movement.u_ug == 40_000  # 20 mg · √4
    assert state.metal_ug == pytest.approx(IN_K - 2e6, abs=3)
    assert state.u_metal_ug == pytest.approx(hypot(u_filled(IN_K, K), 40_000), rel=1e-3)


def test_by_weight_what_is_left_is_as_sure_as_its_own_reading():
    vessel = make_weighed_vessel(gain_ug=5 * G)

    take(vessel, weighed(25 * G, 23 * G, **ROOM))

    # What is left is the second reading less the tare: what was taken, and how well
    # that is known, drops out. The tare has been read three ways by then: itself, and
    # less so by gross and before.
    state = newest_state(vessel)
    assert state.metal_ug == pytest.approx(metal(3e6, RB), abs=5)
    assert u_reading() < state.u_metal_ug < 1.02 * hypot(u_reading(), u_reading())


def test_liquid_that_was_measured_goes_out_with_its_uncertainty():
    vessel = potassium_under_oil()

    take(vessel, pieces(liquid=Liquid(-300_000, 3_000)))

    state = newest_state(vessel)
    assert state.liquid_ug == pytest.approx(10e6 - 300_000, abs=1)
    assert state.u_liquid_ug == pytest.approx(3_000, rel=1e-3)


def test_liquid_that_was_guessed_to_a_half_is_rectangular():
    vessel = potassium_under_oil()

    take(vessel, pieces(liquid=Liquid(-300_000, round(150_000 / sqrt(3)))))

    state = newest_state(vessel)
    assert state.u_liquid_ug == pytest.approx(150_000 / sqrt(3), rel=1e-3)


def test_liquid_nobody_knows_of_is_anything_from_all_of_it_to_a_tenth_more():
    vessel = potassium_under_oil()

    take(vessel, pieces(liquid=Liquid(is_unknown=True)))

    # Uniform from -10 g to +1 g (JCGM 100, 4.3.7): middle -4.5 g, width 11 g/√12.
    state = newest_state(vessel)
    assert state.liquid_ug == pytest.approx(10e6 - 4.5e6, abs=1)
    assert state.u_liquid_ug == pytest.approx(11e6 / sqrt(12), rel=1e-3)
    assert state.u_metal_ug == pytest.approx(hypot(u_filled(IN_K, K), 40_000), rel=1e-3)


def test_by_weight_oil_that_was_measured_leaves_the_metal_its_rest():
    vessel = potassium_under_oil()
    how = weighed_out(vessel, 2 * G, poured_ug=-1 * G, liquid=Liquid(-1 * G, 50_000))

    movement = take(vessel, how)

    # The 50 mg of the oil's are the metal's too, in its own lift.
    state = newest_state(vessel)
    assert movement.mass_ug == pytest.approx(2e6, abs=3)
    assert state.liquid_ug == pytest.approx(9e6, abs=3)
    assert state.u_metal_ug == pytest.approx(50_000 * lift(OIL) / lift(K), rel=2e-3)
    assert state.cov_metal_liquid == pytest.approx(
        -(50_000**2) * lift(OIL) / lift(K), rel=2e-3
    )


def test_by_weight_oil_nobody_knows_of_shares_the_loss_with_the_metal():
    vessel = potassium_under_oil(oil_ug=1 * G)
    how = weighed_out(vessel, 2 * G, liquid=Liquid(is_unknown=True))

    movement = take(vessel, how)

    # Both uniform beforehand: the metal by ± what is left about its loss, the oil by
    # 1.1 g; least squares gives each its part of D by variance.
    f, g = lift(K), lift(OIL)
    inside = metal(6e6, K) - 1e6 * g / f
    var_metal, var_oil = (2 * inside) ** 2 / 12, (1.1e6) ** 2 / 12
    seen = f * f * var_metal + g * g * var_oil
    # Expected of the reading: metal down by all, oil by 0.45 g. It is down by 2 g.
    d = f * (inside - 2e6) + g * 0.45e6
    state = newest_state(vessel)
    assert state.metal_ug == pytest.approx(d * f * var_metal / seen, abs=20)
    assert state.u_metal_ug == pytest.approx(
        sqrt(var_metal * g * g * var_oil / seen), rel=1e-3
    )
    assert movement.u_ug == pytest.approx(state.u_metal_ug, abs=1)
    assert movement.mass_ug == pytest.approx(inside - state.metal_ug, abs=20)


def test_another_gas_afterwards_adds_how_well_its_weight_is_known():
    vessel = make_weighed_vessel(gain_ug=5 * G)

    take(vessel, weighed_out(vessel, 2 * G, gas="vacuum"))

    # 20 mL of argon: 3 % of its density, 5 % triangular of the volume (our own
    # tolerances), in quadrature.
    u_gas = ARGON * ROOM_UL * hypot(0.03, 0.05 / sqrt(6))
    state = newest_state(vessel)
    assert state.metal_ug == pytest.approx(IN_RB - 2e6, abs=5)
    assert state.u_metal_ug == pytest.approx(
        hypot(u_gas, u_reading(), u_reading()), rel=0.03
    )
    vessel.refresh_from_db()
    assert (vessel.gas, vessel.medium) == (medium("vacuum"), medium("vacuum"))


def test_an_unknown_gas_afterwards_is_bounded_by_what_gases_weigh():
    vessel = make_weighed_vessel(gain_ug=5 * G)
    how = weighed_out(vessel, 2 * G, gas_is_unknown=True)

    take(vessel, how)

    # From nothing to argon's own weight, rectangular: ± 1.66 kg/m³ over 20 mL.
    state = newest_state(vessel)
    assert state.metal_ug == pytest.approx(IN_RB - 2e6, abs=5)
    assert state.u_metal_ug == pytest.approx(ARGON * ROOM_UL / sqrt(3), rel=0.02)


def test_the_second_of_two_readings_after_a_drawing_makes_it_surer():
    vessel = alloy()
    take(vessel, drawn(2_000, u_volume_ul=20))
    by_volume = newest_state(vessel)

    take(vessel, weighed_out(vessel, 500_000))

    # The reading before the second taking found the first one out.
    state = newest_state(vessel)
    assert by_volume.u_metal_ug > 15_000
    assert state.u_metal_ug < 1.1 * hypot(u_reading(), u_reading())
