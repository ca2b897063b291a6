"""Shares, as a keeper sets them and a partner sees them."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from inventory.models import Booking, Material, Share
from inventory.operations import projects
from inventory.operations.projects import Member
from tests.domain.handed import make_line
from tests.factories import (
    G,
    make_booking,
    make_partner,
    make_project,
    make_share,
    make_vessel,
    medium,
    signed,
    take,
)
from tests.web.person import (
    opened,
    recorded,
    refused,
    refused_as_a_whole,
    sent_twice,
)

pytestmark = pytest.mark.usefixtures("shipped")


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


def share_form(project):
    return f"{project.get_absolute_url()}share/"


def key():
    """Return what the form sends for rubidium."""
    return str(Material.objects.get(symbol="Rb").pk)


def typed(by, **facts):
    metal = {"partner": str(by.pk), "material": key(), "amount": "20 g"}
    return {**metal, **facts}


def test_a_share_is_set_with_its_conditions_and_shown_with_how_it_stands(
    as_keeper, project, films
):
    argon = str(medium("argon").pk)
    conditions = {"smallest_purity": "99.9 %", "media": [argon], "note": "until May"}

    page = recorded(as_keeper, share_form(project), **typed(films, **conditions))

    share = Share.objects.get()
    assert (share.mass_ug, share.smallest_purity) == (20 * G, 0.999)
    (row,) = page.table_under("shares")
    assert row[:3] == ["Thin films", "rubidium", "20.000 g"]
    assert row[3] == "0 g used 0 g promised 20.000 g free"
    assert row[4] == "99.9 % or purer; in argon until May"
    assert "Thin films may have 20.000 g of rubidium" in page.messages


@pytest.mark.parametrize("amount", ["6 vessels", "6 ampoules", "6vessels"])
def test_a_share_may_be_a_number_of_vessels(as_keeper, project, films, amount):
    recorded(as_keeper, share_form(project), **typed(films, amount=amount))

    share = Share.objects.get()
    assert (share.mass_ug, share.vessel_count) == (None, 6)


@pytest.mark.parametrize(
    ("field", "value", "sentence"),
    [
        ("amount", "0 g", "This has to be more than zero."),
        ("amount", "0 vessels", "This has to be more than zero."),
        ("amount", "", "This field is required."),
        ("smallest_purity", "101 %", "A percentage lies between 0 % and 100 %."),
        ("smallest_purity", "0 %", "A purity is above zero."),
        ("partner", "", "This field is required."),
        ("material", "", "This field is required."),
    ],
)
def test_what_is_no_share_is_refused_at_its_field(
    as_keeper, project, films, field, value, sentence
):
    what = typed(films, **{field: value})

    assert refused(as_keeper, share_form(project), field, **what) == sentence


def test_a_size_in_no_known_unit_says_what_would_do(as_keeper, project, films):
    said = refused(
        as_keeper, share_form(project), "amount", **typed(films, amount="much")
    )

    assert said.endswith("Or a number of vessels, as in 6 vessels.")


def test_a_second_share_of_the_same_metal_is_refused(as_keeper, share):
    what = typed(share.partner, material=str(share.material_id))

    said = refused(as_keeper, share_form(share.project), "material", **what)

    assert said == "Thin films has a share of rubidium here. Change that one."


def test_a_changed_share_keeps_what_was_not_changed(as_keeper, project, films):
    share = make_share(project, films, mass_ug=12_345_678, smallest_purity=0.99995)

    recorded(as_keeper, f"/shares/{share.pk}/change/", note="until May")

    share.refresh_from_db()
    assert (share.mass_ug, share.note) == (12_345_678, "until May")
    assert share.smallest_purity == pytest.approx(0.99995, rel=1e-9)


def test_a_share_below_what_is_promised_is_refused_at_the_amount(as_keeper, share):
    make_line(make_vessel(), partner=share.partner, project=share.project)

    said = refused(as_keeper, f"/shares/{share.pk}/change/", "amount", amount="4 g")

    assert said == (
        "0 g used and 5.000 g promised already: agree on that much at least, or "
        "release a booking first."
    )


def test_a_share_is_taken_back_with_a_reason(as_keeper, share):
    page = recorded(as_keeper, f"/shares/{share.pk}/drop/", reason="over")

    assert "No share is agreed yet." in page.main.text
    assert "has no share of rubidium any more" in page.messages


def test_a_share_that_metal_is_promised_of_is_not_taken_back(as_keeper, share):
    make_line(make_vessel(), partner=share.partner, project=share.project)

    words = refused_as_a_whole(as_keeper, f"/shares/{share.pk}/drop/", reason="over")

    assert "Thin films is still promised rubidium of it." in words


@pytest.mark.parametrize("what", ["drop", "change"])
def test_a_share_s_form_sent_twice_records_once_and_says_so(as_keeper, share, what):
    sent = {"reason": "over"} if what == "drop" else {"amount": "30 g"}

    page = sent_twice(as_keeper, f"/shares/{share.pk}/{what}/", **sent)

    assert "had been sent already" in page.messages


def test_a_new_share_sent_twice_is_set_once(as_keeper, project, films):
    sent_twice(as_keeper, share_form(project), **typed(films))

    assert Share.objects.count() == 1


def test_a_share_that_does_not_exist_is_not_found(as_keeper):
    assert as_keeper.get("/shares/99/drop/").status_code == 404
    assert as_keeper.post("/shares/99/drop/", {"reason": "x"}).status_code == 404


def test_what_is_used_promised_and_free_stands_beside_the_bar(as_keeper, share):
    gone = make_vessel()
    take(gone, line=make_line(gone, partner=share.partner, project=share.project))
    make_line(make_vessel(), 2 * G, partner=share.partner, project=share.project)

    page = opened(as_keeper, share.project.get_absolute_url())

    (row,) = page.table_under("shares")
    (bar,) = page.by_id("shares").above("section").all("svg", role="img")
    parts = [rect["width"] for rect in bar.all("rect")]
    assert row[3] == "5.000 g used 2.000 g promised 3.000 g free"
    assert bar["aria-label"] == "5.000 g used, 2.000 g promised, 3.000 g free"
    assert parts == ["100%", "50.0%", "20.0%", "20.0%", "30.0%"]


def test_a_share_that_was_gone_beyond_says_by_how_much(as_keeper, share):
    vessel = make_vessel(holding_ug=12 * G, capacity_ul=40_000)
    about = {"partner": share.partner, "project": share.project}
    make_line(vessel, beyond_share="agreed by telephone", **about)

    (row,) = opened(as_keeper, share.project.get_absolute_url()).table_under("shares")

    assert row[2] == "10.000 g 2.000 g beyond"


def test_a_partner_sees_the_shares_bookings_and_takings_of_its_own_alone(
    partner, films
):
    zeolites = make_partner("Zeolites")
    project = projects.start(
        facts={"title": "Getters"},
        partners=[films, zeolites],
        members=[Member(partner, partner=films)],
        **signed(),
    )
    for each, mass_ug in [(films, 10 * G), (zeolites, 33 * G)]:
        make_share(project, each, mass_ug=mass_ug)
        gone = make_vessel()
        line = make_line(gone, partner=each, project=project)
        take(gone, line=line, purpose=f"a film of {each}")
    of_others = Booking.objects.get(partner=zeolites)

    client = as_user(partner)
    page = opened(client, project.get_absolute_url())

    (row,) = page.table_under("shares")
    assert row[0] == "Thin films"
    assert len(page.table_under("bookings")) == 1
    assert "a film of Thin films" in page.main.text
    assert "a film of Zeolites" not in page.main.text
    assert "33.000 g" not in page.main.text
    assert client.get(of_others.get_absolute_url()).status_code == 404


def test_a_partner_cannot_change_a_share(partner, share):
    page = opened(as_user(partner), share.project.get_absolute_url())

    assert not [link for link in page.links if "share" in link]


def test_shares_cost_a_project_s_page_no_more_queries(as_keeper, project, films):
    def asked():
        with CaptureQueriesContext(connection) as found:
            opened(as_keeper, project.get_absolute_url())
        return len(found)

    make_share(project, films)
    make_booking(make_vessel(), project=project, partner=films)
    asked()
    few = asked()
    for name in ("Zeolites", "Cells", "Clocks"):
        project.partners.add(other := make_partner(name))
        make_share(project, other, "K")
        make_booking(make_vessel(), project=project, partner=other)

    assert asked() == few
