"""The hand-over sheet: which vessels change hands, what is in them, and who signed.

Organisations stand on it and roles; names of persons are written in by hand.
"""

from dataclasses import dataclass

from reportlab.lib.units import mm

from labels.wording import Supplier

from . import cautions, lettering, parts
from .cautions import Hazard
from .drawn import Tick
from .lettering import Part, Parts, text
from .page import Paper, Running, render

TITLE = "Hand-over sheet"
SIGN_MM = 14.0
SIGNED_MM = 120.0  # signatures are not torn from one another, nor from their words
SEAL_MM = 25.0

LOOKED_AT = (
    "The receiver looks at the seal of each vessel before signing, and ticks what was "
    "seen."
)
SAYS = (
    "This sheet repeats what the record said on the day it was printed. Uncertainties "
    "are expanded ones (k = 2, about 95 %). It is no safety data sheet: that of the lot "
    "goes with the vessels."
)
SIGNED = (
    "Handed over and received: {vessels} above, with the seal of each as ticked, and "
    "the hazards and cautions below."
)

VESSELS = ("Scan", "Vessel", "Contents", "Mass", "Seal looked at")


@dataclass(frozen=True, slots=True)
class HandedVessel:
    """A vessel that is handed over. `url` is its own printed address, in capitals."""

    code: str  # with its check character
    url: str
    kind: str
    closure: str
    mark: str  # on the glass, empty if there is none
    metal: str  # "Rubidium"
    symbol: str
    cas: str
    batch: str
    mass: str  # "4.2120 g ± 0.0011 g (k = 2)"
    found: str  # how and when: "weighed, 20 Mar 2026"
    purity: str  # "99.8 %", empty if nobody stated one
    purity_by: str  # "assay, 20 Mar 2026", "as claimed"
    medium: str  # "under light mineral oil, argon above"
    portion: str  # "whole vessel", "aliquot, drawn from RB26A-01-W"
    returned: str  # "expected by 1 Sep 2026", "not expected"


@dataclass(frozen=True, slots=True)
class TotalRow:
    """All that is handed over of one metal."""

    metal: str
    vessels: str  # how many: "3"
    mass: str  # ± u (k = 2)


@dataclass(frozen=True, slots=True)
class HandOverSheet:
    """Everything a hand-over sheet says, ready to print.

    Each vessel's metal and medium, in the same words, has its hazards.
    """

    number: str  # of the hand-over, in figures: "12"
    date: str  # of the hand-over
    project: str
    laboratory: Supplier  # that hands over
    partner: str  # organisation that receives
    partner_address: str  # empty if it is not known
    vessels: tuple[HandedVessel, ...]
    totals: tuple[TotalRow, ...]
    combined: str  # how the uncertainty of a total was combined
    hazards: tuple[Hazard, ...]
    printed: str
    carried: str = ""  # how it travels
    note: str = ""

    def __post_init__(self) -> None:
        if not self.vessels:
            raise ValueError("a hand-over sheet is for one vessel or more")
        said = {(hazard.metal, hazard.medium) for hazard in self.hazards}
        for vessel in self.vessels:
            if (vessel.metal, vessel.medium) not in said:
                raise ValueError(f"nothing is said of the hazards of {vessel.code}")


def print_hand_over(sheet: HandOverSheet, paper: Paper) -> bytes:
    """Return the hand-over sheet as PDF. Raises CannotPrint."""
    running = Running(TITLE, sheet.number, sheet.laboratory.name, sheet.printed)
    return render(paper, running, lambda width: _story(sheet, width))


def _story(sheet: HandOverSheet, width: float) -> Parts:
    return [
        text(TITLE, lettering.KICKER),
        text(f"Hand-over {sheet.number}", lettering.TITLE),
        parts.gap(1),
        _between(sheet, width),
        parts.gap(2),
        parts.boxed(parts.CAUTION, width),
        *_vessels(sheet, width),
        *_totals(sheet, width),
        *_signatures(sheet, width),
        *cautions.hazards(sheet.hazards, width),
        *cautions.handling(width),
        *cautions.transport(sheet.hazards, width),
    ]


