from decimal import Decimal

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from inventory.calc import units
from inventory.calc.units import Need, UnitError

GREEK_MU = "\N{GREEK SMALL LETTER MU}"
MICRO_SIGN = "\N{MICRO SIGN}"


@pytest.mark.parametrize(
    ("text", "ug"),
    [
        ("88.412 g", 88_412_000),
        ("  88.412   g ", 88_412_000),
        ("88.412\N{NO-BREAK SPACE}g", 88_412_000),
        ("12.5g", 12_500_000),
        ("1 234.5 g", 1_234_500_000),
        (".5 g", 500_000),
        ("0 g", 0),
        ("+3 mg", 3_000),
        ("3e-2 g", 30_000),
        ("25 mg", 25_000),
        (f"5 {GREEK_MU}g", 5),
        (f"5 {MICRO_SIGN}g", 5),
        ("5 ug", 5),
        ("100 kg", 100_000_000_000),
        ("0.1 g", 100_000),  # 0.1 has no exact binary form
        ("4.35 mg", 4_350),  # 4.35 * 1000 in floats is 4349.999…
    ],
)
def test_a_mass_is_read_to_the_microgram(text, ug):
    assert units.parse_mass(text) == ug


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("1,5 g", "Write a point for the decimals: 1.5 g"),
        ("1.234,5 g", "Write a point for the decimals: 1234.5 g"),
        ("1,234.5 g", "Leave out the comma between thousands: 1234.5 g"),
        ("1,234 g", "A comma can mean two things: write 1.234 g or 1234 g"),
        ("1,2,3 g", "Write the number without commas, with a point for the decimals."),
        ("12.5", "Say the unit too, as in 12.5 g"),
        ("12 mL", "12 mL is a volume; a mass is needed, as in 12.5 g"),
        ("3 mmol", "3 mmol is an amount of substance; a mass is needed, as in 12.5 g"),
        ("-3 g", "A mass cannot be negative."),
        ("\N{MINUS SIGN}3 g", "A mass cannot be negative."),
        ("0.0000001 g", "0.0000001 g is finer than a microgram."),
        ("100.000001 kg", "100.000001 kg is more than 100 kg, the most read here."),
        ("", "Write a mass, as in 12.5 g"),
        ("   ", "Write a mass, as in 12.5 g"),
        ("3 Mg", "The unit “Mg” is not read here; use kg, g, mg, µg"),
        ("3 oz", "The unit “oz” is not read here; use kg, g, mg, µg"),
        ("5\N{SUPERSCRIPT TWO} g", None),
        ("\N{VULGAR FRACTION ONE HALF} g", None),
        ("5\N{CIRCLED DIGIT ONE} g", None),
        ("\N{ARABIC-INDIC DIGIT FIVE} g", None),
        ("nan g", None),
        ("inf g", None),
        ("1e400 g", None),
        ("1e99999999 g", None),
        ("1_000 g", None),
        ("0x10 g", None),
        ("(1+2)*4 g", None),
        ("9**9**9 g", None),
        ("1.2.3 g", None),
        ("1 2 g", None),
        ("- 5 g", None),
        ("5 g 3 mg", None),
        ("g", None),
        ("9" * 5000 + " g", None),
    ],
)
def test_what_is_not_plainly_a_mass_is_refused_in_a_sentence(text, sentence):
    with pytest.raises(UnitError) as refusal:
        units.parse_mass(text)

    assert str(refusal.value)
    assert "\n" not in str(refusal.value)
    if sentence is not None:
        assert str(refusal.value) == sentence


def refusal_of(reader, text):
    """Return the sentence that refuses `text`, None if it was read."""
    try:
        reader(text)
    except UnitError as refusal:
        return str(refusal)
    return None


@given(st.text(max_size=50))
@example("1e5")
@example("٣ g")
def test_any_text_is_either_read_or_refused_in_a_sentence(text):
    readers = (
        units.parse_mass,
        units.parse_volume,
        units.parse_amount,
        units.parse_temperature,
        units.parse_pressure,
        units.parse_percent,
        units.parse_humidity,
        units.parse_need,
        units.parse_grade,
    )
    for reader in readers:
        assert refusal_of(reader, text) != ""


