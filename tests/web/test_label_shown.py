"""What the page of a print job shows before anything is printed."""

from urllib.parse import urlsplit

import pypdfium2
import pytest

from inventory.models import LabelPrint, LogEntry
from inventory.operations import vessels
from labels.formats import FORMATS
from labels.own import fitting
from labels.stock import SHEETS
from tests.factories import (
    make_batch,
    make_label_sheet,
    make_laboratory,
    make_place,
    make_vessel,
    signed,
)
from tests.web.pages import Page
from tests.web.papers import LABELS, codes, painted, the_pdf

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


def words_on(page):
    """Return the words that stand on the drawn labels."""
    return " ".join(text.text for text in page.main.all("text"))


@pytest.mark.parametrize("format", [f.key for f in FORMATS.values() if f.of_vessel])
def test_each_format_is_shown_on_a_sheet_it_fits_unasked(as_keeper, format):
    vial = make_vessel(kind="vial", capacity_ul=10_000)

    page = shown(as_keeper, vessel=vial.pk, format=format, mode="eu", first="en")

    assert page.status == 200
    assert len(drawn(page)) >= 1
    assert vial.full_code in words_on(page)


def test_a_sheet_that_cannot_carry_the_format_is_refused_and_others_are_named(
    as_keeper, vessel
):
    page = shown(as_keeper, vessel=vessel.pk, format="tag", sheet="a4-63x38")

    said = page.wrong()["sheet"]
    assert "“Tie-on tag” does not fit labels of 63 × 38 mm" in said
    assert fitting(FORMATS["tag"], SHEETS)[0].name in said


def test_an_own_sheet_is_offered_and_carries_labels(as_keeper, vessel):
    own = make_label_sheet(name="Cupboard sheet")

    page = shown(as_keeper, vessel=vessel.pk, sheet=f"own-{own.pk}")

    assert "on “Cupboard sheet”" in page.main.text
    assert len(page.main.all("input", name="used")) == 24


def test_the_drawing_says_what_is_printed_in_every_language(as_keeper, vessel):
    page = shown(
        as_keeper,
        vessel=vessel.pk,
        format="tag",
        mode="eu",
        first="de",
        second="fr",
        third="en",
    )

    said = words_on(page)
    # The net mass stands once, in the first language.
    assert "Netto 5,0000 g" in said
    # Germany's and France's signal words, and England's (CLP Annex VII, table 1.2).
    assert all(word in said for word in ("Gefahr", "Danger"))
    assert all(f"{lang} " in said for lang in ("DE", "FR", "EN"))


def test_the_words_of_the_drawing_are_those_of_the_pdf(as_keeper, vessel):
    page = shown(as_keeper, vessel=vessel.pk)

    document = pypdfium2.PdfDocument(the_pdf(as_keeper, vessel))
    in_pdf = " ".join(document[0].get_textpage().get_text_range().split())
    document.close()
    for text in page.main.all("text"):
        assert text.text in in_pdf, text.text


@pytest.mark.parametrize("twice", ["en", "de"])
def test_a_language_chosen_twice_is_refused_at_the_field(as_keeper, vessel, twice):
    page = shown(
        as_keeper, vessel=vessel.pk, format="full", mode="eu", first=twice, second=twice
    )

    assert list(page.wrong()) == ["first"]


@pytest.mark.parametrize("mode", ["gb", "osha"])
def test_labels_by_rules_that_ask_for_english_are_refused_without(
    as_keeper, vessel, mode
):
    page = shown(as_keeper, vessel=vessel.pk, format="full", mode=mode, first="de")

    assert "are in English" in page.wrong()["first"]


def test_the_verdict_of_the_rules_stands_beside_each_label(as_keeper, vessel):
    page = shown(as_keeper, vessel=vessel.pk)

    (verdict,) = [e for e in page.main.all("details") if "verdict" in e["class"]]
    assert "Has to be there" in verdict.text
    assert "CLP Art." in verdict.text
    assert "H314" in verdict.text or "skin burns" in verdict.text


def test_what_is_left_out_is_said_with_its_reason(as_keeper, vessel):
    page = shown(as_keeper, vessel=vessel.pk, format="full", mode="osha", first="en")

    (verdict,) = [e for e in page.main.all("details") if "verdict" in e["class"]]
    _, _, left_out = verdict.text.partition("Left out")
    # EUH statements are the European Union's own (CLP Annex II).
    assert "EUH014" in left_out
    assert "EUH014" not in words_on(page)
    assert "1910.1200" in verdict.text


