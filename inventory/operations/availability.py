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

from django.db.models import Count, Exists, F, OuterRef, Q, Sum
from django.db.models.functions import Greatest, Least
from django.utils import timezone

from inventory.calc.chance import chance_enough
from inventory.models import (
    BookingLine,
    HandOverLine,
    MetalRequest,
    RequestState,
    Return,
    Vessel,
)

from . import inspections


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
    """What can be had on a day. `lapsing` may be free again by then: not counted."""

    day: date
    parts: tuple[Part, ...]
    lapsing: tuple[Part, ...] = ()

    @property
    def free_ug(self):
        return max(0, sum(part.mass_ug for part in self.parts))

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


def of_material(material, on=None):
    """Return what can be had of a metal in all its vessels together, on a day."""
    day = on or timezone.localdate()
    stock = in_house(material)
    sums = stock.aggregate(
        count=Count("pk"),
        remaining=Sum("remaining_ug", default=0),
        u2=Sum("u2_ug2", default=0.0),
        heel=Sum("stays_ug", default=0),
    )
    leaking = stock.filter(pk__in=inspections.leaking()).aggregate(
        count=Count("pk"), free=Sum(F("free_ug") - F("stays_ug"), default=0)
    )
    vessels = f"{sums['count']} vessel{'' if sums['count'] == 1 else 's'}"
    parts = [Part(f"Remaining in {vessels}", sums["remaining"], sqrt(sums["u2"]))]
    parts += back_by(day, HandOverLine.objects.filter(of_metal(material)))
    lines = BookingLine.objects.open().filter(of_metal(material))
    promised, lapsing = promises(lines, day)
    parts += promised + claimed(material, day)
    if sums["heel"]:
        parts.append(Part("Cannot be got out of its vessels", -sums["heel"]))
    if leaking["free"]:
        parts.append(Part("In vessels that leak, by their last look", -leaking["free"]))
    return Availability(day, tuple(parts), tuple(lapsing))


def of_metal(material):
    return Q(vessel__batch__material=material)


def in_house(material):
    """Return the vessels of a metal that are here, with what stays behind in each.

    `stays_ug` is no more than is free: what is promised whole leaves with its heel.
    `drawable_ug` is what is left of the free metal.
    """
    return (
        Vessel.objects.for_list()
        .in_stock()
        .here()
        .filter(batch__material=material)
        .annotate(stays_ug=Least(F("heel_ug"), Greatest(F("free_ug"), 0)))
        .annotate(drawable_ug=F("free_ug") - F("stays_ug"))
    )


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


def out():
    """Return the lines of hand-overs whose vessels are still with their partners."""
    back = Return.objects.filter(line=OuterRef("pk"), is_back=True)
    return HandOverLine.objects.filter(~Exists(back)).select_related(
        "vessel", "hand_over__partner", "hand_over__project"
    )


def back_by(day, lines):
    """Return what is expected back by a later `day` of some lines of hand-overs.

    How much comes back is the partner's guess: it lies, somewhere, within half of
    what they mean to use (rectangular; common practice, no source). What is late
    already is told, and not counted.
    """
    today = timezone.localdate()
    due = lines.filter(return_by__lte=day, pk__in=out().values("pk"))
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


def claimed(material, day):
    """Return what was granted for a day until then, and is not booked yet.

    Whole vessels that were asked for by number count as the mean of those that could
    be given whole.
    """
    granted = MetalRequest.objects.with_booked().filter(
        material=material, state=RequestState.GRANTED, needed_by__lte=day
    )
    parts = []
    for request in granted.select_related("project"):
        mass_ug, words = request.missing_ug, f"{request} for {request.project}, granted"
        if request.missing_count:
            mass_ug = request.missing_count * whole_mean_ug(material)
            words += f" {request.missing_count} whole, as heavy as the mean"
        if mass_ug:
            parts.append(Part(f"{words}, not booked yet", -mass_ug, about=request))
    return parts


def whole_mean_ug(material):
    """Return the mean of the vessels of a metal that nobody was promised any of."""
    whole = in_house(material).filter(promised_ug=0)
    sums = whole.aggregate(count=Count("pk"), total=Sum("remaining_ug", default=0))
    return round(sums["total"] / sums["count"]) if sums["count"] else 0


def said(day):
    return f"{day:%-d %b %Y}"
