"""Which vessels are looked at, where there are more than a plan can weigh up in time."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from itertools import chain, zip_longest

from .task import suits
from .terms import Candidate, Demand


def shortlist(
    candidates: Iterable[Candidate],
    demands: Sequence[Demand],
    *,
    pinned: Collection[int] = frozenset(),
    most: int,
) -> list[Candidate]:
    """Return the candidates to be looked at, at most so many of each metal.

    All of a metal if they are no more; else all pinned ones, up to half of the places
    for those that are open, then in turn what fits each request best, what holds most
    and what is to be used first. Vessels that no request suits come last.
    """
    by_metal: dict[str, list[Candidate]] = {}
    for each in candidates:
        by_metal.setdefault(each.material, []).append(each)
    found: list[Candidate] = []
    for material, held in by_metal.items():
        if len(held) > most:
            asked = [each for each in demands if each.material == material]
            held = _chosen(held, asked, pinned, most)
        found += held
    return sorted(found, key=lambda each: each.key)


def looked_at(
    candidates: Iterable[Candidate], chosen: Iterable[Candidate]
) -> list[tuple[str, int, int]]:
    """Return (metal, looked at, there) of each metal of which some were left aside."""
    there = Counter(each.material for each in candidates)
    seen = Counter(each.material for each in chosen)
    return [
        (metal, seen[metal], count)
        for metal, count in sorted(there.items())
        if seen[metal] < count
    ]


def _chosen(
    held: list[Candidate],
    asked: Sequence[Demand],
    pinned: Collection[int],
    most: int,
) -> list[Candidate]:
    held = sorted(held, key=lambda each: (each.age_rank, each.key))
    usable = [each for each in held if any(suits(each, one) for one in asked)]
    is_open = [each for each in usable if not each.is_sealed]
    turns = [*chain.from_iterable(_fitting(usable, one) for one in asked), usable]
    ranked = chain(
        (each for each in held if each.key in pinned),
        is_open[: most // 2],
        (each for each in chain.from_iterable(zip_longest(*turns)) if each is not None),
        held,
    )
    found: dict[int, Candidate] = {}
    for each in ranked:
        if len(found) >= most and each.key not in pinned:
            break
        found[each.key] = each
    return list(found.values())


def _fitting(
    usable: Sequence[Candidate], demand: Demand
) -> tuple[list[Candidate], list[Candidate]]:
    """Return the vessels for a request: the tightest fit first, and the largest first.

    Too much is nearer than too little: it serves the request alone.
    """

    def has_ug(each: Candidate) -> int:
        return each.whole_ug if demand.whole else each.drawable_ug

    def off(each: Candidate) -> tuple[bool, int, int, int]:
        too_little = has_ug(each) < demand.mass_ug
        away = abs(has_ug(each) - demand.mass_ug)
        return too_little, away, each.age_rank, each.key

    fit = [each for each in usable if suits(each, demand) and has_ug(each) > 0]
    largest = sorted(fit, key=lambda each: (-has_ug(each), each.age_rank, each.key))
    if demand.is_counted:
        return sorted(fit, key=lambda each: (each.age_rank, each.key)), largest
    return sorted(fit, key=off), largest
