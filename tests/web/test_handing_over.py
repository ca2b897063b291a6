"""Handing over on the pages, and what comes back or is reported of it."""

import logging
from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import HandOver, HandOverLine, LogEntry, MemberRole
from inventory.operations import ledger
from tests.domain.cared import make_inspection
from tests.domain.handed import (
    make_handed,
    make_line,
    make_metal,
    pick,
)
from tests.factories import (
    make_partner,
    make_project,
)
from tests.web.pages import Page
from tests.web.person import (
    filled_in,
    opened,
    refused,
    refused_as_a_whole,
    sent_twice,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def client(client, operator):
    client.force_login(operator)
    return client


@pytest.fixture
def project(partner):
    return make_project(partner, partner="Group A", title="Films")


@pytest.fixture
def handed(project):
    return make_handed(partner=make_partner("Group A"), project=project)


def ready(project, name="Group A", **facts):
    """Return a line that was ticked, for a partner of the project."""
    return pick(make_line(make_metal(), partner=make_partner(name), project=project))


def form_of(project, query=""):
    return f"/projects/{project.pk}/hand-over/{query}"


def test_ticked_vessels_are_handed_over(client, project):
    first, second = ready(project), ready(project)
    day = timezone.localdate() + timedelta(days=30)

    sent = filled_in(
        client,
        form_of(project),
        carried="by hand",
        **{f"return_{first.pk}": day.isoformat(), f"expected_{first.pk}": "2 g"},
    )
    answer = client.post(form_of(project), sent)

    made = HandOver.objects.get()
    assert answer["Location"] == made.get_absolute_url()
    page = opened(client, answer["Location"])
    assert "2 vessels over to Group A (Films)" in page.messages
    assert page.facts["To"] == "Group A"
    assert page.facts["Travelled"] == "by hand"
    assert [row[0] for row in page.rows()] == [str(first.vessel), str(second.vessel)]
    assert f"by {day:%-d %b %Y} with about 2.000 g" in page.rows()[0][3]
    assert page.rows()[1][3] == "not expected"
    assert f"/labels/hand-overs/{made.pk}/sheet.pdf" in page.links


def test_a_vessel_without_its_tick_stays(client, project):
    stays, goes = ready(project), ready(project)

    sent = filled_in(client, form_of(project), **{f"line_{stays.pk}": None})
    client.post(form_of(project), sent)

    assert HandOverLine.objects.get().vessel == goes.vessel
    assert ledger.read(stays.vessel_id).custodian is None


def test_a_hand_over_sent_twice_counts_once(client, project):
    ready(project)

    page = sent_twice(client, form_of(project))

    assert "had been sent already" in page.messages
    assert HandOver.objects.count() == 1


def test_what_a_form_of_a_hand_over_lacks_is_said_at_its_field(client, project):
    line = ready(project)
    key = line.pk
    day = (timezone.localdate() + timedelta(days=2)).isoformat()
    at = form_of(project)

    def said(field, **typed):
        return refused(client, at, field, **typed)

    assert said(f"expected_{key}", **{f"return_{key}": day}).startswith(
        "Say with about"
    )
    assert said(f"return_{key}", **{f"expected_{key}": "1 g"}) == "Say by which day."
    assert said("handed_at", handed_at="2999-01-01T12:00") == "This lies in the future."
    too_much = {f"return_{key}": day, f"expected_{key}": "9 g"}
    assert "leaves in" in said(f"expected_{key}", **too_much)
    none = refused_as_a_whole(client, at, **{f"line_{key}": None})
    assert "Tick at least one vessel." in none


def test_a_vessel_put_back_meanwhile_is_refused_in_its_row(client, project):
    line = ready(project)
    sent = filled_in(client, form_of(project))
    line.picked_by = None
    line.save()

    page = Page(client.post(form_of(project), sent))

    assert page.status == 422
    assert not HandOver.objects.exists()


def test_each_partner_is_handed_over_to_by_itself(client, project):
    other = make_partner("Group B")
    project.partners.add(other)
    ours, theirs = ready(project), ready(project, "Group B")

    page = opened(client, form_of(project, f"?partner={other.pk}"))

    assert str(theirs.vessel) in page.main.text
    assert str(ours.vessel) not in page.main.text
    assert "hand over to Group A" in page.main.text


def test_what_is_not_ticked_is_not_offered(client, project):
    line = make_line(make_metal(), partner=make_partner("Group A"), project=project)

    page = opened(client, form_of(project))

    assert "Nothing is ready to be handed over" in page.main.text
    assert f"/bookings/{line.booking_id}/pick/" in page.links


def test_pages_say_with_whom_a_vessel_is_and_since_when(client, handed):
    vessel, day = handed.vessel, timezone.localtime(handed.hand_over.handed_at)

    page = opened(client, vessel.get_absolute_url())

    assert f"It is with Group A since {day:%-d %b %Y}" in page.main.text
    assert page.facts["With"] == "Group A"
    assert "Place" not in page.facts
    assert f"/hand-over-lines/{handed.pk}/return/" in page.links
    assert f"/vessels/{vessel.pk}/withdraw/" not in page.links
    assert "with Group A" in opened(client, "/vessels/").main.text
    assert "with Group A" in opened(client, vessel.batch.get_absolute_url()).main.text
    assert "with Group A" in client.get("/vessels/?_export=csv").text


def test_a_project_lists_what_was_handed_over(client, handed):
    page = opened(client, handed.hand_over.project.get_absolute_url())

    (row,) = page.table_under("handed-over")
    assert row[0] == str(handed.hand_over)
    assert row[1] == "Group A"
    assert row[3:] == ["1", "5.005 g of rubidium", "With them"]


@pytest.mark.parametrize(
    "address",
    [
        "/hand-overs/{hand_over}/",
        "/hand-over-lines/{line}/report/",
        "/labels/hand-overs/{hand_over}/sheet.pdf",
    ],
)
def test_what_went_to_another_partner_answers_404_and_is_logged(
    as_partner, project, address, caplog
):
    other = make_partner("Group B")
    project.partners.add(other)
    line = make_handed(partner=other, project=project)
    at = address.format(hand_over=line.hand_over_id, line=line.pk)

    with caplog.at_level(logging.WARNING, "inventory.access"):
        answer = as_partner.get(at)

    assert answer.status_code == 404
    assert "the-partner (partner) asked for" in caplog.text
    assert at in caplog.text
    assert as_partner.get(at.replace(str(line.pk), "999")).status_code == 404
    listed = opened(as_partner, project.get_absolute_url())
    assert str(line.hand_over) not in listed.main.text


def test_a_member_who_only_sees_does_not_report(as_partner, project, handed):
    at = f"/hand-over-lines/{handed.pk}/report/"
    project.memberships.update(role=MemberRole.SEES)
    before = LogEntry.objects.count()

    assert as_partner.get(at).status_code == 403
    assert as_partner.post(at, {}).status_code == 403
    page = opened(as_partner, handed.hand_over.get_absolute_url())
    assert at not in page.links
    assert LogEntry.objects.count() == before


def test_a_partner_sees_no_names_of_people_here(as_partner, handed):
    page = opened(as_partner, handed.hand_over.get_absolute_url())

    assert "somebody" not in page.main.text
    assert "Recorded by" not in page.facts


def test_a_refused_vessel_is_named_with_what_to_do(client, project):
    line = ready(project)
    make_inspection(line.vessel, seal="leaks")

    sent = filled_in(client, form_of(project))
    page = Page(client.post(form_of(project), sent))

    assert page.status == 422
    assert f"{line.vessel} needs another look." in page.main.text
    assert f"{line.vessel} leaks" in page.main.text
