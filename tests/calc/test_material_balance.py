"""Whether a batch's metal is all accounted for: the sums, the limits, the words."""

from math import inf, nan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calc.material_balance import balance
from inventory.calc.uncertainty import exact, uncertain


def g(value, u=0.0, tag="mass"):
    return uncertain(value * 1e6, u * 1e6, tag)


def test_what_is_unaccounted_for_is_collected_less_all_that_is_known():
    found = balance(g(80, 0.3), [g(20, 0.02), g(30, 0.02), g(25, 0.02)], g(3, 0.2), 1e6)

    # By hand: 80 − 75 − 3 − 1 = 1 g; √(0.3² + 3·0.02² + 0.2²) = 0.3622 g.
    assert found.muf_ug.n == pytest.approx(1e6)
    assert found.muf_ug.s == pytest.approx(0.3622e6, rel=1e-3)
    assert found.ratio == pytest.approx(1 / 0.3622, rel=1e-3)
    assert found.verdict == "check"


@pytest.mark.parametrize(
    ("missing", "verdict"),
    [
        # |MUF| < 3 σ: Nuclear Safeguards Education Portal, Texas A&M University, "Material
        # Unaccounted For" (found). 2 σ is the limit of error of US AEC Regulatory Guide
        # 5.33, 1974 (guide found, its factor from memory).
        (0.0, "quiet"),
        (1.99, "quiet"),
        (2.01, "check"),
        (2.99, "check"),
        (3.01, "investigate"),
        (30.0, "investigate"),
    ],
)
@pytest.mark.parametrize("sign", [1, -1])
def test_the_limits_are_two_and_three_standard_uncertainties(missing, verdict, sign):
    found = balance(g(50 + sign * missing, 0.6), [g(50, 0.8)])

    assert found.ratio == pytest.approx(missing)
    assert found.verdict == verdict


def test_a_balance_that_is_right_is_investigated_in_3_of_1000_cases():
    # A normal deviate is beyond 3 σ in 0.27 %, beyond 2 σ in 4.55 % (NIST/SEMATECH
    # e-Handbook 1.3.6.7.1, from memory). Tried with 20 000 made batches.
    rng = np.random.default_rng(7)
    verdicts = [
        balance(g(60 + rng.normal(0, 0.3), 0.3), [g(60 + rng.normal(0, 0.4), 0.4)])
        for _ in range(20_000)
    ]

    quiet = sum(found.verdict == "quiet" for found in verdicts)
    alarms = sum(found.verdict == "investigate" for found in verdicts)
    assert quiet / 20_000 == pytest.approx(0.9545, abs=0.005)
    assert alarms / 20_000 == pytest.approx(0.0027, abs=0.0012)


def test_an_error_that_all_weighings_share_is_counted_once():
    drift = uncertain(0.0, 0.01, "sensitivity of the balance")
    receiver = exact(80e6 * (1 + drift))
    ampoules = [exact(20e6 * (1 + drift)) for _ in range(4)]

    # Every ampoule is as far off as the receiver: the balance closes exactly, whatever
    # rounding leaves of it.
    found = balance(receiver, ampoules)
    assert found.muf_ug.s == pytest.approx(0, abs=1e-6)
    assert (found.verdict, found.sentence) == ("quiet", "The masses agree exactly.")


masses = st.floats(0, 1e9)


@given(masses, st.lists(masses, max_size=8), masses, masses)
def test_moving_metal_between_the_entries_changes_nothing(total, filled, lost, used):
    vessels = [g(mass / 1e6, 0.01) for mass in filled]
    found = balance(g(total / 1e6, 0.1), vessels, g(lost / 1e6), used)
    poured = balance(g(total / 1e6, 0.1), [*vessels, g(lost / 1e6)], exact(0.0), used)

    assert poured.muf_ug.n == pytest.approx(found.muf_ug.n, abs=1e-3)
    assert found.ratio >= 0


def test_a_quiet_balance_says_what_it_would_not_have_seen():
    # A receiver read by volume is good to grams: that nothing is missing means little.
    found = balance(g(60, 2.0), [g(57, 0.02)])

    assert found.verdict == "quiet"
    assert found.sentence == (
        "The masses agree; less than 4.000 g missing would not be seen."
    )


def test_missing_metal_is_to_be_found_before_anything_is_opened():
    found = balance(g(60, 0.02), [g(57, 0.02)])

    assert found.verdict == "investigate"
    assert found.sentence.startswith(
        "3.000 g ± 0.057 g (k = 2) is missing, more than 3"
    )
    assert "before anything is opened or rinsed" in found.sentence
    assert "can ignite" in found.sentence


def test_more_metal_than_was_collected_is_a_wrong_weighing():
    found = balance(g(57, 0.02), [g(60, 0.02)])

    assert found.muf_ug.n < 0
    assert "3.000 g ± 0.057 g (k = 2) more is in the vessels" in found.sentence
    assert "weigh again" in found.sentence


def test_exact_masses_agree_or_they_do_not():
    assert balance(g(5), [g(5)]).sentence == "The masses agree exactly."
    assert balance(g(5), [g(5)]).ratio == 0
    short = balance(g(5), [g(4)])
    assert (short.ratio, short.verdict) == (inf, "investigate")


@pytest.mark.parametrize("bad", [nan, inf])
def test_a_mass_that_is_no_number_is_refused(bad):
    with pytest.raises(ValueError, match="finite"):
        balance(exact(bad), [g(1)])
