"""Choosing labels, and the PDF whose code leads back to the batch record."""

from urllib.parse import urlsplit

import pytest
import zxingcpp

from inventory.models import LabelPrint
from tests.factories import (
    make_batch,
    make_booking,
    make_laboratory,
    make_place,
    make_tared,
    make_vessel,
    take,
)
from tests.web.pages import Page
from tests.web.papers import LABELS, SIGNED, codes, kind_of, painted, the_pdf
from tests.web.person import opened

pytestmark = pytest.mark.usefixtures("shipped")

# Ten labels a sheet, and one label a page.
TEN, ONE = "a4-74x52", "roll-74x52"


@pytest.fixture
def vessel():
    make_laboratory()
    return make_vessel()


def printed(client, *vessels, sheet=ONE, **wishes):
    """Return the pages of the PDF, painted at 300 dpi."""
    return painted(the_pdf(client, *vessels, sheet=sheet, **wishes))


def ticked(page):
    boxes = page.main.all("input", name="vessel", type="checkbox")
    return [int(box["value"]) for box in boxes]


def refusal(client, **wishes):
    """Return the page that says why nothing is printed."""
    before = LabelPrint.objects.count()
    page = Page(client.post(LABELS, {**SIGNED, "sheet": TEN, **wishes}))
    assert page.status == 422
    assert LabelPrint.objects.count() == before
    return page


def test_the_link_in_a_printed_code_opens_the_batch_with_the_vessel_marked(
    as_keeper, vessel
):
    (picture,) = printed(as_keeper, vessel)

    (link,) = codes(picture)
    page = Page(as_keeper.get(urlsplit(link).path, follow=True))
    (marked,) = [row for row in page.main.all("tr") if row["aria-current"]]
    assert link == link.upper()
    assert vessel.code in marked.text


def test_every_vessel_of_a_selection_gets_its_own_code(as_keeper, vessel):
    others = [make_vessel(vessel.batch) for _ in range(3)]

    (picture,) = printed(as_keeper, vessel, *others, sheet=TEN)

    paths = sorted(urlsplit(link).path for link in codes(picture))
    assert paths == [f"/B/{vessel.batch}/{number:02}" for number in (1, 2, 3, 4)]


def test_labels_of_two_batches_lead_to_their_own_batches(as_keeper, vessel):
    other = make_vessel(make_batch("K"))

    (picture,) = printed(as_keeper, vessel, other, sheet=TEN)

    landed = {
        as_keeper.get(urlsplit(link).path, follow=True).request["PATH_INFO"]
        for link in codes(picture)
    }
    assert landed == {each.batch.get_absolute_url() for each in (vessel, other)}


def test_codes_begin_with_the_public_address_if_one_is_set(as_keeper, vessel, settings):
    settings.PUBLIC_URL = "https://metals.example.org"

    (picture,) = printed(as_keeper, vessel)

    assert codes(picture) == [f"HTTPS://METALS.EXAMPLE.ORG/B/{vessel.batch}/01"]


def test_codes_begin_with_the_address_asked_for_if_none_is_set(
    as_keeper, vessel, settings
):
    settings.PUBLIC_URL = ""

    (picture,) = printed(as_keeper, vessel)

    assert codes(picture) == [f"HTTP://TESTSERVER/B/{vessel.batch}/01"]


def test_places_that_are_used_up_stay_blank_wherever_they_are(as_keeper, vessel):
    (picture,) = printed(as_keeper, vessel, sheet=TEN, used=[0, 1, 2, 3, 5])

    (found,) = zxingcpp.read_barcodes(picture)

    # The fifth place of a sheet of two columns: the third row, on the left.
    corner = found.position.bottom_right
    assert 0.4 < corner.y / picture.height < 0.6
    assert corner.x / picture.width < 0.5


def test_more_labels_than_places_go_on_to_another_sheet(as_keeper, vessel):
    other = make_vessel(vessel.batch)

    pictures = printed(as_keeper, vessel, other, sheet=TEN, used=range(9))

    assert [len(codes(picture)) for picture in pictures] == [1, 1]


