"""What a reduction or a decomposition leaves beside the metal."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import gcd

from .charges import ChargeFacts
from .electrons import ANION_CHARGE, ELECTRONS
from .formulas import METALS_OF, atom_counts
from .reduction import Reductant, Source, shares_of, total, weighed
from .uncertainty import UFloat, exact, nominal, rectangular

DIATOMIC = ("H", "N", "O", "F", "Cl", "Br", "I")

NOTHING = 1e-9
"""The share of the sources' mass below which rounding alone leaves a by-product."""


@dataclass(frozen=True, slots=True)
class ByProduct:
    """What comes beside the metal, gases too, in µg.

    `formula` is that of the one substance it is (CaCl2, N2), "" if it is several.
    """

    mass_ug: UFloat
    formula: str


def by_product(charges: Iterable[ChargeFacts], symbol: str) -> ByProduct | None:
    """Return what comes beside the metal when what limits the batch is used up.

    Mass is conserved: reacted source + reacted reductant − metal. As in `excess`,
    the reductant is taken to reduce all that it can. What is left over of source
    and reductant, and their impurities, are not in it. None where nothing is left
    behind, or no reductant is charged although one is needed, as in electrolysis.
    Raises FormulaError when the reductant's electrons are not known.
    """
    sources, reductants = weighed(charges, symbol)
    shares = shares_of(sources, reductants)
    pairs = list(zip(shares, sources, strict=True))
    taken = total(exact(share * source.most) for share, source in pairs)
    if nominal(taken) and not reductants:
        return None
    given = total(item.electrons for item in reductants)
    if nominal(given) < nominal(taken):
        taken = given
    reacted = total(exact(share * source.pure_ug) for share, source in pairs)
    freed = total(exact(share * source.metal_ug) for share, source in pairs)
    mass = exact(reacted - freed + _used(reductants, taken))
    if nominal(mass) <= NOTHING * nominal(reacted):
        return None
    return ByProduct(mass, _formula(sources, reductants, symbol))


def _used(reductants: Sequence[Reductant], taken: UFloat) -> UFloat:
    """Return the mass in µg of the reductants that give so many electrons.

    Of several, nobody knows which is used first: the mass lies anywhere between
    what the light and what the heavy ones would take.
    """
    if not nominal(taken):
        return exact(0.0)
    order = sorted(reductants, key=lambda item: nominal(item.pure_ug / item.electrons))
    light, heavy = _used_in(order, taken), _used_in(order[::-1], taken)
    half = abs(nominal(heavy) - nominal(light)) / 2
    return exact((light + heavy) / 2 + rectangular(half, "which reductant is used"))


def _used_in(order: Sequence[Reductant], taken: UFloat) -> UFloat:
    used, left = exact(0.0), taken
    for item in order:
        if nominal(left) < nominal(item.electrons):
            return exact(used + item.pure_ug * left / item.electrons)
        used, left = exact(used + item.pure_ug), exact(left - item.electrons)
    return used


def _formula(
    sources: Sequence[Source], reductants: Sequence[Reductant], symbol: str
) -> str:
    """Return the formula of the by-product if it is one substance, or ""."""
    metals = METALS_OF.get(symbol, (symbol,))
    beside = [set(atom_counts(source.formula)).difference(metals) for source in sources]
    rests = {element for elements in beside for element in elements}
    if len(rests) != 1:
        return ""
    rest = rests.pop()
    if not any(source.need.most for source in sources):
        return f"{rest}2" if rest in DIATOMIC else rest
    reducing = {el for item in reductants for el in atom_counts(item.formula)}
    if len(reducing) != 1 or rest not in ANION_CHARGE:
        return ""
    return _salt(reducing.pop(), rest)


def _salt(metal: str, anion: str) -> str:
    """Return the formula of a metal's salt by their charges: CaCl2, Al2O3."""
    positive, negative = ELECTRONS[metal], ANION_CHARGE[anion]
    shared = gcd(positive, negative)
    atoms = (metal, negative // shared), (anion, positive // shared)
    return "".join(f"{element}{count if count > 1 else ''}" for element, count in atoms)
