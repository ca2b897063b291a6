"""What is read off a run: its words, its units, and how it is shown in one of them."""

from collections.abc import Callable
from dataclasses import dataclass

from inventory.calc import units


@dataclass(frozen=True, slots=True)
class Quantity:
    """One quantity: `name` in forms, `fact` in the record, its units, usual one first.

    `parse` reads a number with one of the units into what the record holds.
    """

    name: str
    label: str
    fact: str
    units: tuple[str, ...]
    parse: Callable

    def unit(self, kept):
        """Return the unit kept for it in {name: unit}, or its usual one."""
        unit = kept.get(self.name)
        return unit if unit in self.units else self.units[0]

    def shown(self, value, kept):
        """Return a value of the record in the unit kept for it."""
        unit = self.unit(kept)
        return f"{units.show_in(value, unit)} {unit}"


DEGREES = ("°C", "K")

QUANTITIES = (
    Quantity(
        "temperature",
        "Temperature",
        "temperature_c",
        DEGREES,
        units.parse_temperature,
    ),
    Quantity(
        "pressure",
        "Pressure",
        "pressure_pa",
        ("mbar", "Pa", "hPa", "kPa", "Torr"),
        units.parse_pressure,
    ),
    Quantity(
        "receiver", "Receiver reading", "receiver_ul", ("mL", "L"), units.parse_volume
    ),
    Quantity(
        "receiver_temperature",
        "Receiver's temperature",
        "receiver_c",
        DEGREES,
        units.parse_temperature,
    ),
    Quantity("drip", "Drop to drop", "drip_s", ("s", "min"), units.parse_time),
)
BY_NAME = {quantity.name: quantity for quantity in QUANTITIES}
