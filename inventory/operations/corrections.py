"""Putting a mistake right: a further movement, never a change to the first."""

from django.utils import timezone

from inventory.calc.units import show_mass
from inventory.models import (
    Batch,
    Movement,
    MovementKind,
    Return,
    ReturnKind,
    Vessel,
    WeighingPurpose,
)

from . import closing, custody, estimating, log
from .errors import NotEnough, OperationError


@log.operation
def correct(movement, *, reason, by, request_id):
    """Undo `movement` by the same mass going back, and return the correction.

    The first movement stays visible, and its readings with it; neither counts any
    more, and the estimate is read anew without them. What really happened is then
    recorded. A filling that is undone leaves the vessel tared and empty again; a
    vessel that gets metal back is no longer retired. A transfer is undone as the one
    thing it was: into all of its vessels, with the loss on the way.
    """
    batch = made_into(movement)
    if batch:
        batch = log.lock(Batch.objects.all(), batch.pk)
    undone = all_of_it(movement)
    touched = sorted(
        {pk for each in undone for pk in (each.from_vessel_id, each.to_vessel_id)}
        - {None}
    )
    vessels = [log.lock(Vessel.objects.all(), pk) for pk in touched]
    if earlier := log.repeated(request_id):
        return earlier.movements.get(corrects=movement)
    refuse_away(movement, vessels)
    if batch:
        refuse_accounted(movement, batch)
    refuse(movement)
    for each in undone:
        if each.to_vessel_id:
            refuse_to_take_back(
                Vessel.objects.with_remaining().get(pk=each.to_vessel_id)
            )
    vessel = movement.to_vessel or movement.from_vessel
    entry = log.write(
        "correct",
        f"Corrected: {movement.get_kind_display().lower()} of "
        f"{show_mass(sum(each.mass_ug for each in undone))}, {vessel}: {reason}",
        by=by,
        request_id=request_id,
        vessel=vessel,
        batch=movement.from_batch,
        project=movement.project,
    )
    corrections = {each: back(each, reason, entry) for each in undone}
    for pk in touched:
        put_right(pk, movement, entry)
    return corrections[movement]


def refuse_away(movement, vessels):
    """Refuse to touch a vessel in a partner's hands.

    But for what the partner reported of it: that is put right until a return decides.
    """
    told = Return.objects.filter(movement=movement, kind=ReturnKind.REPORTED).first()
    if told:
        back = told.line.returns.filter(is_back=True).first()
        if back is None:
            return
        refuse_decided(movement, back)
    for vessel in vessels:
        custody.refuse_elsewhere(vessel)


def refuse_decided(movement, back):
    """Refuse to undo a report while the Return `back` of its vessel counts.

    What was in it then was weighed, or it was empty, whatever had been reported:
    without the report, the partner's use would become a difference of nobody's.
    """
    readings = back.entry.weighings.filter(strikes=None)
    if back.movement:
        counts = not Movement.objects.filter(corrects=back.movement).exists()
        way_out = " To put the report right, correct that return first."
    elif readings:
        counts = readings.filter(struck_by=None).exists()
        way_out = " To put the report right, strike out that weighing first."
    else:
        counts, way_out = True, ""
    if counts:
        how = "was weighed" if readings else "was empty"
        raise OperationError(
            f"{movement.from_vessel} came back and {how} since: that decided.{way_out}"
        )


def made_into(movement):
    """Return the batch whose making a movement may belong to, if there is one.

    A filling does. So may all that came out of a vessel, when that is a receiver.
    """
    if movement.from_vessel_id:
        return movement.from_vessel.batch
    return movement.from_batch or movement.to_batch


def refuse_accounted(movement, batch):
    """Refuse to undo what a closed batch's account rests on."""
    if not closing.standing(batch):
        return
    spans = closing.spans_of_all([batch])[batch.pk]
    if closing.is_making(movement.entry_id, spans) and is_counted(movement, spans):
        raise OperationError(
            f"Batch {batch} was closed with this in its account. "
            "Have it reopened first, with a reason."
        )


def is_counted(movement, spans):
    """Return whether a movement of a batch's making is a number of its account.

    Out of a vessel only transfers are, with what was lost in them, and whatever else
    a receiver gave: an ordinary ampoule counts as it was filled.
    """
    if not movement.from_vessel_id:
        return True
    moved = Movement.objects.standing().filter(kind=MovementKind.TRANSFER)
    if moved.filter(entry=movement.entry_id).exists():
        return True
    gave = moved.filter(from_vessel=movement.from_vessel_id).order_by()
    entries = gave.values_list("entry", flat=True)
    return any(closing.is_making(entry, spans) for entry in entries)


def all_of_it(movement):
    """Return the movements that are undone together: a transfer is one operation."""
    if movement.kind != MovementKind.TRANSFER:
        return [movement]
    kinds = [MovementKind.TRANSFER, MovementKind.LOSS]
    together = movement.entry.movements.filter(kind__in=kinds)
    return list(together.filter(corrected_by=None)) or [movement]


def back(movement, reason, entry):
    """Record the same mass going back, and return that movement."""
    return Movement.objects.create(
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


def put_right(pk, movement, entry):
    """Settle one vessel without the movement, and put its dates right."""
    vessel = Vessel.objects.get(pk=pk)
    estimating.settle(
        vessel,
        entry=entry,
        happened_at=movement.happened_at,
        purpose="The history read anew after a correction",
    )
    now = Vessel.objects.with_remaining().get(pk=pk)
    if not estimating.standing(now):
        now.filled_on = now.medium = now.gas = now.spent_on = None
        now.closure = ""
    elif now.remaining_ug:
        now.retired_on = now.spent_on = None
    if not now.movements_out.standing().exclude(kind=MovementKind.DIFFERENCE).exists():
        now.opened_on = None
    give_gas_back(now, movement)
    now.save()


def give_gas_back(vessel, movement):
    """Note the gas that was inside before a weighed taking that is undone."""
    read = movement.entry.weighings.filter(vessel=vessel)
    before = read.filter(purpose=WeighingPurpose.BEFORE).first()
    after = read.filter(purpose=WeighingPurpose.AFTER).first()
    if before and after and vessel.gas_id == after.gas_id != before.gas_id:
        if vessel.medium_id == vessel.gas_id:
            vessel.medium = before.gas
        vessel.gas = before.gas


def refuse(movement):
    """Refuse to correct twice, to undo a correction, or what only a weighing says."""
    if movement.kind == MovementKind.CORRECTION:
        raise OperationError("A correction is not corrected: record what is right.")
    if movement.kind == MovementKind.DIFFERENCE:
        raise OperationError(
            "A weighing found this difference: strike out that weighing instead."
        )
    if Movement.objects.filter(corrects=movement).exists():
        raise OperationError("This movement is corrected already.")


def refuse_to_take_back(vessel):
    """Refuse to undo a filling of a vessel that gave metal since, or promises it."""
    since = vessel.movements_out.standing().exclude(kind=MovementKind.DIFFERENCE)
    if since.exists():
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
            wanted_ug=vessel.remaining_ug,
            available_ug=vessel.free_ug,
        )
