"""A process killed before each of its writes in turn, and before it commits.

`python -m tests.concurrency.killed PARTS` prepares what the act of that name needs,
lets a child die ever later in it, and prints after each death how much is on record;
the last child is let live. The database is the one the environment names.
"""

import json
import os
import signal
import sys
from functools import partial

import django

django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connection, connections  # noqa: E402
from django.utils import timezone  # noqa: E402

from inventory.models import Booking, BookingLine, HandOver, LogEntry, Movement  # noqa: E402
from inventory.operations import bookings, handing, ledger, taking  # noqa: E402
from tests.domain.handed import make_line, make_metal, pick  # noqa: E402
from tests.factories import (  # noqa: E402
    G,
    earlier,
    make_project,
    make_vessel,
    signed,
)

WRITES = ("INSERT", "UPDATE", "DELETE")
LATEST = 60


def book():
    """Promise metal from two vessels."""
    wishes = [(make_vessel(holding_ug=5 * G), G), (make_vessel(holding_ug=5 * G), None)]
    return partial(
        bookings.book,
        make_project(),
        wishes=wishes,
        purpose="a run",
        needed_by=timezone.localdate(),
        **signed(),
    )


def withdraw():
    """Take a whole ampoule."""
    vessel = make_vessel(holding_ug=5 * G)
    facts = {"purpose": "a run", "happened_at": earlier()}
    return partial(ledger.withdraw, vessel, taking.Whole(), **facts, **signed())


def hand_over():
    """Hand a picked vessel over."""
    line = pick(make_line(make_metal()))
    return partial(
        handing.hand_over,
        line.booking.project,
        line.booking.partner,
        [line],
        handed_at=earlier(),
        **signed(),
    )


ACTS = {"book": book, "withdraw": withdraw, "hand over": hand_over}


def die():
    os.kill(os.getpid(), signal.SIGKILL)


def live_until(last, call):
    """Run `call`, but die before its write number `last`; the commit counts as one."""
    written = 0

    def count(execute, sql, params, many, context):
        nonlocal written
        if sql.lstrip().upper().startswith(WRITES):
            written += 1
            if written == last:
                die()
        return execute(sql, params, many, context)

    commit = connection._commit

    def commit_or_die():
        if written + 1 == last:
            die()
        commit()

    connection.ensure_connection()
    connection._commit = commit_or_die
    with connection.execute_wrapper(count):
        call()


def on_record():
    rows = (Booking, BookingLine, HandOver, LogEntry, Movement)
    return [model.objects.count() for model in rows]


def main(act):
    call_command("setup", stdout=sys.stderr)
    call = ACTS[act]()
    before, deaths = on_record(), []
    for last in range(1, LATEST):
        connections.close_all()
        child = os.fork()
        if not child:
            live_until(last, call)
            connections.close_all()
            os._exit(0)
        _, status = os.waitpid(child, 0)
        if status == 0:
            break
        deaths.append([os.WTERMSIG(status), on_record()])
    print(json.dumps({"before": before, "deaths": deaths, "after": on_record()}))  # noqa: T201


if __name__ == "__main__":
    main(sys.argv[1])
