"""What is inside a vessel, as volumes: for its figure, and in words."""

from inventory.calc import density, filling
from inventory.calc.uncertainty import nominal

ROOM_TEMPERATURE_C = 20.0


def metal_volume_ul(vessel, facts):
    """Return the metal's volume at 20 °C in µL, as a plain number."""
    if not vessel.batch_id or not vessel.remaining_ug:
        return 0
    material = facts.material(vessel.batch.material)
    return density.volume_ul(vessel.remaining_ug, material, ROOM_TEMPERATURE_C).n


def liquid_volume_ul(vessel, facts):
    """Return the liquid medium's volume in µL, as a plain number."""
    liquid = facts.liquid_density(vessel.medium)
    if liquid is None or not vessel.liquid_ug:
        return 0
    return vessel.liquid_ug / nominal(liquid)


def floats(vessel, facts):
    """Return whether the metal floats on the liquid it is kept in."""
    liquid = facts.liquid_density(vessel.medium)
    if liquid is None or not vessel.batch_id:
        return False
    material = facts.material(vessel.batch.material)
    metal = density.density_at(material, ROOM_TEMPERATURE_C)
    return filling.floats(metal, liquid)


def drawing(vessel, facts, size):
    """Return the arguments of the vessel_figure tag for a vessel from `for_list`."""
    return {
        "kind": vessel.kind,
        "capacity_ul": vessel.capacity_ul,
        "metal_ul": metal_volume_ul(vessel, facts),
        "liquid_ul": liquid_volume_ul(vessel, facts),
        "gas": vessel.gas.name if vessel.gas else "air",
        "metal_floats": floats(vessel, facts),
        "size": size,
        "label": str(vessel),
        "metal": vessel.batch.material.name if vessel.batch_id else "metal",
        "liquid": vessel.medium.name if vessel.medium else "liquid",
        "sealed": vessel.is_sealed,
    }
