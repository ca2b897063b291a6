"""What cannot be: one plain sentence at its field, and the form keeps what was typed."""

import re
from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import Batch, Movement
from tests.factories import (
    ML,
    G,
    make_balance,
    make_batch,
    make_tared,
    make_vessel,
)
from tests.web.pages import Page
from tests.web.person import answered, recorded, refused

# (what is typed for a mass, what is said)
NO_MASSES = [
    ("25 mL", "25 mL is a volume; a mass is needed, as in 12.5 g"),
    ("-25 g", "A mass cannot be negative."),
    ("nan g", "“nan g” is not a mass; write it as 12.5 g"),
    ("nan", "“nan” is not a mass; write it as 12.5 g"),
    ("inf g", "“inf g” is not a mass; write it as 12.5 g"),
    ("25", "Say the unit too, as in 12.5 g"),
    ("25 stone", "The unit “stone” is not read here; use kg"),
    ("25,5 g", "Write a point for the decimals: 25.5 g"),
    ("2 + 3 g", None),
    ("0 g", "This has to be more than zero."),
    ("200 kg", "200 kg is more than 100 kg, the most read here."),
]


@pytest.fixture
def tared(shipped):
    """Return a vessel of 5 mL, tared at 20 g under argon, of a rubidium batch."""
    make_balance(name="Balance 1", capacity_ug=220 * G)
    return make_tared(make_batch("Rb"), capacity_ul=5 * ML)


@pytest.fixture
def fill(as_keeper, tared):
    """Return a function that refuses a filling at one field, and what is said."""
    usual = {"gross": "25 g", "medium": "argon", "closure": "stopcock"}

    def refuse(field, **typed):
        at = f"/vessels/{tared.pk}/fill/"
        said = refused(as_keeper, at, field, **{**usual, **typed})
        assert not Movement.objects.exists()
        return said

    return refuse


def a_minute_from(now=None, **ahead):
    when = timezone.localtime() + timedelta(**ahead)
    return when.strftime("%Y-%m-%dT%H:%M")


@pytest.mark.parametrize(("typed", "sentence"), NO_MASSES)
def test_what_is_no_mass_is_refused_in_one_sentence(fill, typed, sentence):
    said = fill("gross", gross=typed)

    assert sentence is None or said.startswith(sentence)
    assert one_sentence(said)


@pytest.mark.parametrize(("typed", "sentence"), NO_MASSES)
def test_what_is_no_mass_is_refused_in_a_withdrawal_too(
    as_keeper, shipped, typed, sentence
):
    vessel = make_vessel()
    way = {"method": "weighed", "after": "23 g", "purpose": "a run"}

    said = refused(
        as_keeper, f"/vessels/{vessel.pk}/withdraw/", "before", before=typed, **way
    )

    assert sentence is None or said.startswith(sentence)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("2 g", "2 g is a mass; a volume is needed, as in 2.5 mL"),
        ("-2 mL", "A volume cannot be negative."),
        ("nan mL", "“nan mL” is not a volume; write it as 2.5 mL"),
        ("0 mL", "This has to be more than zero."),
    ],
)
def test_what_is_no_volume_is_refused(as_keeper, shipped, typed, sentence):
    vessel = make_vessel(make_batch("NaK"))
    way = {"method": "volume", "temperature": "25 °C", "purpose": "a run"}

    said = refused(
        as_keeper, f"/vessels/{vessel.pk}/withdraw/", "volume", volume=typed, **way
    )

    assert said == sentence


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("air_temperature", "25 g", "25 g is a mass"),
        ("air_temperature", "-300 °C", "-300 °C is below absolute zero."),
        ("air_temperature", "nan", "“nan” is not a temperature"),
        ("air_pressure", "1013 g", "1013 g is a mass"),
        ("air_pressure", "-1 hPa", "A pressure cannot be negative."),
        ("air_humidity", "140 %", "lies between 0 % and 100 %."),
        ("air_humidity", "0.45", "Write the % sign too: 0.45 % or 45"),
    ],
)
def test_air_that_cannot_be_is_refused(fill, field, typed, sentence):
    said = fill(field, **{field: typed})

    assert sentence in said
    assert one_sentence(said)


def test_gross_lighter_than_tare_is_refused_with_both_readings(fill):
    said = fill("gross", gross="19 g")

    # Readings are repeated with the digits they were typed with at most.
    assert said.startswith("The gross 19")
    assert "is lighter than the tare 20" in said


def test_gross_that_leaves_no_metal_is_refused(fill):
    said = fill("gross", gross="20 g", medium="argon")

    assert "no metal is left in this reading" in said


