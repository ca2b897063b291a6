"""What does not fit together in a classification, in sentences for its form.

A data sheet is typed in by hand, and a wrong letter on a label can hurt.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from . import hazard_classes, precautions
from .hazard_classes import CLASSES, UnknownClass, hazard_class
from .hazards import Profile, Transport

# Entries of the dangerous goods list for these metals: number, name, class, packing
# groups. Numbers and names were compared with a public list; groups are from memory.
UN_ENTRIES: dict[str, tuple[str, str, tuple[str, ...]]] = {
    "1383": ("PYROPHORIC METAL, N.O.S.", "4.2", ("I",)),
    "1400": ("BARIUM", "4.3", ("II",)),
    "1401": ("CALCIUM", "4.3", ("II",)),
    "1407": ("CAESIUM", "4.3", ("I",)),
    "1415": ("LITHIUM", "4.3", ("I",)),
    "1418": ("MAGNESIUM POWDER", "4.3 (4.2)", ("I", "II", "III")),
    "1422": ("POTASSIUM SODIUM ALLOYS, LIQUID", "4.3", ("I",)),
    "1423": ("RUBIDIUM", "4.3", ("I",)),
    "1428": ("SODIUM", "4.3", ("I",)),
    "1854": ("BARIUM ALLOYS, PYROPHORIC", "4.2", ("I",)),
    "1855": ("CALCIUM, PYROPHORIC", "4.2", ("I",)),
    "1869": ("MAGNESIUM", "4.1", ("III",)),
    "2257": ("POTASSIUM", "4.3", ("I",)),
    "2950": ("MAGNESIUM GRANULES, COATED", "4.3", ("III",)),
    "3208": ("METALLIC SUBSTANCE, WATER-REACTIVE, N.O.S.", "4.3", ("I", "II", "III")),
    "3404": ("POTASSIUM SODIUM ALLOYS, SOLID", "4.3", ("I",)),
}
# UN 1869 goes in class 4.1 although its metal is classified as water-reactive too.
NOT_IN_4_3 = frozenset({"1869"})
# The criteria of Water-react. 1, 2 and 3 are those of packing groups I, II and III.
GROUP_OF = {"Water-react. 1": "I", "Water-react. 2": "II", "Water-react. 3": "III"}


@dataclass(frozen=True, slots=True)
class Problem:
    field: str  # of the profile, named as the record's
    sentence: str


def problems(profile: Profile, transport: Transport) -> list[Problem]:
    """Return what contradicts itself, or names what nobody here has words for."""
    unknown = list(_unknown(profile))
    if unknown:
        return unknown
    found = [*_statements(profile), *_signal_word(profile), *_pictograms(profile)]
    found += [*_precautions(profile), *check_transport(profile.classes, transport)]
    return found


def _unknown(profile: Profile) -> Iterator[Problem]:
    for name in profile.classes:
        try:
            hazard_class(name)
        except UnknownClass as error:
            yield Problem("hazard_classes", str(error))
    for field, codes, known in (
        ("h", profile.h, hazard_classes.H_CODES),
        ("euh", profile.euh, hazard_classes.EUH_CODES),
        ("p", profile.p, precautions.P_CODES),
        ("pictograms", profile.pictograms, hazard_classes.PICTOGRAMS),
    ):
        for code in codes:
            if code not in known:
                why = precautions.CANNOT_BE_COMPLETED.get(code)
                said = f": {why}" if why else ""
                yield Problem(field, f"{code} cannot be printed here{said}.")


def _statements(profile: Profile) -> Iterator[Problem]:
    for name in profile.classes:
        wanted = hazard_class(name)
        given = {wanted.h, *wanted.also} & set(profile.h)
        if not given and not hazard_classes.replaced_by(wanted.h, profile.h):
            yield Problem("h", f"{name} calls for {wanted.h}.")
    for code in profile.h:
        behind = hazard_classes.classes_of(code)
        if not set(behind) & set(profile.classes):
            yield Problem(
                "hazard_classes",
                f"{code} belongs to {' or '.join(behind)}, which is not among the "
                "classes.",
            )
    if profile.euh and not profile.classes:
        yield Problem("euh", "A supplemental statement needs a hazard class beside it.")


def _signal_word(profile: Profile) -> Iterator[Problem]:
    wanted = hazard_classes.signal_word_for(profile.classes)
    if profile.signal_word == wanted:
        return
    if not wanted:
        yield Problem("signal_word", "These classes call for no signal word.")
    else:
        yield Problem(
            "signal_word", f"The gravest of these classes calls for “{wanted}”."
        )


def _pictograms(profile: Profile) -> Iterator[Problem]:
    wanted = hazard_classes.pictograms_for(profile.classes)
    for code in wanted:
        if code not in profile.pictograms:
            behind = [n for n in profile.classes if CLASSES[n].pictogram == code]
            statements = list(dict.fromkeys(CLASSES[n].h for n in behind))
            said = " and ".join(statements)
            call = "call" if len(statements) > 1 else "calls"
            yield Problem("pictograms", f"{said} {call} for {code}.")
    for code in profile.pictograms:
        if code in wanted:
            continue
        why = hazard_classes.gives_way(code, profile.classes)
        why = why or "none of the classes calls for it"
        yield Problem("pictograms", f"{code} is one too many: {why}.")


def _precautions(profile: Profile) -> Iterator[Problem]:
    for code in profile.p:
        said_by = precautions.said_by(code, profile.p)
        if said_by:
            yield Problem("p", f"{code} beside {said_by}: print the second alone.")
    if profile.p and not profile.classes:
        yield Problem("p", "Precautionary statements need a hazard class beside them.")


def check_transport(classes: tuple[str, ...], entry: Transport) -> list[Problem]:
    """Return what is wrong with a dangerous-goods entry; none given is not wrong."""
    if entry == Transport():
        return []
    if not re.fullmatch(r"[0-9]{4}", entry.un_number):
        return [Problem("un_number", "A UN number has four digits, as in 1428.")]
    missing = [
        Problem(field, "The transport entry needs this too.")
        for field, value in (
            ("proper_shipping_name", entry.name),
            ("transport_class", entry.hazard_class),
            ("packing_group", entry.packing_group),
        )
        if not value
    ]
    return missing or [*_known_entry(entry)] or [*_same_group(classes, entry)]


def _known_entry(entry: Transport) -> Iterator[Problem]:
    if entry.un_number not in UN_ENTRIES:
        return
    name, hazard_class_, groups = UN_ENTRIES[entry.un_number]
    if not entry.name.upper().startswith(name):
        yield Problem("proper_shipping_name", f"UN {entry.un_number} is {name}.")
    if entry.hazard_class != hazard_class_:
        yield Problem(
            "transport_class", f"UN {entry.un_number} is of class {hazard_class_}."
        )
    if entry.packing_group not in groups:
        yield Problem(
            "packing_group",
            f"UN {entry.un_number} is of packing group {' or '.join(groups)}.",
        )


def _same_group(classes: tuple[str, ...], entry: Transport) -> Iterator[Problem]:
    """Check Water-react. 1, 2, 3 against packing group I, II, III of division 4.3."""
    in_4_3 = entry.hazard_class.startswith("4.3")
    for name in classes:
        group = GROUP_OF.get(name)
        if group is None or entry.un_number in NOT_IN_4_3:
            continue
        if not in_4_3 and not entry.hazard_class.startswith("4.2"):
            yield Problem("transport_class", f"{name} goes in class 4.3.")
        elif in_4_3 and entry.packing_group != group:
            yield Problem(
                "packing_group", f"{name} in class 4.3 is of packing group {group}."
            )
    if in_4_3 and not set(classes) & set(GROUP_OF):
        yield Problem(
            "hazard_classes",
            "Class 4.3 is for what gives off flammable gas with water: Water-react. "
            "is not among the classes.",
        )