@given(st.integers(0, 100_000_000_000))
def test_a_mass_shown_exactly_is_read_back_as_the_same_mass(ug):
    assert units.parse_mass(units.show_mass_plain(ug)) == ug


@pytest.mark.parametrize(
    ("text", "ul"),
    [
        ("2 mL", 2_000),
        ("2 ml", 2_000),
        ("1.2 L", 1_200_000),
        ("35 cm³", 35_000),
        ("35 cm3", 35_000),
        ("250 µL", 250),
    ],
)
def test_a_volume_is_read_to_the_microlitre(text, ul):
    assert units.parse_volume(text) == ul


def test_a_mass_where_a_volume_is_needed_is_refused():
    with pytest.raises(UnitError, match="3 g is a mass; a volume is needed"):
        units.parse_volume("3 g")


def test_an_amount_is_read_in_moles():
    assert units.parse_amount("25 mmol") == 0.025


@pytest.mark.parametrize(
    ("text", "celsius"),
    [
        ("25", 25.0),
        ("25 °C", 25.0),
        ("25 C", 25.0),
        ("25 degC", 25.0),
        ("25 \N{DEGREE CELSIUS}", 25.0),
        ("298 K", 24.85),  # 0 °C is 273.15 K, SI Brochure 2.3.1
        ("-12.6 °C", -12.6),
    ],
)
def test_a_temperature_is_read_in_degrees_celsius(text, celsius):
    assert units.parse_temperature(text) == celsius


@pytest.mark.parametrize("text", ["-300", "-1 K", "4000", "25 g", "25 F"])
def test_a_temperature_no_metal_can_have_is_refused(text):
    with pytest.raises(UnitError):
        units.parse_temperature(text)


@pytest.mark.parametrize(
    ("text", "pa"),
    [
        ("1013.25 hPa", 101_325.0),
        ("1013.25 mbar", 101_325.0),
        ("101.325 kPa", 101_325.0),
        ("1 bar", 100_000.0),
        # NIST SP 811, B.8 (from memory): torr and conventional millimetre of
        # mercury, both 133.3224 Pa to seven digits.
        ("1 Torr", 133.3224),
        ("1 mmHg", 133.3224),
        ("0 Pa", 0.0),
    ],
)
def test_a_pressure_is_read_in_pascals(text, pa):
    assert units.parse_pressure(text) == pytest.approx(pa, rel=5e-7)


@pytest.mark.parametrize(
    ("text", "fraction"),
    [("99.5 %", 0.995), ("99.5", 0.995), ("0.5 %", 0.005), ("100 %", 1.0), ("0", 0.0)],
)
def test_a_percentage_is_read_as_a_fraction(text, fraction):
    assert units.parse_percent(text) == fraction


@pytest.mark.parametrize("text", ["0.995", "1", "101 %", "-1 %", "99,5 %", "5 g"])
def test_a_percentage_that_may_be_meant_otherwise_is_refused(text):
    with pytest.raises(UnitError):
        units.parse_percent(text)


@pytest.mark.parametrize("text", ["45 %", "45", "45 % RH", "45 % r.h.", "45 %rh"])
def test_a_relative_humidity_is_read_as_a_fraction(text):
    assert units.parse_humidity(text) == 0.45


@pytest.mark.parametrize(
    ("text", "need"),
    [
        ("25 mmol", Need("amount", 0.025)),
        ("2 mL", Need("volume", 2_000)),
        ("3 g", Need("mass", 3_000_000)),
    ],
)
def test_a_need_is_read_as_mass_volume_or_amount(text, need):
    assert units.parse_need(text) == need


@pytest.mark.parametrize("text", ["3", "0 g", "25 °C", "3 oz", "", "-3 g", "1,5 mL"])
def test_a_need_of_nothing_or_of_no_known_kind_is_refused(text):
    with pytest.raises(UnitError):
        units.parse_need(text)


