"""What limits a preparation, and by how much: equations that were published.

Amounts are put together with periodictable's molar masses and the coefficients of the
equation; only the verdict comes from the code. `found` sources were read in an
abstract or a first page, `from memory` ones were not.
"""

import pytest

from inventory.calc.stoichiometry import (
    FormulaError,
    by_product,
    excess,
    limiting,
    theoretical_metal,
    yield_of,
)
from inventory.calc.uncertainty import exact
from tests.calc.weighed_in import grams, molar_mass, moles

EQUATIONS = [
    # (source, its moles, metal, its moles, reductant, its moles, what is left)
    # 2 RbCl + Ca → 2 Rb + CaCl2, "theoretically equivalent quantities": J. Chem. Educ.
    # 9 (1932) 1274 (found).
    ("RbCl", 2, "Rb", 2, "Ca", 1, "CaCl2"),
    # 2 CsCl + Ca → 2 Cs + CaCl2 and CsCl + Li → Cs + LiCl: Hackspill 1905; Greenwood
    # and Earnshaw, Chemistry of the Elements, ch. 4 (from memory).
    ("CsCl", 2, "Cs", 2, "Ca", 1, "CaCl2"),
    ("CsCl", 1, "Cs", 1, "Li", 1, "LiCl"),
    # R2CO3 + 3 Mg → 2 R + 3 MgO + C, weighed in by this equation: Graefe and Eckardt,
    # Z. anorg. Chem. 22 (1899), doi 10.1002/zaac.18990220105 (found).
    ("K2CO3", 1, "K", 2, "Mg", 3, ""),
    ("Rb2CO3", 1, "Rb", 2, "Mg", 3, ""),
    ("Cs2CO3", 1, "Cs", 2, "Mg", 3, ""),
    # 2 RbOH + 2 Mg → 2 Rb + 2 MgO + H2 (from memory).
    ("RbOH", 2, "Rb", 2, "Mg", 2, ""),
    # 2 (MgO·CaO) + Si → 2 Mg + Ca2SiO4: L. M. Pidgeon and W. A. Alexander, Trans. AIME
    # 159 (1944) 315 (reference found, equation from memory).
    ("MgO·CaO", 2, "Mg", 2, "Si", 1, ""),
    # 2 Li2O + Si → 4 Li + SiO2: lithium.atomistry.com/production.html (found).
    ("Li2O", 2, "Li", 4, "Si", 1, "SiO2"),
    # 3 Li5AlO4 + 5 Al → 15 Li + 4 Al2O3, bound by lime: J. Min. Metall. 17470 gives the
    # charge and the slag (found), the equation is worked out by hand.
    ("Li5AlO4", 3, "Li", 15, "Al", 5, ""),
    # 3 BaO + 2 Al → 3 Ba + Al2O3, were no oxide bound: Kirk-Othmer, Barium (from memory).
    ("BaO", 3, "Ba", 3, "Al", 2, "Al2O3"),
    ("SrO", 3, "Sr", 3, "Al", 2, "Al2O3"),
    # KCl + Na → K + NaCl, in a column: Ullmann's, Potassium (from memory).
    ("KCl", 1, "K", 1, "Na", 1, "NaCl"),
    # Rb2CrO4 + 2 Zr → 2 Rb + Cr + 2 ZrO2, all reduced (balanced by hand).
    ("Rb2CrO4", 1, "Rb", 2, "Zr", 2, ""),
]


@pytest.mark.parametrize(
    ("source", "n", "metal", "freed", "reductant", "m", "left"), EQUATIONS
)
def test_a_published_equation_is_exactly_enough(
    source, n, metal, freed, reductant, m, left
):
    charges = [moles(source, n / 100), moles(reductant, m / 100, "reductant")]

    limit = limiting(charges, metal)
    rest = by_product(charges, metal)

    assert excess(charges, metal).n == pytest.approx(1, rel=3e-4)
    assert limit.mass_ug.n == pytest.approx(freed * molar_mass(metal) * 1e4, rel=3e-4)
    whole = n * molar_mass(source) + m * molar_mass(reductant)
    # Mass is conserved: what is not metal is by-product.
    assert rest.mass_ug.n + limit.mass_ug.n == pytest.approx(whole * 1e4, rel=3e-4)
    assert rest.formula == left


