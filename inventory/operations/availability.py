"""How much can be had of a vessel or a metal: now or on a later day, line by line.

Remaining, less what is promised, less what cannot be got out. For a later day:
  - every promise counts. What is needed until then will be gone by then, and what is
    needed later still holds. That a booking may end unused is told beside the sum
    (`lapsing`), and is not counted: nobody should bet a run on it;
  - a vessel lent to a partner counts with what is expected back, if it is to be back
    by then and is not late already;
  - of a metal, what was granted for a day until then and is not booked yet is gone.
Vessels are taken as independent of each other. Uncertainties are standard ones.
"""

from dataclasses import dataclass
from datetime import date
from math import hypot, sqrt

from django.db.models import Q
from django.utils import timezone

from inventory.calc.chance import chance_enough
from inventory.calc.units import show_count
from inventory.models import (
    BookingLine,
    HandOverLine,
    MetalRequest,
    RequestState,
)

from . import on_hand


@dataclass(frozen=True, slots=True)
class Part:
    """One line of the sum: metal in µg, with its sign, and what it is about.

    `comes_back` marks a vessel that is with a partner and is counted as back by then.
    """

    words: str
    mass_ug: int
    u_ug: float = 0.0
    about: object = None
    comes_back: bool = False


@dataclass(frozen=True, slots=True)
class Availability:
    """What can be had on a day. `lapsing` may be free again by then: not counted.

    The first `on_card` parts of a metal come to what the home page calls free now.
    """

    day: date
    parts: tuple[Part, ...]
    lapsing: tuple[Part, ...] = ()
    on_card: int = 0

    @property
    def free_ug(self):
        return max(0, sum(part.mass_ug for part in self.parts))

    @property
    def card_ug(self):
        return sum(part.mass_ug for part in self.parts[: self.on_card])

    @property
    def u_ug(self):
        return hypot(*(part.u_ug for part in self.parts))

    @property
    def at_best_ug(self):
        """What is free if none of the bookings that end before the day is used."""
        both = self.parts + self.lapsing
        return max(0, sum(part.mass_ug for part in both))

    def chance(self, need_ug):
        """Return the probability that `need_ug` can be had."""
        held = [part.mass_ug for part in self.parts if part.mass_ug > 0]
        owed = [-part.mass_ug for part in self.parts if part.mass_ug < 0]
        return chance_enough(sum(held), self.u_ug, sum(owed), 0, need_ug)


def of_vessel(vessel, on=None, heel_ug=None):
    """Return what can be had of a vessel from `for_list` alone, on a day.

    `heel_ug` stays behind; None stands for what is noted of the vessel.
    """
    day = on or timezone.localdate()
    heel_ug = vessel.heel_ug if heel_ug is None else heel_ug
    if vessel.custodian_id:
        parts = back_by(day, HandOverLine.objects.filter(vessel=vessel))
        parts = parts or [Part(f"With {vessel.custodian}, not back by then", 0)]
    else:
        parts = [Part("Remaining", vessel.remaining_ug, vessel.u_ug)]
    promised, lapsing = promises(vessel.booking_lines.open(), day)
    parts += promised
    if heel_ug:
        parts.append(Part("Cannot be got out", -heel_ug))
    return Availability(day, tuple(parts), tuple(lapsing))


def of_material(material, on=None, held=None):
    """Return what can be had of a metal in all its vessels together, on a day.

    `held` is `on_hand.of_each`, for who has it already.
    """
    day = on or timezone.localdate()
    held = on_hand.of_each(material) if held is None else held
    remaining_ug = sum(each.remaining_ug for each in held)
    u_ug = sqrt(sum(each.u2_ug2 for each in held))
    heel_ug = sum(each.stays_ug for each in held)
    leaking_ug = sum(each.drawable_ug for each in held if each.leaks)
    vessels = show_count(len(held), "vessel")
    lines = BookingLine.objects.open().filter(of_metal(material))
    promised, lapsing = promises(lines, day)
    parts = [Part(f"Remaining in {vessels}", remaining_ug, u_ug), *promised]
    on_card = len(parts)
    parts += back_by(day, HandOverLine.objects.filter(of_metal(material)))
    parts += claimed(material, day, held)
    if heel_ug:
        parts.append(Part("Cannot be got out of its vessels", -heel_ug))
    if leaking_ug:
        parts.append(Part("In vessels that leak, by their last look", -leaking_ug))
    return Availability(day, tuple(parts), tuple(lapsing), on_card)


def of_metal(material):
    return Q(vessel__batch__material=material)


def promises(lines, day):
    """Return what the open `lines` promise, booking by booking: (all, lapsing by then)."""
    rows = lines.select_related("booking__project").order_by(
        "booking__needed_by", "booking", "id"
    )
    owed = {}
    for line in rows:
        booking, mass_ug = owed.get(line.booking_id, (line.booking, 0))
        owed[line.booking_id] = booking, mass_ug + line.mass_ug
    promised = [
        Part(
            f"{booking} for {booking.project}, needed by {said(booking.needed_by)}",
            -mass_ug,
            about=booking,
        )
        for booking, mass_ug in owed.values()
    ]
    lapsing = [
        Part(f"{booking} ends on {said(booking.expires_on)}", mass_ug, about=booking)
        for booking, mass_ug in owed.values()
        if booking.expires_on < day
    ]
    return promised, lapsing


def back_by(day, lines):
    """Return what is expected back by a later `day` of some lines of hand-overs.

    How much comes back is the partner's guess: it lies, somewhere, within half of
    what they mean to use (rectangular; common practice, no source). What is late
    already is told, and not counted.
    """
    today = timezone.localdate()
    due = lines.out().filter(return_by__lte=day)
    seen = "vessel__batch__material", "vessel__medium", "hand_over__partner"
    parts = []
    for line in due.select_related(*seen).order_by("id"):
        words = f"{line.vessel} back from {line.hand_over.partner}"
        if line.return_by < today or day == today:
            words += f", due {said(line.return_by)}: not counted"
            parts.append(Part(words, 0, about=line.vessel))
            continue
        used_ug = line.mass_ug - line.expected_ug
        parts.append(
            Part(
                f"{words}, expected by {said(line.return_by)}",
                line.expected_ug,
                hypot(line.u_ug, used_ug / 2 / sqrt(3)),
                about=line.vessel,
                comes_back=True,
            )
        )
    return parts


def claimed(material, day, held):
    """Return what was granted for a day until then, and is not booked yet.

    Whole vessels that were asked for by number count as the heaviest of those that
    could be given whole: which they will be is not known yet, and less than that
    might be left. A closed project claims nothing.
    """
    granted = MetalRequest.objects.with_booked().filter(
        material=material,
        state=RequestState.GRANTED,
        needed_by__lte=day,
        project__closed_on=None,
    )
    parts, heaviest = [], heaviest_first(held)
    for request in granted.select_related("project"):
        mass_ug, words = request.missing_ug, f"{request} for {request.project}, granted"
        if count := request.missing_count:
            mass_ug, heaviest = sum(heaviest[:count]), heaviest[count:]
            words += f" {count} whole, counted as the heaviest"
        if mass_ug:
            parts.append(Part(f"{words}, not booked yet", -mass_ug, about=request))
    return parts


def heaviest_first(held):
    """Return the masses of the vessels that nobody was promised any of.

    Those that were opened go whole only if a keeper says so: they come last.
    """
    whole = [each for each in held if not each.promised_ug and not each.leaks]
    order = sorted(whole, key=lambda each: (each.is_opened, -each.remaining_ug))
    return [each.remaining_ug for each in order]


def said(day):
    return f"{day:%-d %b %Y}"
