"""The running estimate of a vessel's contents, event by event."""

from math import inf, nan, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calc.estimate import apply, begin, innovation, replay, verdict_on
from inventory.calc.events import Change, Emptied, Observe, Start, Unknown

FOUR_MG = 4_000.0
FILLED = Observe(120.930e6, FOUR_MG)
ANY_METAL = Unknown(metal_high_ug=80e6)
ANY_OIL = Unknown(liquid_high_ug=60e6)
WORKED_CASE = [
    ANY_METAL,
    FILLED,
    ANY_OIL,
    Observe(151.208e6, FOUR_MG),
    Change(-3.06e6, 0.12e6, -0.3e6, 0.3e6),
    Observe(147.951e6, FOUR_MG),
]
TARED = Start(tare_ug=88.412e6, u_tare_ug=FOUR_MG)


def last(events, start=TARED):
    return replay(events, start)[-1]


def test_the_worked_case_of_a_drawing_under_oil_comes_out_as_printed():
    # Common practice, no source: readings of 4 mg, 3.06 g ± 0.12 g drawn with
    # 0.3 g ± 0.3 g of oil (k = 1), gas left out. Expected to the printed digits.
    step = last(WORKED_CASE)
    state, outcome = step.state, step.outcome

    assert state.metal_ug == pytest.approx(29.472e6, abs=500)
    assert state.u_metal_ug == pytest.approx(0.112e6, abs=500)
    assert state.liquid_ug == pytest.approx(30.067e6, abs=500)
    assert state.u_liquid_ug == pytest.approx(0.112e6, abs=500)
    assert outcome.innovation_ug == pytest.approx(0.103e6, abs=1e-3)
    assert outcome.u_innovation_ug == pytest.approx(0.323e6, abs=500)
    assert outcome.verdict == "quiet"
    assert outcome.ratio == pytest.approx(0.103 / 0.323, abs=2e-3)


def test_the_worked_case_agrees_with_its_weights_worked_out_by_hand():
    # D is shared by variance (least squares with one reading): the metal takes
    # u_m²/u(D)² of it, where u(D)² = 0.12² + 0.3² + 2 · 0.004² g².
    outcome = last(WORKED_CASE).outcome
    square = 0.12**2 + 0.3**2 + 2 * 0.004**2

    assert outcome.u_innovation_ug == pytest.approx(sqrt(square) * 1e6)
    assert outcome.metal_change_ug == pytest.approx(0.103e6 * 0.12**2 / square)
    assert outcome.liquid_change_ug == pytest.approx(0.103e6 * 0.3**2 / square, 1e-3)


def test_tare_and_metal_of_a_fill_are_anticorrelated_by_the_tares_error():
    # JCGM 100:2008 F.1.2.3: a shared error is the covariance, here m = z - t.
    state = last([ANY_METAL, FILLED]).state

    assert state.metal_ug == pytest.approx(32.518e6, abs=1e-6)
    assert state.u_metal_ug == pytest.approx(sqrt(2) * FOUR_MG)
    assert state.cov_metal_tare == pytest.approx(-(FOUR_MG**2))


@pytest.mark.parametrize("bound", [33e6, 80e6, 2e9])
@pytest.mark.parametrize("part", ["metal", "liquid"])
def test_the_reading_after_an_unknown_fill_decides_whatever_the_bounds(part, bound):
    step = last([Unknown(**{f"{part}_high_ug": bound}), FILLED])

    assert getattr(step.state, f"{part}_ug") == pytest.approx(32.518e6, rel=1e-12)
    assert getattr(step.state, f"u_{part}_ug") == pytest.approx(sqrt(2) * FOUR_MG)
    assert step.outcome.decided == part
    assert step.state.undecided == ()


@given(before=st.floats(1e6, 60e6), share=st.floats(0.0, 1.0))
def test_a_drawing_between_two_readings_is_their_difference(before, share):
    # However little or much of it was taken, the bounds do not pull.
    drawn = share * before
    events = [
        ANY_METAL,
        Observe(88.412e6 + before, FOUR_MG),
        Unknown(metal_low_ug=-before),
        Observe(88.412e6 + before - drawn, FOUR_MG),
    ]
    state = last(events).state

    assert state.metal_ug == pytest.approx(before - drawn, rel=1e-9, abs=1e-6)
    assert state.u_metal_ug == pytest.approx(sqrt(2) * FOUR_MG)
    assert state.tare_ug == TARED.tare_ug


