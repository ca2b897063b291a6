"""A transfer that was wrong is undone on all of its sides."""

import pytest

from inventory.models import Movement
from inventory.operations import corrections, ledger
from tests.domain.by_hand import NAK, metal
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
    earlier,
    newest_state,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def correct(movement):
    return corrections.correct(movement, reason="the wrong ampoule", **signed())


def test_a_corrected_transfer_is_undone_on_both_sides():
    source = make_source()
    before = newest_state(source)
    target, movement = into_one(source)

    correction = correct(movement)

    assert (correction.from_vessel, correction.to_vessel) == (target, source)
    assert ledger.read(source.pk).remaining_ug == source.remaining_ug
    assert newest_state(source) == before
    target.refresh_from_db()
    assert (target.filled_on, ledger.read(target.pk).remaining_ug) == (None, 0)


def test_a_transfer_into_many_is_undone_as_the_one_thing_it_was():
    source = make_source()
    before = newest_state(source)
    targets = [make_target(source.batch) for _ in range(3)]
    movements = transfer(source, [arrival(source, target) for target in targets])

    correction = correct(movements[1])

    assert correction.corrects == movements[1]
    assert newest_state(source) == before
    assert ledger.read(source.pk).remaining_ug == source.remaining_ug
    assert [ledger.read(t.pk).remaining_ug for t in targets] == [0, 0, 0]
    assert not Movement.objects.filter(kind="difference").exists()


def test_the_loss_on_the_way_is_undone_with_its_transfer():
    source = make_source()
    _, movement = into_one(
        source, how=weighed_out(source, 2_100_000), loss_reason="wetted the funnel"
    )

    correct(movement)

    assert not Movement.objects.standing().filter(kind="loss").exists()
    assert ledger.read(source.pk).remaining_ug == source.remaining_ug
    assert not Movement.objects.filter(kind="difference").exists()


def test_a_loss_that_was_none_stays_unaccounted_for():
    source = make_source()
    _, movement = into_one(
        source, how=weighed_out(source, 2_100_000), loss_reason="wetted the funnel"
    )
    left = ledger.read(source.pk).remaining_ug

    correct(movement.entry.movements.get(kind="loss"))

    assert ledger.read(source.pk).remaining_ug == left
    found = Movement.objects.get(kind="difference")
    assert found.mass_ug == pytest.approx(2.1e6 - metal(2e6, NAK), abs=200)
    assert found.to_end == "unaccounted"


def test_the_gas_before_a_corrected_transfer_is_inside_again():
    source = make_source()
    how = weighed_out(source, 2_010_000, gas="vacuum")
    _, movement = into_one(source, how=how)

    correct(movement)

    source.refresh_from_db()
    assert source.gas.key == "argon"


def test_a_transfer_is_not_undone_while_one_of_its_vessels_gave_metal_away():
    source = make_source()
    targets = [make_target(source.batch) for _ in range(2)]
    movements = transfer(source, [arrival(source, target) for target in targets])
    take(targets[1], happened_at=earlier(seconds=1))

    with refused(
        f"Metal was taken out of {targets[1]} since. Correct those movements first, "
        "the newest first."
    ):
        correct(movements[0])


def test_a_transfer_is_undone_once():
    source = make_source()
    targets = [make_target(source.batch) for _ in range(2)]
    movements = transfer(source, [arrival(source, target) for target in targets])
    correct(movements[0])

    for movement in movements:
        with refused("This movement is corrected already."):
            correct(movement)


def test_a_target_whose_transfer_was_undone_is_filled_anew():
    source = make_source()
    target, movement = into_one(source)
    correct(movement)

    transfer(source, [arrival(source, target, 13 * G)])

    assert ledger.read(target.pk).remaining_ug == pytest.approx(
        metal(3e6, NAK), rel=1e-4
    )
