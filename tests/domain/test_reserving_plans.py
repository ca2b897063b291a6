"""Reserving a plan: all its requests are booked at once, or nothing is."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.utils import timezone

from inventory.models import (
    Booking,
    LogEntry,
    MetalRequest,
    Project,
    RequestState,
    StepKind,
)
from inventory.operations import asking, reserving
from inventory.operations.errors import OperationError
from inventory.operations.reserving import StockChanged
from tests.domain.planned import asked, chosen, promised, reserve
from tests.factories import (
    G,
    make_batch,
    make_partner,
    make_project,
    make_request,
    make_share,
    make_vessel,
    signed,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

TODAY = timezone.localdate()


@pytest.fixture
def batch(shipped):
    return make_batch(purity=0.998)


def test_a_reserved_plan_is_a_booking_that_answers_the_request(batch):
    partner = make_partner()
    project = make_project(partner=partner.name)
    make_share(project, partner)
    request = make_request(project, partner=partner, purpose="getter films")
    vessel = make_vessel(batch)

    (booking,) = reserve(*chosen(request), expires_on=TODAY + timedelta(days=30))

    assert (booking.request, booking.project, booking.partner) == (
        request, project, partner,
    )  # fmt: skip
    assert (booking.purpose, booking.needed_by) == ("getter films", request.needed_by)
    assert booking.expires_on == TODAY + timedelta(days=30)
    assert promised() == {request.pk: {vessel.pk: 3 * G}}


def test_a_booking_holds_two_weeks_longer_than_its_day_if_nothing_is_said(batch):
    make_vessel(batch)
    request = make_request()

    (booking,) = reserve(*chosen(request))

    assert booking.expires_on == request.needed_by + timedelta(days=14)


def test_a_request_that_was_only_asked_is_granted_by_the_booking_s_own_entry(batch):
    make_vessel(batch)
    request = make_request()

    (booking,) = reserve(*chosen(request))

    request.refresh_from_db()
    step = request.steps.last()
    assert request.state == RequestState.GRANTED
    assert (step.kind, step.entry) == (StepKind.GRANTED, booking.entry)


def test_a_request_granted_before_is_not_granted_again(batch):
    make_vessel(batch)
    request = asking.grant(make_request(), **signed())

    reserve(*chosen(request))

    assert request.steps.count() == 2


def test_requests_that_share_a_vessel_are_booked_in_one_go(batch):
    vessel = make_vessel(batch, holding_ug=9 * G)
    one, two = make_request(need="4 g"), make_request(need="5 g")

    bookings = reserve(*chosen(one, two))

    assert [booking.request for booking in bookings] == [one, two]
    assert promised() == {one.pk: {vessel.pk: 4 * G}, two.pk: {vessel.pk: 5 * G}}


def test_whole_vessels_are_promised_whole(batch):
    vessel = make_vessel(batch)
    request = make_request(need=None, vessel_count=1)

    (booking,) = reserve(*chosen(request))

    line = booking.lines.get()
    assert (line.vessel, line.mass_ug, line.is_whole) == (vessel, 5 * G, True)


def test_a_request_whose_day_has_passed_is_booked_for_today(batch):
    make_vessel(batch)
    request = make_request()
    MetalRequest.objects.update(needed_by=TODAY - timedelta(days=3))

    (booking,) = reserve(*chosen(request))

    assert booking.needed_by == TODAY


def test_a_plan_sent_twice_is_reserved_once_and_answers_the_same(batch):
    make_vessel(batch, holding_ug=9 * G)
    plan = chosen(make_request(), make_request())
    once = {"request_id": uuid4()}

    first = reserve(*plan, **once)
    second = reserve(*plan, **once)

    assert second == first
    assert Booking.objects.count() == 2


def test_each_booking_of_a_plan_has_an_entry_of_its_own(batch):
    make_vessel(batch, holding_ug=9 * G)
    sent = uuid4()

    first, second = reserve(*chosen(make_request(), make_request()), request_id=sent)

    assert first.entry.request_id == sent
    assert first.entry != second.entry
    assert {first.entry.verb, second.entry.verb} == {"book"}


def test_when_one_of_the_requests_is_refused_nothing_is_recorded(batch):
    partner = make_partner()
    project = make_project(partner=partner.name)
    make_share(project, partner, mass_ug=4 * G)
    make_vessel(batch, holding_ug=9 * G)
    free = make_request()
    within = make_request(project, partner=partner)
    plan = chosen(free, within)
    make_share(project, partner, mass_ug=2 * G)
    before = LogEntry.objects.count()

    with pytest.raises(OperationError, match=r"2\.000 g free") as refused:
        reserve(*plan)

    assert refused.value.field == "beyond_share"
    assert promised() == {}
    assert LogEntry.objects.count() == before
    assert {r.state for r in asked(free, within)} == {RequestState.ASKED}


def test_more_than_the_share_takes_a_reason_which_is_kept_where_it_was_needed(batch):
    partner = make_partner()
    project = make_project(partner=partner.name)
    make_share(project, partner, mass_ug=4 * G)
    make_vessel(batch, holding_ug=9 * G)
    free = make_request()
    within = make_request(project, partner=partner)
    plan = chosen(free, within)
    make_share(project, partner, mass_ug=2 * G)

    reserve(*plan, beyond_share="agreed by telephone")

    reasons = dict(Booking.objects.values_list("request", "beyond_share"))
    assert reasons == {free.pk: "", within.pk: "agreed by telephone"}


def test_a_promise_that_ends_before_the_metal_is_needed_is_refused(batch):
    make_vessel(batch)

    with pytest.raises(OperationError) as refused:
        reserve(*chosen(make_request()), expires_on=TODAY)

    assert refused.value.field == "expires_on"
    assert promised() == {}


def test_a_project_that_was_closed_meanwhile_gets_nothing(batch):
    make_vessel(batch)
    plan = chosen(make_request(make_project(title="Films")))
    Project.objects.update(closed_on=TODAY)

    with pytest.raises(OperationError, match="Films is closed"):
        reserve(*plan)


def test_a_plan_that_takes_nothing_cannot_be_reserved(shipped):
    with pytest.raises(OperationError, match="nothing to book"):
        reserve((), reserving.Seen((), ()))


def test_a_request_is_not_reserved_twice_from_different_vessels(batch):
    one, two = make_vessel(batch), make_vessel(batch)
    request = make_request()
    first = chosen(request, excluded={two.pk})
    second = chosen(request, excluded={one.pk})
    reserve(*first)

    with pytest.raises(StockChanged, match="The stock changed"):
        reserve(*second)

    assert promised() == {request.pk: {one.pk: 3 * G}}
