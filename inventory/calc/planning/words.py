"""Why a vessel is in a plan, why a pin is not, and why something is missing."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace

from .draws import Pair
from .task import Task, is_kept_right, is_pure, suits
from .terms import (
    Candidate,
    Demand,
    Idle,
    Lack,
    Missing,
    UnusedPin,
    Why,
)


def reasons(
    task: Task, draws: Mapping[Pair, int], given: Mapping[int, int], i: int, j: int
) -> tuple[Why, ...]:
    """Return what speaks for one vessel and one request, as far as it is plainly so."""
    vessel, servers = task.vessels[i], task.servers[j]
    is_whole = i in given
    sealed = [k for k in servers if task.vessels[k].is_sealed]
    oldest = min(task.vessels[k].age_rank for k in servers)
    youngest = max(task.vessels[k].age_rank for k in servers)
    said = {
        Why.PINNED: i in task.pinned,
        Why.ONLY: len(servers) == 1,
        Why.OPEN: not vessel.is_sealed,
        Why.STAYS_SEALED: is_whole and vessel.is_sealed,
        Why.FITS: _fits(task, draws, given, i, j),
        Why.OLDEST: vessel.age_rank == oldest < youngest,
        Why.LARGEST: not is_whole
        and vessel.is_sealed
        and len(sealed) > 1
        and task.drawable[i] == max(task.drawable[k] for k in sealed),
    }
    return tuple(why for why, is_so in said.items() if is_so) or (Why.TOGETHER,)


def _fits(
    task: Task, draws: Mapping[Pair, int], given: Mapping[int, int], i: int, j: int
) -> bool:
    if i not in given:
        drawn = sum(ug for (k, _), ug in draws.items() if k == i)
        return drawn == task.vessels[i].drawable_ug
    if task.demands[j].is_counted:
        return False
    handed = sum(task.vessels[k].whole_ug for k, served in given.items() if served == j)
    return handed == task.demands[j].mass_ug


def lacks(
    candidates: Iterable[Candidate],
    task: Task,
    draws: Mapping[Pair, int],
    given: Mapping[int, int],
    excluded: Collection[int],
) -> list[Missing]:
    """Return what the requests of one material do not get, and why."""
    known = list(candidates)
    usable = [vessel for vessel in known if vessel.key not in excluded]
    left_out = [vessel for vessel in known if vessel.key in excluded]
    found = []
    for j, demand in enumerate(task.demands):
        if demand.is_drawn:
            got = sum(ug for (_, k), ug in draws.items() if k == j)
        elif demand.is_counted:
            got = sum(1 for served in given.values() if served == j)
        else:
            got = sum(task.whole[i] for i, served in given.items() if served == j)
        if got < demand.asked:
            missing = _missing(usable, task, j, demand.asked - got)
            if not task.servers[j] and any(_could(each, demand) for each in left_out):
                missing = replace(missing, reason=Lack.LEFT_OUT)
            found.append(missing)
    return found


def _could(vessel: Candidate, demand: Demand) -> bool:
    """Tell whether a vessel that was left out could have served a request."""
    if demand.is_drawn:
        return suits(vessel, demand) and vessel.drawable_ug >= demand.least_draw_ug
    return suits(vessel, demand) and vessel.whole_ug > 0


def _missing(usable: Sequence[Candidate], task: Task, j: int, lack: int) -> Missing:
    demand, servers = task.demands[j], task.servers[j]
    has = task.drawable if demand.is_drawn else task.whole
    free_ug = sum(has[i] for i in servers)
    free = len(servers) if demand.is_counted else free_ug
    reason = Lack.SHARED if free >= demand.asked else Lack.NOT_ENOUGH
    if not servers:
        reason = _why_none(usable, task, demand)
    counted = demand.is_counted
    return Missing(
        demand.key,
        0 if counted else lack,
        lack if counted else 0,
        reason,
        free_ug,
        len(servers),
    )


def _why_none(usable: Sequence[Candidate], task: Task, demand: Demand) -> Lack:
    """Say why no vessel at all can serve a request."""
    material = [vessel for vessel in usable if vessel.material == demand.material]
    pure = [vessel for vessel in material if is_pure(vessel, demand)]
    kept = [vessel for vessel in pure if is_kept_right(vessel, demand)]
    keys = {vessel.key for vessel in kept}
    free = any(
        vessel.key in keys and drawable > 0
        for vessel, drawable in zip(task.vessels, task.drawable, strict=True)
    )
    steps = (
        (material, Lack.NO_MATERIAL),
        (pure, Lack.NOT_PURE),
        (kept, Lack.OTHER_MEDIUM),
        (demand.is_drawn and free, Lack.NOTHING_FREE),
    )
    return next((lack for some, lack in steps if not some), Lack.REMNANTS)


def idle_pins(
    candidates: Iterable[Candidate],
    demands: Sequence[Demand],
    pinned: Collection[int],
    excluded: Collection[int],
    used: Collection[int],
    could_serve: Collection[int],
) -> list[UnusedPin]:
    """Return the pinned vessels that are not in the plan, in order of key, and why."""
    known = {vessel.key: vessel for vessel in candidates}
    return [
        UnusedPin(key, _why_idle(known.get(key), demands, key in excluded, could_serve))
        for key in sorted(set(pinned) - set(used))
    ]


def _why_idle(
    vessel: Candidate | None,
    demands: Sequence[Demand],
    is_excluded: bool,
    could_serve: Collection[int],
) -> Idle:
    if vessel is None:
        return Idle.UNKNOWN
    asking = [demand for demand in demands if demand.material == vessel.material]
    pure = [demand for demand in asking if is_pure(vessel, demand)]
    steps = (
        (not is_excluded, Idle.EXCLUDED),
        (asking, Idle.NO_REQUEST),
        (pure, Idle.NOT_PURE),
        (any(is_kept_right(vessel, demand) for demand in pure), Idle.OTHER_MEDIUM),
        (vessel.key in could_serve, Idle.NOTHING_FREE),
    )
    return next((idle for some, idle in steps if not some), Idle.NOT_NEEDED)
