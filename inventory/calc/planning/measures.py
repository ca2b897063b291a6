"""What the planner's stages make small, as costs of the model's columns."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from enum import Enum
from typing import TYPE_CHECKING

from .terms import Aim

if TYPE_CHECKING:
    from .model import Model

Costs = dict[int, float]


class Measure(Enum):
    """What a stage makes as small as it can."""

    IDLE_PINS = "idle pins"
    MISSING = "missing"
    """Summed fractions of the requests: each counts the same."""
    OPENINGS = "openings"
    """Sealed vessels that are drawn from."""
    MASS = "mass"
    """Micrograms that are opened, or go whole for a mass: the least is left over."""
    AGE = "age"
    """Summed ranks of what the requests get, each request counting the same."""


_ORDER: Mapping[Aim, tuple[Measure, ...]] = {
    Aim.FEWEST: (Measure.OPENINGS, Measure.MASS, Measure.AGE),
    Aim.LEAST: (Measure.MASS, Measure.OPENINGS, Measure.AGE),
    Aim.OLDEST: (Measure.AGE, Measure.OPENINGS, Measure.MASS),
}


def order(aim: Aim, ages_differ: bool) -> tuple[Measure, ...]:
    """Return what comes first, second and third; age decides last if it is all one."""
    if ages_differ:
        return _ORDER[aim]
    return (*(one for one in _ORDER[aim] if one is not Measure.AGE), Measure.AGE)


def costs(model: Model, measure: Measure) -> tuple[Costs, float]:
    """Return a measure's costs by column, and the factor they were multiplied by.

    HiGHS takes what is below 1e-6 for nothing; the factor keeps all that matters
    well above that.
    """
    plain = _PLAIN[measure](model)
    factor = _FACTORS[measure]
    if measure is Measure.MASS and plain:
        factor /= max(plain.values())
    return {column: cost * factor for column, cost in plain.items()}, factor


def loosened(most: float, measure: Measure) -> float:
    """Return what is held with room for what floating-point numbers are off by.

    A stage may use the room of those before it, so each has to have more.
    """
    room = 1e-9 if measure is Measure.MISSING else 1e-8
    return most + room * max(most, 1.0)


def _idle_pins(model: Model) -> Costs:
    return dict.fromkeys(model.idle.values(), 1.0)


def _missing(model: Model) -> Costs:
    return {column: 1 / model.asked(j) for j, column in enumerate(model.short)}


def _sealed(model: Model) -> Iterator[tuple[int, int]]:
    for i, column in model.opening.items():
        if model.task.vessels[i].is_sealed:
            yield i, column


def _openings(model: Model) -> Costs:
    return {column: 1.0 for _, column in _sealed(model)}


def _mass(model: Model) -> Costs:
    task = model.task
    found = {column: float(task.vessels[i].holds_ug) for i, column in _sealed(model)}
    for (i, j), column in model.given.items():
        if j in task.weighed:
            found[column] = float(task.vessels[i].whole_ug)
    for j in task.weighed:
        found[model.short[j]] = model.unit
    return found


def _age(model: Model) -> Costs:
    task, found = model.task, {}
    drawn = sum(model.asked(j) for j in task.drawn)
    for i, column in model.amount.items():
        found[column] = task.ages[i] * len(task.drawn) / drawn
    for (i, _), (column, _) in model.draw.items():
        found[column] = task.ages[i] * len(task.drawn) / drawn
    pools = {pool[0]: pool for pool in task.alike(task.counted).values()}
    for (i, j), column in model.given.items():
        if j in pools:
            asked = sum(task.demands[k].vessels for k in pools[j])
            found[column] = task.ages[i] * len(pools[j]) / asked
        else:
            found[column] = task.ages[i] * task.share(i, j)
    return found


_PLAIN = {
    Measure.IDLE_PINS: _idle_pins,
    Measure.MISSING: _missing,
    Measure.OPENINGS: _openings,
    Measure.MASS: _mass,
    Measure.AGE: _age,
}

_FACTORS = {
    Measure.IDLE_PINS: 1.0,
    Measure.MISSING: 1e6,
    Measure.OPENINGS: 1.0,
    Measure.MASS: 1e5,
    Measure.AGE: 1e5,
}
