"""What a batch's certificate says, taken out of the records."""

from collections.abc import Iterable, Sequence
from typing import Any

from django.utils import timezone
from django.utils.text import capfirst

from inventory.calc.purity import Content, grade, show_content
from inventory.calc.units import (
    show_amount,
    show_change,
    show_mass,
    show_percent,
    show_plus_minus,
)
from inventory.models import (
    Assay,
    Batch,
    BatchKind,
    Charge,
    Laboratory,
    Method,
    Movement,
    MovementKind,
    Vessel,
)
from inventory.operations import accounts, evidence
from labels.wording import CannotPrint, Supplier

from .certificate import AssayRow, Certificate, ChargeRow, VesselRow
from .content import batch_url, day
from .parts import Fact

PROVISIONAL = (
    "Not closed: provisional. The account of this batch is not drawn up yet, and its "
    "numbers may change."
)


class NoIssuer(CannotPrint):
    def __init__(self) -> None:
        super().__init__(
            "A certificate names who issues it. The keeper fills in the laboratory's "
            "name, address and telephone first."
        )


def certificate(batch: Batch, base_url: str) -> Certificate:
    """Return the certificate of a batch, as it is recorded now.

    Its numbers are those of the batch's page. Raises NoIssuer when the laboratory
    is not filled in.
    """
    laboratory = Laboratory.objects.first()
    if laboratory is None:
        raise NoIssuer
    account = accounts.of(batch)
    return Certificate(
        laboratory=Supplier(laboratory.name, laboratory.address, laboratory.phone),
        batch=batch.code,
        metal=capfirst(batch.material.name),
        url=batch_url(batch, base_url),
        printed=day(timezone.localdate()),
        provisional="" if account.closing else PROVISIONAL,
        origin=origin(batch),
        story=said(Fact("Route", batch.route), Fact("Note", batch.note)),
        charges=tuple(
            charge_row(line.charge) for line in account.charges if not line.struck
        ),
        possible=possible(account),
        whereabouts=whereabouts(account),
        verdict=" ".join(filter(None, [account.too_much_words, account.verdict_words])),
        purity=purity(batch, account.purity),
        assays=tuple(assay_row(assay) for assay in standing_assays(batch)),
        vessels=tuple(vessel_rows(batch)),
        maker="Received by" if batch.kind == BatchKind.BOUGHT else "Made by",
    )


def said(*facts: Fact) -> tuple[Fact, ...]:
    """Return the facts that have a value."""
    return tuple(fact for fact in facts if fact.value)


def origin(batch: Batch) -> tuple[Fact, ...]:
    parents = batch.parents.select_related("material").order_by("code")
    return said(
        Fact("Origin", batch.get_kind_display(), batch.get_process_display()),
        Fact("Date", day(batch.made_on)),
        Fact("CAS number", batch.material.cas),
        Fact("Supplier's lot", batch.lot),
        *(Fact("Made from", each.code, each.material.name) for each in parents),
    )


def charge_row(charge: Charge) -> ChargeRow:
    return ChargeRow(
        role=charge.get_role_display(),
        formula=charge.formula,
        mass=show_mass(charge.mass_ug, charge.u_ug),
        purity=show_percent(charge.purity),
        lot=charge.lot,
    )


def possible(found: accounts.Account) -> tuple[Fact, ...]:
    """Return what the charges could give at most, and what they leave behind."""
    if found.unread:
        return (Fact("Theoretical", "not known", found.unread),)
    if not found.theoretical_ug:
        return ()
    theoretical = show_mass(found.theoretical_ug, found.u_theoretical_ug)
    less = 0 < found.limited_ug < found.theoretical_ug
    at_most = show_mass(found.limited_ug, found.u_limited_ug) if less else ""
    left = found.byproduct_ug or 0
    return said(
        Fact("Theoretical", theoretical, show_amount(found.theoretical_mol)),
        Fact("Limited by", found.limiting, found.limiting_note),
        Fact("At most", at_most, "with this much reductant"),
        Fact(
            "Reductant", found.excess_words, "electrons, against what the sources need"
        ),
        Fact(
            "By-product",
            show_mass(left, found.u_byproduct_ug) if left else "",
            found.byproduct_formula,
        ),
    )


