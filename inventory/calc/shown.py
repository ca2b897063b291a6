"""How quantities are shown to people: a number, a space and a unit."""

from __future__ import annotations

import re
from decimal import ROUND_HALF_EVEN, Decimal
from math import floor, isfinite, log10

from .kinds import KIND_OF, KINDS
from .registry import factor

_MINUS = "\N{MINUS SIGN}"
_MASS_PLACES = {"kg": 4, "g": 3, "mg": 1}
_PINT_NAME = {
    "kg": "kilogram",
    "g": "gram",
    "mg": "milligram",
    "L": "liter",
    "mL": "milliliter",
    "µL": "microliter",
    "mol": "mole",
    "mmol": "millimole",
    "µmol": "micromole",
    "kPa": "kilopascal",
    "hPa": "hectopascal",
    "Pa": "pascal",
    "mPa": "millipascal",
    "g/cm³": "gram / centimeter ** 3",
}


def _in(value: float, unit: str, base: str) -> Decimal:
    """Return `value`, given in `base`, as a number of `unit`."""
    if not isfinite(value):
        raise ValueError(f"{value} cannot be shown")
    return Decimal(repr(value)) / factor(_PINT_NAME[unit], base)


def _fixed(value: Decimal, places: int) -> str:
    """Return `value` rounded half to even; negative `places` round the tens away."""
    place = Decimal(1).scaleb(-places)
    steps = (value / place).quantize(Decimal(1), rounding=ROUND_HALF_EVEN)
    rounded = steps * place
    return f"{rounded + 0:.{max(places, 0)}f}"  # + 0 turns minus zero into zero


def _places(value: Decimal, digits: int) -> int:
    """Return the decimals that show `value` with so many significant digits."""
    if not value:
        return digits - 1
    places = digits - 1 - value.adjusted()
    rounded = Decimal(_fixed(value, places))
    return digits - 1 - rounded.adjusted()


def _mass_unit(ug: float) -> str:
    """Return the unit that suits a mass of this size."""
    size = abs(ug)
    if size >= 1e9:
        return "kg"
    # From where a tenth of a milligram rounds to a whole gram.
    return "g" if size >= 999_950 else "mg"


def show_mass(ug: float, u_ug: float | None = None, k: float = 2) -> str:
    """Return a mass with its expanded uncertainty, "17.420 g ± 0.050 g (k = 2)".

    The expanded uncertainty U = k·u keeps two significant digits and the value
    ends at the same place (JCGM 100:2008, 7.2.6), never finer than a microgram.
    Without `u_ug` the decimals are fixed: 0.1 mg, or 1 mg above a gram. Nothing is
    "0 g".
    """
    if not ug and not u_ug:
        return "0 g"
    unit = _mass_unit(ug or (u_ug or 0) * k)
    value = _in(ug, unit, "microgram")
    if not u_ug:
        return f"{_fixed(value, _MASS_PLACES[unit])} {unit}"
    expanded = _in(max(k * u_ug, 1.0), unit, "microgram")
    finest = {"kg": 9, "g": 6, "mg": 3}[unit]
    places = min(_places(expanded, 2), finest)
    return f"{_fixed(value, places)} {unit} ± {_fixed(expanded, places)} {unit} (k = {k:g})"


def show_change(ug: float) -> str:
    """Return a mass with its sign, as a ledger has it: "+3.060 g", "−3.060 g"."""
    sign = _MINUS if ug < 0 else "+" if ug > 0 else ""
    return sign + show_mass(abs(ug))


def show_plus_minus(u_ug: float) -> str:
    """Return what a mass's standard uncertainty adds to it, "± 50.0 mg (k = 2)"."""
    return f"± {show_mass(2 * u_ug)} (k = 2)"


def show_mass_plain(ug: int) -> str:
    """Return a whole number of micrograms exactly, as a person would type it."""
    unit = _mass_unit(ug)
    return f"{_in(ug, unit, 'microgram').normalize():f} {unit}"


def show_rate(ug_per_h: float, u: float | None = None, k: float = 2) -> str:
    """Return a rate with its expanded uncertainty, "1.24 g/h ± 0.11 g/h (k = 2)".

    Without `u` it has three significant digits: "500 mg/h".
    """
    if u:
        return re.sub(r" (kg|g|mg)\b", r" \1/h", show_mass(ug_per_h, u, k))
    unit = _mass_unit(ug_per_h)
    number = _in(ug_per_h, unit, "microgram")
    return f"{_fixed(number, max(_places(number, 3), 0))} {unit}/h"


