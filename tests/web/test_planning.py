"""Plans side by side in a browser: what each says, and wishes to plan again."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.operations import inspections
from inventory.web import plan_choice
from inventory.web.views import plans as plans_view
from tests.domain.planned import some
from tests.factories import (
    G,
    fill,
    make_batch,
    make_booking,
    make_project,
    make_request,
    make_tared,
    make_vessel,
    signed,
)
from tests.web.person import opened
from tests.web.plans import at, link, plans, reserved

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


def test_a_plan_says_from_which_vessel_how_much_and_why(as_keeper, batch):
    vessel = make_vessel(batch)
    some(vessel, G)
    request = make_request()

    (card,) = plans(opened(as_keeper, at(request)))

    assert f"{vessel} 3.000 g" in card.text
    assert "drawn of 4.000 g free; 1.000 g stays inside" in card.text
    assert "open already" in card.text
    assert "almost certainly: more than 99.9 % that it is there" in card.text
    assert "Opens no vessel" in card.text
    assert "Proven to be the best of its kind" in card.text


def test_a_draw_that_opens_a_vessel_says_so(as_keeper, batch):
    fill(make_tared(batch), stated_ug=5 * G, u_stated_ug=100, closure="flame_sealed")
    make_vessel(batch)
    request = make_request(need="9 g")

    (card,) = plans(opened(as_keeper, at(request)))

    assert "breaks its seal" in card.text
    assert "opens it" in card.text
    assert "Opens 2 vessels" in card.text
    assert "Left over 1.000 g" in card.text


def test_a_vessel_that_goes_whole_stays_closed(as_keeper, batch):
    make_vessel(batch)

    (card,) = plans(opened(as_keeper, at(make_request(need=None, vessel_count=1))))

    assert "whole, 5.0000 g ± 0.0020 g (k = 2)" in card.text
    assert "stays closed" in card.text


def test_plans_that_differ_stand_side_by_side_with_what_differs_marked(
    as_keeper, two_ways
):
    request, new_one, old_one = two_ways

    first, second = plans(opened(as_keeper, at(request)))

    assert first.all("h2")[0].text == "Fewest openings"
    assert "This is also the choice for least left over." in first.text
    assert f"{new_one} differs 3.000 g" in first.text
    assert second.all("h2")[0].text == "Oldest stock first"
    assert f"{old_one} differs 3.000 g" in second.text
    assert "Left over 6.000 g differs" in second.text
    assert "Opens 1 vessel Left" in second.text  # Both open one.


def test_a_pinned_vessel_is_used_and_can_be_let_go_again(as_keeper, two_ways):
    request, new_one, old_one = two_ways
    card = plans(opened(as_keeper, at(request)))[1]

    page = opened(as_keeper, link(card, f"Pin {old_one}"))

    assert all(str(old_one) in card.text for card in plans(page))
    assert "pinned" in plans(page)[0].text
    back = opened(as_keeper, link(page.main, f"Unpin {old_one}"))
    assert str(new_one) in plans(back)[0].text


def test_a_vessel_left_out_is_not_used_and_can_be_allowed_again(as_keeper, two_ways):
    request, new_one, _ = two_ways
    card = plans(opened(as_keeper, at(request)))[0]

    page = opened(as_keeper, link(card, f"Leave out {new_one}"))

    assert all(str(new_one) not in card.text for card in plans(page))
    assert f"Left out: {new_one}" in page.main.text
    back = opened(as_keeper, link(page.main, f"Allow {new_one}"))
    assert str(new_one) in plans(back)[0].text
    assert link(page.main, "Plan without these wishes") == at(request)


def test_wishes_and_requests_stay_in_the_address(as_keeper, two_ways):
    request, new_one, old_one = two_ways
    page = opened(as_keeper, at(request, pin=old_one.pk, leave=new_one.pk))

    sure = link(page.main, "Count only what is there at 97.5 %")

    assert sure == at(request, pin=old_one.pk, leave=new_one.pk, sure=1)
    assert "Counted is what is there at 97.5 %." in opened(as_keeper, sure).main.text


def test_a_pin_that_cannot_be_used_is_named_with_the_reason(as_keeper, two_ways):
    request, _, old_one = two_ways
    make_booking(old_one)

    (card,) = plans(opened(as_keeper, at(request, pin=old_one.pk)))

    assert (
        f"{old_one} is pinned but not used: nothing of it is free, or it is not here."
        in card.text
    )


def test_what_cannot_be_served_is_said_with_how_much_is_missing(as_keeper, batch):
    make_vessel(batch)

    (card,) = plans(opened(as_keeper, at(make_request(need="8 g"))))

    assert "Not all can be served." in card.text
    assert (
        "3.000 g missing. The one vessel that suits has 5.000 g to draw." in card.text
    )


def test_without_a_vessel_of_the_metal_nothing_can_be_reserved(as_keeper, shipped):
    page = opened(as_keeper, at(make_request()))

    (card,) = plans(page)
    assert "Nothing can be served." in card.text
    assert "No vessel of rubidium here has anything free." in card.text
    assert page.own_forms() == []


def test_metal_that_is_not_pure_enough_is_named_with_what_is_asked(as_keeper, batch):
    make_vessel(batch)
    request = make_request(smallest_purity=0.9999)

    (card,) = plans(opened(as_keeper, at(request)))

    assert "No vessel of rubidium is known to be 99.99 % pure." in card.text


def test_a_project_without_an_open_request_says_so(as_keeper, shipped):
    page = opened(as_keeper, f"/plan/?project={make_project().pk}")

    assert "No open request" in page.main.text


def test_a_request_that_is_served_says_that_nothing_is_missing(as_keeper, batch):
    make_vessel(batch)
    request = make_request()
    reserved(as_keeper, at(request))

    page = opened(as_keeper, at(request))

    assert "Nothing is missing" in page.main.text
    assert plans(page) == []


@pytest.mark.parametrize("address", ["/plan/?request=999", "/plan/?request=999&pin=1"])
def test_a_request_that_does_not_exist_is_not_found(as_keeper, shipped, address):
    assert as_keeper.get(address).status_code == 404


@pytest.mark.parametrize("wish", ["pin=x", "leave=1e9", "pin=999999", "sure=2"])
def test_a_wish_that_means_nothing_changes_nothing(as_keeper, batch, wish):
    vessel = make_vessel(batch)

    (card, *_) = plans(opened(as_keeper, f"{at(make_request())}&{wish}"))

    assert str(vessel) in card.text


def test_without_an_address_the_page_offers_the_requests_that_wait(as_keeper, batch):
    waiting, served = make_request(), make_request()
    make_vessel(batch)
    reserved(as_keeper, at(served))

    page = opened(as_keeper, "/plan/")

    assert [row[1] for row in page.rows()] == [str(waiting)]


def test_the_project_leads_to_a_plan_for_its_open_requests(as_keeper, batch):
    project = make_project()
    bare = opened(as_keeper, project.get_absolute_url())
    make_request(project)

    page = opened(as_keeper, project.get_absolute_url())

    assert f"/plan/?project={project.pk}" not in bare.links
    assert f"/plan/?project={project.pk}" in page.links


def test_what_is_the_same_in_each_plan_stands_once(as_keeper, two_ways):
    request, *_ = two_ways
    potassium = make_vessel(make_batch("K"))

    page = opened(as_keeper, at(request, make_request(symbol="K")))

    together = page.by_id("common").above("section")
    assert f"{potassium} 3.000 g" in together.text
    assert len(plans(page)) == 2
    assert all(str(potassium) not in card.text for card in plans(page))


def questions(client, address):
    """Return how many questions a page asks the database."""
    with CaptureQueriesContext(connection) as asked:
        assert client.get(address).status_code == 200
    return len(asked)


def test_fifty_vessels_and_ten_requests_cost_a_plan_no_more_queries(
    as_keeper, two_ways
):
    request, vessel, other = two_ways
    pages = [at(request, pin=vessel.pk, leave=other.pk), "/plan/"]
    project = request.project
    pages += [f"/plan/?project={project.pk}", project.get_absolute_url()]
    few = [questions(as_keeper, page) for page in pages]

    for _ in range(10):
        batch = make_batch(purity=0.99)
        for _ in range(5):
            make_vessel(batch, holding_ug=2 * G)
        make_request(project, need="3 g")
    pages[0] = at(*project.requests.all(), pin=vessel.pk, leave=other.pk)

    assert [questions(as_keeper, page) for page in pages] == few


def test_a_vessel_with_a_doubtful_seal_is_marked(as_keeper, batch):
    sound, doubtful = make_vessel(batch), make_vessel(batch)
    seal = {"looked_on": TODAY, "seal": "doubtful"}
    inspections.record(doubtful, **seal, **signed())
    request = make_request()

    without = opened(as_keeper, at(request, pin=sound.pk)).main.text
    with_it = opened(as_keeper, at(request, pin=doubtful.pk)).main.text

    assert "seal doubtful" not in without
    assert "seal doubtful" in with_it


def test_of_very_many_requests_those_needed_first_are_planned_for(
    as_keeper, batch, monkeypatch
):
    make_vessel(batch)
    for module in (plan_choice, plans_view):
        monkeypatch.setattr(module, "MOST_REQUESTS", 2)
    last, first, second = (
        make_request(need="1 g", needed_by=TODAY + timedelta(days=days))
        for days in (9, 1, 2)
    )

    page = opened(as_keeper, at(last, first, second))

    assert [row[0] for row in page.rows()] == [str(first), str(second)]
    assert "Planned for are the 2 that are needed first." in page.main.text
