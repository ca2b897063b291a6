"""The covariance of metal, tare and liquid, kept as its triangular square root.

P = L L' is symmetric and never negative whatever the rounding, which is what the
Joseph form is for; and it loses only half the digits that a sum of squares does
when a reading knows a total to 1e-5 of what it knows the parts. Written out for
three parts because arrays would cost more than the sums.
"""

from __future__ import annotations

from math import hypot, sqrt
from typing import TypeAlias

Row: TypeAlias = tuple[float, float, float]

Root: TypeAlias = tuple[float, float, float, float, float, float]
"""L by rows in µg: metal; tare 1, 2; liquid 1, 2, 3. The diagonal is not negative."""

NO_ROOT: Root = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


def rows(root: Root) -> tuple[Row, Row, Row]:
    """Return the rows of L; two rows' product is the covariance of their parts."""
    mm, tm, tt, lm, lt, ll = root
    return (mm, 0.0, 0.0), (tm, tt, 0.0), (lm, lt, ll)


def from_rows(metal: Row, tare: Row, liquid: Row) -> Root:
    """Return the triangular root with the same covariance as these rows."""
    root = NO_ROOT
    for column in zip(metal, tare, liquid, strict=True):
        root = widened(root, *column)
    return root


def widened(root: Root, metal: float, tare: float, liquid: float) -> Root:
    """Return the root of P + c c', c an error that moves the parts together, in µg.

    By one Givens rotation for each part (Golub & Van Loan, Matrix Computations,
    6.5.4; from memory).
    """
    mm, tm, tt, lm, lt, ll = root
    if metal:
        size = hypot(mm, metal)
        c, s = mm / size, metal / size
        mm = size
        tm, tare = c * tm + s * tare, c * tare - s * tm
        lm, liquid = c * lm + s * liquid, c * liquid - s * lm
    if tare:
        size = hypot(tt, tare)
        c, s = tt / size, tare / size
        tt = size
        lt, liquid = c * lt + s * liquid, c * liquid - s * lt
    if liquid:
        ll = hypot(ll, liquid)
    return mm, tm, tt, lm, lt, ll


def seen(root: Root, metal_factor: float, liquid_factor: float) -> Row:
    """Return v = L' h for a reading of h = (metal_factor, 1, liquid_factor)."""
    mm, tm, tt, lm, lt, ll = root
    g = liquid_factor
    return metal_factor * mm + tm + g * lm, tt + g * lt, g * ll


def gain(root: Root, v: Row, variance: float) -> Row:
    """Return K = L v / variance: how each part follows an innovation."""
    mm, tm, tt, lm, lt, ll = root
    a, b, c = (part / variance for part in v)
    return mm * a, tm * a + tt * b, lm * a + lt * b + ll * c


def narrowed(root: Root, v: Row, u: float) -> Root:
    """Return the root after a reading of v = L' h with standard uncertainty u.

    L T with T T' = 1 - v v'/(v'v + u²): triangular, and made of sums of squares
    only (Carlson, AIAA Journal 11 (1973) 1259-1265; from memory). The same in
    exact numbers as (1 - K h) P (1 - K h)' + K u² K'.
    """
    mm, tm, tt, lm, lt, ll = root
    vm, vt, vl = v
    d3 = u * u
    d2 = d3 + vl * vl
    d1 = d2 + vt * vt
    d0 = d1 + vm * vm
    t_m = sqrt(d1 / d0) if d0 else 1.0
    t_t = sqrt(d2 / d1) if d1 else 1.0
    t_l = sqrt(d3 / d2) if d2 else 1.0
    by_m = -vm / sqrt(d1 * d0) if d1 else 0.0
    by_t = -vt / sqrt(d2 * d1) if d2 else 0.0
    return (
        mm * t_m,
        tm * t_m + tt * vt * by_m,
        tt * t_t,
        lm * t_m + (lt * vt + ll * vl) * by_m,
        lt * t_t + ll * vl * by_t,
        ll * t_l,
    )
