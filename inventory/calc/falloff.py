"""How fast something collects, and how that falls off: lines through noisy readings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp, expm1, fsum, hypot, log, sqrt
from typing import Generic, TypeVar

from .uncertainty import Number, UFloat, exact, nominal, uncertain

FEWEST = 5
"""Readings below which nothing is said of how the rate changes."""

INTERVALS = range(8, 2, -1)
"""Into how many intervals the readings may be put, most first."""

SEEN = 3.0
"""Standard uncertainties by which the mass has to grow in every interval."""

POORLY = 1.645
"""The normal quantile above which a χ² is found by chance in 5 % of cases only."""

TRIES, NEAR = 50, 1e-12
"""Steps of the fit at most, and how small the last one has to be."""

Row = tuple[float, float, float]

MassT = TypeVar("MassT", bound=Number)


@dataclass(frozen=True, slots=True)
class Sample(Generic[MassT]):
    """A mass at a time in hours; `u` is the part of its error that is its own alone."""

    hours: float
    mass: MassT
    u: float


@dataclass(frozen=True, slots=True)
class FallOff:
    """ln(rate) = `log_rate` + `per_hour`·(t − `end`), fitted from `start` to `end`."""

    start: float
    end: float
    log_rate: UFloat
    per_hour: UFloat

    def reaches(self, rate: float) -> UFloat:
        """Return the time in hours at which the fitted rate is `rate`."""
        return exact(self.end + (log(rate) - self.log_rate) / self.per_hour)


def mean_rate(samples: Sequence[Sample[UFloat]]) -> UFloat | None:
    """Return the slope of the weighted straight line, mass per hour.

    What all readings have wrong together cancels. Readings that scatter more than
    they should widen it by their Birge ratio. None if they are all of one moment.
    """
    hours = [sample.hours for sample in samples]
    if min(hours) == max(hours):
        return None
    weights = [sample.u**-2 for sample in samples]
    shares, middle = _shares(hours, weights)
    slope = _sum_of(shares, [sample.mass for sample in samples])
    freedom = len(samples) - 2
    if freedom < 1:
        return slope
    masses = [nominal(sample.mass) for sample in samples]
    level = _mean(masses, weights)
    misfit = fsum(
        w * (mass - level - nominal(slope) * (t - middle)) ** 2
        for w, mass, t in zip(weights, masses, hours, strict=True)
    )
    own = hypot(*(share * s.u for share, s in zip(shares, samples, strict=True)))
    wider = own * sqrt(max(misfit / freedom - 1, 0.0))
    return exact(slope + uncertain(0.0, wider, "scatter of readings"))


def fall_off(samples: Sequence[Sample[UFloat]]) -> FallOff | None:
    """Return the exponential through the longest newest stretch that it describes.

    A weighted straight line through ln(rate) against time begins it, weighted least
    squares on the masses themselves complete it, because the rates of neighbouring
    intervals share a reading. Older readings are dropped one by one until the rest
    agrees with an exponential at the 5 % level, so a warming-up or an earlier heating
    is left behind. None if fewer than FEWEST readings do, or they are too coarse to
    show a rate. Samples are in order of time.
    """
    last_of_moment = {sample.hours: sample for sample in samples}
    full = list(last_of_moment.values())
    plain = [Sample(item.hours, nominal(item.mass), item.u) for item in full]
    for first in range(len(full) - FEWEST + 1):
        begun = _line_through_logs(_bounds(plain[first:]))
        law = begun and _least_squares(plain[first:], *begun)
        if law and _describes(law, plain[first:]):
            return _with_uncertainty(law, full[first:])
    return None


def _bounds(samples: Sequence[Sample[float]]) -> list[Sample[float]]:
    """Return the readings between which the mass has grown enough to be seen."""
    last = len(samples) - 1
    for count in INTERVALS:
        if count > last:
            continue
        bounds = [samples[round(i * last / count)] for i in range(count + 1)]
        if all(b.mass - a.mass > SEEN * hypot(a.u, b.u) for a, b in pairwise(bounds)):
            return bounds
    return []


def _line_through_logs(bounds: Sequence[Sample[float]]) -> tuple[float, float] | None:
    """Return ln(rate) at the end and its change per hour, roughly."""
    if not bounds:
        return None
    pairs = list(pairwise(bounds))
    middles = [(a.hours + b.hours) / 2 - bounds[-1].hours for a, b in pairs]
    logs = [log((b.mass - a.mass) / (b.hours - a.hours)) for a, b in pairs]
    weights = [((b.mass - a.mass) / hypot(a.u, b.u)) ** 2 for a, b in pairs]
    shares, middle = _shares(middles, weights)
    slope = fsum(share * y for share, y in zip(shares, logs, strict=True))
    return _mean(logs, weights) - slope * middle, slope


@dataclass(frozen=True, slots=True)
class _Law:
    """mass = `level` + ∫ rate from `end` on, ln(rate) as in FallOff."""

    end: float
    level: float
    log_rate: float
    per_hour: float

    def at(self, hours: float) -> tuple[float, Row]:
        """Return the mass at a time, and how it moves with each of the three."""
        t, b, rate = hours - self.end, self.per_hour, exp(self.log_rate)
        if abs(b * t) < 1e-4:
            grown, bent = t + b * t * t / 2, t * t / 2 + b * t**3 / 3
        else:
            grown = expm1(b * t) / b
            bent = (t * exp(b * t) - grown) / b
        return self.level + rate * grown, (1.0, rate * grown, rate * bent)


def _least_squares(
    samples: Sequence[Sample[float]], log_rate: float, per_hour: float
) -> _Law | None:
    """Return the exponential that is nearest to the readings, or None (Gauss-Newton)."""
    law = _Law(samples[-1].hours, samples[-1].mass, log_rate, per_hour)
    for _ in range(TRIES):
        try:
            step = _step(law, samples)
        except ArithmeticError:  # it ran off: these readings are no exponential
            return None
        law = _Law(
            law.end,
            law.level + step[0],
            law.log_rate + step[1],
            law.per_hour + step[2],
        )
        if max(abs(step[1]), abs(step[2]) * (law.end - samples[0].hours)) < NEAR:
            return law
    return None


def _step(law: _Law, samples: Sequence[Sample[float]]) -> Row:
    """Return what brings the three nearer to the readings."""
    rests = [sample.mass - law.at(sample.hours)[0] for sample in samples]
    columns = _sensitivity(law, samples)
    first, second, third = (
        fsum(share * rest for share, rest in zip(column, rests, strict=True))
        for column in columns
    )
    return first, second, third


def _sensitivity(law: _Law, samples: Sequence[Sample[MassT]]) -> list[list[float]]:
    """Return, for each of the three, how it moves with every reading."""
    slopes = [law.at(sample.hours)[1] for sample in samples]
    weights = [sample.u**-2 for sample in samples]
    normal = [
        [
            fsum(w * row[i] * row[j] for w, row in zip(weights, slopes, strict=True))
            for j in range(3)
        ]
        for i in range(3)
    ]
    inverse = _inverted(normal)
    return [
        [
            w * fsum(inverse[i][j] * row[j] for j in range(3))
            for w, row in zip(weights, slopes, strict=True)
        ]
        for i in range(3)
    ]


def _inverted(m: Sequence[Sequence[float]]) -> list[list[float]]:
    """Return the inverse of a symmetric 3×3 matrix, scaled to keep its digits."""
    scale = [1 / sqrt(m[i][i]) for i in range(3)]
    a, b, c = (m[i][j] * scale[i] * scale[j] for i, j in ((0, 1), (0, 2), (1, 2)))
    determinant = 1 + 2 * a * b * c - a * a - b * b - c * c
    cofactors = [
        [1 - c * c, b * c - a, a * c - b],
        [b * c - a, 1 - b * b, a * b - c],
        [a * c - b, a * b - c, 1 - a * a],
    ]
    return [
        [cofactors[i][j] / determinant * scale[i] * scale[j] for j in range(3)]
        for i in range(3)
    ]


def _describes(law: _Law, samples: Sequence[Sample[float]]) -> bool:
    """Return whether all the readings lie on the exponential, by χ² at 5 %.

    χ² is taken as a cubed normal variable (Wilson and Hilferty, Proc. Natl. Acad.
    Sci. 17 (1931) 684, from memory).
    """
    misfit = fsum(((s.mass - law.at(s.hours)[0]) / s.u) ** 2 for s in samples)
    freedom = len(samples) - 3
    ninth = 2 / (9 * freedom)
    return misfit <= freedom * (1 - ninth + POORLY * sqrt(ninth)) ** 3


def _with_uncertainty(law: _Law, samples: Sequence[Sample[UFloat]]) -> FallOff:
    """Return the law with the readings' errors, shared ones too, carried through."""
    errors = [sample.mass - nominal(sample.mass) for sample in samples]
    _, log_rate, per_hour = _sensitivity(law, samples)
    return FallOff(
        samples[0].hours,
        law.end,
        exact(law.log_rate + _sum_of(log_rate, errors)),
        exact(law.per_hour + _sum_of(per_hour, errors)),
    )


def _shares(
    hours: Sequence[float], weights: Sequence[float]
) -> tuple[list[float], float]:
    """Return each value's share in the slope of a weighted line, and its middle."""
    middle = _mean(hours, weights)
    moment = fsum(w * (t - middle) ** 2 for w, t in zip(weights, hours, strict=True))
    pairs = zip(weights, hours, strict=True)
    return [w * (t - middle) / moment for w, t in pairs], middle


def _mean(values: Sequence[float], weights: Sequence[float]) -> float:
    return fsum(w * v for w, v in zip(weights, values, strict=True)) / fsum(weights)


def _sum_of(shares: Sequence[float], values: Sequence[Number]) -> UFloat:
    pairs = zip(shares, values, strict=True)
    return exact(sum((share * value for share, value in pairs), exact(0.0)))
