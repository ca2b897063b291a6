"""From balance readings to metal: what the sums need, gathered from the records."""

from dataclasses import dataclass
from datetime import timedelta
from functools import cached_property

from inventory.calc import air, density, filling, observation, weighing
from inventory.calc.uncertainty import exact, nominal, uncertain
from inventory.models import MediumKind, Property, WeighingPurpose
from inventory.models.catalogue import rows_to_facts

# How well the inner volume on a vessel's record is known: half-width of a
# triangular distribution, as a fraction of the volume. From memory of the usual
# tolerance of laboratory glassware; it covers the neck and the closure too.
VOLUME_TOLERANCE = 0.05
# How far a gas at "atmospheric" pressure in closed glass may be off, k = 1.
GAS_DENSITY_TOLERANCE = 0.03
# Two readings this close together were taken in the same air.
ONE_GO = timedelta(hours=2)


@dataclass(frozen=True)
class Facts:
    """The catalogue's numbers in use, read once for one piece of work."""

    properties: dict

    @classmethod
    def read(cls):
        return cls(Property.objects.select_related("material").in_use())

    @cached_property
    def _materials(self):
        return {
            material_id: rows_to_facts(rows)
            for (material_id, medium_id), rows in self.properties.items()
            if medium_id is None
        }

    def material(self, material):
        """Return the MaterialFacts of a material."""
        return self._materials[material.pk]

    def liquid_density(self, medium):
        """Return a liquid medium's density as ufloat in kg/m³, or None for a gas."""
        if medium is None or medium.kind != MediumKind.LIQUID:
            return None
        row = self.properties[None, medium.pk]["density"]
        return uncertain(row.value, row.uncertainty or 0, f"density of {medium.name}")

    def gas_density(self, medium, conditions):
        """Return the density in kg/m³ of a gas closed in under these conditions."""
        if medium.kind == MediumKind.VACUUM:
            return 0.0
        molar_mass = self.properties[None, medium.pk]["molar_mass"].value
        value = air.gas_density(
            molar_mass, conditions.temperature_c, conditions.pressure_pa
        )
        return uncertain(
            value, value * GAS_DENSITY_TOLERANCE, f"density of {medium.name} inside"
        )


def conditions(observation):
    """Return the air around a reading; what was not noted gets a wide default."""
    noted = {
        "temperature_c": (observation.air_temperature_c, "u_temperature_c", 0.5),
        "pressure_pa": (observation.air_pressure_pa, "u_pressure_pa", 100.0),
        "humidity": (observation.air_humidity, "u_humidity", 0.05),
    }
    given = {}
    for name, (value, u_name, u) in noted.items():
        if value is not None:
            given[name], given[u_name] = value, u
    return air.AirConditions(**given)


def air_around(light, heavy):
    """Return the air at each of two readings: the same air when read in one go."""
    at_light, at_heavy = conditions(light), conditions(heavy)
    in_one_go = abs(heavy.read_at - light.read_at) <= ONE_GO
    if at_light == at_heavy and in_one_go:
        return at_heavy, at_heavy
    return at_light, at_heavy


def gas_inside(light, heavy, light_air, heavy_air, facts):
    """Return the gas's density at each reading: one value where it is one gas.

    A gas that stayed in cancels in the difference, and so does its uncertainty.
    """
    at_light = facts.gas_density(light.gas, light_air)
    if light.gas == heavy.gas and light_air is heavy_air:
        return at_light, at_light
    return at_light, facts.gas_density(heavy.gas, heavy_air)


def reading(observation, label, around, gas):
    """Return the calc Reading of an observation or a stored weighing.

    A vessel with air in it was open: it holds the room's own air.
    """
    return weighing.Reading(
        label=label,
        reading_ug=observation.reading_ug,
        balance=observation.balance.facts(),
        air=around,
        gas_density_kg_m3=gas,
        closed=observation.gas.key != "air",
    )


def net(light, heavy, *, vessel, material, medium, facts, staying_ug=0):
    """Return the NetMass of metal that is in `heavy` and not in `light`.

    `light` and `heavy` are observations or weighings of `vessel`; for a filling
    tare and gross, for a withdrawal after and before. `staying_ug` is metal that
    is inside at both.
    """
    metal = density.density_at(
        facts.material(material), conditions(heavy).temperature_c
    )
    liquid_density = facts.liquid_density(medium)
    room = inner_volume(vessel)
    light_air, heavy_air = air_around(light, heavy)
    light_gas, heavy_gas = gas_inside(light, heavy, light_air, heavy_air, facts)
    moved_ug = heavy.liquid_ug - light.liquid_ug
    u_moved = (heavy if is_tare(light) else light).u_liquid_ug
    return weighing.net_mass(
        reading(light, "tare" if is_tare(light) else "after", light_air, light_gas),
        reading(heavy, "gross" if is_tare(light) else "before", heavy_air, heavy_gas),
        metal_density=metal,
        inner_volume_ul=gas_volume(
            room, metal, liquid_density, staying_ug, light.liquid_ug
        ),
        outer_volume_ul=outer_volume(
            vessel, light.reading_ug - light.liquid_ug - staying_ug, room
        ),
        liquid_ug=uncertain(moved_ug, u_moved, "liquid medium") if moved_ug else 0,
        liquid_density=liquid_density,
    )


def is_tare(observation):
    """Return whether this is a stored tare, not the second weighing of a taking."""
    return getattr(observation, "purpose", None) == WeighingPurpose.TARE


def inner_volume(vessel):
    """Return the whole room inside the vessel in µL, as ufloat."""
    u = vessel.capacity_ul * VOLUME_TOLERANCE / 6**0.5
    return uncertain(vessel.capacity_ul, u, "inner volume")


def outer_volume(vessel, glass_ug, room):
    """Return the outer volume in µL; unmeasured, it is the room and the glass."""
    if vessel.outer_volume_ul:
        return exact(float(vessel.outer_volume_ul))
    return observation.outer_volume(room, max(glass_ug, 0))


def gas_volume(room, metal, liquid_density, metal_ug, liquid_ug):
    """Return the gas-filled part of a vessel's room in µL, as ufloat."""
    taken = metal_ug / nominal(metal)
    if liquid_ug and liquid_density:
        taken += liquid_ug / nominal(liquid_density)
    return exact(room - min(taken, nominal(room)))


def headspace(vessel, metal_ug, *, material, medium, liquid_ug, place, facts):
    """Return how full the vessel gets at the warmest its place becomes."""
    liquid = facts.liquid_density(medium)
    liquid_ul = liquid_ug / nominal(liquid) if liquid and liquid_ug else 0
    return filling.headspace(
        metal_ug,
        facts.material(material),
        vessel.capacity_ul,
        liquid_ul=liquid_ul,
        warmest_c=place.warmest_c if place else 40.0,
    )
