"""A run is set up into glass that is there, at times that can be."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import LogEntry
from inventory.operations import run_rows, runs
from tests.domain.read_off import make_reading, make_run
from tests.domain.records import refused
from tests.factories import ML, G, fill, make_batch, make_tared, signed

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def run():
    return make_run(make_batch("Rb"))


def facts_of(run, **changed):
    names = ("started_at", "ended_at", "receiver", "receiver_ul", "u_receiver_ul")
    return {name: getattr(run, name) for name in names} | changed


def test_a_set_up_is_changed_in_place_and_the_logbook_keeps_both(run):
    runs.set_up(run.batch, facts_of(run, receiver_ul=100 * ML), **signed())

    run.refresh_from_db()
    assert run.receiver_ul == 100 * ML
    said = LogEntry.objects.filter(verb="run-set-up").values_list("summary")
    assert "50 mL" in said[1][0]
    assert "100 mL" in said[0][0]


def test_a_tared_vessel_of_the_batch_is_the_receiver():
    batch = make_batch()
    vessel = make_tared(batch, capacity_ul=20 * ML)

    run = make_run(batch, receiver=vessel, receiver_ul=None)

    assert run_rows.receiver_volume(run) == 20 * ML


def test_a_vessel_of_another_batch_is_refused():
    batch, vessel = make_batch(), make_tared(make_batch())

    with refused(f"{vessel} does not belong to {batch}.", "receiver"):
        make_run(batch, receiver=vessel, receiver_ul=None)


def test_a_filled_vessel_is_refused_unless_it_was_the_receiver_all_along():
    batch = make_batch()
    vessel, other = make_tared(batch), make_tared(batch)
    run = make_run(batch, receiver=vessel, receiver_ul=None)
    for each in (vessel, other):
        fill(each, stated_ug=G, u_stated_ug=1)

    make_run(batch, receiver=vessel, receiver_ul=None, ended_at=timezone.now())

    with refused(f"{other} is not an empty vessel any more.", "receiver"):
        make_run(batch, receiver=other, receiver_ul=None)
    run.refresh_from_db()
    assert run.ended_at


def test_a_vessel_and_a_volume_together_are_refused():
    vessel = make_tared(make_batch())

    with refused(
        f"The record of {vessel} has its volume: leave this empty.",
        "receiver_volume",
    ):
        make_run(vessel.batch, receiver=vessel)


@pytest.mark.parametrize("volume_ul", [20_000, None])
def test_a_receiver_holds_what_was_read_in_it(run, volume_ul):
    make_reading(run, receiver_ul=30_000, receiver_c=60.0)
    who = signed()

    with refused(
        "A reading of 30 mL is on record: the receiver holds at least that.",
        "receiver_volume",
    ):
        runs.set_up(run.batch, facts_of(run, receiver_ul=volume_ul), **who)


def test_a_struck_reading_does_not_bind_the_receiver(run):
    reading = make_reading(run, receiver_ul=30_000, receiver_c=60.0)
    runs.strike(reading, reason="misread", **signed())

    runs.set_up(run.batch, facts_of(run, receiver_ul=20_000), **signed())


@pytest.mark.parametrize(
    ("changed", "sentence", "field"),
    [
        ({"started_at": 3}, "This lies in the future.", "started_at"),
        ({"ended_at": 3}, "This lies in the future.", "ended_at"),
        ({"ended_at": -9}, "The run cannot end before it starts.", "ended_at"),
        ({"started_at": -24 * 365 * 200}, "Look at the year again.", "started_at"),
    ],
)
def test_times_that_cannot_be_are_refused(run, changed, sentence, field):
    now, who = timezone.now(), signed()
    facts = {name: now + timedelta(hours=n) for name, n in changed.items()}

    with refused(sentence, field):
        runs.set_up(run.batch, facts_of(run, **facts), **who)
