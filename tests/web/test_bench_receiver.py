"""The bench where the metal comes from a receiver of the batch."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import Movement, Vessel
from inventory.operations import finishing
from tests.domain.closed import weighed_as
from tests.factories import (
    G,
    earlier,
    make_balance,
    make_batch,
    make_tared,
    make_weighed_vessel,
    signed,
)
from tests.web.benched import GROSS, bench_of, press_save, row_of, wrong
from tests.web.pages import Page
from tests.web.person import opened


@pytest.fixture
def batch(shipped):
    make_balance(name="Balance 1", capacity_ug=220 * G)
    return make_batch("Rb")


@pytest.fixture
def tared(batch):
    """Return a vessel of 20 mL, tared at 20 g under argon."""
    return make_tared(batch)


def test_rows_from_a_receiver_are_transfers_and_the_sum_is_its(as_keeper, batch):
    receiver = make_weighed_vessel(batch, filled_at=earlier(hours=2))
    tared = make_tared(batch)
    before = opened(as_keeper, bench_of(batch, f"?source={receiver}"))

    answer = press_save(
        as_keeper,
        batch,
        f"?source={receiver}",
        **row_of(tared, **{**GROSS, "gross": "22"}),
    )
    page = opened(as_keeper, answer["Location"].partition("#")[0])

    assert before.facts[f"Filled from {receiver}"] == "0 g in 0 vessels"
    assert before.facts["It held before"] == "5.005 g"
    assert page.facts[f"Filled from {receiver}"].startswith("2.00187 g")
    assert page.facts[f"Filled from {receiver}"].endswith("in 1 vessel")
    assert Movement.objects.get(kind="transfer").from_vessel == receiver
    assert f"/vessels/{receiver.pk}/check/" in page.links


def test_a_vessel_without_metal_is_no_source(as_keeper, batch, tared):
    empty = make_tared(batch)

    answer = press_save(as_keeper, batch, **row_of(tared, **GROSS), source=str(empty))

    assert wrong(answer) == {"source": "It holds no metal of this batch."}


def test_from_a_closed_batch_a_receiver_can_still_be_emptied_but_not_the_run(
    as_keeper, batch
):
    receiver = make_weighed_vessel(batch, filled_at=earlier(hours=2))
    tared = make_tared(batch)
    finishing.close(batch, weighed_as(5 * G, 10_000), **signed())
    row = row_of(tared, **{**GROSS, "gross": "22"})

    from_run = press_save(as_keeper, batch, **row)
    from_receiver = press_save(as_keeper, batch, **row, source=str(receiver))

    assert from_run.status_code == 422
    assert f"Batch {batch} is closed" in Page(from_run).main.text
    assert from_receiver.status_code == 302


def test_an_old_opened_receiver_of_rubidium_is_looked_at_before_anything_is_poured(
    as_keeper, batch
):
    receiver = make_weighed_vessel(batch, filled_at=earlier(days=120))
    opened_on = timezone.localdate() - timedelta(days=100)
    Vessel.objects.filter(pk=receiver.pk).update(opened_on=opened_on)
    row = row_of(make_tared(batch), **{**GROSS, "gross": "22"})
    page = opened(as_keeper, bench_of(batch, f"?source={receiver}"))

    not_looked = press_save(as_keeper, batch, source=str(receiver), **row)
    looked = press_save(as_keeper, batch, source=str(receiver), looked="on", **row)

    assert "Stop and look" in page.main.text
    assert wrong(not_looked) == {
        "looked": "Look first. With a crust, leave it alone and ask your safety office."
    }
    assert looked.status_code == 302
    assert "looked" not in looked["Location"]
