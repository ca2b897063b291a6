"""A lot's own data sheet goes before the catalogue, and stays on record."""

from dataclasses import replace
from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.calc.hazards import Transport
from inventory.models import LotProfile, Material, Medium, MediumHazard
from inventory.operations import hazards
from tests.domain.records import refused
from tests.factories import make_batch, make_lot_profile, signed

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]

PYROPHORIC = {
    "classes": ("Pyr. Sol. 1", "Water-react. 1", "Skin Corr. 1B"),
    "h": ("H250", "H260", "H314"),
}


@pytest.fixture
def batch():
    return make_batch("Rb")


def record(batch, profile=None, transport=None, **facts):
    facts = {"document": "Sheet 1", "document_date": timezone.localdate(), **facts}
    return hazards.record_lot_profile(
        batch,
        profile or batch.hazard.profile(),
        transport or batch.hazard.transport(),
        **facts,
        **signed(),
    )


def test_without_a_data_sheet_the_catalogue_counts(batch):
    assert batch.lot_profiles.in_use() is None
    assert LotProfile.objects.in_use_by_batch([batch.pk]) == {}


def test_what_a_data_sheet_says_is_kept_with_who_when_and_which(batch):
    made = make_lot_profile(batch, document="Rubidium, version 4", **PYROPHORIC)

    kept = batch.lot_profiles.in_use()
    assert kept == made
    assert kept.profile() == replace(batch.hazard.profile(), **PYROPHORIC)
    assert kept.transport() == batch.hazard.transport()
    assert kept.document == "Rubidium, version 4"
    assert kept.entry.by.username == "somebody"
    assert kept.entry.summary == (
        f"Hazards of {batch} are now those of “Rubidium, version 4”"
    )


def test_the_newest_that_stands_is_in_use(batch):
    first = make_lot_profile(batch, document="Version 1")
    second = make_lot_profile(batch, document="Version 2")

    assert batch.lot_profiles.in_use() == second
    hazards.withdraw_lot_profile(second, reason="another lot's", **signed())
    assert batch.lot_profiles.in_use() == first
    hazards.withdraw_lot_profile(first, reason="another lot's", **signed())
    assert batch.lot_profiles.in_use() is None
    assert batch.lot_profiles.count() == 4


def test_those_in_use_cost_one_query_for_any_number_of_batches(
    django_assert_num_queries,
):
    batches = [make_batch("Rb") for _ in range(3)]
    newest = {}
    for each in batches:
        make_lot_profile(each)
        newest[each.pk] = make_lot_profile(each)
    pks = [each.pk for each in batches]

    with django_assert_num_queries(1):
        assert LotProfile.objects.in_use_by_batch(pks) == newest


def test_a_data_sheet_is_struck_out_once(batch):
    made = make_lot_profile(batch)
    hazards.withdraw_lot_profile(made, reason="another lot's", **signed())

    with refused("This data sheet is struck out already."):
        hazards.withdraw_lot_profile(made, reason="again", **signed())
    with refused("This data sheet is struck out already."):
        hazards.withdraw_lot_profile(
            LotProfile.objects.get(withdraws=made), reason="again", **signed()
        )


@pytest.mark.parametrize(
    ("changes", "sentence", "field"),
    [
        ({"pictograms": ("GHS02",)}, "H314 calls for GHS05.", "pictograms"),
        ({"h": ("H260", "H999")}, "H999 cannot be printed here.", "h"),
        (
            {"signal_word": "Warning"},
            "The gravest of these classes calls for “Danger”.",
            "signal_word",
        ),
    ],
)
def test_what_contradicts_itself_is_refused(batch, changes, sentence, field):
    profile = replace(batch.hazard.profile(), **changes)

    with refused(sentence, field):
        record(batch, profile)


def test_h260_in_class_4_3_is_packing_group_i(batch):
    entry = replace(batch.hazard.transport(), packing_group="II")

    with refused("UN 1423 is of packing group I.", "packing_group"):
        record(batch, transport=entry)


def test_a_data_sheet_of_tomorrow_is_refused(batch):
    tomorrow = timezone.localdate() + timedelta(days=1)

    with refused("This date lies in the future.", "document_date"):
        record(batch, document_date=tomorrow)


def test_a_metal_that_is_not_classified_may_be_recorded_so(batch):
    made = make_lot_profile(
        make_batch("Mg"), transport=Transport(), document="Ingot, version 1"
    )

    assert made.codes("h") == []
    assert made.signal_word == ""


# Regulation (EC) 1272/2008, Annex VI, Table 3: index numbers and classes as confirmed by
# data sheets and public copies; sodium and the EUH statements from memory. The codes of
# 012-002-00-9 are H228, H252, H261; H252 is a misprint for H251 (Table 2.11.2).
ANNEX_VI = {
    ("Li", "massive"): ("003-001-00-4", {"Water-react. 1", "Skin Corr. 1B"}, "EUH014"),
    ("Na", "massive"): ("011-001-00-0", {"Water-react. 1", "Skin Corr. 1B"}, "EUH014"),
    ("K", "massive"): ("019-001-00-2", {"Water-react. 1", "Skin Corr. 1B"}, "EUH014"),
    ("Ca", "massive"): ("020-001-00-X", {"Water-react. 2"}, ""),
    ("Mg", "pyrophoric powder"): (
        "012-001-00-3",
        {"Pyr. Sol. 1", "Water-react. 1"},
        "",
    ),
    ("Mg", "turnings"): (
        "012-002-00-9",
        {"Flam. Sol. 1", "Self-heat. 1", "Water-react. 2"},
        "",
    ),
}


@pytest.mark.parametrize("key", ANNEX_VI, ids=lambda key: " ".join(key))
def test_shipped_classifications_are_those_of_annex_vi(key):
    symbol, form = key
    index, classes, euh = ANNEX_VI[key]

    found = Material.objects.get(symbol=symbol).hazards.get(form=form)

    assert index in found.source
    assert set(found.codes("hazard_classes")) == classes
    assert found.euh == euh
    assert is_index_number(index)


# The classes of the liquids: three public copies for toluene, one of August 2026 for
# n-hexane; n-heptane and kerosene from memory.
ANNEX_VI_LIQUIDS = {
    "hexane": (
        "601-037-00-0",
        {"H225", "H304", "H315", "H336", "H361f", "H372", "H411"},
    ),
    "heptane": ("601-008-00-2", {"H225", "H304", "H315", "H336", "H410"}),
    "toluene": ("601-021-00-3", {"H225", "H304", "H315", "H336", "H361d", "H373"}),
    "kerosene": ("649-404-00-4", {"H226", "H304", "H315", "H336", "H411"}),
}


@pytest.mark.parametrize("key", ANNEX_VI_LIQUIDS)
def test_shipped_hazards_of_liquids_are_those_of_annex_vi(key):
    index, h = ANNEX_VI_LIQUIDS[key]

    found = MediumHazard.objects.get(medium__key=key)

    assert index in found.source
    assert set(found.codes("h")) == h
    assert is_index_number(index)


def is_index_number(text):
    """Check the last character as an ISBN's (Annex VI 1.1.1.1, from memory)."""
    digits = text.replace("-", "")
    total = sum(int(digit) * place for place, digit in enumerate(digits[:-1], start=1))
    return "0123456789X"[total % 11] == digits[-1]


def test_every_liquid_says_what_it_does_and_where_that_is_from():
    liquids = Medium.objects.filter(kind="liquid")

    rows = {row.medium_id: row for row in MediumHazard.objects.all()}

    assert set(rows) == {liquid.pk for liquid in liquids}
    assert all(row.source and row.note and row.status for row in rows.values())
