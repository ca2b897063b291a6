"""The bench: many vessels filled in a row, each recorded as soon as it was weighed."""

from dataclasses import dataclass, field, replace
from uuid import uuid5

from inventory.calc.filling import Headspace
from inventory.calc.units import show_mass_plain
from inventory.models import Batch, Movement, MovementKind, Vessel, Weighing

from . import filling, ledger, log, observing, readings, rules, transferring, vessels
from .errors import OperationError

# Lines and clocks lag: a gross this little before its tare was read right after it.
LAG = log.CLOCK_TOLERANCE


@dataclass(frozen=True, slots=True)
class Row:
    """What was read of one vessel: its tare, its gross, or both at once.

    `vessel` is None for a new one, which `empty` then describes. `put_in` is how it
    was filled, None if it was only tared; the liquid of its gross reading is what
    was added since the tare.
    """

    vessel: Vessel | None = None
    empty: vessels.Empty | None = None
    tare: vessels.Observation | None = None
    put_in: filling.Filling | None = None


@dataclass(frozen=True, slots=True)
class Told:
    """What to show of a recorded row. A row that was only tared has no `movement`."""

    vessel: Vessel
    tare: Weighing
    movement: Movement | None = None
    room: Headspace | None = None
    cautions: list[str] = field(default_factory=list)


@log.operation
def fill_row(batch, row, *, source=None, by, request_id):
    """Record a row in one piece, and return what to show of it.

    The metal comes from the run itself, or from the `source` vessel. Sent again, a
    row is told as it was recorded. With a gross, the tare has a request id of its
    own, made of the row's: two deeds, two lines in the logbook, all or nothing.
    """
    log.lock(Batch.objects.all(), batch.pk)
    if earlier := log.repeated(request_id):
        return told(earlier)
    if not row.tare and not row.put_in:
        raise OperationError("Nothing was read in this row.", "gross")
    vessel = present(row.vessel, batch) if row.vessel else None
    if row.tare:
        own_id = uuid5(request_id, "tare") if row.put_in else request_id
        vessel = tare(vessel, batch, row, by=by, request_id=own_id)
    if row.put_in:
        fill(vessel, row.put_in, source, by=by, request_id=request_id)
    return told(log.repeated(request_id))


def present(vessel, batch):
    """Return the vessel as it is now; refuse one that can no longer be filled."""
    vessel = log.lock(Vessel.objects.all(), vessel.pk)
    if vessel.batch_id != batch.pk:
        raise OperationError(f"{vessel} is not a vessel of batch {batch}.")
    if vessel.retired_on:
        raise OperationError(f"{vessel} was retired meanwhile.")
    if vessel.filled_on:
        raise OperationError(
            f"{vessel} was filled meanwhile, on {vessel.filled_on:%-d %b %Y}. Look at "
            "its page before you go on: is this the right vessel?"
        )
    return vessel


def tare(vessel, batch, row, *, by, request_id):
    """Record the tare of a new vessel, or of one laid out; return the vessel."""
    signed = {"by": by, "request_id": request_id}
    if vessel is None:
        empty = replace(row.empty, tare=row.tare)
        place = row.put_in.place if row.put_in else None
        (made,) = vessels.tare([empty], batch=batch, place=place, **signed)
        return made
    if before := observing.newest_tare(vessel):
        raise OperationError(
            f"{vessel} is tared already, with {show_mass_plain(before.reading_ug)}; "
            f"{show_mass_plain(row.tare.reading_ug)} is not recorded. Its own page "
            "takes a new tare.",
            "tare",
        )
    vessels.tare_again(vessel, row.tare, **signed)
    return vessel


def fill(vessel, put_in, source, *, by, request_id):
    """Record that a tared vessel was filled, from its batch or from `source`."""
    weighed = observing.newest_tare(vessel) if vessel else None
    if weighed is None:
        raise OperationError(
            "Without a tare its weight says nothing about the metal.", "tare"
        )
    put_in = replace(put_in, gross=since_tare(put_in.gross, weighed))
    signed = {"by": by, "request_id": request_id, "happened_at": put_in.gross.read_at}
    if source is None:
        filling.fill(vessel, put_in, **signed)
    else:
        arrival = transferring.Arrival(vessel, put_in)
        transferring.transfer(ledger.read(source.pk), [arrival], **signed)


def since_tare(gross, tare):
    """Return the gross with all the liquid inside, and read no earlier than its tare."""
    lag = tare.read_at - gross.read_at
    return replace(
        gross,
        liquid_ug=gross.liquid_ug + tare.liquid_ug,
        read_at=max(gross.read_at, tare.read_at) if lag <= LAG else gross.read_at,
    )


def told(entry):
    """Return what an entry of a row recorded, from the record alone."""
    fills = entry.movements.filter(
        kind__in=[MovementKind.FILL, MovementKind.TRANSFER], heavy__isnull=False
    )
    movement = fills.select_related("light", "heavy__balance").first()
    tare = movement.light if movement else entry.weighings.first()
    if tare is None:
        raise OperationError("This row was sent as another form: load the page anew.")
    vessel = Vessel.objects.select_related("batch__material", "place", "medium", "gas")
    vessel = vessel.get(pk=tare.vessel_id)
    if movement is None:
        return Told(vessel, tare, cautions=against(tare))
    room = readings.headspace(
        vessel,
        movement.mass_ug,
        material=vessel.batch.material,
        medium=vessel.medium,
        liquid_ug=movement.heavy.liquid_ug,
        place=vessel.place,
        facts=readings.Facts.read(),
    )
    cautions = [
        *([room.sentence] if room.verdict != "fine" else []),
        *to_mind(vessel),
        *filling.too_little_to_weigh(movement.mass_ug, movement.heavy.balance),
        *against(tare, movement.heavy),
    ]
    return Told(vessel, tare, movement, room, cautions)


def to_mind(vessel):
    """Return what the catalogue says against the media of a filled vessel."""
    media = {"medium": vessel.medium, "gas": vessel.gas}
    said = rules.refuse(vessel.batch.material, media, accepted=True)
    return list(dict.fromkeys(said))


def against(*weighings):
    """Return what the balances' records say against the readings, each once."""
    said = [weighing.reservation for weighing in weighings if weighing.reservation]
    return [f"Mind: {words}." for words in dict.fromkeys(said)]
