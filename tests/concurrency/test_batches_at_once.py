"""Two people at one batch, or at one family, at the same moment."""

from functools import partial

import pytest

from inventory.models import Batch, Closing
from inventory.operations import (
    batches,
    closing,
    corrections,
    families,
    filling,
    finishing,
)
from inventory.operations.errors import OperationError
from tests.concurrency.together import at_once, told_apart
from tests.domain import asked
from tests.domain.closed import account, make_filled, stated, weighed_as
from tests.factories import G, earlier, make_batch, make_tared, signed

pytestmark = [
    pytest.mark.postgres,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("postgres", "shipped"),
]

WRITERS = 8
TIMES = 5


def put_under(batch, *parents):
    facts = asked.batch_facts(kind="repurified", process="distillation")
    return partial(batches.change, batch, facts, parents=parents, **signed())


def test_of_many_who_close_a_batch_exactly_one_does():
    batch = make_filled(5 * G)
    said = weighed_as(6 * G)

    outcomes = at_once(
        *[partial(finishing.close, batch, said, **signed()) for _ in range(WRITERS)]
    )

    done, refused = told_apart(outcomes, OperationError)
    assert (len(done), len(refused)) == (1, WRITERS - 1)
    assert Closing.objects.count() == 1
    assert done[0].entry.movements.count() == 1


def test_of_many_who_reopen_a_batch_exactly_one_does():
    batch = make_filled(5 * G)
    finishing.close(batch, weighed_as(6 * G), **signed())
    again = [
        partial(finishing.reopen, batch, reason="x", **signed()) for _ in range(WRITERS)
    ]

    done, refused = told_apart(at_once(*again), OperationError)

    assert (len(done), len(refused)) == (1, WRITERS - 1)


def test_a_vessel_is_filled_before_the_batch_is_closed_or_not_at_all():
    for _ in range(TIMES):
        batch = make_filled(5 * G)
        fill = partial(
            filling.fill,
            make_tared(batch),
            asked.content(batch),
            happened_at=earlier(),
            **signed(),
        )
        close = partial(finishing.close, batch, stated(), **signed())

        told_apart(at_once(fill, close), OperationError)

        done = closing.standing(batch)
        assert done.collected_ug == account(batch).filled_ug


def test_a_filling_is_corrected_before_the_batch_is_closed_or_not_at_all():
    for _ in range(TIMES):
        batch = make_filled(5 * G, 6 * G)
        wrong = batch.movements_out.first()
        correct = partial(corrections.correct, wrong, reason="wrong", **signed())
        close = partial(finishing.close, batch, stated(), **signed())

        told_apart(at_once(correct, close), OperationError)

        done = closing.standing(batch)
        assert done.collected_ug == account(batch).filled_ug


def test_two_batches_never_become_each_others_parents():
    for _ in range(TIMES):
        one, other = make_batch(), make_batch()

        outcomes = at_once(put_under(one, other), put_under(other, one))

        done, refused = told_apart(outcomes, OperationError)
        assert (len(done), len(refused)) == (1, 1)
        assert one.parents.count() + other.parents.count() == 1


def test_a_loop_of_many_links_is_never_closed():
    made = [make_batch() for _ in range(WRITERS)]
    links = [put_under(batch, made[n - 1]) for n, batch in enumerate(made)]

    done, refused = told_apart(at_once(*links), OperationError)

    assert (len(done), len(refused)) == (WRITERS - 1, 1)
    for batch in Batch.objects.all():
        assert (
            families.way_back(batch, batch.parents.values_list("pk", flat=True)) is None
        )


def test_recording_batches_and_changing_families_do_not_wait_for_each_other():
    one, other = make_batch("Na"), make_batch("K")
    record, _, facts = asked.ask_record()
    calls = [partial(record, **facts, **signed()) for _ in range(WRITERS // 2)]
    calls += [
        partial(batches.change, batch, asked.batch_facts(), parents=[], **signed())
        for batch in (one, other)
    ]

    done, _ = told_apart(at_once(*calls), ())

    assert len(done) == len(calls)
