"""Rates and times are read and shown like every other quantity."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calc import units
from inventory.calc.units import UnitError


@pytest.mark.parametrize(
    ("text", "ug_per_h"),
    [
        ("0.5 g/h", 500_000),
        ("500 mg/h", 500_000),
        ("20 mg/min", 1_200_000),
        ("0.02 g/min", 1_200_000),
        ("1 kg/h", 10**9),
        ("0 g/h", 0),
    ],
)
def test_a_rate_is_read_in_micrograms_an_hour(text, ug_per_h):
    assert units.parse_rate(text) == ug_per_h


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("0.5 g", "0.5 g is a mass; a rate is needed, as in 0.5 g/h"),
        ("0.5", "Say the unit too, as in 0.5 g/h"),
        ("-1 g/h", "A rate cannot be negative."),
        (
            "1 g/s",
            "The unit “g/s” is not read here; use kg/h, g/h, mg/h, g/min, mg/min",
        ),
        ("0,5 g/h", "Write a point for the decimals: 0.5 g/h"),
        ("101 kg/h", "101 kg/h is more than 100 kg/h, the most read here."),
        ("", "Write a rate, as in 0.5 g/h"),
    ],
)
def test_what_is_no_rate_is_refused_in_a_sentence(text, sentence):
    with pytest.raises(UnitError) as refusal:
        units.parse_rate(text)

    assert str(refusal.value) == sentence


@pytest.mark.parametrize(
    ("text", "seconds"),
    [("4 s", 4.0), ("4.5 s", 4.5), ("1.5 min", 90.0), ("2 h", 7200)],
)
def test_a_time_is_read_in_seconds(text, seconds):
    assert units.parse_time(text) == pytest.approx(seconds)


@pytest.mark.parametrize("text", ["-1 s", "4", "4 g", "25 h", "4 d", "four s", ""])
def test_what_is_no_time_is_refused(text):
    with pytest.raises(UnitError):
        units.parse_time(text)


@pytest.mark.parametrize(
    ("ug_per_h", "u", "shown"),
    [
        (1_240_000, 55_000, "1.24 g/h ± 0.11 g/h (k = 2)"),
        (500_000, None, "500 mg/h"),
        (1_500_000, None, "1.50 g/h"),
        (3_600, 100, "3.60 mg/h ± 0.20 mg/h (k = 2)"),
    ],
)
def test_a_rate_is_shown_with_the_unit_that_suits_its_size(ug_per_h, u, shown):
    assert units.show_rate(ug_per_h, u) == shown


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (2.0, "mbar", "0.02"),
        # 1 Torr is 101 325/760 Pa: BIPM, SI brochure, 8th edition, table 8.
        (101_325.0, "Torr", "760"),
        (101_325.0, "hPa", "1013.25"),
        (412.0, "°C", "412"),
        (412.0, "K", "685.15"),
        (-12.6, "°C", "-12.6"),
        (21_500, "mL", "21.5"),
        (0, "mL", "0"),
        (90.0, "min", "1.5"),
        (1e-9, "mbar", "0.00000000001"),
        (1_234_567, "Pa", "1234570"),
    ],
)
def test_a_value_is_shown_in_the_unit_that_was_chosen(value, unit, shown):
    assert units.show_in(value, unit) == shown


@given(
    st.floats(1e-6, 1e6),
    st.sampled_from(["mbar", "Pa", "hPa", "kPa", "Torr", "bar", "mmHg"]),
)
def test_a_value_shown_in_a_unit_is_read_back_as_nearly_the_same(pa, unit):
    read = units.parse_pressure(f"{units.show_in(pa, unit)} {unit}")

    assert read == pytest.approx(pa, rel=1e-5)
