"""A run's log keeps what was read when it was read, and refuses what cannot be."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import RunReading
from inventory.operations import run_rows, runs
from inventory.operations.run_rows import Seen
from tests.domain.closed import close
from tests.domain.read_off import into, make_reading, make_run, seen
from tests.domain.records import on_record, refused
from tests.factories import G, fill, make_batch, make_tared, signed

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def run():
    return make_run(make_batch("Rb"))


def facts_of(run, **changed):
    names = ("started_at", "ended_at", "receiver", "receiver_ul", "u_receiver_ul")
    return {name: getattr(run, name) for name in names} | changed


def test_a_reading_is_kept_as_it_was_read(run):
    reading = make_reading(
        run,
        30,
        temperature_c=412.0,
        pressure_pa=2.0,
        receiver_ul=31_500,
        receiver_c=60.0,
        drip_s=4.5,
        note="first drops",
    )

    kept = RunReading.objects.get()
    assert kept == reading
    assert run_rows.facts_of(kept) == {
        "read_at": into(run, 30),
        "temperature_c": 412.0,
        "pressure_pa": 2.0,
        "receiver_ul": 31_500,
        "receiver_c": 60.0,
        "drip_s": 4.5,
        "note": "first drops",
    }
    assert not kept.imported


def test_the_logbook_says_what_was_read(run):
    reading = make_reading(run, receiver_ul=31_500, receiver_c=60.0, drip_s=4.5)

    assert "31.5 mL at 60 °C in the receiver, a drop every 4.5 s" in str(reading.entry)


@pytest.mark.parametrize("minutes", [-30, 10], ids=["before the start", "out of order"])
def test_a_reading_of_an_earlier_moment_is_kept(run, minutes):
    make_reading(run, 60)

    make_reading(run, minutes)

    assert list(
        run.batch.run_readings.standing().in_order().values_list("read_at")
    ) == [
        (into(run, minutes),),
        (into(run, 60),),
    ]


@pytest.mark.parametrize(
    ("read", "sentence", "field"),
    [
        ({"note": ""}, "Nothing was read, so there is nothing to record.", None),
        ({"pressure_pa": 0.0}, "A pressure is above zero.", "pressure"),
        ({"pressure_pa": -1.0}, "A pressure is above zero.", "pressure"),
        ({"drip_s": 0.0}, "The time from drop to drop is above zero.", "drip"),
        (
            {"receiver_ul": -1, "receiver_c": 60.0},
            "A receiver reading is not below zero.",
            "receiver",
        ),
        (
            {"receiver_ul": 50_001, "receiver_c": 60.0},
            "50.001 mL is more than the receiver holds, 50 mL.",
            "receiver",
        ),
        (
            {"receiver_ul": 60_000, "receiver_c": 60.0},
            "60 mL is more than the receiver holds, 50 mL.",
            "receiver",
        ),
        (
            {"receiver_ul": 20_000},
            "Read how warm the receiver is too: the metal's density hangs on it. "
            "If it is as warm as before, tick “same”.",
            "receiver_temperature",
        ),
        (
            {"receiver_c": 60.0},
            "How warm the receiver is says nothing alone: read its level too.",
            "receiver_temperature",
        ),
    ],
)
def test_what_cannot_be_read_is_refused(run, read, sentence, field):
    who = signed()

    with refused(sentence, field):
        runs.read(run.batch, seen(run, **read), **who)


def test_a_full_receiver_is_no_more_than_it_holds(run):
    make_reading(run, receiver_ul=50_000, receiver_c=60.0)

    assert RunReading.objects.exists()


@pytest.mark.parametrize(
    ("away", "sentence"),
    [
        (timedelta(days=1), "This lies in the future."),
        (
            timedelta(days=-400),
            "This is more than a year before the run started.",
        ),
    ],
)
def test_a_moment_that_cannot_be_is_refused(run, away, sentence):
    who, when = signed(), timezone.now() + away

    with refused(sentence, "read_at"):
        runs.read(run.batch, Seen(when, temperature_c=400.0), **who)


def test_a_run_is_set_up_before_it_is_read():
    batch, who = make_batch(), signed()

    with refused("Set the run up first: when it started, and what it runs into."):
        runs.read(batch, Seen(timezone.now(), temperature_c=1.0), **who)


def test_a_level_means_nothing_while_nobody_said_what_the_receiver_is():
    run, who = make_run(make_batch(), receiver_ul=None), signed()

    with refused(
        "Say in the run's set-up what the receiver is: a volume alone is no mass.",
        "receiver",
    ):
        runs.read(run.batch, seen(run, receiver_ul=1, receiver_c=60.0), **who)


class TestStriking:
    def test_a_struck_reading_stays_with_who_and_why(self, run):
        reading = make_reading(run)

        runs.strike(reading, reason="the wrong furnace", **signed())

        reading.refresh_from_db()
        assert reading.struck_by.note == "the wrong furnace"
        assert reading.struck_by.entry.by.username == "somebody"
        assert not run.batch.run_readings.standing().exists()

    def test_a_reading_is_struck_once(self, run):
        reading, who = make_reading(run), signed()
        striking = runs.strike(reading, reason="x", **signed())

        for each in (reading, striking):
            with refused("This reading is struck out already."):
                runs.strike(each, reason="x", **who)


def test_a_closed_batch_takes_no_readings_and_no_changes(run):
    reading, batch = make_reading(run), run.batch
    fill(make_tared(batch), stated_ug=G, u_stated_ug=1)
    close(batch)
    sentence = (
        f"Batch {batch} is closed: its account is drawn up. "
        "Have it reopened first, with a reason."
    )
    for operation, *given in (
        (runs.set_up, batch, facts_of(run)),
        (runs.read, batch, seen(run)),
        (runs.import_readings, batch, [seen(run, 5)]),
    ):
        who = signed()
        with refused(sentence):
            operation(*given, **who)
    who = signed()
    with refused(sentence):
        runs.strike(reading, reason="x", **who)


def test_nothing_else_of_a_batch_changes_when_its_run_is_read(run):
    before = on_record()

    make_reading(run)

    after = on_record()
    changed = {model.__name__ for model in after if after[model] != before[model]}
    assert changed == {"RunReading", "LogEntry"}
