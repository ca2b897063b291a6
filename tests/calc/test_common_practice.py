"""Figures that practitioners state: common practice, no source; bare numbers only."""

import pytest

from inventory.calc import units
from inventory.calc.density import MaterialFacts, mass_ug
from inventory.calc.stoichiometry import ChargeFacts, theoretical_metal, yield_of
from inventory.calc.uncertainty import exact

CAESIUM = MaterialFacts("Cs", 132.90545196, 1873, 30, 97e-6, 28.5, 671, 1843, 15, 0.556)
CHLORIDE = ChargeFacts("CsCl", 100e6, 0, 1.0, "source")


def test_100_g_of_caesium_chloride_is_0_594_mol_and_so_is_its_caesium():
    theory = theoretical_metal([CHLORIDE], "Cs")

    assert theory.amount_mol == pytest.approx(0.594, abs=5e-4)


def test_71_29_g_of_caesium_from_it_is_0_536_mol_and_about_90_per_cent():
    theory = theoretical_metal([CHLORIDE], "Cs").mass_ug

    assert 71.29 / CAESIUM.molar_mass_g_mol == pytest.approx(0.536, abs=5e-4)
    assert yield_of(exact(71.29e6), theory).nominal_value == pytest.approx(
        0.90, abs=5e-3
    )


def test_2_ml_of_caesium_is_about_4_g():
    mass = mass_ug(2_000, CAESIUM, 20).nominal_value

    assert float(f"{mass / 1e6:.1g}") == 4


def test_35_ml_of_liquid_caesium_from_that_charge_is_around_80_per_cent():
    theory = theoretical_metal([CHLORIDE], "Cs").mass_ug
    collected = mass_ug(35_000, CAESIUM, 40)

    assert yield_of(collected, theory).nominal_value == pytest.approx(0.80, abs=0.03)


def test_0_02_mbar_is_2_pa():
    assert units.parse_pressure("0.02 mbar") == pytest.approx(2)
    assert units.show_pressure(2.0) == "2.0 Pa"


def test_argon_5_0_is_99_999_per_cent():
    assert units.parse_grade("5.0") == pytest.approx(0.99999, abs=1e-12)
    assert units.show_percent(units.parse_grade("5.0")) == "99.999 %"
