"""The quick entry records what was read, and nothing that nobody looked at."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import RunReading
from tests.domain.read_off import make_reading, make_run
from tests.factories import make_batch
from tests.web.pages import Page
from tests.web.person import (
    filled_in,
    opened,
    recorded,
    refused,
    refused_as_a_whole,
    sent_twice,
)

EVERYTHING = {
    "temperature_c": 412.0,
    "pressure_pa": 2.0,
    "receiver_ul": 21_500,
    "receiver_c": 62.0,
    "drip_s": 4.5,
}
NOTHING = dict.fromkeys(EVERYTHING)


@pytest.fixture
def run(shipped):
    """Return a run that has begun five hours ago and has one reading of everything."""
    run = make_run(make_batch("Rb"))
    make_reading(run, 200, **EVERYTHING)
    return run


@pytest.fixture
def at(run):
    return f"/batches/{run.batch}/run/"


def newest():
    """Return what the newest row of the log says, without what it does not."""
    row = RunReading.objects.order_by("id").last()
    return {name: getattr(row, name) for name in NOTHING if getattr(row, name)}


def test_the_last_values_stand_in_the_fields_in_their_units(as_keeper, at):
    typed = opened(as_keeper, at).typed()

    assert typed["temperature"] == ["412"]
    assert typed["pressure"] == ["0.02"]
    assert typed["pressure_unit"] == ["mbar"]
    assert typed["receiver"] == ["21.5"]
    assert typed["receiver_temperature"] == ["62"]
    assert typed["drip"] == ["4.5"]


def test_only_what_was_changed_is_recorded_and_the_rest_is_named(as_keeper, at):
    page = recorded(as_keeper, at, temperature="425")

    assert newest() == {"temperature_c": 425.0}
    assert "temperature 425 °C" in page.messages
    assert "Left as it was, so not recorded: pressure, receiver" in page.messages


def test_what_is_ticked_as_the_same_is_recorded_as_read_now(as_keeper, at):
    recorded(
        as_keeper, at, pressure_same="on", receiver="22", receiver_temperature_same="on"
    )

    assert newest() == {"pressure_pa": 2.0, "receiver_ul": 22_000, "receiver_c": 62.0}


def test_a_form_sent_as_it_came_records_nothing(as_keeper, at):
    said = refused_as_a_whole(as_keeper, at)

    assert "Nothing was read, so there is nothing to record." in said


def test_a_note_alone_is_a_reading(as_keeper, at):
    page = recorded(as_keeper, at, note="stirrer off")

    assert RunReading.objects.order_by("id").last().note == "stirrer off"
    assert "stirrer off" in page.main.text


def test_the_unit_that_was_typed_is_kept_for_the_next_reading(as_keeper, at):
    page = recorded(as_keeper, at, pressure="0.03", pressure_unit="Torr")

    # 1 Torr is 101 325/760 Pa (BIPM, SI brochure, 8th ed., table 8).
    assert newest()["pressure_pa"] == pytest.approx(0.03 * 101_325 / 760)
    assert page.typed()["pressure_unit"] == ["Torr"]
    assert page.typed()["pressure"] == ["0.03"]
    assert "0.03 Torr" in page.main.text


def test_a_unit_changed_under_an_old_number_is_refused(as_keeper, at):
    for same in (None, "on"):
        said = refused(
            as_keeper, at, "temperature", temperature_unit="K", temperature_same=same
        )

        assert said == "Only the unit was changed: read the number anew too."


def test_a_number_taken_out_but_ticked_as_the_same_is_refused(as_keeper, at):
    said = refused(as_keeper, at, "pressure", pressure="", pressure_same="on")

    assert said == "Write the number, or take the tick away."


def test_a_time_left_as_it_stood_is_the_moment_of_recording(as_keeper, at, monkeypatch):
    sent = filled_in(as_keeper, at, temperature="425")
    later = timezone.now() + timedelta(minutes=25)
    monkeypatch.setattr(timezone, "now", lambda: later)

    as_keeper.post(at, sent)

    assert RunReading.objects.order_by("id").last().read_at == later.replace(
        microsecond=0
    )


def test_a_time_that_was_typed_is_the_time_of_the_reading(as_keeper, at, run):
    earlier = timezone.localtime(run.started_at + timedelta(minutes=150))

    page = recorded(
        as_keeper, at, temperature="425", read_at=f"{earlier:%Y-%m-%dT%H:%M}"
    )

    reading = RunReading.objects.order_by("id").last()
    assert reading.read_at == earlier.replace(second=0)
    assert "entered out of order" in page.main.text


def test_once_the_run_has_ended_the_time_has_to_be_said(as_keeper, at, run):
    run.ended_at = run.started_at + timedelta(hours=4)
    run.save()

    said = refused(as_keeper, at, "read_at", temperature="425", read_at="")
    assert said == "This field is required."
    when = timezone.localtime(run.started_at + timedelta(hours=3))
    recorded(as_keeper, at, temperature="425", read_at=f"{when:%Y-%m-%dT%H:%M}")

    assert opened(as_keeper, at).typed()["read_at"] == [""]


def test_a_reading_before_the_start_is_kept_and_marked(as_keeper, at, run):
    before = timezone.localtime(run.started_at - timedelta(minutes=20))

    page = recorded(as_keeper, at, temperature="21", read_at=f"{before:%Y-%m-%dT%H:%M}")

    assert "before the start" in page.table_under("readings")[-1][0]


@pytest.mark.parametrize(
    ("typed", "celsius"),
    [
        ("412,5", 412.5),
        ("0,025", 0.025),
        (",5", 0.5),
        ("1,2340", 1.234),
        ("39.5", 39.5),
    ],
)
def test_a_comma_of_a_number_pad_without_a_point_is_read(as_keeper, at, typed, celsius):
    recorded(as_keeper, at, temperature=typed)

    assert newest() == {"temperature_c": celsius}


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("temperature", "1,234", "A comma can mean two things: write 1.234 °C or"),
        ("temperature", "hot", "“hot °C” is not a temperature; write it as 25 °C"),
        ("temperature", "-300", "-300 °C is below absolute zero."),
        ("temperature", "4000", "4000 °C is more than 3000 °C, the most read here."),
        ("pressure", "-1", "A pressure cannot be negative."),
        ("pressure", "0", "A pressure is above zero."),
        ("pressure", "nan", "“nan mbar” is not a pressure; write it as 1013 hPa"),
        ("receiver", "-3", "A volume cannot be negative."),
        ("receiver", "50.1", "50.1 mL is more than the receiver holds, 50 mL."),
        ("receiver", "1e3", "1000 mL is more than the receiver holds, 50 mL."),
        ("drip", "0", "The time from drop to drop is above zero."),
        ("drip", "-2", "A time cannot be negative."),
        ("receiver_temperature", "60 K", "Write the number alone; its unit is chosen"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(as_keeper, at, field, typed, sentence):
    facts = {field: typed}
    if field == "receiver":
        facts["receiver_temperature_same"] = "on"

    said = refused(as_keeper, at, field, **facts)

    assert sentence in said


def test_a_level_needs_the_receiver_s_temperature(as_keeper, at):
    said = refused(as_keeper, at, "receiver_temperature", receiver="22")

    assert said.startswith("Read how warm the receiver is too")


def test_a_reading_in_the_future_is_refused(as_keeper, at):
    tomorrow = timezone.localtime() + timedelta(days=1)

    said = refused(
        as_keeper, at, "read_at", temperature="425",
        read_at=f"{tomorrow:%Y-%m-%dT%H:%M}",
    )  # fmt: skip

    assert said == "This lies in the future."


def test_a_reading_sent_twice_is_recorded_once_and_says_so(as_keeper, at):
    page = sent_twice(as_keeper, at, temperature="425")

    assert RunReading.objects.count() == 2
    assert "had been sent already" in page.messages


def test_a_colleague_s_reading_in_between_is_not_taken_for_one_s_own(
    as_keeper, at, run
):
    sent = filled_in(as_keeper, at, pressure="0.018")
    make_reading(run, 290, temperature_c=500.0)

    as_keeper.post(at, sent)

    assert newest() == {"pressure_pa": 1.8}


def test_the_first_reading_has_no_last_values_to_be_the_same_as(as_keeper, shipped):
    run = make_run(make_batch())

    page = opened(as_keeper, f"/batches/{run.batch}/run/")

    assert page.typed()["temperature"] == [""]
    assert "temperature_same" not in page.typed()
    assert not page.all(type="checkbox")


def test_every_number_brings_up_the_pad_of_digits(as_keeper, at):
    page = opened(as_keeper, at)

    pads = [control["name"] for control in page.main.all(inputmode="decimal")]
    assert pads == [
        "temperature",
        "pressure",
        "receiver",
        "receiver_temperature",
        "drip",
    ]


def test_a_reader_sees_the_run_and_may_not_enter_anything(client, reader, run, at):
    client.force_login(reader)

    page = Page(client.get(at))

    assert "412 °C" in page.main.text
    assert not page.own_forms()
    assert client.post(at, {"temperature": "425"}).status_code == 403
