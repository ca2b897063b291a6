"""Organisations, and who is in a project for which, through their forms."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from inventory.models import MemberRole, Membership, Partner, Project
from inventory.web.forms import projects as project_forms
from tests.factories import (
    G,
    make_partner,
    make_project,
    make_share,
)
from tests.web.person import (
    answered,
    opened,
    recorded,
    refused,
    sent_twice,
)

pytestmark = pytest.mark.usefixtures("shipped")

PARTNERS = "/partners/"
NEW_PROJECT = "/projects/new/"


@pytest.fixture
def films():
    return make_partner("Thin films")


@pytest.fixture
def project(films, partner):
    return make_project(partner, partner=films, title="Getters")


@pytest.fixture
def share(project, films):
    return make_share(project, films, mass_ug=10 * G)


def as_user(user):
    client = Client()
    client.force_login(user)
    return client


def test_an_organisation_is_added_changed_and_stands_in_the_list(as_keeper):
    recorded(as_keeper, f"{PARTNERS}new/", name="Thin films", email="a@example.org")
    films = Partner.objects.get()

    page = recorded(as_keeper, f"{PARTNERS}{films.pk}/change/", address="Street 1")

    assert page.rows() == [["Thin films", "Street 1", "a@example.org", "—"]]


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("name", "THIN FILMS", "This name is taken."),
        ("name", "", "This field is required."),
        ("email", "films at example", "Enter a valid email address."),
    ],
)
def test_what_is_no_organisation_is_refused_at_its_field(
    as_keeper, films, field, value, sentence
):
    what = {"name": "Zeolites", field: value}

    assert refused(as_keeper, f"{PARTNERS}new/", field, **what) == sentence


def test_an_organisation_sent_twice_is_added_once_and_says_so(as_keeper):
    page = sent_twice(as_keeper, f"{PARTNERS}new/", name="Thin films")

    assert Partner.objects.count() == 1
    assert "had been sent already" in page.messages


def test_a_member_has_a_role_and_an_organisation(as_keeper, films, partner, reader):
    recorded(
        as_keeper,
        NEW_PROJECT,
        title="Getters",
        partners=[str(films.pk)],
        **{f"role_{partner.pk}": "lead", f"for_{partner.pk}": str(films.pk)},
        **{f"role_{reader.pk}": "sees"},
    )

    found = {m.user: (m.role, m.partner) for m in Membership.objects.all()}
    assert found == {
        partner: (MemberRole.LEAD, films),
        reader: (MemberRole.SEES, None),
    }


def test_a_member_s_row_shows_what_is_recorded_and_a_dash_takes_them_off(
    as_keeper, project, films, partner
):
    at = f"{project.get_absolute_url()}change/"
    shown = opened(as_keeper, at).typed()
    assert shown[f"role_{partner.pk}"] == ["asks"]
    assert shown[f"for_{partner.pk}"] == [str(films.pk)]

    recorded(as_keeper, at, **{f"role_{partner.pk}": ""})

    assert not project.memberships.exists()


def test_an_organisation_that_is_no_partner_here_is_refused_at_the_member(
    as_keeper, films, partner
):
    row = {f"role_{partner.pk}": "asks", f"for_{partner.pk}": str(films.pk)}

    said = refused(as_keeper, NEW_PROJECT, f"for_{partner.pk}", title="Getters", **row)

    assert said == "Tick Thin films as a partner organisation as well."


def test_a_partner_with_a_share_is_not_taken_off_the_project(as_keeper, share):
    at = f"{share.project.get_absolute_url()}change/"
    nobody = {f"role_{m.user_id}": "" for m in share.project.memberships.all()}

    page = answered(as_keeper, at, partners=None, **nobody)

    assert set(page.wrong()) == {"partners"}
    assert "Thin films has a share in this project." in page.main.text
    assert share.project.partners.get() == share.partner


@pytest.fixture
def many(monkeypatch):
    """Have more people than get a row each."""
    monkeypatch.setattr(project_forms, "MOST_ROWS", 1)


def test_of_many_people_only_members_have_rows_and_others_are_named(
    as_keeper, many, project, partner, reader
):
    at = f"{project.get_absolute_url()}change/"
    page = opened(as_keeper, at)
    assert f"role_{partner.pk}" in page.typed()
    assert f"role_{reader.pk}" not in page.typed()

    recorded(as_keeper, at, name_new1="THE-READER", role_new1="sees")

    roles = dict(project.memberships.values_list("user__username", "role"))
    assert roles == {"the-partner": "asks", "the-reader": "sees"}


@pytest.mark.parametrize(
    ("name", "role", "field", "sentence"),
    [
        ("nobody", "asks", "name_new2", "Nobody signs in by this name."),
        ("the-partner", "asks", "name_new2", "the-partner has a row already."),
        ("the-reader", "", "role_new2", "Say what the-reader does here."),
    ],
)
def test_a_name_that_cannot_be_added_is_refused_at_its_row(
    as_keeper, many, project, reader, name, role, field, sentence
):
    at = f"{project.get_absolute_url()}change/"

    said = refused(as_keeper, at, field, name_new2=name, role_new2=role)

    assert said == sentence


def test_the_project_s_page_names_its_members_to_the_house_alone(
    as_keeper, project, partner
):
    words = opened(as_keeper, project.get_absolute_url()).table_under("members")
    theirs = opened(as_user(partner), project.get_absolute_url())

    assert words == [["the-partner", "Asks for metal", "Thin films", "Partner"]]
    assert theirs.by_id("members") is None
    assert theirs.facts["Your part"] == "Asks for metal Thin films"


def test_a_person_has_an_e_mail_address_that_can_be_changed(as_keeper, reader):
    at = f"/people/{reader.pk}/change/"
    recorded(as_keeper, at, email="reader@example.org")
    reader.refresh_from_db()
    assert reader.email == "reader@example.org"

    assert refused(as_keeper, at, "email", email="nowhere") == (
        "Enter a valid email address."
    )
    recorded(as_keeper, at, email="")
    reader.refresh_from_db()
    assert reader.email == ""


def test_the_list_of_projects_as_csv_names_each_once_with_its_partners(
    as_keeper, project
):
    project.partners.add(make_partner("Zeolites"))

    lines = as_keeper.get("/projects/?_export=csv").text.splitlines()

    assert Project.objects.count() == 1
    assert lines[1:] == ['Getters,"Thin films, Zeolites",—,0.000000']


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (-2, "Its period is over"),
        (0, "Today is its last day."),
        (1, "in 1 day."),
        (30, "in 30 days."),
    ],
)
def test_a_project_says_that_it_ends_soon_or_is_over(as_keeper, days, words):
    day = timezone.localdate() + timedelta(days=days)
    project = make_project(ends_on=day)

    assert words in opened(as_keeper, project.get_absolute_url()).main.text


def test_a_project_that_ends_later_says_nothing_of_it(as_keeper):
    project = make_project(ends_on=timezone.localdate() + timedelta(days=31))

    words = opened(as_keeper, project.get_absolute_url()).main.text
    assert "Ends soon" not in words
