"""Handing vessels over: their custody passes to a partner, with what is in them.

The ticks before it are in `picking`, what comes back or is reported in `returning`.
"""

from uuid import uuid5

from inventory.calc.units import show_mass
from inventory.models import BookingLine, HandOver, HandOverLine, Project, Vessel

from . import bookings, custody, inspections, letters, log
from .errors import OperationError


@log.operation
def hand_over(
    project, partner, lines, *, handed_at, carried="", note="", returns=None,
    by, request_id,
):  # fmt: skip
    """Hand the vessels of picked booking `lines` over to `partner`; return the HandOver.

    `returns` is {line pk: (day, µg)} for vessels that are lent: by when each comes
    back, and with about how much. What each holds now is written down with its
    uncertainty; the promises are served, the partner is the custodian, and there is
    no place any more. Locks the vessels in the order of their keys, then the project.
    Beside the line of the whole, the log gets one for each vessel.
    """
    returns = returns or {}
    bookings.lock_vessels([line.vessel for line in lines])
    if earlier := log.repeated(request_id):
        return earlier.hand_overs.get()
    project = log.lock(Project.objects.all(), project.pk)
    log.refuse_future(handed_at, "handed_at")
    refuse_receiver(project, partner)
    lines = read_again(lines)
    if not lines:
        raise OperationError("Choose at least one vessel.")
    vessels = Vessel.objects.for_list().in_bulk([line.vessel_id for line in lines])
    leaking = set(
        inspections.leaking().filter(vessel__in=vessels).values_list("vessel")
    )
    for line in lines:
        vessel = vessels[line.vessel_id]
        refuse_line(line, vessel, project, partner)
        refuse_vessel(line, vessel, handed_at)
        if (vessel.pk,) in leaking:
            raise OperationError(
                f"{vessel} leaks, as its last inspection says. It stays here.",
                at(line),
            )
        refuse_return(line, vessel, returns.get(line.pk), handed_at)
    total_ug = sum(vessel.remaining_ug for vessel in vessels.values())
    entry = log.write(
        "hand over",
        f"Handed {show_mass(total_ug)} in {counted(lines)} over to {partner} "
        f"({project})",
        by=by,
        request_id=request_id,
        project=project,
    )
    made = HandOver.objects.create(
        project=project,
        partner=partner,
        handed_at=handed_at,
        carried=carried,
        note=note,
        entry=entry,
    )
    for line in lines:
        pass_on(made, line, vessels[line.vessel_id], returns.get(line.pk))
    letters.handed_over(made)
    return made


def counted(lines):
    return "1 vessel" if len(lines) == 1 else f"{len(lines)} vessels"


def at(line):
    """Return the form field of a line."""
    return f"line_{line.pk}"


def read_again(lines):
    """Return the lines as they are, now that their vessels are locked."""
    rows = BookingLine.objects.select_for_update(of=("self",), no_key=True)
    rows = rows.select_related("booking__partner")
    return list(rows.filter(pk__in=[line.pk for line in lines]).order_by("pk"))


def refuse_receiver(project, partner):
    if project.closed_on:
        raise OperationError("This project is closed.")
    if not project.partners.filter(pk=partner.pk).exists():
        raise OperationError(f"{partner} is no partner of this project.", "partner")


def refuse_line(line, vessel, project, partner):
    """Refuse a promise that is not this partner's, is over, or was not picked."""
    booking = line.booking
    if line.closed_by_id or booking.project_id != project.pk:
        raise OperationError(
            f"{vessel} is not promised to this project any more.", at(line)
        )
    if booking.partner_id not in (None, partner.pk):
        raise OperationError(
            f"{vessel} is promised to {booking.partner}, not to {partner}.", at(line)
        )
    if booking.has_expired:
        raise OperationError(
            f"{booking} ended on {booking.expires_on:%-d %b %Y}. Have it extended first.",
            at(line),
        )
    custody.refuse_elsewhere(vessel, at(line))
    if not line.picked_by_id:
        raise OperationError(
            f"{vessel} is not ticked on the pick list. Compare its code first.",
            at(line),
        )


def is_whole(line, vessel):
    """Return whether a line promises all that its vessel holds."""
    return line.is_whole or line.mass_ug >= vessel.remaining_ug


def refuse_vessel(line, vessel, handed_at):
    """Refuse a vessel with metal for others in it, or one of which more is known."""
    if not is_whole(line, vessel):
        raise OperationError(
            f"{show_mass(line.mass_ug)} of the {show_mass(vessel.remaining_ug)} in "
            f"{vessel} is promised. Draw the aliquot into a vessel of its own first, "
            "or withdraw it.",
            at(line),
        )
    if vessel.promised_ug > line.mass_ug:
        raise OperationError(
            f"{show_mass(vessel.promised_ug - line.mass_ug)} of {vessel} is promised "
            "to somebody else too. Have that released first.",
            at(line),
        )
    last = vessel.events.standing().in_order().last()
    if last and handed_at < last.happened_at:
        raise OperationError(
            f"Something was recorded of {vessel} after this moment, on "
            f"{log.local_date(last.happened_at):%-d %b %Y}.",
            "handed_at",
        )


def refuse_return(line, vessel, expected, handed_at):
    """Refuse a return before the hand-over, or of more than leaves."""
    if expected is None:
        return
    day, mass_ug = expected
    if day < log.local_date(handed_at):
        raise OperationError(
            "It would come back before it was handed over.", f"return_{line.pk}"
        )
    if mass_ug > vessel.remaining_ug:
        raise OperationError(
            f"Only {show_mass(vessel.remaining_ug)} leaves in {vessel}.",
            f"expected_{line.pk}",
        )


def pass_on(made, line, vessel, expected):
    """Record one vessel of a hand-over, and that it is not here any more."""
    day, mass_ug = expected or (None, None)
    entry = log.write(
        "hand over",
        f"{vessel} handed over to {made.partner} with "
        f"{show_mass(vessel.remaining_ug, vessel.u_ug)}",
        by=made.entry.by,
        request_id=uuid5(made.entry.request_id, str(line.pk)),
        vessel=vessel,
        project=made.project,
    )
    HandOverLine.objects.create(
        hand_over=made,
        vessel=vessel,
        booking_line=line,
        mass_ug=vessel.remaining_ug,
        u_ug=round(vessel.u_ug),
        return_by=day,
        expected_ug=mass_ug,
        entry=entry,
    )
    bookings.close(line, entry=entry)
    vessel.custodian, vessel.place = made.partner, None
    vessel.save(update_fields=["custodian", "place"])
