"""The planner's question as a mixed-integer linear model.

Vessels are drawn from or given whole, never both. What is drawn is not told apart
by request: who may be served from the same vessels is pooled, which keeps a model of
500 vessels small. That leaves out one rule, the smallest draw, so it is a bound and
not yet a plan; for the vessels in `split` each draw has a column of its own and the
rule holds. `stages` splits vessels until the bound is reached by a plan.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf

from .matrix import Matrix
from .measures import Measure, costs, loosened
from .task import Task

TOO_LITTLE = 1e-5
"""What a pinned vessel has to add to a request, as a fraction, to be needed for it.

HiGHS cannot tell 1 µg from nothing beside much more than 1 g in one row."""


@dataclass(frozen=True, slots=True)
class Choice:
    """Which vessels are drawn from, and which go whole to which request."""

    drawn: frozenset[int]
    used: frozenset[int]
    given: Mapping[int, int]
    idle_pins: frozenset[int]


@dataclass(frozen=True, slots=True)
class Found:
    """What a stage came to, and what nothing can undercut, in the measure's own unit."""

    choice: Choice | None
    value: float
    bound: float
    is_finished: bool


class Model:
    """The columns and rows for one task.

    With `amounts` what is drawn from each vessel is a column, which only age needs.
    `held` are the measures of earlier stages and how large they may become.
    """

    def __init__(
        self,
        task: Task,
        split: frozenset[int],
        held: Mapping[Measure, float],
        *,
        amounts: bool,
    ) -> None:
        self.task = task
        self.matrix = Matrix()
        self.unit = task.unit
        self.split = split
        self.held = held
        self.opening: dict[int, int] = {}
        self.amount: dict[int, int] = {}
        self.draw: dict[tuple[int, int], tuple[int, int]] = {}
        self.given: dict[tuple[int, int], int] = {}
        self.idle: dict[int, int] = {}
        nothing_missing = held.get(Measure.MISSING, 1.0) < 1e-9
        self.short = [
            self.matrix.column(
                0.0 if nothing_missing else self.asked(j),
                integral=demand.is_counted,
            )
            for j, demand in enumerate(task.demands)
        ]
        self._give_whole()
        self._draw(amounts)
        self._use_each_vessel_in_one_way()
        for measure, most in held.items():
            if not (measure is Measure.MISSING and nothing_missing):
                self._hold(measure, most)

    def asked(self, j: int) -> float:
        demand = self.task.demands[j]
        return (
            float(demand.vessels) if demand.is_counted else demand.mass_ug / self.unit
        )

    def _give_whole(self) -> None:
        """Add what goes whole: requests by count pooled, each by mass on its own."""
        task, matrix = self.task, self.matrix
        for servers, pool in task.alike(task.counted).items():
            terms = [(self.short[j], 1.0) for j in pool]
            for i in servers:
                column = matrix.column(1.0, integral=True)
                self.given[i, pool[0]] = column
                terms.append((column, 1.0))
            asked = sum(task.demands[j].vessels for j in pool)
            matrix.row(terms, asked, asked)
        for j in task.weighed:
            asked_for = self.asked(j)
            terms = [(self.short[j], 1.0)]
            for i in task.servers[j]:
                column = matrix.column(1.0, integral=True)
                self.given[i, j] = column
                terms.append((column, task.share(i, j) * asked_for))
            matrix.row(terms, asked_for)
            for i in sorted(task.pinned & set(task.servers[j])):
                self._need(i, j, terms[1:])

    def _need(self, i: int, j: int, terms: list[tuple[int, float]]) -> None:
        """Let a pinned vessel go to a request only if the others fall short of it."""
        asked = self.asked(j)
        one = self.given[i, j]
        others = [(column, factor) for column, factor in terms if column != one]
        short = max(1 / self.unit, TOO_LITTLE * asked)
        self.matrix.row([*others, (one, asked)], upper=2 * asked - short)

    def _draw(self, amounts: bool) -> None:
        """Add what is drawn: pooled by who can serve whom, or draw by draw."""
        task = self.task
        pools = list(task.alike(task.drawn).values())
        pool_of = {j: n for n, pool in enumerate(pools) for j in pool}
        got = [[(self.short[j], 1.0) for j in pool] for pool in pools]
        stock: dict[tuple[int, ...], list[tuple[int, float]]] = {}
        for i, served in enumerate(task.draws_for):
            if served:
                self.opening[i] = self.matrix.column(1.0, integral=True)
            if i in self.split:
                for j in served:
                    got[pool_of[j]].append((self._draw_apart(i, j), 1.0))
                self._limit_apart(i)
            elif served:
                supplied = tuple(sorted({pool_of[j] for j in served}))
                stock.setdefault(supplied, []).append(self._supply(i, amounts))
        for supplied, supplies in stock.items():
            self._flow(supplies, [got[n] for n in supplied])
        for terms, pool in zip(got, pools, strict=True):
            asked = sum(self.asked(j) for j in pool)
            self.matrix.row(terms, asked, asked)
        self._limit_requests()

    def _flow(
        self,
        supplies: list[tuple[int, float]],
        pools: list[list[tuple[int, float]]],
    ) -> None:
        """Let what vessels supply go to the pools of requests that they suit."""
        flows = [(self.matrix.column(inf), 1.0) for _ in pools]
        for terms, flow in zip(pools, flows, strict=True):
            terms.append(flow)
        taken = [(column, -1.0) for column, _ in flows]
        self.matrix.row([*supplies, *taken], 0.0)

    def _supply(self, i: int, amounts: bool) -> tuple[int, float]:
        """Return what a vessel adds to its pool: all it can once drawn from, or less."""
        most = self.task.useful_ug(i) / self.unit
        if not amounts:
            return self.opening[i], most
        self.amount[i] = self.matrix.column(most)
        self.matrix.row([(self.amount[i], 1.0), (self.opening[i], -most)], upper=0.0)
        return self.amount[i], 1.0

    def _draw_apart(self, i: int, j: int) -> int:
        """Add one draw: nothing, or no less than is worth a weighing."""
        demand = self.task.demands[j]
        most = min(self.task.drawable[i], demand.mass_ug) / self.unit
        mass = self.matrix.column(most)
        is_made = self.matrix.column(1.0, integral=True)
        self.draw[i, j] = mass, is_made
        self.matrix.row([(mass, 1.0), (is_made, -most)], upper=0.0)
        least = demand.least_draw_ug / self.unit
        self.matrix.row([(mass, 1.0), (is_made, -least)], 0.0)
        self.matrix.row([(is_made, 1.0), (self.opening[i], -1.0)], upper=0.0)
        return mass

    def _limit_apart(self, i: int) -> None:
        """Draw from a vessel no more than it has, and something if it is opened."""
        draws = [self.draw[i, j] for j in self.task.draws_for[i]]
        if not draws:
            return
        most = self.task.useful_ug(i) / self.unit
        opened = (self.opening[i], -most)
        self.matrix.row([*((mass, 1.0) for mass, _ in draws), opened], upper=0.0)
        made = [(is_made, 1.0) for _, is_made in draws]
        self.matrix.row([*made, (self.opening[i], -1.0)], 0.0)

    def _limit_requests(self) -> None:
        """Give no request more than it asks for from the vessels that are split."""
        for j in self.task.drawn:
            apart = [(self.draw[pair][0], 1.0) for pair in self.draw if pair[1] == j]
            if apart:
                self.matrix.row([*apart, (self.short[j], 1.0)], upper=self.asked(j))

    def _use_each_vessel_in_one_way(self) -> None:
        ways: dict[int, list[tuple[int, float]]] = {}
        for i, column in self.opening.items():
            ways.setdefault(i, []).append((column, 1.0))
        for (i, _), column in self.given.items():
            ways.setdefault(i, []).append((column, 1.0))
        for i, terms in ways.items():
            lower = 0.0
            if i in self.task.pinned:
                self.idle[i] = self.matrix.column(1.0, integral=True)
                terms.append((self.idle[i], 1.0))
                lower = 1.0
            if len(terms) > 1:
                self.matrix.row(terms, lower, 1.0)

    def _hold(self, measure: Measure, most: float) -> None:
        """Let a measure of an earlier stage not grow above what is held."""
        found, factor = costs(self, measure)
        self.matrix.row(found.items(), upper=loosened(most, measure) * factor)

    @property
    def size(self) -> int:
        """How many columns have to be whole."""
        return sum(self.matrix.integral)

    def fix(self, choice: Choice) -> None:
        """Leave nothing open but the amounts, and what is open anyway."""
        for i, column in self.opening.items():
            if self.task.vessels[i].is_sealed or i in choice.given:
                self.matrix.fix(column, i in choice.drawn)
        for (i, j), column in self.given.items():
            self.matrix.fix(column, choice.given.get(i) == j)

    def relaxed(self, measure: Measure, seconds: float) -> float:
        """Return what no choice can undercut, in the measure's own unit."""
        found, factor = costs(self, measure)
        answer = self.matrix.minimise(found, seconds=seconds, gap=0.0, relaxed=True)
        return answer.bound / factor

    def minimise(self, measure: Measure, seconds: float, gap: float) -> Found:
        """Return the choice that makes a measure least, and how small it could be."""
        found, factor = costs(self, measure)
        answer = self.matrix.minimise(found, seconds=seconds, gap=gap)
        choice = None if answer.columns is None else self._choice(answer.columns)
        return Found(
            choice,
            answer.value / factor,
            answer.bound / factor,
            answer.is_finished,
        )

    def _choice(self, columns: list[float]) -> Choice:
        """Read off a choice; what is drawn by less than 1 µg is not drawn."""
        opened = {i for i, column in self.opening.items() if columns[column] > 0.5}
        speck = 0.5 / self.unit
        spared = {i for i, column in self.amount.items() if columns[column] < speck}
        used = opened - spared
        free = {i for i in opened if not self.task.vessels[i].is_sealed}
        return Choice(
            frozenset(used | free),
            frozenset(used),
            {i: j for (i, j), column in self.given.items() if columns[column] > 0.5},
            frozenset(i for i, column in self.idle.items() if columns[column] > 0.5),
        )
