"""What two balance readings tell of the metal between them, and how sure it is."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import hypot, sqrt

from .air import AirConditions
from .balance import BalanceFacts
from .uncertainty import Number, UFloat, exact, nominal, rectangular, spread, uncertain
from .units import show_mass_plain, show_volume

CONVENTIONAL_DENSITY = 8000.0
"""kg/m³, by convention, of the weights that balances are adjusted with (OIML D 28,
from memory)."""

GAS_DENSITY_MAX = 1.8
"""kg/m³: argon at 0 °C, the densest gas a vessel is filled with."""

ROOM_PER_GLASS = 3.5
"""µL of room inside a vessel per mg of glass at most: a light round flask of 500 mL
to 1 L has about 3. Our own estimate, no source."""

GLASS_DENSITY = 2350.0
U_GLASS_DENSITY = 100.0
"""kg/m³, standard uncertainty: borosilicate 2230, soda-lime 2500 (from memory)."""


class GrossLighterThanTare(ValueError):
    """The filled vessel weighs less than the empty one: readings swapped or mistyped."""


@dataclass(frozen=True)
class Reading:
    """One balance reading of a vessel in µg, with the gas inside it.

    A gas density of None means not known; a vessel that is not `closed` holds
    the room's air. Used twice, the same reading keeps its error.
    """

    label: str
    reading_ug: int
    balance: BalanceFacts
    air: AirConditions
    gas_density_kg_m3: Number | None
    closed: bool = True

    @cached_property
    def value(self) -> UFloat:
        """The reading with what the balance adds: d/√12 (GUM F.2.2.1), s and a/√3."""
        facts, at = self.balance, f"{self.balance.name}, {self.label}"
        value = exact(float(self.reading_ug))
        value += uncertain(0.0, facts.readability_ug / sqrt(12), f"readability of {at}")
        value += uncertain(0.0, facts.repeatability_ug, f"repeatability of {at}")
        value += rectangular(facts.nonlinearity_ug, f"non-linearity of {at}")
        return exact(value)

    @property
    def drift_ug(self) -> float:
        """The largest error in µg that the balance's drift makes of this load."""
        return self.balance.drift_ppm * 1e-6 * self.reading_ug

    @property
    def gas(self) -> Number | None:
        """The density of the gas inside in kg/m³, None if not known."""
        return self.gas_density_kg_m3 if self.closed else self.air.density()


@dataclass(frozen=True, slots=True)
class Term:
    """One part of a net mass in µg, with the formula and its numbers."""

    key: str
    name: str
    value_ug: float
    u_ug: float
    formula: str


@dataclass(frozen=True, slots=True)
class BudgetLine:
    """What one source adds to the standard uncertainty; `share` is of its square."""

    source: str
    u_ug: float
    share: float


@dataclass(frozen=True, slots=True)
class NetMass:
    """A net mass in µg, the terms that add up to it and its uncertainty budget."""

    mass: UFloat
    terms: list[Term]
    budget: list[BudgetLine]


def readings_swapped(tare_ug: float, gross_ug: float) -> None:
    """Raise GrossLighterThanTare, naming both numbers, if gross is below tare."""
    if gross_ug < tare_ug:
        raise GrossLighterThanTare(
            f"The gross {show_mass_plain(round(gross_ug))} is lighter than the tare "
            f"{show_mass_plain(round(tare_ug))}; check both readings."
        )


