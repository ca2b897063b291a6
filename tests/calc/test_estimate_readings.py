"""From readings to events: the estimate against forces, net mass and Monte Carlo."""

from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.calc.air import AirConditions
from inventory.calc.balance import BalanceFacts
from inventory.calc.estimate import replay
from inventory.calc.events import Change, Unknown
from inventory.calc.observation import (
    gas_change,
    observation,
    outer_volume,
    tare_start,
)
from inventory.calc.uncertainty import exact, nominal, spread, uncertain
from inventory.calc.weighing import Reading, net_mass
from tests.calc.weighings import ARGON, RUBIDIUM

ANY_METAL = Unknown(metal_high_ug=150e6)
OIL = 840.0
AIR0 = AirConditions(21, 0.5, 100_200, 100, 0.45, 0.05)
AIR1 = AirConditions(23, 0.5, 101_600, 100, 0.40, 0.05)
BENCH = BalanceFacts("bench", 1000, 1500, nonlinearity_ug=2000)


def reading_by_forces(metal_ug, liquid_ug, *, glass_ug, inner_ul, outer_ul, gas, air):
    """Return the conventional reading straight from Archimedes (OIML D 28, memory)."""
    gas_ul = inner_ul - metal_ug / RUBIDIUM - liquid_ug / OIL
    inside_ug = metal_ug + liquid_ug + gas * gas_ul
    return (glass_ug + inside_ug - air * outer_ul) / (1 - air / 8000)


@given(
    metal_ug=st.floats(1e6, 60e6),
    share=st.floats(0.1, 1.0),
    liquid_ug=st.floats(0, 20e6),
    gases=st.tuples(*[st.sampled_from([0.0, 1.2, ARGON])] * 3),
    airs=st.tuples(*[st.floats(1.0, 1.3)] * 3),
)
def test_the_estimate_undoes_the_balance_of_forces_through_gas_and_weather(
    metal_ug, share, liquid_ug, gases, airs
):
    glass = {"glass_ug": 88e6, "inner_ul": 100_000.0, "outer_ul": 138_000.0}
    after_ug = share * metal_ug
    contents = [(0.0, 0.0), (metal_ug, liquid_ug), (after_ug, liquid_ug)]
    tare, gross, rest = (
        reading_by_forces(*inside, **glass, gas=gas, air=air)
        for inside, gas, air in zip(contents, gases, airs, strict=True)
    )

    def observed(reading, turn):
        air, outer = exact(airs[turn]), glass["outer_ul"]
        return observation(reading, 100.0, air, outer, gases[turn], RUBIDIUM, OIL)

    inner = glass["inner_ul"]
    air, outer = exact(airs[0]), glass["outer_ul"]
    events = [
        ANY_METAL,
        Change(liquid_ug=liquid_ug),
        observed(gross, 1),
        Unknown(metal_low_ug=-metal_ug),
        gas_change(gases[1], gases[2], inner),
        observed(rest, 2),
    ]
    steps = replay(events, tare_start(tare, 0, air, outer, inner, *gases[:2]))

    assert steps[2].state.metal_ug == pytest.approx(metal_ug, abs=1e-3)
    assert steps[-1].state.metal_ug == pytest.approx(after_ug, abs=1e-3)


