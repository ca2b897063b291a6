"""A request on a page: what happened to it, and what there is to serve it from."""

from django.utils.timezone import localdate

from inventory.calc import units
from inventory.calc.units import show_mass
from inventory.models import (
    BookingLine,
    HandOver,
    HandOverLine,
    MetalRequest,
    Movement,
    MovementKind,
    StepKind,
)
from inventory.operations import on_hand

TONES = {StepKind.ASKED: "plain", StepKind.DECLINED: "stop"}
SHOWN = {StepKind.ASKED, StepKind.CHANGED}


def requests():
    """Return all requests with what a list or a page shows of them."""
    return MetalRequest.objects.with_booked().select_related(
        "project", "partner", "material", "entry__by"
    )


def words_of(metal_request):
    """Say what was asked for, unless the terms say the very same."""
    asked = metal_request.asked
    try:
        need = units.parse_need(asked)
    except units.UnitError:
        count = metal_request.vessel_count
        same = asked in (f"{count} vessel", f"{count} vessels")
    else:
        same = need.kind == "mass" and need.value == metal_request.mass_ug
    return "" if same else f"{asked} was asked for"


def open_first(rows, newest):
    """Return all of `rows` that still wait, the first needed first, then the newest.

    So many of the others follow; an open one is never pushed out by an answered one.
    """
    waiting = list(rows.waiting().order_by("needed_by", "id"))
    others = rows.exclude(pk__in=[each.pk for each in waiting])
    return waiting + list(others.order_by("-id")[:newest])


def free_now(material):
    """Return (µg, number of vessels) free of a metal, as the home page has it."""
    sums = on_hand.of_all().get(material.pk, on_hand.Sums())
    return sums.free_ug, on_hand.count_free(material)


def history(metal_request, user):
    """Return what happened to a request, the newest first, as the history shows it."""
    bookings = metal_request.bookings.visible_to(user).select_related("entry__by")
    events = [
        *steps(metal_request),
        *[booked(booking) for booking in bookings],
        *ended(metal_request, user),
        *withdrawn(metal_request),
        *handed_over(metal_request, user),
    ]
    # What one entry recorded stands in the order it is told here.
    return sorted(events, key=lambda event: event["entry"].pk, reverse=True)


def event(entry, what, **more):
    return {
        "entry": entry,
        "at": entry.recorded_at,
        "by": entry.by or "",
        "what": what,
        **more,
    }


def steps(metal_request):
    material = metal_request.material
    for step in metal_request.steps.select_related("entry__by"):
        terms = ""
        if step.kind in SHOWN:
            terms = f"{step.words_with(material)}, by {day(step.needed_by)}."
        yield event(
            step.entry,
            step.get_kind_display(),
            note=" ".join(filter(None, [terms, step.reason])),
            tone=TONES.get(step.kind, "good"),
        )


def booked(booking):
    until = "held" if booking.has_expired else "holds"
    return event(
        booking.entry,
        str(booking),
        url=booking.get_absolute_url(),
        note=f"It {until} until {day(booking.expires_on)}.",
        tone="good",
    )


def ended(metal_request, user):
    """Yield what was released or ended without being served, one event an entry."""
    lines = BookingLine.objects.filter(
        booking__request=metal_request, closed_by__verb__in=["release", "expire"]
    ).select_related("closed_by__by", "booking")
    for entry, line in {line.closed_by: line for line in lines}.items():
        ended = entry.verb == "expire"
        yield event(
            entry,
            f"{line.booking} {'ended' if ended else 'released'}",
            url=line.booking.get_absolute_url(),
            note="" if user.is_partner else entry.summary,
            tone="warn",
        )


def withdrawn(metal_request):
    rows = Movement.objects.standing().filter(
        kind=MovementKind.WITHDRAWAL,
        booking_line__booking__request=metal_request,
        booking_line__hand_over_line=None,
    )
    for movement in rows.select_related("entry__by", "from_vessel"):
        yield event(
            movement.entry,
            f"Withdrawn from {movement.from_vessel}",
            amount=show_mass(movement.mass_ug, movement.u_ug),
            note=f"On {day(localdate(movement.happened_at))}.",
            tone="good",
        )


def handed_over(metal_request, user):
    """Yield one event for each hand-over that served the request."""
    lines = HandOverLine.objects.filter(
        booking_line__booking__request=metal_request,
        hand_over__in=HandOver.objects.visible_to(user),
    ).select_related("hand_over__entry__by", "vessel")
    found = {}
    for line in lines:
        found.setdefault(line.hand_over, []).append(line)
    for hand_over, rows in found.items():
        yield event(
            hand_over.entry,
            str(hand_over),
            url=hand_over.get_absolute_url(),
            amount=show_mass(sum(row.mass_ug for row in rows)),
            note=f"On {day(localdate(hand_over.handed_at))}: "
            + ", ".join(str(row.vessel) for row in rows),
            tone="good",
        )


def day(when):
    return f"{when.day} {when:%b %Y}"
