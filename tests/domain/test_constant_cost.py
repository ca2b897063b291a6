"""What an operation asks of the database does not grow with a vessel's history."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.operations import checking, ledger, taking
from inventory.operations.errors import Disagrees
from tests.domain.exchanged import exchange
from tests.domain.taken import drawn, weighed_out
from tests.domain.transferred import arrival, make_target, transfer
from tests.factories import (
    ROOM,
    G,
    earlier,
    expected_reading,
    fill,
    make_batch,
    make_check,
    make_vessel,
    make_weighed_vessel,
    observe,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

SOME, MANY = 2, 60


def with_history(events):
    """Return a vessel of 10 g whose history has so many drawings."""
    vessel = make_weighed_vessel(
        make_batch("NaK"), gain_ug=10 * G, filled_at=earlier(days=90)
    )
    for n in range(events):
        take(vessel, drawn(10), happened_at=earlier(days=80 - n))
    return ledger.read(vessel.pk)


def check(vessel):
    # A little off, so that a difference is posted each time.
    reading_ug = expected_reading(vessel, **ROOM) + 500
    seen = observe(reading_ug, gas="argon", **ROOM)
    return lambda: checking.check(vessel, seen, **signed())


def disagree(vessel):
    reading_ug = expected_reading(vessel, **ROOM) - G
    seen = observe(reading_ug, gas="argon", **ROOM)
    why = {"cause": "metal", "reason": "by the notebook"}
    return lambda: checking.check(vessel, seen, **why, **signed())


def withdraw_by(how):
    def prepare(vessel):
        way = how(vessel)
        return lambda: take(vessel, way)

    return prepare


def work_out(vessel):
    how = weighed_out(vessel, 1 * G)
    return lambda: taking.work_out(vessel, how, earlier())


def transfer_two(vessel):
    targets = [make_target(vessel.batch) for _ in range(2)]
    arrivals = [arrival(vessel, target) for target in targets]
    return lambda: transfer(vessel, arrivals)


OPERATIONS = {
    "check": check,
    "decide": disagree,
    "weighed": withdraw_by(lambda vessel: weighed_out(vessel, 1 * G, off_ug=500)),
    "drawn": withdraw_by(lambda vessel: drawn(500)),
    "whole": withdraw_by(lambda vessel: taking.Whole()),
    "work out": work_out,
    "another gas": lambda vessel: lambda: exchange(vessel, "vacuum"),
    "transfer": transfer_two,
}


def cost(operation, vessel):
    """Return how many queries an operation takes, everything made ready before."""
    carry_out = OPERATIONS[operation](vessel)
    with CaptureQueriesContext(
        connection,
    ) as asked:
        carry_out()
    return len(asked)


@pytest.mark.parametrize("operation", OPERATIONS)
def test_recording_costs_the_same_after_sixty_events_as_after_two(operation):
    short = cost(operation, with_history(SOME))

    long = cost(operation, with_history(MANY))

    assert short == long


def test_filling_costs_the_same_beside_many_vessels_as_beside_one():
    batch = make_batch()
    first, *others = [make_vessel(batch) for _ in range(10)]
    one, other = make_target(batch), make_target(batch)

    with CaptureQueriesContext(connection) as alone:
        fill(one, stated_ug=G)
    for vessel in others:
        make_check(vessel)
    with CaptureQueriesContext(connection) as beside:
        fill(other, stated_ug=G)

    assert first.batch == batch
    assert len(alone) == len(beside)


def test_looking_for_a_mistaken_vessel_costs_no_more_on_a_fuller_shelf():
    vessel = make_weighed_vessel()
    asked = []
    for _ in range(2):
        for _ in range(12):
            make_vessel(vessel.batch, holding_ug=3 * G)
        with CaptureQueriesContext(connection) as queries, pytest.raises(Disagrees):
            make_check(vessel, -1 * G)
        asked.append(len(queries))

    assert asked[0] == asked[1]
