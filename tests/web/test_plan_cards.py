"""What a plan says of each of its vessels, and what it warns of."""

import pytest

from inventory.operations import heels, planning
from tests.domain.cared import lend
from tests.domain.planned import some
from tests.factories import G, make_batch, make_request, make_vessel, signed
from tests.web.person import opened
from tests.web.plans import at, link, plans


@pytest.fixture
def batch(shipped):
    return make_batch(purity=0.998)


def card(client, request, **wishes):
    return plans(opened(client, at(request, **wishes)))[0].text


def test_each_vessel_of_a_plan_names_its_batch_and_how_pure_it_is(as_keeper, batch):
    make_vessel(batch)
    silent = make_vessel(make_batch("K"))

    text = card(as_keeper, make_request())
    of_silent = card(as_keeper, make_request(symbol="K"))

    assert f"batch {batch} · 99.8 % pure" in text
    assert f"batch {silent.batch} · purity not known" in of_silent


def test_a_vessel_that_was_in_other_hands_is_marked(as_keeper, batch):
    stayed, back = make_vessel(batch), make_vessel(batch)
    lend(back, back_in=3, expected_ug=5 * G)
    back.custodian = None
    back.save()
    request = make_request()

    assert "was in other hands" not in card(as_keeper, request, pin=stayed.pk)
    assert "was in other hands" in card(as_keeper, request, pin=back.pk)


def test_an_opened_vessel_that_goes_whole_because_it_is_pinned_is_marked(
    as_keeper, batch
):
    vessel = make_vessel(batch)
    some(vessel, G)
    request = make_request(need=None, vessel_count=1)

    assert "An opened one goes whole only if it is pinned" in card(as_keeper, request)
    vessel.refresh_from_db()
    marked = f"opened {vessel.opened_on:%-d %b %Y}"
    assert marked in card(as_keeper, request, pin=vessel.pk)


def test_who_draws_to_the_last_milligram_is_told_to_note_a_heel(as_keeper, batch):
    vessel = make_vessel(batch, holding_ug=3 * G)
    request, words = make_request(), "nobody empties glass so well"

    first = plans(opened(as_keeper, at(request)))[0]

    assert words in first.text
    assert link(first, "Note what stays behind") == f"/vessels/{vessel.pk}/heel/"
    heels.note(vessel, G // 100, **signed())
    assert words not in card(as_keeper, request)
    assert words not in card(as_keeper, make_request(need="1 g"))


def test_when_all_that_suits_was_left_out_the_plan_says_so(as_keeper, batch):
    vessel = make_vessel(batch)

    text = card(as_keeper, make_request(), leave=vessel.pk)

    assert "Every vessel that suits was left out." in text


def test_the_page_says_when_not_every_vessel_was_looked_at(
    as_keeper, batch, monkeypatch
):
    monkeypatch.setattr(planning, "MOST_LOOKED_AT", 3)
    for _ in range(3):
        make_vessel(batch)
    request, words = make_request(), "Not every vessel was looked at."
    assert words not in opened(as_keeper, at(request)).main.text

    make_vessel(batch)
    text = opened(as_keeper, at(request)).main.text

    assert words in text
    assert "3 of the 4 vessels of Rb that may be used were looked at" in text
