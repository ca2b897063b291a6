"""Typing a lot's data sheet, and what the batch page says of the hazards in use."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from inventory.models import LotProfile
from tests.factories import make_batch, make_lot_profile
from tests.web.pages import Page
from tests.web.person import answered, opened, recorded, refused, sent_twice

pytestmark = pytest.mark.usefixtures("shipped")

SHEET = {"document": "Rubidium, version 4", "document_date": "2026-05-02"}


@pytest.fixture
def batch():
    return make_batch("Rb")


@pytest.fixture
def form(batch):
    return f"/batches/{batch}/hazards/"


def hazards_on(page):
    """Return the words of the panel of hazards."""
    return page.by_id("hazards").above("section").text


def test_the_form_begins_with_the_catalogue_and_is_kept_as_it_is_sent(
    as_keeper, batch, form
):
    page = recorded(as_keeper, form, **SHEET)

    kept = batch.lot_profiles.in_use()
    assert kept.profile() == batch.hazard.profile()
    assert kept.transport() == batch.hazard.transport()
    assert "Rubidium, version 4" in hazards_on(page)
    assert "2 May 2026" in hazards_on(page)
    assert "the-keeper" in hazards_on(page)


def test_what_the_data_sheet_adds_goes_on_the_batch_page(as_keeper, batch, form):
    page = recorded(
        as_keeper,
        form,
        **SHEET,
        hazard_classes="Pyr. Sol. 1; Water-react. 1\nSkin Corr. 1B",
        h="H250; H260; H314",
    )

    assert "H250; H260; H314" in hazards_on(page)
    assert batch.lot_profiles.in_use().codes("hazard_classes")[0] == "Pyr. Sol. 1"


def test_the_form_begins_with_the_data_sheet_before(as_keeper, batch, form):
    make_lot_profile(batch, p=("P223", "P280"), document="Version 1")

    page = opened(as_keeper, form)

    assert page.typed()["p"] == ["P223; P280"]
    assert page.typed()["document"] == [""]
    assert "Version 1" in page.main.text


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("h", {"h": "H260; H999; H314"}, "H999 cannot be printed here."),
        ("p", {"p": "P999"}, "P999 cannot be printed here."),
        (
            "signal_word",
            {"signal_word": "Warning"},
            "The gravest of these classes calls for “Danger”.",
        ),
        (
            "hazard_classes",
            {"hazard_classes": "Water-react 1; Skin Corr. 1B"},
            "“Water-react 1” is not a hazard class known here. Is it Water-react. 1?",
        ),
        ("packing_group", {"packing_group": "II"}, "UN 1423 is of packing group I."),
        ("document", {"document": ""}, "This field is required."),
        ("document_date", {"document_date": "yesterday"}, "Enter a valid date."),
    ],
)
def test_what_does_not_fit_is_said_at_its_field_and_what_was_typed_is_kept(
    as_keeper, form, field, typed, sentence
):
    said = refused(as_keeper, form, field, **{**SHEET, **typed})

    assert said == sentence
    assert not LotProfile.objects.exists()


def test_h314_without_the_corrosion_pictogram_is_refused_beside_the_boxes(
    as_keeper, form
):
    page = answered(as_keeper, form, **SHEET, pictograms=["GHS02"])

    assert page.status == 422
    boxes = page.by_id("id_pictograms_0").above("fieldset")
    assert "H314 calls for GHS05." in boxes.text


def test_a_date_that_has_not_come_is_refused(as_keeper, form):
    tomorrow = timezone.localdate() + timedelta(days=1)

    said = refused(
        as_keeper, form, "document_date", **{**SHEET, "document_date": tomorrow}
    )

    assert said == "This date lies in the future."


def test_sending_it_twice_records_it_once(as_keeper, batch, form):
    sent_twice(as_keeper, form, **SHEET)

    assert batch.lot_profiles.count() == 1


def test_a_data_sheet_is_struck_out_and_the_catalogue_counts_again(as_keeper, batch):
    made = make_lot_profile(batch, document="Another metal's sheet")

    page = recorded(
        as_keeper, f"/lot-profiles/{made.pk}/strike/", reason="another metal's"
    )

    assert "From the catalogue, for rubidium" in hazards_on(page)
    assert "Another metal's sheet" not in hazards_on(page)


def test_the_batch_page_names_the_source_of_the_catalogue(as_keeper):
    batch = make_batch("Li")

    words = hazards_on(opened(as_keeper, batch.get_absolute_url()))

    assert "Annex VI, index 003-001-00-4" in words
    assert "The safety data sheet of the lot decides." in words


def test_only_the_keeper_is_offered_the_form(as_keeper, operator, batch):
    other = Client()
    other.force_login(operator)
    address = batch.get_absolute_url()

    assert f"/batches/{batch}/hazards/" in opened(as_keeper, address).links
    assert f"/batches/{batch}/hazards/" not in opened(other, address).links


def test_a_partner_reads_the_hazards_and_not_who_entered_them(lab, partner):
    make_lot_profile(lab.batch, document="Rubidium, version 4")
    client = Client()
    client.force_login(partner)

    words = hazards_on(Page(client.get(lab.batch.get_absolute_url())))

    assert "H260; H314" in words
    assert "Rubidium, version 4" in words
    assert "somebody" not in words


def test_a_liquid_s_page_says_what_it_adds_to_a_label_and_who_says_so(as_keeper):
    words = hazards_on(opened(as_keeper, "/media/toluene/"))

    assert "H225; H304; H361d" in words
    assert "601-021-00-3" in words
    assert opened(as_keeper, "/media/argon/").by_id("hazards") is None
