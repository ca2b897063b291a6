"""The terms of a request: how much of what, in which form, how pure and by when."""

from dataclasses import dataclass
from datetime import date

from django.utils import timezone

from inventory.calc import density

from .errors import OperationError
from .readings import Facts


@dataclass(frozen=True, slots=True)
class Terms:
    """How much, in which form and by when: a mass in µg, or a number of vessels."""

    mass_ug: int | None
    vessel_count: int | None
    is_whole: bool
    smallest_purity: float | None
    needed_by: date

    @classmethod
    def of(cls, row):
        """Return the terms of a request or of one of its steps."""
        return cls(**{name: getattr(row, name) for name in cls.__slots__})


def terms(
    material, *, need=None, vessel_count=None, is_whole=False, smallest_purity=None,
    needed_by,
):  # fmt: skip
    """Return Terms for a Need of calc.units, or for so many vessels.

    A volume is taken as metal at 20 °C. Vessels that are counted are whole ones.
    """
    mass_ug = None
    if need is not None:
        facts = Facts.read().material(material)
        mass_ug = round(density.mass_for_need(need, facts))
    return Terms(
        mass_ug=mass_ug,
        vessel_count=vessel_count,
        is_whole=is_whole or vessel_count is not None,
        smallest_purity=smallest_purity,
        needed_by=needed_by,
    )


def refuse_terms(wanted):
    """Refuse terms that ask for nothing, too pure a metal, or for a day long gone."""
    nothing = wanted.mass_ug is None and wanted.vessel_count is None
    if nothing or (wanted.mass_ug or wanted.vessel_count) <= 0:
        raise OperationError("This has to be more than zero.", "amount")
    purity = wanted.smallest_purity
    if purity is not None and not 0 < purity <= 1:
        raise OperationError(
            "A purity lies above zero and not above 100 %.", "smallest_purity"
        )
    if wanted.needed_by < timezone.localdate():
        raise OperationError("This date has passed.", "needed_by")
