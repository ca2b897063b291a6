"""Hazard classes: the label elements each calls for, and which of those give way.

The elements are those of the tables in Regulation (EC) 1272/2008 (CLP), Annex I,
parts 2 to 4, one table for each class; Water-react., Self-heat. and Acute Tox. 4 were
compared with the consolidation of 2025-09-01, the others are from memory. Precedence
is Article 26(1), seen in two secondary copies.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

DANGER, WARNING = "Danger", "Warning"
FIRE, CORROSION, SKULL = "GHS02", "GHS05", "GHS06"
EXCLAMATION, HEALTH, ENVIRONMENT = "GHS07", "GHS08", "GHS09"
PICTOGRAMS = tuple(f"GHS0{number}" for number in range(1, 10))


@dataclass(frozen=True, slots=True)
class HazardClass:
    """One class and category with its label elements."""

    name: str  # "Water-react. 1"
    h: str
    pictogram: str
    signal_word: str
    table: str  # of Annex I
    also: tuple[str, ...] = ()  # codes that Annex VI prints for it as well


# In the order in which the statements are printed: the gravest first.
_ALL = (
    HazardClass("Pyr. Sol. 1", "H250", FIRE, DANGER, "2.10.2"),
    HazardClass("Pyr. Liq. 1", "H250", FIRE, DANGER, "2.9.2"),
    HazardClass("Water-react. 1", "H260", FIRE, DANGER, "2.12.2"),
    # Entry 012-002-00-9 of Annex VI prints H252 beside this class.
    HazardClass("Self-heat. 1", "H251", FIRE, DANGER, "2.11.2", ("H252",)),
    HazardClass("Water-react. 2", "H261", FIRE, DANGER, "2.12.2"),
    HazardClass("Flam. Sol. 1", "H228", FIRE, DANGER, "2.7.2"),
    HazardClass("Flam. Liq. 2", "H225", FIRE, DANGER, "2.6.2"),
    HazardClass("Skin Corr. 1", "H314", CORROSION, DANGER, "3.2.5"),
    HazardClass("Skin Corr. 1A", "H314", CORROSION, DANGER, "3.2.5"),
    HazardClass("Skin Corr. 1B", "H314", CORROSION, DANGER, "3.2.5"),
    HazardClass("Skin Corr. 1C", "H314", CORROSION, DANGER, "3.2.5"),
    HazardClass("Eye Dam. 1", "H318", CORROSION, DANGER, "3.3.5"),
    HazardClass("Acute Tox. 3 (oral)", "H301", SKULL, DANGER, "3.1.3"),
    HazardClass("Asp. Tox. 1", "H304", HEALTH, DANGER, "3.10.2"),
    HazardClass("STOT RE 1", "H372", HEALTH, DANGER, "3.9.5"),
    HazardClass("Water-react. 3", "H261", FIRE, WARNING, "2.12.2"),
    HazardClass("Self-heat. 2", "H252", FIRE, WARNING, "2.11.2"),
    HazardClass("Flam. Sol. 2", "H228", FIRE, WARNING, "2.7.2"),
    HazardClass("Flam. Liq. 3", "H226", FIRE, WARNING, "2.6.2"),
    HazardClass("Repr. 2 (fertility)", "H361f", HEALTH, WARNING, "3.7.3"),
    HazardClass("Repr. 2 (unborn child)", "H361d", HEALTH, WARNING, "3.7.3"),
    HazardClass("STOT RE 2", "H373", HEALTH, WARNING, "3.9.5"),
    HazardClass("Acute Tox. 4 (oral)", "H302", EXCLAMATION, WARNING, "3.1.3"),
    HazardClass("Acute Tox. 4 (inhalation)", "H332", EXCLAMATION, WARNING, "3.1.3"),
    HazardClass("Skin Irrit. 2", "H315", EXCLAMATION, WARNING, "3.2.5"),
    HazardClass("Eye Irrit. 2", "H319", EXCLAMATION, WARNING, "3.3.5"),
    HazardClass("STOT SE 3 (irritation)", "H335", EXCLAMATION, WARNING, "3.8.4"),
    HazardClass("STOT SE 3 (drowsiness)", "H336", EXCLAMATION, WARNING, "3.8.4"),
    HazardClass("Aquatic Acute 1", "H400", ENVIRONMENT, WARNING, "4.1.4"),
    HazardClass("Aquatic Chronic 1", "H410", ENVIRONMENT, WARNING, "4.1.4"),
    HazardClass("Aquatic Chronic 2", "H411", ENVIRONMENT, "", "4.1.4"),
    HazardClass("Aquatic Chronic 3", "H412", "", "", "4.1.4"),
)
CLASSES = {found.name: found for found in _ALL}
_H = tuple(code for found in _ALL for code in (found.h, *found.also))
H_CODES = tuple(dict.fromkeys(_H))
EUH_CODES = ("EUH014",)

IRRITANT = frozenset({"Skin Irrit. 2", "Eye Irrit. 2"})

# Article 27: what another statement says already, or more gravely. H318 with H314 is
# ECHA's guidance; H400 with H410 is Annex I 4.1.4; both from memory.
REDUNDANT_H = {
    "H318": ("H314",),
    "H315": ("H314",),
    "H319": ("H314", "H318"),
    "H261": ("H260",),
    "H252": ("H251",),
    "H226": ("H225",),
    "H302": ("H301",),
    "H373": ("H372",),
    "H400": ("H410",),
    "H411": ("H410",),
    "H412": ("H410", "H411"),
}


class UnknownClass(ValueError):
    """A hazard class that is not in the table; the message is fit to show."""

    def __init__(self, name: str) -> None:
        self.name = name
        near = alike(name)
        hint = f" Is it {' or '.join(near)}?" if near else ""
        super().__init__(f"“{name}” is not a hazard class known here.{hint}")


def hazard_class(name: str) -> HazardClass:
    """Return the class of this name. Raises UnknownClass."""
    try:
        return CLASSES[name]
    except KeyError:
        raise UnknownClass(name) from None


def alike(name: str) -> tuple[str, ...]:
    """Return the known classes that are spelled nearly so."""
    letters = _letters(name)
    found = [known for known in CLASSES if letters and letters in _letters(known)]
    return tuple(found[:3])


@cache
def _letters(name: str) -> str:
    return "".join(c for c in name.lower() if c.isalnum())


def pictograms_for(classes: Iterable[str]) -> tuple[str, ...]:
    """Return the pictograms these classes call for after Article 26(1), in order."""
    names = tuple(classes)
    wanted = {hazard_class(name).pictogram for name in names} - {""}
    return tuple(code for code in sorted(wanted) if not gives_way(code, names))


def gives_way(pictogram: str, classes: Iterable[str]) -> str:
    """Return why Article 26(1) takes this pictogram away, or an empty text.

    GHS07 gives way to GHS06 altogether, and to GHS05 where it stands for skin or eye
    irritation alone. The rest of the article is about GHS01, GHS03, GHS04 and
    sensitisers, which no class in the table calls for.
    """
    names = tuple(classes)
    wanted = {hazard_class(name).pictogram for name in names}
    behind = {n for n in names if hazard_class(n).pictogram == pictogram}
    if pictogram != EXCLAMATION:
        return ""
    if SKULL in wanted:
        return "the skull and crossbones (GHS06) stands for it"
    if CORROSION in wanted and behind <= IRRITANT:
        return "corrosion (GHS05) stands for skin and eye irritation"
    return ""


def signal_word_for(classes: Iterable[str]) -> str:
    """Return the one signal word: “Danger” goes before “Warning” (Article 20(3))."""
    words = {hazard_class(name).signal_word for name in classes}
    return DANGER if DANGER in words else WARNING if WARNING in words else ""


def classes_of(h: str) -> tuple[str, ...]:
    """Return the names of the classes that a hazard statement can stand for."""
    return tuple(c.name for c in CLASSES.values() if h == c.h or h in c.also)


def replaced_by(h: str, others: Iterable[str]) -> str:
    """Return the statement among `others` that makes `h` redundant, or "" (Art. 27)."""
    present = set(others)
    return next((code for code in REDUNDANT_H.get(h, ()) if code in present), "")


def by_gravity(codes: Iterable[str]) -> tuple[str, ...]:
    """Return hazard statements in the order in which they are printed, each once."""
    return tuple(sorted(dict.fromkeys(codes), key=_gravity))


def _gravity(code: str) -> int:
    return H_CODES.index(code) if code in H_CODES else len(H_CODES)
