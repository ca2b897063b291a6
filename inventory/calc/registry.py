"""The one pint registry: what every unit is worth in every other.

Building it takes a tenth of a second and quantities of two registries do not
mix, so it is built once, here, and reached as `inventory.calc.units.registry`.
"""

from __future__ import annotations

from decimal import Decimal
from functools import cache
from typing import Any

import pint

registry: pint.UnitRegistry[Any] = pint.UnitRegistry()  # noqa: TID251


@cache
def factor(unit: str, base: str) -> Decimal:
    """Return how many `base` one `unit` is, free of binary dust."""
    magnitude = registry.Quantity(1, unit).to(base).magnitude
    return Decimal(f"{magnitude:.15g}")
