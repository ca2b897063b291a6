"""How dense the air in the room is, and the gas inside a vessel."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import exp

from .uncertainty import UFloat, exact, uncertain

GAS_CONSTANT = 8.314472
"""J/(mol K) as published with CIPM-2007; the SI value of 2019 is 1.1e-6 larger."""

WATER_MOLAR_MASS = 18.01528e-3


def air_density_cipm(
    temperature_c: float, pressure_pa: float, humidity: float, x_co2: float = 0.0004
) -> float:
    """Return the density of moist air in kg/m³ by CIPM-2007, the full formula.

    `humidity` is a fraction from 0 to 1. Good to 2.2e-5 (formula alone) from
    600 hPa to 1100 hPa and 15 °C to 27 °C; close enough in any laboratory.
    Source: Picard, Davis, Gläser & Fujii, Metrologia 45 (2008) 149-155.
    """
    t = temperature_c
    kelvin = t + 273.15
    p = pressure_pa
    vapour_pa = exp(
        1.2378847e-5 * kelvin**2
        - 1.9121316e-2 * kelvin
        + 33.93711047
        - 6343.1645 / kelvin
    )
    enhancement = 1.00062 + 3.14e-8 * p + 5.6e-7 * t**2
    x = humidity * enhancement * vapour_pa / p
    z = (
        1
        - p
        / kelvin
        * (
            1.58123e-6
            - 2.9331e-8 * t
            + 1.1043e-10 * t**2
            + (5.707e-6 - 2.051e-8 * t) * x
            + (1.9898e-4 - 2.376e-6 * t) * x**2
        )
        + (p / kelvin) ** 2 * (1.83e-11 - 0.765e-8 * x**2)
    )
    dry_molar_mass = (28.96546 + 12.011 * (x_co2 - 0.0004)) * 1e-3
    ideal = p * dry_molar_mass / (z * GAS_CONSTANT * kelvin)
    return ideal * (1 - x * (1 - WATER_MOLAR_MASS / dry_molar_mass))


def gas_density(
    molar_mass_g_mol: float, temperature_c: float, pressure_pa: float
) -> float:
    """Return the density of an ideal gas in kg/m³.

    Within 0.1 % for argon, nitrogen, helium and dry air near room conditions.
    """
    kelvin = temperature_c + 273.15
    return pressure_pa * molar_mass_g_mol * 1e-3 / (GAS_CONSTANT * kelvin)


@dataclass(frozen=True)
class AirConditions:
    """The room's air at one moment, each figure with its standard uncertainty.

    Left as they are, the figures mean "an ordinary room near sea level, not
    recorded", which leaves the air's density uncertain by 1.8 %.
    """

    temperature_c: float = 20.0
    u_temperature_c: float = 3.0
    pressure_pa: float = 101_325.0
    u_pressure_pa: float = 1_500.0
    humidity: float = 0.5
    u_humidity: float = 0.2

    def density(self) -> UFloat:
        """Return the air's density in kg/m³, the same variable at every call.

        So two readings taken in the same conditions share their error.
        """
        return self._density

    @cached_property
    def _density(self) -> UFloat:
        t, p, h = self.temperature_c, self.pressure_pa, self.humidity
        best = air_density_cipm(t, p, h)
        per_kelvin = air_density_cipm(t + 0.5, p, h) - air_density_cipm(t - 0.5, p, h)
        per_hpa = air_density_cipm(t, p + 50, h) - air_density_cipm(t, p - 50, h)
        per_humidity = air_density_cipm(t, p, 1.0) - air_density_cipm(t, p, 0.0)
        density = (
            exact(best)
            + uncertain(0.0, abs(per_kelvin) * self.u_temperature_c, "air temperature")
            + uncertain(0.0, per_hpa * self.u_pressure_pa / 100, "air pressure")
            + uncertain(0.0, abs(per_humidity) * self.u_humidity, "air humidity")
        )
        return exact(density)