def whereabouts(found: accounts.Account) -> tuple[Fact, ...]:
    """Return what came of the batch, and where it is now."""

    def gone(term: str, ug: float) -> Fact:
        return Fact(term, show_mass(ug) if ug else "")

    def since(term: str, ug: int, note: str = "") -> Fact:
        return Fact(term, show_change(ug) if ug else "", note)

    tested = show_change(found.unaccounted_ug) if found.balance else ""
    lost = show_mass(found.lost_ug, found.u_lost_ug) if found.lost_ug else ""
    closed = found.closing
    return said(
        Fact(
            "Closed",
            day(closed.entry.recorded_at) if closed else "",
            closed.reason if closed else "",
        ),
        Fact("Yield", found.yield_words, "of the theoretical mass"),
        Fact(
            "Collected",
            show_mass(found.collected_ug, found.u_collected_ug),
            found.collected_words,
        ),
        Fact(
            "In vessels",
            show_mass(found.filled_ug, found.u_filled_ug),
            "when filled; a receiver's metal counts once",
        ),
        Fact("Lost on the way", lost, "as stated"),
        Fact("Not accounted for", tested, show_plus_minus(found.u_unaccounted_ug)),
        Fact("Still held", show_mass(found.held_ug)),
        gone("Used in experiments", found.used_ug),
        gone("Destroyed", found.destroyed_ug),
        since("Lost since", found.lost_since_ug),
        since("Found missing since", found.missing_since_ug, "by weighing"),
    )


def purity(batch: Batch, found: evidence.Purity) -> tuple[Fact, ...]:
    """Return how pure the batch counts as, and on whose word."""
    stated = found.fraction is not None
    of_assay = found.assay.grade if found.assay else ""
    also = batch.purity is not None and not found.claimed
    return said(
        Fact("Counts as", show_percent(found.fraction), found.words)
        if stated
        else Fact("Counts as", found.words),
        Fact("Grade", of_assay or (grade(found.fraction) if stated else "")),
        Fact("Claimed when recorded", show_percent(batch.purity) if also else ""),
    )


def standing_assays(batch: Batch) -> Any:
    return batch.assays.standing().prefetch_related("impurities")


def assay_row(assay: Assay) -> AssayRow:
    impurities = [
        f"{found.species} "
        + show_content(Content(found.fraction, found.unit, found.below))
        for found in assay.impurities.all()
    ]
    return AssayRow(
        date=day(assay.measured_on),
        purity="" if assay.purity is None else show_percent(assay.purity),
        method=assay.method,
        by=assay.measured_by,
        found=", ".join(impurities),
    )


def vessel_rows(batch: Batch) -> Iterable[VesselRow]:
    """Yield a row for each vessel that was filled, in the order of their numbers."""
    vessels = batch.vessels.filter(filled_on__isnull=False)
    vessels = list(vessels.for_list().order_by("number"))
    fillings = fillings_of(vessels)
    for vessel in vessels:
        filling = fillings[vessel.pk]
        stated = filling.method == Method.STATED
        source = f"from {filling.from_vessel}" if filling.from_vessel else ""
        yield VesselRow(
            code=vessel.full_code,
            kind=vessel.get_kind_display(),
            closure=vessel.closure_words,
            medium=kept_in(vessel),
            net=show_mass(filling.mass_ug, filling.u_ug),
            filled=day(filling.happened_at),
            how=", ".join(filter(None, [source, "mass as stated" if stated else ""])),
            remaining=show_mass(vessel.remaining_ug),
        )


def fillings_of(vessels: Sequence[Vessel]) -> dict[int, Movement]:
    """Return {pk of a vessel: the movement that filled it}."""
    moved = Movement.objects.standing().filter(
        to_vessel__in=vessels, kind__in=(MovementKind.FILL, MovementKind.TRANSFER)
    )
    moved = moved.select_related("from_vessel").order_by("-id")
    return {movement.to_vessel_id: movement for movement in moved}


def kept_in(vessel: Vessel) -> str:
    """Return what surrounds the metal, as in "light mineral oil, argon above"."""
    if vessel.gas_id and vessel.gas_id != vessel.medium_id:
        return f"{vessel.medium.name}, {vessel.gas.name} above"
    return str(vessel.medium.name)