def simple_fill(*, u_oil=0.0, u_argon=0.0, u_inner=2_000.0):
    """Return a fill as the estimate has it and as a net mass, from the same inputs."""
    argon = uncertain(ARGON, u_argon, "argon")
    metal_density = uncertain(RUBIDIUM, 15, "density of Rb")
    oil_density = uncertain(OIL, 19, "density of oil")
    inner = uncertain(100_000, u_inner, "inner volume")
    outer = uncertain(140_000, 4_000, "outer volume")
    tare = Reading("tare", 88_412_000, BENCH, AIR0, None, closed=False)
    gross = Reading("gross", 120_930_000, BENCH, AIR1, argon)
    net = net_mass(
        tare,
        gross,
        metal_density=metal_density,
        inner_volume_ul=inner,
        outer_volume_ul=outer,
        liquid_ug=uncertain(5e6, u_oil, "oil"),
        liquid_density=oil_density,
    ).mass
    u_tare, u_gross = spread(tare.value), spread(gross.value)
    air0, air1 = AIR0.density(), AIR1.density()
    start = tare_start(88_412_000, u_tare, air0, outer, inner, air0, argon)
    seen = observation(
        120_930_000,
        u_gross,
        air1,
        outer,
        argon,
        metal_density,
        oil_density,
        metal_ug=nominal(net),
        liquid_ug=5e6,
    )
    oil = Change(liquid_ug=5e6, u_liquid_ug=u_oil)
    return replay([oil, ANY_METAL, seen], start)[-1].state, net


@pytest.mark.parametrize("u_oil", [0.0, 2e3, 2e4])
def test_a_simple_fill_has_the_net_mass_and_its_uncertainty(u_oil):
    state, net = simple_fill(u_oil=u_oil)

    assert state.metal_ug == pytest.approx(net.nominal_value, abs=1)
    assert state.u_metal_ug == pytest.approx(net.std_dev, rel=0.02)


def test_an_unsure_gas_makes_the_estimate_a_little_less_sure_than_the_net_mass():
    # It counts the gas's error on the whole inner volume, also where metal is.
    state, net = simple_fill(u_argon=0.01)

    assert state.metal_ug == pytest.approx(net.nominal_value, abs=1)
    assert net.std_dev <= state.u_metal_ug <= 1.05 * net.std_dev


def test_an_open_vessels_tare_is_hardly_hurt_by_air_that_was_not_recorded():
    # The air inside weighs what the room's lift takes off, but for the glass.
    room = AirConditions().density()
    inner = uncertain(100_000, 100, "inner volume")
    outer = outer_volume(inner, 88e6)

    together = tare_start(88e6, 0, room, outer, inner, room, ARGON)
    apart = tare_start(88e6, 0, room, outer, inner, exact(nominal(room)), ARGON)

    assert together.tare_ug == pytest.approx(apart.tare_ug)
    assert together.u_tare_ug < 0.4 * apart.u_tare_ug


def test_the_uncertainty_of_a_fill_and_a_drawing_agrees_with_monte_carlo():
    # JCGM 101:2008: every input drawn from its distribution, readings made by the
    # balance of forces, each history estimated; seeded. The spread of a sample of
    # n is itself unsure by 1/√(2n) = 0.5 % (normal), so 2 % is 4 of those.
    n = 20_000
    draw = np.random.default_rng(20260207)
    air = 1.19 + draw.normal(0, 0.002, (3, n))
    noise = draw.uniform(-500, 500, (3, n)) + draw.normal(0, 1500, (3, n))
    inner = 100_000 + draw.normal(0, 1_000, n)
    drawn = 3.06e6 + draw.normal(0, 6e3, n)
    oil_out = 0.05e6 + draw.uniform(-1e4, 1e4, n)
    metal, oil = 32.5e6, 5e6
    u = sqrt(500**2 / 3 + 1500**2)
    room = uncertain(1.19, 0.002, "air")
    glass = {"glass_ug": 88e6, "outer_ul": 138_000.0}
    readings = [
        reading_by_forces(m, li, **glass, inner_ul=inner, gas=gas, air=a) + e
        for (m, li, gas), a, e in zip(
            [
                (0.0, 0.0, 0.0),
                (metal, oil, ARGON),
                (metal - drawn, oil - oil_out, ARGON),
            ],
            air,
            noise,
            strict=True,
        )
    ]

    def estimated(tare, gross, rest):
        volume = uncertain(100_000, 1_000, "inner volume")
        start = tare_start(tare, u, room, 138_000.0, volume, 0.0, ARGON)
        first, second = (
            observation(r, u, room, 138_000.0, ARGON, RUBIDIUM, OIL)
            for r in (gross, rest)
        )
        taken = Change(-3.06e6, 6e3, -0.05e6, 1e4 / sqrt(3))
        oiled = Change(liquid_ug=oil)
        return replay([oiled, ANY_METAL, first, taken, second], start)[-1].state

    states = [estimated(*three) for three in zip(*readings, strict=True)]
    error = np.array([state.metal_ug for state in states]) - (metal - drawn)
    oil_error = np.array([state.liquid_ug for state in states]) - (oil - oil_out)

    assert states[0].u_metal_ug == pytest.approx(error.std(), rel=0.02)
    assert states[0].u_liquid_ug == pytest.approx(oil_error.std(), rel=0.02)
    assert abs(error.mean()) < 4 * error.std() / sqrt(n)


