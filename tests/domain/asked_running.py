"""The operations of a run's log, ready to be asked: see asked.py."""

from inventory.operations import runs
from tests.domain.read_off import make_reading, make_run, seen
from tests.factories import ML, earlier, make_batch


def ask_set_up_run():
    facts = {"started_at": earlier(), "receiver_ul": 50 * ML}
    return runs.set_up, [make_batch(), facts], {}


def ask_read_run():
    run = make_run(make_batch())
    return runs.read, [run.batch, seen(run)], {}


def ask_strike_run_reading():
    reading = make_reading(make_run(make_batch()))
    return runs.strike, [reading], {"reason": "the wrong furnace"}


def ask_import_run():
    run = make_run(make_batch())
    rows = [seen(run, n) for n in range(3)]
    return runs.import_readings, [run.batch, rows], {}
