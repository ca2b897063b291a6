import periodictable
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calc.stoichiometry import (
    ChargeFacts,
    FormulaError,
    formula_mass,
    limited_mass,
    metal_atoms,
    reductant_excess,
    theoretical_metal,
    yield_of,
)
from inventory.calc.uncertainty import exact, uncertain


def charge(formula, mass_g, *, role="source", purity=1.0, u_g=0.0):
    return ChargeFacts(formula, mass_g * 1e6, u_g * 1e6, purity, role)


@pytest.mark.parametrize(
    "formula",
    [
        "RbCl",
        "CsCl",
        "K2CO3",
        "BaO",
        "Ca(OH)2",
        "LiAlH4",
        "Rb2CrO4",
        "Ba(N3)2",
        "Sr(NO3)2",
        "KOH",
        "Mg",
        "K2Cr2O7",
    ],
)
def test_molar_masses_agree_with_an_independent_table(formula):
    # periodictable's own parser and IUPAC weights; 2e-4 covers rounding of weights.
    assert formula_mass(formula) == pytest.approx(
        periodictable.formula(formula).mass, rel=2e-4
    )


@pytest.mark.parametrize(
    "written", ["CuSO4·5H2O", "CuSO4.5H2O", "CuSO4 · 5 H2O", "CuSO4*5H2O"]
)
def test_a_hydrate_counts_its_water(written):
    # IUPAC weights: 159.61 + 5 × 18.015 = 249.69 g/mol.
    assert formula_mass(written) == pytest.approx(249.69, abs=0.01)
    assert metal_atoms(written, "Cu") == 1


def test_brackets_multiply_what_they_hold():
    assert formula_mass("Ba(ClO3)2") == pytest.approx(formula_mass("BaCl2O6"))


def test_the_metal_atoms_of_a_formula_are_counted():
    assert metal_atoms("K2Cr2O7", "K") == 2
    assert metal_atoms("RbCl", "Cs") == 0
    assert metal_atoms("NaK(SO4)", "NaK") == 2


@pytest.mark.parametrize(
    "text",
    [
        "",
        "   ",
        "cscl",
        "Xx",
        "Rb+",
        "Na-",
        "2H2O",  # molmass alone reads heavy water
        "D2O",
        "T2O",
        "C1.5H",  # molmass alone reads C and five H
        "C1.5H2O",
        "K2CO3·1.5H2O",
        "Li0.5CoO2",
        "CaCl2,2H2O",
        "PhOH",
        "(CsCl",
        "CsCl)",
        "()",
        "Cs Cl;",
        "[13C]H4",
        "Rb" * 60,
        "CsCl\N{SUPERSCRIPT TWO}^",
    ],
)
def test_a_formula_that_could_be_misread_is_refused_in_a_sentence(text):
    with pytest.raises(FormulaError) as refusal:
        formula_mass(text)

    assert str(refusal.value).endswith(".")


@given(st.text(max_size=70))
def test_any_text_is_either_a_formula_or_refused_in_a_sentence(text):
    try:
        outcome = formula_mass(text)
    except FormulaError as refusal:
        outcome = len(str(refusal))

    assert outcome > 0


@given(st.floats(0.1, 100), st.floats(0.9, 1))
def test_the_metal_itself_gives_its_own_pure_mass(mass_g, purity):
    theory = theoretical_metal([charge("Ba", mass_g, purity=purity)], "Ba")

    assert theory.mass_ug.nominal_value == pytest.approx(mass_g * 1e6 * purity)


def test_sources_add_up_and_other_charges_do_not_count():
    chloride, iodide = charge("RbCl", 10), charge("RbI", 5)
    reductant, flux = charge("Ca", 8, role="reductant"), charge("RbF", 1, role="flux")

    theory = theoretical_metal([chloride, reductant, iodide, flux], "Rb")

    # By hand: 85.468/120.92 × 10 g + 85.468/212.37 × 5 g = 9.080 g, 0.10624 mol.
    assert theory.mass_ug.nominal_value == pytest.approx(9.0804e6, rel=1e-4)
    assert theory.amount_mol == pytest.approx(0.10624, rel=1e-4)
    assert [facts for facts, _ in theory.by_charge] == [chloride, iodide]


