"""What a project was given: who got how much, from which batches, and what came back.

The report's page, its tables and its paper all show these numbers. Corrected movements
are left out. Masses are in µg, each `u_…` with k = 1.
"""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from math import hypot

from inventory.models import Batch, Material, Partner

from . import evidence, given, log, purities, standings
from .errors import OperationError

HOUSE = "this laboratory"
COMBINED = (
    "In a sum, the uncertainties of masses out of one vessel are added, because they "
    "share its tare. Those of different vessels are combined as the root of the sum of "
    "their squares. What different vessels have in common, such as the error of a "
    "balance or of a density, is not followed: it can make a sum less certain than it "
    "says."
)
AGAIN = (
    "A vessel that came back and was handed over again counts each time with what was "
    "in it."
)


@dataclass(frozen=True, slots=True)
class Period:
    """From one day to another, both included; None is no limit."""

    since: date | None = None
    until: date | None = None

    def __post_init__(self):
        if self.since and self.until and self.until < self.since:
            raise OperationError("The period ends before it starts.", "until")

    def holds(self, moment):
        day = log.local_date(moment)
        return (self.since or day) <= day <= (self.until or day)

    @property
    def words(self):
        """Say it, as in "1 Jan 2026 – 31 Dec 2026"; "" without limits."""
        since = f"{self.since:%-d %b %Y}" if self.since else ""
        until = f"{self.until:%-d %b %Y}" if self.until else ""
        if since and until:
            return f"{since} – {until}"
        return f"since {since}" if since else f"until {until}" if until else ""


EVER = Period()


@dataclass(frozen=True, slots=True)
class Total:
    """All that a partner (None: this house) was given of one metal.

    Used is what was withdrawn here for it, and what returns and reports say of the
    vessels handed over; back is what came home in them.
    """

    partner: Partner | None
    material: Material
    vessel_count: int
    given_ug: int
    u_given_ug: float
    used_ug: int
    u_used_ug: float
    back_ug: int


@dataclass(frozen=True, slots=True)
class FromBatch:
    """What was given out of one batch, and how pure that counts as."""

    batch: Batch
    fraction: float | None
    purity_words: str
    given_ug: int
    u_given_ug: float


@dataclass(frozen=True, slots=True)
class Report:
    """Everything about a project, or about some `partners` in it (None: about all)."""

    partners: list | None
    period: Period
    given: list
    returns: list
    totals: list[Total]
    batches: list[FromBatch]
    shares: list[standings.Standing]

    @property
    def combined(self):
        """Say how the uncertainties of the sums were combined."""
        out = [row.vessel.pk for row in self.given if row.is_handed]
        return f"{COMBINED} {AGAIN}" if len(set(out)) < len(out) else COMBINED


def own_partners(project, user):
    """Return the partners whose part of a report a person may see; None for all.

    A partner sees that of their own organisation, and nothing if they have none.
    """
    if not user.is_partner:
        return None
    rows = Partner.objects.filter(
        memberships__user=user, memberships__project=project
    ).distinct()
    return list(rows)


def of(project, *, partners=None, period=EVER):
    """Return the Report of a project; always the same number of questions.

    But for batches that nobody stated a purity of: each generation above them takes
    some more.
    """
    lines = given.lines_of(project, partners)
    rows = given.handed(lines) + given.withdrawn(project, partners)
    rows = sorted(
        (row for row in rows if period.holds(row.happened_at)),
        key=lambda row: (row.happened_at, row.vessel.pk),
    )
    came = given.returns_of(lines)
    shown = [back for back in came if period.holds(back.happened_at)]
    return Report(
        partners=partners,
        period=period,
        given=rows,
        returns=shown,
        totals=totals(rows, shown, came),
        batches=from_batches(rows),
        shares=standings.standing(project, partners),
    )


def totals(rows, shown, came):
    """Return the Totals of what was given and of the returns that are shown.

    `came` are all the returns, shown or not: whether those of a vessel are complete.
    """
    found = defaultdict(lambda: ([], []))
    for row in rows:
        found[row.partner, row.vessel.batch.material][0].append(row)
    for back in shown:
        line = back.line
        key = line.hand_over.partner, line.vessel.batch.material
        found[key][1].append(back)
    of_line = defaultdict(int)
    for back in came:
        of_line[back.line.pk] += 1
    made = [
        total(partner, material, *parts, of_line)
        for (partner, material), parts in found.items()
    ]
    return sorted(made, key=in_order)


def in_order(total):
    """Order by partner, this house last, then by metal."""
    named = total.partner.name.casefold() if total.partner else ""
    return total.partner is None, named, total.material.name


def total(partner, material, rows, backs, of_line):
    here = [row for row in rows if not row.is_handed]
    by_line = defaultdict(list)
    for back in backs:
        by_line[back.line].append(back)
    doubts = [(row.vessel.pk, row.u_ug) for row in here]
    doubts += [
        (line.vessel_id, u_used(line, some, of_line[line.pk]))
        for line, some in by_line.items()
    ]
    used = [*here, *backs]
    return Total(
        partner=partner,
        material=material,
        vessel_count=len({row.vessel.pk for row in rows}),
        given_ug=sum(row.mass_ug for row in rows),
        u_given_ug=doubt(rows),
        used_ug=sum(row.used_ug for row in used),
        u_used_ug=combined(doubts),
        back_ug=sum(back.back_ug or 0 for back in backs),
    )


def u_used(line, backs, count):
    """Return u of what was used of one vessel, by its returns in order.

    What was weighed on its return is known by that reading, whatever was reported
    before; what came back empty held what it left with. Else each return's own.
    """
    last = backs[-1]
    if last.u_left_ug is not None and len(backs) == count:
        return hypot(line.u_ug, last.u_left_ug)
    return sum(back.u_ug for back in backs)


def doubt(rows):
    """Return u of the sum of what was given."""
    return combined((row.vessel.pk, row.u_ug) for row in rows)


def combined(doubts):
    """Return u of a sum out of (vessel key, u): see COMBINED."""
    of_vessel = defaultdict(float)
    for vessel, u_ug in doubts:
        of_vessel[vessel] += u_ug
    return hypot(*of_vessel.values())


def from_batches(rows):
    """Return a FromBatch for each batch that metal was given from, in their order."""
    of_batch = defaultdict(list)
    for row in rows:
        of_batch[row.vessel.batch].append(row)
    fractions = purities.fractions_of([batch.pk for batch in of_batch])
    assays = evidence.newest_assays(fractions)
    return [
        FromBatch(
            batch=batch,
            fraction=fractions[batch.pk],
            purity_words=purity_words(batch, assays.get(batch.pk), fractions),
            given_ug=sum(row.mass_ug for row in found),
            u_given_ug=doubt(found),
        )
        for batch, found in sorted(of_batch.items(), key=lambda item: item[0].code)
    ]


def purity_words(batch, assay, fractions):
    """Say on whose word a batch counts as pure; names no other batch."""
    if own := evidence.stated(batch, assay):
        return own.words
    if fractions[batch.pk] is None:
        return ""
    return "not re-tested: as stated for what it was made from"
