"""How long a replay takes beside a bare NumPy loop of the same 3×3 updates.

Run by hand from the repository: python -m tests.benchmarks.estimate
Both replay one history in this process, turn about; the best of each is compared.
"""

import sys
from time import perf_counter

import numpy as np

from inventory.calc.estimate import replay
from inventory.calc.events import Change, Observe, Start

EVENTS = 2_000
ROUNDS = 15
START = Start(tare_ug=88e6, u_tare_ug=4e3, metal_ug=32e6, u_metal_ug=1e5)


def history():
    """Return drawings of 10 mg, each followed by a reading."""
    events = []
    for turn in range(1, EVENTS // 2 + 1):
        events.append(Change(metal_ug=-1e4, u_metal_ug=500.0, u_liquid_ug=200.0))
        z = 88e6 + 0.999 * (32e6 - 1e4 * turn)
        events.append(Observe(z, 1500.0, 0.999, 0.998))
    return events


def arrays(events):
    """Return the history as arrays, ready made so that the loop only computes."""
    steps = []
    for event in events:
        if isinstance(event, Change):
            shift = np.array([event.metal_ug, event.tare_ug, event.liquid_ug])
            widths = [event.u_metal_ug, event.u_tare_ug, event.u_liquid_ug]
            steps.append((shift, np.diag(np.square(widths))))
        else:
            row = np.array([event.metal_factor, 1.0, event.liquid_factor])
            steps.append((row, event.z_ug, event.u_z_ug**2))
    return steps


def bare_loop(steps, x, p):
    """Run the same changes and Joseph updates with nothing around them."""
    one = np.eye(3)
    for step in steps:
        if len(step) == 2:
            x = x + step[0]
            p = p + step[1]
        else:
            row, z, r = step
            seen = p @ row
            gain = seen / (row @ seen + r)
            x = x + gain * (z - row @ x)
            left = one - np.outer(gain, row)
            p = left @ p @ left.T + r * np.outer(gain, gain)
    return x, p


def seconds(work, *arguments):
    """Return how long one run takes, and its result."""
    began = perf_counter()
    result = work(*arguments)
    return perf_counter() - began, result


def main():
    events = history()
    steps = arrays(events)
    x = np.array([START.metal_ug, START.tare_ug, START.liquid_ug])
    p = np.diag(np.square([START.u_metal_ug, START.u_tare_ug, START.u_liquid_ug]))
    replays, loops = [], []
    for _ in range(ROUNDS):
        took, told = seconds(replay, events, START)
        replays.append(took)
        took, (mean, covariance) = seconds(bare_loop, steps, x, p)
        loops.append(took)
    last = told[-1].state
    np.testing.assert_allclose(last.metal_ug, mean[0], rtol=1e-9)
    np.testing.assert_allclose(last.var_metal, covariance[0, 0], rtol=1e-6)
    ratio = min(replays) / min(loops)
    sys.stdout.write(
        f"replay {min(replays) / EVENTS * 1e6:.2f} µs an event, "
        f"bare loop {min(loops) / EVENTS * 1e6:.2f} µs, ratio {ratio:.2f}\n"
    )


if __name__ == "__main__":
    main()
