"""Closing a batch, its account drawn up and tested, and reopening it with a reason."""

from django.utils import timezone

from inventory.calc.units import show_mass
from inventory.models import Batch, Closing, End, Movement, MovementKind

from . import closing, corrections, log, statements
from .errors import OperationError


@log.operation
def close(batch, statement, *, by, request_id):
    """Close a batch and return the closing.

    What was collected and is in no vessel is posted: as lost where that was stated,
    the rest as unaccounted for. Locks the batch, so that nothing is filled meanwhile.
    """
    batch = log.lock(Batch.objects.select_related("material"), batch.pk)
    if earlier := log.repeated(request_id):
        return earlier.closings.get()
    found = statements.work_out(batch, statement)
    if found.wants and not statement.reason.strip():
        raise OperationError(found.wants, "reason")
    done = found.closing
    done.entry = log.write(
        "batch-close",
        f"Closed batch {batch}: {show_mass(done.collected_ug)} collected, "
        f"{show_mass(found.account.filled_ug)} filled",
        by=by,
        request_id=request_id,
        batch=batch,
    )
    done.save()
    if statement.lost_ug:
        post(
            done,
            kind=MovementKind.LOSS,
            mass_ug=statement.lost_ug,
            u_ug=statement.u_lost_ug,
            from_batch=batch,
            to_end=End.LOSS,
            purpose=statement.lost_where,
        )
    if found.rest_ug:
        more = found.rest_ug < 0
        post(
            done,
            kind=MovementKind.DIFFERENCE,
            mass_ug=abs(found.rest_ug),
            u_ug=found.u_rest_ug,
            from_batch=None if more else batch,
            from_end=End.UNACCOUNTED if more else "",
            to_batch=batch if more else None,
            to_end="" if more else End.UNACCOUNTED,
            purpose=statement.reason or "Left over when the batch was closed",
        )
    return done


def post(done, **movement):
    """Record one movement of a closing: metal that came out of the batch elsewhere."""
    Movement.objects.create(
        method=done.method,
        material=done.batch.material,
        happened_at=timezone.now(),
        entry=done.entry,
        **movement,
    )


@log.operation
def reopen(batch, *, reason, by, request_id):
    """Take a closing back, and return the row that does.

    What the closing posted goes back by corrections. It stays on record.
    """
    batch = log.lock(Batch.objects.select_related("material"), batch.pk)
    if earlier := log.repeated(request_id):
        return earlier.closings.get()
    closed = closing.standing(batch)
    if closed is None:
        raise OperationError(f"Batch {batch} is open.")
    entry = log.write(
        "batch-reopen",
        f"Reopened batch {batch}: {reason}",
        by=by,
        request_id=request_id,
        batch=batch,
    )
    for movement in closed.entry.movements.order_by("pk"):
        corrections.back(movement, reason, entry)
    return Closing.objects.create(
        batch=batch,
        collected_ug=closed.collected_ug,
        u_collected_ug=closed.u_collected_ug,
        method=closed.method,
        lost_ug=closed.lost_ug,
        u_lost_ug=closed.u_lost_ug,
        reason=reason,
        reopens=closed,
        entry=entry,
    )
