"""What a row of the bench is refused for; then it records nothing at all."""

from datetime import timedelta
from uuid import uuid4

import pytest

from inventory.models import Movement, Vessel, Weighing
from inventory.operations import bench, ledger, vessels
from tests.domain.benched import TARE, fill_row, gross, laid_out, new
from tests.domain.records import refused
from tests.factories import (
    ML,
    ROOM,
    G,
    earlier,
    fill,
    make_balance,
    make_batch,
    make_place,
    make_tared,
    make_vessel,
    make_weighed_vessel,
    observe,
    signed,
    somebody,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture(autouse=True)
def balance(shipped):
    """Have a balance beforehand, so that a refusal can leave everything as it was."""
    return make_balance(name="Balance 1")


def test_a_refused_gross_records_no_tare_either():
    batch = make_batch()
    (vessel,) = laid_out(batch)

    with refused(
        "The gross 19 g is lighter than the tare 20 g; check both readings.", "gross"
    ):
        fill_row(
            batch,
            vessel=vessel,
            tare=observe(20 * G, **TARE),
            put_in=gross(batch, 19 * G),
        )


def test_a_refused_gross_makes_no_vessel():
    batch = make_batch()

    with refused(
        "The gross 19 g is lighter than the tare 20 g; check both readings.", "gross"
    ):
        fill_row(
            batch, **new(), tare=observe(20 * G, **TARE), put_in=gross(batch, 19 * G)
        )


@pytest.mark.parametrize("row", [{}, new()])
def test_a_gross_without_a_tare_says_nothing(row):
    batch = make_batch()
    row = row or {"vessel": laid_out(batch)[0]}

    with refused("Without a tare its weight says nothing about the metal.", "tare"):
        fill_row(batch, **row, put_in=gross(batch))


def test_a_row_without_a_reading_records_nothing():
    vessel = make_tared(make_batch())

    with refused("Nothing was read in this row.", "gross"):
        fill_row(vessel.batch, vessel=vessel)


def test_a_vessel_that_somebody_filled_meanwhile_is_refused():
    vessel = make_tared(make_batch())
    fill(vessel, stated_ug=G)
    day = f"{Vessel.objects.get(pk=vessel.pk).filled_on:%-d %b %Y}"

    with refused(
        f"{vessel} was filled meanwhile, on {day}. Look at its page before you go on: "
        "is this the right vessel?"
    ):
        fill_row(vessel.batch, vessel=vessel, put_in=gross(vessel.batch))


def test_a_vessel_that_somebody_retired_meanwhile_is_refused():
    vessel = make_tared(make_batch())
    vessels.retire(vessel, reason="cracked", **signed())

    with refused(f"{vessel} was retired meanwhile."):
        fill_row(vessel.batch, vessel=vessel, put_in=gross(vessel.batch))


def test_a_vessel_of_another_batch_is_refused():
    vessel, batch = make_tared(make_batch()), make_batch()

    with refused(f"{vessel} is not a vessel of batch {batch}."):
        fill_row(batch, vessel=vessel, put_in=gross(batch))


def test_a_vessel_that_somebody_tared_meanwhile_keeps_that_tare():
    vessel = make_tared(make_batch(), tare_ug=20 * G)

    with refused(
        f"{vessel} is tared already, with 20 g; 20.5 g is not recorded. Its own page "
        "takes a new tare.",
        "tare",
    ):
        fill_row(vessel.batch, vessel=vessel, tare=observe(20_500_000, **TARE))


def test_a_glass_mark_in_use_is_refused_at_its_field():
    holder = make_tared(make_batch(), glass_mark="A 7")

    with refused(
        f"The glass mark A 7 is taken by {holder}, which is not retired.",
        "n0-glass_mark",
    ):
        fill_row(
            holder.batch,
            **new(glass_mark="A 7", field="n0"),
            tare=observe(20 * G, **TARE),
        )


def test_a_gross_long_before_its_tare_is_refused():
    batch, at = make_batch(), earlier()
    vessel = make_tared(batch, read_at=at)
    before = at - timedelta(minutes=6)

    with refused(
        f"The tare was read on {at:%-d %b %Y at %H:%M} UTC, after this.", "read_at"
    ):
        fill_row(batch, vessel=vessel, put_in=gross(batch, read_at=before))


def test_too_much_metal_is_refused_at_the_gross():
    batch = make_batch("Rb")
    vessel = make_tared(batch, capacity_ul=3 * ML, **ROOM)

    with pytest.raises(bench.OperationError, match="the glass may burst") as refusal:
        fill_row(batch, vessel=vessel, put_in=gross(batch))

    assert refusal.value.field == "gross"
    assert not Movement.objects.exists()


def test_more_than_the_receiver_holds_is_refused_with_its_tare():
    batch = make_batch("Rb")
    receiver = make_vessel(batch, holding_ug=G, filled_at=earlier(hours=2))
    weighed = Weighing.objects.count()

    with pytest.raises(ledger.NotEnough, match=r"Only 1\.000 g is left"):
        fill_row(
            batch,
            source=receiver,
            **new(),
            tare=observe(20 * G, **TARE),
            put_in=gross(batch, 22 * G),
        )

    assert Weighing.objects.count() == weighed


def test_a_row_before_the_receiver_was_filled_is_refused():
    batch = make_batch("Rb")
    receiver = make_weighed_vessel(batch, filled_at=earlier(hours=2))
    vessel = make_tared(batch, read_at=earlier(hours=4), **ROOM)
    day = f"{receiver.filled_on:%-d %b %Y}"

    with refused(f"This is before {receiver} was filled, on {day}.", "read_at"):
        fill_row(
            batch,
            source=receiver,
            vessel=vessel,
            put_in=gross(batch, 22 * G, read_at=earlier(hours=3)),
        )


def test_a_request_of_another_form_is_not_told_as_a_row():
    batch, request_id = make_batch(), uuid4()
    vessel = make_vessel(batch)
    vessels.move(vessel, make_place(), by=somebody(), request_id=request_id)

    with refused("This row was sent as another form: load the page anew."):
        fill_row(batch, request_id=request_id, **new(), tare=observe(20 * G, **TARE))
