"""How quantities people type become numbers.

Text never meets pint's own parser, which would work out arithmetic and accept
"nan mg": number and unit are split here and pint supplies the factors.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from .kinds import KIND_OF, KINDS, Kind
from .registry import factor, registry

MASS_MAX_UG = 100 * 10**9
VOLUME_MAX_UL = 100 * 10**6
AMOUNT_MAX_MOL = 20_000
TEMPERATURE_MAX_C = 3000
PRESSURE_MAX_PA = 10**7
RATE_MAX_UG_PER_H = 100 * 10**9
TIME_MAX_S = 86_400
TEXT_MAX = 40
EXPONENT_MAX = 15


class UnitError(ValueError):
    """What was typed cannot be read; the message is fit to stand at its field."""


@dataclass(frozen=True, slots=True)
class Need:
    """How much is wanted: µg of mass, µL of volume or mol of amount."""

    kind: Literal["mass", "volume", "amount"]
    value: float


_SHAPE = re.compile(r"([+-]?[0-9., ]*[0-9.,](?:[eE][+-]?[0-9]+)?) *([^0-9.,+ -].*)?")
_NUMBER = re.compile(
    r"([+-]?)((?:[0-9]+|[0-9]{1,3}(?: [0-9]{3})+)?(?:\.[0-9]+)?)(?:[eE]([+-]?[0-9]+))?"
)


def _folded(text: str) -> str:
    """Return `text` with one spelling per character (µ, spaces, minus signs).

    A superscript or a fraction is refused first: folding would make "5² g" 52 g.
    """
    if len(text) > TEXT_MAX:
        raise UnitError("Write one number and its unit; this text is too long.")
    text = re.sub(r"(?<=[cd]m)³", "3", text)
    if any(char.isnumeric() and not char.isdecimal() for char in text):
        raise UnitError("Write the number in plain digits with a decimal point.")
    text = unicodedata.normalize("NFKC", text).replace("\N{MINUS SIGN}", "-")
    return " ".join(text.split())


def _refuse_comma(number: str, unit: str) -> None:
    """Say how to write a number that was typed with a comma."""
    tail = f" {unit}" if unit else ""
    thousands = re.fullmatch(r"[0-9]{1,3}(,[0-9]{3})+\.[0-9]+", number)
    if thousands:
        plain = number.replace(",", "")
        raise UnitError(f"Leave out the comma between thousands: {plain}{tail}")
    if re.fullmatch(r"[0-9]{1,3}(\.[0-9]{3})*,[0-9]+", number):
        whole, decimals = number.split(",")
        point = f"{whole.replace('.', '')}.{decimals}{tail}"
        if len(decimals) == 3 and "." not in number and whole.strip("0"):
            raise UnitError(
                f"A comma can mean two things: write {point} or {whole}{decimals}{tail}"
            )
        raise UnitError(f"Write a point for the decimals: {point}")
    raise UnitError("Write the number without commas, with a point for the decimals.")


def _split(text: str, kind: Kind) -> tuple[Decimal, str]:
    """Return the number and the unit in `text`, or say what is wrong with it."""
    folded = _folded(text)
    if not folded:
        raise UnitError(f"Write {kind.phrase}, as in {kind.example}")
    shape = _SHAPE.fullmatch(folded)
    if shape is None:
        raise UnitError(f"“{folded}” is not {kind.phrase}; write it as {kind.example}")
    typed, unit = shape.group(1), shape.group(2) or ""
    if "," in typed:
        _refuse_comma(typed, unit)
    number = _NUMBER.fullmatch(typed)
    if number is None or not number.group(2):
        raise UnitError(f"“{typed}” is not one number; write it as {kind.example}")
    sign, digits, exponent = number.groups()
    if exponent and (len(exponent) > 4 or abs(int(exponent)) > EXPONENT_MAX):
        raise UnitError(f"The exponent of {typed} is beyond anything handled here.")
    plain = f"{sign}{digits.replace(' ', '')}e{exponent or 0}"
    return Decimal(plain), unit


def _read(text: str, name: str, *, bare_unit: str = "") -> tuple[Decimal, str]:
    """Return the number and a known unit of the kind `name` in `text`."""
    kind = KINDS[name]
    number, unit = _split(text, kind)
    unit = unit or bare_unit
    if not unit:
        raise UnitError(f"Say the unit too, as in {kind.example}")
    if unit == bare_unit:
        return number, unit
    found = KIND_OF.get(unit)
    if found is None:
        raise UnitError(f"The unit “{unit}” is not read here; use {kind.choices}")
    if found != name:
        raise UnitError(
            f"{_folded(text)} is {KINDS[found].phrase}; "
            f"{kind.phrase} is needed, as in {kind.example}"
        )
    return number, unit


def _magnitude(text: str, name: str, most: int, bound: str) -> Decimal:
    """Return `text` in the base unit of its kind: not negative, not above `most`."""
    number, unit = _read(text, name)
    kind = KINDS[name]
    if number < 0:
        raise UnitError(f"{kind.phrase.capitalize()} cannot be negative.")
    value = number * factor(kind.spellings[unit], kind.base)
    if value > most:
        raise UnitError(f"{_folded(text)} is more than {bound}, the most read here.")
    return value


def parse_mass(text: str) -> int:
    """Return `text` ("88.412 g") as whole micrograms, at most 100 kg."""
    value = _magnitude(text, "mass", MASS_MAX_UG, "100 kg")
    if value % 1:
        raise UnitError(f"{_folded(text)} is finer than a microgram.")
    return int(value)


def parse_volume(text: str) -> int:
    """Return `text` ("2 mL") as whole microlitres, at most 100 L."""
    value = _magnitude(text, "volume", VOLUME_MAX_UL, "100 L")
    if value % 1:
        raise UnitError(f"{_folded(text)} is finer than a microlitre.")
    return int(value)


def parse_amount(text: str) -> float:
    """Return `text` ("25 mmol") in mol, at most 20 000 mol."""
    return float(_magnitude(text, "amount", AMOUNT_MAX_MOL, "20 000 mol"))


def parse_pressure(text: str) -> float:
    """Return `text` ("0.02 mbar") in pascals, at most 100 bar."""
    return float(_magnitude(text, "pressure", PRESSURE_MAX_PA, "100 bar"))


def parse_rate(text: str) -> int:
    """Return `text` ("0.5 g/h") in whole micrograms an hour, at most 100 kg/h."""
    return round(_magnitude(text, "rate", RATE_MAX_UG_PER_H, "100 kg/h"))


def parse_time(text: str) -> float:
    """Return how long `text` ("4 s", "1.5 min") is, in seconds, at most a day."""
    return float(_magnitude(text, "time", TIME_MAX_S, "a day"))


def parse_temperature(text: str) -> float:
    """Return `text` ("25", "25 °C", "298 K") in °C, at most 3000 °C."""
    number, unit = _read(text, "temperature", bare_unit="°C")
    spelling = KINDS["temperature"].spellings[unit]
    celsius = registry.Quantity(float(number), spelling).to("degree_Celsius")
    value = round(float(celsius.magnitude), 6)
    if value < -273.15:
        raise UnitError(f"{_folded(text)} is below absolute zero.")
    if value > TEMPERATURE_MAX_C:
        raise UnitError(f"{_folded(text)} is more than 3000 °C, the most read here.")
    return value


def _share(text: str, phrase: str) -> float:
    """Return a percentage as a fraction, with or without its sign.

    A bare number of 1 or less is refused, because it may be meant as a fraction.
    """
    number, unit = _read(text, "share", bare_unit="percent")
    if number < 0 or number > 100:
        raise UnitError(f"{phrase} lies between 0 % and 100 %.")
    if unit == "percent" and 0 < number <= 1:
        raise UnitError(f"Write the % sign too: {number:f} % or {100 * number:f} %")
    return float(number / 100)


def parse_percent(text: str) -> float:
    """Return `text` ("99.5 %", "99.5") as a fraction from 0 to 1."""
    return _share(text, "A percentage")


def parse_humidity(text: str) -> float:
    """Return `text` ("45 %", "45 % RH", "45") as a fraction from 0 to 1."""
    return _share(re.sub(r"\s*r\.?h\.?\s*$", "", text, flags=re.I), "Relative humidity")


def parse_content(text: str) -> tuple[float, str]:
    """Return `text` ("12 mg/kg", "0.02 %") as a mass fraction, and its unit as shown."""
    kind = KINDS["content"]
    number, unit = _split(text, kind)
    if unit == "%":
        value = number / 100
    else:
        number, unit = _read(text, "content")
        value = number * factor(kind.spellings[unit], kind.base) / 1_000_000
    if value < 0 or value > 1:
        raise UnitError(f"{_folded(text)} is less than nothing or more than the whole.")
    shown = "µg/g" if unit == "ug/g" else unit
    return float(value), shown.replace("\N{GREEK SMALL LETTER MU}", "µ")


def parse_grade(text: str) -> float:
    """Return a gas or metal grade ("5.0", "N4.6") as a purity fraction.

    The figure before the point counts the nines, the one after it is the next
    digit: 5.0 is 99.999 %, 4.6 is 99.996 % (common practice, no source).
    """
    grade = re.fullmatch(r"N?([1-9])\.([0-9])", text.strip().upper())
    if grade is None:
        raise UnitError("Write a grade as a number of nines, as in 5.0 for 99.999 %")
    nines, digit = int(grade.group(1)), int(grade.group(2))
    percent = "9" * nines + (str(digit) if digit else "")
    return float(Decimal(f"0.{percent}"))


def parse_need(text: str) -> Need:
    """Return `text` ("25 mmol", "2 mL", "3 g") as a wanted mass, volume or amount."""
    kind = KIND_OF.get(_split(text, KINDS["mass"])[1])
    need: Need
    if kind == "mass":
        need = Need("mass", parse_mass(text))
    elif kind == "volume":
        need = Need("volume", parse_volume(text))
    elif kind == "amount":
        need = Need("amount", parse_amount(text))
    else:
        raise UnitError("Say a mass, a volume or an amount, as in 3 g, 2 mL or 25 mmol")
    if need.value == 0:
        raise UnitError("This has to be more than zero, as in 3 g or 25 mmol")
    return need