def converted(value: float, unit: str) -> Decimal:
    """Return a number in a unit that people type.

    `value` is in what the unit's kind is read into: Pa, µL, s, °C.
    """
    number = Decimal(repr(value))
    kind = KINDS[KIND_OF[unit]]
    if unit == "°C":
        return number
    if unit == "K":
        return number + Decimal("273.15")
    return number / factor(kind.spellings[unit], kind.base)


def show_in(value: float, unit: str) -> str:
    """Return the number alone, converted, with at most six digits."""
    number = converted(value, unit)
    shown = _fixed(number, _places(number, 6)) if number else "0"
    return shown.rstrip("0").rstrip(".") if "." in shown else shown


def show_reading(ug: int, step_ug: int) -> str:
    """Return a balance reading in grams with every digit the balance shows.

    `step_ug` is its readability, the last digit's step.
    """
    places = max(6 - len(str(step_ug)) + 1, 0)
    return f"{_fixed(_in(ug, 'g', 'microgram'), places)} g"


def _three_digits(value: float, base: str, units: tuple[str, ...]) -> str:
    """Return `value` in the largest unit it fills, with three significant digits."""
    for unit in units:
        number = _in(value, unit, base)
        shown = _fixed(number, max(_places(number, 3), 0))
        if abs(Decimal(shown)) >= 1 or unit == units[-1]:
            break
    return f"{shown if value else 0} {unit}"


def show_count(count: int, noun: str) -> str:
    """Return a number of things: "1 vessel", "3 vessels"."""
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def show_volume(ul: float) -> str:
    """Return a volume with three significant digits: "2.14 mL", "1.20 L"."""
    return _three_digits(ul, "microliter", ("L", "mL", "µL")) if ul else "0 mL"


def show_amount(mol: float) -> str:
    """Return an amount with three significant digits: "25.0 mmol"."""
    return _three_digits(mol, "mole", ("mol", "mmol", "µmol")) if mol else "0 mmol"


def show_temperature(celsius: float) -> str:
    """Return a temperature to a tenth of a degree at most: "25 °C", "-12.6 °C"."""
    return f"{_fixed(Decimal(repr(celsius)), 1).removesuffix('.0')} °C"


def show_pressure(pa: float) -> str:
    """Return a vacuum in pascals with two digits, air pressure in hectopascals."""
    if pa == 0:
        return "0 Pa"
    if abs(pa) >= 200_000:
        return f"{_fixed(_in(pa, 'kPa', 'pascal'), 0)} kPa"
    if abs(pa) >= 10_000:
        hpa = _fixed(_in(pa, "hPa", "pascal"), 2)
        return f"{hpa.rstrip('0').rstrip('.')} hPa"
    unit = "Pa" if abs(pa) >= 0.1 else "mPa"
    number = _in(pa, unit, "pascal")
    return f"{_fixed(number, _places(number, 2))} {unit}"


def show_density(kg_m3: float) -> str:
    """Return a density: "1.532 g/cm³", or a gas as "1.661 kg/m³"."""
    if abs(kg_m3) < 20:
        return f"{_fixed(Decimal(repr(kg_m3)), 3)} kg/m³"
    return f"{_fixed(_in(kg_m3, 'g/cm³', 'kilogram / meter ** 3'), 3)} g/cm³"


def show_percent(fraction: float) -> str:
    """Return a fraction as a percentage: "90.2 %", "99.999 %".

    One decimal, and more near 100 %, where the impurity is what matters.
    """
    percent = Decimal(repr(fraction)) * 100
    missing = float(100 - percent)
    places = 1
    if 0 < missing < 1:
        places = min(1 - floor(log10(missing)), 6)
    whole, _, decimals = _fixed(percent, places).partition(".")
    return f"{whole}.{decimals.rstrip('0') or '0'} %"


def _rounded(value: float, u: float, k: float) -> tuple[str, str]:
    """Return a value and its expanded uncertainty, which has two digits, in step."""
    expanded = Decimal(repr(k * u))
    places = min(_places(expanded, 2), 4)
    return _fixed(Decimal(repr(value)), places), _fixed(expanded, places)


def show_yield(fraction: float, u: float, k: float = 2) -> str:
    """Return a fraction with its uncertainty in per cent, "71.2 % ± 1.4 % (k = 2)"."""
    if not u:
        return f"{_fixed(Decimal(repr(100 * fraction)), 2)} %"
    value, expanded = _rounded(100 * fraction, 100 * u, k)
    return f"{value} % ± {expanded} % (k = {k:g})"


def show_equivalents(value: float, u: float, k: float = 2) -> str:
    """Return an excess, "1.417 ± 0.014 equivalents (k = 2)"."""
    if not u:
        return f"{_fixed(Decimal(repr(value)), 2)} equivalents"
    shown, expanded = _rounded(value, u, k)
    return f"{shown} ± {expanded} equivalents (k = {k:g})"
