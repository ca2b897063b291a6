"""The planner's stages, one after the other, each holding what was reached before."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial

from .draws import PAIRS_MOST, Limits, Pair, Shared, Sharing
from .measures import Measure, order
from .model import Choice, Model
from .search import SMALL, Clock, Stage
from .task import Task
from .terms import Aim, PlanningError
from .whole import Given, hand_out

FOR_STAGES = 0.7
"""Which part of the time is for the stages; the rest is for the draws."""


@dataclass(frozen=True, slots=True)
class Solved:
    """What is drawn and given for one material, and how good it is proven to be."""

    draws: Mapping[Pair, int]
    given: Mapping[int, int]
    bounds: Mapping[Measure, float]
    is_finished: bool


@dataclass(slots=True)
class _Stages:
    """The latest choice, what it holds and what was proven on the way."""

    choice: Choice | None
    held: dict[Measure, float]
    bounds: dict[Measure, float]
    is_finished: bool


def solve(task: Task, aim: Aim, seconds: float, gap: float) -> Solved:
    """Return the best choice for one material.

    The pooled model knows no smallest draw. If no draws keep to it and to all that
    was held, the vessels concerned are split and the stages begin again; a bound of
    the pooled model that a plan reaches is that plan's proof.
    """
    clock = Clock(seconds)
    split = task.pinned
    while True:
        stages = _run(task, aim, split, Clock(FOR_STAGES * clock.left()), gap)
        choice = stages.choice
        if choice is None:
            raise PlanningError(
                "No plan was found in the time given. "
                "Allow more time, or plan for fewer requests or vessels at once."
            )
        given = hand_out(task, choice.given)
        vessels = _worth_trying(task, choice)
        shared = _share(task, vessels, given, stages.held, clock)
        if shared.is_found:
            break
        if not shared.is_impossible or vessels <= split or not clock.left():
            shared = _largest_part(task, vessels, clock)
            stages.is_finished = False
            break
        split = split | vessels
    return Solved(shared.draws, given.vessels, stages.bounds, stages.is_finished)


def _run(
    task: Task, aim: Aim, split: frozenset[int], clock: Clock, gap: float
) -> _Stages:
    """Minimise one measure after the other, each within what the earlier ones reached."""
    stages = _Stages(None, {}, {}, is_finished=True)
    first = (Measure.IDLE_PINS,) if task.pinned else ()
    measures = (*first, Measure.MISSING, *order(aim, task.ages_differ))
    for measure in measures:
        if stages.choice and Measure.MISSING in stages.held and not clock.left():
            stages.is_finished = False
            break
        if measure is Measure.MASS and Measure.OPENINGS not in stages.held:
            _start_with_few(task, split, stages, clock, gap)
        amounts = Measure.AGE in (measure, *stages.held)
        build = partial(Model, task, split, dict(stages.held), amounts=amounts)
        is_last = measure is measures[-1]
        found = Stage(build, measure, clock, gap, is_last).best(stages.choice)
        stages.bounds[measure] = found.bound
        stages.is_finished &= found.is_finished or is_last
        if found.choice is None:
            if stages.choice is None:
                break
            continue
        stages.choice = found.choice
        stages.held[measure] = found.value
        if measure in (Measure.MASS, Measure.AGE):
            stages.held[measure] = max(found.value, found.bound / (1 - gap))
    return stages


def _start_with_few(
    task: Task, split: frozenset[int], stages: _Stages, clock: Clock, gap: float
) -> None:
    """Begin the search for the least mass at few openings: it often ends there too."""
    held = dict(stages.held)
    for measure in (Measure.OPENINGS, Measure.MASS):
        build = partial(Model, task, split, dict(held), amounts=False)
        if not clock.left() or build().size <= SMALL:
            return
        shorter = Clock(clock.left() / 3)
        found = Stage(build, measure, shorter, gap, is_last=False).best(stages.choice)
        stages.choice = found.choice or stages.choice
        held[measure] = found.value


def _worth_trying(task: Task, choice: Choice) -> frozenset[int]:
    """Return the vessels to draw from: with some that are open anyway, if not many."""
    pairs = sum(len(task.draws_for[i]) for i in choice.drawn)
    return choice.drawn if pairs <= PAIRS_MOST else choice.used


def _share(
    task: Task,
    vessels: frozenset[int],
    given: Given,
    held: Mapping[Measure, float],
    clock: Clock,
) -> Shared:
    if not task.drawn:
        return Shared({}, is_found=True, is_impossible=False)
    age = held.get(Measure.AGE) if task.ages_differ else None
    missing = max(held[Measure.MISSING] - given.missing, 0.0)
    limits = Limits(missing, None if age is None else age - given.age)
    shared = Sharing(task, vessels, limits).solve(limits, clock.left() / 2)
    if shared.is_found or shared.is_impossible:
        return shared
    limits = Limits(missing, None)
    return Sharing(task, vessels, limits).solve(limits, clock.left())


def _largest_part(task: Task, vessels: frozenset[int], clock: Clock) -> Shared:
    """Return draws that serve as much as these vessels can, whatever else is lost."""
    limits = Limits(missing=None, age=None)
    shared = Sharing(task, vessels, limits).solve(limits, max(clock.left(), 1.0))
    if not shared.is_found:
        raise PlanningError(
            "No draws were found in the time given. "
            "Allow more time, or plan for fewer requests at once."
        )
    return shared
