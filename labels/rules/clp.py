"""Which elements a label has under CLP, in the EU and in Great Britain."""

from collections.abc import Iterator
from datetime import date
from typing import Literal

from inventory.calc.hazard_classes import gives_way, replaced_by
from inventory.calc.precautions import choose, said_by

from . import form, small
from .clauses import CLAUSES, FORMAT_PROPOSAL, GB
from .sizes import is_small, least
from .verdict import Element, Need, Situation

# A label large enough; one that is not, on a larger package; on one of at most 125 mL;
# on an inner package of at most 10 mL for research, inside a fully labelled one.
Case = Literal["full", "tag", "small", "research"]

AT_MOST_125 = "at most 125 mL where it cannot fit"
AT_MOST_10 = "An inner package of at most 10 mL for research"
ON_THE_TAG = "It may stand on the fold-out, the tag or the outer package."


def case_of(s: Situation) -> Case:
    if not is_small(s.label_mm, s.capacity_ul):
        return "full"
    if s.research and s.outer_full and s.capacity_ml <= small.RESEARCH_ML:
        return "research"
    return "small" if s.capacity_ml <= small.MOST_ML else "tag"


def part(
    s: Situation,
    key: str,
    what: str,
    need: Need,
    clause: str,
    reason: str,
    *,
    code: str = "",
    stays: bool = True,
) -> Element:
    """Return an element with its clause; in Great Britain by the retained text."""
    found = CLAUSES[clause]
    words, since = found.words, found.since
    if s.mode == "gb" and since and words.startswith("CLP"):
        words, since = f"GB {words}", max(since, GB)
    return Element(key, what, need, words, since, reason, code, stays)


def elements(s: Situation, on_day: date) -> Iterator[Element]:
    case = case_of(s)
    yield part(
        *(s, "product", "Name and number", "must", "product"),
        "What it is: for a substance of Annex VI by the name and number given there.",
    )
    if s.medium:
        yield part(
            *(s, "medium", f"Name of the liquid: {s.medium}", "must", "mixture"),
            "A liquid that adds health hazards is named beside the metal.",
        )
    yield supplier(s, case)
    for code in s.pictograms:
        yield pictogram(s, case, code)
    if s.signal_word:
        yield signal_word(s, case)
    for code in s.h:
        yield hazard(s, case, code)
    for code in s.euh:
        yield supplemental(s, case, code)
    chosen = choose(s.p, s.h)
    for code in s.p:
        yield precaution(s, case, code, chosen)
    yield part(
        *(s, "quantity", "Net mass", "may", "quantity"),
        "Asked for on packages for the general public alone. Here it is what the label "
        "is for.",
    )
    yield languages(s)
    yield from form.elements(s, on_day, part)


def supplier(s: Situation, case: Case) -> Element:
    what = "Who answers for it"
    if case == "full":
        return part(
            *(s, "supplier", what, "must", "supplier"), "Name, address and telephone."
        )
    if case == "research":
        return part(
            *(s, "supplier", what, "may", "small_10"),
            "An inner package of at most 10 mL for research, inside a fully labelled "
            "one, needs no supplier.",
            stays=False,
        )
    return part(
        *(s, "supplier", what, "must", "small_29_1"),
        "Name and telephone stay on the vessel; the address may go on the tag.",
    )


def pictogram(s: Situation, case: Case, code: str) -> Element:
    what = f"Pictogram {code}"
    if why := gives_way(code, s.classes):
        return part(
            *(s, "pictogram", what, "dropped", "precedence"),
            f"Left off: {why}.",
            code=code,
            stays=False,
        )
    if case == "research" and code not in small.RESEARCH_PICTOGRAMS:
        return part(
            *(s, "pictogram", what, "should", "small_10"),
            "Not asked for on an inner package of at most 10 mL for research; printed "
            "all the same.",
            code=code,
        )
    if case == "research":
        return part(
            *(s, "pictogram", what, "must", "small_10"),
            "Stays even on an inner package of at most 10 mL for research.",
            code=code,
        )
    return part(
        *(s, "pictogram", what, "must", "pictogram"),
        "Follows from the classification. Never left off for size.",
        code=code,
    )


def signal_word(s: Situation, case: Case) -> Element:
    what = f"Signal word “{s.signal_word}”"
    if case == "research":
        return part(
            *(s, "signal_word", what, "should", "small_10"),
            "Could be left off an inner package of at most 10 mL for research; it is "
            "one word, and stays.",
        )
    return part(
        *(s, "signal_word", what, "must", "signal_word"),
        "One word alone: “Danger” goes before “Warning”.",
    )


