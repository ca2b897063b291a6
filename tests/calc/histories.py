"""Random histories of a vessel, for the tests of the running estimate."""

import numpy as np
from hypothesis import strategies as st

from inventory.calc.events import Change, Emptied, Observe, Start, Unknown

TARE_UG = 90e6
FULL_UG = 60e6

few_milligrams = st.floats(500, 20_000)
rough = st.sampled_from([0.0, 3e3, 1.2e5, 2e6])
factor = st.floats(0.995, 1.0)
bound = st.floats(1e6, FULL_UG)

starts = st.builds(
    Start,
    tare_ug=st.floats(0.5 * TARE_UG, 1.5 * TARE_UG),
    u_tare_ug=few_milligrams,
    liquid_ug=st.floats(0, FULL_UG),
    u_liquid_ug=rough,
    metal_ug=st.floats(0, FULL_UG),
    u_metal_ug=rough,
)
readings = st.builds(
    Observe,
    z_ug=st.floats(TARE_UG, TARE_UG + 2 * FULL_UG),
    u_z_ug=few_milligrams,
    metal_factor=factor,
    liquid_factor=factor,
)
changes = st.builds(
    Change,
    metal_ug=st.floats(-FULL_UG, FULL_UG),
    u_metal_ug=rough,
    liquid_ug=st.floats(-FULL_UG, FULL_UG),
    u_liquid_ug=rough,
    tare_ug=st.floats(-5e4, 5e4),
    u_tare_ug=st.sampled_from([0.0, 1e3]),
)


def alone(part, bound_ug, sign):
    """Return an Unknown of one part, in or out."""
    ends = {f"{part}_low_ug": min(0, sign * bound_ug)}
    return Unknown(**ends, **{f"{part}_high_ug": max(0, sign * bound_ug)})


unknown_ones = st.builds(
    alone,
    st.sampled_from(["metal", "liquid", "tare"]),
    bound,
    st.sampled_from([-1, 1]),
)
unknown_pairs = st.builds(
    lambda metal, liquid: Unknown(metal_high_ug=metal, liquid_high_ug=liquid),
    bound,
    bound,
)


def part_of(unknown):
    """Return the only part that an Unknown leaves open."""
    spans = {
        part: getattr(unknown, f"{part}_high_ug") - getattr(unknown, f"{part}_low_ug")
        for part in ("metal", "tare", "liquid")
    }
    return max(spans, key=spans.get)


# One step is a list of (event, parts for which a batch has no equation).
known_steps = st.one_of(
    readings.map(lambda z: [(z, ())]),
    changes.map(lambda change: [(change, ())]),
    st.just([(Emptied(), ())]),
)
decided_steps = st.builds(
    lambda unknown, between, z: [
        (unknown, (part_of(unknown),)),
        *((change, ()) for change in between),
        (z, ()),
    ],
    unknown_ones,
    st.lists(changes, max_size=1),
    readings,
)
shared_steps = st.builds(lambda pair, z: [(pair, ()), (z, ())], unknown_pairs, readings)
histories = st.lists(
    st.one_of(known_steps, known_steps, decided_steps, shared_steps),
    min_size=1,
    max_size=8,
).map(lambda steps: [event for step in steps for event in step])


def matrix(state):
    """Return a state's covariance as an array, in the order metal, tare, liquid."""
    mt, ml, tl = state.cov_metal_tare, state.cov_metal_liquid, state.cov_tare_liquid
    return np.array(
        [
            [state.var_metal, mt, ml],
            [mt, state.var_tare, tl],
            [ml, tl, state.var_liquid],
        ]
    )


def mean(state):
    return np.array([state.metal_ug, state.tare_ug, state.liquid_ug])