def test_another_gas_changes_the_tare_by_what_it_weighs_more():
    # Argon for air in 100 mL: about 46 mg (common practice, no source).
    change = gas_change(1.1993, ARGON, uncertain(100_000, 1_000, "inner"))

    assert change.tare_ug == pytest.approx(46e3, rel=0.01)
    assert change.u_tare_ug == pytest.approx(460, rel=0.01)
    assert change.metal_ug == change.liquid_ug == 0


def test_a_gas_back_and_forth_leaves_the_tare_where_it_was():
    there = gas_change(1.2, ARGON, 100_000)
    back = gas_change(ARGON, 1.2, 100_000)

    assert there.tare_ug + back.tare_ug == 0


@pytest.mark.parametrize("truth", [0.0, 1.2, ARGON])
def test_a_gas_that_is_not_known_is_bounded_by_vacuum_and_argon(truth):
    change = gas_change(ARGON, None, 100_000)

    assert change.tare_ug == 0
    assert abs(truth - ARGON) * 100_000 <= sqrt(3) * change.u_tare_ug


def test_a_gas_in_a_vessel_of_no_known_volume_is_bounded_by_its_glass():
    change = gas_change(0.0, ARGON, None, tare_ug=88e6)

    assert change.tare_ug == 0
    # At 3.5 mL a gram, 88 g of glass hold 308 mL, 512 mg of argon.
    assert change.u_tare_ug == pytest.approx(512e3 / sqrt(3), rel=2e-3)
    with pytest.raises(ValueError, match="tare is needed"):
        gas_change(0.0, ARGON, None)


def test_a_vessel_of_no_known_outside_is_bounded_by_its_glass():
    thin = exact(1.0)

    known = observation(88e6, 100.0, thin, 138_000.0, 0.0, None, None)
    unknown = observation(88e6, 100.0, thin, None, 0.0, None, None)

    assert (unknown.metal_factor, unknown.liquid_factor) == (1, 1)
    assert abs(unknown.z_ug - known.z_ug) <= sqrt(3) * unknown.u_z_ug
    assert unknown.u_z_ug > 100 * known.u_z_ug


def test_the_densities_errors_count_by_how_much_is_inside():
    facts = 120e6, 0.0, exact(1.2), 138_000.0, ARGON
    density = uncertain(RUBIDIUM, 15, "density of Rb")

    seen = observation(*facts, density, OIL, metal_ug=32e6)

    # d(ρ_gas/ρ)/dρ · u(ρ) · m = 1.66/1532² · 15 · 32 g: a third of a milligram.
    assert seen.u_z_ug == pytest.approx(ARGON / RUBIDIUM**2 * 15 * 32e6, rel=1e-6)
    assert seen.metal_factor == pytest.approx(1 - ARGON / RUBIDIUM)


def test_a_tare_in_the_reference_air_is_the_plain_reading_less_the_weights_lift():
    start = tare_start(88e6, 100.0, exact(1.2), 138_000.0, 100_000.0, ARGON, ARGON)

    assert start.tare_ug == pytest.approx(88e6 * (1 - 1.2 / 8000))
    assert start.u_tare_ug == pytest.approx(100 * (1 - 1.2 / 8000))
