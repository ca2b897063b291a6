"""Handing vessels over: their custody passes to a partner, with what is in them.

The ticks before it are in `picking`, what comes back or is reported in `returning`.
"""

from uuid import uuid5

from inventory.calc.units import show_count, show_mass
from inventory.models import BookingLine, HandOver, HandOverLine, Project, Vessel
from inventory.models.bookings import total_words

from . import bookings, custody, inspections, letters, log, shares
from .errors import OperationError


@log.operation
def hand_over(
    project, partner, lines, *, handed_at, carried="", note="", returns=None,
    beyond_share="", by, request_id,
):  # fmt: skip
    """Hand the vessels of picked booking `lines` over to `partner`; return the HandOver.

    `returns` is {line pk: (day, µg)} for vessels that are lent: by when each comes
    back, and with about how much. What each holds now is written down with its
    uncertainty; the promises are served, the partner is the custodian, and there is
    no place any more. What was booked for the project as a whole comes out of the
    partner's share now: beyond it, the keeper says why in `beyond_share`. Several
    lines of one vessel are judged, and served, together. Locks the vessels in the
    order of their keys, then the project. Beside the line of the whole, the log gets
    one for each vessel.
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
    of_each = by_vessel(lines)
    for line in lines:
        vessel = vessels[line.vessel_id]
        refuse_line(line, vessel, project, partner)
        refuse_vessel(of_each[vessel.pk], vessel, handed_at)
        refuse_return(line, vessel, returns.get(line.pk), handed_at)
    refuse_leaking(of_each)
    beyond = refuse_beyond(project, partner, lines, vessels, beyond_share, by=by)
    total = total_words(
        bookings.of_metals({key: each.remaining_ug for key, each in vessels.items()})
    )
    entry = log.write(
        "hand over",
        f"Handed {total} in {show_count(len(of_each), 'vessel')} over to {partner} "
        f"({project})" + (f", beyond the share: {beyond}" if beyond else ""),
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
    for key, together in of_each.items():
        pass_on(made, together, vessels[key], return_of(together, returns))
    letters.handed_over(made)
    return made


def refuse_beyond(project, partner, lines, vessels, reason, *, by):
    """Refuse to hand over what no booking put to the partner's share, and it forbids.

    The keeper may do so with a reason, which stays with the bookings. Return the
    reason if it was needed, else "".
    """
    unnamed = [line for line in lines if line.booking.partner_id is None]
    shares.hold(project, partner)
    more = {line.vessel_id: vessels[line.vessel_id].remaining_ug for line in unnamed}
    for line in lines:
        if line.booking.partner_id and line.vessel_id in more:
            more[line.vessel_id] -= line.mass_ug
    promises = [(vessels[key], max(0, ug), True) for key, ug in more.items()]
    against = shares.against(project, partner, promises, would="hand over")
    if not against:
        return ""
    said = " ".join(against)
    if not by.is_keeper:
        raise OperationError(f"{said} Have the keeper hand it over.", "partner")
    if not reason:
        raise OperationError(
            f"{said} To hand it over all the same, say why.", "beyond_share"
        )
    for booking in {line.booking for line in unnamed}:
        booking.beyond_share = booking.beyond_share or reason
        booking.save(update_fields=["beyond_share"])
    return reason


def by_vessel(lines):
    """Return {vessel key: its lines}; first the one that answers a request, if any."""
    found = {}
    for line in sorted(lines, key=lambda line: line.booking.request_id is None):
        found.setdefault(line.vessel_id, []).append(line)
    return dict(sorted(found.items()))


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
    bookings.refuse_ended(booking, at(line))
    custody.refuse_elsewhere(vessel, at(line))
    if not line.picked_by_id:
        raise OperationError(
            f"{vessel} is not ticked on the pick list. Compare its code first.",
            at(line),
        )


def refuse_leaking(vessels):
    """Refuse what leaks; `vessels` are {vessel key: its lines}."""
    leaking = inspections.leaking().filter(vessel__in=vessels)
    for key in leaking.values_list("vessel", flat=True):
        line = vessels[key][0]
        raise OperationError(
            f"{line.vessel} leaks, as its last inspection says. It stays here.",
            at(line),
        )


def is_whole(line, vessel):
    """Return whether a line promises all that its vessel holds."""
    return line.is_whole or line.mass_ug >= vessel.remaining_ug


def refuse_vessel(together, vessel, handed_at):
    """Refuse a vessel with metal for others in it, or one of which more is known.

    `together` are its lines that are handed over at once.
    """
    line = together[0]
    promised_ug = sum(each.mass_ug for each in together)
    whole = promised_ug >= vessel.remaining_ug
    if not (whole or any(is_whole(each, vessel) for each in together)):
        raise OperationError(
            f"{show_mass(promised_ug)} of the {show_mass(vessel.remaining_ug)} in "
            f"{vessel} is promised. Draw the aliquot into a vessel of its own first, "
            "or withdraw it.",
            at(line),
        )
    if len({each.booking.request_id for each in together} - {None}) > 1:
        raise OperationError(
            f"{vessel} is promised for several requests. Draw an aliquot for each "
            "into a vessel of its own first.",
            at(line),
        )
    if vessel.promised_ug > promised_ug:
        raise OperationError(
            f"{show_mass(vessel.promised_ug - promised_ug)} of {vessel} is promised "
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


def return_of(together, returns):
    """Return (day, µg) of the lines of one vessel, None if it does not come back."""
    expected = [line for line in together if line.pk in returns]
    if len({returns[line.pk] for line in expected}) > 1:
        line = expected[1]
        raise OperationError(
            f"{line.vessel} comes back once: write the same day and mass at each of "
            "its lines, or leave one empty.",
            f"return_{line.pk}",
        )
    return returns[expected[0].pk] if expected else None


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


def pass_on(made, together, vessel, expected):
    """Record one vessel of a hand-over, and that it is not here any more.

    Its lines are served `together`; the record names the first.
    """
    line = together[0]
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
    for each in together:
        bookings.close(each, entry=entry)
    vessel.custodian, vessel.place = made.partner, None
    vessel.save(update_fields=["custodian", "place"])
