"""Days that are too far ahead, or past the project: one sentence at the field."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import Booking
from tests.factories import make_booking, make_project, make_vessel
from tests.web.pages import Page
from tests.web.person import refused

pytestmark = pytest.mark.usefixtures("shipped")

TODAY = timezone.localdate()
END = TODAY + timedelta(days=20)
CASES = [
    ("9999-12-31", "This is more than ten years ahead."),
    (
        (END + timedelta(days=1)).isoformat(),
        f"The project ends on {END:%-d %b %Y}.",
    ),
]


@pytest.fixture
def project(shipped):
    return make_project(ends_on=END)


@pytest.mark.parametrize(("day", "sentence"), CASES)
@pytest.mark.parametrize("field", ["needed_by", "expires_on"])
def test_a_booking_is_refused_at_the_day_that_is_too_late(
    as_keeper, project, field, day, sentence
):
    vessel = make_vessel()
    typed = {
        "project": str(project.pk),
        "purpose": "series 4",
        f"take_{vessel.pk}": "on",
        "needed_by": TODAY.isoformat(),
        field: day,
    }

    said = refused(as_keeper, f"/bookings/new/?vessel={vessel.pk}", field, **typed)

    assert said == sentence
    assert not Booking.objects.exists()


@pytest.mark.parametrize(("day", "sentence"), CASES)
def test_an_extension_is_refused_at_the_day_that_is_too_late(
    as_keeper, project, day, sentence
):
    booking = make_booking(make_vessel(), project=project, needed_by=TODAY)
    at = f"/bookings/{booking.pk}/extend/"

    assert refused(as_keeper, at, "expires_on", expires_on=day) == sentence


def test_a_question_about_a_day_too_far_ahead_is_answered_in_a_sentence(as_keeper):
    make_vessel()

    answer = as_keeper.get("/?material=Rb&need=1+g&on=9999-12-31")

    assert "This is more than ten years ahead." in Page(answer).main.text


@pytest.mark.parametrize("name", ["report/", "report/workbook.xlsx", "report.pdf"])
def test_a_report_of_all_days_there_are_is_answered(as_keeper, project, name):
    at = f"/projects/{project.pk}/{name}?since=0001-01-01&until=9999-12-31"

    assert as_keeper.get(at).status_code < 500
