"""A mixed-integer linear model as it is put together, and HiGHS's answer to it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import inf, isfinite

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

FOUND, STOPPED, INFEASIBLE = 0, 1, 2
"""What `scipy.optimize.milp` says of its answer."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What HiGHS came to: columns, their objective, and a bound that none undercuts.

    `columns` is None if nothing was found; `is_impossible` if nothing can be.
    """

    columns: list[float] | None
    value: float
    bound: float
    is_finished: bool
    is_impossible: bool


class Matrix:
    """Columns with limits, and rows that hold between two numbers."""

    def __init__(self) -> None:
        self.lower: list[float] = []
        self.upper: list[float] = []
        self.integral: list[int] = []
        self._places: tuple[list[int], list[int], list[float]] = ([], [], [])
        self._row_lower: list[float] = []
        self._row_upper: list[float] = []

    def column(self, upper: float, *, integral: bool = False) -> int:
        """Add a column from 0 to `upper` and return its place."""
        self.lower.append(0.0)
        self.upper.append(upper)
        self.integral.append(int(integral))
        return len(self.lower) - 1

    def fix(self, column: int, is_one: bool) -> None:
        """Settle a column of 0 or 1."""
        self.lower[column] = self.upper[column] = float(is_one)

    def row(
        self,
        terms: Iterable[tuple[int, float]],
        lower: float = -inf,
        upper: float = inf,
    ) -> None:
        """Add lower ≤ Σ factor · column ≤ upper."""
        rows, columns, factors = self._places
        for column, factor in terms:
            rows.append(len(self._row_lower))
            columns.append(column)
            factors.append(factor)
        self._row_lower.append(lower)
        self._row_upper.append(upper)

    def asked(self, costs: Mapping[int, float]) -> dict[str, object]:
        """Return the arguments for `scipy.optimize.milp` that minimise these costs."""
        c = np.zeros(len(self.lower))
        for column, cost in costs.items():
            c[column] = cost
        rows, columns, factors = self._places
        shape = (len(self._row_lower), len(self.lower))
        a = csr_array((factors, (rows, columns)), shape=shape)
        return {
            "c": c,
            "integrality": np.array(self.integral),
            "bounds": Bounds(np.array(self.lower), np.array(self.upper)),
            "constraints": LinearConstraint(a, self._row_lower, self._row_upper),
        }

    def minimise(
        self,
        costs: Mapping[int, float],
        *,
        seconds: float,
        gap: float,
        nodes: int | None = None,
        relaxed: bool = False,
    ) -> Answer:
        """Ask HiGHS for the least cost; whole columns come back whole.

        `relaxed` lets all columns be fractions: a bound, in a moment.
        """
        options = {"time_limit": max(seconds, 0.01), "mip_rel_gap": gap}
        if nodes is not None:
            options["node_limit"] = nodes
        asked = self.asked(costs)
        if relaxed:
            asked["integrality"] = np.zeros(len(self.lower))
        result = milp(**asked, options=options)
        if result.x is None and result.status != STOPPED:
            # Presolving now and then finds impossible what is not.
            result = milp(**asked, options=options | {"presolve": False})
        if result.x is None:
            impossible = result.status == INFEASIBLE
            return Answer(None, inf, 0.0, impossible, impossible)
        columns = [
            float(round(x)) if whole else min(max(float(x), low), high)
            for x, whole, low, high in zip(
                result.x, self.integral, self.lower, self.upper, strict=True
            )
        ]
        value = sum(cost * columns[column] for column, cost in costs.items())
        return Answer(columns, value, _bound(result), result.status == FOUND, False)


def _bound(result: object) -> float:
    """Return what HiGHS proved; a model without whole columns is solved outright."""
    proved = getattr(result, "mip_dual_bound", None)
    if proved is None and getattr(result, "status", None) == FOUND:
        proved = getattr(result, "fun", None)
    return max(float(proved), 0.0) if proved is not None and isfinite(proved) else 0.0
