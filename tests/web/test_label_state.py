"""Whether a label still says what is inside: on the vessel's page, its batch, the list."""

import pytest

from inventory.models import Laboratory
from inventory.operations import ledger, register, taking, vessels
from tests.factories import (
    G,
    make_batch,
    make_check,
    make_laboratory,
    make_lot_profile,
    make_place,
    make_vessel,
    make_weighed_vessel,
    observe,
    signed,
    take,
)
from tests.web.papers import the_pdf
from tests.web.person import opened

pytestmark = pytest.mark.usefixtures("shipped")

# What a vessel of make_vessel reads under argon: see tests.web.laboratory.
READS_UG = 24_995_300


@pytest.fixture(autouse=True)
def laboratory(shipped):
    return make_laboratory()


@pytest.fixture
def vessel():
    return make_vessel()


def label_panel(client, vessel):
    """Return the words of the panel about the label on the vessel's page."""
    page = opened(client, vessel.get_absolute_url())
    return page.by_id("label").above("section").text


def draw(vessel, taken_ug=G, before_ug=READS_UG):
    before, after = (
        observe(ug, gas="argon") for ug in (before_ug, before_ug - taken_ug)
    )
    take(ledger.read(vessel.pk), taking.Weighed(before=before, after=after))


def listed_out_of_date(client):
    page = opened(client, "/vessels/?state=label")
    boxes = page.main.all("input", name="vessel")
    return {int(box["value"]) for box in boxes}


def test_a_vessel_without_a_label_says_so_and_offers_one(as_keeper, vessel):
    assert "No label yet" in label_panel(as_keeper, vessel)
    assert listed_out_of_date(as_keeper) == {vessel.pk}
    assert (
        f"/labels/?vessel={vessel.pk}"
        in opened(as_keeper, f"/vessels/{vessel.pk}/").links
    )


def test_a_label_just_printed_is_still_right(as_keeper, vessel):
    the_pdf(as_keeper, vessel)

    said = label_panel(as_keeper, vessel)
    assert "Label still right" in said
    assert "by the-keeper" in said
    assert "out of date" not in said
    assert listed_out_of_date(as_keeper) == set()


def test_an_aliquot_drawn_shows_both_masses_until_the_label_is_printed_again(
    as_keeper, vessel
):
    the_pdf(as_keeper, vessel)

    draw(vessel)

    said = label_panel(as_keeper, vessel)
    assert "Label out of date" in said
    assert (
        "The net mass was 5.0000 g ± 0.0020 g (k = 2) when printed; it is 3.99" in said
    )
    assert "It does not say “Opened" in said
    assert listed_out_of_date(as_keeper) == {vessel.pk}

    the_pdf(as_keeper, vessel, reason="changed")
    assert "Label still right" in label_panel(as_keeper, vessel)
    assert listed_out_of_date(as_keeper) == set()


def test_a_second_small_aliquot_overtakes_the_label_too(as_keeper, vessel):
    draw(vessel)
    the_pdf(as_keeper, vessel)

    draw(vessel, taken_ug=1_500, before_ug=READS_UG - G)

    assert "Label out of date" in label_panel(as_keeper, vessel)
    assert listed_out_of_date(as_keeper) == {vessel.pk}


def test_a_reading_that_agrees_leaves_the_label_right_and_says_the_newer_mass(
    as_keeper,
):
    vessel = make_weighed_vessel()
    the_pdf(as_keeper, vessel)

    make_check(vessel, 100)

    said = label_panel(as_keeper, vessel)
    assert "Label still right" in said
    assert "within what the label says" in said
    assert listed_out_of_date(as_keeper) == set()


def test_a_data_sheet_of_the_lot_says_which_statements_came_and_went(as_keeper):
    vessel = make_vessel(make_batch("K"))
    the_pdf(as_keeper, vessel)

    classes = ("Water-react. 1", "Skin Corr. 1B", "Acute Tox. 4 (oral)")
    make_lot_profile(
        vessel.batch,
        classes=classes,
        h=("H260", "H314", "H302"),
        pictograms=("GHS02", "GHS05", "GHS07"),
    )

    said = label_panel(as_keeper, vessel)
    assert "Label out of date" in said
    assert "this statement came in: H302" in said
    assert listed_out_of_date(as_keeper) == {vessel.pk}


def test_another_telephone_overtakes_the_label_and_is_named(as_keeper, vessel):
    the_pdf(as_keeper, vessel)

    register.change(Laboratory.objects.get(), {"phone": "+00 9"}, **signed())

    assert "name, address or telephone changed" in label_panel(as_keeper, vessel)


def test_the_page_of_the_job_says_what_changed_before_it_prints_again(
    as_keeper, vessel
):
    the_pdf(as_keeper, vessel)
    draw(vessel)

    page = opened(as_keeper, f"/labels/?vessel={vessel.pk}")

    assert "Label out of date" in page.main.text
    assert "The net mass was 5.0000 g" in page.main.text
    (reason,) = page.main.all("select", name="reason")
    chosen = [o["value"] for o in reason.all("option") if "selected" in o.attrs]
    assert chosen == ["changed"]


def test_a_label_in_other_words_is_judged_by_how_it_was_printed(as_keeper, vessel):
    the_pdf(
        as_keeper, vessel, format="tag", mode="osha", first="en", second="fr",
        transport="on", research="on",
    )  # fmt: skip

    assert "Label still right" in label_panel(as_keeper, vessel)


def test_the_rows_of_a_batch_say_which_labels_are_out_of_date(as_keeper, vessel):
    other, without = make_vessel(vessel.batch), make_vessel(vessel.batch)
    the_pdf(as_keeper, vessel, other)
    draw(vessel)

    page = opened(as_keeper, vessel.batch.get_absolute_url())

    states = {row[1]: row[-1] for row in page.rows()}
    assert "Label out of date" in states[vessel.code]
    assert "Label" not in states[other.code]
    assert "No label" in states[without.code]


def test_a_vessel_that_is_spent_has_no_label_to_keep_right(as_keeper, vessel):
    the_pdf(as_keeper, vessel)
    take(vessel)

    said = label_panel(as_keeper, vessel)
    assert "out of date" not in said
    assert "All its labels" in said
    assert listed_out_of_date(as_keeper) == set()


def test_no_laboratory_yet_does_not_keep_a_vessel_s_page_from_opening(
    as_keeper, vessel
):
    Laboratory.objects.all().delete()

    assert "name, address and telephone first" in label_panel(as_keeper, vessel)


def test_moving_a_vessel_leaves_its_label_right(as_keeper, vessel):
    the_pdf(as_keeper, vessel)

    vessels.move(vessel, make_place(), **signed())

    assert "Label still right" in label_panel(as_keeper, vessel)
