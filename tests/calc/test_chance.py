"""The chance that what remains is enough, as a number and in words."""

from math import inf, nan
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calc.chance import chance_enough, in_words

FULL, U = 20e6, 0.1e6  # so far above zero that nothing is cut off


def chance_of(z):
    """Return the chance that remaining is above a need z standard deviations down."""
    return chance_enough(FULL, U, 0, 0, FULL - z * U)


@pytest.mark.parametrize(
    ("z", "area"),
    [
        (0.00, 0.50000),
        (0.50, 0.69146),
        (1.00, 0.84134),
        (1.64, 0.94950),
        (1.96, 0.97500),
        (2.00, 0.97725),
        (2.58, 0.99506),
        (3.00, 0.99865),
        (-1.00, 0.15866),
        (-1.96, 0.02500),
    ],
)
def test_the_chance_is_the_tabled_area_under_the_normal_curve(z, area):
    # NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.1 (from memory).
    assert chance_of(z) == pytest.approx(area, abs=6e-6)


@given(st.floats(-8, 8))
def test_the_chance_agrees_with_the_standard_library(z):
    # Not fully independent: NormalDist uses erf as the calculation uses erfc.
    assert chance_of(z) == pytest.approx(NormalDist().cdf(z), abs=1e-9)


@pytest.mark.parametrize("mean", [-0.1, 0.0, 0.5, 2.0, 10.0])
@pytest.mark.parametrize("need", [0.1, 1.0, 3.0])
def test_the_chance_is_the_area_of_the_curve_cut_off_at_empty(mean, need):
    # Independent of any error function: the density summed in 2·10⁵ steps.
    x = np.linspace(0, mean + 12, 200_001)
    density = np.exp(-((x - mean) ** 2) / 2)
    expected = np.trapezoid(np.where(x >= need, density, 0), x) / np.trapezoid(
        density, x
    )

    assert chance_enough(mean, 1.0, 0, 0, need) == pytest.approx(expected, abs=1e-4)


def test_promises_heel_and_need_are_all_taken_off():
    together = chance_enough(20e6, 1e6, 4e6, 6e6, 9e6)

    assert together == chance_enough(20e6, 1e6, 0, 0, 19e6)
    assert together == pytest.approx(0.84134, abs=6e-6)


amounts = st.floats(0, 60e6)


@given(st.floats(-1e6, 60e6), st.floats(1, 20e6), amounts, amounts, amounts)
def test_an_uncertain_chance_is_never_quite_0_or_1_and_falls_with_the_need(
    mean, u, promised, heel, need
):
    some = chance_enough(mean, u, promised, heel, need + 1)
    more = chance_enough(mean, u, promised, heel, need + 1 + u)

    assert 0 < more <= some < 1


def test_without_uncertainty_the_chance_is_all_or_nothing():
    assert chance_enough(5e6, 0, 1e6, 1e6, 3e6) == 1
    assert chance_enough(5e6, 0, 1e6, 1e6, 3e6 + 1) == 0


def test_asking_for_nothing_is_certain():
    assert chance_enough(-1e3, 1e4, 0, 0, 0) == 1


def test_an_estimate_far_below_empty_has_next_to_no_chance():
    assert in_words(chance_enough(-100.0, 1.0, 0, 0, 1.0)) == (
        "almost certainly not: less than 0.1 %"
    )


@pytest.mark.parametrize("bad", [nan, inf, -1.0])
@pytest.mark.parametrize("place", range(1, 5))
def test_a_number_that_cannot_be_is_refused(bad, place):
    numbers = [5e6, 1e5, 0.0, 0.0, 1e6]
    numbers[place] = bad

    with pytest.raises(ValueError, match=r"finite|negative"):
        chance_enough(*numbers)


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (1.0, "certainly: 100 %"),
        (1 - 1e-16, "almost certainly: more than 99.9 %"),
        (0.9991, "almost certainly: more than 99.9 %"),
        (0.999, "almost certainly: 99.9 %"),
        (0.997, "almost certainly: 99.7 %"),
        (0.99, "almost certainly: 99.0 %"),
        (0.9897, "almost certainly: 99.0 %"),
        (0.9894, "very likely: 98.9 %"),
        (0.975, "very likely: 97.5 %"),
        (0.90, "very likely: 90.0 %"),
        (0.80, "likely: 80.0 %"),
        (0.5, "about even: 50.0 %"),
        (0.33, "about even: 33.0 %"),
        (0.2, "unlikely: 20.0 %"),
        (0.05, "very unlikely: 5.0 %"),
        (0.004, "almost certainly not: 0.4 %"),
        (0.001, "almost certainly not: 0.1 %"),
        (0.0009, "almost certainly not: less than 0.1 %"),
        (5e-324, "almost certainly not: less than 0.1 %"),
        (0.0, "certainly not: 0 %"),
    ],
)
def test_a_chance_is_said_as_a_word_and_a_number_that_agree(chance, words):
    # Steps at 1, 10, 33, 66, 90, 99 %: IPCC guidance note 2010 (from memory).
    assert in_words(chance) == words


@given(st.floats(5e-324, 1 - 1e-16))
def test_what_is_not_certain_is_never_said_to_be(chance):
    words = in_words(chance)

    assert not words.endswith((": 100 %", ": 100.0 %", ": 0 %", ": 0.0 %"))


@pytest.mark.parametrize("bad", [-0.1, 1.1, nan])
def test_what_is_no_probability_is_refused(bad):
    with pytest.raises(ValueError, match="no probability"):
        in_words(bad)
