"""Which vessels give how much to which request: the question, and who answers it."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace
from time import perf_counter

from .answer import joined, part_of
from .check import check
from .shortlist import looked_at, shortlist
from .stages import solve
from .task import Task, refuse_nonsense
from .terms import (
    Aim,
    Candidate,
    Demand,
    Idle,
    Lack,
    Missing,
    Plan,
    PlanningError,
    Take,
    UnusedPin,
    Why,
)

__all__ = [
    "Aim",
    "Candidate",
    "Demand",
    "Idle",
    "Lack",
    "Missing",
    "Plan",
    "PlanningError",
    "Take",
    "UnusedPin",
    "Why",
    "alternatives",
    "check",
    "looked_at",
    "plan",
    "shortlist",
]


def plan(
    candidates: Iterable[Candidate],
    demands: Iterable[Demand],
    *,
    aim: Aim = Aim.FEWEST,
    pinned: Collection[int] = frozenset(),
    excluded: Collection[int] = frozenset(),
    sure: bool = False,
    time_limit_s: float = 10.0,
    gap: float = 1e-3,
) -> Plan:
    """Return the plan that serves most, and of those the best by its aim.

    `pinned` and `excluded` are keys of candidates: those have to be used, these are
    left out. With `sure` a vessel counts only with what is there at 97.5 %. `gap` is
    the distance from the best, as a fraction, at which a stage may stop.

    Raises PlanningError if no plan at all is found in the time, ValueError for a
    question that makes no sense (a key twice, a negative mass, nothing asked for).
    """
    began = perf_counter()
    vessels, asked = list(candidates), list(demands)
    refuse_nonsense(vessels, asked, time_limit_s, gap)
    tasks = [
        Task(
            vessels,
            [demand for demand in asked if demand.material == material],
            pinned=pinned,
            excluded=excluded,
            sure=sure,
        )
        for material in sorted({demand.material for demand in asked})
    ]
    parts = []
    for number, task in enumerate(tasks):
        left = time_limit_s - (perf_counter() - began)
        solved = solve(task, aim, max(left, 0.0) / (len(tasks) - number), gap)
        parts.append(part_of(task, solved, aim, vessels, excluded, gap))
    found = joined(parts, tasks, aim, vessels, asked, pinned, excluded)
    check(found, vessels, asked, pinned=pinned, excluded=excluded, sure=sure)
    return replace(found, seconds=perf_counter() - began)


def alternatives(
    candidates: Iterable[Candidate],
    demands: Iterable[Demand],
    *,
    pinned: Collection[int] = frozenset(),
    excluded: Collection[int] = frozenset(),
    sure: bool = False,
    time_limit_s: float = 10.0,
    gap: float = 1e-3,
) -> list[Plan]:
    """Return a plan for each aim; those that choose the same only once (`also`).

    What one aim leaves of the time limit is for the next; an aim for which none is left
    is not tried. Raises as `plan` does.
    """
    began = perf_counter()
    vessels, asked = list(candidates), list(demands)
    found: list[Plan] = []
    for number, aim in enumerate(Aim):
        left = time_limit_s - (perf_counter() - began)
        if found and left <= 0:
            break
        left = max(left, 0.01)
        one = plan(
            vessels,
            asked,
            aim=aim,
            pinned=pinned,
            excluded=excluded,
            sure=sure,
            time_limit_s=left / (len(Aim) - number),
            gap=gap,
        )
        same = [at for at, other in enumerate(found) if other.takes == one.takes]
        if same:
            other = found[same[0]]
            found[same[0]] = replace(other, also=(*other.also, aim))
        else:
            found.append(one)
    return found
