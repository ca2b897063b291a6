"""What the forms assume of how a vessel is closed: what is usual for its own kind."""

import pytest

from inventory.models import USUAL_CLOSURE, VesselKind
from inventory.web.bench_rows import first_rows
from inventory.web.forms.filling import FillForm
from tests.factories import make_batch, make_tared, make_vessel

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.mark.parametrize("kind", VesselKind)
def test_a_vessel_is_taken_to_be_closed_as_is_usual_for_its_kind(kind):
    vessel = make_tared(make_batch())
    vessel.kind = kind

    assert FillForm(vessel=vessel)["closure"].value() == USUAL_CLOSURE[kind]


def test_a_bench_row_takes_nothing_from_a_receiver_of_another_kind():
    batch = make_batch()
    receiver = make_vessel(batch)
    others = {kind for kind in VesselKind if kind != receiver.kind}

    rows = first_rows(batch)

    assert rows[receiver.kind]["medium"] == receiver.medium.key
    assert {kind: rows[kind] for kind in others} == {
        kind: {"closure": USUAL_CLOSURE[kind]} for kind in others
    }