@pytest.mark.parametrize(
    ("source", "n", "metal", "freed", "reductant", "m", "left"), EQUATIONS
)
def test_half_of_the_equation_s_reductant_is_what_limits(
    source, n, metal, freed, reductant, m, left
):
    charges = [moles(source, n / 100), moles(reductant, 0.5 * m / 100, "reductant")]

    limit = limiting(charges, metal)

    assert excess(charges, metal).n == pytest.approx(0.5, rel=3e-4)
    # Where carbonate, hydroxide or chromate need not be reduced, more can come.
    assert limit.mass_ug.n >= 0.5 * freed * molar_mass(metal) * 1e4 * (1 - 3e-4)
    if source in ("RbCl", "CsCl", "KCl", "Li2O", "BaO", "SrO", "MgO·CaO", "Li5AlO4"):
        assert limit.name == "the reductant"
        assert limit.mass_ug.n == pytest.approx(
            0.5 * freed * molar_mass(metal) * 1e4, rel=3e-4
        )


def test_aluminate_takes_a_quarter_of_the_lime_and_the_limit_says_so():
    # 4 CaO + 2 Al → 3 Ca + CaO·Al2O3: Canadian Institute of Mining Bulletin, January
    # 1948 (found); 4 BaO + 2 Al → 3 Ba + BaO·Al2O3 alike (Kirk-Othmer, from memory).
    for metal in ("Ca", "Ba", "Sr"):
        charges = [moles(f"{metal}O", 0.4), moles("Al", 0.2, "reductant")]
        limit = limiting(charges, metal)

        assert excess(charges, metal).n == pytest.approx(3 / 4, rel=3e-4)
        assert limit.name == "the reductant"
        assert limit.mass_ug.n == pytest.approx(0.3e6 * molar_mass(metal), rel=3e-4)
        assert "aluminate" in limit.note


def test_more_aluminium_lifts_the_limit_but_not_the_warning():
    # By electrons twice the aluminium frees all; bound as BaO·Al2O3 it would not. With
    # another oxide to bind the alumina it nearly does: 96.89 % of the strontium with
    # 300 % Al and BaO added, Mining, Metallurgy & Exploration 37 (2020) 1693 (found).
    charges = [
        moles("SrO", 0.3),
        moles("Al", 0.6, "reductant"),
        moles("BaO", 1, "flux"),
    ]

    limit = limiting(charges, "Sr")

    assert excess(charges, "Sr").n == pytest.approx(3, rel=3e-4)
    assert limit.name == "SrO"
    assert 0.9689 * 0.3e6 * molar_mass("Sr") < limit.mass_ug.n
    assert "Part of the SrO may stay behind as aluminate" in limit.note


def test_a_dichromate_may_leave_its_chromium_as_oxide():
    # Cs2Cr2O7 + 2 Zr → 2 Cs + 2 ZrO2 + Cr2O3 (Wikipedia, Caesium; from memory). The
    # excess counts chromium as reduced to the metal, so it is the least it can be.
    charges = [moles("Cs2Cr2O7", 0.01), moles("Zr", 0.0201, "reductant")]

    limit = limiting(charges, "Cs")

    assert limit.mass_ug.n == pytest.approx(0.02e6 * molar_mass("Cs"), rel=3e-4)
    assert limit.name == "Cs2Cr2O7"
    assert excess(charges, "Cs").n == pytest.approx(8.04 / 14, rel=3e-4)
    assert limit.note.startswith("The reductant is not enough for all that Cs2Cr2O7")


def test_a_chromate_with_plenty_of_zirconium_warns_of_chromite():
    # One part of chromate to four of zirconium by mass: Brauer, Handbook of Preparative
    # Inorganic Chemistry, vol. 1 (from memory). NaCrO2 is left of Na2CrO4 in a
    # dispenser: J. Vac. Sci. Technol. B 40 (2022), doi 10.1116/6.0001863 (found).
    charges = [grams("Cs2CrO4", 10), grams("Zr", 40, "reductant")]

    limit = limiting(charges, "Cs")

    # By hand: 40/91.224 × 4 over 10/381.80 × 8 = 8.37 equivalents.
    assert excess(charges, "Cs").n == pytest.approx(8.37, abs=0.01)
    assert limit.name == "Cs2CrO4"
    assert "chromite" in limit.note


