"""What is not transferred, and the sentence that says why."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import Movement
from inventory.operations import ledger
from inventory.operations.errors import Disagrees
from tests.domain.records import refused
from tests.domain.taken import weighed_out
from tests.domain.transferred import (
    arrival,
    into_one,
    make_source,
    make_target,
    transfer,
)
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_tared,
    observe,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def test_a_transfer_goes_somewhere():
    source = make_source()

    with refused("Choose at least one vessel to fill."):
        transfer(source, [])


def test_an_empty_vessel_has_nothing_to_transfer():
    source = make_source()
    target = make_target(source.batch)
    take(source)

    with refused(f"{source} holds no metal to transfer."):
        transfer(source, [arrival(source, target)])


def test_a_vessel_that_was_never_filled_has_nothing_to_transfer():
    source = make_tared(make_batch("NaK"))
    target = make_target(source.batch)

    with refused(f"{source} holds no metal to transfer."):
        transfer(source, [arrival(source, target)])


def test_a_vessel_is_not_filled_from_itself():
    source = make_source()

    with refused("A vessel cannot be filled from itself."):
        transfer(source, [arrival(source, source)])


def test_a_vessel_is_not_filled_twice_at_once():
    source = make_source()
    target = make_target(source.batch)

    with refused("A vessel is filled once: one is named twice here."):
        transfer(source, [arrival(source, target), arrival(source, target)])


def test_a_filled_vessel_is_refused_by_its_name_and_all_with_it():
    source = make_source()
    full, _ = into_one(source)
    target = make_target(source.batch)
    day = f"{full.filled_on:%-d %b %Y}"

    with refused(
        f"{full}: {full} was filled on {day}. Glass that is used again becomes a new "
        "vessel: tare it anew."
    ):
        transfer(source, [arrival(source, target), arrival(source, full)])


def test_a_vessel_of_another_batch_is_not_filled():
    source = make_source()
    target = make_target(make_batch("NaK"))

    with refused(f"{target}: {target} was tared for another batch.", "batch"):
        transfer(source, [arrival(source, target)])


def test_a_target_that_the_metal_would_burst_is_refused():
    # 8.002 g of the alloy are 9.2 mL.
    source = make_source()
    target = make_target(source.batch)

    with pytest.raises(Exception, match=rf"{target}: 18\d % full at 40 °C"):
        transfer(source, [arrival(source, target, 18 * G)])


def test_more_than_is_left_is_not_transferred():
    source = make_source(gain_ug=2 * G)
    targets = [make_target(source.batch) for _ in range(2)]

    with refused(
        f"Only 2.004 g is left in {source}; this would take 3.005 g. If the vessel is "
        "now empty, record that the whole contents were taken."
    ):
        transfer(source, [arrival(source, target, 11_500_000) for target in targets])


def test_promised_metal_is_not_transferred():
    source = make_source()
    target = make_target(source.batch)
    make_booking(source, 9 * G)

    with refused(
        f"10.018 g is left in {source}, of which 9.000 g is promised: 1.018 g may be "
        "taken here. Withdraw against the booking it is for, or have the booking "
        "released first."
    ):
        transfer(source, [arrival(source, target)])


def test_what_left_counts_against_promises_also_where_it_did_not_arrive():
    source = make_source()
    target = make_target(source.batch)
    make_booking(source, 7_500_000)

    with pytest.raises(ledger.NotEnough) as refusal:
        transfer(source, [arrival(source, target)], weighed_out(source, 2_600_000))

    assert refusal.value.wanted_ug == pytest.approx(2.6e6, abs=5)


def test_a_source_that_disagrees_before_is_a_check_weighing_first():
    source = make_source()
    target = make_target(source.batch)
    how = weighed_out(source, 2 * G, off_ug=-50_000)

    with pytest.raises(Disagrees, match="Record it as a check weighing first"):
        transfer(source, [arrival(source, target)], how)

    assert not Movement.objects.filter(kind="transfer").exists()


@pytest.mark.parametrize("taken_ug", [None, 2_003_500])
def test_a_loss_is_not_posted_where_no_more_left_than_arrived(taken_ug):
    source = make_source()
    target = make_target(source.batch)
    how = taken_ug and weighed_out(source, taken_ug)

    with refused(
        "As far as was weighed, no more left than arrived: no loss to post.", "is_loss"
    ):
        transfer(
            source, [arrival(source, target)], how, loss_reason="wetted the funnel"
        )


def test_more_arriving_than_left_is_refused_as_impossible():
    source = make_source()
    target = make_target(source.batch)

    with refused(
        "2.004 g arrived, but only 1.900 g left NAK26A-01. A reading or a vessel is "
        "wrong: look before anything is recorded.",
        "after",
    ):
        transfer(source, [arrival(source, target)], weighed_out(source, 1_900_000))


def test_a_transfer_in_the_future_is_refused():
    source = make_source()
    target = make_target(source.batch)

    with refused("This lies in the future.", "happened_at"):
        transfer(
            source,
            [arrival(source, target)],
            happened_at=timezone.now() + timedelta(hours=1),
        )


def test_a_gross_below_the_tare_is_refused_by_the_vessels_name():
    source = make_source()
    target = make_target(source.batch)

    with refused(
        f"{target}: The gross 9 g is lighter than the tare 10 g; check both readings.",
        "gross",
    ):
        transfer(source, [arrival(source, target, 9 * G)])


def test_a_gross_read_in_the_future_is_refused_by_the_vessels_name():
    source = make_source()
    target = make_target(source.batch)
    late = observe(12 * G, gas="argon", read_at=timezone.now() + timedelta(hours=1))

    with refused(f"{target}: This lies in the future.", "read_at"):
        transfer(source, [arrival(source, target, gross=late)])