def _between(sheet: HandOverSheet, width: float) -> Part:
    """Return who hands over to whom, when, and what for."""
    giver = sheet.laboratory
    left = [
        parts.Fact("Handed over by", _lines(giver.name, giver.address, giver.phone)),
        parts.Fact("Date", sheet.date),
    ]
    right = [
        parts.Fact("Received by", _lines(sheet.partner, sheet.partner_address)),
        parts.Fact("Project", sheet.project),
    ]
    if sheet.carried:
        right.append(parts.Fact("Carried", sheet.carried))
    if sheet.note:
        left.append(parts.Fact("Note", sheet.note))
    return parts.facts(width, left, right)


def _lines(*lines: str) -> str:
    """Return lines; an address that has several becomes one."""
    return "\n".join(", ".join(line.splitlines()) for line in lines if line)


def _vessels(sheet: HandOverSheet, width: float) -> Parts:
    codes = [parts.QrCode(vessel.url) for vessel in sheet.vessels]
    code_mm = max(code.width for code in codes) / mm + parts.GUTTER_MM
    rest = width - code_mm - SEAL_MM
    rows = [
        [
            [code],
            _vessel(vessel),
            _contents(vessel),
            _mass(vessel),
            [parts.gap(0.6), Tick("intact"), Tick("not intact")],
        ]
        for code, vessel in zip(codes, sheet.vessels, strict=True)
    ]
    handed = parts.table(
        VESSELS,
        rows,
        width,
        shares=[code_mm, 0.28 * rest, 0.36 * rest, 0.36 * rest, SEAL_MM],
    )
    words = [text(LOOKED_AT), cautions.broken(sheet.laboratory), parts.gap(1)]
    return parts.section("Vessels", width, *words, handed)


def _vessel(vessel: HandedVessel) -> Parts:
    mark = f"glass mark {vessel.mark}" if vessel.mark else ""
    lines = [f"{vessel.kind}, {vessel.closure}", mark, vessel.portion]
    return _headed(vessel.code, lines)


def _contents(vessel: HandedVessel) -> Parts:
    purity = vessel.purity or "purity not stated"
    lines = [
        f"CAS {vessel.cas}, batch {vessel.batch}",
        _beside(purity, vessel.purity_by),
        vessel.medium,
    ]
    return _headed(f"{vessel.metal} ({vessel.symbol})", lines)


def _mass(vessel: HandedVessel) -> Parts:
    # A quantity breaks before its uncertainty and nowhere else.
    mass = vessel.mass.replace(" ±", "\n±")
    return _headed(mass, [vessel.found, f"return {vessel.returned}"])


def _headed(head: str, lines: list[str]) -> Parts:
    return [text(head, lettering.STRONG), *(text(line) for line in lines if line)]


def _beside(words: str, source: str) -> str:
    return f"{words} ({source})" if source else words


def _totals(sheet: HandOverSheet, width: float) -> Parts:
    summed = parts.table(
        ("Metal", "Vessels", "Sum of the masses"),
        [(row.metal, row.vessels, row.mass) for row in sheet.totals],
        width,
        shares=[70, 25, 80],
        figures={1, 2},
    )
    note = text(sheet.combined, lettering.SMALL)
    return parts.section("Totals", width, summed, parts.gap(1), note)


def _signatures(sheet: HandOverSheet, width: float) -> Parts:
    """Return two lines to sign on. They name organisations; persons write their own."""
    signers = (
        ("Handed over by", sheet.laboratory.name),
        ("Received by", sheet.partner),
    )
    rows: list[list[parts.Cell]] = [
        [lettering.stacked(words, who), "", "", ""] for words, who in signers
    ]
    lines = parts.table(
        ("", "Name and role", "Date", "Signature"),
        rows,
        width,
        shares=[42, 48, 27, 58],
        to_write_in=SIGN_MM,
    )
    says = text(SAYS, lettering.SMALL)
    count = len(sheet.vessels)
    vessels = "the vessel" if count == 1 else f"the {count} vessels"
    signed = text(SIGNED.format(vessels=vessels))
    content = (signed, parts.gap(1), lines, parts.gap(2), says)
    return parts.section("Signatures", width, *content, enough_mm=SIGNED_MM)
