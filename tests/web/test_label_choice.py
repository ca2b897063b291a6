"""Which vessels a print job is for: ticked, typed, scanned, of a batch or a place."""

import pytest

from inventory.calc.codes import check_character
from labels.choosing import MOST_CODES
from tests.factories import (
    make_batch,
    make_laboratory,
    make_place,
    make_tared,
    make_vessel,
    take,
)
from tests.web.pages import Page
from tests.web.papers import LABELS

pytestmark = pytest.mark.usefixtures("shipped")


@pytest.fixture(autouse=True)
def laboratory(shipped):
    return make_laboratory()


@pytest.fixture
def vessel():
    return make_vessel()


def shown(client, **query):
    """Return the page of the job that a query asks for, refused or not."""
    return Page(client.get(LABELS, query))


def ticked(page):
    boxes = page.main.all("input", name="vessel", type="checkbox")
    return [int(box["value"]) for box in boxes]


def drawn(page):
    """Return what the drawn labels say to who cannot see them."""
    return [
        svg["aria-label"]
        for svg in page.main.all("svg")
        if (svg["class"] or "").startswith("label-picture")
    ]


def test_a_list_of_codes_chooses_its_vessels_however_they_are_typed(as_keeper):
    batch = make_batch("K")
    one, two, three, _ = (make_vessel(batch) for _ in range(4))
    link = f"https://testserver/B/{batch}/03"

    page = shown(as_keeper, codes=f"{one.full_code}\n{two.code.lower()}; {link}")

    assert ticked(page) == [one.pk, two.pk, three.pk]


def test_a_code_with_a_wrong_check_character_is_named_in_a_sentence(as_keeper, vessel):
    right = check_character(vessel.code)
    wrong = "A" if right != "A" else "B"

    page = shown(as_keeper, codes=f"{vessel.code}-{wrong}")

    assert page.status == 422
    assert page.wrong()["codes"] == (
        f"The last character of {vessel.code}-{wrong} does not fit; type it again."
    )


def test_every_wrong_code_of_a_list_gets_its_sentence(as_keeper, vessel):
    spent, tared = make_vessel(vessel.batch), make_tared(vessel.batch)
    take(spent)
    typed = f"blue {vessel.batch} {vessel.batch}-77 {spent} {tared} {vessel}"

    said = shown(as_keeper, codes=typed).wrong()["codes"]

    assert "“blue” is not a code; one looks like RB26A-07." in said
    assert f"{vessel.batch} is a batch: choose it as one." in said
    assert f"There is no vessel {vessel.batch}-77 here." in said
    assert f"Vessel {spent} holds no metal: there is nothing to label." in said
    assert f"Vessel {tared} holds no metal: there is nothing to label." in said


def test_more_codes_than_an_address_holds_are_refused(as_keeper, vessel):
    said = shown(as_keeper, codes=" ".join([vessel.code] * (MOST_CODES + 1))).wrong()

    assert said["codes"].startswith(f"At most {MOST_CODES} codes")


def test_codes_a_batch_and_a_place_add_to_what_is_ticked(as_keeper, vessel):
    place = make_place()
    in_batch, in_place = make_vessel(make_batch("K")), make_vessel(make_batch("Na"))
    type(vessel).objects.filter(pk=in_place.pk).update(place=place)
    scanned = make_vessel(make_batch("Cs"))

    page = shown(
        as_keeper,
        vessel=vessel.pk,
        codes=scanned.full_code,
        batch=in_batch.batch.code.lower(),
        place=place.pk,
    )

    chosen = {vessel.pk, in_batch.pk, in_place.pk, scanned.pk}
    assert set(ticked(page)) == chosen
    assert page.main.all("textarea", name="codes")[0].text == ""


def test_a_batch_that_is_not_here_is_refused_at_its_field(as_keeper):
    assert shown(as_keeper, batch="ZZ26A").wrong() == {
        "batch": "There is no batch ZZ26A here."
    }


def test_a_code_of_another_laboratory_gets_no_label_of_ours(as_keeper, vessel):
    link = f"https://elsewhere.example/B/{vessel.batch}/01"

    page = shown(as_keeper, codes=link)

    assert page.status == 422
    assert "This code is of another laboratory." in page.main.text
    assert drawn(page) == []
