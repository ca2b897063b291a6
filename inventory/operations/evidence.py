"""How pure a batch is, on whose word, and recording what an analysis found."""

from dataclasses import dataclass

from django.utils import timezone

from inventory.calc import purity
from inventory.calc.units import show_percent
from inventory.models import Assay, Attachment, Batch, BatchKind, Impurity

from . import log
from .errors import OperationError


@dataclass(frozen=True, slots=True)
class Purity:
    """How pure a batch counts as. `fraction` is None when nobody says.

    `words` say on whose word, and can stand behind the number. `inherited_from` is
    the batch it was stated for, when nobody tested this one.
    """

    fraction: float | None
    words: str
    assay: Assay | None = None
    claimed: bool = False
    inherited_from: Batch | None = None


@dataclass(frozen=True, slots=True)
class Found:
    """An impurity of an assay; `field` is the prefix of the form's row it came in."""

    species: str
    content: purity.Content
    field: str = ""


def purity_of(batch, *, naming=True):
    """Return how pure `batch` counts as.

    By its newest standing assay that gives a purity; else as claimed with the batch;
    else by the lowest of what is stated for those it was made from, not re-tested.
    Without `naming`, for who may not look further, no other batch is named.
    """
    own = stated(batch, newest_assays([batch.pk]).get(batch.pk))
    return own or inherited(batch, naming)


def newest_assays(batches):
    """Return {batch key: its newest standing assay that gives a purity}."""
    assays = Assay.objects.standing().filter(batch__in=batches, purity__isnull=False)
    in_order = assays.select_related("certificate").order_by("measured_on", "id")
    return {assay.batch_id: assay for assay in in_order}


def stated(batch, assay):
    """Return the Purity that is stated for `batch` itself, or None."""
    if assay:
        return Purity(assay.purity, f"measured {on(assay)}", assay=assay)
    if batch.purity is not None:
        return Purity(batch.purity, "as claimed", claimed=True)
    return None


def on(assay):
    return f"on {assay.measured_on:%-d %b %Y}"


def inherited(batch, naming=True):
    """Return the Purity that comes down to `batch`: the lowest there is above it."""
    sources, silent = origins(batch)
    if not sources:
        return Purity(None, "not known")
    source, own = min(sources, key=lambda each: each[1].fraction)
    which = source if naming else "a batch it was made from"
    words = f"as claimed for {which}"
    if own.assay:
        words = f"as measured for {which} {on(own.assay)}"
    if len(sources) > 1:
        words = f"the lowest of its origins, {words}"
    if silent:
        others = ", ".join(map(str, silent)) if naming else "another"
        words += f"; nothing is stated for {others}"
    origin = source if naming else None
    return Purity(own.fraction, f"not re-tested: {words}", inherited_from=origin)


def origins(batch):
    """Return ([(batch, its Purity)], [batches with none]) from which `batch` came.

    Goes up to where a purity is stated, two questions a generation, and past no
    batch twice.
    """
    links = Batch.parents.through.objects.select_related("to_batch")
    sources, unstated, with_parents = [], {}, set()
    seen, asking = {batch.pk}, [batch.pk]
    while asking:
        rows = list(links.filter(from_batch__in=asking).order_by("to_batch__code"))
        with_parents |= {row.from_batch_id for row in rows}
        new = {r.to_batch_id: r.to_batch for r in rows if r.to_batch_id not in seen}
        assays = newest_assays(new)
        asking = []
        for pk, parent in new.items():
            if own := stated(parent, assays.get(pk)):
                sources.append((parent, own))
            else:
                unstated[pk] = parent
                asking.append(pk)
        seen |= set(new)
    silent = [parent for pk, parent in unstated.items() if pk not in with_parents]
    return sources, silent


@log.operation
def record_assay(batch, facts, impurities=(), *, by, request_id):
    """Record what was claimed or measured about a batch's purity; return the assay.

    `facts` are the assay's own fields, `impurities` the Found.
    """
    batch = log.lock(Batch.objects.select_related("material"), batch.pk)
    if earlier := log.repeated(request_id):
        return earlier.assays.get()
    refuse_nothing_said(facts, impurities)
    refuse_day(batch, facts["measured_on"])
    refuse_certificate(batch, facts.get("certificate"))
    refuse_impurities(batch, impurities)
    fraction = facts.get("purity")
    entry = log.write(
        "assay",
        f"Assay of {batch}: "
        + (show_percent(fraction) if fraction else "impurities only")
        + f", {facts['method']}",
        by=by,
        request_id=request_id,
        batch=batch,
    )
    assay = Assay.objects.create(batch=batch, entry=entry, **facts)
    Impurity.objects.bulk_create(
        Impurity(
            assay=assay,
            species=found.species,
            fraction=found.content.fraction,
            unit=found.content.unit,
            below=found.content.below,
        )
        for found in impurities
    )
    return assay


def refuse_nothing_said(facts, impurities):
    if facts.get("purity") is None and not impurities:
        raise OperationError("Give the purity, or at least one impurity.", "purity")


def refuse_day(batch, measured_on):
    """Refuse tomorrow, and a day before there was the metal; a supplier's may be old."""
    if measured_on > timezone.localdate():
        raise OperationError("This date lies in the future.", "measured_on")
    if batch.kind != BatchKind.BOUGHT and measured_on < batch.made_on:
        raise OperationError(
            f"{batch} is of {batch.made_on:%-d %b %Y}: it was not there to be measured "
            "before.",
            "measured_on",
        )


def refuse_certificate(batch, certificate):
    """Refuse a file of another batch, and one that was taken off."""
    kept = Attachment.objects.standing().filter(batch=batch)
    if certificate and not kept.filter(pk=certificate.pk).exists():
        raise OperationError("This file is not kept with the batch.", "certificate")


def refuse_impurities(batch, impurities):
    """Refuse the metal itself, one impurity twice, and more than there is room for."""
    seen = set()
    for found in impurities:
        try:
            purity.parse_species(found.species, batch.material.symbol)
        except purity.PurityError as error:
            raise OperationError(str(error), f"{found.field}-species") from error
        if found.species in seen:
            raise OperationError(
                f"{found.species} stands here twice.", f"{found.field}-species"
            )
        seen.add(found.species)
    if purity.total(found.content for found in impurities) > 1:
        raise OperationError("The impurities add up to more than the whole.")


@log.operation
def withdraw_assay(assay, *, reason, by, request_id):
    """Take a wrong assay out of what counts. It stays on the page, struck through."""
    batch = log.lock(Batch.objects.all(), assay.batch_id)
    if earlier := log.repeated(request_id):
        return earlier.assays.get()
    if assay.withdraws_id or Assay.objects.filter(withdraws=assay).exists():
        raise OperationError("This assay is struck out already.")
    entry = log.write(
        "assay-withdraw",
        f"Struck out the assay of {assay.measured_on:%-d %b %Y}: {reason}",
        by=by,
        request_id=request_id,
        batch=batch,
    )
    return Assay.objects.create(
        batch=batch,
        purity=assay.purity,
        grade=assay.grade,
        method=assay.method,
        measured_on=assay.measured_on,
        measured_by=assay.measured_by,
        certificate=assay.certificate,
        note=assay.note,
        withdraws=assay,
        entry=entry,
    )
