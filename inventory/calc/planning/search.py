"""One stage of a plan: HiGHS on the whole model, or less where less is proof enough.

In a large model the demand for whole vessels is first let go. That takes a moment
and bounds what any plan can reach. A choice that comes as near to the bound as is
asked for, by exchanging vessels (`swaps`), is as good as HiGHS would prove it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import ceil, inf
from time import perf_counter

from .measures import Measure
from .model import Choice, Found, Model
from .swaps import bettered

SMALL = 400
"""Whole columns up to which a model is given to HiGHS as it is."""

IN_UNITS = {Measure.IDLE_PINS, Measure.OPENINGS}
"""Measures that count, so that a bound of 3.2 means 4."""


class Clock:
    """How much of the time given is left, in seconds."""

    def __init__(self, seconds: float) -> None:
        self._end = perf_counter() + seconds

    def left(self) -> float:
        return max(self._end - perf_counter(), 0.0)


@dataclass(frozen=True, slots=True)
class Stage:
    """One measure to be made small: the model it belongs to, and how far to go.

    The last measure only decides between plans that are equally good: there a large
    model goes no further than exchanges.
    """

    build: Callable[[], Model]
    measure: Measure
    clock: Clock
    gap: float
    is_last: bool

    def best(self, start: Choice | None) -> Found:
        """Return the choice that makes the measure least, as far as the time allows.

        `start` is a choice that keeps to all that is held, if there is one yet.
        """
        model = self.build()
        if start is None or model.size <= SMALL:
            return self._outright(model, 0.7)
        lowest = model.relaxed(self.measure, self.clock.left())
        bound = _rounded_up(self.measure, lowest)
        found = self._exchanged(start, bound)
        if self.is_last or found.is_finished or not self.clock.left():
            return found
        tried = self._outright(model, 0.5)
        bound = max(bound, tried.bound)
        if tried.choice is not None and tried.value < found.value:
            better = self._exchanged(tried.choice, bound)
            return replace(better, is_finished=better.is_finished or tried.is_finished)
        return replace(
            found, bound=bound, is_finished=self._is_near(found.value, bound)
        )

    def _outright(self, model: Model, part: float) -> Found:
        """Give the whole model to HiGHS, and a part of the time left."""
        found = model.minimise(self.measure, part * self.clock.left(), self.gap)
        return replace(found, bound=_rounded_up(self.measure, found.bound))

    def _exchanged(self, start: Choice, bound: float) -> Found:
        """Return the better of a choice and what exchanging vessels makes of it."""
        found = self._as_it_is(start)
        if not self._is_near(found.value, bound):
            model = self.build()
            most_ug = model.held.get(Measure.MASS, inf)
            seconds = 0.4 * self.clock.left()
            swapped = bettered(model.task, start, self.measure, most_ug, seconds)
            tried = self._as_it_is(swapped)
            if tried.choice is not None and tried.value < found.value:
                found = tried
        near = self._is_near(found.value, bound)
        return replace(found, bound=bound, is_finished=near)

    def _is_near(self, value: float, bound: float) -> bool:
        return value - bound <= self.gap * value + 1e-9

    def _as_it_is(self, choice: Choice) -> Found:
        """Return what a choice comes to; the model itself says whether it may be."""
        model = self.build()
        model.fix(choice)
        return model.minimise(self.measure, min(max(self.clock.left(), 1.0), 5.0), 0.0)


def _rounded_up(measure: Measure, bound: float) -> float:
    return float(ceil(bound - 1e-6)) if measure in IN_UNITS else bound
