"""The net mass of a filling, against a calculation of our own."""

from math import exp, sqrt

import pytest

from inventory.models import Vessel
from tests.domain.filled import tared
from tests.factories import ML, ROOM, G, fill, make_balance, observe

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

# At 20 °C and 1013.25 hPa, pM/RT with M from the IUPAC table of 2021.
ARGON = 101_325 * 39.95e-3 / (8.314462618 * 293.15)
# The densities of the shipped catalogue: CRC Handbook (rubidium, potassium), and a
# typical light mineral oil.
RUBIDIUM, POTASSIUM, LIGHT_OIL = 1532.0, 862.0, 840.0


def air(t_c=20.0, p_hpa=1013.25, rh=50.0):
    """Return the density of air by the short formula of OIML R 111-1:2004, E.3.

    Within 2e-4 of CIPM-2007: 5 µg for 20 mL.
    """
    return (0.34848 * p_hpa - 0.009 * rh * exp(0.061 * t_c)) / (273.15 + t_c)


def test_under_one_gas_the_net_mass_is_the_difference_with_both_lifts():
    vessel = tared(observe(20 * G, gas="argon", **ROOM))

    movement = fill(vessel, gross=observe(25 * G, gas="argon", **ROOM))

    # Balance of forces: m (1 - ρ_Ar/ρ_Rb) = (1 - ρ_air/8000) (G - T).
    by_hand = 5e6 * (1 - air() / 8000) / (1 - ARGON / RUBIDIUM)
    assert by_hand == pytest.approx(5_004_677, abs=5)
    assert movement.mass_ug == pytest.approx(by_hand, abs=2)


def test_air_that_was_pumped_out_is_added_back():
    vessel = tared(observe(20 * G, gas="air", **ROOM))

    movement = fill(
        vessel, kept_in="vacuum", gross=observe(25 * G, gas="vacuum", **ROOM)
    )

    # Balance of forces, ρ_gas1 = 0: m = (1 - ρ_air/8000) (G - T) + ρ_air V_in.
    by_hand = 5e6 * (1 - air() / 8000) + air() * 20_000
    assert by_hand - 5e6 == pytest.approx(23_236, abs=5)
    assert movement.mass_ug == pytest.approx(by_hand, abs=8)


def test_argon_in_place_of_air_is_taken_off():
    vessel = tared(observe(20 * G, gas="air", **ROOM))

    movement = fill(vessel, gross=observe(25 * G, gas="argon", **ROOM))

    # Balance of forces in full: the vessel weighs more because argon is denser than air.
    right = 5e6 * (1 - air() / 8000) + (air() - ARGON) * 20_000
    by_hand = right / (1 - ARGON / RUBIDIUM)
    assert by_hand == pytest.approx(4_995_439, abs=10)
    assert movement.mass_ug == pytest.approx(by_hand, abs=8)


def test_liquid_poured_in_is_taken_off_with_its_own_lift():
    vessel = tared(observe(20 * G, gas="argon", **ROOM), symbol="K")
    gross = observe(35 * G, gas="argon", liquid_ug=10 * G, u_liquid_ug=1_000, **ROOM)

    movement = fill(vessel, kept_in="mineral_oil_light", gas="argon", gross=gross)

    # Balance of forces with m_liquid = 10 g.
    right = 15e6 * (1 - air() / 8000) - 10e6 * (1 - ARGON / LIGHT_OIL)
    by_hand = right / (1 - ARGON / POTASSIUM)
    assert by_hand == pytest.approx(5_027_206, abs=10)
    assert movement.mass_ug == pytest.approx(by_hand, abs=5)


def test_oil_that_was_in_at_tare_cancels():
    oiled = {"gas": "argon", "liquid_ug": 10 * G, **ROOM}
    vessel = tared(observe(30 * G, **oiled), symbol="K")

    movement = fill(
        vessel,
        kept_in="mineral_oil_light",
        gas="argon",
        gross=observe(35 * G, **oiled),
    )

    by_hand = 5e6 * (1 - air() / 8000) / (1 - ARGON / POTASSIUM)
    assert movement.mass_ug == pytest.approx(by_hand, abs=2)


def test_air_that_changed_between_the_readings_lifts_the_vessel_differently():
    vessel = tared(observe(20 * G, gas="vacuum", **ROOM))
    Vessel.objects.filter(pk=vessel.pk).update(outer_volume_ul=29 * ML)
    low = {**ROOM, "air_pressure_pa": 98_000.0}

    movement = fill(
        vessel, kept_in="vacuum", gross=observe(25 * G, gas="vacuum", **low)
    )

    # Balance of forces with (ρ_air1 - ρ_air0) V_out; the weights that balance the tare
    # are lifted less too: - (ρ_air1 - ρ_air0) T/8000.
    change = air(p_hpa=980) - air()
    by_hand = 5e6 * (1 - air(p_hpa=980) / 8000) + change * (29_000 - 20e6 / 8000)
    assert by_hand - 5e6 == pytest.approx(-1_770, abs=5)
    assert movement.mass_ug == pytest.approx(by_hand, abs=5)


def test_the_uncertainty_adds_the_readings_and_the_gas_in_quadrature():
    balance = make_balance(
        readability_ug=100, repeatability_ug=200, nonlinearity_ug=300
    )
    both = {"gas": "argon", "balance": balance, **ROOM}
    vessel = tared(observe(20 * G, **both))

    movement = fill(vessel, gross=observe(25 * G, **both))

    # JCGM 100: d/√12 (F.2.2.1), s, a/√3 (4.3.7) at each reading. The argon's lift
    # on the metal, 5.4 mg, is known to 3 % (our own tolerance).
    reading = 100**2 / 12 + 200**2 + 300**2 / 3
    lift = 0.03 * 5e6 * ARGON / RUBIDIUM
    assert movement.u_ug == pytest.approx(sqrt(2 * reading + lift**2), rel=0.02)
