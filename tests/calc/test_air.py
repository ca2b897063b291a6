import pytest
from CoolProp.CoolProp import HAPropsSI, PropsSI

from inventory.calc.air import AirConditions, air_density_cipm, gas_density

CONDITIONS = [
    (20, 101_325, 0.5),
    (20, 101_325, 0.0),
    (20, 101_325, 1.0),
    (20, 100_000, 0.5),
    (15, 101_325, 0.0),
    (23, 101_325, 0.5),
    (25, 101_325, 0.5),
    (22, 95_000, 0.4),
]


@pytest.mark.parametrize(("t", "p", "h"), CONDITIONS)
def test_moist_air_agrees_with_an_independent_virial_model(t, p, h):
    # CoolProp's humid air (ASHRAE RP-1485), another equation of state: 1e-4.
    coolprop = 1 / HAPropsSI("Vha", "T", t + 273.15, "P", p, "R", h)

    assert air_density_cipm(t, p, h) == pytest.approx(coolprop, rel=1e-4)


@pytest.mark.parametrize(
    ("t", "p", "h", "rho"),
    [
        # Computed apart from this code, from the equations in Picard, Davis, Gläser
        # & Fujii, Metrologia 45 (2008) 149; no worked example was published.
        (20, 101_325, 0.5, 1.199314),
        (20, 101_325, 0.0, 1.204557),
        (20, 101_325, 1.0, 1.194087),
        (20, 100_000, 0.5, 1.183557),
        (15, 101_325, 0.0, 1.225521),
        (23, 101_325, 0.5, 1.186084),
        (25, 101_325, 0.5, 1.177315),
        (22, 95_000, 0.4, 1.116954),
    ],
)
def test_moist_air_follows_cipm_2007_to_its_last_digit(t, p, h, rho):
    assert air_density_cipm(t, p, h) == pytest.approx(rho, abs=6e-7)


@pytest.mark.parametrize(("t", "p", "h"), CONDITIONS)
def test_moist_air_agrees_with_the_simplified_formula_of_legal_metrology(t, p, h):
    # OIML R 111-1 (2004), E.3; stated to hold to 2e-4 (from memory).
    simplified = (0.34848 * p / 100 - 0.009 * h * 100 * 2.718281828 ** (0.061 * t)) / (
        273.15 + t
    )

    assert air_density_cipm(t, p, h) == pytest.approx(simplified, rel=2e-4)


def test_more_carbon_dioxide_makes_air_denser():
    # CIPM-2007: dry molar mass 28.96546 + 12.011 (x - 0.0004) g/mol.
    ordinary = air_density_cipm(20, 101_325, 0)
    stale = air_density_cipm(20, 101_325, 0, x_co2=0.0014)

    expected = 1 + 12.011 * 0.001 / 28.96546
    assert stale / ordinary == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("fluid", "molar_mass"),
    # IUPAC standard atomic weights 2021; dry air as in CIPM-2007.
    [
        ("Argon", 39.95),
        ("Nitrogen", 28.014),
        ("Helium", 4.002602),
        ("Air", 28.96546),
    ],
)
@pytest.mark.parametrize("t", [15, 20, 30])
def test_the_ideal_gas_is_near_enough_for_a_cover_gas(fluid, molar_mass, t):
    real = PropsSI("D", "T", t + 273.15, "P", 101_325, fluid)

    assert gas_density(molar_mass, t, 101_325) == pytest.approx(real, rel=1e-3)


def test_a_vacuum_of_two_pascals_weighs_next_to_nothing():
    assert gas_density(39.95, 20, 2) < 4e-5


def test_the_uncertainty_of_air_follows_from_its_conditions():
    # OIML R 111-1 (2004), C.6.3.6 gives partial derivatives of ρ near 20 °C (from memory):
    # +1.00e-5 ρ per Pa, -3.4e-3 ρ per K, -1e-2 ρ per unit of humidity.
    air = AirConditions()
    rho = air_density_cipm(20, 101_325, 0.5)
    expected = rho * ((1500e-5) ** 2 + (3.4e-3 * 3) ** 2 + (1e-2 * 0.2) ** 2) ** 0.5

    assert air.density().nominal_value == pytest.approx(rho, rel=1e-12)
    assert air.density().std_dev == pytest.approx(expected, rel=0.03)


def test_the_same_air_twice_has_one_error_and_other_air_another():
    air, other = AirConditions(), AirConditions()

    assert (air.density() - air.density()).std_dev == 0
    assert (air.density() - other.density()).std_dev > 0.02


def test_air_known_exactly_has_no_uncertainty():
    air = AirConditions(u_temperature_c=0, u_pressure_pa=0, u_humidity=0)

    assert air.density().std_dev == 0
