"""The project report: who got how much of which metal, and from which batches."""

from dataclasses import dataclass

from labels.wording import Supplier

from . import lettering, parts
from .lettering import Part, Parts, text
from .page import Paper, Running, render

TITLE = "Project report"
SAYS = (
    "The mass of a vessel handed over is that of the record on the day it left. Of a "
    "share, all that is still with the partner counts as used. Uncertainties are "
    "expanded ones (k = 2, about 95 %). What a partner reported was not measured by "
    "this laboratory."
)

SHARES = ("Partner", "Metal", "Share", "Used", "Promised", "Free")
TOTALS = ("Partner", "Metal", "Vessels", "Given", "Used", "Came back")
GIVEN = ("Date", "Partner", "Vessel", "Batch", "Metal", "Mass", "Found", "Purpose")
BATCHES = ("Batch", "Metal", "Origin", "Purity", "Given of it")
RETURNS = ("Date", "Partner", "Vessel", "Metal", "What came back", "Used", "Found")


@dataclass(frozen=True, slots=True)
class ShareRow:
    """What a partner may have of a metal, and what is left of that."""

    partner: str
    metal: str
    share: str  # "20 g", "3 vessels"
    terms: str  # "99.5 % or purer, argon or vacuum", empty if there are none
    used: str
    promised: str
    free: str


@dataclass(frozen=True, slots=True)
class GivenRow:
    """Metal that went to a partner."""

    date: str
    partner: str
    vessel: str  # with its check character
    batch: str
    metal: str
    mass: str  # ± u (k = 2)
    found: str  # how: "weighed", "by difference"
    purpose: str
    source: str  # "measured", "reported by the partner"


@dataclass(frozen=True, slots=True)
class BatchRow:
    """A batch that the metal came from."""

    batch: str
    metal: str
    origin: str  # "made", "bought"
    purity: str
    purity_by: str  # "assay, 20 Mar 2026", "as claimed"
    total: str  # what the project was given of it, ± u (k = 2)


@dataclass(frozen=True, slots=True)
class ReturnRow:
    """A vessel that came back, or what a partner reported of it."""

    date: str
    partner: str
    vessel: str  # with its check character
    metal: str
    state: str  # "came back empty", "came back, weighed again", "use reported"
    used: str  # what the partner used of it, ± u (k = 2)
    source: str  # "measured", "reported by the partner"


@dataclass(frozen=True, slots=True)
class TotalRow:
    """All that a partner was given of one metal, and what was used of that."""

    partner: str
    metal: str
    vessels: str  # how many: "3"
    given: str  # ± u (k = 2)
    used: str  # measured or reported, ± u (k = 2)
    back: str  # what came home of it


@dataclass(frozen=True, slots=True)
class ProjectReport:
    """Everything a project report says, ready to print. Empty parts are said to be."""

    laboratory: Supplier
    code: str  # as the record names the project
    title: str
    purpose: str
    period: str  # "1 Jan 2026 – 31 Dec 2026"
    partners: tuple[str, ...]  # organisations
    printed: str  # the day it was made
    shares: tuple[ShareRow, ...]
    given: tuple[GivenRow, ...]
    batches: tuple[BatchRow, ...]
    returns: tuple[ReturnRow, ...]
    totals: tuple[TotalRow, ...]
    combined: str  # how the uncertainty of a total was combined


def print_report(report: ProjectReport, paper: Paper) -> bytes:
    """Return the report as PDF, lengthwise. Raises CannotPrint."""
    running = Running(TITLE, report.code, report.laboratory.name, report.printed)
    return render(paper.landscape(), running, lambda width: _story(report, width))


def _story(report: ProjectReport, width: float) -> Parts:
    return [
        text(TITLE, lettering.KICKER),
        text(report.title, lettering.TITLE),
        parts.gap(1),
        _about(report, width),
        *_shares(report, width),
        *_totals(report, width),
        *_given(report, width),
        *_batches(report, width),
        *_returns(report, width),
        parts.gap(4),
        text(SAYS, lettering.SMALL),
        text(parts.CAUTION, lettering.SMALL),
    ]


def _about(report: ProjectReport, width: float) -> Part:
    issuer = report.laboratory
    reached = [*issuer.address.splitlines(), issuer.phone]
    left = [
        parts.Fact("Project", report.code),
        parts.Fact("Period", report.period),
        parts.Fact("Generated on", report.printed),
        parts.Fact("Purpose", report.purpose),
    ]
    right = [
        parts.Fact("Partners", "\n".join(report.partners)),
        parts.Fact("Reported by", issuer.name, ", ".join(filter(None, reached))),
    ]
    shown = [[fact for fact in column if fact.value] for column in (left, right)]
    return parts.facts(width, *shown)


def _shares(report: ProjectReport, width: float) -> Parts:
    if not report.shares:
        return _none("Shares", "No shares were agreed.", width)
    rows: list[list[parts.Cell]] = [
        [
            row.partner,
            row.metal,
            lettering.stacked(row.share, row.terms),
            row.used,
            row.promised,
            row.free,
        ]
        for row in report.shares
    ]
    agreed = parts.table(
        SHARES, rows, width, shares=[60, 30, 64, 36, 36, 36], figures={3, 4, 5}
    )
    return parts.section("Shares", width, agreed)


def _totals(report: ProjectReport, width: float) -> Parts:
    if not report.totals:
        return []
    rows = [
        (row.partner, row.metal, row.vessels, row.given, row.used, row.back)
        for row in report.totals
    ]
    summed = parts.table(
        TOTALS, rows, width, shares=[66, 34, 20, 58, 58, 26], figures={2, 3, 4, 5}
    )
    note = text(report.combined, lettering.SMALL)
    return parts.section("Totals", width, summed, parts.gap(1), note)


def _given(report: ProjectReport, width: float) -> Parts:
    if not report.given:
        return _none("Who got what", "No metal was handed over.", width)
    rows: list[list[parts.Cell]] = [
        [
            row.date,
            row.partner,
            [text(row.vessel, lettering.STRONG)],
            row.batch,
            row.metal,
            row.mass,
            lettering.stacked(row.source, row.found),
            row.purpose,
        ]
        for row in report.given
    ]
    given = parts.table(
        GIVEN, rows, width, shares=[22, 42, 28, 18, 32, 46, 38, 36], figures={5}
    )
    return parts.section("Who got what", width, given)


def _batches(report: ProjectReport, width: float) -> Parts:
    if not report.batches:
        return []
    rows: list[list[parts.Cell]] = [
        [
            [text(row.batch, lettering.STRONG)],
            row.metal,
            row.origin,
            lettering.stacked(row.purity or "not stated", row.purity_by),
            row.total,
        ]
        for row in report.batches
    ]
    used = parts.table(BATCHES, rows, width, shares=[40, 46, 50, 62, 64], figures={4})
    return parts.section("From which batches", width, used)


def _returns(report: ProjectReport, width: float) -> Parts:
    if not report.returns:
        return _none("Returns", "Nothing came back or was reported used.", width)
    rows: list[list[parts.Cell]] = [
        [
            row.date,
            row.partner,
            [text(row.vessel, lettering.STRONG)],
            row.metal,
            row.state,
            row.used,
            row.source,
        ]
        for row in report.returns
    ]
    back = parts.table(
        RETURNS, rows, width, shares=[22, 50, 30, 26, 48, 50, 36], figures={5}
    )
    return parts.section("Returns", width, back)


def _none(title: str, words: str, width: float) -> Parts:
    return parts.section(title, width, text(words))
