"""The ways of taking metal out, and what each does to the estimate of a vessel."""

from dataclasses import dataclass, field

from inventory.calc import density, events, weighing
from inventory.calc.uncertainty import nominal, spread, uncertain
from inventory.calc.units import show_mass
from inventory.models import Method

from . import custody, estimating, log, observing, readings, vessels
from .errors import NotEnough, OperationError
from .readings import Facts


@dataclass(frozen=True, slots=True)
class Liquid:
    """Liquid medium that went in (+) or out (-) with the metal, in µg, k = 1.

    `is_unknown`: some did, and nobody knows how much.
    """

    change_ug: int = 0
    u_ug: int = 0
    is_unknown: bool = False


NO_LIQUID = Liquid()


@dataclass(frozen=True, slots=True)
class Weighed:
    """Metal taken, found from the closed vessel's weight before and after."""

    before: vessels.Observation
    after: vessels.Observation
    liquid: Liquid = NO_LIQUID
    gas_is_unknown: bool = False


@dataclass(frozen=True, slots=True)
class Drawn:
    """Metal taken as a volume at a temperature. `u_volume_ul` is k = 1."""

    volume_ul: int
    u_volume_ul: int
    temperature_c: float
    liquid: Liquid = NO_LIQUID


@dataclass(frozen=True, slots=True)
class Received:
    """Metal taken, found as the net mass in the receiver, in µg, k = 1."""

    mass_ug: int
    u_ug: int
    liquid: Liquid = NO_LIQUID
    empty: vessels.Observation | None = None
    full: vessels.Observation | None = None


@dataclass(frozen=True, slots=True)
class Pieces:
    """Metal taken as counted pieces of one mean mass, in µg.

    `u_piece_ug` is the standard deviation from piece to piece.
    """

    count: int
    piece_ug: int
    u_piece_ug: int
    liquid: Liquid = NO_LIQUID


@dataclass(frozen=True, slots=True)
class Whole:
    """All that the vessel holds, as for an ampoule broken into a reaction."""


@dataclass(frozen=True, slots=True)
class Taken:
    """How much metal goes, in µg, how that was found, and what happened for it.

    `surplus_ug` is what the reading before taking made of the vessel over the
    ledger: posted as a difference first. `outcome` is a reading that disagrees.
    """

    mass_ug: int
    u_ug: int
    method: str
    happenings: list = field(default_factory=list)
    surplus_ug: int = 0
    net: object = None
    outcome: object = None


def work_out(vessel, how, happened_at):
    """Return what `how` takes out of `vessel`, or refuse. Records nothing.

    `vessel` comes from `for_list`.
    """
    if vessel.retired_on:
        raise OperationError(f"{vessel} is retired.")
    custody.refuse_elsewhere(vessel)
    if not vessel.filled_on:
        raise OperationError(f"{vessel} has not been filled yet.")
    if vessel.remaining_ug == 0:
        raise NotEnough(f"{vessel} is empty.", wanted_ug=0, available_ug=0)
    estimating.refuse_before_filling(vessel, happened_at)
    if isinstance(how, Weighed):
        return by_weight(vessel, how, happened_at)
    return {
        Drawn: by_volume,
        Received: by_receiver,
        Pieces: by_pieces,
        Whole: all_of_it,
    }[type(how)](vessel, how)


def receive(vessel, empty, full, liquid=NO_LIQUID):
    """Return the Received of a receiver weighed empty and with the metal.

    The gas in it is the vessel's at both readings; its volume is not known, which
    the uncertainty bears.
    """
    if full.reading_ug <= empty.reading_ug:
        raise OperationError(
            f"The receiver reads {show_mass(full.reading_ug)} with the metal and "
            f"{show_mass(empty.reading_ug)} without. Are the two swapped?",
            "receiver_full",
        )
    facts = Facts.read()
    light_air, heavy_air = readings.air_around(empty, full)
    light_gas, heavy_gas = readings.gas_inside(empty, full, light_air, heavy_air, facts)
    net = weighing.net_mass(
        readings.reading(empty, "receiver before", light_air, light_gas),
        readings.reading(full, "receiver with the metal", heavy_air, heavy_gas),
        metal_density=density.density_at(
            facts.material(vessel.batch.material), heavy_air.temperature_c
        ),
        inner_volume_ul=None,
    )
    return Received(
        round(net.mass.n), round(net.mass.s), liquid, empty=empty, full=full
    )


def by_receiver(vessel, how):
    """Return the net mass found in the receiver."""
    return changed(vessel, Method.RECEIVER, how.mass_ug, how.u_ug, how.liquid)


def by_pieces(vessel, how):
    """Return the mass of counted pieces; n picked at random vary by √n of one."""
    u_ug = how.u_piece_ug * how.count**0.5
    return changed(vessel, Method.PIECES, how.piece_ug * how.count, u_ug, how.liquid)


def all_of_it(vessel, how):
    """Return all that is left, which leaves exactly nothing."""
    emptied = observing.Happening(events.Emptied(), "All of the metal taken")
    u_ug = round(vessel.u2_ug2**0.5)
    return Taken(vessel.remaining_ug, u_ug, Method.WHOLE, [emptied])