def test_a_vessel_never_tared_gets_its_tare_from_metal_of_known_volume():
    start = Start(metal_ug=10e6, u_metal_ug=0.1e6, unknown=Unknown(tare_high_ug=500e6))
    state = last([Observe(98e6, FOUR_MG, 0.999)], start).state

    assert state.tare_ug == pytest.approx(98e6 - 9.99e6)
    assert state.u_tare_ug == pytest.approx(sqrt(FOUR_MG**2 + (0.999e5) ** 2))
    assert state.metal_ug == 10e6


def test_before_any_reading_an_unknown_fill_is_uniform_between_its_bounds():
    # JCGM 100:2008, 4.3.7: the middle, and half the width over √3.
    state = last([ANY_METAL]).state

    assert state.metal_ug == 40e6
    assert state.u_metal_ug == pytest.approx(40e6 / sqrt(3))
    assert state.undecided == ("metal",)


def test_two_unknown_parts_share_one_reading_and_stay_unsure():
    pair = Unknown(metal_high_ug=60e6, liquid_high_ug=60e6)
    state = last([pair, FILLED]).state

    assert state.metal_ug + state.liquid_ug == pytest.approx(32.518e6, rel=1e-6)
    assert state.metal_ug == pytest.approx(state.liquid_ug)
    assert state.u_metal_ug == pytest.approx(60e6 / sqrt(12) / sqrt(2), rel=1e-3)
    together = state.var_metal + state.var_liquid + 2 * state.cov_metal_liquid
    assert sqrt(together) == pytest.approx(sqrt(2) * FOUR_MG, rel=1e-3)


def test_a_known_change_while_a_part_is_unknown_leaves_it_unknown():
    state = last([ANY_METAL, Change(liquid_ug=5e6, u_liquid_ug=1e4)]).state

    assert state.undecided == ("metal",)
    assert last([ANY_METAL, Change(liquid_ug=5e6), FILLED]).state.metal_ug == (
        pytest.approx(27.518e6)
    )


@pytest.mark.parametrize("count", [2, 3, 10])
def test_repeated_readings_lessen_their_own_part_by_the_root_of_their_number(count):
    # The standard error of a mean (JCGM 100:2008, 4.2.3).
    exact_tare = Start(tare_ug=88.412e6)
    state = last([ANY_METAL, *[FILLED] * count], exact_tare).state

    assert state.u_metal_ug == pytest.approx(FOUR_MG / sqrt(count))
    assert state.metal_ug == pytest.approx(32.518e6)


def test_repeated_readings_never_lessen_the_tares_own_error():
    state = last([ANY_METAL, *[FILLED] * 10_000]).state

    assert state.u_metal_ug == pytest.approx(FOUR_MG, rel=1e-3)
    assert state.u_tare_ug == pytest.approx(FOUR_MG)


@pytest.mark.parametrize(
    ("ratio", "verdict"),
    [
        (0, "quiet"),
        (1.999, "quiet"),
        (2.0, "quiet"),
        (2.001, "check"),
        (3.0, "check"),
        (3.001, "investigate"),
    ],
)
@pytest.mark.parametrize("sign", [-1, 1])
def test_a_reading_is_quiet_to_2_u_to_be_checked_to_3_u_then_investigated(
    ratio, verdict, sign
):
    # Warning and action limits of a control chart: ISO 7870-2, from memory.
    start = Start(tare_ug=100.0, u_tare_ug=3.0, metal_ug=50.0)
    outcome = last([Observe(150.0 + sign * 5.0 * ratio, 4.0)], start).outcome

    assert outcome.u_innovation_ug == pytest.approx(5.0)
    assert outcome.ratio == pytest.approx(ratio)
    assert outcome.verdict == verdict


