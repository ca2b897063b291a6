"""Many readings are recorded at once, and none of them twice."""

import pytest

from inventory.models import LogEntry, RunReading
from inventory.operations import run_rows, runs
from tests.domain.read_off import into, make_reading, make_run, seen
from tests.domain.records import refused
from tests.factories import make_batch, signed

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def run():
    return make_run(make_batch("Rb"))


def test_a_list_of_readings_is_recorded_at_once(run, django_assert_max_num_queries):
    rows = [seen(run, n / 10, temperature_c=20.0 + n) for n in range(1000)]
    who = signed()

    with django_assert_max_num_queries(40):  # rows go in by the hundred
        made = runs.import_readings(run.batch, rows, **who)

    assert len(made) == RunReading.objects.count() == 1000
    assert RunReading.objects.filter(imported=True).count() == 1000
    assert LogEntry.objects.filter(verb="run-import").count() == 1


def test_what_is_on_record_is_not_doubled(run):
    make_reading(run, 10, temperature_c=300.0)
    rows = [seen(run, n, temperature_c=300.0) for n in (5, 10, 15)]

    made = runs.import_readings(run.batch, rows, **signed())

    assert {reading.read_at for reading in made} == {into(run, 5), into(run, 15)}
    with refused("All of these readings are on record already."):
        runs.import_readings(run.batch, rows, **signed())


def test_a_row_twice_in_a_file_is_recorded_once(run):
    made = runs.import_readings(run.batch, [seen(run)] * 3, **signed())

    assert len(made) == 1


def test_other_values_at_the_same_time_are_another_reading(run):
    make_reading(run, 10, temperature_c=300.0)

    made = runs.import_readings(
        run.batch, [seen(run, 10, temperature_c=301.0)], **signed()
    )

    assert len(made) == 1


def test_what_was_struck_out_does_not_come_back(run):
    (reading,) = runs.import_readings(run.batch, [seen(run)], **signed())
    runs.strike(reading, reason="another furnace", **signed())

    with refused("All of these readings are on record already."):
        runs.import_readings(run.batch, [seen(run)], **signed())


def test_one_row_that_cannot_be_refuses_them_all(run):
    rows = [seen(run), seen(run, 61, pressure_pa=-1.0)]
    who, at = signed(), run_rows.clock(into(run, 61))

    with refused(f"{at}: A pressure is above zero."):
        runs.import_readings(run.batch, rows, **who)


def test_five_thousand_rows_are_the_most(run):
    rows = [seen(run, n / 100) for n in range(5001)]
    who = signed()

    with refused("At most 5000 readings are recorded in one go."):
        runs.import_readings(run.batch, rows, **who)


def test_a_level_without_its_temperature_is_kept_as_it_was_logged(run):
    (made,) = runs.import_readings(
        run.batch, [seen(run, receiver_ul=20_000)], **signed()
    )

    assert (made.receiver_ul, made.receiver_c) == (20_000, None)
