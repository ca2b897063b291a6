"""What a balance's certificate says of its readings."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot, sqrt


@dataclass(frozen=True, slots=True)
class BalanceFacts:
    """A balance as its certificate describes it. All masses in µg.

    Repeatability is a standard deviation, non-linearity the largest deviation,
    `drift_ppm` the largest change of sensitivity since its adjustment, in parts
    per million of the load.
    """

    name: str
    readability_ug: float
    repeatability_ug: float
    nonlinearity_ug: float = 0
    capacity_ug: float | None = None
    drift_ppm: float = 0


def reading_u_ug(balance: BalanceFacts, reading_ug: float) -> float:
    """Return the standard uncertainty in µg that the balance gives one reading.

    Readability d/√12, repeatability, non-linearity a/√3 and drift over the load.
    Readings on one balance share the drift; taken by itself, each has it whole.
    """
    drift = balance.drift_ppm * 1e-6 * reading_ug
    parts = (
        balance.readability_ug / sqrt(12),
        balance.repeatability_ug,
        balance.nonlinearity_ug / sqrt(3),
        drift / sqrt(3),
    )
    return hypot(*parts)


def smallest_net_weight_ug(balance: BalanceFacts) -> float:
    """Return the smallest net mass in µg worth reading on a balance.

    2000 times the repeatability, or times 0.41 of a division where that is more
    (United States Pharmacopeia, general chapter 41, Balances).
    """
    return 2000 * max(balance.repeatability_ug, 0.41 * balance.readability_ug)
