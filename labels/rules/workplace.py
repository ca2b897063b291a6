"""Which elements a vessel has that stays in the laboratory that filled it."""

from collections.abc import Iterator
from datetime import date

from inventory.calc.hazard_classes import gives_way, replaced_by
from inventory.calc.precautions import said_by

from . import small
from .osha import part, supplemental
from .verdict import Element, Situation

GENERAL = (
    "Words, pictures or symbols that say in general how it can hurt, beside what the "
    "hazard communication at the workplace says."
)


def elements(s: Situation, on_day: date) -> Iterator[Element]:
    """Yield what a workplace label says; `on_day` changes none of it."""
    yield part(
        *("product", "Name", "must", "osha_workplace"), "What it is, in plain words."
    )
    if s.medium:
        yield part(
            *("medium", f"Name of the liquid: {s.medium}", "should", "osha_workplace"),
            "It is part of what is inside.",
        )
    yield part(
        *("supplier", "Who answers for it", "may", "osha_workplace"),
        "Asked for on what is shipped or supplied alone.",
        stays=False,
    )
    for code in s.pictograms:
        yield pictogram(s, code)
    if s.signal_word:
        what = f"Signal word “{s.signal_word}”"
        yield part("signal_word", what, "should", "osha_workplace", GENERAL)
    for code in s.h:
        yield hazard(s, code)
    why = "Supplemental statements are printed on labels of what is supplied in the EU."
    yield from supplemental(s, why)
    for code in s.p:
        yield precaution(s, code)


def pictogram(s: Situation, code: str) -> Element:
    what = f"Pictogram {code}"
    if why := gives_way(code, s.classes):
        return part(
            *("pictogram", what, "dropped", "precedence"),
            f"Left off: {why}.",
            code=code,
            stays=False,
        )
    reason = "A container of a hazardous chemical at work shows its pictograms."
    return part("pictogram", what, "must", "eu_workplace", reason, code=code)


def hazard(s: Situation, code: str) -> Element:
    what = f"Hazard statement {code}"
    if other := replaced_by(code, s.h):
        return part(
            *("h", what, "dropped", "redundant_h"),
            f"{other} says so already, and more gravely.",
            code=code,
            stays=False,
        )
    stays = code in small.NEVER_DROPPED | small.KEPT
    return part("h", what, "should", "osha_workplace", GENERAL, code=code, stays=stays)


def precaution(s: Situation, code: str) -> Element:
    what = f"Precautionary statement {code}"
    if other := said_by(code, s.p):
        return part(
            *("p", what, "dropped", "redundant_p"),
            f"{other} says what is needed.",
            code=code,
            stays=False,
        )
    reason = "Not asked for at the workplace; printed where there is room."
    return part("p", what, "may", "osha_workplace", reason, code=code, stays=False)


def notes(s: Situation) -> Iterator[str]:
    yield (
        "For vessels filled and kept in the own laboratory. What leaves it, also as a "
        "free sample, needs the full label of the country it goes to."
    )
