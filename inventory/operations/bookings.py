"""Promises of metal. Nothing is promised twice, also with two people at once."""

from collections import Counter
from datetime import timedelta

from django.utils import timezone

from inventory.calc.units import show_mass
from inventory.models import Booking, BookingLine, Project, Vessel
from inventory.models.bookings import total_words

from . import asking, custody, days, letters, log, shares
from .errors import NotEnough, OperationError

# How long a promise outlives its day, unless somebody says otherwise.
USUAL_GRACE = timedelta(days=14)


@log.operation
def book(
    project, *, wishes, purpose, needed_by, expires_on=None, partner=None,
    request=None, note="", beyond_share="", by, request_id,
):  # fmt: skip
    """Promise metal to `project`, or to one `partner` in it, and return the booking.

    `wishes` is [(vessel, mass_ug or None)]; None promises all that is free in the
    vessel. It answers a metal `request` if one is named, and needs a reason
    (`beyond_share`) when it goes beyond the partner's share. Locks the vessels in the
    order of their keys, so that two bookings can neither see the same last milligram
    nor wait for each other; then the project, so that it cannot close meanwhile.
    """
    locked = lock_vessels([vessel for vessel, _ in wishes])
    if earlier := log.repeated(request_id):
        return earlier.bookings.get()
    if request:
        metals = {vessel.batch.material_id for vessel in locked.values()}
        request = asking.hold(
            request, project=project, partner=partner, material_ids=metals
        )
    project = log.lock(Project.objects.all(), project.pk)
    if project.closed_on:
        raise OperationError("This project is closed.")
    refuse_dates(project, needed_by, expires_on)
    expires_on = expires_on or usual_end(project, needed_by)
    if partner and not project.partners.filter(pk=partner.pk).exists():
        raise OperationError(f"{partner} is no partner of this project.", "partner")
    if not wishes:
        raise OperationError("Choose at least one vessel.")
    promises = [promise(locked[vessel.pk], mass_ug) for vessel, mass_ug in wishes]
    beyond = shares.refuse_beyond(project, partner, promises, reason=beyond_share)
    booking = record(
        promises,
        by=by,
        request_id=request_id,
        project=project,
        partner=partner,
        request=request,
        purpose=purpose,
        needed_by=needed_by,
        expires_on=expires_on,
        note=note,
        beyond_share=beyond,
    )
    if request:
        asking.grant_within(request, entry=booking.entry)
    return booking


def refuse_dates(project, needed_by, expires_on):
    """Refuse days that have passed, lie too far ahead, or are in the wrong order."""
    if needed_by < timezone.localdate():
        raise OperationError("This date has passed.", "needed_by")
    days.refuse(project, needed_by=needed_by, expires_on=expires_on)
    if expires_on and expires_on < needed_by:
        raise OperationError(
            "The promise would end before the metal is needed.", "expires_on"
        )


def usual_end(project, needed_by):
    """Return until when a promise holds if nobody says."""
    return no_longer(project, needed_by + USUAL_GRACE)


def no_longer(project, day):
    """Return `day`, or the project's last one if that comes before."""
    return min(day, project.ends_on) if project.ends_on else day


def record(promises, *, project, by, request_id, **facts):
    """Record a booking of `promises`, as `promise` gives them, and return it."""
    codes = ", ".join(str(vessel) for vessel, _, _ in promises)
    total = total_words(of_metals({each.pk: mass for each, mass, _ in promises}))
    entry = log.write(
        "book",
        f"Booked {total} for {project} from {codes}",
        by=by,
        request_id=request_id,
        project=project,
    )
    booking = Booking.objects.create(project=project, entry=entry, **facts)
    BookingLine.objects.bulk_create(
        BookingLine(booking=booking, vessel=vessel, mass_ug=mass_ug, is_whole=whole)
        for vessel, mass_ug, whole in promises
    )
    letters.booked(booking)
    return booking


def of_metals(masses):
    """Return {name of a metal: µg} of {vessel key: µg}."""
    found = Counter()
    rows = Vessel.objects.filter(pk__in=masses).order_by("batch__material__name")
    for key, name in rows.values_list("pk", "batch__material__name"):
        found[name] += masses[key]
    return found


def lock_vessels(vessels):
    """Lock the vessels in key order; return {pk: vessel with what is left and free}."""
    keys = sorted({vessel.pk for vessel in vessels})
    rows = Vessel.objects.select_for_update(of=("self",), no_key=True)
    list(rows.filter(pk__in=keys).order_by("pk"))
    with_sums = Vessel.objects.with_remaining().filter(pk__in=keys)
    return {vessel.pk: vessel for vessel in with_sums}


