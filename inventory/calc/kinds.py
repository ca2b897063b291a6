"""What kinds of quantity people type, and how the units of each are spelled."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of quantity: its name with article, an example, its base unit."""

    phrase: str
    example: str
    base: str
    spellings: dict[str, str]  # as typed: as pint calls it

    @property
    def choices(self) -> str:
        """One spelling of each unit, for a sentence."""
        first: dict[str, str] = {}
        for typed, unit in self.spellings.items():
            first.setdefault(unit, typed)
        return ", ".join(first.values()).replace("\N{GREEK SMALL LETTER MU}", "µ")


KINDS = {
    "mass": Kind(
        "a mass",
        "12.5 g",
        "microgram",
        {
            "kg": "kilogram",
            "g": "gram",
            "mg": "milligram",
            "\N{GREEK SMALL LETTER MU}g": "microgram",
            "ug": "microgram",
        },
    ),
    "volume": Kind(
        "a volume",
        "2.5 mL",
        "microliter",
        {
            "L": "liter",
            "l": "liter",
            "mL": "milliliter",
            "ml": "milliliter",
            "\N{GREEK SMALL LETTER MU}L": "microliter",
            "\N{GREEK SMALL LETTER MU}l": "microliter",
            "uL": "microliter",
            "ul": "microliter",
            "cm3": "centimeter ** 3",
            "dm3": "decimeter ** 3",
        },
    ),
    "amount": Kind(
        "an amount of substance",
        "25 mmol",
        "mole",
        {
            "mol": "mole",
            "mmol": "millimole",
            "\N{GREEK SMALL LETTER MU}mol": "micromole",
            "umol": "micromole",
        },
    ),
    "temperature": Kind(
        "a temperature",
        "25 °C",
        "degree_Celsius",
        {
            "°C": "degree_Celsius",
            "C": "degree_Celsius",
            "degC": "degree_Celsius",
            "K": "kelvin",
        },
    ),
    "pressure": Kind(
        "a pressure",
        "1013 hPa",
        "pascal",
        {
            "Pa": "pascal",
            "hPa": "hectopascal",
            "kPa": "kilopascal",
            "mbar": "millibar",
            "bar": "bar",
            "Torr": "torr",
            "torr": "torr",
            "mmHg": "millimeter_Hg",
        },
    ),
    "share": Kind("a percentage", "99.5 %", "percent", {"%": "percent"}),
    "content": Kind(
        "a content by mass",
        "12 mg/kg",
        "ppm",
        {
            "mg/kg": "milligram / kilogram",
            "\N{GREEK SMALL LETTER MU}g/g": "microgram / gram",
            "ug/g": "microgram / gram",
            "ppm": "ppm",
        },
    ),
    "rate": Kind(
        "a rate",
        "0.5 g/h",
        "microgram / hour",
        {
            "kg/h": "kilogram / hour",
            "g/h": "gram / hour",
            "mg/h": "milligram / hour",
            "g/min": "gram / minute",
            "mg/min": "milligram / minute",
        },
    ),
    "time": Kind(
        "a time", "4 s", "second", {"s": "second", "min": "minute", "h": "hour"}
    ),
}
KIND_OF = {unit: name for name, kind in KINDS.items() for unit in kind.spellings}
