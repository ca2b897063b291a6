"""What vouches for a batch, for its page: the purity, the assays and the files."""

from dataclasses import dataclass

from inventory.calc import purity
from inventory.calc.units import show_percent
from inventory.models import Assay, Attachment
from inventory.operations import evidence


@dataclass(frozen=True, slots=True)
class AssayRow:
    """An assay with its impurities in words, and what speaks against it."""

    assay: Assay
    struck: bool
    counts: bool
    grade: str
    impurities: list[tuple[str, str]]
    contradiction: str
    certificate: Attachment | None


def of_batch(batch, user):
    """Return what `user` may see of a batch's purity and files."""
    found = evidence.purity_of(batch, naming=not user.is_partner)
    files = files_of(batch, user)
    assays = assays_of(batch, user)
    shown = {file.pk: file for file in files if not is_withdrawn(file)}
    return {
        "purity": found,
        "grade": grade_of(found),
        "against_claim": against_claim(batch, found),
        "assays": [row(assay, found, shown) for assay in assays],
        "files": files,
    }


def assays_of(batch, user):
    """Return the assays, newest first; a partner sees none that was struck out."""
    rows = batch.assays.standing() if user.is_partner else batch.assays.recorded()
    rows = rows.select_related("entry__by", "withdrawn_by__entry")
    return list(rows.prefetch_related("impurities"))


def files_of(batch, user):
    """Return the files; inside, also the lines of those that were taken off."""
    rows = Attachment.objects.filter(batch=batch).recorded()
    if user.is_partner:
        rows = Attachment.objects.visible_to(user).filter(batch=batch)
    return list(rows.select_related("entry__by", "withdrawn_by__entry"))


def is_withdrawn(row):
    return hasattr(row, "withdrawn_by")


def row(assay, found, files):
    """Return the AssayRow; `files` are those that may be opened, by key."""
    contents = [
        (each.species, purity.Content(each.fraction, each.unit, each.below))
        for each in assay.impurities.all()
    ]
    return AssayRow(
        assay=assay,
        struck=is_withdrawn(assay),
        counts=assay == found.assay,
        grade=assay.grade or nines(assay.purity),
        impurities=[(name, purity.show_content(each)) for name, each in contents],
        contradiction=purity.contradiction(
            assay.purity, [content for _, content in contents]
        ),
        certificate=files.get(assay.certificate_id),
    )


def grade_of(found):
    """Return the grade in words: as the assay gives it, else by the nines."""
    return (found.assay and found.assay.grade) or nines(found.fraction)


def nines(fraction):
    return "" if fraction is None else purity.grade(fraction)


def against_claim(batch, found):
    """Return in one sentence that less was measured than was claimed, or nothing."""
    if not found.assay or batch.purity is None or batch.purity <= found.fraction:
        return ""
    measured, claimed = show_percent(found.fraction), show_percent(batch.purity)
    return f"{claimed} was claimed, and {measured} was measured. The assay counts."
