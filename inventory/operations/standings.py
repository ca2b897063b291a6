"""What of each share is used, promised and free: questions to the record."""

from dataclasses import dataclass, field

from django.db.models import Exists, OuterRef, Q, Subquery, Sum
from django.db.models.functions import Coalesce

from inventory.models import (
    BookingLine,
    HandOverLine,
    Movement,
    MovementKind,
    Return,
    Share,
)


@dataclass(slots=True)
class Tally:
    """What one partner had, or is promised, of one metal in one project."""

    used_ug: int = 0
    promised_ug: int = 0
    used: set = field(default_factory=set)  # Keys of vessels.
    promised: set = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class Standing:
    """How a share stands, in µg and in vessels.

    Used is
      - of a vessel that was handed over and is still out: all that was in it;
      - of one that came back: what was used by then, as weighed or as reported;
      - what was withdrawn here against a booking of the partner.
    A corrected withdrawal or return was no use. Promised is what its bookings still
    hold. A vessel counts once: it is used as soon as any of its metal is (one that
    came back untouched is not), and promised if none of it is used yet.

    `free_ug` is None for a share in vessels, `free_count` for one in mass.
    """

    share: Share
    used_ug: int
    used_count: int
    promised_ug: int
    promised_count: int
    vessels: frozenset  # Keys of those that count.

    @property
    def free_ug(self):
        if self.share.mass_ug is None:
            return None
        return max(0, self.share.mass_ug - self.used_ug - self.promised_ug)

    @property
    def free_count(self):
        if self.share.vessel_count is None:
            return None
        taken = self.used_count + self.promised_count
        return max(0, self.share.vessel_count - taken)

    @property
    def parts(self):
        """Return (used, promised, free, share), all in µg or all in vessels."""
        share = self.share
        if share.mass_ug is None:
            counts = self.used_count, self.promised_count, self.free_count
            return *counts, share.vessel_count
        return self.used_ug, self.promised_ug, self.free_ug, share.mass_ug

    @property
    def beyond(self):
        """How much more than the share is used and promised, in its own unit."""
        used, promised, _, total = self.parts
        return max(0, used + promised - total)


def standing(project, partners=None):
    """Return the Standings of a project's shares, or of those of `partners` alone."""
    shares = Share.objects.filter(project=project)
    if partners is not None:
        shares = shares.filter(partner__in=partners)
    return of_shares(shares)


def of_shares(shares):
    """Return the Standing of each of a queryset of shares; always six questions."""
    rows = shares.select_related("project", "partner", "material")
    rows = list(rows.prefetch_related("media"))
    tallies = tally({share.project_id for share in rows})
    return [of_share(share, tallies) for share in rows]


def of_share(share, tallies):
    had = tallies.get((share.project_id, share.partner_id, share.material_id), Tally())
    return Standing(
        share=share,
        used_ug=had.used_ug,
        used_count=len(had.used),
        promised_ug=had.promised_ug,
        promised_count=len(had.promised - had.used),
        vessels=frozenset(had.used | had.promised),
    )


def tally(projects):
    """Return {(project, partner, material keys): Tally} for keys of projects."""
    found = {}
    for *key, vessel, mass_ug in [*handed_over(projects), *withdrawn(projects)]:
        had = found.setdefault(tuple(key), Tally())
        had.used_ug += mass_ug
        if mass_ug:
            had.used.add(vessel)
    for *key, vessel, mass_ug in promised(projects):
        had = found.setdefault(tuple(key), Tally())
        had.promised_ug += mass_ug
        had.promised.add(vessel)
    return found


def handed_over(projects):
    """Yield what was used of each vessel handed over, and all of what is still out."""
    returns = Return.objects.filter(line=OuterRef("pk"))
    uses = returns.filter(Q(movement=None) | Q(movement__corrected_by=None))
    used = uses.order_by().values("line").values(total=Sum("used_ug"))
    rows = HandOverLine.objects.filter(hand_over__project__in=projects)
    rows = rows.annotate(
        came_back=Exists(returns.filter(is_back=True)),
        used_ug=Coalesce(Subquery(used), 0),
        found_ug=Coalesce(Subquery(found_again()), 0),
    )
    for *about, mass_ug, came_back, used_ug, found_ug in rows.values_list(
        "hand_over__project",
        "hand_over__partner",
        "vessel__batch__material",
        "vessel",
        "mass_ug",
        "came_back",
        "used_ug",
        "found_ug",
    ):
        yield *about, max(0, used_ug - found_ug) if came_back else mass_ug


def found_again():
    """Ask what a weighing after the return found in excess of what was reported."""
    found = Movement.objects.filter(
        kind=MovementKind.DIFFERENCE,
        to_vessel=OuterRef("vessel"),
        entry__returns__line=OuterRef("pk"),
        entry__weighings__struck_by=None,
    )
    by_line = found.order_by().values("entry__returns__line")
    return by_line.values(total=Sum("mass_ug"))


def withdrawn(projects):
    """Return what was withdrawn here against the bookings of partners.

    What a return or a report posted is counted with its hand-over.
    """
    rows = Movement.objects.standing().filter(
        kind=MovementKind.WITHDRAWAL,
        returned=None,
        booking_line__booking__project__in=projects,
        booking_line__booking__partner__isnull=False,
    )
    return rows.values_list(
        "booking_line__booking__project",
        "booking_line__booking__partner",
        "material",
        "from_vessel",
        "mass_ug",
    )


def promised(projects):
    """Return what the open bookings of partners still promise."""
    rows = BookingLine.objects.open().filter(
        booking__project__in=projects, booking__partner__isnull=False
    )
    return rows.values_list(
        "booking__project",
        "booking__partner",
        "vessel__batch__material",
        "vessel",
        "mass_ug",
    )
