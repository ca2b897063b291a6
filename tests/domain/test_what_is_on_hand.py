"""What stands here of a metal: summed at once, and the same as vessel by vessel."""

import pytest

from inventory.operations import heels, ledger, on_hand
from tests.domain.cared import lend, make_inspection
from tests.domain.planned import some
from tests.factories import G, make_batch, make_booking, make_vessel, signed, take

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def batch():
    return make_batch("Rb")


def test_what_is_here_vessel_by_vessel_is_what_the_ledger_says_of_each(batch):
    taken, promised, lent, spent = (make_vessel(batch) for _ in range(4))
    make_vessel(make_batch("K"))
    some(taken, G)
    make_booking(promised, 2 * G)
    heels.note(promised, 4 * G, **signed())
    lend(lent, back_in=3, expected_ug=G)
    take(spent)

    found = {each.key: each for each in on_hand.of_each(batch.material)}

    assert found.keys() == {taken.pk, promised.pk}
    for key, each in found.items():
        read = ledger.read(key)
        assert (each.remaining_ug, each.promised_ug) == (
            read.remaining_ug, read.promised_ug,
        )  # fmt: skip
        assert each.u2_ug2 == read.u2_ug2
        assert each.is_opened == (read.opened_on is not None)
    # 3 g are free, of which all stays behind.
    assert (found[promised.pk].stays_ug, found[promised.pk].drawable_ug) == (3 * G, 0)


def test_of_a_hundred_vessels_no_more_is_asked_than_of_one(
    batch, django_assert_num_queries
):
    for _ in range(7):
        make_vessel(batch)

    with django_assert_num_queries(5):
        on_hand.of_each(batch.material)


def test_vessels_with_something_free_are_counted(batch):
    whole, part, leaking = (make_vessel(batch) for _ in range(3))
    make_booking(part, G)
    make_booking(whole)
    make_inspection(leaking, seal="leaks")

    assert on_hand.count_free(batch.material) == 2
