"""Grades, impurities and whether they add up."""

from math import log10

import periodictable
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calc import purity, units
from inventory.calc.purity import Content, PurityError


@pytest.mark.parametrize(
    ("typed", "fraction", "unit", "below"),
    [
        # ppm is 1 in a million (SI Brochure, 9th edition, 5.4.7); mg/kg and µg/g are
        # the same by their prefixes (ibid., table 7).
        ("12 ppm", 12e-6, "ppm", False),
        ("12 mg/kg", 12e-6, "mg/kg", False),
        ("12 µg/g", 12e-6, "µg/g", False),
        ("12 ug/g", 12e-6, "µg/g", False),
        ("0.02 %", 2e-4, "%", False),
        ("<5 ppm", 5e-6, "ppm", True),
        ("< 0.5 mg/kg", 5e-7, "mg/kg", True),
        ("＜ 5 ppm", 5e-6, "ppm", True),
    ],
)
def test_a_content_is_a_mass_fraction_or_a_limit(typed, fraction, unit, below):
    content = purity.parse_content(typed)

    assert content.fraction == pytest.approx(fraction, rel=1e-12)
    assert (content.unit, content.below) == (unit, below)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("12", "Say the unit too, as in 12 mg/kg"),
        ("12 g", "12 g is a mass; a content by mass is needed, as in 12 mg/kg"),
        ("12 ppb", "The unit “ppb” is not read here; use mg/kg, µg/g, ppm"),
        ("-3 ppm", "-3 ppm is less than nothing or more than the whole."),
        ("101 %", "101 % is less than nothing or more than the whole."),
        ("1,5 ppm", "Write a point for the decimals: 1.5 ppm"),
        ("nan ppm", "“nan ppm” is not a content by mass; write it as 12 mg/kg"),
        ("<< 5 ppm", "“< 5 ppm” is not a content by mass; write it as 12 mg/kg"),
        (
            "0 ppm",
            "Nothing found means below a limit: write the limit, as in < 1 mg/kg.",
        ),
    ],
)
def test_what_is_no_content_is_refused_in_one_sentence(typed, sentence):
    with pytest.raises(PurityError) as refusal:
        purity.parse_content(typed)

    assert str(refusal.value) == sentence


def test_a_content_in_a_field_for_masses_is_named_as_what_it_is():
    with pytest.raises(units.UnitError, match="12 mg/kg is a content by mass"):
        units.parse_mass("12 mg/kg")


@given(
    st.integers(1, 10**6),
    st.sampled_from(["mg/kg", "µg/g", "ppm"]),
    st.booleans(),
)
def test_a_content_is_shown_as_it_was_typed(number, unit, below):
    typed = f"{'< ' if below else ''}{number} {unit}"

    assert purity.show_content(purity.parse_content(typed)) == typed


@given(st.text(max_size=30))
def test_any_text_is_a_content_or_is_refused(text):
    try:
        content = purity.parse_content(text)
    except PurityError:
        return
    assert 0 < content.fraction <= 1


def test_every_element_that_occurs_on_earth_can_be_an_impurity():
    # Symbols as in periodictable, after IUPAC; up to plutonium.
    natural = [e.symbol for e in periodictable.elements if 1 <= e.number <= 94]

    taken = [purity.parse_species(each, "a metal") for each in natural]

    assert taken == natural
    assert len(natural) == 94


@pytest.mark.parametrize("typed", ["H2O", "RbCl", " Rb2O ", "H₂O", "NaK"])
def test_compounds_can_be_impurities(typed):
    assert purity.parse_species(typed, "Rb") in ("H2O", "RbCl", "Rb2O", "NaK")


@pytest.mark.parametrize(
    ("typed", "symbol", "sentence"),
    [
        ("fe", "Rb", "“fe” is no symbol or formula; write it as in Fe or H2O."),
        ("iron", "Rb", "“iron” is no symbol or formula; write it as in Fe or H2O."),
        ("Xx", "Rb", "“Xx” is no symbol or formula; write it as in Fe or H2O."),
        ("87Sr", "Rb", "“87Sr” is no symbol or formula; write it as in Fe or H2O."),
        ("Rb", "Rb", "Rb is the metal itself, not an impurity."),
        ("K", "NaK", "K is the metal itself, not an impurity."),
        ("C" * 21, "Rb", "Write it with at most 20 characters."),
    ],
)
def test_what_is_no_impurity_is_refused_in_one_sentence(typed, symbol, sentence):
    with pytest.raises(PurityError) as refusal:
        purity.parse_species(typed, symbol)

    assert str(refusal.value) == sentence


@pytest.mark.parametrize(
    ("fraction", "words"),
    [
        (0.95, "one nine five (1N5)"),
        (0.99, "two nines (2N)"),
        (0.998, "two nines eight (2N8)"),
        (0.9995, "three nines five (3N5)"),
        # Cut, not rounded: 99.98 % is not four nines.
        (0.9998, "three nines eight (3N8)"),
        (0.99996, "four nines six (4N6)"),
        (0.999999, "six nines (6N)"),
        (0.85, ""),
        (1.0, ""),
    ],
)
def test_a_grade_counts_the_nines(fraction, words):
    # Common practice, no source.
    assert purity.grade(fraction) == words


@given(st.integers(1, 6), st.integers(0, 8))
def test_a_grade_reads_back_as_the_purity_it_came_from(nines, digit):
    fraction = units.parse_grade(f"{nines}.{digit}")

    short = f"({nines}N{digit or ''})"

    assert purity.grade(fraction).endswith(short)


def found(*parts_per_million):
    return [Content(ppm * 1e-6, "mg/kg") for ppm in parts_per_million]


def test_impurities_that_fit_the_purity_say_nothing():
    assert purity.contradiction(0.9995, found(300, 150)) == ""


def test_impurities_beyond_what_the_purity_leaves_are_named_with_both_numbers():
    assert purity.contradiction(0.9995, found(500, 300)) == (
        "The impurities add up to 800 mg/kg, but a purity of 99.95 % leaves 500 mg/kg "
        "for them."
    )


def test_impurities_over_by_what_laboratories_differ_by_say_nothing():
    # Horwitz, Anal. Chem. 54 (1982) 67A: laboratories differ by 2^(1 − 0.5 lg c) %,
    # which is 10 % at 20 mg/kg (formula from memory).
    horwitz = 2 ** (1 - 0.5 * log10(20e-6)) / 100

    assert horwitz == pytest.approx(purity.MARGIN, rel=0.05)
    assert purity.contradiction(0.9995, found(545)) == ""
    assert purity.contradiction(0.9995, found(555)) != ""


def test_limits_do_not_count_as_found():
    below = Content(0.5, "%", below=True)

    assert purity.contradiction(0.9995, [below]) == ""
    assert purity.total([below, *found(3)]) == pytest.approx(3e-6)


def test_impurities_without_a_purity_contradict_nothing():
    assert purity.contradiction(None, found(10**6)) == ""


def test_a_purity_of_all_leaves_no_room():
    assert "leaves 0 mg/kg" in purity.contradiction(1.0, found(1))
