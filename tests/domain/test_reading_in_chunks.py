"""The replay reads chunk by chunk, in flat memory and few queries."""

import pytest

from inventory.operations import auditing
from tests.domain.damage import damaged, replay
from tests.factories import make_vessel

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def test_a_chunk_costs_the_same_queries_whatever_it_holds(django_assert_num_queries):
    make_vessel()
    # The vessels with what the ledger says, events, estimates; and no vessel more.
    with django_assert_num_queries(4):
        assert [done for done, _ in auditing.audit()] == [1]

    for _ in range(9):
        make_vessel()
    with django_assert_num_queries(4):
        assert [done for done, _ in auditing.audit()] == [10]


def test_vessels_are_read_in_chunks_each_once(monkeypatch, django_assert_num_queries):
    monkeypatch.setattr(auditing, "CHUNK", 3)
    for _ in range(7):
        make_vessel()

    with django_assert_num_queries(3 * 3 + 1):
        read = [done for done, _ in auditing.audit()]

    assert read == [3, 6, 7]


def test_what_is_found_in_one_chunk_does_not_stop_the_next(monkeypatch):
    monkeypatch.setattr(auditing, "CHUNK", 2)
    vessels = [make_vessel() for _ in range(5)]

    with damaged() as cursor:
        cursor.execute(
            "UPDATE inventory_estimate SET metal_ug = metal_ug + 1 "
            "WHERE vessel_id IN (%s, %s)",
            [vessels[0].pk, vessels[4].pk],
        )
        said, error = replay()

    assert f"{vessels[0]}: " in said
    assert f"{vessels[4]}: " in said
    assert error == "Vessels read again: 5. Findings: 2."
