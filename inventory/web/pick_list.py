"""The pick list of a booking: its vessels by place, and whose list is under way."""

from dataclasses import dataclass
from itertools import groupby
from operator import attrgetter

from django.db.models import Q
from django.utils import timezone

from inventory.models import BookingLine, Inspection, Seal, Vessel
from inventory.operations import handing, inspections, picking
from inventory.operations.errors import OperationError

from .contents import drawing

# So long after the list was last looked at, a scanned code opens the record again.
FORGOTTEN_AFTER_S = 2 * 60 * 60
KEY = "picking"


@dataclass(frozen=True, slots=True)
class Row:
    """One vessel to be taken from its place, or drawn from."""

    line: BookingLine
    vessel: Vessel
    where: str
    is_whole: bool
    figure: dict
    # The newest look, if by it the seal leaks or may leak.
    look: Inspection | None = None
    # Whether an empty vessel is tared that an aliquot may be drawn into.
    has_target: bool = True

    @property
    def leaks(self):
        return self.look is not None and self.look.seal == Seal.LEAKS

    @property
    def is_ticked(self):
        return self.line.picked_by_id is not None


@dataclass(frozen=True, slots=True)
class Scanned:
    """What a scanned code names: its row on the list, or why it has none."""

    code: str
    row: Row | None = None
    vessel: Vessel | None = None
    sentence: str = ""


def rows(booking, facts):
    """Return the rows of what a booking still promises, in the order of the places."""
    lines = list(booking.lines.filter(closed_by=None).select_related("picked_by"))
    vessels = Vessel.objects.for_list().select_related("place__within")
    vessels = vessels.in_bulk([line.vessel_id for line in lines])
    looks = inspections.seals_of(vessels)
    receiving = batches_with_a_target(vessels.values())
    found = []
    for line in lines:
        vessel = vessels[line.vessel_id]
        found.append(
            Row(
                line=line,
                vessel=vessel,
                where=picking.where(vessel),
                is_whole=handing.is_whole(line, vessel),
                figure=drawing(vessel, facts, size="small"),
                look=looks.get(vessel.pk),
                has_target=vessel.batch_id in receiving,
            )
        )
    return sorted(found, key=in_order)


def batches_with_a_target(vessels):
    """Return the batches of vessels that an empty vessel is tared for, or for any."""
    batches = {vessel.batch_id for vessel in vessels}
    of_them = Q(batch__in=batches) | Q(batch=None)
    empty = Vessel.objects.with_tared().filter(
        of_them, is_tared=True, filled_on=None, retired_on=None
    )
    found = set(empty.order_by().values_list("batch", flat=True).distinct())
    return batches if None in found else found


def in_order(row):
    """Return what rows are sorted by: those without a place come last."""
    vessel = row.vessel
    return vessel.place_id is None, row.where, vessel.batch_id, vessel.number


def by_place(found):
    """Return [(place, rows)] of rows in order."""
    return [(place, list(few)) for place, few in groupby(found, attrgetter("where"))]


def expected(found):
    """Return the row that comes next: the first without a tick, or the first.

    One that leaks stays where it stands, so that it is never the next if it need not.
    """
    unticked = [row for row in found if not row.is_ticked]
    return next((row for row in unticked if not row.leaks), (unticked or found)[0])


def scanned(code, found):
    """Return the Scanned of a code that was typed or opened by a phone's camera."""
    if not code:
        return None
    try:
        vessel = picking.read(code)
        picking.refuse_leaking(vessel)
    except OperationError as error:
        return Scanned(code, sentence=str(error))
    row = next((row for row in found if row.vessel.pk == vessel.pk), None)
    if row is None:
        return Scanned(code, None, vessel, f"{vessel} is not on this list.")
    if row.is_ticked:
        return Scanned(code, None, vessel, f"{vessel} is ticked already.")
    return Scanned(vessel.code, row, vessel)


def begin(request, booking):
    """Remember which list this person is working on, for what the camera opens."""
    request.session[KEY] = [booking.pk, int(timezone.now().timestamp())]


def end(request):
    request.session.pop(KEY, None)


def under_way(request):
    """Return the key of the booking this person is picking for, or None."""
    booking, since = request.session.get(KEY, (None, 0))
    if timezone.now().timestamp() - since > FORGOTTEN_AFTER_S:
        return None
    open_lines = BookingLine.objects.open().filter(booking=booking, picked_by=None)
    return booking if open_lines.exists() else None