@pytest.mark.parametrize(
    ("ug", "u_ug", "shown"),
    [
        (17_420_000, 25_000, "17.420 g ± 0.050 g (k = 2)"),
        (17_420_000, 49_800, "17.42 g ± 0.10 g (k = 2)"),
        (9_999_999, 499, "10.0000 g ± 0.0010 g (k = 2)"),
        (1_234_567_890, 100_000, "1.23457 kg ± 0.00020 kg (k = 2)"),
        (500_000, 3_000, "500.0 mg ± 6.0 mg (k = 2)"),
        (17_420_000, 60_000_000, "20 g ± 120 g (k = 2)"),
        (0, 5_000, "0 mg ± 10 mg (k = 2)"),
        (5, 0.1, "0.005 mg ± 0.001 mg (k = 2)"),
    ],
)
def test_a_mass_is_shown_to_the_second_digit_of_its_expanded_uncertainty(
    ug, u_ug, shown
):
    # Rule: JCGM 100:2008 (GUM), 7.2.6 (from memory).
    assert units.show_mass(ug, u_ug) == shown


def test_the_worked_report_of_a_mass_in_the_guide_is_shown_alike():
    # JCGM 100:2008 (GUM) 7.2.4 (from memory): m_S = (100.021 47 ± 0.000 79) g with k = 2.26
    # and u = 0.35 mg.
    assert (
        units.show_mass(100_021_470, 350, k=2.26)
        == "100.02147 g ± 0.00079 g (k = 2.26)"
    )


@given(st.floats(1, 1e11), st.floats(1, 1e9))
def test_a_shown_mass_lies_within_half_a_last_digit_of_the_value(ug, u_ug):
    value, expanded = units.show_mass(ug, u_ug).split(" (")[0].split(" ± ")

    def to_ug(text):
        number, unit = text.split()
        return Decimal(number) * {"kg": 10**9, "g": 10**6, "mg": 10**3}[unit]

    # Two digits: half of the last is at most 1/20 of 10. The floor is a microgram.
    allowed = max(to_ug(expanded) / 18, Decimal("0.5"))
    assert abs(to_ug(value) - Decimal(ug)) <= allowed
    assert abs(to_ug(expanded) - Decimal(2 * u_ug)) <= allowed


@pytest.mark.parametrize(
    ("shown", "text"),
    [
        (units.show_mass(17_420_000), "17.420 g"),
        (units.show_mass(12_500), "12.5 mg"),
        (units.show_mass_plain(88_412_000), "88.412 g"),
        (units.show_mass_plain(0), "0 mg"),
        (units.show_change(3_060_000), "+3.060 g"),
        (units.show_change(-3_060_000), "\N{MINUS SIGN}3.060 g"),
        (units.show_change(0), "0 g"),
        (units.show_plus_minus(25_000), "± 50.0 mg (k = 2)"),
        (units.show_volume(2_140), "2.14 mL"),
        (units.show_volume(1_200_000), "1.20 L"),
        (units.show_volume(999.9), "1.00 mL"),
        (units.show_volume(250), "250 µL"),
        (units.show_volume(0), "0 mL"),
        (units.show_amount(0.025), "25.0 mmol"),
        (units.show_amount(1.5), "1.50 mol"),
        (units.show_temperature(25.0), "25 °C"),
        (units.show_temperature(-12.6), "-12.6 °C"),
        (units.show_temperature(-0.04), "0 °C"),
        (units.show_pressure(2.0), "2.0 Pa"),
        (units.show_pressure(101_325), "1013.25 hPa"),
        (units.show_pressure(99_800), "998 hPa"),
        (units.show_pressure(0.0001), "0.10 mPa"),
        (units.show_density(1532.0), "1.532 g/cm³"),
        (units.show_density(1.6618), "1.662 kg/m³"),
        (units.show_percent(0.9023), "90.2 %"),
        (units.show_percent(0.99999), "99.999 %"),
        (units.show_percent(1.0), "100.0 %"),
    ],
)
def test_each_quantity_is_shown_with_the_unit_that_suits_its_size(shown, text):
    assert shown == text