def test_chosen_vessels_stand_ticked(as_keeper, vessel):
    other = make_vessel(vessel.batch)
    make_vessel(vessel.batch)

    page = opened(as_keeper, f"/labels/?vessel={other.pk}&vessel={vessel.pk}")

    assert ticked(page) == [vessel.pk, other.pk]
    boxes = page.main.all("input", name="vessel", type="checkbox")
    assert all("checked" in box.attrs for box in boxes)


def test_a_batch_or_a_place_chooses_the_vessels_that_hold_metal(as_keeper, vessel):
    place = make_place()
    make_tared(vessel.batch)
    take(make_vessel(vessel.batch))
    elsewhere = make_vessel()
    type(vessel).objects.filter(pk=elsewhere.pk).update(place=place)

    by_batch = opened(as_keeper, f"/labels/?batch={vessel.batch}")
    by_place = opened(as_keeper, f"/labels/?place={place.pk}")

    assert ticked(by_batch) == [vessel.pk]
    assert ticked(by_place) == [elsewhere.pk]


def test_the_page_leads_to_the_pdf_without_a_script(as_keeper, vessel):
    page = opened(as_keeper, f"/labels/?vessel={vessel.pk}")

    answer = as_keeper.post(LABELS, page.typed(), follow=True)

    assert kind_of(answer) == (200, "application/pdf")
    assert LabelPrint.objects.get().vessel == vessel


def test_a_booking_leads_to_the_labels_of_its_vessels(as_keeper, vessel):
    booking = make_booking(vessel)

    links = opened(as_keeper, booking.get_absolute_url()).links

    (labels,) = [link for link in links if link.startswith("/labels/")]
    assert ticked(opened(as_keeper, labels)) == [vessel.pk]


def test_nothing_chosen_says_how_to_choose(as_keeper, vessel):
    page = opened(as_keeper, "/labels/")

    assert ticked(page) == []
    assert "/vessels/" in page.links


def test_no_label_is_printed_before_the_laboratory_is_named(as_keeper):
    vessel = make_vessel()

    page = refusal(as_keeper, vessel=vessel.pk)

    assert "laboratory's name, address and telephone first" in page.main.text
    assert ticked(page) == [vessel.pk]


@pytest.mark.parametrize("state", ["spent", "tared", "unknown"])
def test_no_label_is_printed_for_a_vessel_without_metal(as_keeper, vessel, state):
    if state == "spent":
        take(vessel)
        key = vessel.pk
    else:
        key = make_tared(vessel.batch).pk if state == "tared" else 999_999

    page = refusal(as_keeper, vessel=key)

    assert "holds no metal: there is nothing to label" in page.main.text


def test_no_label_is_printed_when_one_of_the_vessels_holds_no_metal(as_keeper, vessel):
    page = refusal(as_keeper, vessel=[vessel.pk, make_tared(vessel.batch).pk])

    assert "nothing to label" in page.main.text


@pytest.mark.parametrize("used", ["10", "11", "999999999", "-1", "x", "1.5"])
def test_places_that_the_sheet_does_not_have_are_refused(as_keeper, vessel, used):
    said = refusal(as_keeper, vessel=vessel.pk, used=used).main.text

    assert "This sheet has 10 places." in said or "This is no key" in said


def test_a_sheet_with_every_place_used_up_is_refused(as_keeper, vessel):
    page = refusal(as_keeper, vessel=vessel.pk, used=list(range(10)))

    assert "Leave one place at least to print on." in page.main.text


def test_a_sheet_that_is_not_known_is_refused(as_keeper, vessel):
    page = refusal(as_keeper, vessel=vessel.pk, sheet="a5-nothing")

    assert list(page.wrong()) == ["sheet"]


def test_nothing_ticked_is_refused(as_keeper, vessel):
    said = refusal(as_keeper).main.text

    assert "Choose at least one vessel that holds metal." in said


def test_what_stays_ticked_after_a_refusal_is_what_was_ticked(as_keeper, vessel):
    make_vessel(vessel.batch)

    page = refusal(as_keeper, vessel=vessel.pk, sheet="a4-flag")

    assert ticked(page) == [vessel.pk]
