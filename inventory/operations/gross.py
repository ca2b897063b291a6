"""What the gross reading of a filling says, with the tare before it."""

from dataclasses import replace
from math import hypot

from inventory.calc import events, weighing
from inventory.calc.uncertainty import nominal, spread
from inventory.calc.units import show_mass

from . import log, observing, readings
from .errors import OperationError

# g/mL, well above barium, the densest metal here: bounds what may be inside.
HEAVIEST = 10


def weighed_in(filling, tare, glass, about_ug):
    """Return the happenings of a filling that was weighed: the gross decides."""
    gross = filling.gross
    most_ug = glass.vessel.capacity_ul * 1000 * HEAVIEST
    unknown = events.Unknown(metal_high_ug=float(most_ug))
    happenings = [
        observing.start(tare, filling.gas, glass, gross),
        observing.Happening(unknown, "Metal put in, to be found by weighing"),
    ]
    added_ug = gross.liquid_ug - tare.liquid_ug
    if added_ug or gross.u_liquid_ug:
        words = f"{show_mass(added_ug)} of {filling.medium.name} put in"
        happenings.append(observing.liquid_change(added_ug, gross.u_liquid_ug, words))
    weighed = observing.observe(
        gross,
        glass,
        metal_ug=about_ug,
        liquid_ug=gross.liquid_ug,
        words="Weighed with the metal in",
        reading="gross",
    )
    happenings.append(with_lift(weighed, gross, glass, about_ug))
    return happenings


def with_lift(weighed, gross, glass, about_ug):
    """Return the gross with what the gas's density adds to the metal's lift.

    Once: at later readings the same gas lifts the same metal, and it cancels.
    """
    around = readings.conditions(gross)
    gas = observing.gas_density(gross.gas, around, glass.facts)
    displaced_ul = about_ug / nominal(glass.metal_density(around))
    u_ug = hypot(weighed.event.u_z_ug, spread(gas) * displaced_ul)
    return replace(weighed, event=replace(weighed.event, u_z_ug=u_ug))


def stated_in(filling, tare, glass):
    """Return the happening of a mass that is known otherwise."""
    begun = observing.start(
        tare,
        filling.gas,
        glass,
        metal_ug=float(filling.stated_ug),
        u_metal_ug=float(filling.u_stated_ug),
        u_liquid_ug=float(filling.u_liquid_ug),
    )
    inside_ug = begun.event.liquid_ug + filling.liquid_ug
    event = replace(begun.event, liquid_ug=inside_ug)
    return observing.Happening(event, "Metal put in, its mass as stated")


def by_weight(vessel, filling, tare, facts):
    """Return the net mass from the newest tare and the gross."""
    if tare is None:
        raise OperationError(
            f"{vessel} was never tared, so its weight says nothing about the metal. "
            "State the mass instead.",
            "gross",
        )
    log.refuse_future(filling.gross.read_at, "read_at")
    if filling.gross.read_at < tare.read_at:
        raise OperationError(
            f"The tare was read on {tare.read_at:%-d %b %Y at %H:%M} UTC, after this.",
            "read_at",
        )
    try:
        net = readings.net(
            tare,
            filling.gross,
            vessel=vessel,
            material=filling.batch.material,
            medium=filling.medium,
            facts=facts,
        )
    except weighing.GrossLighterThanTare as error:
        raise OperationError(str(error), "gross") from error
    return net
