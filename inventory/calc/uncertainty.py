"""How a value and its standard uncertainty travel together through a sum."""

from __future__ import annotations

from math import sqrt
from typing import TypeAlias

from uncertainties import ufloat
from uncertainties.core import AffineScalarFunc, to_affine_scalar

UFloat: TypeAlias = AffineScalarFunc
Number: TypeAlias = "float | AffineScalarFunc"


def uncertain(value: float, u: float, tag: str) -> UFloat:
    """Return `value` with standard uncertainty `u`, named `tag` in budgets.

    Without uncertainty the value becomes an exact constant, because a variable
    of zero width is refused by the library.
    """
    if u < 0:
        raise ValueError(f"an uncertainty cannot be negative: {u}")
    return ufloat(value, u, tag) if u > 0 else exact(value)


def exact(value: Number) -> UFloat:
    """Return `value` as an uncertain number, keeping its variables if it has any."""
    return to_affine_scalar(value)


def rectangular(half_width: float, tag: str) -> UFloat:
    """Return zero, known only to lie within ± `half_width` (GUM 4.3.7)."""
    return uncertain(0.0, half_width / sqrt(3), tag)


def nominal(value: Number) -> float:
    """Return the best estimate alone."""
    return float(exact(value).nominal_value)


def spread(value: Number) -> float:
    """Return the standard uncertainty, zero for a plain number."""
    return float(exact(value).std_dev)
