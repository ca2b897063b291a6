"""What the planner is asked, of one material, checked and put in order."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from functools import cached_property
from math import ceil, isfinite, log2

from .terms import Candidate, Demand

SURE = 1.96
"""Standard uncertainties below which a normal estimate lies in 2.5 % of cases."""

SPAN = 2.0**20
"""What is drawn in all, in the models' unit: 1 µg stays far above HiGHS's 1e-6."""


def refuse_nonsense(
    candidates: Sequence[Candidate],
    demands: Sequence[Demand],
    limit_s: float,
    gap: float,
) -> None:
    """Raise ValueError for a question that makes no sense."""
    for one_kind in (candidates, demands):
        keys = [one.key for one in one_kind]
        if len(keys) != len(set(keys)):
            raise ValueError("every vessel and every request needs a key of its own")
    if not (limit_s > 0 and isfinite(limit_s) and 0 <= gap < 1):
        raise ValueError("time has to be above 0, and the gap from 0 to below 1")
    for vessel in candidates:
        masses = (vessel.drawable_ug, vessel.whole_ug, vessel.u_ug)
        if not all(isfinite(mass) and mass >= 0 for mass in masses):
            raise ValueError("no vessel holds less than nothing")
    for demand in demands:
        drawn = not demand.whole and demand.vessels == 0 and demand.mass_ug > 0
        whole = demand.whole and (demand.mass_ug > 0) != (demand.vessels > 0)
        if not (drawn or whole) or min(demand.mass_ug, demand.vessels) < 0:
            raise ValueError(
                "a request is for a mass, or for a number of whole vessels"
            )


def is_pure(vessel: Candidate, demand: Demand) -> bool:
    return vessel.purity >= demand.smallest_purity


def is_kept_right(vessel: Candidate, demand: Demand) -> bool:
    return not demand.media or vessel.medium in demand.media


def suits(vessel: Candidate, demand: Demand) -> bool:
    """Tell whether a request may be served from a vessel, whatever it holds."""
    return (
        vessel.material == demand.material
        and is_pure(vessel, demand)
        and is_kept_right(vessel, demand)
    )


def counted_on_ug(mass_ug: int, u_ug: float, sure: bool) -> int:
    """Return what of a mass is counted on: all, or what is there at 97.5 %."""
    return max(0, int(mass_ug - SURE * u_ug)) if sure else mass_ug


class Task:
    """The vessels of one material, the requests for it, and who can serve whom.

    Both are known by their place here: vessels in order of age and key, requests in
    order of key, so that the order in which they came changes nothing. `drawable` and
    `whole` are what is counted on, in µg.
    """

    def __init__(
        self,
        candidates: Iterable[Candidate],
        demands: Iterable[Demand],
        *,
        pinned: Collection[int] = frozenset(),
        excluded: Collection[int] = frozenset(),
        sure: bool = False,
    ) -> None:
        self.demands = sorted(demands, key=lambda demand: demand.key)
        self.sure = sure
        wanted = [
            vessel
            for vessel in candidates
            if vessel.key not in excluded
            and any(suits(vessel, demand) for demand in self.demands)
        ]
        self.vessels = sorted(wanted, key=lambda vessel: (vessel.age_rank, vessel.key))
        self.drawable = [
            counted_on_ug(v.drawable_ug, v.u_ug, sure) for v in self.vessels
        ]
        self.whole = [counted_on_ug(v.whole_ug, v.u_ug, sure) for v in self.vessels]
        self.servers = [self._servers(demand) for demand in self.demands]
        serving = {i for servers in self.servers for i in servers}
        self.pinned = frozenset(
            i for i, v in enumerate(self.vessels) if v.key in pinned and i in serving
        )

    def _servers(self, demand: Demand) -> tuple[int, ...]:
        """Return the vessels that can give something to a request."""
        return tuple(
            i
            for i, vessel in enumerate(self.vessels)
            if suits(vessel, demand) and self._can_give(i, demand)
        )

    def _can_give(self, i: int, demand: Demand) -> bool:
        if demand.is_drawn:
            return self.drawable[i] >= demand.least_draw_ug
        if demand.is_counted:
            return self.vessels[i].whole_ug > 0
        return self.whole[i] > 0

    @cached_property
    def ages(self) -> list[float]:
        """The ranks without gaps; in order of key where all are of one age."""
        ranks = sorted({vessel.age_rank for vessel in self.vessels})
        if len(ranks) == 1:
            return [float(i) for i in range(len(self.vessels))]
        place = {rank: float(i) for i, rank in enumerate(ranks)}
        return [place[vessel.age_rank] for vessel in self.vessels]

    @cached_property
    def ages_differ(self) -> bool:
        return len({vessel.age_rank for vessel in self.vessels}) > 1

    @cached_property
    def drawn(self) -> tuple[int, ...]:
        return tuple(j for j, demand in enumerate(self.demands) if demand.is_drawn)

    @cached_property
    def counted(self) -> tuple[int, ...]:
        return tuple(j for j, demand in enumerate(self.demands) if demand.is_counted)

    @cached_property
    def weighed(self) -> tuple[int, ...]:
        """Whole vessels, asked for by mass."""
        rest = set(range(len(self.demands))) - set(self.drawn) - set(self.counted)
        return tuple(sorted(rest))

    @cached_property
    def draws_for(self) -> list[tuple[int, ...]]:
        """The drawn requests that each vessel can serve."""
        found: list[list[int]] = [[] for _ in self.vessels]
        for j in self.drawn:
            for i in self.servers[j]:
                found[i].append(j)
        return [tuple(served) for served in found]

    @cached_property
    def unit(self) -> float:
        """The models' unit in µg: a power of two, so that nothing is rounded."""
        drawn = sum(self.demands[j].mass_ug for j in self.drawn)
        largest = max([drawn, *(self.demands[j].mass_ug for j in self.weighed)])
        return 2.0 ** max(0, ceil(log2(max(largest, 1) / SPAN)))

    def alike(self, places: Iterable[int]) -> dict[tuple[int, ...], tuple[int, ...]]:
        """Return requests grouped by who can serve them: {servers: requests}."""
        groups: dict[tuple[int, ...], tuple[int, ...]] = {}
        for j in places:
            groups[self.servers[j]] = (*groups.get(self.servers[j], ()), j)
        return groups

    def useful_ug(self, i: int) -> int:
        """Return what of a vessel could be drawn at most for the requests it suits."""
        asked = sum(self.demands[j].mass_ug for j in self.draws_for[i])
        return min(self.drawable[i], asked)

    def share(self, i: int, j: int) -> float:
        """Return which part of a whole request by mass a vessel covers, at most 1."""
        asked = self.demands[j].mass_ug
        return min(self.whole[i], asked) / asked