def test_metal_beyond_the_inner_volume_is_refused(fill):
    # 9 g of rubidium, molten by 40 °C at 1.46 g/cm³ (CRC Handbook), is 6.2 mL: 1.23
    # times the 5 mL there are.
    said = fill("gross", gross="29 g")

    assert re.match("12[234] % full", said)
    assert one_sentence(said)


def test_stated_metal_beyond_the_inner_volume_is_refused_at_its_field(fill):
    fill("stated", gross="", stated="9 g")


def test_oil_and_metal_together_beyond_the_inner_volume_are_refused(as_keeper, tared):
    # 4 g of potassium is 4.7 mL at 0.86 g/cm³; a further 2 mL of oil has no room.
    vessel = make_tared(make_batch("K"), capacity_ul=5 * ML)
    typed = {
        "gross": "25.6 g",
        "medium": "mineral_oil_light",
        "gas": "argon",
        "liquid_amount": "2 mL",
        "closure": "screw_cap",
    }

    refused(as_keeper, f"/vessels/{vessel.pk}/fill/", "gross", **typed)


def test_a_reading_finer_than_the_balance_shows_is_refused(fill):
    assert "shows steps of 0.1 mg" in fill("gross", gross="25.00005 g")


def test_a_weighing_in_the_future_is_refused(fill):
    said = fill("read_at", read_at=a_minute_from(days=1))

    assert said == "This lies in the future."


def test_a_weighing_before_the_tare_is_refused(fill):
    said = fill("read_at", read_at=a_minute_from(days=-2))

    assert said.startswith("The tare was read on")


def test_gross_and_stated_mass_together_are_refused(fill):
    said = fill("gross", stated="5 g")

    assert said == "Give the gross reading, or the mass as stated: one of them."


def test_a_liquid_without_the_gas_above_it_is_refused(fill):
    said = fill("gas", medium="mineral_oil_light")

    assert said.startswith("Say which gas is above")


def test_a_medium_the_metal_reacts_with_is_refused_with_the_reason(as_keeper, shipped):
    # Lithium takes up nitrogen at room temperature: Bailey et al., Management of time-sensitive chemicals.
    make_balance(name="Balance 1")
    vessel = make_tared(make_batch("Li"))
    typed = {"gross": "25 g", "medium": "nitrogen", "closure": "stopcock"}

    said = refused(as_keeper, f"/vessels/{vessel.pk}/fill/", "medium", **typed)

    assert "nitrogen" in said.lower() or "nitride" in said.lower()


def test_a_filled_vessel_is_not_filled_again(as_keeper, shipped):
    vessel = make_vessel()
    typed = {"gross": "25 g", "medium": "argon", "closure": "stopcock"}

    page = answered(as_keeper, f"/vessels/{vessel.pk}/fill/", **typed)

    assert page.status == 422
    assert "Glass that is used again becomes a new vessel" in page.main.text


def test_a_withdrawal_in_the_future_is_refused(as_keeper, shipped):
    vessel = make_vessel()

    said = refused(
        as_keeper,
        f"/vessels/{vessel.pk}/withdraw/",
        "read_at",
        method="whole",
        purpose="a run",
        read_at=a_minute_from(days=1),
    )

    assert said == "This lies in the future."


def test_a_date_that_is_none_is_refused(as_keeper, shipped):
    said = refused(
        as_keeper, "/batches/new/", "made_on", material="Rb", kind="made",
        made_on="2026-02-30",
    )  # fmt: skip

    assert one_sentence(said)


def test_a_batch_of_tomorrow_is_refused(as_keeper, shipped):
    tomorrow = timezone.localdate() + timedelta(days=1)

    said = refused(
        as_keeper, "/batches/new/", "made_on", material="Rb", kind="made",
        made_on=tomorrow.isoformat(),
    )  # fmt: skip

    assert said == "This date lies in the future."
    assert not Batch.objects.exists()


def test_an_unknown_choice_is_refused_and_not_a_crash(as_keeper, tared):
    page = Page(
        as_keeper.post(
            f"/vessels/{tared.pk}/fill/",
            {
                "gross": "25 g",
                "medium": "unobtainium",
                "closure": "cork",
                "balance": "x",
                "read_at": "yesterday",
                "batch": "?",
                "request_id": "1",
            },
        )
    )

    assert page.status == 422
    assert {"medium", "closure", "balance", "read_at", "batch"} <= set(page.wrong())


def test_markup_in_what_was_typed_is_shown_as_text(as_keeper, shipped):
    vessel = make_vessel()

    page = recorded(
        as_keeper,
        f"/vessels/{vessel.pk}/withdraw/",
        method="whole",
        purpose="<script>alert(1)</script>",
    )

    assert "<script>alert(1)</script>" in page.main.text
    assert not page.main.all("script")


def one_sentence(said):
    """Return whether this is one line of plain words with no code in it."""
    return bool(said) and "\n" not in said and len(said) < 200 and "Error" not in said
