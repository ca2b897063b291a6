"""How sure a net mass is: what each source adds, and what is bounded."""

from math import sqrt

import numpy as np
import pytest

from inventory.calc.air import AirConditions
from inventory.calc.balance import BalanceFacts
from inventory.calc.uncertainty import exact
from inventory.calc.weighing import net_mass
from tests.calc.weighings import (
    ARGON,
    MILLIGRAM,
    ROOM,
    RUBIDIUM,
    full_case,
    gross,
    tare,
    term,
)


def test_the_budget_adds_up_to_the_uncertainty_and_is_sorted():
    net = full_case()

    total = sqrt(sum(line.u_ug**2 for line in net.budget))
    assert total == pytest.approx(net.mass.std_dev)
    assert sum(line.share for line in net.budget) == pytest.approx(1)
    sizes = [line.u_ug for line in net.budget]
    assert sizes == sorted(sizes, reverse=True)
    assert net.budget[0].source == "oil"


def test_the_uncertainty_agrees_with_a_monte_carlo_of_the_measurement():
    # JCGM 101:2008: distributions propagated by drawing, seeded; within 2 % of u.
    draw = np.random.default_rng(20260101)
    n = 200_000

    def normal(mean, u):
        return draw.normal(mean, u, n)

    def box(half_width):
        return draw.uniform(-half_width, half_width, n)

    def cipm(t, p, h):
        # Linear about the mean, with the derivatives of OIML R 111-1 C.6.3.6
        # (from memory).
        base = AirConditions(t[0], 0, p[0], 0, h[0], 0).density().nominal_value
        step = (t[1] - t[0]) * -3.4e-3 + (p[1] - p[0]) * 1e-5 + (h[1] - h[0]) * -9e-3
        return base * (1 + step)

    air0 = cipm(
        (21, normal(21, 0.5)),
        (100_200, normal(100_200, 100)),
        (0.45, normal(0.45, 0.05)),
    )
    air1 = cipm(
        (23, normal(23, 0.5)),
        (101_600, normal(101_600, 100)),
        (0.40, normal(0.40, 0.05)),
    )
    t = 88_412_000 + box(500) + normal(0, 1500) + box(2000)
    g = 120_930_000 + box(500) + normal(0, 1500) + box(2000)
    argon, metal = normal(ARGON, 0.01), normal(RUBIDIUM, 15)
    inner, outer = normal(100_000, 2_000), normal(140_000, 4_000)
    oil, oil_density = normal(5e6, 2e4), normal(840, 19)
    # The gas at tare is the room's air, since the vessel stood open.
    weighed = g * (1 - air1 / 8000) - t * (1 - air0 / 8000)
    weighed += (air0 - argon) * inner + (air1 - air0) * outer
    weighed -= oil * (1 - argon / oil_density)
    drawn = weighed / (1 - argon / metal)

    net = full_case()
    alone = full_case(liquid_ug=exact(5e6))

    assert net.mass.nominal_value == pytest.approx(drawn.mean(), abs=300)
    assert net.mass.std_dev == pytest.approx(drawn.std(), rel=0.02)
    fixed = drawn + (oil - 5e6) * (1 - ARGON / 840) / (1 - ARGON / RUBIDIUM)
    assert alone.mass.std_dev == pytest.approx(fixed.std(), rel=0.02)


def test_two_readings_of_one_balance_give_root_two_of_its_repeatability():
    balance = BalanceFacts("plain", 0, 1000)
    net = net_mass(
        tare(88_412_000, ARGON, balance=balance),
        gross(120_930_000, ARGON, balance=balance),
        metal_density=RUBIDIUM,
        inner_volume_ul=100_000,
    )

    assert net.mass.std_dev == pytest.approx(sqrt(2) * 1000, rel=2e-3)


def test_readability_is_a_rectangle_one_division_wide():
    # GUM F.2.2.1: u = d/√12.
    balance = BalanceFacts("coarse", 10_000, 0)

    assert tare(1_000_000, balance=balance).value.std_dev == pytest.approx(
        10_000 / sqrt(12)
    )


