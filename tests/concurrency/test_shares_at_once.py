"""Nobody goes beyond a share because others ask or book at the same moment."""

from datetime import timedelta
from functools import partial

import pytest
from django.utils import timezone

from inventory.calc.units import parse_need
from inventory.models import Booking, MetalRequest
from inventory.operations import asking, bookings, shares
from inventory.operations.errors import OperationError
from tests.concurrency.together import at_once, told_apart
from tests.factories import (
    G,
    make_batch,
    make_partner,
    make_project,
    make_share,
    make_vessel,
    signed,
)

pytestmark = [
    pytest.mark.postgres,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("postgres", "shipped"),
]

WRITERS = 8


@pytest.fixture
def share(shipped):
    """Return a share of 10 g of rubidium."""
    partner = make_partner("Thin films")
    return make_share(make_project(partner=partner), partner, mass_ug=10 * G)


def test_of_many_who_book_of_a_share_only_as_many_get_it_as_it_allows(share):
    batch = make_batch("Rb")
    wishes = [[(make_vessel(batch, holding_ug=4 * G), None)] for _ in range(WRITERS)]
    facts = {"purpose": "a run", "needed_by": timezone.localdate()}
    facts["partner"] = share.partner

    outcomes = at_once(
        *[
            partial(bookings.book, share.project, wishes=each, **facts, **signed())
            for each in wishes
        ]
    )

    done, refused = told_apart(outcomes, OperationError)
    assert (len(done), len(refused)) == (2, WRITERS - 2)
    assert {refusal.field for refusal in refused} == {"beyond_share"}
    assert Booking.objects.count() == 2
    assert [s.promised_ug for s in shares.standing(share.project)] == [8 * G]


def test_of_many_who_ask_for_a_share_only_as_many_may_as_it_allows(share):
    facts = {
        "partner": share.partner,
        "material": share.material,
        "asked": "4 g",
        "need": parse_need("4 g"),
        "needed_by": timezone.localdate() + timedelta(days=7),
        "purpose": "a run",
    }

    outcomes = at_once(
        *[
            partial(asking.ask, share.project, **facts, **signed())
            for _ in range(WRITERS)
        ]
    )

    done, refused = told_apart(outcomes, OperationError)
    assert (len(done), len(refused)) == (2, WRITERS - 2)
    assert MetalRequest.objects.count() == 2
