"""What is inside a vessel that is drawn: in order of density, and in words."""

from dataclasses import dataclass

from inventory.calc import units

from .callouts import in_ml

KIND_NAMES = {
    "ampoule": "ampoule",
    "vial": "vial",
    "schlenk_tube": "Schlenk tube",
    "schlenk_flask": "Schlenk flask",
    "bulb": "bulb",
    "bottle": "bottle",
}


@dataclass(frozen=True, slots=True)
class Contents:
    """What is inside: volumes in µL, and the words for each of the three."""

    metal_ul: float = 0
    liquid_ul: float = 0
    gas: str = "argon"
    metal_floats: bool = False
    metal: str = "metal"
    liquid: str = "liquid"

    def from_below(self) -> list[tuple[str, str, float]]:
        """Return (paint, name, µL) of what is there, the densest first."""
        metal = ("metal", self.metal, self.metal_ul)
        liquid = ("liquid", self.liquid, self.liquid_ul)
        order = [liquid, metal] if self.metal_floats else [metal, liquid]
        return [layer for layer in order if layer[2] > 0]

    @property
    def filled_ul(self) -> float:
        """Return the volume of all that is no gas."""
        return sum(volume for _, _, volume in self.from_below())


def in_words(kind: str, capacity_ul: float | None, contents: Contents) -> str:
    """Return what the drawing shows, for people who hear it or print it in grey."""
    vessel, gas = KIND_NAMES[kind].capitalize(), contents.gas.lower()
    layers = [
        f"{units.show_volume(ul)} {name}" for _, name, ul in contents.from_below()
    ]
    if not layers:
        inside = f"empty, {gas} inside"
    else:
        above = "under vacuum" if gas == "vacuum" else f"{gas} above"
        inside = f"{' under '.join(layers)}, {above}"
    if not capacity_ul:
        return f"{vessel}, capacity not recorded: {inside}."
    share = units.show_percent(contents.filled_ul / capacity_ul)
    return f"{vessel} of {in_ml(capacity_ul)}, {share} full: {inside}."