def hazard(s: Situation, case: Case, code: str) -> Element:
    what = f"Hazard statement {code}"
    if other := replaced_by(code, s.h):
        return part(
            *(s, "h", what, "dropped", "redundant_h"),
            f"{other} says so already, and more gravely.",
            code=code,
            stays=False,
        )
    need, clause, reason, stays = hazard_need(s, case, code)
    return part(s, "h", what, need, clause, reason, code=code, stays=stays)


def hazard_need(s: Situation, case: Case, code: str) -> tuple[Need, str, str, bool]:
    """Return need, clause, reason, and whether the statement stays on the vessel."""
    if case == "full":
        return "must", "h", "Follows from the classification.", True
    if case == "tag":
        stays = code in small.NEVER_DROPPED | small.KEPT
        ours = " Kept on the vessel by our choice." if stays else ""
        return "must", "h", f"{ON_THE_TAG}{ours}", stays
    if case == "small" and not small.statement_may_go(code, s.classes):
        reason = (
            "Its class is not on the list for packages of at most 125 mL: it stays."
        )
        return "must", "small_125", reason, True
    return exempted(case, code)


def exempted(case: Case, code: str) -> tuple[Need, str, str, bool]:
    """Return the same for a statement that the law would allow to be left off."""
    clause, may_go = {
        "small": ("small_125", f"May be left off a package of {AT_MOST_125}."),
        "research": ("small_10", f"{AT_MOST_10} could do without."),
    }[case]
    if code in small.NEVER_DROPPED:
        return "should", clause, f"{may_go} Never left off here for size.", True
    if code in small.KEPT:
        return "should", clause, f"{may_go} Kept by our choice.", True
    return "may", clause, may_go, False


def supplemental(s: Situation, case: Case, code: str) -> Element:
    what = f"Supplemental statement {code}"
    if case == "research":
        return part(
            *(s, "euh", what, "may", "small_10"),
            f"{AT_MOST_10} could do without.",
            code=code,
            stays=False,
        )
    return part(
        *(s, "euh", what, "must", "euh"),
        "Stands apart from the hazard statements. No exemption for small packages "
        "names it, so it stays.",
        code=code,
    )


def precaution(s: Situation, case: Case, code: str, chosen: tuple[str, ...]) -> Element:
    what = f"Precautionary statement {code}"
    if other := said_by(code, s.p):
        return part(
            *(s, "p", what, "dropped", "redundant_p"),
            f"{other} says what is needed.",
            code=code,
            stays=False,
        )
    if code not in chosen:
        return part(
            *(s, "p", what, "may", "six"),
            "Six are enough, unless a grave hazard would go without an answer.",
            code=code,
            stays=False,
        )
    need, clause, reason = precaution_need(s, case, code)
    stays = case == "full"
    return part(s, "p", what, need, clause, reason, code=code, stays=stays)


def precaution_need(s: Situation, case: Case, code: str) -> tuple[Need, str, str]:
    if case == "full":
        return "must", "p", "One of those that matter most here."
    if case == "tag":
        return "must", "small_29_1", ON_THE_TAG
    if case == "research":
        return "may", "small_10", f"{AT_MOST_10} could do without."
    if not small.precaution_may_go(code, s.classes):
        reason = "A class that is not on the list for at most 125 mL calls for it."
        return "must", "small_125", f"{reason} {ON_THE_TAG}"
    may_go = f"May be left off a package of {AT_MOST_125}."
    if code in small.KEPT_P:
        return "should", "small_125", f"{may_go} Kept, on the tag, by our choice."
    return "may", "small_125", may_go


def languages(s: Situation) -> Element:
    reason = (
        "English, and each further language says the same."
        if s.mode == "gb"
        else "The official languages of the country it is supplied in; each further "
        "language says the same."
    )
    return part(s, "languages", "Languages", "must", "languages", reason)


def notes(s: Situation) -> Iterator[str]:
    if case_of(s) != "full":
        wanted = least(s.capacity_ul).label_mm
        yield (
            f"This label is smaller than {wanted[0]:g} × {wanted[1]:g} mm. The law asks "
            "first for a fold-out, a tie-on tag or the outer package for what does not "
            "fit; only then may anything be left off."
        )
    if s.mode == "gb":
        yield (
            "The format rules of Regulation (EU) 2024/2865 are not taken over in Great "
            "Britain (from memory): they are kept as good practice."
        )
    else:
        yield FORMAT_PROPOSAL
