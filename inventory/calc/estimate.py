"""What is left in a vessel and how sure: kept up to date event by event.

Sequential generalised least squares on the state (metal, tare, liquid) with its
covariance: each reading is a linear-Gaussian update (Kalman, Trans. ASME D 82 (1960)
35-45, from memory).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import hypot, inf, sqrt
from typing import Literal

from .contents import Part, State
from .covariance_root import Row, from_rows, gain, narrowed, rows, seen, widened
from .events import Change, Event, Observe, Start, Unknown

QUIET_WITHIN = 2.0
CHECK_WITHIN = 3.0
"""Multiples of u(D): the warning and action limits of a control chart (ISO 7870-2,
from memory)."""

Verdict = Literal["quiet", "check", "investigate"]


@dataclass(frozen=True, slots=True)
class Outcome:
    """How an event moved each part, in µg, and what a reading said of the record.

    The innovation D is the reading less what was expected of it; `ratio` is
    |D|/u(D). All four are None unless the event was a reading. `decided` names the
    part that was unknown and that this reading alone decides: then D is measured
    from the middle of the part's bounds and is no surprise.
    """

    metal_change_ug: float
    tare_change_ug: float
    liquid_change_ug: float
    innovation_ug: float | None = None
    u_innovation_ug: float | None = None
    ratio: float | None = None
    verdict: Verdict | None = None
    decided: Part | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """One event of a history with the state after it."""

    event: Event
    state: State
    outcome: Outcome


def begin(start: Start) -> State:
    """Return the state before the first event."""
    u_metal, u_tare, u_liquid = start.u_metal_ug, start.u_tare_ug, start.u_liquid_ug
    root = (u_metal, 0.0, u_tare, 0.0, 0.0, u_liquid)
    state = State(start.metal_ug, start.tare_ug, start.liquid_ug, root)
    return state if start.unknown is None else _unknown(state, start.unknown)


def replay(events: Iterable[Event], start: Start) -> list[Step]:
    """Return every event with the state and the outcome after it, in order."""
    state = begin(start)
    steps = []
    for event in events:
        state, outcome = apply(state, event)
        steps.append(Step(event, state, outcome))
    return steps


def apply(state: State, event: Event) -> tuple[State, Outcome]:
    """Return the state after an event, and what the event changed and told."""
    if isinstance(event, Observe):
        return _observe(state, event)
    if isinstance(event, Change):
        after = _change(state, event)
    elif isinstance(event, Unknown):
        after = _unknown(state, event)
    else:
        after = _emptied(state)
    return after, Outcome(
        after.metal_ug - state.metal_ug,
        after.tare_ug - state.tare_ug,
        after.liquid_ug - state.liquid_ug,
    )


def innovation(state: State, reading: Observe) -> tuple[float, float]:
    """Return how far a reading is from what a state expects, D, and u(D), in µg.

    It changes nothing, so a reading can be held against other vessels too.
    """
    f, g = reading.metal_factor, reading.liquid_factor
    expected = state.tare_ug + f * state.metal_ug + g * state.liquid_ug
    return reading.z_ug - expected, hypot(*seen(state.root, f, g), reading.u_z_ug)


def verdict_on(innovation_ug: float, u_innovation_ug: float) -> Verdict:
    """Return whether a reading agrees with the record: within 2 u, 3 u or neither."""
    size = abs(innovation_ug)
    if size <= QUIET_WITHIN * u_innovation_ug:
        return "quiet"
    return "check" if size <= CHECK_WITHIN * u_innovation_ug else "investigate"


def _observe(state: State, reading: Observe) -> tuple[State, Outcome]:
    """Take a reading in; it alone decides where a single part was unknown.

    A part known only by wide bounds must not pull at the reading, which the
    normal distribution in place of the uniform would (by u(z)²/u(part)² of its
    distance from the middle); so one such part is solved for exactly, the limit
    of ever wider bounds. Two cannot be told apart by one reading: they share it
    by their variances, as normal distributions.
    """
    d, u_d = innovation(state, reading)
    decided = state.undecided[0] if len(state.undecided) == 1 else None
    if decided is not None:
        after = _decide(state, reading, decided)
    else:
        after = _update(state, reading, d, u_d)
    return after, Outcome(
        after.metal_ug - state.metal_ug,
        after.tare_ug - state.tare_ug,
        after.liquid_ug - state.liquid_ug,
        d,
        u_d,
        abs(d) / u_d if u_d else (inf if d else 0.0),
        verdict_on(d, u_d),
        decided,
    )


def _update(state: State, reading: Observe, d: float, u_d: float) -> State:
    """Take a reading in by the gain that leaves the least variance."""
    if not u_d:
        return state  # all of it exact: nothing can be learnt, D tells the rest
    v = seen(state.root, reading.metal_factor, reading.liquid_factor)
    metal, tare, liquid = gain(state.root, v, u_d * u_d)
    return State(
        state.metal_ug + metal * d,
        state.tare_ug + tare * d,
        state.liquid_ug + liquid * d,
        narrowed(state.root, v, reading.u_z_ug),
    )


def _decide(state: State, reading: Observe, part: Part) -> State:
    """Solve the reading for the one unknown part; it tells nothing of the others."""
    z, u = reading.z_ug, reading.u_z_ug
    f, g = reading.metal_factor, reading.liquid_factor
    metal, tare, liquid = state.metal_ug, state.tare_ug, state.liquid_ug
    m, t, li = rows(state.root)
    if part == "metal":
        metal = (z - tare - g * liquid) / f
        root = from_rows(_sum(t, -1 / f, li, -g / f), t, li)
        return State(metal, tare, liquid, widened(root, u / f, 0.0, 0.0))
    if part == "tare":
        tare = z - f * metal - g * liquid
        root = from_rows(m, _sum(m, -f, li, -g), li)
        return State(metal, tare, liquid, widened(root, 0.0, u, 0.0))
    liquid = (z - tare - f * metal) / g
    root = from_rows(m, t, _sum(m, -f / g, t, -1 / g))
    return State(metal, tare, liquid, widened(root, 0.0, 0.0, u / g))


def _sum(one: Row, by_one: float, other: Row, by_other: float) -> Row:
    a, b, c = one
    d, e, f = other
    return (
        by_one * a + by_other * d,
        by_one * b + by_other * e,
        by_one * c + by_other * f,
    )


def _change(state: State, event: Change) -> State:
    root = widened(state.root, event.u_metal_ug, 0.0, 0.0)
    root = widened(root, 0.0, event.u_tare_ug, 0.0)
    return State(
        state.metal_ug + event.metal_ug,
        state.tare_ug + event.tare_ug,
        state.liquid_ug + event.liquid_ug,
        widened(root, 0.0, 0.0, event.u_liquid_ug),
        state.undecided,
    )


def _unknown(state: State, event: Unknown) -> State:
    """Move each part to the middle of its bounds, as uniform between them."""
    bounds: dict[Part, tuple[float, float]] = {
        "metal": (event.metal_low_ug, event.metal_high_ug),
        "tare": (event.tare_low_ug, event.tare_high_ug),
        "liquid": (event.liquid_low_ug, event.liquid_high_ug),
    }
    metal, tare, liquid = ((low + high) / 2 for low, high in bounds.values())
    widths = [(high - low) / sqrt(12) for low, high in bounds.values()]
    change = Change(metal, widths[0], liquid, widths[2], tare, widths[1])
    after = _change(state, change)
    undecided = tuple(
        part
        for part, (low, high) in bounds.items()
        if high > low or part in state.undecided
    )
    return State(after.metal_ug, after.tare_ug, after.liquid_ug, after.root, undecided)


def _emptied(state: State) -> State:
    _, tare, liquid = rows(state.root)
    return State(
        0.0,
        state.tare_ug,
        state.liquid_ug,
        from_rows((0.0, 0.0, 0.0), tare, liquid),
        tuple(part for part in state.undecided if part != "metal"),
    )
