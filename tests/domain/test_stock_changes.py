"""What changed since a plan was made is told plainly, and nothing is reserved."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import (
    Booking,
    Vessel,
)
from inventory.operations import asking, heels, inspections
from inventory.operations.reserving import StockChanged
from tests.domain.exchanged import exchange
from tests.domain.planned import chosen, given, promised, reserve
from tests.domain.vouched import make_assay
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_partner,
    make_request,
    make_vessel,
    signed,
    take,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

TODAY = timezone.localdate()


@pytest.fixture
def batch(shipped):
    return make_batch(purity=0.998)


def promise_some(vessel):
    make_booking(vessel, G)


def lend(vessel):
    Vessel.objects.filter(pk=vessel.pk).update(custodian=make_partner("Group B"))


def leak(vessel):
    inspections.record(vessel, looked_on=TODAY, seal="leaks", **signed())


def note_heel(vessel):
    heels.note(vessel, 2 * G, **signed())


def open_it(vessel):
    Vessel.objects.filter(pk=vessel.pk).update(opened_on=TODAY)


def put_under_helium(vessel):
    exchange(vessel, "helium")


def assay(vessel):
    make_assay(vessel.batch, purity=0.95)


CHANGES = [
    (promise_some, "{0} has less to draw: 4.000 g now, 5.000 g when this was planned."),
    (promise_some, "{0} cannot go whole any more: something of it is promised."),
    (make_booking, "{0} is promised altogether now."),
    (take, "{0} is spent."),
    (lend, "{0} is with Group B now."),
    (leak, "{0} leaks, by its last inspection."),
    (note_heel, "{0} has less to draw: 3.000 g now, 5.000 g when this was planned."),
    (open_it, "{0} was opened."),
    (put_under_helium, "{0} is kept in helium now."),
    (assay, "{0}: its purity is 95.0 % now."),
]


@pytest.mark.parametrize(
    ("happens", "said"),
    CHANGES,
    ids=lambda each: getattr(each, "__name__", str(each)[:40]),
)
def test_a_vessel_that_changed_meanwhile_is_named_with_what_changed(
    batch, happens, said
):
    vessel = make_vessel(batch)
    plan = chosen(make_request())
    happens(vessel)
    before = set(Booking.objects.all())

    with pytest.raises(StockChanged) as refused:
        reserve(*plan)

    assert said.format(vessel) in refused.value.changes
    assert set(Booking.objects.all()) == before


def test_a_change_too_small_for_three_digits_is_told_with_all_of_them(batch):
    vessel = make_vessel(batch)
    plan = chosen(make_request())
    make_booking(vessel, 7)

    with pytest.raises(StockChanged) as refused:
        reserve(*plan)

    assert f"{vessel} has less to draw: 4.999993 g now, 5 g when this was planned." in (
        refused.value.changes
    )


def test_metal_that_came_free_meanwhile_is_told_too(batch):
    vessel = make_vessel(batch)
    booking = make_booking(vessel, G)
    plan = chosen(make_request())
    Booking.objects.filter(pk=booking.pk).update(
        needed_by=TODAY - timedelta(days=2), expires_on=TODAY - timedelta(days=1)
    )

    with pytest.raises(StockChanged) as refused:
        reserve(*plan)

    assert refused.value.changes == [
        f"{vessel} has more to draw: 5.000 g now, 4.000 g when this was planned."
    ]


def test_a_change_of_a_vessel_that_the_plan_leaves_alone_is_no_change(batch):
    used, other = make_vessel(batch, holding_ug=3 * G), make_vessel(batch)
    plan = chosen(make_request())
    assert given(plan[0]) == {used.pk: 3 * G}
    make_booking(other)

    reserve(*plan)


def decline(request):
    asking.decline(request, reason="no", **signed())


def ask_for_more(request):
    change(request, mass_ug=4 * G)


def ask_for_vessels(request):
    change(request, mass_ug=None, vessel_count=1, is_whole=True)


def ask_for_purer(request):
    change(request, smallest_purity=0.99)


def change(request, **terms):
    terms = {
        **{name: getattr(request, name) for name in asking.Terms.__slots__},
        **terms,
    }
    asking.change(request, terms=asking.Terms(**terms), reason="x", **signed())


ASKED_CHANGES = [
    (decline, "misses nothing any more: it was booked, served, declined or taken back"),
    (ask_for_more, "misses 4.000 g now, 3.000 g when this was planned"),
    (ask_for_vessels, "has other terms now"),
    (ask_for_purer, "has other terms now"),
]


@pytest.mark.parametrize(("happens", "said"), ASKED_CHANGES)
def test_a_request_that_changed_meanwhile_is_named_with_what_changed(
    batch, happens, said
):
    make_vessel(batch)
    request = make_request()
    plan = chosen(request)
    happens(request)

    with pytest.raises(StockChanged) as refused:
        reserve(*plan)

    assert refused.value.changes == [f"Request {request.pk} {said}."]
    assert promised() == {}


def test_a_counted_request_that_changed_is_named_with_its_vessels(batch):
    for _ in range(3):
        make_vessel(batch)
    request = make_request(need=None, vessel_count=2)
    plan = chosen(request)
    change(request, vessel_count=3)

    with pytest.raises(StockChanged) as refused:
        reserve(*plan)

    assert refused.value.changes == [
        f"Request {request.pk} misses 3 vessels now, 2 when this was planned."
    ]
