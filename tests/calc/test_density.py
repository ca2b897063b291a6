import pytest

from inventory.calc.density import (
    MaterialFacts,
    NoDensity,
    TooHot,
    amount_mol,
    density_at,
    mass_for_need,
    mass_ug,
    nak_density,
    state_at,
    volume_ul,
)
from inventory.calc.units import Need

SODIUM = MaterialFacts(
    symbol="Na",
    molar_mass_g_mol=22.98976928,
    density_solid_kg_m3=968,
    u_density_solid=3,
    linear_expansion_per_k=71e-6,
    melting_point_c=97.794,
    boiling_point_c=882.94,
    density_liquid_kg_m3=927,
    u_density_liquid=2,
    density_liquid_slope_kg_m3_k=0.230,
)
CAESIUM = MaterialFacts(
    symbol="Cs",
    molar_mass_g_mol=132.90545196,
    density_solid_kg_m3=1873,
    u_density_solid=30,
    linear_expansion_per_k=97e-6,
    melting_point_c=28.5,
    boiling_point_c=671,
    density_liquid_kg_m3=1843,
    u_density_liquid=15,
    density_liquid_slope_kg_m3_k=0.556,
)
NAK = MaterialFacts(
    symbol="NaK",
    molar_mass_g_mol=33.835,
    density_solid_kg_m3=None,
    u_density_solid=0,
    linear_expansion_per_k=0,
    melting_point_c=-12.6,
    boiling_point_c=785,
    density_liquid_kg_m3=874,
    u_density_liquid=6,
    density_liquid_slope_kg_m3_k=0.24,
)


def fink_leibowitz(kelvin):
    """Liquid sodium in kg/m³: Fink & Leibowitz, ANL/RE-95/2 (1995)."""
    reduced = 1 - kelvin / 2503.7
    return 219 + 275.32 * reduced + 511.58 * reduced**0.5


@pytest.mark.parametrize("t", [98, 150, 200, 300, 400, 500])
def test_liquid_sodium_agrees_with_the_recommended_equation(t):
    assert density_at(SODIUM, t).nominal_value == pytest.approx(
        fink_leibowitz(t + 273.15), rel=5e-3
    )


@pytest.mark.parametrize("t", [30, 40, 60, 100])
def test_liquid_caesium_agrees_with_a_second_correlation(t):
    # 1829.12 - 0.61483 (T - 301.6) kg/m³ from 302 K to 375 K, read second-hand.
    other = 1829.12 - 0.61483 * (t + 273.15 - 301.6)

    assert density_at(CAESIUM, t).nominal_value == pytest.approx(other, rel=1.2e-2)


def test_a_metal_is_solid_below_its_melting_point_and_liquid_from_it_on():
    assert state_at(CAESIUM, 28.4) == "solid"
    assert state_at(CAESIUM, 28.5) == "liquid"


def test_a_solid_has_its_catalogue_density_at_twenty_degrees():
    assert density_at(SODIUM, 20).nominal_value == 968
    assert density_at(SODIUM, 20).std_dev == pytest.approx(3)


def test_a_solid_expands_by_three_times_its_linear_expansion():
    warm = density_at(SODIUM, 80).nominal_value

    assert 968 / warm - 1 == pytest.approx(3 * 71e-6 * 60, rel=1e-9)


def test_a_metal_from_its_boiling_point_on_has_no_density():
    with pytest.raises(TooHot, match=r"boils at 882\.94 °C"):
        density_at(SODIUM, 882.94)

    assert density_at(SODIUM, 882.9).nominal_value > 0


def test_a_solid_without_data_is_refused_in_a_sentence():
    with pytest.raises(NoDensity, match=r"melts at -12\.6 °C"):
        density_at(NAK, -20)


def test_the_alloy_in_the_catalogue_agrees_with_the_mole_fraction_rule():
    # Foust 1972 eq. 1.9 gives 867.1 at 20 °C, an encyclopaedia 866 at 21 °C,
    # Incropera's Table A.7 line 866.5 (from memory).
    assert nak_density(0.778, 20) == pytest.approx(867.1, abs=0.1)
    assert density_at(NAK, 20).nominal_value == pytest.approx(
        nak_density(0.778, 20), rel=5e-3
    )
    assert density_at(NAK, 100).nominal_value == pytest.approx(849.2, rel=5e-3)


def test_the_pure_ends_of_the_mole_fraction_rule_are_within_its_margin():
    # The factor 1.003 is for the mixture; sodium at 98 °C is 927 (CRC Handbook).
    assert nak_density(0, 98) == pytest.approx(927, rel=4e-3)
    assert nak_density(1, 63.5) == pytest.approx(828, rel=4e-3)


def test_a_mass_fraction_outside_nought_to_one_is_refused():
    with pytest.raises(ValueError, match="between 0 and 1"):
        nak_density(77.8, 20)


def test_volume_and_mass_are_each_other_s_inverse():
    volume = volume_ul(5_000_000, SODIUM, 20)
    mass = mass_ug(volume, SODIUM, 20)

    assert volume.nominal_value == pytest.approx(5_000_000 / 968)
    assert mass.nominal_value == pytest.approx(5_000_000)
    assert mass.std_dev == pytest.approx(0, abs=1e-6)  # one density, one error


def test_two_volumes_of_one_metal_share_the_error_of_its_density():
    first, second = volume_ul(1e6, SODIUM, 20), volume_ul(1e6, SODIUM, 20)

    assert (first - second).std_dev == pytest.approx(0, abs=1e-9)
    assert {variable.tag for variable in first.error_components()} == {"density of Na"}


def test_a_need_is_turned_into_the_mass_that_meets_it():
    assert mass_for_need(Need("mass", 3e6), SODIUM) == 3e6
    assert mass_for_need(Need("volume", 2000), SODIUM) == pytest.approx(2000 * 968)
    assert mass_for_need(Need("amount", 0.025), SODIUM) == pytest.approx(
        0.025 * 22.98976928e6
    )
    assert amount_mol(22.98976928e6, SODIUM) == pytest.approx(1)
