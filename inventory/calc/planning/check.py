"""Whether a finished plan keeps every rule: in whole numbers, apart from how it is made."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping

from .terms import Candidate, Demand, Plan, PlanningError, Take

TWO_SIDED = 1.96
"""Written out again, so that what is checked does not rest on what checks it."""


def check(
    plan: Plan,
    candidates: Iterable[Candidate],
    demands: Iterable[Demand],
    *,
    pinned: Collection[int] = frozenset(),
    excluded: Collection[int] = frozenset(),
    sure: bool = False,
) -> None:
    """Raise PlanningError, naming vessel or request, if a plan breaks a rule."""
    vessels = {vessel.key: vessel for vessel in candidates}
    asked = {demand.key: demand for demand in demands}
    pairs = [(take.candidate, take.demand) for take in plan.takes]
    _hold(len(pairs) == len(set(pairs)), "A vessel is listed twice for one request.")
    by_vessel: dict[int, list[Take]] = defaultdict(list)
    by_demand: dict[int, list[Take]] = defaultdict(list)
    for take in plan.takes:
        _hold(take.candidate not in excluded, f"Vessel {take.candidate} is left out.")
        _check_right(take, vessels[take.candidate], asked[take.demand])
        by_vessel[take.candidate].append(take)
        by_demand[take.demand].append(take)
    for key, takes in by_vessel.items():
        _check_vessel(vessels[key], takes, sure)
    for demand in asked.values():
        _check_demand(plan, demand, by_demand[demand.key], vessels, sure)
    idle = set(pinned) - set(by_vessel)
    told = {pin.candidate for pin in plan.unused_pins}
    _hold(idle == told, "A pinned vessel is neither used nor named as unused.")
    _check_sums(plan, vessels, asked, by_vessel, by_demand)


def _hold(is_so: bool, sentence: str) -> None:
    if not is_so:
        raise PlanningError(sentence)


def _check_right(take: Take, vessel: Candidate, demand: Demand) -> None:
    _hold(
        vessel.material == demand.material
        and vessel.purity >= demand.smallest_purity
        and (not demand.media or vessel.medium in demand.media),
        f"Vessel {vessel.key} does not suit request {demand.key}.",
    )
    _hold(
        take.is_whole == demand.whole,
        f"Vessel {vessel.key} is drawn from where it should go whole, or the reverse.",
    )


def _there(mass_ug: int, vessel: Candidate, sure: bool) -> float:
    return max(mass_ug - TWO_SIDED * vessel.u_ug, 0.0) if sure else mass_ug


def _check_vessel(vessel: Candidate, takes: list[Take], sure: bool) -> None:
    if any(take.is_whole for take in takes):
        _hold(
            len(takes) == 1 and takes[0].mass_ug == vessel.whole_ug > 0,
            f"Vessel {vessel.key} cannot go whole, or not only so.",
        )
        return
    drawn = sum(take.mass_ug for take in takes)
    _hold(
        drawn <= _there(vessel.drawable_ug, vessel, sure),
        f"Vessel {vessel.key} is asked for more than may be drawn from it.",
    )


def _check_demand(
    plan: Plan,
    demand: Demand,
    takes: list[Take],
    vessels: Mapping[int, Candidate],
    sure: bool,
) -> None:
    told = [lack for lack in plan.missing if lack.demand == demand.key]
    _hold(len(told) <= 1, f"Request {demand.key} is said to lack something twice.")
    missing_ug = told[0].missing_ug if told else 0
    missing_vessels = told[0].missing_vessels if told else 0
    if demand.whole and demand.vessels:
        is_met = len(takes) + missing_vessels == demand.vessels and missing_ug == 0
    elif demand.whole:
        given = sum(
            int(_there(vessels[t.candidate].whole_ug, vessels[t.candidate], sure))
            for t in takes
        )
        is_met = missing_ug == max(demand.mass_ug - given, 0)
    else:
        is_met = sum(take.mass_ug for take in takes) + missing_ug == demand.mass_ug
        _hold(
            all(20 * t.mass_ug >= min(1_000_000, demand.mass_ug) for t in takes),
            f"A draw for request {demand.key} is too small to weigh.",
        )
    _hold(is_met, f"What request {demand.key} gets and lacks is not what it asks for.")


def _check_sums(
    plan: Plan,
    vessels: Mapping[int, Candidate],
    asked: Mapping[int, Demand],
    by_vessel: Mapping[int, list[Take]],
    by_demand: Mapping[int, list[Take]],
) -> None:
    """Compare openings and what is left over with what the takes come to."""
    opened = {
        key: takes
        for key, takes in by_vessel.items()
        if vessels[key].is_sealed and not takes[0].is_whole
    }
    _hold(set(plan.opened) == set(opened), "The plan opens other vessels than it says.")
    held = sum(vessels[key].holds_ug for key in opened)
    left = held - sum(take.mass_ug for takes in opened.values() for take in takes)
    for key, takes in by_demand.items():
        if asked[key].whole and asked[key].mass_ug:
            given = sum(take.mass_ug for take in takes)
            left += max(given - asked[key].mass_ug, 0)
    _hold(
        (plan.opened_ug, plan.left_over_ug) == (held, left),
        "What is left over is not what the plan says.",
    )
