"""How likely it is that what remains is enough, and how to say so."""

from __future__ import annotations

from math import erfc, isfinite, nextafter, sqrt

from .units import show_percent

_WORDS = (
    (0.99, "almost certainly"),
    (0.90, "very likely"),
    (0.66, "likely"),
    (0.33, "about even"),
    (0.10, "unlikely"),
    (0.01, "very unlikely"),
)
"""The least chance for each word: the steps of the calibrated likelihood scale of
Mastrandrea et al., IPCC guidance note on uncertainties, 2010 (from memory)."""

NEVER_BELOW = 5e-324
NEVER_ABOVE = nextafter(1.0, 0.0)
"""What an uncertain estimate is held within: the floats next to 0 and to 1."""


def chance_enough(
    mean_ug: float,
    u_ug: float,
    promised_ug: float,
    heel_ug: float,
    need_ug: float,
) -> float:
    """Return the probability that remaining - promised - heel ≥ need, all in µg.

    What remains is taken as normal with this mean and standard uncertainty, cut
    off below zero because a vessel cannot hold less than nothing (a probability
    of conformity, JCGM 106:2012 clause 7, from memory). The cut matters only
    within a few u of empty. Exactly 0 or 1 comes only where nothing is uncertain:
    with u = 0, or when nothing is asked for. Raises ValueError for a number that is
    not finite, or negative (the mean aside).
    """
    if not all(map(isfinite, (mean_ug, u_ug, promised_ug, heel_ug, need_ug))):
        raise ValueError("a chance needs finite masses")
    if min(u_ug, promised_ug, heel_ug, need_ug) < 0:
        raise ValueError("only the estimate itself may be negative")
    wanted_ug = promised_ug + heel_ug + need_ug
    if wanted_ug == 0:
        return 1.0
    if u_ug == 0:
        return 1.0 if mean_ug >= wanted_ug else 0.0
    above_zero = _above(-mean_ug / u_ug)
    if above_zero == 0:  # some 38 u below empty: no float holds the ratio
        return NEVER_BELOW
    chance = _above((wanted_ug - mean_ug) / u_ug) / above_zero
    return min(max(chance, NEVER_BELOW), NEVER_ABOVE)


def in_words(chance: float) -> str:
    """Return a chance as a word and a number: "almost certainly: 99.7 %".

    Rounded to 0.1 % before the word is chosen, so that the two agree. 100 % and
    0 % are kept for what is exactly certain. Raises ValueError outside 0 to 1.
    """
    if not 0 <= chance <= 1:
        raise ValueError(f"{chance} is no probability")
    if chance == 1:
        return "certainly: 100 %"
    if chance == 0:
        return "certainly not: 0 %"
    if chance > 0.999:
        return "almost certainly: more than 99.9 %"
    if chance < 0.001:
        return "almost certainly not: less than 0.1 %"
    rounded = round(chance, 3)
    for least, word in _WORDS:
        if rounded >= least:
            return f"{word}: {show_percent(rounded)}"
    return f"almost certainly not: {show_percent(rounded)}"


def _above(z: float) -> float:
    """Return the probability that a standard normal variable is above z."""
    return erfc(z / sqrt(2)) / 2
