"""A run is set up once: when it began, what it runs into, which rate is worth it."""

import pytest

from inventory.models import RunLog
from inventory.operations import vessels
from tests.factories import G, fill, make_batch, make_tared, signed
from tests.web.person import opened, recorded, refused, sent_twice

pytestmark = pytest.mark.usefixtures("shipped")


def test_a_run_is_set_up_and_its_numbers_come_back_as_typed(as_keeper):
    batch = make_batch()
    at = f"/batches/{batch}/run/set-up/"
    recorded(
        as_keeper,
        at,
        receiver_volume="50 mL",
        u_receiver="0.25 mL",
        worth="0.8 g/h",
    )

    typed = opened(as_keeper, at).typed()

    assert typed["receiver_volume"] == ["50 mL"]
    assert typed["u_receiver"] == ["0.25 mL"]
    assert typed["worth"] == ["800 mg/h"]
    assert typed["ended_at"] == [""]


def test_an_uncertainty_nobody_gave_is_one_per_cent(as_keeper):
    batch = make_batch()

    recorded(as_keeper, f"/batches/{batch}/run/set-up/", receiver_volume="50 mL")

    assert RunLog.objects.get().u_receiver_ul == 500


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("receiver_volume", "50 g", "50 g is a mass; a volume is needed"),
        ("receiver_volume", "0 mL", "This has to be more than zero."),
        ("u_receiver", "-1 mL", "A volume cannot be negative."),
        ("worth", "0.5 g", "0.5 g is a mass; a rate is needed, as in 0.5 g/h"),
        ("worth", "0 g/h", "This has to be more than zero."),
        ("worth", "0,5 g/h", "Write a point for the decimals: 0.5 g/h"),
        ("started_at", "2999-01-01T00:00", "This lies in the future."),
        ("ended_at", "2020-01-01T00:00", "The run cannot end before it starts."),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(as_keeper, field, typed, sentence):
    at = f"/batches/{make_batch()}/run/set-up/"

    assert sentence in refused(as_keeper, at, field, **{field: typed})


def test_a_set_up_sent_twice_is_recorded_once(as_keeper):
    at = f"/batches/{make_batch()}/run/set-up/"

    page = sent_twice(as_keeper, at, receiver_volume="50 mL")

    assert "had been sent already" in page.messages


def test_the_vessels_of_the_batch_that_are_empty_are_offered(as_keeper):
    batch = make_batch()
    empty, filled, retired = (make_tared(batch) for _ in range(3))
    fill(filled, stated_ug=G, u_stated_ug=1)
    vessels.retire(retired, reason="cracked", **signed())
    make_tared(make_batch())

    page = opened(as_keeper, f"/batches/{batch}/run/set-up/")

    options = page.by_id("id_receiver").all("option")
    assert [option["value"] for option in options] == ["", empty.code]
