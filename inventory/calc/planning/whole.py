"""Which vessels go whole to which request, once it is known that they go."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import islice

from .task import Task


@dataclass(frozen=True, slots=True)
class Given:
    """{vessel: request}, and what that leaves missing and how old it is.

    Both as the stages measure them: summed fractions, summed ranks.
    """

    vessels: Mapping[int, int]
    missing: float
    age: float


def hand_out(task: Task, given: Mapping[int, int]) -> Given:
    """Share pooled vessels out among the requests, and keep back what is not needed."""
    found: dict[int, int] = {}
    for pool in task.alike(task.counted).values():
        found |= _by_count(task, pool, [i for i in given if given[i] == pool[0]])
    for j in task.weighed:
        vessels = sorted(i for i in given if given[i] == j)
        found |= dict.fromkeys(needed(task, j, vessels), j)
    return Given(found, missing_of(task, found), ranks_of(task, found))


def _by_count(task: Task, pool: tuple[int, ...], vessels: list[int]) -> dict[int, int]:
    """Serve the small requests in full first: that leaves the least missing."""
    found: dict[int, int] = {}
    ready = iter(sorted(vessels))
    for j in sorted(pool, key=lambda j: (task.demands[j].vessels, j)):
        found |= dict.fromkeys(islice(ready, task.demands[j].vessels), j)
    return found


def needed(task: Task, j: int, vessels: list[int]) -> list[int]:
    """Leave out what the others make up for, the youngest first."""
    kept = list(vessels)
    for i in reversed(vessels):
        rest = sum(task.whole[k] for k in kept if k != i)
        if rest >= task.demands[j].mass_ug and i not in task.pinned:
            kept.remove(i)
    return kept


def missing_of(task: Task, given: Mapping[int, int]) -> float:
    lacks = 0.0
    for j in task.counted:
        got = sum(1 for k in given.values() if k == j)
        lacks += 1 - got / task.demands[j].vessels
    for j in task.weighed:
        got = sum(task.whole[i] for i, k in given.items() if k == j)
        lacks += max(0.0, 1 - got / task.demands[j].mass_ug)
    return lacks


def ranks_of(task: Task, given: Mapping[int, int]) -> float:
    ranks = 0.0
    for pool in task.alike(task.counted).values():
        asked = sum(task.demands[j].vessels for j in pool)
        of_pool = sum(task.ages[i] for i, j in given.items() if j in pool)
        ranks += of_pool * len(pool) / asked
    for i, j in given.items():
        if j in task.weighed:
            ranks += task.ages[i] * task.share(i, j)
    return ranks
