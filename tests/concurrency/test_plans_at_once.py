"""Plans reserved at the same moment: nothing is promised twice, nobody waits for ever."""

from functools import partial

import pytest
from django.utils import timezone

from inventory.models import Booking, BookingLine
from inventory.operations import asking, bookings, reserving
from inventory.operations.errors import OperationError
from inventory.operations.reserving import StockChanged
from tests.concurrency.together import at_once, told_apart
from tests.domain.planned import chosen, promised
from tests.factories import (
    G,
    make_batch,
    make_project,
    make_request,
    make_vessel,
    signed,
    somebody,
)

pytestmark = [
    pytest.mark.postgres,
    pytest.mark.django_db(transaction=True),
    pytest.mark.usefixtures("postgres", "shipped"),
]

WRITERS = 8


def reservation(plan, **facts):
    takes, seen = plan
    return partial(reserving.reserve, takes, seen=seen, **{**signed(), **facts})


def test_of_many_who_reserve_the_same_plan_exactly_one_does():
    batch = make_batch()
    for _ in range(3):
        make_vessel(batch)
    plan = chosen(make_request(need="4 g"), make_request(need="7 g"))

    outcomes = at_once(*[reservation(plan) for _ in range(WRITERS)])

    done, refused = told_apart(outcomes, StockChanged)
    assert (len(done), len(refused)) == (1, WRITERS - 1)
    assert Booking.objects.count() == 2


def test_a_form_sent_many_times_at_once_is_reserved_once_and_answers_the_same():
    make_vessel()
    plan, once = chosen(make_request()), signed()

    outcomes = at_once(*[reservation(plan, **once) for _ in range(WRITERS)])

    done, refused = told_apart(outcomes, StockChanged)
    assert len(done) == WRITERS
    assert not refused
    assert Booking.objects.count() == 1


def test_plans_that_need_the_same_vessels_do_not_both_get_them():
    batch = make_batch()
    for _ in range(2):
        make_vessel(batch)
    requests = [make_request(need="9 g") for _ in range(WRITERS)]
    plans = [chosen(request) for request in requests]

    outcomes = at_once(*[reservation(plan) for plan in plans])

    done, refused = told_apart(outcomes, StockChanged)
    assert (len(done), len(refused)) == (1, WRITERS - 1)
    assert sum(line.mass_ug for line in BookingLine.objects.all()) == 9 * G


def test_a_vessel_is_either_reserved_in_a_plan_or_booked_by_hand():
    vessel, project = make_vessel(), make_project()
    plan = chosen(make_request(need="5 g"))
    facts = {"purpose": "a run", "needed_by": timezone.localdate()}
    by_hand = [
        partial(bookings.book, project, wishes=[(vessel, 5 * G)], **facts, **signed())
        for _ in range(WRITERS // 2)
    ]

    outcomes = at_once(*by_hand, *[reservation(plan) for _ in range(WRITERS // 2)])

    done, _ = told_apart(outcomes, OperationError)
    assert len(done) == 1
    assert Booking.objects.count() == 1


def test_a_request_is_either_reserved_or_declined():
    somebody()
    make_vessel()
    request = make_request()
    plan = chosen(request)
    decline = partial(asking.decline, request, reason="too late", **signed())

    outcomes = at_once(reservation(plan), decline)

    done, refused = told_apart(outcomes, OperationError)
    assert (len(done), len(refused)) == (1, 1)
    request.refresh_from_db()
    assert request.is_pending == bool(promised())
