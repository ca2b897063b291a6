"""Declaring a batch done: what was collected, and what is not accounted for."""

from math import inf

from inventory.models import Closing

from .errors import OperationError


def standing(batch):
    """Return the closing that holds for `batch`, or None while it is open."""
    return of_all([batch]).get(batch.pk)


def of_all(batches):
    """Return {batch key: the closing that holds} of those that are closed."""
    rows = Closing.objects.filter(batch__in=batches, reopens=None, reopened_by=None)
    return {row.batch_id: row for row in rows.select_related("entry__by")}


def spans_of_all(batches):
    """Return {batch key: [(log entry that closed it, the one that reopened it)]}.

    What was recorded in between is its vessels' life and not its making. The second
    of a closing that holds is infinite.
    """
    spans = {}
    rows = Closing.objects.filter(batch__in=batches, reopens=None)
    for batch, shut, opened in rows.values_list("batch", "entry", "reopened_by__entry"):
        spans.setdefault(batch, []).append((shut, opened or inf))
    return spans


def is_making(entry, spans):
    """Return whether a log entry's key lies outside all spans, as of one batch."""
    return not any(shut < entry < opened for shut, opened in spans)


def refuse_closed(batch, field=None):
    """Refuse to add to the making of a batch that is closed.

    Call it with the batch locked: closing locks it too.
    """
    if standing(batch):
        raise OperationError(
            f"Batch {batch} is closed: its account is drawn up. "
            "Have it reopened first, with a reason.",
            field,
        )
