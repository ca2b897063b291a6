"""From a balance's readings to the events that the running estimate takes in.

With k = 1 - ρ_air/8000 and the effective tare
tare = glass + ρ_gas V_in - 1.2 V_out, the balance of forces on a closed vessel is
k R + (ρ_air - 1.2) V_out = tare + m (1 - ρ_gas/ρ_m) + l (1 - ρ_gas/ρ_l): linear.
Another gas inside changes the tare by (ρ_new - ρ_old) V_in, once, so its error
stays with all later readings.

Errors of the air, the outer volume and the balance's linearity are taken as
independent from reading to reading. Between two readings that share them this makes
the uncertainty of a difference too large. Repeated readings of one sitting share them
too, and averaging does not lessen them: give their mean as one reading.
"""

from __future__ import annotations

from math import hypot

from .events import Change, Observe, Start
from .uncertainty import (
    Number,
    UFloat,
    exact,
    nominal,
    rectangular,
    spread,
    uncertain,
)
from .weighing import (
    CONVENTIONAL_DENSITY,
    GAS_DENSITY_MAX,
    GLASS_DENSITY,
    ROOM_PER_GLASS,
    U_GLASS_DENSITY,
)

REFERENCE_AIR = 1.2
"""kg/m³: the conventional density of air (OIML D 28, from memory). Any value would
do, as the effective tare and every reading use the same."""


def outer_volume(inner_volume_ul: Number, tare_ug: float) -> UFloat:
    """Return the outer volume of an unmeasured vessel in µL: its room and its glass."""
    glass = uncertain(GLASS_DENSITY, U_GLASS_DENSITY, "density of the glass")
    return exact(inner_volume_ul + tare_ug / glass)


def observation(
    reading_ug: float,
    u_reading_ug: float,
    air: UFloat,
    outer_volume_ul: Number | None,
    gas_density: Number,
    metal_density: Number | None,
    liquid_density: Number | None,
    *,
    metal_ug: float = 0.0,
    liquid_ug: float = 0.0,
) -> Observe:
    """Return a closed vessel's reading as the estimate takes it in.

    Densities are in kg/m³, volumes in µL, masses in µg. `u_reading_ug` is what
    the balance adds. An outer volume that is not known (None) leaves the change
    of lift out and its bound in the uncertainty, as for a net mass. A density of
    None means nothing of it is inside. `metal_ug` and `liquid_ug` are roughly
    what is inside, for the uncertainty that their densities' adds; that of the
    gas's density is counted with the tare, on the whole inner volume.
    """
    z = _lifted(reading_ug, u_reading_ug, air, outer_volume_ul)
    gas = nominal(gas_density)
    factors, u_lift = [], 0.0
    for mass_ug, density in ((metal_ug, metal_density), (liquid_ug, liquid_density)):
        factor = exact(1.0) if density is None else exact(1 - gas / density)
        factors.append(nominal(factor))
        u_lift = hypot(u_lift, mass_ug * spread(factor))
    return Observe(nominal(z), hypot(spread(z), u_lift), factors[0], factors[1])


def tare_start(
    reading_ug: float,
    u_reading_ug: float,
    air: UFloat,
    outer_volume_ul: Number | None,
    inner_volume_ul: Number | None,
    gas_at_tare: Number | None,
    gas_after: Number | None,
) -> Start:
    """Return the start of a vessel weighed empty and then filled with another gas.

    A vessel that stood open held the room's air: give `air` itself as
    `gas_at_tare`, since its error then nearly cancels (the lift on the outside is
    the weight of gas inside, but for the glass). None is a gas or a volume that
    is not known, bounded as in gas_change.
    """
    tare = _lifted(reading_ug, u_reading_ug, air, outer_volume_ul)
    tare = exact(tare + _gas(gas_at_tare, gas_after, inner_volume_ul, reading_ug))
    return Start(tare_ug=nominal(tare), u_tare_ug=spread(tare))


def gas_change(
    old_gas: Number | None,
    new_gas: Number | None,
    inner_volume_ul: Number | None,
    *,
    tare_ug: float | None = None,
) -> Change:
    """Return what another gas inside does to the effective tare: (ρ1 - ρ0) V_in.

    Gas densities in kg/m³, volume in µL. A gas or volume that is not known (None)
    leaves the change out and puts the most it could be into the uncertainty, as
    for a net mass. Raises ValueError if the volume is not known and there is no
    `tare_ug` to bound it by.
    """
    change = _gas(old_gas, new_gas, inner_volume_ul, tare_ug)
    return Change(tare_ug=nominal(change), u_tare_ug=spread(change))


def _lifted(
    reading_ug: float, u_reading_ug: float, air: UFloat, outer_ul: Number | None
) -> UFloat:
    """Return k R + (ρ_air - 1.2) V_out in µg."""
    weighed = uncertain(reading_ug, u_reading_ug, "reading")
    if outer_ul is not None:
        lift = (air - REFERENCE_AIR) * outer_ul
        return exact(weighed * (1 - air / CONVENTIONAL_DENSITY) + lift)
    most_ul = ROOM_PER_GLASS * reading_ug / 1000 + reading_ug / GLASS_DENSITY
    most = hypot(nominal(air) - REFERENCE_AIR, spread(air)) * most_ul
    k = 1 - nominal(air) / CONVENTIONAL_DENSITY
    return exact(weighed * k + rectangular(most, "lift, outer volume not known"))


def _gas(
    old: Number | None,
    new: Number | None,
    inner_ul: Number | None,
    tare_ug: float | None,
) -> UFloat:
    """Return (ρ1 - ρ0) V_in in µg, or zero within its bound."""
    if old is not None and new is not None:
        change = exact(new - old)
        if inner_ul is not None:
            return exact(change * inner_ul)
        most = abs(nominal(change)) + 2 * spread(change)
    else:
        known = [nominal(gas) for gas in (old, new) if gas is not None]
        most = max(known[0], GAS_DENSITY_MAX - known[0]) if known else GAS_DENSITY_MAX
    if inner_ul is not None:
        return rectangular(most * nominal(inner_ul), "gas not known")
    if tare_ug is None:
        raise ValueError("without an inner volume the tare is needed to bound it")
    return rectangular(most * ROOM_PER_GLASS * tare_ug / 1000, "inner volume not known")
