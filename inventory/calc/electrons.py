"""How many electrons free a metal from its compound, and how many a reductant gives."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from .formulas import IONS, METALS_OF, NON_METALS, FormulaError, atom_counts

ELECTRONS = {
    **IONS,
    **dict.fromkeys(("Al", "Sc", "Y", "La", "Ce", "Pr", "Nd"), 3),
    **dict.fromkeys(("Si", "Ti", "Zr", "Hf", "Th"), 4),
}
"""Electrons an atom gives as a reductant, by its usual oxidation state."""

ANION_CHARGE = {"O": 2, "S": 2, "Se": 2, "Te": 2, "F": 1, "Cl": 1, "Br": 1, "I": 1}
"""What stays behind as an anion; all other elements end up as elements."""

HARDEST = ("Ca", "Sr", "Ba")
"""Metals whose oxides and halides stay when any other metal is freed beside them, as
the lime of calcined dolomite does."""

CHROMIUM_LEFT = 3
"""The lowest charge that chromate is sure to come down to before its metal comes."""


@dataclass(frozen=True, slots=True)
class Need:
    """The electrons one formula unit takes until its metal is free.

    `least`, if all else it holds leaves by heat alone or stays: carbonate as carbon
    dioxide, a hydrate's water as steam, chromium as Cr2O3. `most`, if all that can
    be reduced is: carbon, hydrogen, chromium end up as elements.
    """

    least: int
    most: int


def electrons_given(formula: str) -> int:
    """Return the electrons one formula unit of a reducing metal or alloy gives.

    Refuses compounds: what carbon or hydrogen gives in CaC2, CaH2 or LiAlH4 hangs
    on what they leave as. Refuses idle metals, which would count for nothing.
    """
    given = 0
    for element, count in atom_counts(formula).items():
        if element not in ELECTRONS:
            raise FormulaError(_refusal(formula.strip(), element))
        given += ELECTRONS[element] * count
    return given


def _refusal(formula: str, element: str) -> str:
    if element in NON_METALS:
        return (
            f"{formula} is no metal, and what it gives as a reductant depends on what "
            f"its {element} leaves as: no excess and no limit by the reductant is "
            "worked out."
        )
    return (
        f"What {element} gives as a reductant is not known here: charge an alloy such "
        f"as {formula} as the element that reduces, with its share as the purity."
    )


def electrons_needed(
    formula: str, symbol: str, reductants: Collection[str] = ()
) -> Need:
    """Return the electrons that free the metal `symbol` of one formula unit.

    Two for an alkaline-earth oxide, one for an alkali halide, none for the metal
    itself, an azide or a hydride. `reductants` are the elements that reduce: they
    are not reduced themselves where the source holds them too.
    """
    counts = atom_counts(formula)
    metals = METALS_OF.get(symbol, (symbol,))
    anions = sum(ANION_CHARGE.get(el, 0) * count for el, count in counts.items())
    staying = sum(
        ELECTRONS.get(element, 0) * count
        for element, count in counts.items()
        if element not in metals
        and (element in reductants or (element in HARDEST and symbol not in HARDEST))
    )
    most = max(anions - staying, 0)
    own = sum(IONS.get(metal, most) * counts.get(metal, 0) for metal in metals)
    dry = max(most - counts.get("H", 0), 0)
    return Need(min(own + _before(counts, own, dry), dry), most)


def _before(counts: Mapping[str, int], own: int, dry: int) -> int:
    """Return the electrons that chromium takes before the metal gets any."""
    chromium = counts.get("Cr", 0)
    return max(dry - own - CHROMIUM_LEFT * chromium, 0) if chromium else 0
