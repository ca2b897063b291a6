"""The library's atomic weights against IUPAC's of 2021 and a second library."""

import periodictable
import pytest

from inventory.calc.electrons import ANION_CHARGE, ELECTRONS
from inventory.calc.formulas import formula_mass
from tests.calc.shipped import ELEMENTS, number

# Standard atomic weights 2021, abridged to five digits, with the uncertainty given
# there: IUPAC Technical Report, Prohaska et al., Pure Appl. Chem. 94 (2022) 573-600,
# table 2 (from memory).
IUPAC_2021 = {
    "H": (1.0080, 0.0002),
    "Li": (6.94, 0.06),
    "C": (12.011, 0.002),
    "N": (14.007, 0.001),
    "O": (15.999, 0.001),
    "F": (18.998, 0.001),
    "Na": (22.990, 0.001),
    "Mg": (24.305, 0.002),
    "Al": (26.982, 0.001),
    "Si": (28.085, 0.001),
    "P": (30.974, 0.001),
    "S": (32.06, 0.02),
    "Cl": (35.45, 0.01),
    "K": (39.098, 0.001),
    "Ca": (40.078, 0.004),
    "Ti": (47.867, 0.001),
    "Cr": (51.996, 0.001),
    "Br": (79.904, 0.003),
    "Rb": (85.468, 0.001),
    "Sr": (87.62, 0.01),
    "Y": (88.906, 0.001),
    "Zr": (91.224, 0.002),
    "I": (126.90, 0.01),
    "Cs": (132.91, 0.01),
    "Ba": (137.33, 0.01),
    "La": (138.91, 0.01),
    "Ce": (140.12, 0.01),
}


@pytest.mark.parametrize("element", IUPAC_2021)
def test_an_atomic_weight_is_iupac_s_of_2021_within_its_uncertainty(element):
    weight, uncertainty = IUPAC_2021[element]

    assert formula_mass(element) == pytest.approx(weight, abs=uncertainty)


@pytest.mark.parametrize(
    "element", sorted({*IUPAC_2021, *ELECTRONS, *ANION_CHARGE} - {"Hf"})
)
def test_an_atomic_weight_is_the_second_library_s_within_iupac_s_uncertainty(element):
    # periodictable carries the 2021 table with its uncertainties; those of elements
    # with one isotope are below what a mass can show.
    second = periodictable.elements.symbol(element)

    assert formula_mass(element) == pytest.approx(
        second.mass, abs=second._mass_unc, rel=1e-7
    )


def test_hafnium_is_still_that_of_2019_in_one_library_and_harmless():
    # IUPAC changed it in 2019 from 178.49(2) to 178.486(6) (from memory).
    assert formula_mass("Hf") == pytest.approx(178.486, abs=0.006)


@pytest.mark.parametrize("symbol", ELEMENTS)
def test_the_catalogue_s_molar_mass_is_that_of_the_formulas(symbol):
    # A yield is catalogue metal over metal by formula: the two must be one number.
    assert formula_mass(symbol) == pytest.approx(number(symbol, "molar_mass"), rel=1e-5)
