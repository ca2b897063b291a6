"""A choice of vessels made better by exchanging one or two at a time.

Fitting vessels to a mass is what branching is slow at and trying is quick at: among
200 vessels are 20 000 pairs, and one of them closes almost any gap to the milligram.
What comes out is a proposal; whether it keeps every rule, the model says.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from itertools import chain, combinations
from time import perf_counter

import numpy as np
from numpy.typing import NDArray

from .measures import Measure
from .model import Choice
from .task import Task
from .whole import needed

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PARTNERS = 250
"""Vessels not yet used of which pairs are tried: some 31 000 pairs."""

LEAVING = 40
"""Members, or pairs of members, that are tried to leave in one go."""

PASSES = {Measure.MASS: 8, Measure.AGE: 3}
"""How often all groups are gone through, for each measure that this is for."""

POOLS_MOST = 5
"""Pools of requests up to which every union of them is looked at."""


@dataclass(frozen=True, slots=True)
class Group:
    """Vessels that serve together, and those that could take their place.

    `supply` has a row for each sum that must not fall by more than its `spare`: one
    for vessels given whole for a mass, one for each union of pools for those drawn
    from. Its columns, `mass` (µg) and `age` go by vessel.
    """

    members: list[int]
    partners: list[int]
    supply: Floats
    spare: Floats
    mass: Floats
    age: Floats
    same_number: bool


@dataclass(frozen=True, slots=True)
class Swap:
    """What leaves, what comes, and by how much mass (µg) and age grow."""

    out: Ints
    into: Ints
    mass: float
    age: float


def bettered(
    task: Task, choice: Choice, measure: Measure, most_ug: float, seconds: float
) -> Choice:
    """Return a choice that opens and gives less, or one that is older.

    Older goes as far as mass stays within `most_ug`.
    """
    if measure not in PASSES:
        return choice
    until = perf_counter() + seconds
    roles = Roles(set(choice.drawn), dict(choice.given))
    for request in task.weighed:
        places = sorted(i for i in roles.given if roles.given[i] == request)
        kept = needed(task, request, places)
        roles.leave(task, set(places) - set(kept), request)
    for _ in range(PASSES[measure]):
        gained = False
        groups: list[int | None] = [None, *sorted(set(roles.given.values()))]
        for j in groups:
            group = _group(task, roles.drawn, roles.given, j)
            spare_ug = most_ug - _mass(task, roles.drawn, roles.given)
            swap = _best(group, measure, spare_ug)
            if swap is not None:
                gained = True
                roles.leave(task, swap.out.tolist(), j)
                roles.enter(swap.into.tolist(), j)
        if not gained or perf_counter() > until:
            break
    drawn = frozenset(roles.drawn)
    return Choice(drawn, drawn, roles.given, choice.idle_pins)


@dataclass(slots=True)
class Roles:
    """Which vessels are drawn from, and which go whole where; None is: drawn from."""

    drawn: set[int]
    given: dict[int, int]

    def leave(self, task: Task, places: Collection[int], j: int | None) -> None:
        """Take vessels out; those that are open may still be drawn from."""
        for i in places:
            if j is None:
                self.drawn.remove(i)
                continue
            del self.given[i]
            if task.draws_for[i] and not task.vessels[i].is_sealed:
                self.drawn.add(i)

    def enter(self, places: Collection[int], j: int | None) -> None:
        if j is None:
            self.drawn.update(places)
        else:
            self.given.update(dict.fromkeys(places, j))


def _mass(task: Task, drawn: set[int], given: Mapping[int, int]) -> float:
    opened = sum(task.vessels[i].holds_ug for i in drawn if task.vessels[i].is_sealed)
    weighed = set(task.weighed)
    return opened + sum(task.vessels[i].whole_ug for i in given if given[i] in weighed)


def _group(
    task: Task, drawn: set[int], given: Mapping[int, int], j: int | None
) -> Group:
    """Gather those drawn from, or those that go whole to one request or pool."""
    if j is None:
        places = [i for i in drawn if task.vessels[i].is_sealed]
        could = [i for i, served in enumerate(task.draws_for) if served]
        could = [i for i in could if task.vessels[i].is_sealed]
    else:
        places = [i for i in given if given[i] == j]
        could = list(task.servers[j])
    unused = set(could) - drawn - set(given) - task.pinned
    partners = sorted(unused)[:: max(1, -(-len(unused) // PARTNERS))]
    ages = np.array(task.ages)
    useful = np.array([float(task.useful_ug(i)) for i in range(len(ages))])
    mass = _worth(task, useful, j)
    if j is None:
        supply, spare = _unions(task, drawn)
        age = (
            ages
            * useful
            * len(task.drawn)
            / sum(task.demands[k].mass_ug for k in task.drawn)
        )
    elif j in task.counted:
        supply, spare, age = np.zeros((0, len(ages))), np.zeros(0), ages
    else:
        supply = np.array([[float(ug) for ug in task.whole]])
        spare = supply[:, places].sum(axis=1) - task.demands[j].mass_ug
        age = ages * np.minimum(supply[0] / task.demands[j].mass_ug, 1.0)
    same_number = j is None or j in task.counted
    members = sorted(set(places) - task.pinned)
    return Group(members, partners, supply, spare, mass, age, same_number)


def _worth(task: Task, useful: Floats, j: int | None) -> Floats:
    """Return what using each vessel costs in mass.

    A vessel that is open already costs nothing to draw from; given whole, it has to
    be made up for by opening another.
    """
    is_sealed = np.array([vessel.is_sealed for vessel in task.vessels])
    if j is None:
        holds = np.array([float(vessel.holds_ug) for vessel in task.vessels])
        return np.where(is_sealed, holds, 0.0)
    whole = np.array([float(vessel.whole_ug) for vessel in task.vessels])
    if j in task.counted:
        whole = whole * 0
    return whole + np.where(is_sealed, 0.0, useful)


def _unions(task: Task, drawn: set[int]) -> tuple[Floats, Floats]:
    """Return what each vessel supplies to each union of pools, and what is spare.

    Requests are served in full if and only if no union of pools asks for more than
    the vessels that suit any of it have (Gale's theorem of supply and demand).
    """
    pools = list(task.alike(task.drawn).values())
    sizes = list(range(1, len(pools) + 1))
    if len(pools) > POOLS_MOST:
        sizes = [1, len(pools)]
    supply, spare = [], []
    for union in chain.from_iterable(combinations(pools, size) for size in sizes):
        places = set(chain.from_iterable(union))
        row = [
            float(task.useful_ug(i)) if places & set(served) else 0.0
            for i, served in enumerate(task.draws_for)
        ]
        supply.append(row)
        asked = sum(task.demands[j].mass_ug for j in places)
        spare.append(sum(row[i] for i in drawn) - asked)
    return np.array(supply).reshape(len(spare), len(task.vessels)), np.array(spare)


def _best(group: Group, measure: Measure, spare_ug: float) -> Swap | None:
    """Return the exchange that gains most, or None."""
    if not group.members or not group.partners or (group.spare < 0).any():
        return None
    ones = np.array(group.partners)[:, None]
    first, second = np.triu_indices(len(group.partners), 1)
    pairs = np.stack([ones[first, 0], ones[second, 0]], axis=1)
    found: Swap | None = None
    for out in _leaving(group.members):
        for into in (ones, pairs):
            if not len(into) or (group.same_number and into.shape[1] != len(out)):
                continue
            swap = _swap(group, measure, spare_ug, np.array(out), into)
            if swap and (found is None or _gain(swap, measure) > _gain(found, measure)):
                found = swap
    return found


def _leaving(members: list[int]) -> Iterator[tuple[int, ...]]:
    pairs = list(combinations(members, 2))
    step = max(1, -(-len(pairs) // LEAVING))
    yield from ((i,) for i in members)
    yield from pairs[::step]


def _summed(values: Floats, into: Ints) -> Floats:
    """Return the sum by row of what comes: one vessel or two."""
    first = values[into[:, 0]]
    return first if into.shape[1] == 1 else first + values[into[:, 1]]


def _gain(swap: Swap, measure: Measure) -> float:
    return -(swap.mass if measure is Measure.MASS else swap.age)


def _swap(
    group: Group, measure: Measure, spare_ug: float, out: Ints, into: Ints
) -> Swap | None:
    """Return the best that can come in the place of `out`; a row of `into` comes."""
    mass = _summed(group.mass, into) - group.mass[out].sum()
    age = _summed(group.age, into) - group.age[out].sum()
    fits = np.ones(len(into), dtype=bool)
    for row, spare in zip(group.supply, group.spare, strict=True):
        fits &= _summed(row, into) >= row[out].sum() - spare
    if measure is Measure.MASS:
        fits &= mass < -0.5
        grown = mass
    else:
        fits &= (age < -1e-9) & (mass <= spare_ug)
        grown = age
    if not fits.any():
        return None
    at = int(np.argmin(np.where(fits, grown, np.inf)))
    return Swap(out, into[at], float(mass[at]), float(age[at]))
