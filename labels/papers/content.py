"""What papers say, taken out of the records: what all share, and the tare sheet."""

from collections.abc import Sequence
from datetime import date, datetime

from django.utils import timezone
from django.utils.text import capfirst

from inventory.calc import codes
from inventory.calc.units import show_mass, show_reading, show_volume
from inventory.models import Batch, Laboratory, Vessel, Weighing, WeighingPurpose

from .tare_sheet import Row, TareSheet

# What a sheet has room for on its first page.
ROWS_AT_LEAST = 12


def tare_sheet(batch: Batch, base_url: str, *, blank: int | None) -> TareSheet:
    """Return the tare sheet of a batch's vessels that were never filled.

    `blank` rows follow them; None asks for as many as fill the first page.
    """
    waiting = batch.vessels.filter(filled_on=None, retired_on=None)
    vessels = list(waiting.order_by("number"))
    tares = newest_tares(vessels)
    if blank is None:
        blank = max(0, ROWS_AT_LEAST - len(vessels))
    laboratory = Laboratory.objects.first()
    return TareSheet(
        batch=batch.code,
        metal=capfirst(batch.material.name),
        url=batch_url(batch, base_url),
        owner=laboratory.name if laboratory else "",
        printed=day(timezone.localdate()),
        rows=tuple(row(vessel, tares.get(vessel.pk)) for vessel in vessels),
        blank=blank,
    )


def newest_tares(vessels: Sequence[Vessel]) -> dict[int, Weighing]:
    """Return {pk of a vessel: its newest tare that stands}."""
    tares = Weighing.objects.filter(
        vessel__in=vessels, purpose=WeighingPurpose.TARE, struck_by=None
    )
    tares = tares.select_related("balance", "gas").order_by("id")
    return {tare.vessel_id: tare for tare in tares}


def row(vessel: Vessel, tare: Weighing | None) -> Row:
    """Return a vessel's row, with its tare if it was weighed already."""
    known = {}
    if tare:
        oil = f", with {show_mass(tare.liquid_ug)} of liquid" if tare.liquid_ug else ""
        known = {
            "tare": show_reading(tare.reading_ug, tare.balance.readability_ug),
            "tared": f"{day(tare.read_at)}, {tare.balance}{oil}",
            "gas": tare.gas.name,
        }
    return Row(
        code=vessel.full_code,
        mark=vessel.glass_mark,
        kind=vessel.get_kind_display(),
        volume=show_volume(vessel.capacity_ul),
        **known,
    )


def batch_url(batch: Batch, base_url: str) -> str:
    """Return the address of a batch's record, as its printed code has it."""
    return (base_url + codes.qr_path(batch.code)).upper()


def day(when: date) -> str:
    if isinstance(when, datetime):
        when = timezone.localtime(when)
    return f"{when:%-d %b %Y}"
