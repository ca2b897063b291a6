"""The link in a label's code: however it is read, it opens the batch record."""

import pytest
from django.utils import timezone
from django.utils.formats import date_format

from inventory.operations import corrections, ledger, vessels
from inventory.web import fate
from tests.factories import earlier, make_tared, make_vessel, signed, take
from tests.web.pages import Page
from tests.web.person import opened

pytestmark = pytest.mark.usefixtures("shipped")


@pytest.fixture
def vessel():
    make_vessel()
    return make_vessel(make_vessel().batch)


def landed(client, link):
    """Return the page where a scanned link ends, and its address."""
    answer = client.get(link, follow=True)
    return Page(answer), answer.request["PATH_INFO"]


@pytest.mark.parametrize("link", ["/B/{}/02", "/B/{}/02/", "/B/{}/2", "/B/{}/0002"])
@pytest.mark.parametrize("case", [str.upper, str.lower, str.title])
def test_a_scanned_link_opens_the_batch_with_the_vessel_marked(
    as_keeper, vessel, link, case
):
    page, where = landed(as_keeper, link.format(case(vessel.batch.code)))

    (marked,) = [row for row in page.main.all("tr") if row["aria-current"]]
    assert where == vessel.batch.get_absolute_url()
    assert vessel.code in marked.text
    assert marked["id"] == f"vessel-{vessel.number}"
    assert vessel.full_code in page.main.text
    assert vessel.get_absolute_url() in page.links


def test_a_scanned_link_jumps_to_the_vessel_s_row(as_keeper, vessel):
    answer = as_keeper.get(f"/B/{vessel.batch}/02")

    assert answer["Location"].endswith("#vessel-2")


@pytest.mark.parametrize("link", ["/B/{}", "/B/{}/"])
def test_a_link_to_a_batch_alone_marks_no_vessel(as_keeper, vessel, link):
    page, where = landed(as_keeper, link.format(vessel.batch))

    assert where == vessel.batch.get_absolute_url()
    assert not [row for row in page.main.all("tr") if row["aria-current"]]


@pytest.mark.parametrize(
    "link", ["/B/ZZ99Z/01", "/B/ZZ99Z", "/B/{}/77", "/B/{}/0", "/B/{}/1x", "/B/"]
)
def test_an_unknown_code_answers_404_in_our_look(as_keeper, vessel, link):
    page, _ = landed(as_keeper, link.format(vessel.batch))

    assert page.status == 404
    assert len(page.all("h1")) == 1
    assert "/" in page.links


def test_the_record_of_a_filled_vessel_says_what_is_left(as_keeper, vessel):
    page, _ = landed(as_keeper, f"/B/{vessel.batch}/02")

    assert "5.000 g" in page.main.text
    assert "argon" in page.main.text


def today():
    return date_format(timezone.localdate())


def test_a_spent_vessel_says_so_when_and_what_for(as_keeper, vessel):
    take(vessel, purpose="getter film 7")

    page, _ = landed(as_keeper, f"/B/{vessel.batch}/02")

    assert "This vessel is spent" in page.main.text
    assert (
        f"The last of it, 5.000 g, was withdrawn on {today()}: getter film 7."
        in page.main.text
    )
    assert "Residue on the glass still reacts" in page.main.text


def test_a_destroyed_vessel_says_how_and_when(as_keeper, vessel):
    ledger.destroy(
        vessel, how="quenched in isopropanol", happened_at=earlier(), **signed()
    )

    page, _ = landed(as_keeper, f"/B/{vessel.batch}/02")

    assert (
        f"The rest of it, 5.000 g, was destroyed on {today()}: "
        "quenched in isopropanol." in page.main.text
    )


def test_a_retired_vessel_says_since_when_by_whom_and_why(as_keeper, vessel):
    take(vessel)
    vessels.retire(vessel, reason="cracked", **signed())

    page, _ = landed(as_keeper, f"/B/{vessel.batch}/02")

    assert f"This vessel is retired since {today()}." in page.main.text
    assert f"Retired on {today()} by somebody: cracked." in page.main.text


def test_a_withdrawal_taken_back_is_not_what_became_of_a_vessel(as_keeper, vessel):
    first = take(vessel, purpose="by mistake")
    corrections.correct(first, reason="wrong vessel", **signed())
    vessel = ledger.read(vessel.pk)
    ledger.destroy(vessel, how="quenched", happened_at=earlier(), **signed())

    page, _ = landed(as_keeper, f"/B/{vessel.batch}/02")

    assert "was destroyed on" in page.main.text
    assert "was withdrawn on" not in page.main.text


def test_the_page_of_a_spent_and_of_a_retired_vessel_says_what_became_of_it(
    as_keeper, vessel
):
    take(vessel, purpose="getter film 7")
    spent = opened(as_keeper, vessel.get_absolute_url()).main.text
    vessels.retire(vessel, reason="cracked", **signed())
    retired = opened(as_keeper, vessel.get_absolute_url()).main.text

    assert "was withdrawn on" in spent
    assert "by somebody: cracked." in retired


def test_a_vessel_that_is_only_tared_says_so(as_keeper, vessel):
    tared = make_tared(vessel.batch)

    page, _ = landed(as_keeper, f"/B/{vessel.batch}/{tared.number}")

    assert "tared and not filled" in page.main.text


def test_signed_out_one_logs_in_and_comes_back_to_the_scanned_vessel(
    client, operator, vessel
):
    link = f"/B/{vessel.batch}/02"

    asked = client.get(link)
    log_in = opened(client, asked["Location"])
    answer = client.post(
        asked["Location"],
        {**log_in.typed(), "username": "the-operator", "password": "argon"},
    )

    assert answer["Location"] == link
    _, where = landed(client, link)
    assert where == vessel.batch.get_absolute_url()


def test_a_wrong_password_is_refused_in_one_sentence(client, operator):
    page = Page(
        client.post("/log-in/", {"username": "the-operator", "password": "neon"})
    )

    assert "correct username and password" in page.main.text
    assert "_auth_user_id" not in client.session


def test_logging_in_leads_nowhere_outside(client, operator):
    answer = client.post(
        "/log-in/?next=https://example.org/",
        {"username": "the-operator", "password": "argon"},
    )

    assert answer["Location"] == "/"


def test_logging_out_takes_a_post_and_ends_at_the_log_in_page(as_keeper):
    (out, *_) = opened(as_keeper, "/").all("form", action="/log-out/")

    assert out["method"] == "post"
    assert as_keeper.get("/log-out/").status_code == 405
    assert as_keeper.post("/log-out/")["Location"] == "/log-in/"
    assert as_keeper.get("/vessels/").status_code == 302


def test_a_password_is_changed_by_its_owner(client, reader):
    client.force_login(reader)

    answer = client.post(
        "/password/",
        {
            "old_password": "argon",
            "new_password1": "blue-glow-of-ar",
            "new_password2": "blue-glow-of-ar",
        },
    )

    assert answer.status_code == 302
    client.logout()
    assert client.login(username="the-reader", password="blue-glow-of-ar")


def test_outsiders_are_told_since_when_a_vessel_is_empty_and_no_more(vessel):
    take(vessel, purpose="getter film 7")
    vessels.retire(vessel, reason="cracked", **signed())

    told = fate.of_vessel(ledger.read(vessel.pk), with_reasons=False)

    assert told == [
        f"Nothing is left in it since {today()}.",
        f"Retired on {today()}.",
    ]
