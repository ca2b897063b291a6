"""Requests as the keeper answers them, and as a partner follows them."""

import pytest
from django.test import Client

from inventory.models import Role, User
from inventory.operations import asking
from tests.domain.handed import hand_over, make_line, make_metal, pick
from tests.factories import (
    G,
    make_booking,
    make_project,
    make_request,
    make_vessel,
    signed,
)
from tests.web.pages import Page
from tests.web.person import (
    opened,
    recorded,
    refused,
    refused_as_a_whole,
    sent_twice,
)


def test_the_keeper_grants_and_the_partner_reads_when_and_why(
    as_keeper, as_partner, metal_request
):
    page = opened(as_keeper, metal_request.get_absolute_url())
    assert "Free now" in page.main.text

    recorded(as_keeper, f"/requests/{metal_request.pk}/grant/", reason="with pleasure")

    words = opened(as_partner, metal_request.get_absolute_url()).main.text
    assert "Granted, waiting for metal" in words
    assert "Granted as asked" in words
    assert "with pleasure" in words
    assert "Free now" not in words


def test_the_keeper_changes_terms_that_are_filled_in_as_they_were_typed(
    as_keeper, films, group, partner
):
    metal_request = make_request(
        films, "25 mmol", partner=group, by=partner, asked="25 mmol"
    )
    at = f"/requests/{metal_request.pk}/change/"
    assert opened(as_keeper, at).typed()["amount"] == ["25 mmol"]

    page = recorded(as_keeper, at, amount="20 mmol", form="whole", reason="one vessel")

    metal_request.refresh_from_db()
    assert metal_request.is_whole
    assert "Granted with changes" in page.main.text
    assert "one vessel" in page.main.text
    assert opened(as_keeper, at).typed()["amount"] == ["1.709356 g"]


def test_a_change_needs_a_reason(as_keeper, metal_request):
    at = f"/requests/{metal_request.pk}/change/"

    assert refused(as_keeper, at, "reason", amount="2 g") == "This field is required."


def test_a_change_that_changes_nothing_is_refused(as_keeper, metal_request):
    at = f"/requests/{metal_request.pk}/change/"

    assert "Grant it as asked instead" in refused_as_a_whole(
        as_keeper, at, amount="3 g", reason="no reason"
    )


@pytest.mark.parametrize("step", ["grant", "decline", "take-back"])
def test_an_answer_sent_twice_is_recorded_once(as_keeper, metal_request, step):
    at = f"/requests/{metal_request.pk}/{step}/"

    page = sent_twice(as_keeper, at, reason="so it is")

    assert "had been sent already" in page.messages
    assert metal_request.steps.count() == 2


def test_the_partner_takes_their_request_back(as_partner, metal_request):
    at = f"/requests/{metal_request.pk}/take-back/"
    assert at in opened(as_partner, metal_request.get_absolute_url()).links

    page = recorded(as_partner, at, reason="")

    assert "Taken back" in page.main.text
    assert at not in page.links


def test_a_colleague_sees_the_request_and_may_not_take_it_back(
    films, group, metal_request
):
    colleague = User.objects.create_user("colleague", role=Role.PARTNER)
    films.memberships.create(user=colleague, partner=group)
    client = Client()
    client.force_login(colleague)
    at = f"/requests/{metal_request.pk}/take-back/"

    assert at not in opened(client, metal_request.get_absolute_url()).links
    assert "Only who asked, or the keeper" in refused_as_a_whole(client, at)


def test_what_happened_to_a_request_is_told_with_its_booking_and_hand_over(
    as_partner, films, group, metal_request
):
    vessel = make_metal()
    line = make_line(vessel, partner=group, project=films, request=metal_request)
    made = hand_over([pick(line)])

    page = opened(as_partner, metal_request.get_absolute_url())

    assert line.booking.get_absolute_url() in page.links
    assert made.get_absolute_url() in page.links
    assert "Handed over" in page.main.text
    assert vessel.code in page.main.text


def test_a_booked_request_offers_no_way_to_end_it(as_keeper, films, metal_request):
    make_booking(
        make_vessel(),
        3 * G,
        project=films,
        partner=metal_request.partner,
        request=metal_request,
    )

    page = opened(as_keeper, metal_request.get_absolute_url())

    assert "Booked" in page.main.text
    assert f"/requests/{metal_request.pk}/decline/" not in page.links
    assert f"/plan/?request={metal_request.pk}" not in page.links
    words = refused_as_a_whole(
        as_keeper, f"/requests/{metal_request.pk}/decline/", reason="no"
    )
    assert "Have the booking released first." in words


def test_another_partner_s_request_is_not_there_and_the_attempt_is_logged(
    as_partner, caplog
):
    foreign = make_request()

    answer = as_partner.get(foreign.get_absolute_url())

    assert answer.status_code == 404
    assert "which is not theirs" in caplog.text


def test_the_list_shows_inside_what_is_to_be_done_and_a_partner_everything(
    as_keeper, as_partner, films, group, partner
):
    declined = make_request(films, "1 g", partner=group, by=partner)
    asking.decline(declined, reason="no", **signed())
    waiting = make_request(films, "2 g", partner=group, by=partner)
    foreign = make_request()

    def listed(client, query=""):
        page = opened(client, f"/requests/{query}")
        return {row[0] for row in page.rows()} if page.all("table") else set()

    assert listed(as_keeper) == {str(waiting), str(foreign)}
    assert listed(as_keeper, "?state=ended") == {str(declined)}
    assert listed(as_keeper, f"?project={films.pk}&state=all") == {
        str(waiting), str(declined)
    }  # fmt: skip
    assert listed(as_keeper, "?material=K") == set()
    assert listed(as_partner) == {str(waiting), str(declined)}
    assert listed(as_partner, "?state=served") == set()


def test_the_list_names_no_foreign_project_to_a_partner(as_partner, films):
    make_project(title="Clusters")

    assert "Clusters" not in Page(as_partner.get("/requests/")).main.text


def test_the_keeper_s_home_names_what_was_asked_for(as_keeper, metal_request):
    page = opened(as_keeper, "/")

    assert metal_request.get_absolute_url() in page.links
    asking.decline(metal_request, reason="no", **signed())
    assert metal_request.get_absolute_url() not in opened(as_keeper, "/").links
