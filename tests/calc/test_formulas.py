"""How formulas are read: hydrates and brackets taken, slips and isotopes refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calc.formulas import (
    FormulaError,
    atom_counts,
    formula_mass,
    metal_atoms,
    refuse_unlikely,
)
from tests.calc.weighed_in import molar_mass


@pytest.mark.parametrize(
    "formula",
    [
        "MgCl2·6H2O",
        "KMgCl3·6H2O",  # carnallite
        "BaCl2·2H2O",
        "Ba(OH)2·8H2O",
        "Cs2Cr2O7",
        "CsAl(SO4)2·12H2O",
        "MgO·CaO",  # calcined dolomite
        "Li2O·Al2O3·4SiO2",  # spodumene, as oxides
    ],
)
def test_a_hydrate_or_double_oxide_is_the_sum_of_its_parts(formula):
    assert formula_mass(formula) == pytest.approx(molar_mass(formula), rel=1e-4)


def test_brackets_in_brackets_multiply_through():
    # K4[Fe(CN)6]·3H2O: 422.388 g/mol (CRC Handbook, from memory).
    assert formula_mass("K4[Fe(CN)6]·3H2O") == pytest.approx(422.388, abs=0.02)
    assert atom_counts("Rb3[Al(SO4(H2O)2)2]2")["H"] == 16


@pytest.mark.parametrize("text", ["[6Li]F", "^6LiF", "⁸⁷RbCl", "6LiF", "Li-6", "D2O"])
def test_an_isotope_is_refused_as_one(text):
    with pytest.raises(FormulaError, match="isotope"):
        formula_mass(text)


@pytest.mark.parametrize("text", ["Rb+", "Ca²⁺", "SO4^2-", "[Cs]+", "Cl−"])
def test_a_charge_is_refused_as_one(text):
    with pytest.raises(FormulaError, match="charge"):
        formula_mass(text)


@pytest.mark.parametrize(
    "text", ["Cs137Cl", "Li6F", "Li7Cl", "Na22Cl", "Sr90CO3", "Ba133O", "Rb87NO3"]
)
def test_a_mass_number_is_not_read_as_a_number_of_atoms(text):
    # Cs137Cl as 137 atoms would give 99.8 % caesium instead of 78.9 %.
    with pytest.raises(FormulaError, match="mass number"):
        refuse_unlikely(text)


@pytest.mark.parametrize("text", ["RbCl2", "CaCl", "MgF", "KMgCl2", "NaCl·CaCl2·BaF"])
def test_a_salt_whose_charges_do_not_balance_is_refused(text):
    with pytest.raises(FormulaError, match="do not balance"):
        refuse_unlikely(text)


@pytest.mark.parametrize(
    "text",
    [
        "CsI3",  # polyhalides exist with bromine and iodine
        "RbICl2",
        "KHF2",
        "KO2",
        "Cs11O3",
        "Ba2N",
        "NaN3",
        "Li22Si5",
        "Na22K78",  # an alloy by percentages
        "Ca3Mg4",
        "LiAlH4",
        "C18H38",
        "TiCl4",
        "Cl2",
        "H2O",
    ],
)
def test_what_exists_with_unusual_numbers_is_read(text):
    refuse_unlikely(text)

    assert formula_mass(text) > 0


@pytest.mark.parametrize("text", ["RbCl2", "Rb85CO3"])
def test_an_unlikely_formula_on_record_can_still_be_read(text):
    assert metal_atoms(text, "Rb") in (1, 85)
    assert formula_mass(text) > 0


def test_what_is_no_formula_is_refused_where_it_is_typed_in():
    with pytest.raises(FormulaError, match="not a formula"):
        refuse_unlikely("Rubidium")


@pytest.mark.parametrize(
    ("formula", "symbol", "atoms"),
    [("MgO·CaO", "Mg", 1), ("Ba(N3)2", "Ba", 1), ("KCl", "NaK", 1), ("CaO", "Ba", 0)],
)
def test_a_source_without_the_metal_has_no_atoms_of_it(formula, symbol, atoms):
    assert metal_atoms(formula, symbol) == atoms


@given(
    st.sampled_from(["Li", "Na", "K", "Rb", "Cs"]),
    st.sampled_from(["F", "Cl", "Br", "I"]),
    st.integers(1, 9),
    st.integers(0, 12),
)
def test_an_alkali_halide_is_read_exactly_if_it_has_as_many_halogens(
    metal, halogen, atoms, water
):
    salt = f"{metal}{atoms}{halogen}{atoms}" + f"·{water}H2O" * bool(water)
    short = f"{metal}{atoms + 1}{halogen}{atoms}" + f"·{water}H2O" * bool(water)

    assert formula_mass(salt) == pytest.approx(molar_mass(salt), rel=2e-4)
    refuse_unlikely(salt)
    with pytest.raises(FormulaError):
        refuse_unlikely(short)
