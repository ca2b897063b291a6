"""The best plan by trying every choice: what the planner is held against.

Nothing here is shared with the planner but the question and the answer. Each vessel
has a role: left alone, given whole to a request, or drawn from for some of them. For
fixed roles, what can be drawn follows from sums over sets of requests (the supply-
demand theorem of D. Gale, Pacific Journal of Mathematics 7 (1957) 1073, from memory).
Masses are small whole numbers, so everything is exact.
"""

from itertools import chain, combinations, product

import numpy as np


def subsets(items):
    items = list(items)
    sizes = range(len(items) + 1)
    return list(chain.from_iterable(combinations(items, size) for size in sizes))


def suits(vessel, demand):
    return (
        vessel.material == demand.material
        and vessel.purity >= demand.smallest_purity
        and (not demand.media or vessel.medium in demand.media)
    )


def least(demand):
    return min(50_000, -(-demand.mass_ug // 20))


class EveryChoice:
    """All roles of all vessels at once, one row a choice."""

    def __init__(self, vessels, demands, pinned=()):
        self.vessels, self.demands = vessels, demands
        self.drawn = [d for d in demands if not d.whole]
        self.whole = [d for d in demands if d.whole]
        self.pinned = pinned
        roles = [self.roles(vessel) for vessel in vessels]
        self.choices = list(product(*roles))
        count = len(self.choices)
        shape = (count, len(vessels))
        self.given = np.full(shape, -1)
        self.support = np.zeros((*shape, len(self.drawn)), dtype=bool)
        for row, choice in enumerate(self.choices):
            for i, (kind, what) in enumerate(choice):
                if kind == "whole":
                    self.given[row, i] = what
                for j in what if kind == "drawn" else ():
                    self.support[row, i, j] = True
        self.is_allowed = np.ones(count, dtype=bool)
        self.missing = np.zeros(count)
        self.mass = np.zeros(count)
        self.give()
        self.draw()
        self.pin()

    def roles(self, vessel):
        places = [
            j
            for j, d in enumerate(self.drawn)
            if suits(vessel, d) and vessel.drawable_ug >= least(d)
        ]
        whole = [
            k
            for k, d in enumerate(self.whole)
            if suits(vessel, d) and vessel.whole_ug > 0
        ]
        drawn = [("drawn", some) for some in subsets(places) if some]
        return [("idle", ()), *(("whole", k) for k in whole), *drawn]

    def give(self):
        holds = np.array([v.whole_ug for v in self.vessels])
        pinned = np.array([v.key in self.pinned for v in self.vessels], dtype=bool)
        for k, demand in enumerate(self.whole):
            mine = self.given == k
            if demand.vessels:
                got = mine.sum(axis=1)
                self.is_allowed &= got <= demand.vessels
                self.missing += 1 - got / demand.vessels
                continue
            got = (mine * holds).sum(axis=1)
            self.missing += np.maximum(0, 1 - got / demand.mass_ug)
            self.mass += np.maximum(got, demand.mass_ug)
            without = got[:, None] - holds
            needless = mine & pinned & (without >= demand.mass_ug)
            self.is_allowed &= ~needless.any(axis=1)

    def draw(self):
        """Draw the least from each, then see how much more the rest can give."""
        drawable = np.array([v.drawable_ug for v in self.vessels])
        sealed = np.array([v.is_sealed for v in self.vessels], dtype=bool)
        held = np.array([max(v.drawable_ug, v.whole_ug) for v in self.vessels])
        mins = np.array([least(d) for d in self.drawn]).reshape(1, 1, -1)
        asked = np.array([d.mass_ug for d in self.drawn])
        self.base = (self.support * mins).sum(axis=2)
        self.rest = drawable - self.base
        self.want = asked - (self.support * mins).sum(axis=1)
        self.is_allowed &= (self.rest >= 0).all(axis=1) & (self.want >= 0).all(axis=1)
        is_drawn = self.support.any(axis=2)
        self.openings = (is_drawn & sealed).sum(axis=1)
        self.mass += (is_drawn & sealed) @ held
        self.rest = np.where(is_drawn, self.rest, 0)
        served = np.zeros(len(self.choices))
        order = sorted(range(len(self.drawn)), key=lambda j: asked[j])
        self.lack = np.zeros(len(self.choices))
        for n, j in enumerate(order):
            now = self.most(order[: n + 1], range(len(self.vessels)))
            self.lack += (self.want[:, j] - (now - served)) / asked[j]
            served = now
        self.missing += self.lack

    def most(self, requests, vessels):
        """Return what some vessels can give to some requests: the least cut."""
        found = np.full(len(self.choices), np.inf)
        for kept in subsets(requests):
            cut = self.want[:, [j for j in requests if j not in kept]].sum(axis=1)
            reaches = self.support[:, :, list(kept)].any(axis=2)
            for i in vessels:
                cut = cut + reaches[:, i] * self.rest[:, i]
            found = np.minimum(found, cut)
        return found

    def pin(self):
        used = (self.given >= 0) | self.support.any(axis=2)
        places = [i for i, v in enumerate(self.vessels) if v.key in self.pinned]
        count = used[:, places].sum(axis=1)
        self.is_allowed &= count == count[self.is_allowed].max()
        self.pins_used = int(count[self.is_allowed].max())

    def age(self):
        """Return the ranks of what is given, drawing from the oldest all that goes."""
        suited = {v.age_rank for v in self.vessels for d in self.demands if suits(v, d)}
        place = {rank: n for n, rank in enumerate(sorted(suited))}
        ranks = [place.get(v.age_rank, 0) for v in self.vessels]
        total = np.zeros(len(self.choices))
        for k, demand in enumerate(self.whole):
            for i, vessel in enumerate(self.vessels):
                share = min(vessel.whole_ug, demand.mass_ug) / max(demand.mass_ug, 1)
                part = 1 / demand.vessels if demand.vessels else share
                total += (self.given[:, i] == k) * ranks[i] * part
        if self.drawn:
            weight = len(self.drawn) / sum(d.mass_ug for d in self.drawn)
            requests, before = range(len(self.drawn)), 0
            order = sorted(range(len(ranks)), key=ranks.__getitem__)
            for n, i in enumerate(order):
                now = self.most(requests, order[: n + 1])
                total += ranks[i] * weight * (self.base[:, i] + now - before)
                before = now
        return total

    def best(self, order):
        """Return the measures of the best choice; `order` names them by turns.

        Age is told only where nothing is missing: else it depends on who lacks it.
        """
        left = self.is_allowed.copy()
        values = {
            "missing": self.missing,
            "openings": self.openings,
            "mass": self.mass,
            "age": self.age(),
        }
        found = {}
        for name in ("missing", *order):
            lowest = values[name][left].min()
            found[name] = lowest
            left &= values[name] <= lowest + 1e-9 * max(1.0, abs(lowest))
        return found


def measured(plan, vessels, demands):
    """Return what a plan comes to, in the same measures, from its takes alone."""
    by_key = {v.key: v for v in vessels}
    suited = {v.age_rank for v in vessels for d in demands if suits(v, d)}
    place = {rank: n for n, rank in enumerate(sorted(suited))}
    asked = sum(d.mass_ug for d in demands if not d.whole)
    count = sum(not d.whole for d in demands)
    missing, mass, age, opened = 0.0, 0.0, 0.0, set()
    for demand in demands:
        takes = [take for take in plan.takes if take.demand == demand.key]
        got = sum(take.mass_ug for take in takes)
        if demand.vessels:
            missing += 1 - len(takes) / demand.vessels
        else:
            missing += max(0, 1 - got / demand.mass_ug)
        if demand.whole and demand.mass_ug:
            mass += max(got, demand.mass_ug)
        for take in takes:
            rank = place[by_key[take.candidate].age_rank]
            if not demand.whole:
                age += rank * take.mass_ug * count / asked
                opened.add(take.candidate)
            elif demand.vessels:
                age += rank / demand.vessels
            else:
                age += rank * min(take.mass_ug, demand.mass_ug) / demand.mass_ug
    sealed = [key for key in opened if by_key[key].is_sealed]
    mass += sum(max(by_key[k].drawable_ug, by_key[k].whole_ug) for k in sealed)
    return {"missing": missing, "openings": len(sealed), "mass": mass, "age": age}
