"""Rows of the bench that arrive at the same moment: sent again, or from two people."""

from functools import partial
from uuid import uuid4

import pytest

from inventory.models import LogEntry, Movement, Vessel
from inventory.operations.errors import OperationError
from tests.concurrency.together import at_once, told_apart
from tests.domain.benched import TARE, fill_row, gross, laid_out, new
from tests.factories import G, make_batch, make_tared, observe, somebody

pytestmark = [
    pytest.mark.postgres,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("postgres", "shipped"),
]

WRITERS = 8


@pytest.fixture
def batch():
    somebody()  # Beforehand: not by several at once.
    return make_batch("Rb")


def both(batch):
    return {"tare": observe(20 * G, **TARE), "put_in": gross(batch)}


def test_one_row_sent_many_times_at_once_is_recorded_once_and_told_to_all(batch):
    row = {**new(), **both(batch), "request_id": uuid4()}
    lines = LogEntry.objects.count()

    done, _ = told_apart(at_once(*[partial(fill_row, batch, **row)] * WRITERS), ())

    assert done == [done[0]] * WRITERS
    assert Vessel.objects.count() == Movement.objects.count() == 1
    assert LogEntry.objects.count() == lines + 2


def test_one_vessel_is_filled_by_one_of_many_people(batch):
    vessel = make_tared(batch)
    calls = [partial(fill_row, batch, vessel=vessel, put_in=gross(batch))] * WRITERS

    done, refused = told_apart(at_once(*calls), OperationError)

    assert (len(done), len(refused)) == (1, WRITERS - 1)
    assert all("was filled meanwhile" in str(refusal) for refusal in refused)


def test_one_laid_out_vessel_keeps_the_tare_of_whoever_was_first(batch):
    (vessel,) = laid_out(batch)
    tares = [observe(20 * G + 100 * number, **TARE) for number in range(WRITERS)]
    calls = [partial(fill_row, batch, vessel=vessel, tare=tare) for tare in tares]

    done, refused = told_apart(at_once(*calls), OperationError)

    assert (len(done), len(refused)) == (1, WRITERS - 1)
    assert vessel.weighings.get() == done[0].tare


def test_new_vessels_of_many_rows_at_once_get_a_code_each(batch):
    calls = [partial(fill_row, batch, **new(), **both(batch)) for _ in range(WRITERS)]

    done, _ = told_apart(at_once(*calls), ())

    codes = {f"{batch}-{number:02}" for number in range(1, WRITERS + 1)}
    assert {told.vessel.code for told in done} == codes