def net_mass(
    tare: Reading,
    gross: Reading,
    *,
    metal_density: Number,
    inner_volume_ul: Number | None,
    outer_volume_ul: Number | None = None,
    liquid_ug: Number = 0,
    liquid_density: Number | None = None,
) -> NetMass:
    """Return the metal that makes the difference between two readings of a vessel.

    Readings are conventional mass, so with k = 1 - ρ_air/8000 and the gas 0 at
    tare and 1 at gross (weighing equation, from the balance of forces):
    m (1 - ρ1/ρ_m) = k (G - T) + (ρ0 - ρ1) V_in - m_liq (1 - ρ1/ρ_liq)
    + (ρ_air1 - ρ_air0) (V_out - T/8000).

    For a withdrawal give the reading after as tare, the one before as gross, and
    as `inner_volume_ul` the room that what stays behind leaves. A correction
    whose volume or gas is not known is left out, and the most it could be goes
    into the uncertainty as a rectangular distribution. Raises
    GrossLighterThanTare when no metal is left and the readings look swapped.
    """
    change, gas1 = _gas_change(tare, gross)
    steps = [
        _reading_term(tare, gross),
        _weights_term(tare, gross),
        _gas_term(tare, gross, change, inner_volume_ul),
        _air_term(tare, gross, inner_volume_ul, outer_volume_ul),
    ]
    if nominal(liquid_ug) or spread(liquid_ug):
        steps.append(_liquid_term(liquid_ug, liquid_density, gas1))
    weighed = exact(sum((value for *_, value, _ in steps), exact(0.0)))
    mass = exact(weighed / (1 - gas1 / metal_density))
    if nominal(mass) <= 0:
        readings_swapped(tare.reading_ug, gross.reading_ug)
    lift = f"{_g(weighed)} × ρ/(ρ_metal − ρ), ρ = {nominal(gas1):.4f} kg/m³, "
    lift += f"ρ_metal = {nominal(metal_density):.1f} kg/m³"
    steps.append(("lift", "gas the metal displaces", exact(mass - weighed), lift))
    terms = [
        Term(key, name, nominal(value), spread(value), formula)
        for key, name, value, formula in steps
    ]
    return NetMass(mass, terms, budget(mass))


def budget(mass: UFloat) -> list[BudgetLine]:
    """Return what each source adds to the uncertainty, largest first."""
    squares: dict[str, float] = {}
    for variable, u in mass.error_components().items():
        tag = variable.tag or "not named"
        squares[tag] = squares.get(tag, 0.0) + u**2
    total = sum(squares.values())
    lines = [
        BudgetLine(tag, sqrt(square), square / total)
        for tag, square in squares.items()
        if square > 0
    ]
    return sorted(lines, key=lambda line: -line.u_ug)


_Step = tuple[str, str, UFloat, str]


def _g(value: Number) -> str:
    """Return a mass for a formula: to 0.1 mg, below a gram to a microgram."""
    ug = nominal(value)
    return show_mass_plain(int(round(ug, -2 if abs(ug) >= 1e6 else 0)))


def _reading_term(tare: Reading, gross: Reading) -> _Step:
    formula = (
        f"{show_mass_plain(gross.reading_ug)} − {show_mass_plain(tare.reading_ug)}"
    )
    value = gross.value - tare.value
    if tare.balance == gross.balance:  # one drift, on the difference
        shared = abs(gross.drift_ug - tare.drift_ug)
        value += rectangular(shared, f"drift of {gross.balance.name}")
    else:
        for reading in (gross, tare):
            name = reading.balance.name
            value += rectangular(reading.drift_ug, f"drift of {name}")
    return "readings", "gross less tare", exact(value), formula


def _weights_term(tare: Reading, gross: Reading) -> _Step:
    """Take off the air's lift on the balance's weights: (k - 1)(G - T)."""
    air = gross.air.density()
    difference = gross.value - tare.value
    value = exact(-air / CONVENTIONAL_DENSITY * difference)
    formula = f"−{nominal(air):.4f} kg/m³ ÷ 8000 kg/m³ × {_g(difference)}"
    return "weights", "air's lift on the balance's weights", value, formula


