"""Whether a batch's metal is all accounted for, within what is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, isfinite

from .estimate import QUIET_WITHIN, Verdict, verdict_on
from .uncertainty import Number, UFloat, exact, nominal, spread
from .units import show_mass

ROUNDING_UG = 0.5
"""The ledger's whole micrograms: less than that, and less sure, is no difference."""


@dataclass(frozen=True, slots=True)
class Balance:
    """Material unaccounted for (MUF) in µg, |MUF|/σ, and what to make of it.

    Positive is missing; negative is more in the vessels than was collected. Without
    any uncertainty `ratio` is 0, or infinite if the masses differ.
    """

    muf_ug: UFloat
    ratio: float
    verdict: Verdict
    sentence: str


def balance(
    collected: UFloat,
    vessels: Sequence[UFloat],
    losses: Number = 0.0,
    used: Number = 0.0,
) -> Balance:
    """Return collected − Σ vessels − losses − used, all in µg, tested against its σ.

    Errors that the masses share (one balance, one receiver) are counted once if they
    share the variable. Within 2 σ is quiet, within 3 σ to be checked, beyond to be
    investigated. Source: nuclear material accounting, where |MUF| < 3 σ is expected
    (Nuclear Safeguards Education Portal, Texas A&M University, "Material Unaccounted
    For") and two standard errors are the limit of error (US AEC Regulatory Guide
    5.33, 1974; its factor from memory). Raises ValueError unless all is finite.
    """
    muf = exact(collected - sum(vessels, exact(0.0)) - losses - used)
    size, sigma = abs(nominal(muf)), spread(muf)
    if not (isfinite(size) and isfinite(sigma)):
        raise ValueError("a material balance needs finite masses")
    if max(size, sigma) < ROUNDING_UG:
        return Balance(muf, 0.0, "quiet", "The masses agree exactly.")
    ratio = size / sigma if sigma else inf
    verdict = verdict_on(size, sigma)
    return Balance(muf, ratio, verdict, _sentence(nominal(muf), sigma, verdict))


def _sentence(muf: float, sigma: float, verdict: Verdict) -> str:
    mass = show_mass(abs(muf), sigma)
    if verdict == "quiet":
        unseen = show_mass(QUIET_WITHIN * sigma)
        return f"The masses agree; less than {unseen} missing would not be seen."
    beyond = "2 to 3" if verdict == "check" else "more than 3"
    what = "is missing" if muf > 0 else "more is in the vessels than was collected"
    found = f"{mass} {what}, {beyond} standard uncertainties"
    if muf < 0:
        return f"{found}: weigh again, a tare, a gross or the collected mass is wrong."
    if verdict == "check":
        return (
            f"{found}: check the weighings, and what clings to the glass, before "
            "anything is opened or rinsed; metal left there can ignite."
        )
    return (
        f"{found}: find it before anything is opened or rinsed; metal left in a "
        "receiver, a joint or the still can ignite."
    )