def test_a_box_gets_one_label_for_each_batch_with_its_vessels_listed(as_keeper):
    potassium, rubidium = make_batch("K"), make_batch("Rb")
    inside = [make_vessel(potassium) for _ in range(2)] + [make_vessel(rubidium)]

    wishes = {"format": "box", "mode": "eu", "first": "en", "second": "de"}
    page = shown(as_keeper, vessel=[one.pk for one in inside], **wishes)
    pictures = painted(the_pdf(as_keeper, *inside, **wishes))

    said = words_on(page)
    assert all(one.full_code in said for one in inside)
    assert "Inside: 2 vessels" in said
    assert len(drawn(page)) == 2
    links = {urlsplit(link).path for picture in pictures for link in codes(picture)}
    assert links == {f"/B/{potassium}", f"/B/{rubidium}"}
    assert all(as_keeper.get(link).status_code == 302 for link in links)
    assert not LabelPrint.objects.exists()
    assert LogEntry.objects.get(verb="label-print").summary == (
        f"Printed 2 × outer box: {potassium}, {rubidium}"
    )


def test_a_place_gets_a_sign_that_says_all_that_is_kept_there(as_keeper):
    shelf = make_place(name="Cabinet 4")
    inside = [make_vessel(make_batch(metal)) for metal in ("Li", "Rb", "Ba")]
    for one in inside:
        vessels.move(one, shelf, **signed())

    asked = {"format": "sign", "mode": "eu", "first": "en"}
    page = shown(as_keeper, place=shelf.pk, **asked)
    pictures = painted(the_pdf(as_keeper, *inside, **asked))

    said = words_on(page)
    assert "Cabinet 4" in said
    assert "NEVER WATER" in said
    assert all(metal in said for metal in ("Lithium", "Rubidium", "Barium"))
    # What puts out a fire of one of them is wrong for another.
    assert "In case of fire" not in said
    (link,) = {urlsplit(link).path for picture in pictures for link in codes(picture)}
    assert as_keeper.get(link)["Location"] == f"/places/{shelf.pk}/"


def test_a_sign_for_a_vessel_that_stands_nowhere_says_so(as_keeper, vessel):
    page = shown(as_keeper, vessel=vessel.pk, format="sign", mode="eu", first="en")

    assert f"{vessel} stands in no place: a sign is for a place." in page.main.text


def test_a_label_that_cannot_be_printed_so_says_why_in_its_place(as_keeper):
    thick = make_vessel(kind="bottle", capacity_ul=500_000)

    page = shown(as_keeper, vessel=thick.pk, format="wrap", mode="eu", first="en")

    assert page.status == 200
    assert "The wrap goes round glass of 15 to 34 mm" in page.main.text
    assert drawn(page) == []


def test_the_transport_line_is_printed_on_request_alone(as_keeper, vessel):
    asked = {"vessel": vessel.pk, "format": "tag", "mode": "eu", "first": "en"}

    without, with_line = (
        shown(as_keeper, **asked),
        shown(as_keeper, **asked, transport="on"),
    )

    assert "UN 1423" not in words_on(without)
    assert "UN 1423" in words_on(with_line)


def test_twenty_labels_are_shown_and_the_others_by_page(as_keeper, vessel):
    for _ in range(21):
        make_vessel(vessel.batch)

    first = shown(as_keeper, batch=vessel.batch)
    second = shown(as_keeper, batch=vessel.batch, page="2")

    assert (len(drawn(first)), len(drawn(second))) == (20, 2)
    assert len(ticked(second)) == 22


def test_the_part_that_a_script_asks_for_shows_the_same_labels(as_keeper, vessel):
    query = {"vessel": vessel.pk, "format": "flag", "mode": "eu", "first": "en"}

    page = shown(as_keeper, **query)
    part = Page(as_keeper.get("/labels/preview/", query))

    labels = [e["aria-label"] for e in part.all("svg") if e["aria-label"]]
    assert [each for each in labels if each in drawn(page)] == drawn(page)
    assert part.all("input", name="csrfmiddlewaretoken")


def test_the_part_that_a_script_asks_for_says_what_was_refused(as_keeper, vessel):
    answer = as_keeper.get("/labels/preview/", {"batch": "ZZ26A"})

    assert answer.status_code == 200
    assert "There is no batch ZZ26A here." in Page(answer).text


@pytest.mark.parametrize(
    ("name", "text"),
    [("glass", "wide"), ("glass", "0"), ("stem", "-3"), ("glass", "1e999")],
)
def test_a_diameter_that_is_none_is_refused_at_its_field(as_keeper, vessel, name, text):
    page = shown(as_keeper, vessel=vessel.pk, **{name: text})

    assert list(page.wrong()) == [name]
