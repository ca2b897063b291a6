"""Runs set up and read as in the laboratory, for the tests of more than one kind."""

from datetime import timedelta

from django.utils import timezone

from inventory.operations import runs
from inventory.operations.run_rows import Seen
from tests.factories import ML, signed

HOURS_AGO = 5


def make_run(batch, **facts):
    """Set up a run that began five hours ago, into 50 mL of graduated glass."""
    started_at = timezone.now().replace(microsecond=0) - timedelta(hours=HOURS_AGO)
    facts = {
        "started_at": started_at,
        "ended_at": None,
        "receiver": None,
        "receiver_ul": 50 * ML,
        "u_receiver_ul": 200,
        "worth_ug_per_h": 500_000,
        **facts,
    }
    return runs.set_up(batch, facts, **signed())


def into(run, minutes):
    """Return the moment so many minutes into a run."""
    return run.started_at + timedelta(minutes=minutes)


def seen(run, minutes=60, **read):
    """Return what was read then: by default the temperature alone."""
    return Seen(read_at=into(run, minutes), **(read or {"temperature_c": 400.0}))


def make_reading(run, minutes=60, **read):
    return runs.read(run.batch, seen(run, minutes, **read), **signed())
