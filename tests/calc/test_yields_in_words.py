"""Yields and excesses end where their uncertainty does, which keeps two digits.

Source: JCGM 100:2008, 7.2.6 (two significant digits of U usually suffice).
"""

import pytest

from inventory.calc import units


@pytest.mark.parametrize(
    ("fraction", "u", "shown"),
    [
        (0.7633, 0.0004, "76.330 % ± 0.080 % (k = 2)"),
        (0.7633, 0.0035, "76.33 % ± 0.70 % (k = 2)"),
        (0.7633, 0.02, "76.3 % ± 4.0 % (k = 2)"),
        (0.7633, 0.07, "76 % ± 14 % (k = 2)"),
        (1.0312, 0.00005, "103.120 % ± 0.010 % (k = 2)"),
        (0.7633, 1e-9, "76.3300 % ± 0.0000 % (k = 2)"),
        (0.7633, 0.0, "76.33 %"),
    ],
)
def test_a_yield_is_shown_in_per_cent_with_k_2(fraction, u, shown):
    assert units.show_yield(fraction, u) == shown


@pytest.mark.parametrize(
    ("value", "u", "shown"),
    [
        (1.41673, 0.0042, "1.4167 ± 0.0084 equivalents (k = 2)"),
        (1.41673, 0.05, "1.42 ± 0.10 equivalents (k = 2)"),
        (2.0, 0.0, "2.00 equivalents"),
    ],
)
def test_an_excess_is_shown_in_equivalents_with_k_2(value, u, shown):
    assert units.show_equivalents(value, u) == shown
