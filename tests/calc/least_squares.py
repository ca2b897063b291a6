"""Batch generalised least squares over a whole history: the referee of the estimate.

The unknowns are metal, tare and liquid after every event, all at once. Each thing
known is one equation with its variance; nothing is updated in sequence. With J x = b
and covariance Σ (some of it zero: exact equations), the solution is that of
[Σ J; J' 0] [λ; x] = [b; 0], and the covariance of x is minus the lower right block
of the inverse (Björck, Numerical Methods for Least Squares Problems, 1996, augmented
systems; from memory). Residuals in extended precision refine the solution.
"""

import numpy as np

from inventory.calc.events import Change, Emptied, Observe, Unknown

PARTS = ("metal", "tare", "liquid")
UG_PER_UNIT = 1e6


def last_state(history, start):
    """Return mean (µg) and covariance (µg²) after a history of (event, free) pairs.

    `free` names the parts of an Unknown for which no equation is written at all.
    """
    rows, values, variances, states = [], [], [], 1

    def equation(coefficients, value, variance):
        rows.append(coefficients)
        values.append(value / UG_PER_UNIT)
        variances.append(variance / UG_PER_UNIT**2)

    for part in range(3):
        value, u = given(start, PARTS[part])
        equation({part: 1.0}, value, u**2)
    for event, free in history:
        old = 3 * (states - 1)
        if isinstance(event, Observe):
            row = {old: event.metal_factor, old + 1: 1.0, old + 2: event.liquid_factor}
            equation(row, event.z_ug, event.u_z_ug**2)
            continue
        states += 1
        for part, name in enumerate(PARTS):
            if name in free:
                continue
            value, variance = known_change(event, name)
            row = {old + 3 + part: 1.0}
            if not (isinstance(event, Emptied) and name == "metal"):
                row[old + part] = -1.0
            equation(row, value, variance)
    return solve(rows, values, variances, 3 * states)


def given(start, name):
    return getattr(start, f"{name}_ug"), getattr(start, f"u_{name}_ug")


def known_change(event, name):
    """Return by how much a part changed, and the variance of that, in µg."""
    if isinstance(event, Change):
        value, u = given(event, name)
        return value, u**2
    if isinstance(event, Unknown):
        low, high = (getattr(event, f"{name}_{end}_ug") for end in ("low", "high"))
        return (low + high) / 2, (high - low) ** 2 / 12
    return 0.0, 0.0


def solve(rows, values, variances, unknowns):
    count = len(rows)
    system = np.zeros((count + unknowns, count + unknowns), dtype=np.longdouble)
    right = np.zeros((count + unknowns, 4), dtype=np.longdouble)
    for i, (row, value, variance) in enumerate(
        zip(rows, values, variances, strict=True)
    ):
        scale = np.sqrt(variance) or 1.0
        system[i, i] = variance / scale**2
        right[i, 0] = value / scale
        for column, coefficient in row.items():
            system[i, count + column] = system[count + column, i] = coefficient / scale
    for part in range(3):
        right[count + unknowns - 3 + part, 1 + part] = 1.0
    rough = np.linalg.inv(system.astype(float))
    solution = rough @ right.astype(float)
    for _ in range(6):
        solution = solution + rough @ (right - system @ solution)
    last = solution[-3:].astype(float)
    return last[:, 0] * UG_PER_UNIT, -last[:, 1:] * UG_PER_UNIT**2
