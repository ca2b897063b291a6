"""Which column of a log file is what: guessed from its heading, chosen by a person."""

import re
import unicodedata

from inventory.calc.kinds import KIND_OF

from .quantities import QUANTITIES

NOT_USED = ""
WHEN, DAY, NOTE = "when", "day", "note"
ELAPSED = ("s", "min", "h")

CHOICES = [
    (NOT_USED, "Not used"),
    (
        "When",
        [
            (WHEN, "Date and time, or time alone"),
            (DAY, "Date; the time is in another column"),
            *(
                (f"elapsed:{unit}", f"Time since the start in {unit}")
                for unit in ELAPSED
            ),
        ],
    ),
    *(
        (
            quantity.label,
            [
                (f"{quantity.name}:{unit}", f"{quantity.label} in {unit}")
                for unit in quantity.units
            ],
        )
        for quantity in QUANTITIES
    ),
    ("Words", [(NOTE, "Note")]),
]
KNOWN = {key for _, group in CHOICES if isinstance(group, list) for key, _ in group}

# As in “T / °C”, “p (mbar)”, “V [mL]”, “temperature in °C”, “pressure_mbar”.
_WITH_UNIT = re.compile(
    r"(.*?)(?:\s*[/(\[]\s*|\s+in\s+|[_\s]+)([^\s/()\[\]_]+)\s*[)\]]?"
)
_SPELLED = {"degc": "°C", "deg c": "°C", "celsius": "°C", "c": "°C", "k": "K"}
_SPELLED |= {"torr": "Torr", "pa": "Pa", "hpa": "hPa", "kpa": "kPa", "ml": "mL"}
_SPELLED |= {"sec": "s", "seconds": "s", "minutes": "min", "hours": "h", "hr": "h"}
_OF_RECEIVER = re.compile(r"receiv|collect|condens|flask", re.I)
_OF_DRIP = re.compile(r"dri?p|drop|interval", re.I)


def parted(name):
    """Return a heading's words and its unit, "" if it has none that is read here."""
    folded = unicodedata.normalize("NFKC", name).strip()
    found = _WITH_UNIT.fullmatch(folded)
    if found:
        unit = _SPELLED.get(found[2].lower(), found[2])
        if unit in KIND_OF:
            return found[1].strip(), unit
    return folded, ""


def guessed(heading):
    """Return a choice for each column; what is not clear is not used."""
    taken, found = set(), []
    for name in heading:
        choice = guessed_one(*parted(name))
        what = choice.partition(":")[0]
        if what == "temperature" and what in taken:
            choice = NOT_USED
        if what in taken or choice not in KNOWN:
            choice = NOT_USED
        taken.add(what)
        found.append(choice)
    return found


def guessed_one(words, unit):
    """Return the choice for one column by its words and its unit."""
    kind = KIND_OF.get(unit, "")
    if kind == "temperature":
        name = "receiver_temperature" if _OF_RECEIVER.search(words) else "temperature"
    elif kind == "pressure":
        name = "pressure"
    elif kind == "volume":
        name = "receiver"
    elif kind == "time":
        name = "drip" if _OF_DRIP.search(words) else "elapsed"
    else:
        return guessed_by_words(words.lower())
    return f"{name}:{unit}"


def guessed_by_words(words):
    """Return the choice for a column without a unit."""
    if words in ("date", "day"):
        return DAY
    if re.search(r"\btime\b|timestamp|datetime|^when$", words):
        return WHEN
    if re.search(r"note|comment|remark", words):
        return NOTE
    return NOT_USED