def test_a_hydroxide_may_leave_as_hydroxide_of_the_reductant():
    # 2 RbOH + Mg → 2 Rb + Mg(OH)2: anorganik.chemie.vias.org/rubidium.html (found).
    charges = [moles("RbOH", 0.2), moles("Mg", 0.1, "reductant")]

    limit = limiting(charges, "Rb")

    assert limit.mass_ug.n == pytest.approx(0.2e6 * molar_mass("Rb"), rel=3e-4)
    assert excess(charges, "Rb").n == pytest.approx(0.5, rel=3e-4)
    assert "not enough for all that RbOH holds" in limit.note


def test_ferrosilicon_is_charged_as_its_silicon():
    # 75 % ferrosilicon, as for the process named after Pidgeon.
    charges = [
        moles("MgO·CaO", 2),
        moles("Si", 1.1, "reductant", purity=0.75),
    ]

    assert excess(charges, "Mg").n == pytest.approx(1.1, rel=3e-4)
    with pytest.raises(FormulaError, match="with its share as the purity"):
        excess([moles("MgO", 1), grams("FeSi2", 9, "reductant")], "Mg")


@pytest.mark.parametrize(
    ("source", "metal", "reductant"),
    [
        # 2 KF + CaC2 → 2 K + CaF2 + 2 C: Mellor, Comprehensive Treatise 2 (from memory).
        ("KF", "K", "CaC2"),
        # MgO + CaC2 → Mg + CaO + 2 C, and carbon may go on to CO (from memory).
        ("MgO", "Mg", "CaC2"),
        # 2 Na2CO3 + … with coke, by Deville's process (from memory).
        ("Na2CO3", "Na", "C"),
        ("CsCl", "Cs", "CaH2"),
    ],
)
def test_a_reductant_that_is_no_metal_is_refused_in_a_sentence_and_the_theory_stays(
    source, metal, reductant
):
    charges = [moles(source, 0.1), grams(reductant, 10, "reductant")]

    for ask in (excess, limiting, by_product):
        with pytest.raises(FormulaError) as refusal:
            ask(charges, metal)
        assert str(refusal.value).startswith(f"{reductant} is no metal, and what it")
        assert str(refusal.value).endswith("is worked out.")
    assert theoretical_metal(charges, metal).mass_ug.n > 0


def test_sodium_left_over_goes_into_the_alloy_so_no_limit_is_named():
    # KCl + Na gives NaK where sodium is in excess: Ullmann's, Potassium (from memory).
    charges = [moles("KCl", 1), moles("Na", 2, "reductant")]

    with pytest.raises(FormulaError, match="what is left of it comes out with"):
        limiting(charges, "NaK")


@pytest.mark.parametrize(
    ("source", "metal", "nitrogen"),
    [("NaN3", "Na", 3), ("CsN3", "Cs", 3), ("Ba(N3)2", "Ba", 6), ("KN3", "K", 3)],
)
def test_an_azide_falls_apart_without_a_reductant(source, metal, nitrogen):
    # 2 MN3 → 2 M + 3 N2: Suhrmann and Clusius, Z. anorg. Chem. 152 (1926) 52 (from
    # memory).
    charges = [moles(source, 0.02)]

    assert excess(charges, metal) is None
    limit = limiting(charges, metal)
    assert limit.name == source
    assert limit.mass_ug.n == pytest.approx(0.02e6 * molar_mass(metal), rel=3e-4)
    gas = by_product(charges, metal)
    assert gas.formula == "N2"
    assert gas.mass_ug.n == pytest.approx(0.02e6 * nitrogen * 14.007, rel=3e-4)


def test_distilling_a_metal_again_needs_no_reductant_and_leaves_nothing():
    charges = [grams("Cs", 71.29, purity=0.998)]

    limit = limiting(charges, "Cs")

    assert (limit.name, limit.note) == ("Cs", "")
    assert limit.mass_ug.n == pytest.approx(71.29e6 * 0.998)
    assert excess(charges, "Cs") is None
    assert by_product(charges, "Cs") is None
    assert yield_of(exact(70e6), limit.mass_ug).n == pytest.approx(
        70 / 71.147, rel=1e-4
    )
