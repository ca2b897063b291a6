"""What each chosen vessel gives to each request: as few draws as go, in whole µg."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from .matrix import Matrix
from .task import Task

Pair = tuple[int, int]
"""A vessel and a request."""

PAIRS_MOST = 1_500
"""Pairs up to which vessels already open are tried though they are not needed."""

NOTHING = 1e-8
"""A missing fraction below this is none."""

ROOM = 1e-7
"""What may be missing or older than held, as a fraction: more than any stage has."""

EFFORT = 60_000
"""Branches times pairs after which fewer draws are no longer looked for.

Not a time, so that the same question has the same answer."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What may be missing (summed fractions) and how old (summed ranks); None: any."""

    missing: float | None
    age: float | None


class Sharing:
    """The draws from some vessels for the drawn requests, as a model of their own."""

    def __init__(self, task: Task, vessels: Iterable[int], limits: Limits) -> None:
        self.task = task
        self.unit = task.unit
        self.matrix = Matrix()
        self.draws: dict[Pair, Pair] = {}
        self.short: dict[int, int] = {}
        for j in task.drawn:
            most = task.demands[j].mass_ug / self.unit
            is_served = limits.missing is not None and limits.missing < NOTHING
            self.short[j] = self.matrix.column(0.0 if is_served else most)
        for i in sorted(vessels):
            self._vessel(i, must_be_used=limits.missing is not None)
        for j in task.drawn:
            got = [(mass, 1.0) for (_, k), (mass, _) in self.draws.items() if k == j]
            asked = task.demands[j].mass_ug / self.unit
            self.matrix.row([*got, (self.short[j], 1.0)], asked, asked)
        self._limit(self._missing(), limits.missing, 1e6)
        self._limit(self._age(), limits.age, 1e5)

    def _vessel(self, i: int, *, must_be_used: bool) -> None:
        made = []
        for j in self.task.draws_for[i]:
            demand = self.task.demands[j]
            most = min(self.task.drawable[i], demand.mass_ug) / self.unit
            least = demand.least_draw_ug / self.unit
            mass = self.matrix.column(most)
            is_made = self.matrix.column(1.0, integral=True)
            self.draws[i, j] = mass, is_made
            self.matrix.row([(mass, 1.0), (is_made, -most)], upper=0.0)
            self.matrix.row([(mass, 1.0), (is_made, -least)], 0.0)
            made.append((mass, is_made))
        holds = self.task.drawable[i] / self.unit
        self.matrix.row([(mass, 1.0) for mass, _ in made], upper=holds)
        if i in self.task.pinned and must_be_used:
            self.matrix.row([(is_made, 1.0) for _, is_made in made], 1.0)

    def _missing(self) -> dict[int, float]:
        return {
            column: self.unit / self.task.demands[j].mass_ug
            for j, column in self.short.items()
        }

    def _age(self) -> dict[int, float]:
        task = self.task
        drawn = sum(task.demands[j].mass_ug for j in task.drawn) / self.unit
        weight = len(task.drawn) / drawn
        return {mass: task.ages[i] * weight for (i, _), (mass, _) in self.draws.items()}

    def _limit(self, terms: Mapping[int, float], most: float | None, f: float) -> None:
        if most is not None and terms:
            scaled = [(column, cost * f) for column, cost in terms.items()]
            room = ROOM * max(most, 1.0)
            self.matrix.row(scaled, upper=(max(most, 0.0) + room) * f)

    def solve(self, limits: Limits, seconds: float) -> Shared:
        """Return the draws in µg; none is below its least, none above what is there."""
        if not self.draws:
            return Shared({}, is_found=True, is_impossible=False)
        costs = {is_made: 1.0 for _, is_made in self.draws.values()}
        if limits.missing is None:
            costs |= {column: cost * 1e5 for column, cost in self._missing().items()}
        nodes = EFFORT // max(len(self.draws), 1) + 10
        answer = self.matrix.minimise(costs, seconds=seconds, gap=0.0, nodes=nodes)
        if answer.columns is None:
            return Shared({}, is_found=False, is_impossible=answer.is_impossible)
        for _, is_made in self.draws.values():
            self.matrix.fix(is_made, answer.columns[is_made] > 0.5)
        masses = self._settled() or answer.columns
        made = {
            pair: masses[mass] * self.unit
            for pair, (mass, is_made) in self.draws.items()
            if answer.columns[is_made] > 0.5
        }
        return Shared(in_whole_ug(self.task, made), is_found=True, is_impossible=False)

    def _settled(self) -> list[float] | None:
        """Return masses for the draws that are made: least missing, then oldest.

        What is left is a transport problem, whose corners are whole micrograms.
        """
        ages = self._age() if self.task.ages_differ else {}
        weight = 4 * (1 + max(self.task.ages)) * len(self.task.drawn)
        costs = {column: weight * cost for column, cost in self._missing().items()}
        costs |= ages
        scaled = {column: 1e5 * cost for column, cost in costs.items()}
        return self.matrix.minimise(scaled, seconds=5.0, gap=0.0).columns


