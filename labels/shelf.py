"""What labels need to know about vessels, read once for all of them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from inventory.calc.hazard_classes import UnknownClass
from inventory.calc.hazards import Transport
from inventory.models import (
    Laboratory,
    LotProfile,
    MediumHazard,
    MediumKind,
    MediumRule,
    Vessel,
)

from .fills import Inside
from .rules import Mode, Profile, Situation, Verdict, judge, merge, union
from .wording import CannotPrint, Supplier
from .words import WORDS

ENGLISH_NEEDED = {"gb": "Great Britain", "osha": "the United States"}


class NoSupplier(CannotPrint):
    def __init__(self) -> None:
        super().__init__(
            "A label names who answers for it. The keeper fills in the laboratory's "
            "name, address and telephone first."
        )


@dataclass(frozen=True, slots=True)
class Wish:
    """How labels are asked for: languages in their order, whose rules, what besides.

    Raises CannotPrint for languages that the rules or the words do not allow.
    """

    languages: tuple[str, ...] = ("en",)
    mode: Mode = "eu"
    transport: bool = False
    research: bool = False
    outer_full: bool = False

    def __post_init__(self) -> None:
        given = self.languages
        if not given or set(given) - set(WORDS) or len(set(given)) < len(given):
            raise CannotPrint("A label speaks English, German, French, each once.")
        where = ENGLISH_NEEDED.get(self.mode)
        if where and "en" not in given:
            raise CannotPrint(
                f"Labels for {where} are in English: choose English, and others "
                "beside it."
            )

    @property
    def has_supplemental(self) -> bool:
        """Whether EUH statements are printed: they are the EU's and Great Britain's."""
        return self.mode in ("eu", "gb")


@dataclass(frozen=True, slots=True)
class Shelf:
    """What many labels share."""

    supplier: Supplier
    days: dict[int, datetime]
    fine: set[tuple[int, int]]  # (material, medium) keys that the catalogue calls fine
    lots: dict[int, LotProfile]  # by batch
    media: dict[int, MediumHazard]  # by medium

    @classmethod
    def read(cls, vessels: Sequence[Vessel]) -> "Shelf":
        """Read it for these vessels, in five queries. Raises NoSupplier."""
        laboratory = Laboratory.objects.first()
        if laboratory is None:
            raise NoSupplier
        rules = MediumRule.objects.filter(verdict="fine")
        batches = {vessel.batch_id for vessel in vessels}
        return cls(
            supplier=Supplier(laboratory.name, laboratory.address, laboratory.phone),
            days=last_days(vessels),
            fine=set(rules.values_list("material_id", "medium_id")),
            lots=LotProfile.objects.in_use_by_batch(batches),
            media={row.medium_id: row for row in MediumHazard.objects.all()},
        )


def last_days(vessels: Iterable[Vessel]) -> dict[int, datetime]:
    """Return {pk: day of the newest movement}: the day the net mass is of."""
    newest = Vessel.objects.filter(pk__in=[vessel.pk for vessel in vessels])
    return dict(newest.with_last_movement().values_list("pk", "last_moved_at"))


def hazards_of(vessel: Vessel, shelf: Shelf) -> list[Profile]:
    """Return the profiles of what is inside: the metal's, and its liquid's if any.

    The data sheet of the lot goes before the catalogue.
    """
    own = shelf.lots.get(vessel.batch_id) or vessel.batch.hazard
    found = [own.profile()]
    if vessel.medium_id in shelf.media:
        found.append(shelf.media[vessel.medium_id].profile())
    return found


def merged(vessel: Vessel, shelf: Shelf) -> Profile:
    """Return what a label says of all that is inside, in codes."""
    try:
        return merge(hazards_of(vessel, shelf))
    except UnknownClass as error:
        raise CannotPrint(f"{vessel.code}: {error}") from error


def transport_of(vessel: Vessel, shelf: Shelf) -> Transport:
    """Return the metal's dangerous-goods entry, the lot's own before the catalogue's."""
    own = shelf.lots.get(vessel.batch_id)
    entry: Transport = own.transport() if own else Transport()
    return entry if entry.un_number else vessel.batch.hazard.transport()


def situation(
    vessel: Vessel, shelf: Shelf, wish: Wish, label_mm: tuple[float, float]
) -> Situation:
    """Return what the rules want to know about a vessel and the label meant for it."""
    whole = union(hazards_of(vessel, shelf))
    beside = shelf.media.get(vessel.medium_id)
    return Situation(
        capacity_ul=vessel.capacity_ul,
        classes=whole.classes,
        h=whole.h,
        euh=whole.euh,
        p=whole.p,
        pictograms=whole.pictograms,
        signal_word=whole.signal_word,
        mode=wish.mode,
        languages=wish.languages,
        label_mm=label_mm,
        research=wish.research,
        outer_full=wish.outer_full,
        medium=vessel.medium.name if beside and beside.h else "",
    )


def verdict(
    vessel: Vessel, shelf: Shelf, wish: Wish, label_mm: tuple[float, float]
) -> Verdict:
    """Return what a label of this size must, should and may say today."""
    return judge(situation(vessel, shelf, wish, label_mm), timezone.localdate())


def inside_of(vessel: Vessel, shelf: Shelf) -> Inside:
    """Return what is inside by the catalogue's keys.

    P231 names the gas in there where the catalogue calls it fine for the metal, and
    argon otherwise: nobody handles under vacuum, and lithium takes up nitrogen.
    """
    gas = vessel.gas or vessel.medium
    is_gas = gas.kind == MediumKind.GAS
    is_fine = (vessel.batch.material_id, gas.pk) in shelf.fine
    return Inside(
        symbol=vessel.batch.material.symbol,
        medium=vessel.medium.key,
        gas=gas.key,
        is_liquid_medium=vessel.medium.is_liquid,
        handled_under=gas.key if is_gas and is_fine else "argon",
    )
