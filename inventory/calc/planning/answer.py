"""The finished plan: takes, sums and gap, out of what was solved for each material."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from .draws import Pair
from .measures import Measure, order
from .stages import Solved
from .task import Task
from .terms import Aim, Candidate, Demand, Missing, Plan, Take
from .whole import missing_of, ranks_of
from .words import idle_pins, lacks, reasons

NOISE = 1e-6
"""A gap below this is what floating-point numbers leave of none."""


@dataclass(frozen=True, slots=True)
class Part:
    """The answer for one material."""

    takes: list[Take]
    missing: list[Missing]
    opened: list[Candidate]
    left_over_ug: int
    gap: float
    last_gap: float
    is_proven: bool


def part_of(
    task: Task,
    solved: Solved,
    aim: Aim,
    candidates: Sequence[Candidate],
    excluded: Collection[int],
    gap_asked: float,
) -> Part:
    """Return takes, what is missing and the sums for one material."""
    draws, given = first_of_its_kind(task, solved.draws, solved.given)
    missing = lacks(candidates, task, draws, given, excluded)
    opened = [task.vessels[i] for i in _opened(task, draws)]
    drawn = sum(ug for (i, _), ug in draws.items() if task.vessels[i].is_sealed)
    left = sum(vessel.holds_ug for vessel in opened) - drawn + _surplus(task, given)
    gaps = [
        _gap(_value(task, measure, draws, given), solved.bounds.get(measure, 0.0))
        for measure in (Measure.MISSING, *order(aim, task.ages_differ))
        if measure is not Measure.AGE or task.ages_differ
    ]
    *firsts, last = gaps if len(gaps) == 4 else (*gaps, 0.0)
    gap = max(firsts)
    pairs = [(j, i, ug, False) for (i, j), ug in draws.items()]
    pairs += [(j, i, task.vessels[i].whole_ug, True) for i, j in given.items()]
    takes = [
        Take(
            task.vessels[i].key,
            task.demands[j].key,
            ug,
            is_whole,
            reasons(task, draws, given, i, j),
        )
        for j, i, ug, is_whole in sorted(pairs)
    ]
    is_proven = solved.is_finished and gap <= gap_asked + NOISE
    return Part(takes, missing, opened, left, gap, last, is_proven)


def first_of_its_kind(
    task: Task, draws: Mapping[Pair, int], given: Mapping[int, int]
) -> tuple[dict[Pair, int], dict[int, int]]:
    """Of vessels that differ in nothing but their key, use those with the lowest."""
    kinds: dict[tuple[object, ...], list[int]] = {}
    for i, v in enumerate(task.vessels):
        if i not in task.pinned:
            kind = (v.drawable_ug, v.whole_ug, v.u_ug, v.is_sealed, v.age_rank)
            kinds.setdefault((*kind, v.purity, v.medium), []).append(i)
    used = {i for i, _ in draws} | set(given)
    stands_for = {i: i for i in used}
    for places in kinds.values():
        taken = [i for i in places if i in used]
        stands_for |= dict(zip(taken, places, strict=False))
    return (
        {(stands_for[i], j): ug for (i, j), ug in draws.items()},
        {stands_for[i]: j for i, j in given.items()},
    )


def _opened(task: Task, draws: Mapping[Pair, int]) -> list[int]:
    return sorted({i for i, _ in draws if task.vessels[i].is_sealed})


def _surplus(task: Task, given: Mapping[int, int]) -> int:
    """Return what vessels given whole for a mass hold beyond it."""
    surplus = 0
    for j in task.weighed:
        handed = sum(task.vessels[i].whole_ug for i, k in given.items() if k == j)
        surplus += max(handed - task.demands[j].mass_ug, 0)
    return surplus


def _value(
    task: Task, measure: Measure, draws: Mapping[Pair, int], given: Mapping[int, int]
) -> float:
    """Return what the finished plan comes to in one stage, worked out anew."""
    if measure is Measure.OPENINGS:
        return len(_opened(task, draws))
    asked = sum(task.demands[j].mass_ug for j in task.drawn)
    if measure is Measure.AGE:
        ranks = sum(task.ages[i] * ug for (i, _), ug in draws.items())
        drawn = ranks * len(task.drawn) / asked if asked else 0.0
        return drawn + ranks_of(task, given)
    if measure is Measure.MISSING:
        parts = 0.0
        for j in task.drawn:
            got = sum(ug for (_, k), ug in draws.items() if k == j)
            parts += 1 - got / task.demands[j].mass_ug
        return parts + missing_of(task, given)
    opened = sum(task.vessels[i].holds_ug for i in _opened(task, draws))
    for j in task.weighed:
        places = [i for i, k in given.items() if k == j]
        handed = sum(task.vessels[i].whole_ug for i in places)
        lack = task.demands[j].mass_ug - sum(task.whole[i] for i in places)
        opened += handed + max(lack, 0)
    return float(opened)


def _gap(value: float, bound: float) -> float:
    if value <= 1e-9:
        return 0.0
    gap = max((value - bound) / value, 0.0)
    return gap if gap > NOISE else 0.0


def joined(
    parts: Sequence[Part],
    tasks: Sequence[Task],
    aim: Aim,
    candidates: Sequence[Candidate],
    demands: Sequence[Demand],
    pinned: Collection[int],
    excluded: Collection[int],
) -> Plan:
    """Return one plan of what was found for each material."""
    takes = [take for part in parts for take in part.takes]
    opened = sorted(vessel.key for part in parts for vessel in part.opened)
    missing = [lack for part in parts for lack in part.missing]
    serving = {
        task.vessels[i].key for task in tasks for places in task.servers for i in places
    }
    used = {take.candidate for take in takes}
    unused = idle_pins(candidates, demands, pinned, excluded, used, serving)
    return Plan(
        takes=tuple(sorted(takes, key=lambda take: take.demand)),
        missing=tuple(sorted(missing, key=lambda lack: lack.demand)),
        opened=tuple(opened),
        opened_ug=sum(vessel.holds_ug for part in parts for vessel in part.opened),
        left_over_ug=sum(part.left_over_ug for part in parts),
        gap=max((part.gap for part in parts), default=0.0),
        last_gap=max((part.last_gap for part in parts), default=0.0),
        is_proven=all(part.is_proven for part in parts),
        aim=aim,
        unused_pins=tuple(unused),
    )