@dataclass(frozen=True, slots=True)
class Shared:
    """The draws in µg, or why there are none: not found, or impossible."""

    draws: Mapping[Pair, int]
    is_found: bool
    is_impossible: bool


def in_whole_ug(task: Task, made: Mapping[Pair, float]) -> dict[Pair, int]:
    """Return draws as whole µg whose sums are what is asked for, if that can be.

    What rounding leaves over or takes too much of is moved along the draws already
    made: from a request to a vessel with something left, over others where needed.
    """
    mass = {
        (i, j): min(
            max(round(ug), task.demands[j].least_draw_ug),
            task.drawable[i],
            task.demands[j].mass_ug,
        )
        for (i, j), ug in sorted(made.items())
    }
    left = {i: task.drawable[i] for i, _ in mass}
    lacks = {j: task.demands[j].mass_ug for _, j in mass}
    for (i, j), ug in mass.items():
        left[i] -= ug
        lacks[j] -= ug
    _take_back(task, mass, left, lacks)
    for j in sorted(lacks, key=lambda j: (lacks[j], j)):
        while lacks[j] > 0 and (path := _path(task, mass, left, j)):
            _move(mass, left, lacks, path, _room(task, mass, left, path, lacks[j]))
    return mass


def _take_back(
    task: Task, mass: dict[Pair, int], left: dict[int, int], lacks: dict[int, int]
) -> None:
    """Lessen draws that were rounded up beyond what a vessel has or a request asks."""
    for i, j in sorted(mass):
        over = max(-left[i], -lacks[j], 0)
        over = min(over, mass[i, j] - task.demands[j].least_draw_ug)
        mass[i, j] -= over
        left[i] += over
        lacks[j] += over


def _path(
    task: Task, mass: Mapping[Pair, int], left: Mapping[int, int], start: int
) -> list[Pair] | None:
    """Return draws to raise and to lower in turn, from a request to a spare vessel."""
    came: dict[tuple[str, int], tuple[tuple[str, int], Pair]] = {}
    queue = deque([("request", start)])
    while queue:
        kind, place = node = queue.popleft()
        if kind == "vessel" and left[place] > 0:
            path = []
            while node != ("request", start):
                node, pair = came[node]
                path.append(pair)
            return path[::-1]
        for i, j in mass:
            if kind == "request" and j == place:
                following = ("vessel", i)
            elif kind == "vessel" and i == place and _lowers(task, mass, i, j):
                following = ("request", j)
            else:
                continue
            if following not in came and following != ("request", start):
                came[following] = node, (i, j)
                queue.append(following)
    return None


def _lowers(task: Task, mass: Mapping[Pair, int], i: int, j: int) -> bool:
    return mass[i, j] > task.demands[j].least_draw_ug


def _room(
    task: Task,
    mass: Mapping[Pair, int],
    left: Mapping[int, int],
    path: list[Pair],
    lack: int,
) -> int:
    lowered = [mass[i, j] - task.demands[j].least_draw_ug for i, j in path[1::2]]
    return min([lack, left[path[-1][0]], *lowered])


def _move(
    mass: dict[Pair, int],
    left: dict[int, int],
    lacks: dict[int, int],
    path: list[Pair],
    ug: int,
) -> None:
    for turn, pair in enumerate(path):
        mass[pair] += ug if turn % 2 == 0 else -ug
    lacks[path[0][1]] -= ug
    left[path[-1][0]] -= ug
