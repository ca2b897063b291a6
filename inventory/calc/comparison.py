"""Whether one result differs from others like it by more than is known of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

FEWEST = 3
"""Results from which on their spread says something about the next one."""

FINEST = 1e-9
"""No standard uncertainty counts as smaller: a weight has to be finite."""


@dataclass(frozen=True, slots=True)
class Result:
    """A value with its standard uncertainty, of any unit."""

    value: float
    u: float


@dataclass(frozen=True, slots=True)
class Mean:
    """What several results give together, in their own unit.

    `chi2` with `freedom` degrees of freedom says how far they scatter for their
    uncertainties; `between` is the standard deviation from one to the next that the
    uncertainties do not explain, 0 where they explain all.
    """

    value: float
    u: float
    count: int
    chi2: float = 0.0
    between: float = 0.0

    @property
    def freedom(self) -> int:
        return self.count - 1


@dataclass(frozen=True, slots=True)
class Difference:
    """How far a result is from the mean of others, with u and |D|/u(D)."""

    d: float
    u: float
    mean: Mean

    @property
    def ratio(self) -> float:
        return abs(self.d) / self.u


def mean_of(results: Sequence[Result]) -> Mean:
    """Return the mean weighted by 1/(u² + between²).

    What the results scatter beyond their uncertainties is taken as a variance
    between them, by the moments of χ² (R. DerSimonian, N. Laird, Controlled Clinical
    Trials 7 (1986) 177, from memory). Raises ValueError without any result.
    """
    if not results:
        raise ValueError("there is no mean of nothing")
    variances = [max(result.u, FINEST) ** 2 for result in results]
    value, total = _weighted(results, variances)
    chi2 = sum(
        (result.value - value) ** 2 / variance
        for result, variance in zip(results, variances, strict=True)
    )
    freedom = len(results) - 1
    between2 = 0.0
    if chi2 > freedom > 0:
        squares = sum(1 / variance**2 for variance in variances)
        between2 = (chi2 - freedom) / (total - squares / total)
        value, total = _weighted(results, [v + between2 for v in variances])
    return Mean(value, 1 / sqrt(total), len(results), chi2, sqrt(between2))


def _weighted(
    results: Sequence[Result], variances: Sequence[float]
) -> tuple[float, float]:
    """Return the weighted mean and the sum of the weights."""
    total = sum(1 / variance for variance in variances)
    pairs = zip(results, variances, strict=True)
    return sum(result.value / variance for result, variance in pairs) / total, total


def difference(result: Result, others: Sequence[Result]) -> Difference:
    """Return how far `result` is from the mean of `others`.

    Its doubt is the result's own, the mean's, and what one differs from the next
    anyway: a new one is expected to scatter as the others do.
    """
    mean = mean_of(others)
    u2 = max(result.u, FINEST) ** 2 + mean.u**2 + mean.between**2
    return Difference(result.value - mean.value, sqrt(u2), mean)
