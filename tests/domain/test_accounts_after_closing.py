"""The account of a closed batch stands: neither corrections nor reopening shift it."""

import pytest

from inventory.models import Movement
from inventory.operations import corrections, finishing, ledger, taking
from tests.domain.closed import (
    MG,
    account,
    close,
    make_decanted,
    make_weighed,
    reopen,
    stated,
    weighed_as,
)
from tests.domain.taken import weighed_out
from tests.domain.transferred import arrival, into_one, make_target, transfer
from tests.factories import G, earlier, make_check, signed, take

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

NUMBERS = (
    "collected_ug",
    "filled_ug",
    "lost_ug",
    "unaccounted_ug",
    "u_unaccounted_ug",
)


def numbers(batch):
    found = account(batch)
    return [getattr(found, name) for name in NUMBERS]


def correct(movement):
    return corrections.correct(movement, reason="it was another", **signed())


def make_lossy():
    """Return a receiver with a loss in its transfer, weighed after it."""
    return make_decanted(
        12 * G,
        how=lambda s, _: weighed_out(s, 2_100 * MG),
        loss_reason="wetted the funnel",
    )


def test_a_loss_in_a_closed_account_is_not_corrected():
    source = make_lossy()
    close(source.batch, stated("receiver"))
    before = numbers(source.batch)

    with pytest.raises(finishing.OperationError, match="was closed with this"):
        correct(Movement.objects.get(kind="loss"))

    assert numbers(source.batch) == before


def test_what_was_taken_from_a_receiver_before_closing_is_not_corrected():
    source = make_lossy()
    taken = take(
        source, weighed_out(ledger.read(source.pk), G), happened_at=earlier(seconds=5)
    )
    close(source.batch, stated("receiver"))
    before = numbers(source.batch)

    with pytest.raises(finishing.OperationError, match="was closed with this"):
        correct(taken)

    assert numbers(source.batch) == before


def test_what_was_taken_from_an_ampoule_before_closing_is_corrected():
    batch = make_weighed(5 * G)
    taken = take(batch.vessels.get(), taking.Whole())
    close(batch, weighed_as(5 * G, 10 * MG))
    before = numbers(batch)

    correct(taken)

    assert numbers(batch) == pytest.approx(before)
    assert account(batch).used_ug == 0


def test_what_was_taken_from_a_receiver_after_closing_is_corrected():
    source = make_lossy()
    close(source.batch, stated("receiver"))
    before = numbers(source.batch)
    taken = take(
        source, weighed_out(ledger.read(source.pk), G), happened_at=earlier(seconds=5)
    )

    correct(taken)

    assert numbers(source.batch) == pytest.approx(before)


def test_a_transfer_after_closing_does_not_make_a_receiver_of_an_ampoule():
    batch = make_weighed(10 * G)
    source = batch.vessels.get()
    taken = take(source, weighed_out(source, G), happened_at=earlier(minutes=9))
    close(batch, weighed_as(10 * G, 10 * MG))
    _, moved = into_one(ledger.read(source.pk))

    correct(moved)
    correct(taken)

    assert account(batch).used_ug == 0


def live_on(batch):
    """Transfer 2 g between two ampoules with 97 mg missing, and use one up."""
    source = batch.vessels.order_by("number").first()
    target = make_target(batch)
    transfer(source, [arrival(source, target)], weighed_out(source, 2_100 * MG))
    make_check(source, -200 * MG, cause="metal", reason="a piece went astray")
    take(target, taking.Whole(), happened_at=earlier(seconds=5))


def test_reopening_does_not_turn_later_life_into_the_making():
    batch = make_weighed(6 * G, 7 * G)
    before = numbers(batch)
    close(batch, weighed_as(13 * G, 40 * MG))
    live_on(batch)

    reopen(batch)

    found = account(batch)
    assert numbers(batch) == pytest.approx(before)
    assert (found.balance, found.unchecked) == (None, [])
    assert found.collected_words == "as filled"
    assert found.held_ug + found.used_ug + found.missing_since_ug == found.filled_ug
    assert found.missing_since_ug > 0


def test_a_batch_closed_anew_has_the_same_account_whatever_its_vessels_lived():
    batch = make_weighed(6 * G, 7 * G)
    close(batch, weighed_as(13 * G, 40 * MG))
    before = numbers(batch)
    live_on(batch)
    reopen(batch)

    close(batch, weighed_as(13 * G, 40 * MG))

    assert numbers(batch) == pytest.approx(before)
    correct(Movement.objects.get(kind="withdrawal"))


def test_what_is_moved_after_reopening_belongs_to_the_making_again():
    batch = make_weighed(10 * G)
    close(batch, weighed_as(10 * G, 10 * MG))
    into_one(batch.vessels.get())
    between = batch.vessels.order_by("number").last()
    reopen(batch)
    target = make_target(batch)
    transfer(between, [arrival(between, target, 11 * G)])

    found = account(batch)

    assert found.unchecked == [str(between)]
    assert found.filled_ug == pytest.approx(found.collected_ug, abs=2)
