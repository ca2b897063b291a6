"""The chart of a run draws what was read, and stays light however much that is."""

import re
from datetime import UTC, datetime, timedelta

import pytest
from django.template.loader import render_to_string
from hypothesis import given
from hypothesis import strategies as st

from inventory.web import run_chart
from inventory.web.charts import NARROW, WIDE
from inventory.web.run_chart import Series

START = datetime(2026, 3, 5, 9, 0, tzinfo=UTC)
SIZES = {"wide": WIDE, "narrow": NARROW}
PAIR = re.compile(r"(-?\d[\d.]*),(-?\d[\d.]*)")


def minutes(n):
    return START + timedelta(minutes=n)


def drawn(size="wide", **series):
    given = {"temperatures": [], "pressures": [], "masses": [], **series}
    return run_chart.draw(Series(**given), START, SIZES[size], UTC)


def plot(kind, **series):
    (found,) = [each for each in drawn(**series).plots if each.kind == kind]
    return found


def value_at(plot, y, laid=float):
    """Return the value that a height stands for, by the drawn numbers alone."""
    low, high = plot.marks[0], plot.marks[-1]
    share = (low.y - y) / (low.y - high.y)
    return laid(float(low.text)) + share * (
        laid(float(high.text)) - laid(float(low.text))
    )


def heights(path):
    return [
        float(y) for y in re.findall(r"V(-?[\d.]+)|,(-?[\d.]+)", path) for y in y if y
    ]


@pytest.mark.parametrize("celsius", [22.0, 137.0, 455.0, 600.0])
def test_a_temperature_stands_at_its_number_until_the_next_is_read(celsius):
    steps = plot("temperature", temperatures=[(minutes(0), 0.0), (minutes(60), celsius),
                                              (minutes(120), 610.0)])  # fmt: skip

    _, second, _ = heights(steps.line)
    assert value_at(steps, second) == pytest.approx(celsius, abs=4)
    # Right first, then up: no slope that nobody measured.
    assert re.fullmatch(r"M[\d.]+,[\d.]+(H[\d.]+V[\d.]+)+H[\d.]+", steps.line)


def test_a_decade_of_pressure_is_as_high_as_any_other():
    pressures = [(minutes(n), 10.0**-n) for n in range(4)]

    steps = plot("pressure", pressures=pressures, pressure_unit="mbar")

    first, *_, last = heights(steps.line)
    gaps = [
        b - a
        for a, b in zip(heights(steps.line), heights(steps.line)[1:], strict=False)
    ]
    assert gaps == pytest.approx([(last - first) / 3] * 3, abs=0.2)
    assert [mark.text for mark in steps.marks] == ["0.001", "0.01", "0.1", "1"]
    assert steps.title == "Pressure in mbar, by decades"


def test_the_numbers_of_many_decades_do_not_crowd():
    steps = plot("pressure", pressures=[(minutes(0), 1e-7), (minutes(9), 1000.0)])

    assert len(steps.marks) <= 6
    assert steps.marks[0].text == "10⁻⁷"


def test_an_error_bar_is_twice_the_standard_uncertainty_either_way():
    # U = k·u with k = 2. Source: JCGM 100:2008, 6.2.1.
    mass = plot("mass", masses=[(minutes(60), 10e6, 1e6), (minutes(120), 20e6, 0.5e6)])

    bars = re.findall(r"M[\d.]+,([\d.]+)V([\d.]+)M", mass.bars)
    ends = [[value_at(mass, float(y)) for y in bar] for bar in bars]
    assert ends == [
        pytest.approx([12, 8], abs=0.15),
        pytest.approx([21, 19], abs=0.15),
    ]
    middles = [value_at(mass, float(y)) for _, y in PAIR.findall(mass.line)]
    assert middles == pytest.approx([10, 20], abs=0.15)


def test_many_levels_get_a_band_in_place_of_bars():
    masses = [(minutes(n), n * 1e5, 2e5) for n in range(300)]

    mass = plot("mass", masses=masses)

    assert mass.band
    assert not mass.bars


def test_a_plot_without_readings_is_left_out():
    chart = drawn(temperatures=[(minutes(5), 20.0)])

    assert [each.kind for each in chart.plots] == ["temperature"]
    assert not run_chart.drawn(Series([], [], []), START, UTC)


def test_a_spike_among_thousands_of_readings_is_still_drawn():
    values = [(minutes(n / 10), 400.0 + (n == 2345) * 150) for n in range(5000)]

    steps = plot("temperature", temperatures=values)

    top = min(heights(steps.line))
    assert value_at(steps, top) == pytest.approx(550, abs=2)


@pytest.mark.parametrize("count", [1, 5_000])
def test_a_page_with_thousands_of_readings_stays_light(count):
    series = Series(
        [(minutes(n / 10), 400.0 + n % 7) for n in range(count)],
        [(minutes(n / 10), 0.02 + n % 5) for n in range(count)],
        [(minutes(n / 10), n * 1e4, 2e5) for n in range(count)],
    )

    page = render_to_string(
        "components/chart_run.html",
        {"charts": run_chart.drawn(series, START, UTC), "title": "x", "words": "y"},
    )

    assert len(page) < 90_000


@given(
    st.lists(
        st.tuples(
            st.floats(-400, 4000),
            st.floats(-200, 3000),
            st.floats(1e-9, 1e7),
            st.floats(-1e6, 1e9),
            st.floats(0, 1e8),
        ),
        min_size=1,
        max_size=30,
    ),
    st.sampled_from(sorted(SIZES)),
)
def test_nothing_is_drawn_outside_the_picture(readings, size):
    readings.sort()
    chart = drawn(
        size,
        temperatures=[(minutes(m), t) for m, t, *_ in readings],
        pressures=[(minutes(m), p) for m, _, p, *_ in readings],
        masses=[(minutes(m), mass, u) for m, *_, mass, u in readings],
    )

    for each in chart.plots:
        for path in (each.line, each.band, each.grid):
            for x, y in PAIR.findall(path):
                assert 0 <= float(x) <= chart.width
                assert 0 <= float(y) <= chart.height
        for mark in each.marks:
            assert mark.x - len(mark.text) * SIZES[size].letter >= -1
    for label in chart.dates:
        assert 0 <= label.x <= chart.width
