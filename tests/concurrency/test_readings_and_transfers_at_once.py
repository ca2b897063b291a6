"""Readings and transfers at the same moment leave one history and one ledger."""

from functools import partial

import pytest

from inventory.operations import checking, corrections, ledger, taking
from inventory.operations.errors import NotEnough, OperationError
from tests.concurrency.together import at_once, told_apart
from tests.domain.transferred import arrival, make_source, make_target, transfer
from tests.factories import (
    ROOM,
    G,
    expected_reading,
    make_batch,
    make_weighed_vessel,
    observe,
    signed,
    take,
)

pytestmark = [
    pytest.mark.postgres,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("postgres", "shipped"),
]

WRITERS = 8


def test_of_many_transfers_only_as_many_happen_as_there_is_metal():
    # 2 g each: twice from 5 g, not three times.
    source = make_weighed_vessel(make_batch("NaK"), gain_ug=5 * G)
    targets = [make_target(source.batch) for _ in range(WRITERS)]
    calls = [partial(transfer, source, [arrival(source, t)]) for t in targets]

    outcomes = at_once(*calls)

    done, refused = told_apart(outcomes, NotEnough)
    assert (len(done), len(refused)) == (2, WRITERS - 2)
    moved = sum(movement.mass_ug for (movement,) in done)
    assert ledger.read(source.pk).remaining_ug == source.remaining_ug - moved > 0


def test_one_empty_vessel_is_filled_by_one_of_many_transfers():
    sources = [make_source() for _ in range(WRITERS)]
    glass = make_target(None, glass_mark="A 7")
    calls = [partial(transfer, source, [arrival(source, glass)]) for source in sources]

    outcomes = at_once(*calls)

    done, _ = told_apart(outcomes, OperationError)
    assert len(done) == 1
    ((movement,),) = done
    assert ledger.read(glass.pk).remaining_ug == movement.mass_ug


def test_readings_of_one_vessel_at_the_same_moment_are_all_taken_in():
    vessel = make_weighed_vessel()
    seen = observe(expected_reading(vessel, **ROOM), gas="argon", **ROOM)

    outcomes = at_once(
        *[partial(checking.check, vessel, seen, **signed()) for _ in range(WRITERS)]
    )

    done, _ = told_apart(outcomes, ())
    newest = vessel.estimates.order_by("-id").first().revision
    checks = vessel.events.filter(weighing__in=done)
    assert checks.count() == WRITERS
    assert vessel.estimates.filter(revision=newest, event__in=checks).count() == WRITERS


def test_transfers_there_and_back_do_not_wait_for_each_other():
    batch = make_batch("NaK")
    first, second = (make_weighed_vessel(batch, gain_ug=5 * G) for _ in range(2))
    calls = [
        partial(transfer, source, [arrival(source, make_target(batch), 11 * G)])
        for source in (first, second) * 2
    ]
    corrected = [
        partial(corrections.correct, take(vessel, how), reason="x", **signed())
        for vessel in (first, second)
        for how in [taking.Drawn(100, 1, 22.0)]
    ]

    done, _ = told_apart(at_once(*calls, *corrected), ())

    assert len(done) == len(calls) + len(corrected)
