"""The batch certificate: where a metal came from, what came of it, and who says so."""

from dataclasses import dataclass

from labels.wording import Supplier

from . import lettering, parts
from .lettering import Part, Parts, text
from .page import Paper, Running, render

TITLE = "Batch certificate"
SIGN_MM = 12.0
SIGNED_MM = 80.0  # signatures are not torn from one another

SAYS = (
    "This certificate repeats what the batch record said on the day it was printed. "
    "Uncertainties are expanded ones (k = 2, about 95 %). It is no safety data sheet."
)

CHARGES = ("Role", "Reagent", "Mass", "Purity", "Lot")
ASSAYS = ("Measured", "Purity", "Method", "Impurities, by mass")
VESSELS = ("Vessel", "Kind, closure", "Medium", "Net, as filled", "Filled")


@dataclass(frozen=True, slots=True)
class ChargeRow:
    role: str
    formula: str
    mass: str
    purity: str
    lot: str


@dataclass(frozen=True, slots=True)
class AssayRow:
    date: str
    purity: str
    method: str
    by: str
    found: str  # the impurities


@dataclass(frozen=True, slots=True)
class VesselRow:
    code: str  # with its check character
    kind: str
    closure: str
    medium: str
    net: str
    filled: str
    how: str  # out of which vessel, if not from the batch itself; whether weighed
    remaining: str


@dataclass(frozen=True, slots=True)
class Certificate:
    """Everything a certificate says, ready to print. Empty parts are left out."""

    laboratory: Supplier
    batch: str
    metal: str
    url: str
    printed: str
    provisional: str  # why the numbers may still change, empty once they may not
    origin: tuple[parts.Fact, ...]
    story: tuple[parts.Fact, ...]  # what takes lines of its own
    charges: tuple[ChargeRow, ...]
    possible: tuple[parts.Fact, ...]
    whereabouts: tuple[parts.Fact, ...]
    verdict: str
    purity: tuple[parts.Fact, ...]
    assays: tuple[AssayRow, ...]
    vessels: tuple[VesselRow, ...]
    maker: str  # "Made by"


def print_certificate(certificate: Certificate, paper: Paper) -> bytes:
    """Return the certificate as PDF. Raises CannotPrint."""
    said = certificate
    running = Running(TITLE, said.batch, said.laboratory.name, said.printed)
    return render(paper, running, lambda width: _story(said, width))


def _story(said: Certificate, width: float) -> Parts:
    return [
        _masthead(said, width),
        *_provisional(said, width),
        *_origin(said, width),
        *_charges(said, width),
        *_account(said, width),
        *_purity(said, width),
        *_vessels(said, width),
        *_signatures(said, width),
    ]


def _masthead(said: Certificate, width: float) -> Part:
    issuer = said.laboratory
    lines = [
        text(issuer.name, lettering.STRONG),
        text(f"{issuer.address}\n{issuer.phone}"),
    ]
    return parts.masthead(TITLE, said.metal, lines, said.url, said.batch, width)


def _provisional(said: Certificate, width: float) -> Parts:
    if not said.provisional:
        return []
    return [parts.gap(3), parts.boxed(said.provisional, width)]


def _origin(said: Certificate, width: float) -> Parts:
    half = -(-len(said.origin) // 2)
    pairs = [parts.facts(width, said.origin[:half], said.origin[half:])]
    if said.story:
        pairs.append(parts.facts(width, said.story))
    return parts.section("Origin", width, *pairs)


def _charges(said: Certificate, width: float) -> Parts:
    if not said.charges:
        return []
    charged = parts.table(
        CHARGES,
        [
            (row.role, row.formula, row.mass, row.purity, row.lot)
            for row in said.charges
        ],
        width,
        shares=[28, 42, 52, 22, 31],
        figures={2, 3},
    )
    return parts.section("Charged", width, charged)


def _account(said: Certificate, width: float) -> Parts:
    content = [parts.facts(width, *filter(None, (said.whereabouts, said.possible)))]
    if said.verdict:
        content.append(text(said.verdict))
    return parts.section("Yield and whereabouts", width, *content)


def _purity(said: Certificate, width: float) -> Parts:
    content = [parts.facts(width, said.purity)]
    if said.assays:
        rows: list[list[parts.Cell]] = [
            [row.date, row.purity, lettering.stacked(row.method, row.by), row.found]
            for row in said.assays
        ]
        content.append(
            parts.table(ASSAYS, rows, width, shares=[22, 20, 55, 78], figures={1})
        )
    return parts.section("Purity", width, *content)


def _vessels(said: Certificate, width: float) -> Parts:
    if not said.vessels:
        return []
    rows: list[list[parts.Cell]] = [
        [
            [text(row.code, lettering.STRONG)],
            lettering.stacked(row.kind, row.closure),
            row.medium,
            row.net,
            lettering.stacked(row.filled, row.how),
            row.remaining,
        ]
        for row in said.vessels
    ]
    filled = parts.table(
        [*VESSELS, f"Remaining\non {said.printed}"],
        rows,
        width,
        shares=[27, 25, 24, 46, 24, 29],
        figures={3, 5},
    )
    return parts.section("Vessels", width, filled)


def _signatures(said: Certificate, width: float) -> Parts:
    lines = parts.table(
        ("", "Name and role", "Date", "Signature"),
        [(words, "", "", "") for words in (said.maker, "Checked by")],
        width,
        shares=[42, 48, 27, 58],
        to_write_in=SIGN_MM,
    )
    words = text(f"{SAYS} {parts.CAUTION}", lettering.SMALL)
    return parts.section(
        "Signatures", width, lines, parts.gap(2), words, enough_mm=SIGNED_MM
    )
