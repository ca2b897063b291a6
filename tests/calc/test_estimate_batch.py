"""The running estimate against all of its history solved at once."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.calc.estimate import begin, replay
from inventory.calc.events import Change, Emptied, Observe, Start, Unknown
from tests.calc import least_squares
from tests.calc.histories import histories, matrix, mean, readings, starts


def compare(history, start, rel=1e-9):
    state = replay([event for event, _ in history], start)[-1].state
    x, p = least_squares.last_state(history, start)
    u = np.sqrt(np.diag(matrix(state)))

    assert np.all(np.abs(mean(state) - x) <= rel * (np.abs(x) + u) + 1e-6)
    assert np.all(np.abs(matrix(state) - p) <= rel * np.outer(u, u) + 1e-6)


@settings(max_examples=1000, deadline=None)
@given(histories, starts)
def test_the_sequence_of_updates_equals_batch_generalised_least_squares(history, start):
    # Referee: tests/calc/least_squares.py, NumPy, another formulation altogether.
    compare(history, start)


@settings(max_examples=20, deadline=None)
@given(st.lists(st.floats(-1, 1), min_size=20, max_size=20))
def test_a_long_ordinary_life_of_a_vessel_equals_the_batch_too(noise):
    start = Start(tare_ug=88.412e6, u_tare_ug=4e3)
    history = [
        (Unknown(metal_high_ug=80e6), ("metal",)),
        (Observe(120.93e6, 4e3, 0.9989, 0.998), ()),
        (Unknown(liquid_high_ug=40e6), ("liquid",)),
        (Observe(151.208e6, 4e3, 0.9989, 0.998), ()),
    ]
    for turn, error in enumerate(noise, 1):
        drawn = Change(-0.7e6, 3e4, -5e4, 5e4)
        z = 151.208e6 - turn * 0.75e6 + 1e4 * error
        history += [(drawn, ()), (Observe(z, 4e3, 0.9989, 0.998), ())]
    compare(history, start)


def test_the_referee_itself_solves_a_case_done_by_hand():
    # Two readings of one exact mass, u = 3 and 4: weights 16/25 and 9/25, and
    # u² = 1/(1/9 + 1/16) = 144/25 (inverse-variance weighting, any textbook).
    history = [
        (Unknown(metal_high_ug=1e3), ("metal",)),
        (Observe(100.0, 3.0), ()),
        (Observe(107.0, 4.0), ()),
    ]

    x, p = least_squares.last_state(history, Start())

    np.testing.assert_allclose(x[0], (16 * 100 + 9 * 107) / 25, rtol=1e-12)
    np.testing.assert_allclose(p[0, 0], 144 / 25, rtol=1e-12)
    assert abs(x[1]) < 1e-9
    assert abs(p[1, 1]) < 1e-9


@settings(deadline=None)
@given(st.lists(histories, min_size=20, max_size=20), starts)
def test_the_covariance_stays_positive_semidefinite_over_long_histories(parts, start):
    events = [event for part in parts for event, _ in part]

    for step in replay(events, start):
        p = matrix(step.state)
        eigenvalues = np.linalg.eigvalsh(p)
        assert eigenvalues[0] >= -1e-12 * max(eigenvalues[-1], 1.0)
        outer = np.sqrt(np.outer(np.diag(p), np.diag(p)))
        assert np.all(np.abs(p) <= outer * (1 + 1e-9) + 1e-6)


@given(histories, starts, st.lists(readings, min_size=2, max_size=5), st.randoms())
def test_readings_at_one_state_may_be_taken_in_any_order(history, start, at_once, dice):
    # One state has one gas inside, hence the same factors in all its readings.
    events = [event for event, _ in history]
    same = [Observe(z.z_ug, z.u_z_ug, 0.999, 0.998) for z in at_once]
    shuffled = same[:]
    dice.shuffle(shuffled)

    one = replay(events + same, start)[-1].state
    other = replay(events + shuffled, start)[-1].state

    u = np.sqrt(np.diag(matrix(one)))
    # Readings far apart cancel only to the last bits of their distance.
    apart = max(z.z_ug for z in same) - min(z.z_ug for z in same)
    size = np.abs(mean(one)) + u + apart
    assert np.all(np.abs(mean(one) - mean(other)) <= 1e-9 * size)
    assert np.all(np.abs(matrix(one) - matrix(other)) <= 1e-9 * np.outer(u, u) + 1e-6)


@given(histories, starts)
def test_a_reading_never_makes_anything_less_sure(history, start):
    before = begin(start)
    for step in replay([event for event, _ in history], start):
        if isinstance(step.event, Observe):
            grown = np.diag(matrix(step.state)) - np.diag(matrix(before))
            decided = [
                part == step.outcome.decided for part in ("metal", "tare", "liquid")
            ]
            others = np.where(decided, 0.0, grown)
            assert np.all(others <= 1e-9 * np.diag(matrix(before)) + 1e-6)
        before = step.state


@given(histories, starts)
def test_changes_told_by_the_outcomes_add_up_to_the_last_mean(history, start):
    # So that what a ledger posts for each sums to the metal (common practice, no
    # source).
    events = [event for event, _ in history] + [Emptied()]
    steps = replay(events, start)

    total = start.metal_ug + sum(step.outcome.metal_change_ug for step in steps)
    assert abs(total) < 1e-4
    assert steps[-1].state.metal_ug == 0
