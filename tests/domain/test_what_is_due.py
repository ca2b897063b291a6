"""What is due is looked for within its days alone, and no more of it than is shown."""

import pytest

from inventory.models import Inspection
from inventory.operations import agenda
from tests.domain.cared import days_ago, in_days, make_inspection
from tests.factories import G, make_batch, make_booking, make_request, make_vessel

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def batch():
    return make_batch("Rb")


def keys(user, **asked):
    return [due.key for due in agenda.of_user(user, **asked)]


def test_what_is_more_than_a_year_ahead_is_not_in_the_feed(keeper, batch):
    near, far = make_vessel(batch), make_vessel(batch)
    make_inspection(near, next_on=in_days(365))
    make_inspection(far, next_on=in_days(366))

    assert keys(keeper) == [f"inspection-{near.pk}"]


def test_what_is_more_than_two_months_ago_is_not_in_the_feed(keeper):
    for days in (90, 62):
        with days_ago(days):
            make_inspection(make_vessel(), next_on=in_days(5))

    # 85 and 57 days ago.
    assert keys(keeper) == [f"inspection-{Inspection.objects.latest('pk').vessel_id}"]


def test_a_booking_is_in_the_feed_with_either_of_its_days(keeper, batch):
    booking = make_booking(
        make_vessel(batch), G, needed_by=in_days(3), expires_on=in_days(400)
    )

    assert keys(keeper) == [f"booking-{booking.pk}-needed"]


def test_no_more_is_read_than_is_shown_and_that_is_what_comes_first(keeper, batch):
    wishes = [make_request(needed_by=in_days(days)) for days in (9, 3, 6)]
    vessel = make_vessel(batch)
    make_inspection(vessel, next_on=in_days(4))

    first = keys(keeper, since=in_days(0), most=3)

    assert first == [
        f"request-{wishes[1].pk}-needed",
        f"inspection-{vessel.pk}",
        f"request-{wishes[2].pk}-needed",
    ]


def test_very_many_looks_on_one_day_are_one_thing_to_do(keeper, batch, monkeypatch):
    monkeypatch.setattr(agenda, "MANY", 2)
    for days in (9, 9, 9, 12, 12):
        make_inspection(make_vessel(batch), next_on=in_days(days))

    many, *single = agenda.of_user(keeper)

    assert (many.key, many.day) == (f"inspections-{in_days(9)}", in_days(9))
    assert many.title == "3 vessels: look at them again"
    assert [due.day for due in single] == [in_days(12)] * 2
