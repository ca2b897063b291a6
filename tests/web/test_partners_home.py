"""What a partner sees first: shares, requests, bookings, and what is with them."""

from datetime import timedelta

from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.operations import asking
from tests.domain.handed import hand_over, make_line, make_metal, pick
from tests.factories import (
    make_booking,
    make_partner,
    make_project,
    make_request,
    make_share,
    make_vessel,
    signed,
)
from tests.web.person import opened


def test_a_partner_s_home_shows_the_share_of_their_own_organisation(
    as_partner, films, group
):
    other = make_partner("Cluster group")
    films.partners.add(other)
    make_share(films, other, "Cs")

    words = opened(as_partner, "/").main.text

    assert "Rubidium" in words
    assert "10.000 g" in words
    assert "Caesium" not in words


def test_a_partner_s_home_shows_where_each_request_is(as_partner, metal_request):
    asking.grant(metal_request, **signed())

    page = opened(as_partner, "/")

    assert metal_request.get_absolute_url() in page.links
    assert "Granted, waiting for metal" in page.main.text


def test_a_partner_s_home_shows_until_when_a_booking_holds(as_partner, films, group):
    day = timezone.localdate() + timedelta(days=9)
    make_booking(make_vessel(), project=films, partner=group, expires_on=day)

    words = opened(as_partner, "/").main.text

    assert f"Holds until {day.day} {day:%b %Y}" in words


def test_a_partner_s_home_shows_what_is_with_them_and_lets_them_report_its_use(
    as_partner, films, group
):
    line = make_line(make_metal(), partner=group, project=films)
    made = hand_over([pick(line)]).lines.get()

    page = opened(as_partner, "/")

    assert f"/hand-over-lines/{made.pk}/report/" in page.links
    assert made.vessel.code in page.main.text


def test_a_partner_s_home_costs_no_more_queries_for_many_requests_than_for_one(
    as_partner, films, group, partner, metal_request
):
    def asked(address):
        with CaptureQueriesContext(connection) as found:
            assert as_partner.get(address).status_code == 200
        return len(found)

    make_booking(make_vessel(), 10_000, project=films, partner=group)
    pages = ["/", "/requests/", metal_request.get_absolute_url()]
    few = [asked(page) for page in pages]
    for _ in range(10):
        make_request(films, "0.1 g", partner=group, by=partner)
        asking.grant(make_request(), **signed())
        facts = {"partner": group, "request": metal_request}
        make_booking(make_vessel(), 10_000, project=films, **facts)
    another = make_project(partner, partner=group)
    make_share(another, group)

    assert [asked(page) for page in pages] == few
