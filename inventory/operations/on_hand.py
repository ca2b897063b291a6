"""What stands here of a metal: vessel by vessel, or all of it, in a few questions.

The ledger is summed once for all vessels: asking about each by itself takes twice the
time where there are very many.
"""

from collections import Counter
from dataclasses import dataclass

from django.db.models import Count, F, Sum

from inventory.models import BookingLine, Movement, Vessel

from . import inspections


@dataclass(frozen=True, slots=True)
class Held:
    """One vessel that is here, by its key. Masses in µg."""

    key: int
    remaining_ug: int
    promised_ug: int
    heel_ug: int
    u2_ug2: float
    is_opened: bool
    leaks: bool

    @property
    def free_ug(self):
        return self.remaining_ug - self.promised_ug

    @property
    def stays_ug(self):
        """What stays behind, no more than is free: what is promised whole takes its own."""
        return min(self.heel_ug, max(self.free_ug, 0))

    @property
    def drawable_ug(self):
        return self.free_ug - self.stays_ug


@dataclass(frozen=True, slots=True)
class Sums:
    """A metal in all its vessels, in µg: as the ledger has it, and what is not free."""

    held_ug: int = 0
    promised_ug: int = 0
    lent_ug: int = 0
    count: int = 0

    @property
    def free_ug(self):
        return self.held_ug - self.promised_ug - self.lent_ug


def of_each(material):
    """Return a Held for every vessel of a metal that is in the house."""
    stock = Vessel.objects.in_stock().here().filter(batch__material=material)
    came, went = moved("to_vessel", material), moved("from_vessel", material)
    lines = BookingLine.objects.open().filter(vessel__batch__material=material)
    promised = summed(lines, "vessel")
    leaking = inspections.leaking().filter(vessel__batch__material=material)
    leaks = set(leaking.values_list("vessel", flat=True))
    rows = stock.with_estimate().order_by("pk")
    asked = rows.values_list("pk", "heel_ug", "u2_ug2", "opened_on")
    return [
        Held(
            key=key,
            remaining_ug=came.get(key, 0) - went.get(key, 0),
            promised_ug=promised.get(key, 0),
            heel_ug=heel_ug,
            u2_ug2=u2_ug2,
            is_opened=opened_on is not None,
            leaks=key in leaks,
        )
        for key, heel_ug, u2_ug2, opened_on in asked
    ]


def moved(side, material):
    """Return {vessel key: µg} that ever went into or out of the vessels in stock."""
    rows = Movement.objects.filter(
        **{f"{side}__batch__material": material, f"{side}__spent_on": None}
    )
    return summed(rows, side)


def summed(rows, by):
    """Return {key: µg} of rows with a mass, added up by one of their fields."""
    return dict(rows.order_by().values_list(by).annotate(total=Sum("mass_ug")))


def of_all():
    """Return {material key: Sums} of every metal that is on record."""
    held = Movement.objects.held()
    promised = summed(BookingLine.objects.open(), "vessel__batch__material")
    stock = Vessel.objects.in_stock().order_by().values_list("batch__material")
    count = dict(stock.annotate(Count("pk")))
    lent = with_partners()
    return {
        key: Sums(held[key], promised.get(key, 0), lent[key], count.get(key, 0))
        for key in held
    }


def with_partners():
    """Return a Counter of what is in partners' hands, in µg, by the metal's key."""
    rows = Vessel.objects.in_stock().filter(custodian__isnull=False).with_remaining()
    found = Counter()
    for material, mass_ug in rows.values_list("batch__material", "remaining_ug"):
        found[material] += mass_ug
    return found


def count_free(material):
    """Return of how many vessels here something is free. Few are promised altogether."""
    here = Vessel.objects.in_stock().here().filter(batch__material=material)
    promised = BookingLine.objects.open().filter(vessel__batch__material=material)
    taken = here.filter(pk__in=promised.values("vessel")).with_remaining()
    return here.count() - taken.filter(promised_ug__gte=F("remaining_ug")).count()
