"""From readings to the events that the running estimate of a vessel takes in."""

from dataclasses import asdict, dataclass

from inventory.calc import density, events, observation
from inventory.calc.balance import reading_u_ug
from inventory.calc.uncertainty import exact, nominal
from inventory.models import MediumKind, WeighingPurpose
from inventory.models.estimates import KINDS

from . import readings

KIND_OF = {event: kind for kind, event in KINDS.items()}
# The heaviest thing a balance here carries bounds a tare that was never read.
TARE_AT_MOST_UG = 20_000_000_000


@dataclass(frozen=True, slots=True)
class Happening:
    """One event about to be recorded, in words, with what reading proves it.

    `reading` names the weighing of the operation it belongs to: before, after,
    gross, check or tare.
    """

    event: object
    words: str
    reading: str = ""

    @property
    def kind(self):
        return KIND_OF[type(self.event)]

    @property
    def facts(self):
        """Return the event's fields that are not at their defaults, for storage."""
        default = type(self.event).__dataclass_fields__
        return {
            name: value
            for name, value in asdict(self.event).items()
            if value != default[name].default
        }


@dataclass(frozen=True, slots=True)
class Glass:
    """A vessel as the observations need it: volumes in µL, metal and medium.

    `tare` is the weighing that says how heavy the glass is, or None.
    """

    vessel: object
    material: object
    medium: object
    facts: readings.Facts
    tare: object = None

    @property
    def inner(self):
        """The whole inner volume, as ufloat."""
        return readings.inner_volume(self.vessel)

    def outer(self, about_ug):
        """Return the outer volume; unmeasured, it is the room and the glass.

        The glass is as heavy as its tare, or `about_ug` where it was never tared.
        """
        if self.tare:
            about_ug = self.tare.reading_ug - self.tare.liquid_ug
        return readings.outer_volume(self.vessel, about_ug, self.inner)

    def metal_density(self, around):
        return density.density_at(
            self.facts.material(self.material), around.temperature_c
        )


def glass_of(vessel, facts, *, material=None, medium=None):
    """Return the Glass of a vessel with its newest tare that stands."""
    return Glass(
        vessel,
        material or vessel.batch.material,
        medium or vessel.medium,
        facts,
        newest_tare(vessel),
    )


def newest_tare(vessel):
    """Return the newest tare that stands, or None."""
    if vessel.pk is None:
        return None
    tares = vessel.weighings.filter(purpose=WeighingPurpose.TARE, struck_by=None)
    return tares.select_related("balance", "gas").last()


def observe(seen, glass, *, metal_ug, liquid_ug, words, reading):
    """Return the Happening of one reading, with roughly what is inside in µg."""
    around = readings.conditions(seen)
    event = observation.observation(
        seen.reading_ug,
        reading_u_ug(seen.balance.facts(), seen.reading_ug),
        around.density(),
        glass.outer(seen.reading_ug - metal_ug - liquid_ug),
        gas_density(seen.gas, around, glass.facts),
        glass.metal_density(around) if glass.material else None,
        glass.facts.liquid_density(glass.medium),
        metal_ug=metal_ug,
        liquid_ug=liquid_ug,
    )
    return Happening(event, words, reading)


def start(tare, gas_after, glass, gross=None, **inside):
    """Return the Happening that a filling begins with: the effective tare.

    `tare` is the newest tare weighing, or None for a vessel never weighed empty.
    The gas was closed in under the conditions of the `gross`, if there is one.
    `inside` are the fields of Start besides the tare.
    """
    if tare is None:
        unknown = events.Unknown(tare_high_ug=TARE_AT_MOST_UG)
        return Happening(
            events.Start(unknown=unknown, **inside), "Begun without a tare"
        )
    around, closed_in = readings.air_around(tare, gross or tare)
    at_tare = gas_density(tare.gas, around, glass.facts)
    if gas_after == tare.gas and closed_in is around:
        after = at_tare  # one gas, one error: it cancels
    else:
        after = gas_density(gas_after, closed_in, glass.facts)
    begun = observation.tare_start(
        tare.reading_ug,
        reading_u_ug(tare.balance.facts(), tare.reading_ug),
        around.density(),
        glass.outer(tare.reading_ug),
        glass.inner,
        at_tare,
        after,
    )
    liquid = glass.facts.liquid_density(glass.medium)
    lift = 0.0
    if tare.liquid_ug and liquid is not None:
        # The tare's reading has the liquid in it, lifted by the gas of that moment.
        lift = tare.liquid_ug * (1 - nominal(exact(at_tare / liquid)))
    return Happening(
        events.Start(
            tare_ug=begun.tare_ug - lift,
            u_tare_ug=begun.u_tare_ug,
            liquid_ug=float(tare.liquid_ug),
            **inside,
        ),
        f"Begun from the tare with {gas_after.name} inside",
        "tare",
    )


def gas_change(old, new, glass, around):
    """Return the Happening of another gas inside; None for `new` is not known."""
    known_old = gas_density(old, around, glass.facts)
    known_new = None if new is None else gas_density(new, around, glass.facts)
    event = observation.gas_change(known_old, known_new, glass.inner)
    words = f"{old.name} gave way to {new.name if new else 'some other gas'}"
    return Happening(event, words)


def gas_density(medium, around, facts):
    """Return a gas's density in kg/m³ under these conditions; open air is the room's."""
    if medium.key == "air":
        return around.density()
    if medium.kind == MediumKind.VACUUM:
        return exact(0.0)
    return exact(facts.gas_density(medium, around))


def liquid_change(change_ug, u_ug, words):
    """Return the Happening of liquid medium put in (+) or taken out (-)."""
    return Happening(
        events.Change(liquid_ug=float(change_ug), u_liquid_ug=float(u_ug)), words
    )
