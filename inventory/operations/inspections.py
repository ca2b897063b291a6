"""Looking after what stands on the shelf: what was seen, and when to look again."""

from django.utils import timezone

from inventory.models import Inspection, Seal, Vessel

from . import custody, log
from .errors import OperationError


@log.operation
def record(vessel, *, looked_on, seal, look="", next_on=None, note="", by, request_id):
    """Record one look at a filled vessel, and return it.

    The newest look is the one that counts, so none may be older than the last.
    """
    vessel = log.lock(Vessel.objects.all(), vessel.pk)
    if earlier := log.repeated(request_id):
        return earlier.inspections.get()
    custody.refuse_elsewhere(vessel)
    refuse_unseen(vessel, looked_on)
    if next_on and next_on <= timezone.localdate():
        raise OperationError("Choose a day that is still to come.", "next_on")
    entry = log.write(
        "inspect",
        f"Looked at {vessel}: {Seal(seal).label.lower()}"
        + (f", {look}" if look else ""),
        by=by,
        request_id=request_id,
        vessel=vessel,
    )
    return Inspection.objects.create(
        vessel=vessel,
        looked_on=looked_on,
        seal=seal,
        look=look,
        next_on=next_on,
        note=note,
        entry=entry,
    )


def refuse_unseen(vessel, looked_on):
    """Refuse a look at nothing, in the future, or before what is on record."""
    if vessel.retired_on:
        raise OperationError(f"{vessel} is retired.")
    if not vessel.filled_on:
        raise OperationError(f"{vessel} has not been filled yet.")
    if looked_on > timezone.localdate():
        raise OperationError("This lies in the future.", "looked_on")
    if looked_on < vessel.filled_on:
        raise OperationError(
            f"{vessel} was filled on {vessel.filled_on:%-d %b %Y}.", "looked_on"
        )
    last = vessel.inspections.first()
    if last and looked_on < last.looked_on:
        raise OperationError(
            f"It was looked at since then, on {last.looked_on:%-d %b %Y}.",
            "looked_on",
        )


def current():
    """Return the newest inspection of every vessel that is here and holds metal."""
    return (
        Inspection.objects.newest()
        .filter(
            vessel__filled_on__isnull=False,
            vessel__spent_on=None,
            vessel__custodian=None,
        )
        .select_related("vessel__batch__material", "vessel__place")
    )


def due(until):
    """Return the newest inspections that ask for another look by a day."""
    return current().filter(next_on__lte=until).order_by("next_on", "id")


def doubted():
    """Return the newest inspections by which a seal leaks or may leak."""
    return (
        current().filter(seal__in=[Seal.DOUBTFUL, Seal.LEAKS]).order_by("-seal", "id")
    )


def seals_of(vessels):
    """Return {vessel key: its newest look}, of those whose seal leaks or may leak."""
    looks = Inspection.objects.newest().filter(vessel__in=vessels)
    looks = looks.filter(seal__in=[Seal.DOUBTFUL, Seal.LEAKS])
    return {look.vessel_id: look for look in looks}


def leaking():
    """Return the keys of the vessels whose newest inspection says that they leak."""
    return Inspection.objects.newest().filter(seal=Seal.LEAKS).values("vessel")
