"""What a classification is made of: its codes as a profile, and as a transport entry."""

import re
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Profile:
    """A classification with the label elements on record for it, as codes.

    `classes` are written as in "Water-react. 1"; `signal_word` is "Danger",
    "Warning" or empty.
    """

    classes: tuple[str, ...] = ()
    h: tuple[str, ...] = ()
    euh: tuple[str, ...] = ()
    p: tuple[str, ...] = ()
    pictograms: tuple[str, ...] = ()
    signal_word: str = ""


@dataclass(frozen=True, slots=True)
class Transport:
    """An entry of the dangerous goods list; all empty where there is none."""

    un_number: str = ""
    name: str = ""
    hazard_class: str = ""  # "4.3", with subsidiary hazards as in "4.3 (4.2)"
    packing_group: str = ""  # "I", "II" or "III"


def split_codes(text: str) -> tuple[str, ...]:
    """Return the codes of a text that parts them by ";" or lines, each once.

    "P302 + P335+P334" is one code: "P302+P335+P334".
    """
    parts = re.split(r"[;\n]", text)
    codes = (re.sub(r"\s*\+\s*", "+", " ".join(part.split())) for part in parts)
    return tuple(dict.fromkeys(code for code in codes if code))
