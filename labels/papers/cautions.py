"""What a paper says of the dangers: statements, handling, transport.

The cautions for handling and for a seal that is broken are common practice (no
source), as is what never to bring near; the statements and the entry for transport
come with the metal. They end where local codes and licensed practice begin.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from labels.wording import Supplier, check_statements

from . import lettering, parts
from .drawn import Pictograms
from .lettering import Part, Parts, text

HANDLING = (
    parts.Fact(
        "Opening",
        "Never in air: only under dry inert gas, in a glovebox or on a Schlenk line. "
        "Lithium reacts with nitrogen too and wants argon.",
    ),
    parts.Fact(
        "On you",
        "Gloves, goggles with a face shield, and a flame-resistant coat. Never work "
        "alone.",
    ),
    parts.Fact(
        "Keep away",
        "Water, carbon dioxide, halogenated solvents and agents: they react violently "
        "with these metals, and may explode.",
    ),
    # As fills has it: no agent that a source forbids for a metal. Sources differ on
    # sand for lithium and caesium.
    parts.Fact(
        "Metal on fire",
        "Class D powder made for that metal. Dry sand only where the data sheet of the "
        "lot names it. Never water, foam, CO₂ or halon.",
    ),
    parts.Fact(
        "A crust",
        "Potassium, NaK, rubidium or caesium with a thick, white, yellow or orange "
        "crust can explode when cut or scratched: leave it alone and ask your safety "
        "office.",
    ),
)
BROKEN = (
    "A vessel that is cracked, leaking or not sealed is neither taken over nor "
    "carried. Leave it, keep people and water away, and telephone {who}."
)

# ADR 5.4.1.1.1 asks for the entry in this order (from memory), as rules.transport says.
ENTRY = "UN number, proper shipping name, class, packing group (PG)"
NO_ENTRY = "No entry is recorded. That does not mean that none applies."
TRANSPORT = (
    "Carriage on a public road, in a private or service car too, and every shipment "
    "follow ADR, the codes for rail, sea and air, or the local code. A licensed or "
    "trained dangerous-goods shipper decides before anything leaves the building: the "
    "form, the amount, the liquid around the metal and the package all change the "
    "entry. Never by ordinary post, in luggage or on public transport. This sheet is "
    "no transport document."
)

COLUMNS = ("Pictograms", "Contents and hazards", "Precautions")
UNCLASSIFIED = (
    "Not classified as hazardous in this form. Cutting or filing makes turnings and "
    "powder, which are."
)


class Statement(NamedTuple):
    """A hazard or precautionary statement: its code, and its text in full."""

    code: str  # "H260"
    text: str


@dataclass(frozen=True, slots=True)
class Hazard:
    """What a metal in its medium can do; one for each two that differ.

    Raises UnfinishedStatement for a statement with a gap or a choice left in it.
    """

    metal: str
    medium: str  # "under light mineral oil, argon above"
    pictograms: tuple[str, ...]  # "GHS02"
    signal_word: str
    h: tuple[Statement, ...]
    euh: tuple[Statement, ...]
    p: tuple[Statement, ...]
    transport: str  # as `rules.transport.line` gives it, empty if there is no entry
    batches: str = ""  # which ones, where the data sheets of two lots differ

    def __post_init__(self) -> None:
        check_statements(tuple(said.text for said in self.h + self.euh + self.p))

    def named(self, words: str) -> str:
        return f"{words} ({self.batches})" if self.batches else words


def hazards(all_hazards: Sequence[Hazard], width: float) -> Parts:
    """Return what each metal in its medium can do; those that say the same, as one."""
    alike: dict[tuple[object, ...], list[Hazard]] = {}
    for one in all_hazards:
        said = (one.pictograms, one.signal_word, one.h, one.euh, one.p)
        alike.setdefault(said, []).append(one)
    rows: list[list[parts.Cell]] = [
        [
            _danger(same[0]),
            [*map(_contents, same), *_dangers(same[0])],
            _statements(same[0].p),
        ]
        for same in alike.values()
    ]
    listed = parts.table(COLUMNS, rows, width, shares=[34, 61, 80])
    return parts.section("Hazards", width, listed)


def _danger(hazard: Hazard) -> Parts:
    drawn = [Pictograms(hazard.pictograms)] if hazard.pictograms else []
    word = hazard.signal_word
    return drawn + ([text(word, lettering.STRONG)] if word else [])


def _contents(hazard: Hazard) -> Part:
    words = hazard.named(f"{hazard.metal}, {hazard.medium}")
    return text(words, lettering.STRONG)


def _dangers(hazard: Hazard) -> Parts:
    return _statements(hazard.h + hazard.euh) or [text(UNCLASSIFIED)]


def _statements(statements: Sequence[Statement]) -> Parts:
    lines = [text(said.text, note=said.code) for said in statements]
    return [part for line in lines for part in (line, parts.gap(0.6))]


def handling(width: float) -> Parts:
    return parts.section("Handling", width, parts.facts(width, HANDLING))


def broken(ask: Supplier) -> Part:
    """Return what to do with a vessel that is not sound: telephone who hands it over."""
    who = f"{ask.name} ({ask.phone})" if ask.phone else ask.name
    return text(BROKEN.format(who=who))


def transport(all_hazards: Sequence[Hazard], width: float) -> Parts:
    entries = dict.fromkeys(
        (one.named(one.metal), one.transport or NO_ENTRY) for one in all_hazards
    )
    listed = parts.table(("Metal", ENTRY), entries, width, shares=[45, 130])
    return parts.section("Transport", width, listed, parts.gap(1), text(TRANSPORT))