def promise(vessel, mass_ug):
    """Return (vessel, mass, whole) if the vessel can give that much, else refuse.

    What cannot be got out of it is promised only with the whole vessel.
    """
    field = f"mass_{vessel.pk}"
    custody.refuse_elsewhere(vessel, field)
    if vessel.retired_on:
        raise OperationError(f"{vessel} is retired: nothing can be booked.", field)
    if vessel.remaining_ug == 0:
        state = "spent" if vessel.filled_on else "not filled yet"
        raise OperationError(f"{vessel} is {state}: nothing can be booked.", field)
    drawable_ug = max(0, vessel.free_ug - vessel.heel_ug)
    wanted = mass_ug
    if mass_ug is None:
        is_all = vessel.free_ug == vessel.remaining_ug
        wanted = vessel.free_ug if is_all else drawable_ug
    if wanted > vessel.free_ug or vessel.free_ug == 0:
        raise NotEnough(
            f"{vessel} has {show_mass(vessel.free_ug)} free: "
            f"{show_mass(vessel.remaining_ug)} is left, "
            f"{show_mass(vessel.promised_ug)} of it promised.",
            wanted_ug=wanted,
            available_ug=vessel.free_ug,
            field=field,
        )
    is_whole = wanted == vessel.remaining_ug
    if not is_whole and (wanted > drawable_ug or not drawable_ug):
        raise NotEnough(
            f"{vessel} has {show_mass(vessel.free_ug)} free, but "
            f"{show_mass(vessel.heel_ug)} cannot be got out: "
            f"{show_mass(drawable_ug)} may be promised"
            f"{'' if vessel.promised_ug else ', or the whole vessel'}.",
            wanted_ug=wanted,
            available_ug=drawable_ug,
            field=field,
        )
    return vessel, wanted, is_whole


def refuse_ended(booking, field):
    """Refuse to serve a booking whose day has passed."""
    if booking.has_expired:
        raise OperationError(
            f"{booking} ended on {booking.expires_on:%-d %b %Y}. Have it extended first.",
            field,
        )


@log.operation
def release(line, *, reason, by, request_id):
    """Take back what one line of a booking promises, and return the line."""
    log.lock(Vessel.objects.all(), line.vessel_id)
    line = log.lock(BookingLine.objects.all(), line.pk)
    if log.repeated(request_id):
        return line
    if line.closed_by_id:
        raise OperationError("This promise is closed already.")
    line.closed_by = log.write(
        "release",
        f"Released {show_mass(line.mass_ug)} of {line.vessel} "
        f"({line.booking}): {reason}",
        by=by,
        request_id=request_id,
        project=line.booking.project,
        vessel=line.vessel,
    )
    line.save(update_fields=["closed_by"])
    return line


def close(line, *, entry):
    """Close a line that a withdrawal serves.

    Before the metal goes, for the reading before taking may show less than the line
    promises. The caller holds the vessel's lock, which every promise needs too.
    """
    line.closed_by = entry
    line.save(update_fields=["closed_by"])


def keep_rest(line, mass_ug):
    """Promise anew what `mass_ug` left of a line just closed, as far as it is free."""
    now = Vessel.objects.with_remaining().get(pk=line.vessel_id)
    rest_ug = min(line.mass_ug - mass_ug, now.free_ug)
    if rest_ug > 0:
        BookingLine.objects.create(
            booking=line.booking,
            vessel=line.vessel,
            mass_ug=rest_ug,
            is_whole=line.is_whole and rest_ug == now.remaining_ug,
        )


def promise_drawn(line, vessel):
    """Promise the vessel that an aliquot was drawn into, in the same booking."""
    now = Vessel.objects.with_remaining().get(pk=vessel.pk)
    BookingLine.objects.create(
        booking=line.booking, vessel=vessel, mass_ug=now.remaining_ug, is_whole=True
    )


def make_room(vessel, left_ug, *, entry):
    """Let promises follow a vessel that turns out to hold only `left_ug`.

    A promise of the whole vessel stays one, of what there really is. Other promises
    that would no longer be covered are refused: somebody has to decide.
    """
    lines = list(vessel.booking_lines.open())
    if sum(line.mass_ug for line in lines) <= left_ug:
        return
    if len(lines) > 1 or not lines[0].is_whole or not left_ug:
        raise NotEnough(
            f"By this weighing {vessel} holds {show_mass(left_ug)}, but "
            f"{show_mass(vessel.promised_ug)} of it is promised. "
            "Have a booking released first.",
            wanted_ug=vessel.promised_ug,
            available_ug=left_ug,
        )
    (line,) = lines
    line.closed_by = entry
    line.save(update_fields=["closed_by"])
    BookingLine.objects.create(
        booking=line.booking,
        vessel=vessel,
        mass_ug=left_ug,
        is_whole=True,
        picked_by=line.picked_by,
    )
