"""What a run says so far comes from its standing readings, however many there are."""

from datetime import timedelta

import pytest

from inventory.operations import batches, progress, runs
from tests.domain.read_off import make_reading, make_run, seen
from tests.factories import ML, G, make_batch, signed

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shipped")]


@pytest.fixture
def run():
    return make_run(make_batch("Rb"))


def level(run, minutes, ml, celsius=60.0):
    return make_reading(
        run,
        minutes,
        receiver_ul=round(ml * ML),
        receiver_c=celsius,
        temperature_c=500.0,
    )


def test_a_run_that_was_never_set_up_says_nothing():
    assert progress.of(make_batch()) is None


def test_a_run_without_a_level_has_no_mass_no_rate_and_no_yield(run):
    make_reading(run, 30)

    now = progress.of(run.batch)

    assert now.readings == 1
    assert now.collected_ug is now.rate_ug_per_h is now.yield_fraction is None


def test_the_newest_level_by_the_clock_counts_not_the_last_one_entered(run):
    level(run, 120, 20)
    level(run, 60, 10)

    now = progress.of(run.batch)

    assert [at.receiver_ul for at in (each.point for each in now.levels)] == [
        10_000,
        20_000,
    ]
    # Two levels of the same receiver: the mass goes with the volume.
    assert now.collected_ug == pytest.approx(2 * now.levels[0].mass_ug)
    assert now.level_at == run.started_at + timedelta(hours=2)


def test_what_was_emptied_out_of_the_receiver_counts_in_the_yield(run):
    for minutes, ml in ((60, 10), (120, 20), (180, 5)):
        level(run, minutes, ml)
    batches.charge(
        run.batch,
        formula="RbCl",
        role="source",
        mass_ug=60 * G,
        u_ug=1000,
        purity=1.0,
        **signed(),
    )

    now = progress.of(run.batch)

    # 20 mL out and 5 mL there: five times the last level's mass.
    assert now.emptied
    assert now.in_receiver_ug == pytest.approx(now.levels[-1].mass_ug)
    assert now.collected_ug == pytest.approx(5 * now.in_receiver_ug)
    assert now.yield_fraction == pytest.approx(now.collected_ug / 42.41e6, rel=1e-3)


def test_a_struck_level_does_not_count(run):
    level(run, 60, 10)
    runs.strike(level(run, 120, 45), reason="misread", **signed())

    assert progress.of(run.batch).levels[-1].point.receiver_ul == 10_000


def test_a_yield_needs_a_charge(run):
    level(run, 60, 10)
    assert progress.of(run.batch).yield_fraction is None

    batches.charge(
        run.batch,
        formula="RbCl",
        role="source",
        mass_ug=60 * G,
        u_ug=1000,
        purity=1.0,
        **signed(),
    )

    now = progress.of(run.batch)
    # RbCl 120.921 g/mol, Rb 85.468 g/mol (CIAAW): 60 g of it hold 42.41 g.
    assert now.yield_fraction == pytest.approx(now.collected_ug / 42.41e6, rel=1e-3)
    assert now.u_yield > 0


def test_a_frozen_receiver_leaves_the_numbers_as_of_the_reading_before(run):
    level(run, 60, 10)
    level(run, 120, 12, celsius=20.0)

    now = progress.of(run.batch)

    assert "solid at 20 °C" in now.uncounted
    assert now.level_at == run.started_at + timedelta(hours=1)


def test_a_level_without_a_temperature_says_that_it_is_missing(run):
    rows = [seen(run, 60, receiver_ul=10_000)]
    runs.import_readings(run.batch, rows, **signed())

    now = progress.of(run.batch)

    assert now.uncounted == "How warm the receiver was is not on record."
    assert now.collected_ug is None


def test_of_thousands_of_levels_some_are_used_and_always_the_newest(run):
    rows = [
        seen(run, n / 20, receiver_ul=4 * n, receiver_c=60.0) for n in range(1, 5001)
    ]
    runs.import_readings(run.batch, rows, **signed())

    now = progress.of(run.batch)

    assert len(now.levels) <= progress.LEVELS_MOST
    assert now.levels[-1].point.receiver_ul == 20_000
    assert now.collected_ug == now.levels[-1].mass_ug


def test_a_rate_that_falls_off_hardly_at_all_foretells_no_day_beyond_the_calendar(run):
    for n in range(10):
        level(run, 25 * n, 0.5 + n - n * n * 1e-5)

    now = progress.of(run.batch)

    assert now.rate_ug_per_h > 0
    assert now.falls_below_at is None
