"""What a project's report says on paper, taken out of the records."""

from django.utils import timezone
from django.utils.text import capfirst

from inventory.calc.units import show_change, show_mass, show_percent
from inventory.models import Laboratory, Project
from inventory.operations import given, reporting, shares, standings
from labels.wording import CannotPrint, Supplier

from .content import day
from .project import (
    BatchRow,
    GivenRow,
    ProjectReport,
    ReturnRow,
    ShareRow,
    TotalRow,
)


class NoReporter(CannotPrint):
    def __init__(self) -> None:
        super().__init__(
            "A report names who drew it up. The keeper fills in the laboratory's "
            "name, address and telephone first."
        )


def project_report(project: Project, report: reporting.Report) -> ProjectReport:
    """Return a project's report, with the numbers of its page.

    Raises NoReporter when the laboratory is not filled in.
    """
    laboratory = Laboratory.objects.first()
    if laboratory is None:
        raise NoReporter
    partners = report.partners
    if partners is None:
        partners = project.partners.all()
    return ProjectReport(
        laboratory=Supplier(laboratory.name, laboratory.address, laboratory.phone),
        code=f"Project {project.pk}",
        title=project.title,
        purpose=project.purpose,
        period=report.period.words,
        partners=tuple(partner.name for partner in partners),
        printed=day(timezone.localdate()),
        shares=tuple(share_row(row) for row in report.shares),
        given=tuple(given_row(row) for row in report.given),
        batches=tuple(batch_row(row) for row in report.batches),
        returns=tuple(return_row(row) for row in report.returns),
        totals=tuple(total_row(row) for row in report.totals),
        combined=report.combined,
    )


def share_row(row: standings.Standing) -> ShareRow:
    share = row.share
    used, promised, free, agreed = (shares.show(share, part) for part in row.parts)
    pure = share.smallest_purity
    media = " or ".join(medium.name for medium in share.media.all())
    return ShareRow(
        partner=share.partner.name,
        metal=capfirst(share.material.name),
        share=agreed,
        terms=", ".join(
            filter(None, [pure and f"{show_percent(pure)} or purer", media])
        ),
        used=used,
        promised=promised,
        free=free,
    )


def given_row(row: given.Given) -> GivenRow:
    batch = row.vessel.batch
    return GivenRow(
        date=day(row.happened_at),
        partner=str(row.partner or capfirst(reporting.HOUSE)),
        vessel=row.vessel.full_code,
        batch=batch.code,
        metal=capfirst(batch.material.name),
        mass=show_mass(row.mass_ug, row.u_ug),
        found=row.words,
        purpose=row.purpose,
        source=row.source,
    )


def batch_row(row: reporting.FromBatch) -> BatchRow:
    return BatchRow(
        batch=row.batch.code,
        metal=capfirst(row.batch.material.name),
        origin=row.batch.get_kind_display(),
        purity="" if row.fraction is None else show_percent(row.fraction),
        purity_by=row.purity_words,
        total=show_mass(row.given_ug, row.u_given_ug),
    )


def return_row(row: given.Back) -> ReturnRow:
    less = row.used_ug < 0
    return ReturnRow(
        date=day(row.happened_at),
        partner=row.line.hand_over.partner.name,
        vessel=row.line.vessel.full_code,
        metal=capfirst(row.line.vessel.batch.material.name),
        state=row.words,
        used=show_change(row.used_ug) if less else show_mass(row.used_ug, row.u_ug),
        source=row.source,
    )


def total_row(row: reporting.Total) -> TotalRow:
    return TotalRow(
        partner=str(row.partner or capfirst(reporting.HOUSE)),
        metal=capfirst(row.material.name),
        vessels=str(row.vessel_count),
        given=show_mass(row.given_ug, row.u_given_ug),
        used=show_mass(row.used_ug, row.u_used_ug) if row.used_ug else "0 g",
        back=show_mass(row.back_ug),
    )
