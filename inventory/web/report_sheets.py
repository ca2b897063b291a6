"""A project's report as tables for a spreadsheet: CSV one by one, XLSX all at once."""

import re
from datetime import date

from django.utils import timezone
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE
from tablib import Databook, Dataset

from inventory.operations import log
from inventory.operations.reporting import HOUSE

from .exports import disarm

UNCERTAINTY = "U (g, k = 2)"
GIVEN = (
    "Date",
    "Partner",
    "Vessel",
    "Batch",
    "Metal",
    "Mass (g)",
    UNCERTAINTY,
    "Purity of the batch (%)",
    "Went",
    "How it was found",
    "Source",
    "Purpose",
)
RETURNS = (
    "Date",
    "Partner",
    "Vessel",
    "Metal",
    "What came back",
    "Used (g)",
    UNCERTAINTY,
    "Back in its vessel (g)",
    "Source",
    "Note",
)
BATCHES = (
    "Batch",
    "Metal",
    "Origin",
    "Purity (%)",
    "Purity by",
    "Given of it (g)",
    UNCERTAINTY,
)
SHARES = (
    "Partner",
    "Metal",
    "Counted in",
    "Share",
    "Used",
    "Promised",
    "Free",
    "Smallest purity (%)",
    "Media",
)
TOTALS = (
    "Partner",
    "Metal",
    "Vessels",
    "Given (g)",
    "U of given (g, k = 2)",
    "Used (g)",
    "U of used (g, k = 2)",
    "Came back (g)",
)


def grams(ug):
    return None if ug is None else round(ug / 1_000_000, 6)


def expanded(u_ug):
    """Return a standard uncertainty in µg as U in grams, k = 2; None where none is known."""
    return grams(2 * u_ug) if u_ug else None


def percent(fraction):
    return None if fraction is None else round(fraction * 100, 6)


def given(report):
    purity = {row.batch: row.fraction for row in report.batches}
    for row in report.given:
        batch = row.vessel.batch
        yield (
            log.local_date(row.happened_at),
            str(row.partner or HOUSE),
            row.vessel.full_code,
            batch.code,
            batch.material.name,
            grams(row.mass_ug),
            expanded(row.u_ug),
            percent(purity[batch]),
            "in its vessel" if row.is_handed else "withdrawn here",
            row.found,
            row.source,
            row.purpose,
        )


def returns(report):
    for row in report.returns:
        vessel = row.line.vessel
        yield (
            log.local_date(row.happened_at),
            str(row.line.hand_over.partner),
            vessel.full_code,
            vessel.batch.material.name,
            row.words,
            grams(row.used_ug),
            expanded(row.u_ug),
            grams(row.back_ug),
            row.source,
            row.note,
        )


def batches(report):
    for row in report.batches:
        yield (
            row.batch.code,
            row.batch.material.name,
            row.batch.get_kind_display(),
            percent(row.fraction),
            row.purity_words,
            grams(row.given_ug),
            expanded(row.u_given_ug),
        )


def shares(report):
    for row in report.shares:
        share = row.share
        by_mass = share.mass_ug is not None
        used, promised, free, agreed = map(grams, row.parts) if by_mass else row.parts
        yield (
            str(share.partner),
            share.material.name,
            "g" if by_mass else "vessels",
            agreed,
            used,
            promised,
            free,
            percent(share.smallest_purity),
            ", ".join(medium.name for medium in share.media.all()),
        )


def totals(report):
    for row in report.totals:
        yield (
            str(row.partner or HOUSE),
            row.material.name,
            row.vessel_count,
            grams(row.given_ug),
            expanded(row.u_given_ug),
            grams(row.used_ug),
            expanded(row.u_used_ug),
            grams(row.back_ug),
        )


SHEETS = {
    "given": (GIVEN, given),
    "returns": (RETURNS, returns),
    "batches": (BATCHES, batches),
    "shares": (SHARES, shares),
    "totals": (TOTALS, totals),
}


def clean(value):
    """Return text without what no spreadsheet takes, and disarmed; the rest as it is."""
    if isinstance(value, str):
        return disarm(re.sub(ILLEGAL_CHARACTERS_RE, "", value))
    return value


def as_text(value):
    """Return a cell as CSV has it: days as 2026-03-20, masses with every digit."""
    if value is None:
        return ""
    if isinstance(value, date):
        return value.isoformat()
    return f"{value:.6f}" if isinstance(value, float) else value


def dataset(report, name, shown=lambda value: value):
    heads, rows = SHEETS[name]
    table = Dataset(headers=heads, title=name)
    for row in rows(report):
        table.append([shown(clean(value)) for value in row])
    return table


def csv(report, name):
    """Return one of the SHEETS as CSV."""
    return dataset(report, name, as_text).export("csv")


def about(project, report):
    """Return what the numbers of the other sheets are, as a sheet before them."""
    rows = [
        ("Project", project.title),
        ("Period", report.period.words or "all of it"),
        ("Drawn up on", timezone.localdate()),
        ("U", "Expanded uncertainty, k = 2, about 95 %"),
        ("Sums", report.combined),
    ]
    table = Dataset(headers=("About", "this report"), title="about")
    for row in rows:
        table.append([clean(value) for value in row])
    return table


def workbook(project, report):
    """Return the bytes of an XLSX workbook with all SHEETS; numbers are numbers."""
    book = Databook([about(project, report)])
    for name in SHEETS:
        book.add_sheet(dataset(report, name))
    return book.export("xlsx", column_width=18)
