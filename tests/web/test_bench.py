"""The bench without a script: one form, and a button in each row."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.models import LogEntry, Movement, Vessel
from inventory.operations import vessels
from tests.factories import (
    ML,
    G,
    earlier,
    fill,
    make_balance,
    make_batch,
    make_place,
    make_tared,
    signed,
)
from tests.web.benched import GROSS, bench_of, press_save, row_of, wrong
from tests.web.pages import Page
from tests.web.person import opened, recorded


@pytest.fixture
def batch(shipped):
    make_balance(name="Balance 1", capacity_ug=220 * G)
    return make_batch("Rb")


@pytest.fixture
def tared(batch):
    """Return a vessel of 20 mL, tared at 20 g under argon."""
    return make_tared(batch)


def test_a_row_s_button_records_the_filling_and_leads_back_to_the_bench(
    as_keeper, batch, tared
):
    page = recorded(as_keeper, bench_of(batch), **row_of(tared, **GROSS))

    assert f"Filled {tared}: 5.00468 g" in page.messages
    assert Movement.objects.get().to_vessel == tared
    assert str(tared) not in page.by_id("rows").above("section").text


def test_a_new_row_is_tared_and_filled_at_once(as_keeper, batch):
    new = {"kind": "vial", "capacity": "20 mL", "glass_mark": "A 7", "tare": "20 g"}

    answer = press_save(as_keeper, batch, **row_of(None, **new, **GROSS))

    assert answer.status_code == 302
    vessel = Vessel.objects.get()
    assert (vessel.code, vessel.kind, vessel.glass_mark) == (
        f"{batch}-01",
        "vial",
        "A 7",
    )
    assert vessel.capacity_ul == 20 * ML
    assert vessel.filled_on


def test_a_tare_alone_is_recorded_and_the_row_waits_for_the_gross(as_keeper, batch):
    (vessel,) = vessels.lay_out(batch, "ampoule", 5 * ML, 1, **signed())

    page = recorded(as_keeper, bench_of(batch), **row_of(vessel, tare="12.8731"))

    assert f"Tared {vessel}: 12.8731 g" in page.messages
    typed = page.typed()
    assert f"v{vessel.pk}-tare" not in typed
    assert f"v{vessel.pk}-gross" in typed


@pytest.mark.parametrize(
    ("printed", "reading_ug"),
    [
        ("25.0000", 25 * G),
        ("25.0000 g", 25 * G),
        ("+   25.0000 g", 25 * G),
        ("25 000.1 mg", 25_000_100),
        ("  25.5  ", 25_500_000),
        ("25,5", 25_500_000),
    ],
)
def test_what_a_balance_prints_or_a_number_pad_types_is_read_as_grams(
    as_keeper, batch, tared, printed, reading_ug
):
    press_save(as_keeper, batch, **row_of(tared, **{**GROSS, "gross": printed}))

    assert tared.weighings.last().reading_ug == reading_ug


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("gross", "25,5 g", "Write a point for the decimals: 25.5 g"),
        (
            "gross",
            "25,123",
            "A comma can mean two things: write 25.123 g or 25123 g",
        ),
        ("gross", "25 mL", "25 mL is a volume; a mass is needed, as in 12.5 g"),
        ("gross", "nan", "“nan” is not a mass; write it as 12.5 g"),
        ("gross", "-25", "A mass cannot be negative."),
        ("gross", "0", "This has to be more than zero."),
        (
            "gross",
            "25.00005",
            "Balance 1 shows steps of 0.1 mg; this reading has more digits than that.",
        ),
        (
            "gross",
            "19",
            "The gross 19 g is lighter than the tare 20 g; check both readings.",
        ),
        ("gross", "", "Write a reading: the tare, the gross, or both."),
        ("medium", "", "Say what the metal is kept in."),
        ("liquid", "3 mL", "Argon is no liquid."),
    ],
)
def test_bad_input_gets_one_sentence_at_its_field_in_its_row_and_is_kept(
    as_keeper, batch, tared, field, typed, sentence
):
    row = row_of(tared, **{**GROSS, field: typed})

    answer = press_save(as_keeper, batch, **row)

    name = f"v{tared.pk}-{field}"
    assert wrong(answer) == {name: sentence}
    assert Page(answer).typed()[name] == [typed]
    assert not Movement.objects.exists()


def test_a_liquid_needs_its_gas_above_and_how_much_of_it_went_in(as_keeper, batch):
    make_place()
    potassium = make_batch("K")
    vessel = make_tared(potassium)
    row = row_of(vessel, **{**GROSS, "medium": "mineral_oil_light"})

    assert wrong(press_save(as_keeper, potassium, **row)) == {
        "gas": "Say which gas is above the light mineral oil.",
        f"v{vessel.pk}-liquid": "Say how much light mineral oil went in, as in 3 mL or "
        "2.6 g: it was not in when tared, and would count as metal.",
    }


def test_oil_that_was_in_when_tared_need_not_be_said_again(as_keeper, batch):
    potassium = make_batch("K")
    vessel = make_tared(potassium, tare_ug=24 * G, liquid_ug=4 * G)
    row = row_of(vessel, **{**GROSS, "medium": "mineral_oil_light"})

    answer = press_save(as_keeper, potassium, **row, gas="argon")

    assert answer.status_code == 302
    assert Movement.objects.get().heavy.liquid_ug == 4 * G


def test_a_medium_that_is_advised_against_is_a_decision(as_keeper, batch):
    lithium = make_batch("Li")
    vessel = make_tared(lithium)
    never = row_of(vessel, **{**GROSS, "medium": "nitrogen"})

    assert list(wrong(press_save(as_keeper, lithium, **never))) == [
        f"v{vessel.pk}-medium"
    ]


def test_fifty_waiting_vessels_cost_no_more_queries_than_one(
    as_keeper, batch, tared, django_assert_num_queries
):
    as_keeper.get(bench_of(batch))
    with CaptureQueriesContext(connection) as few:
        as_keeper.get(bench_of(batch))
    vessels.lay_out(batch, "ampoule", 5 * ML, 49, **signed())

    with django_assert_num_queries(len(few)):
        page = opened(as_keeper, bench_of(batch))

    assert sum(name.endswith("-gross") for name in page.typed()) == 51


def test_only_the_row_that_is_saved_is_judged(as_keeper, batch, tared):
    other = make_tared(batch)
    wrong_there = {f"v{other.pk}-gross": "25,5 g"}

    answer = press_save(as_keeper, batch, **row_of(tared, **GROSS), **wrong_there)

    assert answer.status_code == 200
    assert Movement.objects.get().to_vessel == tared


def test_what_stands_in_other_rows_is_not_lost_when_one_is_saved(
    as_keeper, batch, tared
):
    other = make_tared(batch)
    ahead = {f"v{other.pk}-gross": "26.1", "n0-tare": "12.8", "n0-glass_mark": "A 7"}

    page = Page(press_save(as_keeper, batch, **row_of(tared, **GROSS), **ahead))

    typed = page.typed()
    assert {name: typed[name][0] for name in ahead} == ahead
    assert not any(name.startswith(f"v{tared.pk}-") for name in typed)
    assert f"Filled {tared}" in page.messages


def test_a_new_row_that_was_saved_begins_anew_beside_what_stands_elsewhere(
    as_keeper, batch, tared
):
    new = {"kind": "vial", "capacity": "20 mL", "glass_mark": "A 7", "tare": "20 g"}
    ahead = {f"v{tared.pk}-gross": "26.1"}

    sent = {**opened(as_keeper, bench_of(batch)).typed(), **row_of(None, **new)}
    page = Page(as_keeper.post(bench_of(batch), {**sent, **ahead}))

    typed = page.typed()
    assert typed["n0-tare"] == typed["n0-glass_mark"] == [""]
    assert typed["n0-request_id"] != sent["n0-request_id"]
    assert typed[f"v{tared.pk}-gross"] == ["26.1"]


def test_a_row_sent_twice_is_recorded_once_and_says_so(as_keeper, batch, tared):
    sent = {**opened(as_keeper, bench_of(batch)).typed(), **row_of(tared, **GROSS)}
    as_keeper.post(bench_of(batch), sent)
    lines = LogEntry.objects.count()

    again = as_keeper.post(bench_of(batch), sent)

    assert again.status_code == 302
    assert "Nothing was recorded twice" in opened(as_keeper, again["Location"]).messages
    assert LogEntry.objects.count() == lines


def test_what_the_rows_have_in_common_is_still_there_after_a_row(as_keeper, batch):
    make_tared(batch)
    tared = make_tared(batch)
    balance, shelf = make_balance(name="Balance 2"), make_place()
    head = {
        "balance": str(balance.pk),
        "place": str(shelf.pk),
        "tare_gas": "vacuum",
        "air_temperature": "21.5 °C",
    }

    answer = press_save(as_keeper, batch, **row_of(tared, **GROSS), **head)

    typed = opened(as_keeper, answer["Location"].partition("#")[0]).typed()
    assert {name: typed[name][0] for name in head} == head
    weighing = tared.weighings.last()
    assert (weighing.balance, weighing.air_temperature_c) == (balance, 21.5)
    assert Vessel.objects.get(pk=tared.pk).place == shelf


def test_a_row_starts_as_the_newest_filled_vessel_of_the_batch_ended(as_keeper, batch):
    fill(
        make_tared(batch, kind="bulb"), kept_in="vacuum", closure="stopper", stated_ug=G
    )
    tared = make_tared(batch, kind="bulb", capacity_ul=2_500)

    typed = opened(as_keeper, bench_of(batch)).typed()

    assert typed[f"v{tared.pk}-medium"] == typed["n0-medium"] == ["vacuum"]
    assert typed[f"v{tared.pk}-closure"] == ["stopper"]
    assert (typed["n0-kind"], typed["n0-capacity"]) == (["bulb"], ["2.5 mL"])


def test_readings_from_paper_are_recorded_with_their_own_time(as_keeper, batch, tared):
    when = earlier(minutes=20).replace(second=0, microsecond=0)
    head = {"read_at": f"{when:%Y-%m-%dT%H:%M}"}

    press_save(as_keeper, batch, **row_of(tared, **GROSS), **head)

    assert tared.weighings.last().read_at == when


def test_a_row_of_another_batch_or_of_none_is_not_saved(as_keeper, batch, tared):
    stranger = make_tared(make_batch("Na"))

    for name in (f"v{stranger.pk}", "v0", "n", "everything", ""):
        answer = press_save(as_keeper, batch, save=name)
        assert answer.status_code == 422
        assert "Say which row is to be saved." in Page(answer).main.text
