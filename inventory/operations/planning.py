"""Which vessels could serve which requests: the records put to the planner.

The sums are in `calc.planning`; reserving what was chosen is in `reserving`.
"""

from dataclasses import dataclass

from inventory.calc import planning
from inventory.calc.planning import Candidate, Demand, Plan
from inventory.models import MetalRequest, RequestStep, Share, StepKind, Vessel

from . import inspections, purities

TIME_LIMIT_S = 10.0
GAP = 1e-3
# Of each metal: with so many HiGHS keeps its time.
MOST_LOOKED_AT = 600

ASKED = (
    "pk", "batch_id", "batch__made_on", "batch__material__symbol", "medium__key",
    "opened_on", "heel_ug", "remaining_ug", "promised_ug", "free_ug", "u2_ug2",
)  # fmt: skip
"""What the planner is told of a vessel, or reckons it from."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """What the planner was asked, and up to three plans.

    `demands` are the requests that still miss something, as the planner sees them, by
    key; `candidates` and `vessels` all that were looked at. `left_aside` says of each
    metal with more than that how many: (symbol, looked at, there are). `trouble` is a
    sentence when no plan was found in the time given.
    """

    demands: dict[int, Demand]
    candidates: dict[int, Candidate]
    vessels: dict[int, Vessel]
    plans: tuple[Plan, ...] = ()
    left_aside: tuple[tuple[str, int, int], ...] = ()
    trouble: str = ""


def propose(requests, *, pinned=(), excluded=(), sure=False):
    """Return up to three plans for what `requests` (`with_booked`) still miss.

    `pinned` and `excluded` are keys of vessels; `sure` counts only the metal that is
    there at 97.5 %.
    """
    wanted = demands(requests)
    metals = {request.material_id for request in requests}
    every = candidates(usable().filter(batch__material__in=metals), pinned=pinned)
    there = [each for each in every if each.key not in excluded]
    offered = planning.shortlist(there, wanted, pinned=pinned, most=MOST_LOOKED_AT)
    left_aside = planning.looked_at(there, offered)
    # The plan says "left out" and not "there is none" of what the keeper left out.
    offered += [each for each in every if each.key in excluded]
    vessels = Vessel.objects.for_list().in_bulk([each.key for each in offered])
    plans, trouble = [], ""
    if wanted:
        try:
            plans = planning.alternatives(
                offered,
                wanted,
                pinned=frozenset(pinned),
                excluded=frozenset(excluded),
                sure=sure,
                time_limit_s=TIME_LIMIT_S,
                gap=GAP,
            )
        except planning.PlanningError as error:
            trouble = str(error)
    return Proposal(
        demands={each.key: each for each in wanted},
        candidates={each.key: each for each in offered},
        vessels=vessels,
        plans=tuple(plans),
        left_aside=tuple(left_aside),
        trouble=trouble,
    )


def asked():
    """Return the requests, with all that planning asks of them."""
    return MetalRequest.objects.with_booked().select_related(
        "project", "partner", "material", "entry__by"
    )


def usable():
    """Return the vessels that a plan may use, as `for_list` gives them.

    They stand here, something of them is free, and none is known to leak.
    """
    return (
        Vessel.objects.for_list()
        .in_stock()
        .here()
        .filter(retired_on=None, free_ug__gt=0)
        .exclude(pk__in=inspections.leaking())
        .order_by("pk")
    )


def candidates(vessels, *, pinned=()):
    """Return the Candidates that `vessels`, a queryset of `usable`, are.

    A purity that nobody states counts as none. The first to be used are those opened
    longest ago, then those of the oldest batch. What was opened goes whole only if it
    is pinned. Their numbers alone are read: there may be very many.
    """
    rows = list(vessels.values_list(*ASKED, named=True))
    pure = purities.fractions_of({row.batch_id for row in rows})
    ranks = {at: rank for rank, at in enumerate(sorted(set(map(age, rows))))}
    return [
        Candidate(
            key=row.pk,
            drawable_ug=max(0, row.free_ug - row.heel_ug),
            whole_ug=row.remaining_ug if may_go_whole(row, pinned) else 0,
            u_ug=row.u2_ug2**0.5,
            is_sealed=row.opened_on is None,
            age_rank=ranks[age(row)],
            purity=pure[row.batch_id] or 0.0,
            medium=row.medium__key,
            material=row.batch__material__symbol,
        )
        for row in rows
    ]


def may_go_whole(vessel, pinned=()):
    """Return whether all of a vessel may be given as one whole vessel.

    Who asks for one expects it as it was closed; the keeper may pin an opened one.
    """
    if vessel.promised_ug:
        return False
    return vessel.opened_on is None or vessel.pk in pinned


def age(row):
    """Return what vessels are sorted by so that the one to use first comes first."""
    return row.opened_on is None, row.opened_on or row.batch__made_on


def demands(requests):
    """Return the Demands of those requests (`with_booked`) that still miss something.

    Those of a closed project do not. What the partner's share says of purity and medium
    holds as well.
    """
    shares = shares_of(requests)
    return [
        demand(request, shares.get(share_key(request)))
        for request in requests
        if request.is_pending
        and not request.is_covered
        and not request.project.closed_on
    ]


def demand(request, share):
    """Return the Demand of what a request still misses, under its Share or None."""
    purest = [request.smallest_purity, share.smallest_purity if share else None]
    return Demand(
        key=request.pk,
        material=request.material.symbol,
        mass_ug=request.missing_ug or 0,
        vessels=request.missing_count or 0,
        whole=request.is_whole,
        smallest_purity=max(purity or 0.0 for purity in purest),
        media=frozenset(m.key for m in share.media.all()) if share else frozenset(),
    )


def reason_given(requests):
    """Return why the newest granted of `requests` was granted, empty if nobody said."""
    steps = RequestStep.objects.filter(
        metal_request__in=requests, kind__in=[StepKind.GRANTED, StepKind.CHANGED]
    ).exclude(reason="")
    return steps.order_by("-pk").values_list("reason", flat=True).first() or ""


def share_key(record):
    return record.project_id, record.partner_id, record.material_id


def shares_of(requests):
    """Return {share_key: Share} of what the requests fall under."""
    found = Share.objects.filter(
        project__in={request.project_id for request in requests},
        partner__in={request.partner_id for request in requests} - {None},
    ).prefetch_related("media")
    return {share_key(share): share for share in found}
