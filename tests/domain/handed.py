"""Booking, picking, handing over and taking back, in one line each."""

from datetime import timedelta

from django.utils import timezone

from inventory.models import HandOverLine
from inventory.operations import (
    bookings,
    coming_back,
    filling,
    handing,
    ledger,
    picking,
    returning,
    vessels,
)
from tests.factories import (
    ML,
    ROOM,
    G,
    earlier,
    expected_reading,
    make_batch,
    make_booking,
    make_partner,
    make_place,
    make_project,
    make_weighed_vessel,
    medium,
    observe,
    signed,
)

A_DAY = {"days": 1}


def make_metal(batch=None, **facts):
    """Return a vessel of 5 g by weighing, filled two days ago."""
    return make_weighed_vessel(batch, filled_at=earlier(days=2), **facts)


def make_line(vessel, mass_ug=None, *, partner=None, project=None, **facts):
    """Return the one line of a booking for a partner of a project."""
    partner = partner or make_partner()
    project = project or make_project(partner=partner.name)
    booking = make_booking(vessel, mass_ug, project=project, partner=partner, **facts)
    return booking.lines.get()


def pick(line, code=None):
    return picking.pick(line, code=code or line.vessel.code, **signed())


def hand_over(lines, *, partner=None, project=None, handed_at=None, **facts):
    """Hand the lines' vessels over a day ago, to the partner they are booked for."""
    return handing.hand_over(
        project or lines[0].booking.project,
        partner or lines[0].booking.partner,
        lines,
        handed_at=handed_at or earlier(**A_DAY),
        **signed(**{"carried": "in a steel can, by hand", **facts}),
    )


def make_handed(vessel=None, *, partner=None, project=None, **facts):
    """Return the HandOverLine of a vessel that went to a partner a day ago."""
    line = pick(make_line(vessel or make_metal(), partner=partner, project=project))
    made = hand_over([line], **facts)
    return HandOverLine.objects.select_related("hand_over__partner", "vessel").get(
        hand_over=made
    )


def report(line, used_ug=None, **facts):
    return returning.report(
        line, used_ug=used_ug, **{"happened_at": earlier(hours=2), **facts}, **signed()
    )


def weighed_back(line, used_ug=0, *, off_ug=0, gas=None, read_at=None, **how):
    """Return how a vessel is back that lost `used_ug` by readings that agree."""
    vessel = ledger.read(line.vessel_id)
    reading_ug = expected_reading(vessel, taken_ug=used_ug, gas=gas, **ROOM)
    seen = observe(
        reading_ug + off_ug, gas=gas or vessel.gas.key, read_at=read_at, **ROOM
    )
    return coming_back.Weighed(seen, **how)


def empty(**ago):
    return coming_back.Empty(earlier(**ago or {"hours": 1}))


def take_back(line, how, *, place=None, **facts):
    place = place or make_place()
    return returning.take_back(line, how, place=place, **facts, **signed())


def held_ug(line):
    return ledger.read(line.vessel_id).remaining_ug


def untared(stated_ug=5 * G):
    """Return a vessel that came with its mass stated and was never weighed here."""
    batch = make_batch(kind="bought", lot="L-1")
    argon = medium("argon")
    what = filling.Filling(
        batch, argon, argon, "flame_sealed", stated_ug=stated_ug, u_stated_ug=50_000
    )
    empty_glass = {"kind": "ampoule", "capacity_ul": 20 * ML}
    (vessel,) = filling.receive(
        batch, empty_glass, what, count=1, happened_at=earlier(days=2), **signed()
    )
    return ledger.read(vessel.pk)


def lapse(line):
    """Let the line's booking end yesterday, as time does."""
    yesterday = timezone.localdate() - timedelta(days=1)
    booking = line.booking
    booking.needed_by = booking.expires_on = yesterday
    booking.save()
    return f"{yesterday:%-d %b %Y}"


def booked(*chosen, **facts):
    """Return the lines of one booking of all that is in these vessels."""
    booking = bookings.book(
        make_project(partner="Group A"),
        wishes=[(vessel, None) for vessel in chosen],
        partner=make_partner("Group A"),
        purpose="a run",
        needed_by=timezone.localdate(),
        **facts,
        **signed(),
    )
    return list(booking.lines.order_by("vessel__number"))


def stand(vessel):
    """Let a vessel stand on shelf 2 of the cabinet."""
    cabinet = make_place(name="Cabinet", kind="cabinet")
    vessels.move(vessel, make_place(name="shelf 2", within=cabinet), **signed())
