"""The net mass itself: every term of it, and what is refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calc.air import AirConditions
from inventory.calc.balance import smallest_net_weight_ug
from inventory.calc.weighing import (
    BalanceFacts,
    GrossLighterThanTare,
    Reading,
    net_mass,
    readings_swapped,
)
from tests.calc.weighings import (
    ARGON,
    MILLIGRAM,
    ROOM,
    RUBIDIUM,
    full_case,
    gross,
    tare,
)


def balance_of_forces(metal_ug, *, glass_ug, inner_ul, outer_ul, gas, air, liquid=0):
    """Return the conventional reading of a vessel, straight from Archimedes.

    The balance reads W with W (1 - ρ_air/8000) = everything's mass - ρ_air V_out
    (conventional mass: OIML D 28, from memory).
    """
    metal_ul = metal_ug / RUBIDIUM
    liquid_ul = liquid / 840.0
    gas_ug = gas * (inner_ul - metal_ul - liquid_ul)
    inside_ug = metal_ug + liquid + gas_ug
    return (glass_ug + inside_ug - air * outer_ul) / (1 - air / 8000)


def test_without_gas_or_air_terms_the_net_is_the_plain_difference_less_the_air():
    inside = tare(88_412_000, ARGON), gross(120_930_000, ARGON)

    net = net_mass(*inside, metal_density=RUBIDIUM, inner_volume_ul=100_000)

    air = ROOM.density().nominal_value
    plain = (120_930_000 - 88_412_000) * (1 - air / 8000) / (1 - ARGON / RUBIDIUM)
    assert net.mass.nominal_value == pytest.approx(plain, rel=1e-12)


@given(
    metal_ug=st.floats(1e6, 60e6),
    liquid_ug=st.floats(0, 20e6),
    gas0=st.sampled_from(["air", "argon", "vacuum"]),
    gas1=st.sampled_from(["air", "argon", "vacuum"]),
    pressures=st.tuples(st.floats(95_000, 105_000), st.floats(95_000, 105_000)),
)
def test_the_net_mass_undoes_the_balance_of_forces(
    metal_ug, liquid_ug, gas0, gas1, pressures
):
    # Forward model written apart from the formula: mass, gas and lift of the whole
    # vessel, read as conventional mass. Nothing is approximated on the way back.
    airs = [
        AirConditions(pressure_pa=p, u_temperature_c=0, u_pressure_pa=0, u_humidity=0)
        for p in pressures
    ]
    rho = [air.density().nominal_value for air in airs]
    inside = [
        {"air": rho[0], "argon": ARGON, "vacuum": 0.0}[gas0],
        {"air": rho[1], "argon": ARGON, "vacuum": 0.0}[gas1],
    ]
    glass = {"glass_ug": 88e6, "inner_ul": 100_000, "outer_ul": 140_000}
    empty = balance_of_forces(0, gas=inside[0], air=rho[0], **glass)
    full = balance_of_forces(
        metal_ug, gas=inside[1], air=rho[1], liquid=liquid_ug, **glass
    )

    net = net_mass(
        tare(empty, inside[0], air=airs[0]),
        gross(full, inside[1], air=airs[1]),
        metal_density=RUBIDIUM,
        inner_volume_ul=100_000,
        outer_volume_ul=140_000,
        liquid_ug=liquid_ug,
        liquid_density=840.0,
    )

    assert net.mass.nominal_value == pytest.approx(metal_ug, rel=1e-9, abs=1)


def test_argon_instead_of_air_in_a_hundred_millilitres_weighs_46_milligrams():
    # Common practice, no source.
    air = ROOM.density()
    net = net_mass(
        tare(88_412_000, air),
        gross(120_930_000, ARGON),
        metal_density=RUBIDIUM,
        inner_volume_ul=100_000,
    )

    gas = next(term for term in net.terms if term.key == "gas")
    assert gas.value_ug == pytest.approx(-46_000, abs=500)


def test_vacuum_instead_of_air_in_five_millilitres_weighs_6_milligrams():
    # Common practice, no source.
    net = net_mass(
        tare(6_000_000, ROOM.density()),
        gross(7_000_000, 0.0),
        metal_density=RUBIDIUM,
        inner_volume_ul=5_000,
    )

    gas = next(term for term in net.terms if term.key == "gas")
    assert gas.value_ug == pytest.approx(6_000, abs=50)


def test_an_open_vessel_holds_the_air_of_the_room():
    known = net_mass(
        tare(88_412_000, ROOM.density()),
        gross(120_930_000, ARGON),
        metal_density=RUBIDIUM,
        inner_volume_ul=100_000,
    )
    opened = net_mass(
        tare(88_412_000, None, closed=False),
        gross(120_930_000, ARGON),
        metal_density=RUBIDIUM,
        inner_volume_ul=100_000,
    )

    assert opened.mass.nominal_value == known.mass.nominal_value


def test_the_terms_add_up_to_the_net_mass():
    net = full_case()

    assert sum(term.value_ug for term in net.terms) == pytest.approx(
        net.mass.nominal_value
    )
    assert all(term.formula for term in net.terms)
    assert [term.key for term in net.terms] == [
        "readings",
        "weights",
        "gas",
        "air",
        "liquid",
        "lift",
    ]


def test_a_withdrawal_is_the_same_sum_with_the_readings_before_and_after():
    before = Reading("before", 120_930_000, MILLIGRAM, ROOM, ARGON)
    after = Reading("after", 117_870_000, MILLIGRAM, ROOM, ARGON)

    drawn = net_mass(after, before, metal_density=RUBIDIUM, inner_volume_ul=None)

    air = ROOM.density().nominal_value
    assert drawn.mass.nominal_value == pytest.approx(
        3_060_000 * (1 - air / 8000) / (1 - ARGON / RUBIDIUM)
    )
    assert drawn.mass.std_dev < 2_000  # root two of 1 mg; same gas, so no bound


def test_a_gross_lighter_than_the_tare_is_refused_with_both_numbers():
    with pytest.raises(GrossLighterThanTare, match=r"88\.412 g") as refusal:
        net_mass(
            tare(120_930_000, ARGON),
            gross(88_412_000, ARGON),
            metal_density=RUBIDIUM,
            inner_volume_ul=100_000,
        )

    assert "120.93 g" in str(refusal.value)
    with pytest.raises(GrossLighterThanTare):
        readings_swapped(2, 1)
    readings_swapped(1, 1)


def test_a_little_metal_sealed_under_vacuum_may_weigh_less_than_the_empty_glass():
    net = net_mass(
        tare(6_000_000, ROOM.density()),
        gross(5_997_000, 0.0),
        metal_density=RUBIDIUM,
        inner_volume_ul=5_000,
    )

    assert net.mass.nominal_value == pytest.approx(3_000, rel=0.01)


def test_a_liquid_without_a_density_is_a_mistake_of_the_caller():
    with pytest.raises(ValueError, match="needs its density"):
        net_mass(
            tare(88_412_000, ARGON),
            gross(120_930_000, ARGON),
            metal_density=RUBIDIUM,
            inner_volume_ul=100_000,
            liquid_ug=5e6,
        )


@pytest.mark.parametrize(
    ("readability_ug", "repeatability_ug", "smallest_ug"),
    [
        # USP general chapter <41> (from memory), 2000 times the larger of s and 0.41 d;
        # the figures worked by hand from that rule. A semi-micro
        # balance with d = 0.01 mg and s = 0.02 mg needs 40 mg; with s below 0.41 d the
        # division decides and the floor is 820 d, 82 mg for d = 0.1 mg.
        (10, 20, 40_000),
        (100, 0, 82_000),
        (100, 40, 82_000),
        (1000, 1000, 2_000_000),
    ],
)
def test_the_smallest_net_weight_follows_the_pharmacopeia(
    readability_ug, repeatability_ug, smallest_ug
):
    balance = BalanceFacts("b", readability_ug, repeatability_ug)

    assert smallest_net_weight_ug(balance) == pytest.approx(smallest_ug)
