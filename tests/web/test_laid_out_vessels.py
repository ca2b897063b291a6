"""Vessels with a code and no tare: laid out, listed as such, tared for the first time."""

import pytest

from inventory.operations import vessels
from tests.factories import (
    ML,
    G,
    make_balance,
    make_batch,
    make_tared,
    make_weighed_vessel,
    signed,
)
from tests.web.pages import Page
from tests.web.person import filled_in, opened, recorded, refused


@pytest.fixture
def batch(shipped):
    make_balance(name="Balance 1", capacity_ug=220 * G)
    return make_batch("Rb")


@pytest.fixture
def tared(batch):
    return make_tared(batch)


def test_vessels_are_laid_out_and_lists_call_them_not_tared(as_keeper, batch):
    typed = {"kind": "ampoule", "capacity": "5 mL", "count": "3"}

    page = recorded(
        as_keeper, f"/batches/{batch}/lay-out/", **typed, glass_marks="A 1\r\n\r\nA 3"
    )

    made = list(batch.vessels.order_by("number"))
    assert [vessel.glass_mark for vessel in made] == ["A 1", "", "A 3"]
    assert f"Laid out {', '.join(map(str, made))}" in page.messages
    states = [row[-1] for row in page.table_under("vessels")]
    assert all(state.startswith("Not tared") for state in states)
    vessel = opened(as_keeper, made[0].get_absolute_url())
    assert "Laid out, not tared" in vessel.main.text
    assert "Tare again" not in vessel.main.text
    assert {
        state: len(listed(as_keeper, batch, state)) for state in ("laid-out", "tared")
    } == {"laid-out": 3, "tared": 0}


def listed(client, batch, state):
    page = opened(client, f"/vessels/?q={batch}&state={state}").main
    return page.all("tbody")[0].all("tr") if page.all("tbody") else []


def test_a_laid_out_vessel_is_tared_for_the_first_time_in_those_words(as_keeper, batch):
    (vessel,) = vessels.lay_out(batch, "ampoule", 5 * ML, 1, **signed())
    at = f"/vessels/{vessel.pk}/tare/"
    heading = opened(as_keeper, at).all("h1")[0].text

    page = recorded(as_keeper, at, reading="12.8 g", gas="argon")

    assert heading == f"Tare {vessel}"
    assert page.messages == f"Tared {vessel}: 12.800 g."
    assert opened(as_keeper, at).all("h1")[0].text == f"Tare again {vessel}"


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("count", "0", "Ensure this value is greater than or equal to 1."),
        ("count", "101", "Ensure this value is less than or equal to 100."),
        ("capacity", "5 g", "5 g is a mass; a volume is needed, as in 2.5 mL"),
        ("glass_marks", "x" * 31, "A glass mark has at most 30 characters."),
    ],
)
def test_laying_out_refuses_in_one_sentence(as_keeper, batch, field, typed, sentence):
    usual = {"kind": "ampoule", "capacity": "5 mL", "count": "2"}

    said = refused(
        as_keeper, f"/batches/{batch}/lay-out/", field, **{**usual, field: typed}
    )

    assert said == sentence


@pytest.mark.parametrize(
    ("marks", "sentence"),
    [
        ("A\r\nB\r\nC", "These are 3 marks for 2 vessels."),
        ("A\r\nA", "The glass mark A is taken twice here."),
    ],
)
def test_marks_that_cannot_be_are_refused_where_they_stand(
    as_keeper, batch, marks, sentence
):
    at = f"/batches/{batch}/lay-out/"
    typed = {"kind": "ampoule", "capacity": "5 mL", "count": "2", "glass_marks": marks}

    page = Page(as_keeper.post(at, filled_in(as_keeper, at, **typed)))

    assert (page.status, page.wrong()) == (422, {"glass_marks": sentence})
    assert not batch.vessels.exists()


def test_home_tells_the_laid_out_from_the_tared(as_keeper, batch, tared):
    (vessel,) = vessels.lay_out(batch, "ampoule", 5 * ML, 1, **signed())

    words = opened(as_keeper, "/").main.text

    untared, _, waiting = words.partition("Tared and waiting to be filled")
    assert str(vessel) in untared.partition("Laid out, to be tared while empty")[2]
    assert str(tared) in waiting


def test_a_transfer_is_not_offered_into_what_is_not_tared(as_keeper, batch):
    source = make_weighed_vessel(batch)
    (untared,) = vessels.lay_out(batch, "ampoule", 5 * ML, 1, **signed())
    tared = make_tared(batch)

    page = opened(as_keeper, f"/vessels/{source.pk}/transfer/")

    assert f"gross_{tared.pk}" in page.typed()
    assert f"gross_{untared.pk}" not in page.typed()
