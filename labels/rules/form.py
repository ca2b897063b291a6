"""How a label has to be set: its size, its pictograms, its letters, black on white."""

from collections.abc import Callable, Iterator
from datetime import date

from .clauses import FORMAT_APPLIES, FORMAT_CITES, FORMAT_RULES, X_HEIGHTS_MM
from .sizes import LEAST_SIDE_MM, is_small, least
from .verdict import Element, Need, Situation

MAY_BE_SMALLER_ML = 10.0


def x_height_mm(capacity_ul: int) -> float:
    """Return how tall the letter x has to be for a package of this capacity."""
    litres = capacity_ul / 1_000_000
    return next(height for up_to, height in X_HEIGHTS_MM if litres <= up_to)


def elements(
    s: Situation, on_day: date, part: Callable[..., Element]
) -> Iterator[Element]:
    """Yield what is asked of the making. `part` is clp.part."""
    row = least(s.capacity_ul)
    wanted = f"{row.label_mm[0]:g} × {row.label_mm[1]:g} mm"
    given = f"{s.label_mm[0]:g} × {s.label_mm[1]:g} mm"
    enough = "smaller" if is_small(s.label_mm, s.capacity_ul) else "enough"
    need: Need = "should" if row.if_possible else "must"
    possible = ", if possible" if row.if_possible else ""
    yield part(
        *(s, "label_size", "Size of the label", need, "label_size"),
        f"At least {wanted} for a package of this capacity{possible}. This one is "
        f"{given}: {enough}.",
    )
    side = f"{LEAST_SIDE_MM:g} mm a side, {row.side_mm:g} mm where it fits"
    yield part(
        *(s, "pictogram_size", "Size of the pictograms", "must", "pictogram_size"),
        f"At least {side}."
        if row.if_possible
        else f"At least {row.side_mm:g} mm a side.",
    )
    yield from format_rules(s, on_day)


def format_rules(s: Situation, on_day: date) -> Iterator[Element]:
    """Yield the rules of 2024/2865: binding in the EU from their day, else advice."""
    in_eu = s.mode == "eu"
    need: Need = "must" if in_eu and on_day >= FORMAT_APPLIES else "should"
    since = FORMAT_APPLIES if in_eu else None
    height = f"The letter x at least {x_height_mm(s.capacity_ul):g} mm tall."
    if s.capacity_ml <= MAY_BE_SMALLER_ML and s.outer_full:
        height += (
            " An inner package of at most 10 mL in a fully labelled one may have "
            "smaller letters that can still be read (from memory)."
        )
    yield Element("letters", "Size of the letters", need, FORMAT_CITES, since, height)
    for rule in FORMAT_RULES:
        yield Element(rule.key, rule.what, need, FORMAT_CITES, since, rule.words)
    yield Element(
        *("record", "QR code and vessel code", "may", FORMAT_CITES, since),
        "They are ours. A code never stands in for what has to be printed.",
    )
