"""Means of results that scatter, and whether a new one differs from them."""

from math import log, sqrt

import pytest

from inventory.calc import comparison
from inventory.calc.comparison import Result

# Thirteen trials of BCG vaccine: (cases, others) of the vaccinated and of the controls.
# Source: Colditz et al., JAMA 271 (1994) 698, as in the worked example of many
# textbooks of meta-analysis; the sums by DerSimonian and Laird are −0.7141 ± 0.1787,
# τ² 0.3088, Q 152.23 (all from memory).
TRIALS = [
    (4, 119, 11, 128),
    (6, 300, 29, 274),
    (3, 228, 11, 209),
    (62, 13536, 248, 12619),
    (33, 5036, 47, 5761),
    (180, 1361, 372, 1079),
    (8, 2537, 10, 619),
    (505, 87886, 499, 87892),
    (29, 7470, 45, 7232),
    (17, 1699, 65, 1600),
    (186, 50448, 141, 27197),
    (5, 2493, 3, 2338),
    (27, 16886, 29, 17825),
]


def log_ratio(a, b, c, d):
    variance = 1 / a - 1 / (a + b) + 1 / c - 1 / (c + d)
    return Result(log(a / (a + b)) - log(c / (c + d)), sqrt(variance))


def test_the_mean_of_scattered_results_agrees_with_a_published_sum():
    mean = comparison.mean_of([log_ratio(*trial) for trial in TRIALS])

    assert mean.value == pytest.approx(-0.7141, abs=5e-5)
    assert mean.u == pytest.approx(0.1787, abs=5e-5)
    assert mean.between**2 == pytest.approx(0.3088, abs=5e-5)
    assert (mean.chi2, mean.freedom) == (pytest.approx(152.233, abs=5e-3), 12)


def test_results_that_agree_get_the_plain_weighted_mean():
    # 10.0 ± 0.1 and 10.3 ± 0.2: weights 100 and 25, mean 10.06, u = 1/√125 = 0.0894,
    # χ² = 0.06²·100 + 0.24²·25 = 1.8; with 10.2 instead 0.8, below its freedom of 1
    # (the weighted mean of any textbook of error analysis).
    apart = [Result(10.0, 0.1), Result(10.3, 0.2)]
    close = [Result(10.0, 0.1), Result(10.2, 0.2)]

    mean = comparison.mean_of(close)

    assert comparison.mean_of(apart).chi2 == pytest.approx(1.8)
    assert mean.value == pytest.approx(10.04)
    assert mean.u == pytest.approx(1 / sqrt(125))
    assert (mean.chi2, mean.between) == (pytest.approx(0.8), 0.0)


def test_one_result_is_its_own_mean():
    mean = comparison.mean_of([Result(0.71, 0.01)])

    assert (mean.value, mean.u) == (pytest.approx(0.71), pytest.approx(0.01))
    assert (mean.count, mean.freedom, mean.between) == (1, 0, 0.0)


def test_there_is_no_mean_of_nothing():
    with pytest.raises(ValueError, match="nothing"):
        comparison.mean_of([])


def test_a_new_result_is_as_doubtful_as_it_is_itself_and_the_others_are():
    # Two of 0.70 ± 0.03: mean 0.70 ± 0.0212. Against 0.75 ± 0.02, D = 0.05 with
    # u = √(0.02² + 0.0212²) = 0.0292: 1.71 u.
    found = comparison.difference(Result(0.75, 0.02), [Result(0.70, 0.03)] * 2)

    assert found.d == pytest.approx(0.05)
    assert found.u == pytest.approx(sqrt(0.02**2 + 0.03**2 / 2))
    assert found.ratio == pytest.approx(1.715, abs=1e-3)


def test_a_new_result_is_expected_to_scatter_as_the_others_do():
    # 0.60, 0.70, 0.80 ± 0.001: nearly equal weights, so the spread between them is
    # their standard deviation, 0.1, and the next one lies within √(1 + 1/3) of that.
    before = [Result(value, 0.001) for value in (0.6, 0.7, 0.8)]

    found = comparison.difference(Result(0.8, 0.001), before)

    assert found.mean.between == pytest.approx(0.1, rel=1e-3)
    assert found.u == pytest.approx(0.1 * sqrt(4 / 3), rel=1e-3)
    assert found.ratio < 1


def test_results_nothing_is_doubted_of_do_not_break_the_sum():
    mean = comparison.mean_of([Result(0.7, 0.0), Result(0.7, 0.0)])

    assert mean.value == pytest.approx(0.7)
