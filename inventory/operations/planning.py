"""Which vessels could serve which requests: the records put to the planner.

The sums are in `calc.planning`; reserving what was chosen is in `reserving`.
"""

from dataclasses import dataclass

from inventory.calc import planning
from inventory.calc.planning import Candidate, Demand, Plan
from inventory.models import MetalRequest, Share, Vessel

from . import inspections, purities

TIME_LIMIT_S = 10.0
GAP = 1e-3


@dataclass(frozen=True, slots=True)
class Proposal:
    """What the planner was asked, and up to three plans.

    `demands` are the requests that still miss something, as the planner sees them, by
    key; `candidates` and `vessels` all that may be used. `trouble` is a sentence when
    no plan was found in the time given.
    """

    demands: dict[int, Demand]
    candidates: dict[int, Candidate]
    vessels: dict[int, Vessel]
    plans: tuple[Plan, ...] = ()
    trouble: str = ""


def propose(requests, *, pinned=(), excluded=(), sure=False):
    """Return up to three plans for what `requests` (`with_booked`) still miss.

    `pinned` and `excluded` are keys of vessels; `sure` counts only the metal that is
    there at 97.5 %.
    """
    wanted = demands(requests)
    metals = {request.material_id for request in requests}
    vessels = {v.pk: v for v in usable().filter(batch__material__in=metals)}
    offered = candidates(vessels.values())
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


def candidates(vessels):
    """Return the Candidates that `vessels` of `usable` are, at today's promises.

    A purity that nobody states counts as none. The first to be used are those opened
    longest ago, then those of the oldest batch.
    """
    pure = purities.fractions_of({vessel.batch_id for vessel in vessels})
    ranks = {at: rank for rank, at in enumerate(sorted(set(map(age, vessels))))}
    return [
        Candidate(
            key=vessel.pk,
            drawable_ug=max(0, vessel.free_ug - vessel.heel_ug),
            whole_ug=0 if vessel.promised_ug else vessel.remaining_ug,
            u_ug=vessel.u_ug,
            is_sealed=vessel.opened_on is None,
            age_rank=ranks[age(vessel)],
            purity=pure[vessel.batch_id] or 0.0,
            medium=vessel.medium.key,
            material=vessel.batch.material.symbol,
        )
        for vessel in vessels
    ]


def age(vessel):
    """Return what vessels are sorted by so that the one to use first comes first."""
    return vessel.opened_on is None, vessel.opened_on or vessel.batch.made_on


def demands(requests):
    """Return the Demands of those requests (`with_booked`) that still miss something.

    What the partner's share says of purity and medium holds as well.
    """
    shares = shares_of(requests)
    return [
        demand(request, shares.get(share_key(request)))
        for request in requests
        if request.is_pending and not request.is_covered
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


def share_key(record):
    return record.project_id, record.partner_id, record.material_id


def shares_of(requests):
    """Return {share_key: Share} of what the requests fall under."""
    found = Share.objects.filter(
        project__in={request.project_id for request in requests},
        partner__in={request.partner_id for request in requests} - {None},
    ).prefetch_related("media")
    return {share_key(share): share for share in found}