def _gas_change(tare: Reading, gross: Reading) -> tuple[UFloat | None, UFloat]:
    """Return ρ0 - ρ1 (None if not known) and the best ρ1 in kg/m³.

    Where only the gas at gross is unknown it is taken as the one at tare; where
    both are, as anything from vacuum to argon.
    """
    gas0, gas1 = tare.gas, gross.gas
    if gas0 is not None and gas1 is not None:
        return exact(gas0 - gas1), exact(gas1)
    if gas1 is not None:
        return None, exact(gas1)
    bound = rectangular(GAS_DENSITY_MAX, "gas at gross not known")
    return None, exact((0.0 if gas0 is None else gas0) + bound)


def _room_bound_ul(tare: Reading) -> float:
    """Return the most room a vessel of this tare may hold, in µL."""
    return ROOM_PER_GLASS * tare.reading_ug / 1000


def _gas_bound(tare: Reading, gross: Reading, change: UFloat | None) -> float:
    """Return the most |ρ0 - ρ1| can be, in kg/m³."""
    if change is not None:
        return abs(nominal(change)) + 2 * spread(change)
    known = [nominal(gas) for gas in (tare.gas, gross.gas) if gas is not None]
    if not known:
        return GAS_DENSITY_MAX
    return max(known[0], GAS_DENSITY_MAX - known[0])


def _gas_term(
    tare: Reading, gross: Reading, change: UFloat | None, inner_ul: Number | None
) -> _Step:
    key, name = "gas", "change of the gas inside"
    if change is not None and inner_ul is not None:
        formula = (
            f"({nominal(tare.gas or 0.0):.4f} − {nominal(gross.gas or 0.0):.4f}) kg/m³"
            f" × {show_volume(nominal(inner_ul))}"
        )
        return key, name, exact(change * inner_ul), formula
    room_ul = nominal(inner_ul) if inner_ul is not None else _room_bound_ul(tare)
    bound = _gas_bound(tare, gross, change) * room_ul
    missing = "inner volume" if inner_ul is None else "gas inside"
    tag = f"gas fill, {missing} not known"
    formula = f"left out, {missing} not known: at most ± {_g(bound)}"
    return key, name, rectangular(bound, tag), formula


def _air_term(
    tare: Reading, gross: Reading, inner_ul: Number | None, outer_ul: Number | None
) -> _Step:
    """Correct for air that changed between the readings: Δρ (V_out - T/8000).

    An unknown outer volume is the inner one and the glass; without that either,
    the correction is left out and bounded.
    """
    key, name = "air", "change of the air outside"
    change = exact(gross.air.density() - tare.air.density())
    if not nominal(change) and not spread(change):
        return key, name, exact(0.0), "the air was the same at both readings"
    glass = uncertain(GLASS_DENSITY, U_GLASS_DENSITY, "density of the glass")
    if outer_ul is None and inner_ul is not None:
        outer_ul = inner_ul + tare.reading_ug / glass
    if outer_ul is None:
        most_ul = _room_bound_ul(tare) + tare.reading_ug / GLASS_DENSITY
        most = hypot(nominal(change), spread(change)) * most_ul
        formula = f"left out, outer volume not known: at most ± {_g(most)}"
        return key, name, rectangular(most, "air change, volume not known"), formula
    value = exact(change * (outer_ul - tare.value / CONVENTIONAL_DENSITY))
    formula = (
        f"({nominal(gross.air.density()):.4f} − {nominal(tare.air.density()):.4f})"
        f" kg/m³ × ({show_volume(nominal(outer_ul))} − "
        f"{_g(tare.reading_ug)} ÷ 8000 kg/m³)"
    )
    return key, name, value, formula


def _liquid_term(
    liquid_ug: Number, liquid_density: Number | None, gas1: UFloat
) -> _Step:
    if liquid_density is None:
        raise ValueError("a liquid's mass needs its density")
    value = exact(-liquid_ug * (1 - gas1 / liquid_density))
    formula = (
        f"−{_g(liquid_ug)} × (1 − {nominal(gas1):.4f} ÷ {nominal(liquid_density):.1f})"
    )
    return "liquid", "protective liquid", value, formula
