"""Taring a set of vessels and filling them, as a person does it in a browser."""

import pytest
from django.utils import timezone

from inventory.models import LogEntry, Movement, Vessel, Weighing
from tests.factories import G, make_balance, make_batch, make_place, make_tared
from tests.web.pages import Page
from tests.web.person import (
    answered,
    filled_in,
    recorded,
    refused,
    refused_as_a_whole,
    sent_twice,
)

TARE = "/vessels/tare/"
COMMON = {"kind": "ampoule", "capacity": "5 mL", "gas": "argon"}


@pytest.fixture
def balance(shipped):
    return make_balance(name="Balance 1", capacity_ug=220 * G)


@pytest.fixture
def tared(balance):
    """Return a vessel of a rubidium batch, tared at 20 g under argon, of 20 mL."""
    return make_tared(make_batch("Rb"))


def filling(vessel):
    return f"/vessels/{vessel.pk}/fill/"


def rows_of(*readings, marks=()):
    marks = [*marks, *[""] * len(readings)]
    return {
        f"form-{number}-{name}": value
        for number, (reading, mark) in enumerate(zip(readings, marks, strict=False))
        for name, value in (("reading", reading), ("glass_mark", mark))
    }


def test_a_set_of_vessels_is_tared_with_one_row_each(as_keeper, balance):
    batch = make_batch("Rb")

    page = recorded(
        as_keeper,
        f"{TARE}?batch={batch}",
        **COMMON,
        **rows_of("12.8731 g", "", "12 914.4 mg"),
    )

    assert list(batch.vessels.values_list("code", flat=True)) == [
        f"{batch.code}-01",
        f"{batch.code}-02",
    ]
    readings = Weighing.objects.values_list("reading_ug", flat=True)
    assert list(readings) == [12_873_100, 12_914_400]
    assert "Tared 2 vessels" in page.messages


def test_vessels_without_a_batch_are_known_by_their_glass_marks(as_keeper, balance):
    page = recorded(as_keeper, TARE, **COMMON, **rows_of("12.8 g", marks=["S-14"]))

    vessel = Vessel.objects.get()
    assert (vessel.batch, vessel.glass_mark) == (None, "S-14")
    assert "S-14" in page.all("h1")[0].text


def test_more_rows_keeps_what_was_typed_and_records_nothing(as_keeper, balance):
    place = make_place()

    page = answered(
        as_keeper,
        TARE,
        **COMMON,
        **rows_of("12.8 g", "13.1 g", marks=["S-14", "S-15"]),
        place=str(place.pk),
        more="1",
    )

    assert page.status == 200
    assert page.typed()["form-TOTAL_FORMS"] == ["12"]
    assert "form-11-reading" in page.typed()


def test_more_rows_can_be_filled_in_and_sent(as_keeper, balance):
    sent = filled_in(as_keeper, TARE, **COMMON, **rows_of("12.8 g", marks=["S-0"]))
    page = Page(as_keeper.post(TARE, {**sent, "more": "1"}))

    answer = as_keeper.post(
        TARE,
        {
            **page.typed(),
            "form-11-reading": "13.1 g",
            "form-11-glass_mark": "S-11",
        },
    )

    assert answer.status_code == 302
    assert set(Vessel.objects.values_list("glass_mark", flat=True)) == {"S-0", "S-11"}


def test_a_tare_finer_than_the_balance_shows_is_refused_in_its_row(as_keeper, balance):
    rows = rows_of("12.8 g", "12.80005 g", marks=["a", "b"])

    said = refused(as_keeper, TARE, "form-1-reading", **COMMON, **rows)

    assert said == (
        "Balance 1 shows steps of 0.1 mg; this reading has more digits than that."
    )


def test_a_tare_above_what_the_balance_carries_is_recorded_with_that(
    as_keeper, balance
):
    rows = rows_of("12.8 g", "221 g", marks=["a", "b"])

    page = recorded(as_keeper, TARE, **COMMON, **rows)

    said = "above the 220.000 g that Balance 1 carries"
    against = Weighing.objects.order_by("id").values_list("reservation", flat=True)
    assert list(against) == ["", said]
    assert said in page.messages


def test_a_glass_mark_in_use_is_refused_in_its_row(as_keeper, balance):
    make_tared(glass_mark="S-14")

    said = refused(
        as_keeper,
        TARE,
        "form-0-glass_mark",
        **COMMON,
        **rows_of("12.8 g", marks=["S-14"]),
    )

    assert said == ("The glass mark S-14 is taken by glass S-14, which is not retired.")


def test_a_glass_mark_without_a_tare_is_refused_in_its_row(as_keeper, balance):
    rows = rows_of("", "12 g", marks=["S-14", "S-15"])

    said = refused(as_keeper, TARE, "form-0-reading", **COMMON, **rows)

    assert said == "The tare of this one is missing."


def test_a_tare_form_without_any_tare_is_refused(as_keeper, balance):
    words = refused_as_a_whole(as_keeper, TARE, **COMMON)

    assert "Write at least one tare." in words


