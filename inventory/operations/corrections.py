"""Putting a mistake right: a further movement, never a change to the first."""

from django.utils import timezone

from inventory.calc.units import show_mass
from inventory.models import Movement, MovementKind, Vessel

from . import log
from .errors import NotEnough, OperationError


@log.operation
def correct(movement, *, reason, by, request_id):
    """Undo `movement` by the same mass going back, and return the correction.

    The first movement stays visible. What really happened is then recorded anew. A
    filling that is undone leaves the vessel tared and empty again; a vessel that
    gets metal back is no longer retired.
    """
    vessel = movement.to_vessel or movement.from_vessel
    log.lock(Vessel.objects.all(), vessel.pk)
    if earlier := log.repeated(request_id):
        return earlier.movements.first()
    vessel = Vessel.objects.with_remaining().get(pk=vessel.pk)
    refuse(movement, vessel)
    entry = log.write(
        "correct",
        f"Corrected: {movement.get_kind_display().lower()} of "
        f"{show_mass(movement.mass_ug)}, {vessel}: {reason}",
        by=by,
        request_id=request_id,
        vessel=vessel,
        batch=movement.from_batch,
        project=movement.project,
    )
    correction = Movement.objects.create(
        kind=MovementKind.CORRECTION,
        method=movement.method,
        material=movement.material,
        mass_ug=movement.mass_ug,
        u_ug=movement.u_ug,
        happened_at=timezone.now(),
        from_batch=movement.to_batch,
        from_vessel=movement.to_vessel,
        from_end=movement.to_end,
        to_batch=movement.from_batch,
        to_vessel=movement.from_vessel,
        to_end=movement.from_end,
        purpose=reason,
        project=movement.project,
        corrects=movement,
        entry=entry,
    )
    if movement.kind == MovementKind.FILL:
        vessel.filled_on = vessel.medium = vessel.gas = None
        vessel.closure = ""
    else:
        vessel.retired_on = vessel.spent_on = None
        if not vessel.movements_out.standing().exists():
            vessel.opened_on = None
    vessel.save()
    return correction


def refuse(movement, vessel):
    """Refuse to correct twice, to undo a correction, or to take what is not there."""
    if movement.kind == MovementKind.CORRECTION:
        raise OperationError("A correction is not corrected: record what is right.")
    if Movement.objects.filter(corrects=movement).exists():
        raise OperationError("This movement is corrected already.")
    if movement.to_vessel_id is None:
        return
    if vessel.movements_out.standing().exists():
        raise OperationError(
            f"Metal was taken out of {vessel} since. Correct those movements first, "
            "the newest first."
        )
    waiting = Vessel.objects.filter(
        glass_mark=vessel.glass_mark, filled_on=None, retired_on=None
    ).exclude(glass_mark="")
    if other := waiting.exclude(pk=vessel.pk).first():
        raise OperationError(
            f"The glass {vessel.glass_mark} is tared again as {other}. "
            "Retire that vessel first."
        )
    if vessel.promised_ug:
        raise NotEnough(
            f"{show_mass(vessel.promised_ug)} of {vessel} is promised. "
            "Have the bookings released first.",
            wanted_ug=movement.mass_ug,
            available_ug=vessel.free_ug,
        )