def changed(vessel, method, mass_ug, u_ug, liquid):
    """Return a taking of an amount that is known without the vessel's weight.

    The estimate takes in the same whole µg as the ledger: no rounding to post.
    """
    mass_ug = round(mass_ug)
    change = events.Change(metal_ug=-float(mass_ug), u_metal_ug=float(u_ug))
    words = f"{show_mass(mass_ug)} of metal taken, {Method(method).label}"
    return Taken(
        mass_ug,
        round(u_ug),
        method,
        [observing.Happening(change, words), *with_liquid(vessel, liquid)],
    )


def with_liquid(vessel, liquid):
    """Return the happenings of liquid medium that went with the metal."""
    if liquid.is_unknown:
        most_ug = max(float(vessel.liquid_ug), 1.0)
        event = events.Unknown(liquid_low_ug=-most_ug, liquid_high_ug=most_ug / 10)
        return [observing.Happening(event, "Liquid medium in or out, amount unknown")]
    if liquid.change_ug or liquid.u_ug:
        words = f"{show_mass(abs(liquid.change_ug))} of liquid medium went with it"
        return [observing.liquid_change(liquid.change_ug, liquid.u_ug, words)]
    return []


def by_volume(vessel, how):
    """Return the mass of a drawn volume, from the density at its temperature."""
    material = Facts.read().material(vessel.batch.material)
    name = vessel.batch.material.name
    if density.state_at(material, how.temperature_c) == "solid":
        raise OperationError(
            f"{name[:1].upper()}{name[1:]} is solid below "
            f"{material.melting_point_c:g} °C: a volume cannot be drawn.",
            "temperature",
        )
    try:
        metal = density.density_at(material, how.temperature_c)
    except density.TooHot as error:
        raise OperationError(str(error), "temperature") from error
    volume = uncertain(how.volume_ul, how.u_volume_ul, "volume drawn")
    mass = metal * volume
    return changed(vessel, Method.VOLUME, nominal(mass), spread(mass), how.liquid)


def by_weight(vessel, how, happened_at):
    """Return the mass taken between two weighings of the closed vessel.

    The metal and whatever liquid is unknown are let go between the two readings;
    the second decides. The first is held against the record.
    """
    for seen in (how.before, how.after):
        log.refuse_future(seen.read_at, "read_at")
    if how.after.reading_ug >= how.before.reading_ug:
        raise OperationError(
            f"After taking, the vessel reads {show_mass(how.after.reading_ug)}; "
            f"before, {show_mass(how.before.reading_ug)}. Are the two swapped?",
            "after",
        )
    facts = Facts.read()
    glass = observing.glass_of(vessel, facts)
    lost_ug = how.before.reading_ug - how.after.reading_ug
    left_ug = max(vessel.remaining_ug - lost_ug, 0)
    happenings = [
        observing.observe(
            how.before,
            glass,
            metal_ug=vessel.remaining_ug,
            liquid_ug=vessel.liquid_ug,
            words="Weighed before taking",
            reading="before",
        ),
        *let_go(vessel, how, glass),
        observing.observe(
            how.after,
            glass,
            metal_ug=left_ug,
            liquid_ug=vessel.liquid_ug,
            words="Weighed after taking",
            reading="after",
        ),
    ]
    trial = estimating.attempt(vessel, happenings, happened_at)
    first_ug = trial.steps[0].state.metal_ug
    mass_ug = round(first_ug) - none_or_more(trial.after)
    if mass_ug <= 0:
        raise OperationError(
            "With the gas and the liquid medium taken into account, no metal came out.",
            "after",
        )
    net = readings.net(
        how.after,
        how.before,
        vessel=vessel,
        material=vessel.batch.material,
        medium=vessel.medium,
        facts=facts,
        staying_ug=left_ug,
    )
    u_ug = trial.after.u_metal_ug if how.liquid.is_unknown else net.mass.s
    return Taken(
        mass_ug,
        round(u_ug),
        Method.WEIGHED,
        happenings,
        surplus_ug=round(first_ug) - vessel.remaining_ug if trial.is_last else 0,
        net=net,
        outcome=trial.disagreement(),
    )


def none_or_more(state):
    """Return the metal of a state in whole µg: a little less than nothing is nothing.

    Much less stays so, for more than was inside cannot have been taken.
    """
    left_ug = round(state.metal_ug)
    return 0 if -2 * state.u_metal_ug <= left_ug < 0 else left_ug


def let_go(vessel, how, glass):
    """Return what happened between the readings: metal, liquid, another gas."""
    gone = observing.Happening(
        events.Unknown(metal_low_ug=-2.0 * vessel.remaining_ug),
        "Metal taken, to be found by weighing",
    )
    happenings = [gone, *with_liquid(vessel, how.liquid)]
    if how.gas_is_unknown or how.after.gas != how.before.gas:
        around = readings.conditions(how.after)
        new = None if how.gas_is_unknown else how.after.gas
        happenings.append(observing.gas_change(how.before.gas, new, glass, around))
    return happenings
