"""Reserving one of the plans in a browser: once, whole, and as it was offered."""

from datetime import timedelta

import pytest
from django.core import signing
from django.utils import timezone

from inventory.models import Booking, LogEntry
from inventory.operations import asking
from inventory.web.forms.planning import SALT
from tests.domain.planned import promised
from tests.factories import (
    G,
    make_batch,
    make_booking,
    make_partner,
    make_project,
    make_request,
    make_share,
    make_vessel,
    signed,
)
from tests.web.pages import Page
from tests.web.person import opened
from tests.web.plans import at, plans, reserved, sent_by

TODAY = timezone.localdate()


@pytest.fixture
def batch(shipped):
    return make_batch(purity=0.998)


@pytest.fixture
def two_ways(batch):
    """Return a request that two vessels of different age could serve."""
    old = make_batch(made_on=TODAY - timedelta(days=400), purity=0.99)
    new_one = make_vessel(batch, holding_ug=3 * G)
    old_one = make_vessel(old, holding_ug=9 * G)
    return make_request(), new_one, old_one


def test_the_plan_chosen_is_reserved_and_no_other(as_keeper, two_ways):
    request, _, old_one = two_ways

    page = reserved(as_keeper, at(request), number=1)

    assert promised() == {request.pk: {old_one.pk: 3 * G}}
    assert "Booked 3.000 g" in page.messages
    assert page.all("h1")[0].text == str(Booking.objects.get())


def test_several_requests_are_reserved_at_once_and_lead_to_their_project(
    as_keeper, batch
):
    make_vessel(batch, holding_ug=9 * G)
    project = make_project(title="Films")
    one, two = make_request(project), make_request(project, "4 g")

    page = reserved(as_keeper, f"/plan/?project={project.pk}")

    assert set(promised()) == {one.pk, two.pk}
    assert page.all("h1")[0].text == "Films"


def test_how_long_it_holds_is_what_is_typed(as_keeper, batch):
    make_vessel(batch)
    until = TODAY + timedelta(days=40)

    reserved(as_keeper, at(make_request()), expires_on=until.isoformat())

    assert Booking.objects.get().expires_on == until


def test_a_plan_sent_twice_is_reserved_once_and_says_so(as_keeper, batch):
    make_vessel(batch, holding_ug=9 * G)
    address = at(make_request(), make_request())
    sent = sent_by(plans(opened(as_keeper, address))[0])

    first = as_keeper.post(address, sent)
    second = as_keeper.post(address, sent)

    assert second["Location"] == first["Location"]
    assert Booking.objects.count() == 2
    words = opened(as_keeper, second["Location"]).messages
    assert "had been sent already" in words


def test_after_a_change_of_stock_the_page_says_what_and_plans_anew(as_keeper, two_ways):
    request, new_one, old_one = two_ways
    address = at(request)
    sent = sent_by(plans(opened(as_keeper, address))[0])
    make_booking(new_one)
    before = LogEntry.objects.count()

    page = Page(as_keeper.post(address, sent))

    assert page.status == 409
    assert f"{new_one} is promised altogether now." in page.main.text
    assert LogEntry.objects.count() == before
    (card,) = plans(page)
    assert str(old_one) in card.text
    assert as_keeper.post(address, sent_by(card)).status_code == 302
    assert promised()[request.pk] == {old_one.pk: 3 * G}


def shared(mass_ug):
    """Return (project, partner) that may have so much rubidium."""
    partner = make_partner("Thin-film group")
    project = make_project(partner=partner.name)
    make_share(project, partner, mass_ug=mass_ug)
    return project, partner


def test_more_than_the_share_asks_for_the_reason_in_the_plan_itself(
    as_keeper, two_ways
):
    project, partner = shared(3 * G)
    request = make_request(project, partner=partner)
    make_share(project, partner, mass_ug=2 * G)
    address = at(request)
    cards = plans(opened(as_keeper, address))
    assert "Why more than the share" not in cards[1].text

    page = Page(as_keeper.post(address, sent_by(cards[1])))

    assert page.status == 422
    assert "2.000 g free of its share" in page.wrong()["beyond_share"]
    assert "beyond_share" in sent_by(plans(page)[1])
    sent = sent_by(plans(page)[1], beyond_share="agreed by telephone")
    assert as_keeper.post(address, sent).status_code == 302
    assert Booking.objects.get().beyond_share == "agreed by telephone"


def test_the_reason_given_when_it_was_granted_stands_where_one_is_asked_for(
    as_keeper, two_ways
):
    project, partner = shared(3 * G)
    request = make_request(project, partner=partner)
    asking.grant(request, reason="agreed at the meeting", **signed())
    make_share(project, partner, mass_ug=2 * G)
    address = at(request)

    page = Page(as_keeper.post(address, sent_by(plans(opened(as_keeper, address))[0])))

    assert "2.000 g free of its share" in page.main.text.split("For")[0]
    assert sent_by(plans(page)[0])["beyond_share"] == "agreed at the meeting"
    assert as_keeper.post(address, sent_by(plans(page)[0])).status_code == 302
    assert Booking.objects.get().beyond_share == "agreed at the meeting"


def test_a_promise_that_ends_too_early_is_refused_at_its_field(as_keeper, batch):
    make_vessel(batch)
    address = at(make_request())
    (card,) = plans(opened(as_keeper, address))

    sent = sent_by(card, expires_on=TODAY.isoformat())
    page = Page(as_keeper.post(address, sent))

    assert page.status == 422
    assert page.wrong() == {
        "expires_on": "The promise would end before the metal is needed."
    }
    assert sent_by(plans(page)[0])["expires_on"] == TODAY.isoformat()


def edited(text):
    """Return a plan with one more microgram, under the old signature."""
    return "A" + text[1:] if text[0] != "A" else "B" + text[1:]


def signed_elsewhere(text):
    return signing.dumps(signing.loads(text, salt=SALT), salt="another page")


@pytest.mark.parametrize("tamper", [edited, signed_elsewhere, lambda text: "nonsense"])
def test_a_plan_that_was_edited_is_refused_and_offered_anew(as_keeper, batch, tamper):
    make_vessel(batch)
    address = at(make_request())
    (card,) = plans(opened(as_keeper, address))
    sent = sent_by(card)

    page = Page(as_keeper.post(address, {**sent, "plan": tamper(sent["plan"])}))

    assert page.status == 422
    assert "This plan is not as it was offered" in page.main.text
    assert len(plans(page)) == 1
    assert promised() == {}
