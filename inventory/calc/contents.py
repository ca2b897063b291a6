"""What a vessel is thought to contain, and how surely."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from typing import Literal

from .covariance_root import NO_ROOT, Root

Part = Literal["metal", "tare", "liquid"]


@dataclass(frozen=True, slots=True)
class State:
    """The best estimate of metal, effective tare and liquid in µg.

    `root` is the square root of their covariance (calc.covariance_root), which
    the properties give in µg². `undecided` names the parts that an Unknown changed
    and no reading has seen since; their variance is that of their bounds.
    """

    metal_ug: float = 0.0
    tare_ug: float = 0.0
    liquid_ug: float = 0.0
    root: Root = NO_ROOT
    undecided: tuple[Part, ...] = ()

    @property
    def u_metal_ug(self) -> float:
        """The standard uncertainty of the metal in µg."""
        return self.root[0]

    @property
    def u_tare_ug(self) -> float:
        """The standard uncertainty of the effective tare in µg."""
        return hypot(*self.root[1:3])

    @property
    def u_liquid_ug(self) -> float:
        """The standard uncertainty of the liquid in µg."""
        return hypot(*self.root[3:])

    @property
    def var_metal(self) -> float:
        """The variance of the metal in µg²."""
        return self.u_metal_ug**2

    @property
    def var_tare(self) -> float:
        """The variance of the effective tare in µg²."""
        return self.u_tare_ug**2

    @property
    def var_liquid(self) -> float:
        """The variance of the liquid in µg²."""
        return self.u_liquid_ug**2

    @property
    def cov_metal_tare(self) -> float:
        """The covariance of metal and tare in µg²."""
        return self.root[0] * self.root[1]

    @property
    def cov_metal_liquid(self) -> float:
        """The covariance of metal and liquid in µg²."""
        return self.root[0] * self.root[3]

    @property
    def cov_tare_liquid(self) -> float:
        """The covariance of tare and liquid in µg²."""
        return self.root[1] * self.root[3] + self.root[2] * self.root[4]
