"""A closed batch: what it refuses until it is reopened, and what goes on as before."""

import pytest

from inventory.models import Closing
from inventory.operations import (
    batches,
    closing,
    corrections,
    filling,
    finishing,
    ledger,
    runs,
)
from inventory.operations.run_rows import Seen
from tests.domain.closed import (
    MG,
    close,
    given,
    make_decanted,
    make_filled,
    posted,
    read_run,
    reopen,
    stated,
    weighed_as,
)
from tests.domain.filled import receive
from tests.domain.records import refused
from tests.domain.taken import weighed_out
from tests.domain.transferred import into_one
from tests.factories import (
    ML,
    G,
    earlier,
    make_tared,
    make_vessel,
    medium,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

CLOSED = (
    "Batch {} is closed: its account is drawn up. Have it reopened first, with a "
    "reason."
)


def add_charge(batch, who):
    facts = {"role": "source", "mass_ug": G, "u_ug": 0, "purity": 1.0}
    batches.charge(batch, formula="RbCl", **facts, **who)


def add_filling(batch, who):
    argon = medium("argon")
    content = filling.Filling(batch, argon, argon, "stopcock", stated_ug=G)
    vessel = batch.vessels.get(filled_on=None)
    filling.fill(vessel, content, happened_at=earlier(), **who)


@pytest.mark.parametrize(("add", "field"), [(add_charge, None), (add_filling, "batch")])
def test_nothing_is_added_to_a_closed_batch(add, field):
    batch = make_filled(5 * G)
    make_tared(batch)
    close(batch)
    who = signed()

    with refused(CLOSED.format(batch), field):
        add(batch, who)


def test_no_sealed_vessels_are_received_for_a_closed_batch():
    batch = make_filled(5 * G, kind="bought")
    close(batch)
    before = batch.vessels.count()

    with pytest.raises(finishing.OperationError, match="is closed"):
        receive(batch)

    assert batch.vessels.count() == before


def test_a_charge_of_a_closed_batch_is_not_struck_out():
    batch = make_filled(5 * G)
    add_charge(batch, signed())
    close(batch)
    who = signed()

    with refused(CLOSED.format(batch)):
        batches.withdraw_charge(batch.charges.get(), reason="wrong", **who)


def test_the_run_of_a_closed_batch_is_not_read():
    batch = make_filled(5 * G)
    read_run(batch, 8 * ML, 50.0, receiver_ul=50 * ML)
    close(batch)
    who = signed()

    with refused(CLOSED.format(batch)):
        runs.read(batch, Seen(earlier(), temperature_c=600.0), **who)


def test_a_closed_batch_is_not_closed_again():
    batch = make_filled(5 * G)
    close(batch)
    who = signed()

    with refused(CLOSED.format(batch)):
        finishing.close(batch, stated(), **who)


def test_the_vessels_of_a_closed_batch_go_on_as_before():
    source = make_decanted(12 * G)
    close(source.batch, stated("receiver"))

    _, movement = into_one(source)
    corrections.correct(movement, reason="the wrong one", **signed())
    take(source, weighed_out(source, G), happened_at=earlier(seconds=5))

    assert ledger.read(source.pk).remaining_ug > 0


def test_a_filling_in_the_account_of_a_closed_batch_is_not_corrected():
    batch = make_filled(5 * G)
    close(batch)
    who = signed()

    with refused(
        f"Batch {batch} was closed with this in its account. Have it reopened first, "
        "with a reason."
    ):
        corrections.correct(batch.movements_out.first(), reason="x", **who)


def test_a_transfer_in_the_account_of_a_closed_batch_is_not_corrected():
    source = make_decanted(12 * G)
    close(source.batch, stated("receiver"))
    moved = source.movements_out.filter(kind="transfer").get()

    with pytest.raises(finishing.OperationError, match="was closed with this"):
        corrections.correct(moved, reason="x", **signed())


def test_what_a_closing_posted_is_taken_back_by_reopening_alone():
    batch = make_filled(5 * G)
    (moved,) = close(batch, weighed_as(6 * G)).entry.movements.all()

    with pytest.raises(finishing.OperationError, match="was closed with this"):
        corrections.correct(moved, reason="x", **signed())


def test_reopening_takes_back_what_was_posted_and_keeps_the_closing():
    batch = make_filled(5 * G)
    done = close(batch, weighed_as(6 * G, lost_ug=400 * MG, lost_where="the still"))

    again = reopen(batch, "the receiver was misread")

    assert closing.standing(batch) is None
    assert (again.reopens, again.reason) == (done, "the receiver was misread")
    assert given(batch) == 5 * G
    back = again.entry.movements.all()
    assert {row.corrects for row in back} == set(done.entry.movements.all())
    assert Closing.objects.count() == 2


def test_a_reopened_batch_takes_fillings_and_is_closed_anew():
    batch = make_filled(5 * G)
    close(batch, weighed_as(6 * G))
    reopen(batch)
    make_vessel(batch, holding_ug=G)

    done = close(batch, weighed_as(6 * G))

    assert posted(done) == []
    assert closing.standing(batch) == done
    assert given(batch) == 6 * G


def test_an_open_batch_is_not_reopened():
    batch, who = make_filled(5 * G), signed()

    with refused(f"Batch {batch} is open."):
        finishing.reopen(batch, reason="x", **who)


def test_what_is_closed_changes_nothing_of_what_its_vessels_hold():
    batch = make_filled(5 * G, 7 * G)
    rows = type(batch).objects.filter(pk=batch.pk).with_filled().with_held()
    before = rows.values("filled_ug", "u2_filled", "held_ug", "vessel_count").get()

    close(batch, weighed_as(13 * G, lost_ug=100 * MG, lost_where="the still"))

    assert rows.values(*before).get() == before
