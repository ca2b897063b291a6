"""What can happen to a vessel, as the running estimate of its contents sees it."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import TypeAlias


def _check(masses: tuple[float, ...], uncertainties: tuple[float, ...] = ()) -> None:
    """Raise ValueError unless all are finite and no uncertainty is negative."""
    if not all(map(isfinite, masses + uncertainties)):
        raise ValueError(f"not finite: {masses + uncertainties}")
    if any(u < 0 for u in uncertainties):
        raise ValueError(f"an uncertainty cannot be negative: {uncertainties}")


@dataclass(frozen=True, slots=True)
class Unknown:
    """Some went in or out, how much is not known: each change lies in low..high.

    All in µg and signed: a fill of unknown size is `metal_low_ug=0` and
    `metal_high_ug` what the vessel can hold; a withdrawal of unknown size is
    minus what remains to 0. Until a reading decides, a part is taken as uniform
    between its bounds, so its mean moves to their middle and its variance grows
    by (high - low)²/12 (JCGM 100:2008, 4.3.7). Where low equals high nothing is
    unknown. What is roughly known is a Change with its uncertainty instead.
    """

    metal_low_ug: float = 0.0
    metal_high_ug: float = 0.0
    liquid_low_ug: float = 0.0
    liquid_high_ug: float = 0.0
    tare_low_ug: float = 0.0
    tare_high_ug: float = 0.0

    def __post_init__(self) -> None:
        widths = (
            self.metal_high_ug - self.metal_low_ug,
            self.tare_high_ug - self.tare_low_ug,
            self.liquid_high_ug - self.liquid_low_ug,
        )
        _check(widths)
        if min(widths) < 0:
            raise ValueError("a lower bound is above its upper bound")


@dataclass(frozen=True, slots=True)
class Start:
    """What is known before the first event, in µg with standard uncertainties.

    `tare_ug` is the effective tare: glass and closure, plus the gas that would
    fill the whole inner volume, less the lift of reference air on the outside
    (see calc.observation). What is not known at all, as the tare of a vessel
    never weighed empty, is left at 0 and bounded in `unknown`.
    """

    tare_ug: float = 0.0
    u_tare_ug: float = 0.0
    liquid_ug: float = 0.0
    u_liquid_ug: float = 0.0
    metal_ug: float = 0.0
    u_metal_ug: float = 0.0
    unknown: Unknown | None = None

    def __post_init__(self) -> None:
        _check(
            (self.tare_ug, self.liquid_ug, self.metal_ug),
            (self.u_tare_ug, self.u_liquid_ug, self.u_metal_ug),
        )


@dataclass(frozen=True, slots=True)
class Observe:
    """A reading of the closed vessel, corrected as calc.observation does.

    z_ug = tare + metal_factor · metal + liquid_factor · liquid, in µg. A factor
    is 1 - ρ_gas/ρ, above zero because the gas is the lighter.
    """

    z_ug: float
    u_z_ug: float
    metal_factor: float = 1.0
    liquid_factor: float = 1.0

    def __post_init__(self) -> None:
        _check((self.z_ug, self.metal_factor, self.liquid_factor), (self.u_z_ug,))
        if self.metal_factor <= 0 or self.liquid_factor <= 0:
            raise ValueError("a factor must be above zero")


@dataclass(frozen=True, slots=True)
class Change:
    """A known or roughly known amount in (+) or out (-), in µg.

    Withdrawal by volume, by pieces or by the receiver's weighing, a fill as
    stated, oil in or out, another gas inside (on the tare). The errors are
    independent of one another and of everything before.
    """

    metal_ug: float = 0.0
    u_metal_ug: float = 0.0
    liquid_ug: float = 0.0
    u_liquid_ug: float = 0.0
    tare_ug: float = 0.0
    u_tare_ug: float = 0.0

    def __post_init__(self) -> None:
        _check(
            (self.metal_ug, self.liquid_ug, self.tare_ug),
            (self.u_metal_ug, self.u_liquid_ug, self.u_tare_ug),
        )


@dataclass(frozen=True, slots=True)
class Emptied:
    """All the metal was taken out: exactly none is left. Tare and liquid stay."""


Event: TypeAlias = Observe | Change | Unknown | Emptied
