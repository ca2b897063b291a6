"""The pick list: each vessel of a booking is taken from its place, its code compared."""

from inventory.calc import codes
from inventory.models import BookingLine, Seal, Vessel

from . import bookings, custody, inspections, log
from .errors import OperationError


@log.operation
def pick(line, *, code, by, request_id):
    """Tick the vessel that a typed or scanned `code` names, and return its line.

    `line` is the one whose vessel was expected. Another of the same booking that is
    still to be picked is ticked in its stead; any other vessel is refused.
    """
    scanned = read(code)
    log.lock(Vessel.objects.all(), scanned.pk)
    if earlier := log.repeated(request_id):
        return BookingLine.objects.filter(picked_by=earlier).first() or line
    chosen = chosen_line(line, scanned)
    booking = chosen.booking
    bookings.refuse_ended(booking, "code")
    custody.refuse_elsewhere(scanned, "code")
    refuse_leaking(scanned)
    if chosen.picked_by_id:
        raise OperationError(f"{scanned} is ticked already.", "code")
    chosen.picked_by = log.write(
        "pick",
        f"Took {scanned} from its place ({where(scanned)}) for {booking}",
        by=by,
        request_id=request_id,
        vessel=scanned,
        project=booking.project,
    )
    chosen.save(update_fields=["picked_by"])
    return chosen


@log.operation
def unpick(line, *, by, request_id):
    """Take a tick back, as when the vessel goes back to its place; return the line."""
    log.lock(Vessel.objects.all(), line.vessel_id)
    line = log.lock(BookingLine.objects.select_related("vessel", "booking"), line.pk)
    if log.repeated(request_id):
        return line
    if line.closed_by_id or not line.picked_by_id:
        raise OperationError(f"{line.vessel} is not ticked.")
    line.picked_by = None
    line.save(update_fields=["picked_by"])
    log.write(
        "unpick",
        f"Put {line.vessel} back: not taken for {line.booking} after all",
        by=by,
        request_id=request_id,
        vessel=line.vessel,
        project=line.booking.project,
    )
    return line


def read(code):
    """Return the vessel that a code names, or refuse in a sentence."""
    try:
        parsed = codes.parse_code(code)
    except codes.CodeError as error:
        raise OperationError(str(error), "code") from error
    if parsed.number is None:
        raise OperationError(
            f"{parsed.batch} is a batch. Scan or type the code of the vessel.", "code"
        )
    vessels = Vessel.objects.select_related("place__within", "custodian")
    found = vessels.filter(batch__code=parsed.batch, number=parsed.number).first()
    if found is None:
        code = codes.vessel_code(parsed.batch, parsed.number)
        raise OperationError(f"There is no vessel {code} here.", "code")
    return found


def chosen_line(line, scanned):
    """Return the open line of the booking that promises the scanned vessel."""
    lines = BookingLine.objects.select_related("booking__project")
    of_it = lines.filter(booking=line.booking_id, vessel=scanned, closed_by=None)
    found = of_it.select_for_update(of=("self",), no_key=True).first()
    if found:
        return found
    if line.vessel_id == scanned.pk:
        raise OperationError(f"This booking no longer promises {scanned}.", "code")
    expected = Vessel.objects.select_related("place__within").get(pk=line.vessel_id)
    raise OperationError(
        f"This is {scanned}. {expected} was expected ({where(expected)}).", "code"
    )


def refuse_leaking(vessel):
    """Refuse a vessel that leaks by its last look: it is not carried about."""
    look = inspections.seals_of([vessel.pk]).get(vessel.pk)
    if look and look.seal == Seal.LEAKS:
        raise OperationError(
            f"{vessel} leaks: so it was seen on {look.looked_on:%-d %b %Y}. Leave it "
            "where it stands, and tell the keeper.",
            "code",
        )


def where(vessel):
    """Return where a vessel stands, the larger place first."""
    place = vessel.place
    if place is None:
        return "nobody noted where it stands"
    return f"{place.within}, {place}" if place.within else str(place)
