"""What the label of a vessel says, taken out of the records."""

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.utils.text import capfirst

from inventory.calc import codes
from inventory.calc.units import show_mass, show_volume
from inventory.models import Laboratory, MediumKind, MediumRule, Vessel

from . import statements
from .wording import CannotPrint, LabelContent, Supplier

# Only agents that no source consulted forbids for the metal. The lithium-rated
# powders are those of NFPA 484 practice; from memory, the data sheet decides.
EXTINGUISHERS = {
    "Li": "lithium-rated Class D powder (copper or graphite), "
    "never water, foam, CO₂ or halon,"
}
ANY_EXTINGUISHER = "Class D metal-fire powder, never water, foam, CO₂ or halon,"
LANGUAGE = "en"


class NoSupplier(CannotPrint):
    def __init__(self) -> None:
        super().__init__(
            "A label names who answers for it. The keeper fills in the laboratory's "
            "name, address and telephone first."
        )


def printable(vessels: Any) -> Any:
    """Return the vessels of a queryset that a label can be printed for, with sums."""
    return vessels.for_list().in_stock().select_related("gas", "batch__hazard")


def for_vessels(vessels: Iterable[Vessel], base_url: str) -> list[LabelContent]:
    """Return a LabelContent for each vessel from `printable`, in their order.

    `base_url` is the address in front of the QR code's path. Raises CannotPrint
    when the laboratory is not filled in, or a statement cannot be completed.
    """
    laboratory = Laboratory.objects.first()
    if laboratory is None:
        raise NoSupplier
    supplier = Supplier(laboratory.name, laboratory.address, laboratory.phone)
    days = last_days(vessels)
    rules = MediumRule.objects.filter(verdict="fine")
    fine = set(rules.values_list("material_id", "medium_id"))
    return [
        for_vessel(vessel, supplier, base_url, days[vessel.pk], fine)
        for vessel in vessels
    ]


def last_days(vessels: Iterable[Vessel]) -> dict[int, datetime]:
    """Return {pk: day of the newest movement}: the day the net mass is of."""
    newest = Vessel.objects.filter(pk__in=[vessel.pk for vessel in vessels])
    return dict(newest.with_last_movement().values_list("pk", "last_moved_at"))


def for_vessel(
    vessel: Vessel,
    supplier: Supplier,
    base_url: str,
    day: datetime,
    fine: set[tuple[int, int]],
) -> LabelContent:
    """Return the LabelContent of one vessel."""
    batch, hazard = vessel.batch, vessel.batch.hazard
    material = batch.material
    fill = {
        "medium": handling_medium(vessel, fine),
        "extinguisher": EXTINGUISHERS.get(material.symbol, ANY_EXTINGUISHER),
    }

    def texts(field: str) -> tuple[str, ...]:
        return tuple(
            statements.text(code, LANGUAGE, fill) for code in hazard.codes(field)
        )

    return LabelContent(
        product_name=capfirst(material.name),
        symbol=material.symbol,
        cas=material.cas,
        full_code=vessel.full_code,
        vessel_code=vessel.code,
        batch_code=batch.code,
        url=(base_url + codes.qr_path(batch.code, vessel.number)).upper(),
        net_text=show_mass(vessel.remaining_ug, vessel.u2_ug2**0.5),
        net_date=f"{day:%-d %b %Y}",
        medium_text=medium_text(vessel),
        volume_text=f"{show_volume(vessel.capacity_ul)} vessel",
        pictograms=tuple(hazard.codes("pictograms")),
        signal_word=hazard.signal_word,
        h_texts=texts("h"),
        euh_texts=texts("euh"),
        p_texts=texts("p"),
        supplier=supplier,
        note=f"Opened {vessel.opened_on:%-d %b %Y}" if vessel.opened_on else "",
    )


def medium_text(vessel: Vessel) -> str:
    """Return what surrounds the metal, as in "light mineral oil, argon above"."""
    if vessel.gas_id and vessel.gas_id != vessel.medium_id:
        return f"under {vessel.medium.name}, {vessel.gas.name} above"
    return f"under {vessel.medium.name}"


def handling_medium(vessel: Vessel, fine: set[tuple[int, int]]) -> str:
    """Return what the contents are handled and stored under, for P231.

    Argon serves every metal here; another gas is named only where the catalogue
    calls it `fine`, a set of (material, medium) keys. Nobody handles under vacuum, and lithium takes up nitrogen.
    """
    if vessel.medium.is_liquid:
        return f"{vessel.medium.name} and {fine_gas(vessel, vessel.gas, fine)}"
    return fine_gas(vessel, vessel.medium, fine)


def fine_gas(vessel: Vessel, medium: Any, fine: set[tuple[int, int]]) -> str:
    """Return the gas's name where it is fine for the metal, and argon otherwise."""
    is_fine = (vessel.batch.material_id, medium.pk) in fine
    return str(medium.name) if medium.kind == MediumKind.GAS and is_fine else "argon"


def base_url(request: HttpRequest) -> str:
    """Return the address that printed codes begin with."""
    return settings.PUBLIC_URL or f"{request.scheme}://{request.get_host()}"