def test_a_disagreement_is_found_without_changing_the_record():
    state = last(WORKED_CASE[:4]).state

    d, u = innovation(state, Observe(151.308e6, FOUR_MG))

    assert d == pytest.approx(0.1e6)
    assert u == pytest.approx(sqrt(2) * FOUR_MG, rel=1e-9)
    assert verdict_on(d, u) == "investigate"


def test_emptied_leaves_exactly_no_metal_and_the_rest_as_it_was():
    oiled = [Change(metal_ug=10e6, u_metal_ug=1e4), ANY_OIL, FILLED]
    before = last(oiled).state
    after, outcome = apply(before, Emptied())

    assert (after.metal_ug, after.u_metal_ug) == (0, 0)
    assert (after.cov_metal_tare, after.cov_metal_liquid) == (0, 0)
    assert (after.tare_ug, after.liquid_ug) == (before.tare_ug, before.liquid_ug)
    assert after.u_tare_ug == pytest.approx(before.u_tare_ug)
    assert after.u_liquid_ug == pytest.approx(before.u_liquid_ug)
    assert before.cov_tare_liquid == pytest.approx(-(FOUR_MG**2))
    assert after.cov_tare_liquid == pytest.approx(-(FOUR_MG**2))
    assert outcome.metal_change_ug == -before.metal_ug
    assert outcome.verdict is None


def test_emptying_a_vessel_of_unknown_fill_leaves_nothing_unknown():
    assert last([ANY_METAL, Emptied()]).state.undecided == ()


def test_a_changed_gas_shifts_the_tare_and_not_the_metal():
    # Argon for air in 100 mL is some 46 mg (common practice, no source).
    gas = Change(tare_ug=46e3, u_tare_ug=1e3)
    state = last([ANY_METAL, FILLED, gas, Observe(120.976e6, FOUR_MG)]).state

    assert state.metal_ug == pytest.approx(32.518e6)
    assert state.tare_ug == pytest.approx(88.458e6)


def test_with_everything_exact_a_reading_changes_nothing_and_still_tells():
    start = Start(tare_ug=100.0, metal_ug=50.0)

    agreed = last([Observe(150.0, 0.0)], start)
    denied = last([Observe(151.0, 0.0)], start)

    assert agreed.state == denied.state == begin(start)
    assert (agreed.outcome.ratio, agreed.outcome.verdict) == (0, "quiet")
    assert (denied.outcome.ratio, denied.outcome.verdict) == (inf, "investigate")


def test_an_exact_reading_leaves_only_what_it_cannot_tell_apart():
    start = Start(tare_ug=100.0, u_tare_ug=3.0, metal_ug=50.0, u_metal_ug=4.0)
    state = last([Observe(160.0, 0.0)], start).state

    assert state.metal_ug + state.tare_ug == pytest.approx(160.0)
    assert state.metal_ug == pytest.approx(50 + 10 * 16 / 25)
    assert state.u_metal_ug == pytest.approx(3 * 4 / 5)
    assert state.cov_metal_tare == pytest.approx(-((3 * 4 / 5) ** 2))


def test_replaying_the_same_events_gives_the_same_numbers_to_the_last_bit():
    assert replay(WORKED_CASE, TARED) == replay(list(WORKED_CASE), TARED)


@pytest.mark.parametrize(
    ("kind", "fields"),
    [
        (Observe, {"z_ug": nan, "u_z_ug": 1.0}),
        (Observe, {"z_ug": 1.0, "u_z_ug": inf}),
        (Observe, {"z_ug": 1.0, "u_z_ug": -1.0}),
        (Observe, {"z_ug": 1.0, "u_z_ug": 1.0, "metal_factor": 0.0}),
        (Observe, {"z_ug": 1.0, "u_z_ug": 1.0, "liquid_factor": -1.0}),
        (Change, {"metal_ug": inf}),
        (Change, {"u_liquid_ug": -1.0}),
        (Start, {"tare_ug": nan}),
        (Start, {"u_tare_ug": -1.0}),
        (Unknown, {"metal_high_ug": inf}),
        (Unknown, {"metal_low_ug": 1.0}),
    ],
)
def test_an_event_that_cannot_be_is_refused(kind, fields):
    with pytest.raises(ValueError, match=r"finite|negative|above"):
        kind(**fields)
