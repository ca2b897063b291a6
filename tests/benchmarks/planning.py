"""How long 500 vessels and 20 requests take, and what that saves beside a greedy choice.

Run by hand from the repository: python -m tests.benchmarks.planning
The bare call is `scipy.optimize.milp` on the ready-made matrices of the first stage
that the aim is about, fewest openings, with nothing missing. The greedy choice goes
request by request: first what is open, then the largest sealed vessel that suits.
"""

import random
import sys
from collections import defaultdict
from time import perf_counter

from scipy.optimize import milp

from inventory.calc.planning import Aim, Candidate, Demand, plan
from inventory.calc.planning.measures import Measure, costs
from inventory.calc.planning.model import Model
from inventory.calc.planning.task import Task

VESSELS, REQUESTS = 500, 20
SEED, SEEDS = 20, 4
G = 1_000_000
MEDIA = ("argon", "argon", "argon", "vacuum", "mineral_oil_light")
PURITIES = (0.995, 0.998, 0.9995)


def shelf(draw):
    """Return ampoules of 1 g to 12 g, one in eight open, one in ten partly promised."""
    found = []
    for key in range(VESSELS):
        whole = int(draw.lognormvariate(1.2, 0.5) * G)
        is_sealed = draw.random() > 0.125
        free = whole if is_sealed else int(whole * draw.uniform(0.1, 0.9))
        promised = int(free * draw.uniform(0.2, 0.6)) if draw.random() < 0.1 else 0
        found.append(
            Candidate(
                key,
                drawable_ug=max(free - promised - 20_000, 0),
                whole_ug=0 if promised else free,
                u_ug=draw.uniform(300, 5_000),
                is_sealed=is_sealed,
                age_rank=draw.randrange(0, 40) + 40 * is_sealed,
                purity=draw.choice(PURITIES),
                medium=draw.choice(MEDIA),
                material="Rb",
            )
        )
    return found


def requests(draw):
    """Return ten drawn requests, five whole by count and five whole by mass."""
    found = []
    for key in range(REQUESTS):
        kind = ("drawn", "count", "drawn", "mass")[key % 4]
        found.append(
            Demand(
                key,
                "Rb",
                mass_ug=0 if kind == "count" else int(draw.uniform(4, 30) * G),
                vessels=draw.randrange(1, 8) if kind == "count" else 0,
                whole=kind != "drawn",
                smallest_purity=draw.choice((0.0, 0.998)),
                media=draw.choice((frozenset(), frozenset({"argon", "vacuum"}))),
            )
        )
    return found


def greedy(vessels, demands):
    """Return how many are opened, what is left over, and the µg that are missing."""
    left = {v.key: v.drawable_ug for v in vessels}
    untouched = {v.key for v in vessels}
    opened, gone, surplus, missing = set(), set(), 0, 0
    for demand in demands:
        suited = [
            v
            for v in vessels
            if v.purity >= demand.smallest_purity
            and (not demand.media or v.medium in demand.media)
            and v.key not in gone
        ]
        if demand.whole:
            whole = [v for v in suited if v.whole_ug and v.key in untouched]
            whole.sort(key=lambda v: (v.is_sealed, -v.whole_ug))
            need, count = demand.mass_ug, demand.vessels
            while whole and (need > 0 or count > 0):
                vessel = whole.pop(0)
                gone.add(vessel.key)
                need, count = need - vessel.whole_ug, count - 1
            if demand.mass_ug:
                surplus += max(-need, 0)
                missing += max(need, 0)
            continue
        is_open = {v.key: not v.is_sealed or v.key in opened for v in suited}
        suited.sort(key=lambda v: (not is_open[v.key], -left[v.key]))
        need = demand.mass_ug
        for vessel in suited:
            least = min(demand.least_draw_ug, need)
            if need <= 0 or left[vessel.key] < least:
                continue
            drawn = min(need, left[vessel.key])
            left[vessel.key] -= drawn
            need -= drawn
            untouched.discard(vessel.key)
            if vessel.is_sealed:
                opened.add(vessel.key)
        missing += need
    by_key = {v.key: v for v in vessels}
    stays = sum(
        by_key[key].holds_ug - by_key[key].drawable_ug + left[key] for key in opened
    )
    return len(opened), stays + surplus, missing


def bare_seconds(vessels, demands, gap):
    """Return how long HiGHS takes on the ready-made matrices of fewest openings."""
    model = Model(
        Task(vessels, demands), frozenset(), {Measure.MISSING: 0.0}, amounts=False
    )
    asked = model.matrix.asked(costs(model, Measure.OPENINGS)[0])
    began = perf_counter()
    milp(**asked, options={"mip_rel_gap": gap})
    return perf_counter() - began


def main():
    gap = 1e-3
    lines = defaultdict(list)
    for seed in range(SEED, SEED + SEEDS):
        draw = random.Random(seed)
        vessels, demands = shelf(draw), requests(draw)
        bare = min(bare_seconds(vessels, demands, gap) for _ in range(3))
        openings, left_over_ug, missing_ug = greedy(vessels, demands)
        for aim in Aim:
            found = plan(vessels, demands, aim=aim, gap=gap)
            text = (
                f"  shelf {seed}: {found.seconds:5.2f} s, {found.seconds / bare:5.1f} × "
                f"HiGHS bare, gap {found.gap:.4%} (last {found.last_gap:.1%}), "
                f"openings {len(found.opened)} : {openings} greedy "
                f"({len(found.opened) / openings:.2f}), left over "
                f"{found.left_over_ug / G:.2f} g : {left_over_ug / G:.2f} g "
                f"({found.left_over_ug / left_over_ug:.2f}), missing "
                f"{sum(m.missing_ug for m in found.missing) / G:.2f} g : "
                f"{missing_ug / G:.2f} g\n"
            )
            lines[aim].append(text)
    for aim, texts in lines.items():
        sys.stdout.write(f"{aim}\n{''.join(texts)}")


if __name__ == "__main__":
    main()
