"""Which elements a label has under 29 CFR 1910.1200, and on a laboratory's own vessels."""

from collections.abc import Iterator
from datetime import date

from inventory.calc.hazard_classes import gives_way, replaced_by
from inventory.calc.precautions import choose, said_by

from . import small
from .clauses import CLAUSES, OSHA_DATES
from .sizes import is_small
from .verdict import Element, Need, Situation

SMALL_ML = 100.0
TINY_ML = 3.0


def part(
    key: str,
    what: str,
    need: Need,
    clause: str,
    reason: str,
    *,
    code: str = "",
    stays: bool = True,
) -> Element:
    found = CLAUSES[clause]
    return Element(key, what, need, found.words, found.since, reason, code, stays)


def is_tiny(s: Situation) -> bool:
    return s.outer_full and s.capacity_ml <= TINY_ML and is_too_small(s)


def is_short(s: Situation) -> bool:
    """Return whether (f)(12) allows the short label: the full one is on the outside."""
    return s.outer_full and s.capacity_ml <= SMALL_ML and is_too_small(s)


def is_too_small(s: Situation) -> bool:
    """Return whether the label is too small to hold everything.

    OSHA asks for no millimetres; the size is that of CLP's table.
    """
    return is_small(s.label_mm, s.capacity_ul)


def elements(s: Situation, on_day: date) -> Iterator[Element]:
    """Yield the elements of a shipped container; `on_day` changes none of them."""
    yield part(
        *("product", "Product identifier", "must"),
        "osha_small" if is_tiny(s) else "osha_shipped",
        "On every container, however small; the same as on the data sheet.",
    )
    if s.medium:
        yield part(
            *("medium", f"Name of the liquid: {s.medium}", "must", "osha_shipped"),
            "It is part of what is inside.",
        )
    yield supplier(s)
    yield from pictograms(s, *short_or_full(s))
    if s.signal_word:
        need, clause, reason = short_or_full(s)
        what = f"Signal word “{s.signal_word}”"
        yield part("signal_word", what, need, clause, reason)
    yield from hazards(s)
    yield from supplemental(s, "There are no EUH statements under 29 CFR 1910.1200.")
    yield from precautions(s)
    if is_short(s):
        yield part(
            *("outer_statement", "“Full label on the outer package”", "must"),
            "osha_small",
            "Has to be said on the vessel; the outer package says in turn that the "
            "vessels are kept in it when not in use.",
        )
    yield part(
        *("languages", "Languages", "must", "osha_english"),
        "English; other languages may be added.",
    )
    yield part(
        *("frame", "Red frame with a symbol in it", "must", "osha_frame"),
        "Black symbol on white in a red frame wide enough to be seen; an empty frame "
        "is not allowed. No size in millimetres is prescribed.",
    )


def short_or_full(s: Situation) -> tuple[Need, str, str]:
    """Return need, clause and reason of what the short label has to carry too."""
    if is_tiny(s):
        return (
            *("should", "osha_small"),
            "A container of at most 3 mL may carry the identifier alone where a label "
            "is in the way. Kept by our choice.",
        )
    if is_short(s):
        return (
            *("must", "osha_small"),
            "Also on a container of at most 100 mL whose full label is on the outer "
            "package.",
        )
    return "must", "osha_shipped", "Follows from the classification."


def supplier(s: Situation) -> Element:
    need, clause, reason = short_or_full(s)
    if is_tiny(s):
        return part("supplier", "Responsible party", "may", clause, reason, stays=False)
    said = "Name and telephone." if is_short(s) else "Name, address and telephone."
    return part("supplier", "Responsible party", need, clause, said)


def pictograms(s: Situation, need: Need, clause: str, reason: str) -> Iterator[Element]:
    for code in s.pictograms:
        what = f"Pictogram {code}"
        if why := gives_way(code, s.classes):
            yield part(
                *("pictogram", what, "dropped", clause),
                f"Left off: {why}.",
                code=code,
                stays=False,
            )
        else:
            yield part("pictogram", what, need, clause, reason, code=code)


def hazards(s: Situation) -> Iterator[Element]:
    for code in s.h:
        what = f"Hazard statement {code}"
        if other := replaced_by(code, s.h):
            yield part(
                *("h", what, "dropped", "osha_shipped"),
                f"{other} says so already, and more gravely.",
                code=code,
                stays=False,
            )
        elif not is_short(s):
            stays = not is_too_small(s) or is_kept(code)
            reason = "Follows from the classification."
            yield part(
                "h", what, "must", "osha_shipped", reason, code=code, stays=stays
            )
        else:
            yield short_hazard(code, what)


def is_kept(code: str) -> bool:
    return code in small.NEVER_DROPPED | small.KEPT


def short_hazard(code: str, what: str) -> Element:
    may_go = "The short label of at most 100 mL could do without."
    if code in small.NEVER_DROPPED:
        reason = f"{may_go} Never left off here for size."
    elif is_kept(code):
        reason = f"{may_go} Kept by our choice."
    else:
        return part("h", what, "may", "osha_small", may_go, code=code, stays=False)
    return part("h", what, "should", "osha_small", reason, code=code)


def supplemental(s: Situation, why: str) -> Iterator[Element]:
    for code in s.euh:
        what = f"Supplemental statement {code}"
        yield part("euh", what, "dropped", "ours", why, code=code, stays=False)


def precautions(s: Situation) -> Iterator[Element]:
    chosen = choose(s.p, s.h)
    for code in s.p:
        what = f"Precautionary statement {code}"
        need: Need = "may" if is_short(s) or code not in chosen else "must"
        clause = "osha_small" if is_short(s) else "osha_shipped"
        stays = need == "must" and not is_too_small(s)
        reason = "Follows from the classification."
        if is_short(s):
            reason = "Stands on the outer package."
        elif code not in chosen:
            reason = "Others on the label matter more."
        if other := said_by(code, s.p):
            need, stays, reason = "dropped", False, f"{other} says what is needed."
        yield part("p", what, need, clause, reason, code=code, stays=stays)


def notes(s: Situation) -> Iterator[str]:
    yield OSHA_DATES
    if is_too_small(s) and not is_short(s):
        yield (
            "What does not fit goes on a pull-out or fold-back label or a tag. The short "
            "label needs an outer package with the full one, and at most 100 mL."
        )
