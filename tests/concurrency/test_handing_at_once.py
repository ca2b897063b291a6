"""A vessel is ticked, handed over and taken back once, whoever is quicker."""

from functools import partial

import pytest

from inventory.models import HandOver, HandOverLine, LogEntry, Movement
from inventory.operations import handing, ledger, picking, returning
from inventory.operations.errors import OperationError
from tests.concurrency.together import at_once, told_apart
from tests.domain.handed import (
    empty,
    make_handed,
    make_line,
    make_metal,
    pick,
)
from tests.factories import G, earlier, make_place, signed, somebody

pytestmark = [
    pytest.mark.postgres,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("postgres", "shipped"),
]

CROWD = 8


def test_of_many_who_tick_a_vessel_exactly_one_does():
    line = make_line(make_metal())
    code = line.vessel.code

    outcomes = at_once(
        *[partial(picking.pick, line, code=code, **signed()) for _ in range(CROWD)]
    )

    done, refused = told_apart(outcomes, OperationError)
    assert (len(done), len(refused)) == (1, CROWD - 1)
    assert LogEntry.objects.filter(verb="pick").count() == 1


def passing(lines, **facts):
    booking = lines[0].booking
    return partial(
        handing.hand_over,
        booking.project,
        booking.partner,
        lines,
        handed_at=earlier(days=1),
        **{**signed(), **facts},
    )


def test_of_many_who_hand_a_vessel_over_exactly_one_does():
    line = pick(make_line(make_metal()))

    outcomes = at_once(*[passing([line]) for _ in range(CROWD)])

    done, refused = told_apart(outcomes, OperationError)
    assert (len(done), len(refused)) == (1, CROWD - 1)
    assert HandOverLine.objects.count() == 1


def test_a_form_of_a_hand_over_sent_many_times_at_once_counts_once():
    line = pick(make_line(make_metal()))
    same = signed(by=somebody())

    outcomes = at_once(*[passing([line], **same) for _ in range(CROWD)])

    done, refused = told_apart(outcomes, OperationError)
    assert (len(done), len(refused)) == (CROWD, 0)
    assert HandOver.objects.count() == 1


def test_a_vessel_is_either_handed_over_or_put_back():
    line = pick(make_line(make_metal()))
    back = partial(picking.unpick, line, **signed())

    outcomes = at_once(passing([line]), back)

    done, refused = told_apart(outcomes, OperationError)
    assert (len(done), len(refused)) == (1, 1)
    handed = ledger.read(line.vessel_id).custodian is not None
    assert handed is HandOver.objects.exists()


def test_a_vessel_comes_back_once_and_is_used_up_once():
    line, shelf = make_handed(), make_place()
    calls = [
        partial(returning.take_back, line, empty(), place=shelf, **signed())
        for _ in range(CROWD)
    ]

    outcomes = at_once(*calls)

    done, refused = told_apart(outcomes, OperationError)
    assert (len(done), len(refused)) == (1, CROWD - 1)
    assert Movement.objects.filter(kind="withdrawal").count() == 1


def test_no_more_is_reported_than_there_is():
    line = make_handed()
    calls = [
        partial(
            returning.report,
            line,
            used_ug=2 * G,
            happened_at=earlier(hours=2),
            **signed(),
        )
        for _ in range(CROWD)
    ]

    outcomes = at_once(*calls)

    done, refused = told_apart(outcomes, OperationError)
    assert (len(done), len(refused)) == (2, CROWD - 2)
    assert ledger.read(line.vessel_id).remaining_ug == line.mass_ug - 4 * G
