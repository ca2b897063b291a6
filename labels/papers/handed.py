"""What a hand-over sheet says, taken out of the records."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from math import hypot

from django.utils import timezone
from django.utils.text import capfirst

from inventory.calc import codes
from inventory.calc.units import show_mass, show_percent
from inventory.models import (
    BookingLine,
    HandOver,
    HandOverLine,
    Movement,
    Vessel,
)
from inventory.operations import evidence, known
from labels.content import said_in, supplemental
from labels.rules import transport
from labels.shelf import Shelf, Wish, merged, transport_of

from .cautions import Hazard, Statement
from .certified import fillings_of, kept_in
from .content import day
from .handover import HandedVessel, HandOverSheet, TotalRow

LANGUAGE = "en"
COMBINED = (
    "The uncertainty of a sum is the root of the sum of the squares of those of the "
    "vessels. What they have in common, such as the error of a balance, is not followed."
)


def sheet(hand_over: HandOver, base_url: str) -> HandOverSheet:
    """Return the sheet of a hand-over, with the masses written down when it was made.

    `base_url` is the address in front of the printed codes' paths. Raises CannotPrint
    when the laboratory is not filled in, or a statement cannot be completed.
    """
    lines = list(hand_over.lines.select_related("booking_line__booking").order_by("id"))
    vessels = in_order(lines)
    shelf = Shelf.read(vessels)
    fillings = fillings_of(vessels)
    found = known.when_handed(lines)
    drawn = drawn_for(lines, fillings)
    purities = {
        batch: evidence.purity_of(batch, naming=False)
        for batch in {vessel.batch for vessel in vessels}
    }
    partner = hand_over.partner
    return HandOverSheet(
        number=str(hand_over.pk),
        date=day(hand_over.handed_at),
        project=hand_over.project.title,
        laboratory=shelf.supplier,
        partner=partner.name,
        partner_address=partner.address,
        vessels=tuple(
            HandedVessel(
                code=vessel.full_code,
                url=(
                    base_url + codes.qr_path(vessel.batch.code, vessel.number)
                ).upper(),
                kind=vessel.get_kind_display(),
                closure=closure_then(vessel, hand_over).lower(),
                mark=vessel.glass_mark,
                metal=capfirst(vessel.batch.material.name),
                symbol=vessel.batch.material.symbol,
                cas=vessel.batch.material.cas,
                batch=vessel.batch.code,
                mass=show_mass(line.mass_ug, line.u_ug),
                found=found[line.pk]["found"],
                purity=stated(purities[vessel.batch]),
                purity_by=said_by(purities[vessel.batch]),
                medium=f"under {kept_in(vessel)}",
                portion=portion(drawn.get(vessel.pk)),
                returned=returned(line),
            )
            for line, vessel in zip(lines, vessels, strict=True)
        ),
        totals=tuple(totals(lines, vessels)),
        combined=COMBINED,
        hazards=tuple(hazards(vessels, shelf)),
        printed=day(timezone.localdate()),
        carried=hand_over.carried,
        note=hand_over.note,
    )


def closure_then(vessel: Vessel, hand_over: HandOver) -> str:
    """Return how a vessel was closed when it left: its seal may be broken since."""
    left_on = timezone.localtime(hand_over.handed_at).date()
    if vessel.opened_on and vessel.opened_on > left_on:
        return str(vessel.get_closure_display())
    return str(vessel.closure_words)


def in_order(lines: Sequence[HandOverLine]) -> list[Vessel]:
    """Return the vessels of the lines, with all that labels and papers say of them."""
    rows = Vessel.objects.for_list().select_related("gas", "batch__hazard")
    by_pk = rows.in_bulk([line.vessel_id for line in lines])
    return [by_pk[line.vessel_id] for line in lines]


def drawn_for(
    lines: Sequence[HandOverLine], fillings: dict[int, Movement]
) -> dict[int, Vessel]:
    """Return {vessel key: the vessel its aliquot was drawn from for the booking}.

    The filling served an earlier line of the same booking then; other vessels were
    filled out of a receiver when the batch was made.
    """
    bookings = {line.booking_line.booking_id for line in lines}
    served = BookingLine.objects.filter(
        booking__in=bookings,
        closed_by__in={filling.entry_id for filling in fillings.values()},
    )
    entries = set(served.values_list("closed_by", flat=True))
    return {
        key: filling.from_vessel
        for key, filling in fillings.items()
        if filling.from_vessel and filling.entry_id in entries
    }


def stated(purity: evidence.Purity) -> str:
    return "" if purity.fraction is None else show_percent(purity.fraction)


def said_by(purity: evidence.Purity) -> str:
    return "" if purity.fraction is None else purity.words


def portion(source: Vessel | None) -> str:
    return f"aliquot, drawn from {source.full_code}" if source else "whole vessel"


def returned(line: HandOverLine) -> str:
    if line.return_by is None:
        return "not expected"
    return (
        f"expected by {day(line.return_by)}, with about {show_mass(line.expected_ug)}"
    )


def totals(
    lines: Sequence[HandOverLine], vessels: Sequence[Vessel]
) -> Iterable[TotalRow]:
    """Yield what is handed over of each metal."""
    of_metal: dict[str, list[HandOverLine]] = defaultdict(list)
    for line, vessel in zip(lines, vessels, strict=True):
        of_metal[vessel.batch.material.name].append(line)
    for metal, few in of_metal.items():
        yield TotalRow(
            metal=capfirst(metal),
            vessels=str(len(few)),
            mass=show_mass(
                sum(line.mass_ug for line in few), hypot(*(line.u_ug for line in few))
            ),
        )


def hazards(vessels: Iterable[Vessel], shelf: Shelf) -> Iterable[Hazard]:
    """Yield what each metal in its medium can do, each that differs once.

    The statements are those of the labels, in full. A lot with a data sheet of its own
    may say something else than its neighbour.
    """
    wish = Wish()
    told = set()
    for vessel in vessels:
        profile = merged(vessel, shelf)
        said = said_in(LANGUAGE, vessel, shelf, profile, wish)
        hazard = Hazard(
            metal=capfirst(vessel.batch.material.name),
            medium=f"under {kept_in(vessel)}",
            pictograms=profile.pictograms,
            signal_word=said.signal_word,
            h=together(profile.h, said.h_texts),
            euh=together(supplemental(profile, wish), said.euh_texts),
            p=together(profile.p, said.p_texts),
            transport=transport.line(transport_of(vessel, shelf)),
        )
        if hazard not in told:
            told.add(hazard)
            yield hazard


def together(said: Sequence[str], texts: Sequence[str]) -> tuple[Statement, ...]:
    return tuple(Statement(*both) for both in zip(said, texts, strict=True))
