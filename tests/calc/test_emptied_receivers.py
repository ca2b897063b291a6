"""A receiver emptied during a run: what went out of it was collected too."""

import pytest

from inventory.calc.running import Point, collected, progress
from tests.calc.receiver import CAESIUM, DENSITY, WARM_C, every, grown, readings

WORTH = 2e6


def test_an_emptied_receiver_begins_anew_and_says_so():
    before = readings(every(0.5, 3), u_ul=50)
    after = [Point(3.5 + p.hours, p.receiver_ul, 50, WARM_C) for p in before[:4]]

    said = progress([*before, *after], CAESIUM, WORTH)

    assert said.emptied
    assert said.in_receiver.n == pytest.approx(after[-1].receiver_ul * DENSITY)
    assert said.words.startswith("At 3.5 h the receiver shows less than before")
    assert said.rate_ug_per_h.n == pytest.approx(grown(1.5) / 1.5, rel=0.05)


def test_what_was_emptied_out_of_the_receiver_counts_as_collected():
    # By hand: 9 mL emptied out, 7 mL emptied out, 2 mL there now: 18 mL, and one
    # graduation read three times to 50 µL has up to 150 µL wrong.
    levels = [3_000, 6_000, 9_000, 1_000, 4_000, 7_000, 500, 2_000]
    points = [Point(float(h), ul, 50, WARM_C) for h, ul in enumerate(levels)]

    said = progress(points, CAESIUM)

    one = [collected(points[at], CAESIUM) for at in (2, 5, 7)]
    assert said.collected.n == pytest.approx(18_000 * DENSITY)
    assert said.collected.s == pytest.approx(sum(mass.s for mass in one))
    assert said.collected.s >= 150 * DENSITY
    assert said.in_receiver.n == pytest.approx(2_000 * DENSITY)
    assert said.words.count("emptied, or a reading is wrong") == 2


@pytest.mark.parametrize(
    ("levels", "collected_ul"),
    [
        ([5_000, 9_000, 7_000, 5_000, 3_000, 1_000, 2_000], 11_000),  # poured slowly
        ([5_000, 9_000, 8_500, 8_500, 9_200], 9_200),  # a fall that noise may make
    ],
)
def test_a_slow_emptying_counts_once_and_a_small_fall_not_at_all(levels, collected_ul):
    points = [Point(float(h), ul, 50, WARM_C) for h, ul in enumerate(levels)]

    said = progress(points, CAESIUM)

    assert said.emptied
    assert said.collected.n == pytest.approx(collected_ul * DENSITY)
    assert said.words.count("emptied, or a reading is wrong") == 1


def test_one_reading_far_above_its_neighbours_is_not_counted_as_collected():
    levels = [1_000, 2_000, 3_000, 4_000, 50_000, 6_000, 7_000]
    points = [Point(float(h), ul, 50, WARM_C) for h, ul in enumerate(levels)]

    said = progress(points, CAESIUM)

    assert not said.emptied
    assert said.collected.n == pytest.approx(7_000 * DENSITY)
    assert said.words.startswith("The reading at 4.0 h is above those around it")


@pytest.mark.parametrize(
    "levels",
    [
        [0, 20_000, 8_000, 15_000],  # emptied after few readings
        [0, 10_000, 21_000, 10_000, 18_000],  # filled quickly again
        [0, 0, 0, 8_000, 2_000, 5_000],  # nothing came for a while
    ],
)
def test_a_level_that_may_well_have_been_reached_is_counted(levels):
    points = [Point(float(h), ul, 50, WARM_C) for h, ul in enumerate(levels)]

    said = progress(points, CAESIUM)

    assert said.emptied
    assert said.collected.n == pytest.approx((max(levels[:-2]) + levels[-1]) * DENSITY)


def test_a_receiver_that_was_not_emptied_holds_all_that_was_collected():
    said = progress(readings(every(0.5, 3), u_ul=50), CAESIUM)

    assert not said.emptied
    assert said.collected == said.in_receiver