def test_the_uncertainty_of_a_charge_goes_into_the_theory():
    theory = theoretical_metal([charge("RbCl", 10, u_g=0.01)], "Rb")

    relative = theory.mass_ug.std_dev / theory.mass_ug.nominal_value
    assert relative == pytest.approx(0.001)


def test_an_alloy_counts_both_of_its_metals():
    parts = [charge("Na", 2.22), charge("K", 7.78)]

    theory = theoretical_metal(parts, "NaK")

    assert theory.mass_ug.nominal_value == pytest.approx(10e6)
    # 77.8 % K by mass: mean 33.835 g/mol (Foust 1972 composition, IUPAC weights).
    assert 10 / theory.amount_mol == pytest.approx(33.835, abs=1e-3)


@pytest.mark.parametrize(
    ("source", "symbol", "reductant", "moles"),
    [
        # Balanced equations from any textbook; moles of reductant per mole of source.
        ("RbCl", "Rb", "Ca", 1 / 2),  # 2 RbCl + Ca -> 2 Rb + CaCl2
        ("KCl", "K", "Na", 1),  # KCl + Na -> K + NaCl
        ("CsCl", "Cs", "Li", 1),
        ("BaO", "Ba", "Al", 2 / 3),  # 3 BaO + 2 Al -> 3 Ba + Al2O3
        ("CaO", "Ca", "Al", 2 / 3),
        ("SrO", "Sr", "Mg", 1),
        ("Rb2CrO4", "Rb", "Zr", 2),  # Rb2CrO4 + 2 Zr -> 2 Rb + Cr + 2 ZrO2
        ("Cs2O", "Cs", "Mg", 1),
    ],
)
def test_the_reductant_of_a_balanced_equation_is_exactly_enough(
    source, symbol, reductant, moles
):
    charges = [
        charge(source, formula_mass(source) / 1000),
        charge(reductant, moles * formula_mass(reductant) / 1000, role="reductant"),
    ]

    assert reductant_excess(charges, symbol) == pytest.approx(1)


def test_half_the_reductant_gives_half_the_metal_and_more_gives_no_more():
    source = charge("RbCl", 120.92)
    enough = formula_mass("Ca") / 2

    def most(calcium_g):
        charges = [source, charge("Ca", calcium_g, role="reductant")]
        return limited_mass(charges, "Rb").nominal_value

    whole = theoretical_metal([source], "Rb").mass_ug.nominal_value
    assert most(enough / 2) == pytest.approx(whole / 2, rel=1e-4)
    assert most(enough * 3) == pytest.approx(whole)
    assert limited_mass([source], "Rb").nominal_value == pytest.approx(whole)


def test_impurity_in_the_reductant_counts_against_it():
    source = charge("RbCl", 120.92)
    calcium = charge("Ca", formula_mass("Ca") / 2, role="reductant", purity=0.9)

    assert reductant_excess([source, calcium], "Rb") == pytest.approx(0.9, rel=1e-4)


def test_nothing_to_reduce_has_no_excess():
    assert reductant_excess([charge("NaN3", 10)], "Na") is None
    assert reductant_excess([charge("Ba", 10)], "Ba") is None
    assert reductant_excess([], "Ba") is None


def test_without_a_reductant_there_is_no_excess_as_in_electrolysis():
    assert reductant_excess([charge("RbCl", 10)], "Rb") is None


def test_a_reductant_of_unknown_electrons_is_refused_in_a_sentence():
    charges = [charge("RbCl", 10), charge("CaH2", 5, role="reductant")]

    with pytest.raises(FormulaError, match="CaH2 is no metal"):
        reductant_excess(charges, "Rb")


def test_a_yield_carries_the_uncertainty_of_the_metal():
    portion = yield_of(uncertain(9e6, 9e3, "metal"), exact(10e6))

    assert portion.nominal_value == pytest.approx(0.9)
    assert portion.std_dev == pytest.approx(0.0009)


def test_a_yield_of_nothing_is_refused():
    with pytest.raises(FormulaError, match="no yield"):
        yield_of(exact(1e6), exact(0.0))
