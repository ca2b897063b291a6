"""No metal is asked for or promised past its project, or in a far future."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from inventory.operations import asking, expiring
from inventory.operations.asking import Terms
from inventory.web.fields import DayField
from tests.domain.planned import chosen, reserve
from tests.domain.records import refused
from tests.factories import (
    make_batch,
    make_booking,
    make_project,
    make_request,
    make_vessel,
    signed,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

TODAY = timezone.localdate()
END = TODAY + timedelta(days=20)
AFTER = END + timedelta(days=1)
ENDS = f"The project ends on {END:%-d %b %Y}."
TOO_FAR = "This is more than ten years ahead."


@pytest.fixture
def project():
    return make_project(ends_on=END)


def test_metal_is_not_asked_for_past_the_end_of_its_project(project):
    with refused(ENDS, "needed_by"):
        make_request(project, needed_by=AFTER)

    assert make_request(project, needed_by=END).needed_by == END


def test_a_request_is_not_granted_for_a_day_past_the_end_of_its_project(project):
    asked = make_request(project, needed_by=END)
    later = Terms(asked.mass_ug, None, False, None, AFTER)

    with refused(ENDS, "needed_by"):
        asking.change(asked, terms=later, reason="later", **signed())


def test_metal_is_not_booked_past_the_end_of_its_project(project):
    vessel = make_vessel()

    with refused(ENDS, "needed_by"):
        make_booking(vessel, project=project, needed_by=AFTER)
    with refused(ENDS, "expires_on"):
        make_booking(vessel, project=project, needed_by=TODAY, expires_on=AFTER)


def test_a_project_that_has_ended_says_so():
    day = TODAY - timedelta(days=1)
    project, vessel = make_project(ends_on=day), make_vessel()

    with refused(f"The project ended on {day:%-d %b %Y}.", "needed_by"):
        make_booking(vessel, project=project, needed_by=TODAY)


def test_a_promise_of_which_nobody_says_the_end_holds_no_longer_than_its_project(
    project,
):
    booking = make_booking(make_vessel(), project=project, needed_by=END)

    assert booking.expires_on == END


def test_a_promise_is_not_extended_past_the_end_of_its_project(project):
    booking = make_booking(make_vessel(), project=project, needed_by=TODAY)

    with refused(ENDS, "expires_on"):
        expiring.extend(booking, expires_on=AFTER, **signed())


def test_no_day_lies_more_than_ten_years_ahead():
    far = date(9999, 12, 31)
    project, vessel = make_project(), make_vessel()
    booking = make_booking(make_vessel(), project=project)

    with refused(TOO_FAR, "needed_by"):
        make_request(project, needed_by=far)
    with refused(TOO_FAR, "needed_by"):
        make_booking(vessel, project=project, needed_by=far)
    with refused(TOO_FAR, "expires_on"):
        make_booking(vessel, project=project, expires_on=far)
    with refused(TOO_FAR, "expires_on"):
        expiring.extend(booking, expires_on=far, **signed())


@pytest.mark.parametrize(("days", "fits"), [(3652, True), (3653, False)])
def test_a_field_for_a_day_takes_ten_years_and_no_more(days, fits):
    sent = (TODAY + timedelta(days=days)).isoformat()

    if fits:
        assert DayField().clean(sent)
    else:
        with pytest.raises(Exception, match=TOO_FAR):
            DayField().clean(sent)


def test_a_plan_for_requests_of_several_projects_ends_with_each_project(project):
    batch = make_batch(purity=0.998)
    make_vessel(batch), make_vessel(batch)
    other = make_project()
    requests = make_request(project, needed_by=TODAY), make_request(other)

    made = reserve(*chosen(*requests), expires_on=AFTER)

    assert {booking.project: booking.expires_on for booking in made} == {
        project: END,
        other: AFTER,
    }