def test_a_tare_form_sent_twice_tares_once_and_says_so(as_keeper, balance):
    page = sent_twice(as_keeper, TARE, **COMMON, **rows_of("12.8 g", marks=["S-14"]))

    assert Vessel.objects.count() == 1
    assert "had been sent already" in page.messages


def test_an_empty_vessel_is_tared_again_and_both_tares_stay(as_keeper, tared):
    recorded(as_keeper, f"/vessels/{tared.pk}/tare/", reading="20.1 g", gas="argon")

    readings = tared.weighings.values_list("reading_ug", flat=True)
    assert list(readings) == [20_000_000, 20_100_000]


def test_filling_by_weight_records_gross_less_tare(as_keeper, tared):
    # The gas stays the same and the volumes are known, so beyond the difference of
    # 5 g only the metal's own lift in argon and its room in it are left: worked from
    # the weighing equation with ρ(Rb) 1532 kg/m³, about 5 g · 1.66/1532 = 5.4 mg more, less
    # 0.015 % for the conventional mass (0.75 mg).
    page = recorded(
        as_keeper, filling(tared), gross="25 g", medium="argon", closure="flame_sealed"
    )

    (movement,) = Movement.objects.all()
    assert movement.mass_ug == pytest.approx(5_004_700, abs=500)
    assert (movement.from_batch, movement.to_vessel) == (tared.batch, tared)
    assert "Filled" in page.messages
    assert "5.00" in page.main.text


def test_work_it_out_first_shows_the_net_mass_and_records_nothing(as_keeper, tared):
    page = answered(
        as_keeper,
        filling(tared),
        gross="25 g",
        medium="argon",
        closure="stopcock",
        **{"work-out": "1"},
    )

    assert page.status == 200
    assert "5.00" in page.main.text
    assert "not recorded" in page.main.text
    assert not Movement.objects.exists()


def test_a_worked_out_filling_can_then_be_recorded_from_the_same_page(as_keeper, tared):
    sent = filled_in(
        as_keeper, filling(tared), gross="25 g", medium="argon", closure="stopcock"
    )
    page = Page(as_keeper.post(filling(tared), {**sent, "work-out": "1"}))

    answer = as_keeper.post(filling(tared), page.typed())

    assert answer.status_code == 302
    assert Movement.objects.count() == 1


def test_a_vessel_known_by_its_glass_takes_the_batch_s_next_code_when_filled(
    as_keeper, balance
):
    vessel, batch = make_tared(glass_mark="S-14"), make_batch("Rb")

    recorded(
        as_keeper,
        filling(vessel),
        batch=batch.code,
        gross="25 g",
        medium="argon",
        closure="stopcock",
    )

    vessel.refresh_from_db()
    assert vessel.code == f"{batch}-01"


def test_a_filling_as_stated_needs_no_weighing(as_keeper, tared):
    recorded(
        as_keeper, filling(tared), stated="5 g", medium="vacuum", closure="flame_sealed"
    )

    (movement,) = Movement.objects.all()
    assert (movement.mass_ug, movement.u_ug) == (5 * G, G // 10)


def test_received_vessels_are_recorded_with_their_stated_mass(as_keeper, balance):
    batch = make_batch("Ba", kind="bought")

    page = recorded(
        as_keeper,
        f"/batches/{batch}/receive/",
        count="3",
        kind="ampoule",
        capacity="10 mL",
        stated="5 g",
        medium="argon",
        closure="flame_sealed",
    )

    assert list(Movement.objects.values_list("mass_ug", flat=True)) == [5 * G] * 3
    assert f"{batch}-03" in page.messages


def test_a_filling_sent_twice_is_recorded_once_and_says_so(as_keeper, tared):
    page = sent_twice(
        as_keeper, filling(tared), gross="25 g", medium="argon", closure="stopcock"
    )

    assert Movement.objects.count() == 1
    assert "had been sent already" in page.messages
    assert "Nothing was recorded a second time" in page.messages


def test_a_filled_vessel_is_moved(as_keeper, tared):
    place = make_place(name="Shelf 9")

    page = recorded(as_keeper, f"/vessels/{tared.pk}/move/", place=str(place.pk))

    assert Vessel.objects.get(pk=tared.pk).place == place
    assert "Shelf 9" in page.messages


def test_an_empty_vessel_is_retired_and_its_page_says_so(as_keeper, tared):
    page = recorded(as_keeper, f"/vessels/{tared.pk}/retire/", reason="cracked neck")

    assert Vessel.objects.get(pk=tared.pk).retired_on == timezone.localdate()
    assert "Retired" in page.main.text
    assert "cracked neck" in page.main.text


def test_what_happened_stands_in_the_logbook_with_who_did_it(as_keeper, tared):
    recorded(as_keeper, f"/vessels/{tared.pk}/retire/", reason="cracked neck")

    assert LogEntry.objects.first().by.username == "the-keeper"
