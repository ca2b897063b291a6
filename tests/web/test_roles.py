"""Who may open what: closed by default, and written down for every URL."""

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client

from inventory.models import User
from inventory.operations.access import for_roles
from inventory.web.middleware import RoleMiddleware
from tests.web.addresses import (
    FILES,
    FORMS,
    PAGES,
    SHOWS_FORMS_ONLY,
    address,
    answer,
    url_names,
)
from tests.web.answers import ROLES
from tests.web.pages import Page

pytestmark = pytest.mark.django_db

# A browser sends at least the token against forged requests.
NOTHING_FILLED_IN = {"csrfmiddlewaretoken": "…"}


@pytest.fixture
def signed_in(lab, keeper, operator, reader):
    """Return a function that gives a fresh client signed in as a role."""

    def sign_in(role):
        client = Client()
        if role != "stranger":
            client.force_login(User.objects.get(username=f"the-{role}"))
        return client

    return sign_in


def test_every_url_stands_in_the_table_of_roles():
    named = {name for name, _ in PAGES}

    assert set(url_names()) == named


@pytest.mark.parametrize("role", ROLES)
def test_each_role_gets_the_pages_of_the_table_and_no_others(role, lab, signed_in):
    column = ROLES.index(role)
    expected, given = {}, {}

    for key, (arguments, query, answers) in PAGES.items():
        response = signed_in(role).get(address(key[0], arguments, query, lab))
        expected[key], given[key] = answers[column], answer(response)

    assert given == expected


@pytest.mark.parametrize("role", ROLES)
def test_each_role_may_send_the_forms_of_the_table_and_no_others(role, lab, signed_in):
    column = ROLES.index(role)
    expected, given = {}, {}

    for (name, _), (arguments, query, answers) in PAGES.items():
        if name in FORMS and answers[0] != 404:
            at = address(name, arguments, query, lab)
            response = signed_in(role).post(at, NOTHING_FILLED_IN)
            expected[name], given[name] = FORMS[name][column], answer(response)

    assert given == expected


def test_every_page_with_a_form_stands_in_the_table_of_forms(lab, signed_in):
    client = signed_in("keeper")

    with_forms = set()
    for (name, _), (arguments, query, answers) in PAGES.items():
        if answers[0] == 200 and name not in FILES:
            page = Page(client.get(address(name, arguments, query, lab)))
            with_forms |= {name} if page.own_forms() else set()

    assert with_forms == set(FORMS) - {"logout"} | SHOWS_FORMS_ONLY


def test_a_view_that_names_no_role_answers_nobody(rf, keeper):
    request = rf.get("/")
    request.user = keeper

    def view(request):
        raise AssertionError("reached")

    with pytest.raises(PermissionDenied):
        RoleMiddleware(view).process_view(request, view, (), {})

    named = for_roles({"keeper"})(lambda request: None)
    assert RoleMiddleware(named).process_view(request, named, (), {}) is None


def test_somebody_who_may_no_longer_sign_in_is_sent_to_the_log_in_page(lab, signed_in):
    client = signed_in("reader")
    User.objects.filter(username="the-reader").update(is_active=False)

    assert answer(client.get("/vessels/")) == "login"


class TestPartner:
    """What a partner sees of what is not theirs."""

    @pytest.fixture
    def page(self, signed_in, lab):
        return lambda at: Page(signed_in("partner").get(at))

    def test_batch_record_shows_the_vessels_booked_for_them_alone(self, page, lab):
        record = page(lab.batch.get_absolute_url()).main

        rows = page(lab.batch.get_absolute_url()).table_under("vessels")
        assert [row[1] for row in rows] == [lab.promised.code]
        assert lab.opened.code not in record.text
        assert lab.spent.code not in record.text

    def test_batch_record_shows_no_charges_no_logbook_and_no_yield(self, page, lab):
        words = page(lab.batch.get_absolute_url()).main.text

        assert "RbCl" not in words
        assert "Recorded batch" not in words
        assert "Still held" not in words

    def test_vessel_of_others_is_not_marked_by_a_scan(self, page, lab):
        scanned = f"{lab.batch.get_absolute_url()}?vessel={lab.opened.number}"

        assert lab.opened.code not in page(scanned).main.text

    def test_home_shows_their_own_projects_and_bookings(self, page, lab):
        home = page("/").main

        assert lab.project.title in home.text
        assert lab.booking.get_absolute_url() in page("/").links
        assert lab.foreign.title not in home.text

    def test_project_list_has_their_own_projects_alone(self, page, lab):
        assert [row[0] for row in page("/projects/").rows()] == [lab.project.title]

    def test_project_list_as_csv_has_their_own_projects_alone(self, signed_in, lab):
        text = signed_in("partner").get("/projects/?_export=csv").text

        assert lab.project.title in text
        assert lab.foreign.title not in text

    def test_pages_link_to_nothing_that_is_closed_to_them(self, signed_in, lab):
        client = signed_in("partner")

        closed = {}
        for (name, _), (arguments, query, answers) in PAGES.items():
            if answers[ROLES.index("partner")] == 200 and name not in FILES:
                at = address(name, arguments, query, lab)
                for link in Page(client.get(at)).all("a"):
                    href = (link["href"] or "").partition("#")[0]
                    if href.startswith("/") and not href.startswith("/static/"):
                        status = client.get(href).status_code
                        if status not in (200, 302):
                            closed[at, href] = status
        assert closed == {}
