"""Batches and what was charged into them."""

from django.db.models import Max
from django.utils import timezone

from inventory.calc import codes, stoichiometry
from inventory.calc.units import show_mass
from inventory.models import Batch, BatchKind, Charge, ChargeRole, Material

from . import closing, families, log
from .errors import OperationError


@log.operation
def record(*, material, facts, parents=(), by, request_id):
    """Record a batch of `material` under the next free code, and return it.

    Locks the material, so that two batches cannot get the same code.
    """
    material = log.lock(Material.objects.all(), material.pk)
    if earlier := log.repeated(request_id):
        return earlier.batch
    refuse_date(facts["made_on"])
    refuse_no_process(facts)
    families.refuse(material, facts, parents)
    year = facts["made_on"].year
    last = Batch.objects.filter(material=material, year=year).aggregate(Max("run"))
    run = 0 if last["run__max"] is None else last["run__max"] + 1
    batch = Batch.objects.create(
        material=material,
        year=year,
        run=run,
        code=codes.batch_code(material.symbol, year, run),
        **with_hazard(material, facts),
    )
    batch.parents.set(parents)
    log.write(
        "batch-record",
        f"Recorded batch {batch} of {material.name}",
        by=by,
        request_id=request_id,
        batch=batch,
    )
    return batch


@log.operation
def change(batch, facts, *, parents=None, by, request_id):
    """Change what is noted about a batch; its material, year and code stay.

    `parents` replace those it had; None leaves them. Locks all families: two people
    at once could close a loop that neither of them sees.
    """
    families.lock()
    batch = log.lock(Batch.objects.select_related("material"), batch.pk)
    if log.repeated(request_id):
        return batch
    if facts["made_on"].year != batch.year:
        raise OperationError(
            f"The code {batch} says {batch.year}, and printed labels carry it: "
            "the date has to stay in that year.",
            "made_on",
        )
    refuse_date(facts["made_on"])
    refuse_no_process(facts)
    before = set(batch.parents.select_related("material"))
    after = before if parents is None else set(parents)
    families.refuse(batch.material, facts, after)
    if after != before:
        closing.refuse_closed(batch, "parents")
        families.refuse_loop(batch, after)
        batch.parents.set(after)
    for name, value in with_hazard(batch.material, facts).items():
        setattr(batch, name, value)
    batch.save()
    log.write(
        "batch-change",
        f"Changed the notes on batch {batch}{made_from(before, after)}",
        by=by,
        request_id=request_id,
        batch=batch,
    )
    return batch


def made_from(before, after):
    """Return what a change of parents adds to the line in the log."""
    if after == before:
        return ""
    codes = ", ".join(sorted(map(str, after)))
    return f": made from {codes}" if codes else ": made from no other batch"


def refuse_no_process(facts):
    """Refuse a batch made here without saying how: like is compared with like."""
    made_here = facts["kind"] in (BatchKind.MADE, BatchKind.REPURIFIED)
    if made_here and not facts.get("process"):
        raise OperationError(
            "Say how it was made: batches of one process are compared.", "process"
        )


def refuse_date(made_on):
    if made_on > timezone.localdate():
        raise OperationError("This date lies in the future.", "made_on")


def with_hazard(material, facts):
    """Return `facts` with the hazard profile: the material's first if none is given."""
    hazard = facts.get("hazard") or material.hazards.first()
    if hazard is None or hazard.material_id != material.pk:
        raise OperationError(
            f"Choose a form of {material.name}: its hazards are on the label.",
            "hazard",
        )
    return {**facts, "hazard": hazard}


@log.operation
def charge(
    batch, *, formula, role, mass_ug, u_ug, purity, u_purity=None, lot="", by, request_id
):  # fmt: skip
    """Add a reagent that was weighed into `batch`, and return the charge."""
    batch = log.lock(Batch.objects.select_related("material"), batch.pk)
    if earlier := log.repeated(request_id):
        return earlier.charges.get()
    closing.refuse_closed(batch)
    refuse_formula(batch.material.symbol, formula, role)
    if u_purity is not None and u_purity >= purity:
        raise OperationError(
            "The uncertainty is as large as the purity: that says nothing.", "u_purity"
        )
    entry = log.write(
        "charge",
        f"Charged {show_mass(mass_ug)} of {formula} into {batch}",
        by=by,
        request_id=request_id,
        batch=batch,
    )
    return Charge.objects.create(
        batch=batch,
        formula=formula,
        role=role,
        mass_ug=mass_ug,
        u_ug=u_ug,
        purity=purity,
        u_purity=u_purity,
        lot=lot,
        entry=entry,
    )


def refuse_formula(symbol, formula, role):
    """Refuse what cannot be read, and a metal source without the metal in it."""
    try:
        stoichiometry.refuse_unlikely(formula)
        if role == ChargeRole.SOURCE:
            elements = ("Na", "K") if symbol == "NaK" else (symbol,)
            if not any(stoichiometry.metal_atoms(formula, el) for el in elements):
                raise OperationError(
                    f"{formula} has no {' or '.join(elements)} in it, "
                    "so it cannot be the metal source.",
                    "formula",
                )
    except stoichiometry.FormulaError as error:
        raise OperationError(str(error), "formula") from error


@log.operation
def withdraw_charge(charge, *, reason, by, request_id):
    """Take a wrong charge out of the sums. It stays on the page, struck through."""
    batch = log.lock(Batch.objects.all(), charge.batch_id)
    if earlier := log.repeated(request_id):
        return earlier.charges.get()
    closing.refuse_closed(batch)
    if charge.withdraws_id or hasattr(charge, "withdrawn_by"):
        raise OperationError("This charge is struck out already.")
    entry = log.write(
        "charge-withdraw",
        f"Struck out {show_mass(charge.mass_ug)} of {charge.formula}: {reason}",
        by=by,
        request_id=request_id,
        batch=batch,
    )
    return Charge.objects.create(
        batch=batch,
        formula=charge.formula,
        role=charge.role,
        mass_ug=charge.mass_ug,
        u_ug=charge.u_ug,
        purity=charge.purity,
        u_purity=charge.u_purity,
        lot=charge.lot,
        withdraws=charge,
        entry=entry,
    )
