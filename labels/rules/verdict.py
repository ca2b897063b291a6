"""What is asked of the label rules, and what they answer."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

Mode = Literal["eu", "gb", "osha", "workplace"]
MODES: tuple[Mode, ...] = ("eu", "gb", "osha", "workplace")
Need = Literal["must", "should", "may", "dropped"]
# What a label consists of; the other elements are about how it is made.
PARTS = frozenset(
    {"product", "medium", "supplier", "pictogram", "signal_word", "h", "euh", "p"}
)


@dataclass(frozen=True, slots=True)
class Situation:
    """A container, what is in it, and the label meant for it.

    Classes are written as in "Water-react. 1". `research`: supplied for scientific
    research and development or quality analysis. `outer_full`: it stands in an outer
    package that carries the full label.
    """

    capacity_ul: int
    classes: tuple[str, ...]
    h: tuple[str, ...]
    euh: tuple[str, ...]
    p: tuple[str, ...]
    pictograms: tuple[str, ...]
    signal_word: str
    mode: Mode
    languages: tuple[str, ...]
    label_mm: tuple[float, float]  # width, height
    research: bool = False
    outer_full: bool = False
    medium: str = ""  # what else is in there by name, as "n-hexane"; gases need none

    @property
    def capacity_ml(self) -> float:
        return self.capacity_ul / 1000


@dataclass(frozen=True, slots=True)
class Element:
    """One part of a label, or one statement of it, and whether it has to be there.

    `stays`: it belongs on the vessel itself, also when the rest goes on a tag, a
    fold-out or the outer package. `since` is None where no date is on record.
    """

    key: str  # "product", "supplier", "pictogram", "signal_word", "h", "euh", "p" …
    what: str
    need: Need
    clause: str  # "CLP Art. 17(1)(d)", with how sure we are of it where we are not
    since: date | None
    reason: str
    code: str = ""  # "GHS02", "H314"; empty for a part that has none
    stays: bool = True

    @property
    def name(self) -> str:
        """What LabelContent.least calls it: the code, or the key without one."""
        return self.code or self.key


@dataclass(frozen=True, slots=True)
class Verdict:
    elements: tuple[Element, ...]
    notes: tuple[str, ...] = ()

    def of(self, name: str) -> Element:
        """Return the element of this code, or of this key where it has no code."""
        for element in self.elements:
            if element.name == name:
                return element
        raise KeyError(name)

    @property
    def least(self) -> tuple[str, ...]:
        """The names of all that must or should stay on the vessel itself."""
        return tuple(
            element.name
            for element in self.elements
            if element.key in PARTS
            and element.stays
            and element.need in ("must", "should")
        )
