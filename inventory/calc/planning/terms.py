"""What is asked of the planner, and what it answers. All masses in integer µg."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum


class PlanningError(Exception):
    """No plan was found in the time given. Its text is a sentence for the page."""


class Aim(StrEnum):
    """What comes first, once as little as possible is missing."""

    FEWEST = "fewest"
    """Fewest openings, then least left over, then oldest stock."""
    LEAST = "least"
    """Least left over, then fewest openings, then oldest stock."""
    OLDEST = "oldest"
    """Oldest stock, then fewest openings, then least left over."""


class Why(StrEnum):
    """What speaks for taking from a vessel. Each is true of the plan as it stands."""

    PINNED = "pinned"
    """The keeper asked for it."""
    ONLY = "only"
    """No other vessel that may be used can serve this request."""
    OPEN = "open"
    """It is open already, so nothing is opened for it."""
    STAYS_SEALED = "stays sealed"
    """It is handed over whole, with its seal."""
    FITS = "fits"
    """Drawn empty; or, handed over whole, what makes exactly the mass asked for."""
    OLDEST = "oldest"
    """None that could serve this request is to be used before it."""
    LARGEST = "largest"
    """None of the sealed ones that could serve this request has more to draw."""
    TOGETHER = "together"
    """None of these: it belongs to the best choice only along with the others."""


class Lack(StrEnum):
    """Why a request is not served in full; the first that is true, in this order."""

    LEFT_OUT = "left out"
    """Only vessels that were left out could serve it."""
    NO_MATERIAL = "no material"
    """No vessel of this material may be used."""
    NOT_PURE = "not pure"
    """None is as pure as asked."""
    OTHER_MEDIUM = "other medium"
    """None of those pure enough is kept in an allowed medium."""
    NOTHING_FREE = "nothing free"
    """Those that suit have nothing left to draw, or none can go whole."""
    REMNANTS = "remnants"
    """What is free lies in remnants too small to draw for this request."""
    NOT_ENOUGH = "not enough"
    """Those that suit hold less than what is asked for (`free_ug`, `free_vessels`)."""
    SHARED = "shared"
    """There is enough for this request alone, but others or a pin need it too."""


class Idle(StrEnum):
    """Why a pinned vessel is not in the plan."""

    UNKNOWN = "unknown"
    """It is not among the vessels that may be used."""
    EXCLUDED = "excluded"
    """It is excluded too; that goes first."""
    NO_REQUEST = "no request"
    """No request is for its material."""
    NOT_PURE = "not pure"
    """It is not as pure as any of those requests asks."""
    OTHER_MEDIUM = "other medium"
    """Its medium is not allowed by any of those it is pure enough for."""
    NOTHING_FREE = "nothing free"
    """It cannot go whole, and has too little to draw."""
    NOT_NEEDED = "not needed"
    """The other pinned vessels leave nothing that it could serve."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """One vessel that may be used.

    `drawable_ug` is what may be drawn as aliquots: remaining less promised less heel,
    never below 0. `whole_ug` is all it holds, or 0 if it cannot go as a whole. `u_ug`
    is one standard uncertainty of what remains. An `age_rank` of 0 is to be used
    first; vessels may share one.
    """

    key: int
    drawable_ug: int
    whole_ug: int
    u_ug: float
    is_sealed: bool
    age_rank: int
    purity: float
    medium: str
    material: str

    @property
    def holds_ug(self) -> int:
        """What stands open once the seal is broken: all of it, or what is free."""
        return max(self.drawable_ug, self.whole_ug)


@dataclass(frozen=True, slots=True)
class Demand:
    """One request, in one of three forms.

    Drawn: aliquots of `mass_ug` in total. Whole by mass (`whole`): vessels that hold
    at least `mass_ug` together. Whole by count: `vessels` of them, `mass_ug` 0.
    An empty `media` allows any.
    """

    key: int
    material: str
    mass_ug: int = 0
    vessels: int = 0
    whole: bool = False
    smallest_purity: float = 0.0
    media: frozenset[str] = frozenset()

    @property
    def is_drawn(self) -> bool:
        return not self.whole

    @property
    def is_counted(self) -> bool:
        return self.whole and self.vessels > 0

    @property
    def asked(self) -> int:
        """Micrograms, or vessels where they are counted."""
        return self.vessels if self.is_counted else self.mass_ug

    @property
    def least_draw_ug(self) -> int:
        """The smallest draw worth a weighing: 50 mg, or 5 % of the request if less.

        Common practice, no source.
        """
        return min(50_000, -(-self.mass_ug // 20))


@dataclass(frozen=True, slots=True)
class Take:
    """What one vessel gives to one request; whole, all it holds."""

    candidate: int
    demand: int
    mass_ug: int
    is_whole: bool
    why: tuple[Why, ...] = ()


@dataclass(frozen=True, slots=True)
class Missing:
    """What a request does not get: a mass, or vessels where they are counted.

    `free_ug` is what all vessels that suit this request have for it (to draw, or
    whole) before any request is served, `free_vessels` how many they are. With `sure`
    both count what is there at 97.5 %.
    """

    demand: int
    missing_ug: int
    missing_vessels: int
    reason: Lack
    free_ug: int
    free_vessels: int


@dataclass(frozen=True, slots=True)
class UnusedPin:
    """A pinned vessel that is not in the plan."""

    candidate: int
    reason: Idle


@dataclass(frozen=True, slots=True)
class Plan:
    """Which vessel gives what to which request.

    `opened` are the sealed vessels whose seal is broken, `opened_ug` what they hold,
    `left_over_ug` what stays in them and what vessels given whole for a mass hold
    beyond it.

    `gap` is how far the plan may be from the best, at most, as a fraction, in what is
    missing and in the two things that the aim names first; 0 if nothing is better.
    `last_gap` says so of the third, which only decides between plans as good as this.
    `is_proven` is false if the time ran out before the gap asked for was reached.
    `also` names the other aims that come to the same plan.
    """

    takes: tuple[Take, ...]
    missing: tuple[Missing, ...]
    opened: tuple[int, ...]
    opened_ug: int
    left_over_ug: int
    gap: float
    last_gap: float
    is_proven: bool
    aim: Aim
    unused_pins: tuple[UnusedPin, ...] = ()
    seconds: float = field(default=0.0, compare=False)
    also: tuple[Aim, ...] = field(default=(), compare=False)

    @property
    def is_complete(self) -> bool:
        """Whether every request is served in full."""
        return not self.missing
