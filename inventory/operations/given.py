"""The rows of a project's report: what went out, what came back, and how it is known."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q

from inventory.models import (
    Estimate,
    Event,
    HandOverLine,
    Movement,
    MovementKind,
    Partner,
    Return,
    ReturnKind,
    Vessel,
)

from .known import BY_RECORD, MEASURED, REPORTED, SOURCES, when_handed


@dataclass(frozen=True, slots=True)
class Given:
    """Metal that went out: in its vessel (`is_handed`), or withdrawn here.

    `partner` is None for this house. `found` says how the mass was found, `source`
    whether that was measured. `u_ug` is k = 1.
    """

    happened_at: datetime
    partner: Partner | None
    vessel: Vessel
    mass_ug: int
    u_ug: float
    found: str
    source: str
    purpose: str
    is_handed: bool = False

    @property
    def used_ug(self):
        """What is withdrawn is used; of what is handed over, the returns tell."""
        return 0 if self.is_handed else self.mass_ug

    @property
    def words(self):
        """Say how it went and how it was found: "handed over, weighed on 3 Mar 2026"."""
        return f"{'handed over' if self.is_handed else 'withdrawn here'}, {self.found}"


@dataclass(frozen=True, slots=True)
class Back:
    """What came back of a vessel handed over, or was reported of it.

    `used_ug` is what was used by this, below zero where a weighing found that less
    was used than reported. `back_ug` is what came home in the glass, None while the
    vessel is out; `u_left_ug` how sure that is, None where nothing tells.
    """

    key: int  # of the Return
    line: HandOverLine
    happened_at: datetime
    kind: str
    used_ug: int
    u_ug: int
    note: str
    back_ug: int | None = None
    u_left_ug: float | None = None

    @property
    def source(self):
        return {
            ReturnKind.REPORTED: REPORTED,
            ReturnKind.EMPTY: BY_RECORD,
            ReturnKind.PARTLY: MEASURED,
        }[self.kind]

    @property
    def words(self):
        """Say what came back, and where the weighing contradicts what was reported."""
        if self.used_ug < 0:
            return "Came back, weighed again: less was used than reported"
        return {
            ReturnKind.REPORTED: "Use reported",
            ReturnKind.EMPTY: "Came back empty",
            ReturnKind.PARTLY: "Came back, weighed again",
        }[self.kind]


def lines_of(project, partners=None):
    """Return the vessels handed over in a project, to `partners` or to anybody."""
    rows = HandOverLine.objects.filter(hand_over__project=project)
    if partners is not None:
        rows = rows.filter(hand_over__partner__in=partners)
    return list(
        rows.select_related(
            "hand_over__partner",
            "vessel__batch__material",
            "booking_line__booking",
        ).order_by("pk")
    )


def handed(lines):
    """Return the Given of vessels handed over, as they were known when they left."""
    known = when_handed(lines)
    return [
        Given(
            happened_at=line.hand_over.handed_at,
            partner=line.hand_over.partner,
            vessel=line.vessel,
            mass_ug=line.mass_ug,
            u_ug=line.u_ug,
            purpose=line.booking_line.booking.purpose,
            is_handed=True,
            **known[line.pk],
        )
        for line in lines
    ]


def withdrawn(project, partners=None):
    """Return the Given of what was withdrawn here for a project.

    What a return or a report posted is a use of metal that was given before.
    """
    rows = Movement.objects.standing().filter(
        Q(project=project) | Q(booking_line__booking__project=project),
        kind=MovementKind.WITHDRAWAL,
        returned=None,
    )
    if partners is not None:
        rows = rows.filter(booking_line__booking__partner__in=partners)
    rows = rows.select_related(
        "from_vessel__batch__material", "booking_line__booking__partner"
    )
    return [
        Given(
            happened_at=row.happened_at,
            partner=row.booking_line.booking.partner if row.booking_line else None,
            vessel=row.from_vessel,
            mass_ug=row.mass_ug,
            u_ug=row.u_ug,
            found=row.get_method_display(),
            source=SOURCES.get(row.method, MEASURED),
            purpose=row.purpose,
        )
        for row in rows
    ]


def returns_of(lines):
    """Return the Backs of handed-over vessels, oldest first, without corrected ones.

    A vessel whose use was corrected is back all the same.
    """
    by_key = {line.pk: line for line in lines}
    rows = Return.objects.filter(line__in=by_key).select_related(
        "movement__corrected_by"
    )
    rows = list(rows.order_by("happened_at", "pk"))
    over, left = found_over(rows), doubt_left(rows)
    made, used = [], dict.fromkeys(by_key, 0)
    for row in rows:
        corrected = getattr(row.movement, "corrected_by", None)
        if corrected and not row.is_back:
            continue
        line = by_key[row.line_id]
        by_this = 0 if corrected else row.used_ug
        beside = over.get(row.entry_id, 0)
        if used[line.pk] and beside:
            # The weighing contradicts what was reported: less was used.
            by_this, beside = by_this - beside, 0
        used[line.pk] += by_this
        u_left = 0.0 if row.kind == ReturnKind.EMPTY else left.get(row.entry_id)
        made.append(
            Back(
                key=row.pk,
                line=line,
                happened_at=row.happened_at,
                kind=row.kind,
                used_ug=by_this,
                u_ug=0 if corrected else row.u_ug,
                note=row.note,
                back_ug=line.mass_ug - used[line.pk] + beside if row.is_back else None,
                u_left_ug=u_left if row.is_back and not corrected else None,
            )
        )
    return made


def found_over(rows):
    """Return {entry of a return: what its weighing found over the record, in µg}."""
    found = {}
    moved = Movement.objects.filter(
        kind=MovementKind.DIFFERENCE, entry__in=[row.entry_id for row in rows]
    ).exclude(entry__weighings__struck_by__isnull=False)
    for entry, into, mass_ug in moved.values_list("entry", "to_vessel", "mass_ug"):
        found[entry] = found.get(entry, 0) + (mass_ug if into else -mass_ug)
    return found


def doubt_left(rows):
    """Return {entry of a return: u of what was left in the vessel then}."""
    estimates = Estimate.objects.filter(
        event__in=Event.objects.standing().filter(
            entry__in=[row.entry_id for row in rows], kind="observe"
        )
    ).order_by("event__place", "id")
    return {
        entry: variance**0.5
        for entry, variance in estimates.values_list("event__entry", "var_metal")
    }
