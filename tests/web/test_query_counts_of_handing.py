"""Pick lists and hand-overs ask the same number of questions, however long they are."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.operations import bookings
from tests.domain.handed import hand_over, make_metal, pick, report
from tests.factories import (
    G,
    earlier,
    make_batch,
    make_laboratory,
    make_partner,
    make_project,
    signed,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


def booked(project, batch, count):
    """Return the lines of a booking of this many vessels of a batch."""
    partner = make_partner("Group A")
    booking = bookings.book(
        project,
        wishes=[(make_metal(batch), None) for _ in range(count)],
        partner=partner,
        purpose="a run",
        needed_by=timezone.localdate(),
        **signed(),
    )
    return list(booking.lines.order_by("id"))


def handed(project, batch, count):
    """Return a hand-over of this many vessels, of each of which a use is reported."""
    made = hand_over([pick(line) for line in booked(project, batch, count)])
    for line in made.lines.select_related("hand_over__partner", "vessel"):
        report(line, G // 10, happened_at=earlier(hours=3))
    return made


def questions(client, at):
    with CaptureQueriesContext(connection) as asked:
        answer = client.get(at)
        assert answer.status_code == 200
        list(answer.streaming_content if answer.streaming else [])
    return len(asked)


@pytest.fixture
def project():
    make_laboratory()
    return make_project(partner="Group A")


def test_a_pick_list_of_twenty_costs_no_more_queries_than_one(as_keeper, project):
    batch = make_batch()

    counts = []
    for count in (1, 20):
        first, *_ = booked(project, batch, count)
        pick(first)
        at = f"/bookings/{first.booking_id}/pick/"
        as_keeper.get(at)
        counts.append(questions(as_keeper, at))

    assert counts[0] == counts[1]


def test_a_hand_over_of_twenty_costs_no_more_queries_to_look_at_than_one(
    as_keeper, project
):
    batch = make_batch()
    as_keeper.get("/")
    counts = {}

    for count in (1, 20):
        made = handed(project, batch, count)
        ready, *_ = [pick(line) for line in booked(project, batch, count)]
        pages = {
            "page": made.get_absolute_url(),
            "sheet": f"/labels/hand-overs/{made.pk}/sheet.pdf",
            "form": f"/projects/{project.pk}/hand-over/?booking={ready.booking_id}",
            "project": project.get_absolute_url(),
            "vessel": made.lines.first().vessel.get_absolute_url(),
            "list": "/vessels/?per_page=200",
        }
        for name, at in pages.items():
            counts.setdefault(name, []).append(questions(as_keeper, at))

    assert {name: few == many for name, (few, many) in counts.items()} == dict.fromkeys(
        counts, True
    ), counts
