"""What every operation shares: one transaction, one log entry, no double submits."""

from datetime import timedelta
from functools import wraps

from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.models import LogEntry

from .errors import OperationError

# A clock on the wall may be a little ahead of the server's.
CLOCK_TOLERANCE = timedelta(minutes=5)


def operation(func):
    """Run `func` in one transaction; two submits of one request id run it once.

    The second submit finds the first one's log entry. When both arrive at the
    same moment, the loser meets what the winner wrote (the unique request id, or a
    name that is taken now), starts again and finds it then.
    """

    @wraps(func)
    def run(*args, **kwargs):
        try:
            with transaction.atomic():
                return func(*args, **kwargs)
        except OperationError:
            if repeated(kwargs["request_id"]) is None:
                raise
        except IntegrityError:
            pass  # Somebody was quicker. Starting again says so, or fails again.
        with transaction.atomic():
            return func(*args, **kwargs)

    return run


def repeated(request_id):
    """Return the entry that an earlier submit of this request wrote, or None."""
    return LogEntry.objects.filter(request_id=request_id).first()


def write(verb, summary, *, by, request_id, **about):
    """Add the line that says what was done; `about` is a batch, vessel or project."""
    return LogEntry.objects.create(
        verb=verb, summary=summary[:300], by=by, request_id=request_id, **about
    )


def lock(queryset, pk):
    """Return the row, held against other writers until the transaction ends."""
    return queryset.select_for_update(of=("self",), no_key=True).get(pk=pk)


def local_date(when):
    """Return the day on which `when` fell here."""
    return timezone.localtime(when).date()


def refuse_future(when, field):
    """Refuse a moment that has not come yet."""
    if when > timezone.now() + CLOCK_TOLERANCE:
        raise OperationError("This lies in the future.", field)
