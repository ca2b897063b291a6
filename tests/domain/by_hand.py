"""A vessel's readings worked by hand: no line of the application is used here.

At 20 °C, 1013.25 hPa and 50 %, for a vessel of 20 mL and 20 g with argon inside, on
a balance of 0.1 mg and s = 0.2 mg: what the factories make. Masses in µg, volumes in
µL, densities in kg/m³.
"""

from math import exp, hypot, sqrt


def air(t_c=20.0, p_hpa=1013.25, rh=50.0):
    """Return the density of air by the short formula of OIML R 111-1:2004, E.3.

    Within 2e-4 of CIPM-2007: 5 µg for 20 mL.
    """
    return (0.34848 * p_hpa - 0.009 * rh * exp(0.061 * t_c)) / (273.15 + t_c)


def gas(molar_mass):
    """Return pM/RT in kg/m³ (IUPAC atomic weights of 2021; R of the SI)."""
    return 101_325 * molar_mass * 1e-3 / (8.314462618 * 293.15)


AIR, ARGON = air(), gas(39.95)
# CRC Handbook: rubidium, potassium, barium; Foust 1972, eq. 1.9: NaK with 77.8 % of
# potassium at 22 °C; a typical light mineral oil.
RB, K, NAK, OIL = 1532.0, 862.0, 865.5, 840.0
WEIGHT = 1 - AIR / 8000  # Balances show mass as against 8000 kg/m³ (OIML D 28).
ROOM_UL, GLASS_UG = 20_000, 20e6


def lift(density, around=ARGON):
    """Return the part of a mass that its gas does not carry."""
    return 1 - around / density


def metal(gain_ug, density):
    """Return the metal that makes a vessel under argon read so much more."""
    return gain_ug * WEIGHT / lift(density)


def u_air():
    """Return u of the air's density, noted to 0.5 °C, 1 hPa and 5 % (k = 1)."""
    return hypot(
        (air(t_c=20.5) - air(t_c=19.5)) * 0.5,
        air(p_hpa=1014.25) - air(),
        (air(rh=55.0) - air(rh=50.0)),
    )


def u_reading():
    """Return u of one reading: d/√12 and s (JCGM 100, F.2.2.1), and the air's lift.

    The glass displaces what its room and its own substance do, at 2.35 g/mL; the
    weights that balance it, an eighth of its mass.
    """
    displaced_ul = ROOM_UL + GLASS_UG / 2350 - GLASS_UG / 8000
    return hypot(100 / sqrt(12), 200, displaced_ul * u_air())


def u_filled(metal_ug, density):
    """Return u of a metal weighed in: two readings, and 3 % of the argon it displaces."""
    return hypot(u_reading(), u_reading(), 0.03 * ARGON * metal_ug / density)
