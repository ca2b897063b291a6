"""Quantities at the edge: read once from what people type, shown in one way."""

from .registry import registry
from .shown import (
    show_amount,
    show_density,
    show_mass,
    show_mass_plain,
    show_percent,
    show_pressure,
    show_reading,
    show_temperature,
    show_volume,
)
from .typed import (
    Need,
    UnitError,
    parse_amount,
    parse_grade,
    parse_humidity,
    parse_mass,
    parse_need,
    parse_percent,
    parse_pressure,
    parse_temperature,
    parse_volume,
)

__all__ = [
    "Need",
    "UnitError",
    "parse_amount",
    "parse_grade",
    "parse_humidity",
    "parse_mass",
    "parse_need",
    "parse_percent",
    "parse_pressure",
    "parse_temperature",
    "parse_volume",
    "registry",
    "show_amount",
    "show_density",
    "show_mass",
    "show_mass_plain",
    "show_percent",
    "show_pressure",
    "show_reading",
    "show_temperature",
    "show_volume",
]