def test_nonlinearity_is_a_rectangle_of_plus_and_minus_its_largest_deviation():
    balance = BalanceFacts("bent", 0, 0, nonlinearity_ug=3_000)

    assert tare(1_000_000, balance=balance).value.std_dev == pytest.approx(
        3_000 / sqrt(3)
    )


def test_a_reading_used_for_two_results_keeps_one_error():
    first = tare(88_412_000, ARGON, balance=MILLIGRAM)
    middle = gross(100_000_000, ARGON, balance=MILLIGRAM)
    last = gross(120_930_000, ARGON, balance=MILLIGRAM)
    facts = {"metal_density": RUBIDIUM, "inner_volume_ul": 100_000}

    lower = net_mass(first, middle, **facts).mass
    upper = net_mass(middle, last, **facts).mass
    whole = net_mass(first, last, **facts).mass

    assert (lower + upper).nominal_value == pytest.approx(whole.nominal_value)
    assert (lower + upper).std_dev == pytest.approx(whole.std_dev)


def test_an_unknown_inner_volume_leaves_the_gas_out_and_widens_the_uncertainty():
    net = net_mass(
        tare(88_412_000, ROOM.density()),
        gross(120_930_000, ARGON),
        metal_density=RUBIDIUM,
        inner_volume_ul=None,
    )

    gas = term(net, "gas")
    assert gas.value_ug == 0
    assert "left out" in gas.formula
    # 46 mg per 100 mL: a vessel of this weight holds 300 mL at most.
    assert gas.u_ug > 46_000 / sqrt(3)
    assert net.budget[0].source == "gas fill, inner volume not known"


@pytest.mark.parametrize("truth", [0.0, 1.2, ARGON])
def test_an_unknown_gas_leaves_a_bound_that_covers_what_it_can_be(truth):
    known = net_mass(
        tare(88_412_000, truth),
        gross(120_930_000, ARGON),
        metal_density=RUBIDIUM,
        inner_volume_ul=100_000,
    )
    unknown = net_mass(
        tare(88_412_000, None),
        gross(120_930_000, ARGON),
        metal_density=RUBIDIUM,
        inner_volume_ul=100_000,
    )

    error = abs(unknown.mass.nominal_value - known.mass.nominal_value)
    assert error <= sqrt(3) * unknown.mass.std_dev
    assert term(unknown, "gas").value_ug == 0


def test_air_that_changed_lifts_an_unmeasured_vessel_by_its_estimated_volume():
    thin = AirConditions(pressure_pa=98_000)
    thick = AirConditions(pressure_pa=103_000)
    facts = {"metal_density": RUBIDIUM, "inner_volume_ul": 100_000.0}

    guessed = net_mass(
        tare(88_412_000, ARGON, air=thin),
        gross(120_930_000, ARGON, air=thick),
        **facts,
    )
    # 88.412 g of borosilicate glass, 2.23 g/cm³, around 100 mL (general knowledge).
    measured = net_mass(
        tare(88_412_000, ARGON, air=thin),
        gross(120_930_000, ARGON, air=thick),
        outer_volume_ul=100_000 + 88_412 / 2.23,
        **facts,
    )

    assert term(measured, "air").value_ug == pytest.approx(7_500, rel=0.05)
    assert term(guessed, "air").value_ug == pytest.approx(
        term(measured, "air").value_ug, abs=term(guessed, "air").u_ug
    )


def test_air_that_changed_round_a_vessel_of_no_known_volume_is_bounded():
    net = net_mass(
        tare(88_412_000, ARGON, air=AirConditions(pressure_pa=98_000)),
        gross(120_930_000, ARGON, air=AirConditions(pressure_pa=103_000)),
        metal_density=RUBIDIUM,
        inner_volume_ul=None,
    )

    assert term(net, "air").value_ug == 0
    assert term(net, "air").u_ug > 7_500 / sqrt(3)


def test_with_everything_exact_nothing_is_uncertain():
    net = net_mass(
        tare(88_412_000, ARGON),
        gross(120_930_000, ARGON),
        metal_density=RUBIDIUM,
        inner_volume_ul=100_000,
    )

    assert net.mass.std_dev == 0
    assert net.budget == []
