"""The chart of what remained says what the estimates say, however long the history."""

import re
from itertools import pairwise

import pytest
from django.template import Context, Template
from hypothesis import given
from hypothesis import strategies as st

from inventory.web import charts, steps
from inventory.web.charts import Point
from tests.web.scenes import FLASK, SIZES, at, long_history

MOVE = re.compile(r"([MHV])(-?[\d.]+)(?:,(-?[\d.]+))?")


def corners(path):
    """Return the corners of a path of straight moves, all of them absolute."""
    x = y = 0.0
    for letter, one, two in MOVE.findall(path):
        x, y = (float(one), float(two or y)) if letter != "V" else (x, float(one))
        yield (x, y)


def value_at(path, x):
    """Return the height of a step line just after `x`."""
    level = None
    for (x1, y1), (x2, _) in pairwise(corners(path)):
        if x1 <= x < x2:
            level = y1
    return level


def scale(chart):
    """Return (first pixel y, grams per pixel) read from the drawn numbers alone."""
    zero, *_, top = chart.masses
    return zero.y, float(top.text) / (zero.y - top.y)


def grams(chart, y):
    zero, per_pixel = scale(chart)
    return (zero - y) * per_pixel


def middle_of(chart, n):
    """Return a pixel half way between two events of the flask, dated in the marks."""
    xs = sorted(mark.x for mark in chart.marks)
    return (xs[n] + xs[n + 1]) / 2


@pytest.mark.parametrize("size", SIZES)
def test_the_line_holds_each_estimate_until_the_next_event(size):
    chart = charts.remaining(FLASK, SIZES[size])

    for n, point in enumerate(FLASK[:-1]):
        drawn = grams(chart, value_at(chart.line, middle_of(chart, n)))
        assert drawn == pytest.approx(point.metal_ug / 1e6, abs=0.03)


def test_a_withdrawal_is_a_vertical_step_with_no_slope_anywhere():
    for one, other in pairwise(corners(charts.remaining(FLASK).line)):
        assert one[0] == other[0] or one[1] == other[1]


@pytest.mark.parametrize("size", SIZES)
def test_the_band_reaches_two_standard_uncertainties_either_way(size):
    # U = k·u with k = 2. Source: JCGM 100:2008, 6.2.1 and 6.3.3.
    chart = charts.remaining(FLASK, SIZES[size])
    outline = list(corners(chart.band))
    end = max(x for x, _ in outline)
    turn = max(n for n, (x, _) in enumerate(outline) if x == end)
    back = "M" + "L".join(f"{x},{y}" for x, y in outline[turn:][::-1])

    for n, point in enumerate(FLASK[:-1]):
        x = middle_of(chart, n)
        upper = grams(chart, value_at(chart.band, x))
        lower = grams(chart, low_at(back, x))
        u_g = point.u_ug / 1e6
        assert upper - lower == pytest.approx(4 * u_g, abs=0.06)
        assert (upper + lower) / 2 == pytest.approx(point.metal_ug / 1e6, abs=0.06)


def low_at(path, x):
    spots = [tuple(map(float, pair.split(","))) for pair in path[1:].split("L")]
    return next(a[1] for a, b in pairwise(spots) if a[0] <= x < b[0])


@given(
    st.lists(
        st.tuples(st.floats(0.001, 3), st.floats(-1, 60), st.floats(0, 1e6)),
        min_size=1,
        max_size=40,
    ),
    st.sampled_from(sorted(SIZES)),
    st.floats(0, 900),
)
def test_nothing_is_drawn_outside_the_picture(events, size, wait):
    days, points = 0.0, []
    for gap, metal_g, u_ug in events:
        days += gap
        points.append(Point(at(days), metal_g * 1e6, u_ug, "withdrawal", "Told"))

    chart = charts.remaining(points, SIZES[size], until=at(days + wait))

    spots = [*corners(chart.line), *corners(chart.band)]
    spots += [(mark.x, mark.y) for mark in chart.marks]
    for x, y in spots:
        assert 0 <= x <= chart.width
        assert 0 <= y <= chart.height
    for label in chart.dates:
        half = len(label.under) * SIZES[size].letter / 2
        assert half - 0.1 <= label.under_x <= chart.width - half + 0.1


def test_the_paths_of_a_history_of_five_thousand_events_stay_below_sixty_kilobytes():
    points = long_history(5000)

    both = [charts.remaining(points, size) for size in SIZES.values()]

    assert sum(len(chart.line) + len(chart.band) for chart in both) < 60_000


def test_a_page_with_a_history_of_five_thousand_events_stays_light():
    page = Template("{% remaining_chart points %}").render(
        Context({"points": long_history(5000)})
    )

    assert len(page) < 110_000


@given(
    st.lists(st.floats(0, 200), min_size=2, max_size=400),
    st.integers(1, 30),
)
def test_a_thinned_line_covers_the_same_pixels_of_every_column(heights, spacing):
    drawn = [steps.Step(n / spacing, y, y, y) for n, y in enumerate(heights)]
    end = len(heights) / spacing + 5

    thin = list(corners(steps.line(drawn, end)))

    for column in range(int(end // steps.COLUMN) + 1):
        left, right = column * steps.COLUMN, (column + 1) * steps.COLUMN
        seen = [y for x, y in thin if left - 0.05 <= x < right + 0.05]
        meant = [s.middle for s in drawn if left <= s.x < right]
        if meant:
            assert min(seen) <= min(meant) + 0.05
            assert max(seen) >= max(meant) - 0.05
            last = value_at(steps.line(drawn, end), right)
            if last is not None and not any(right <= s.x < right + 0.1 for s in drawn):
                assert last == pytest.approx(meant[-1], abs=0.051)


@given(st.lists(st.floats(0, 90), min_size=3, max_size=300), st.integers(1, 30))
def test_a_thinned_band_is_nowhere_narrower_than_the_band_it_stands_for(
    halves, spacing
):
    drawn = [
        steps.Step(n / spacing, 100, 100 - h, 100 + h) for n, h in enumerate(halves)
    ]

    outline = list(corners(steps.band(drawn, len(halves) / spacing + 5)))

    for step in drawn:
        left = step.x // steps.COLUMN * steps.COLUMN - 0.05
        seen = [y for x, y in outline if left <= x < left + steps.COLUMN + 0.1]
        assert min(seen) <= step.upper + 0.05
        assert max(seen) >= step.lower - 0.05


def test_one_withdrawal_among_thousands_of_weighings_is_still_a_step():
    points = [
        Point(at(n / 10), (50.0 if n < 1234 else 20.0) * 1e6, 5e4, "check", "Told")
        for n in range(3000)
    ]
    points[1234] = Point(at(123.4), 20e6, 5e4, "withdrawal", "Drawn")

    chart = charts.remaining(points)

    heights = {round(grams(chart, y)) for _, y in corners(chart.line)}
    assert heights == {50, 20}
    assert [m.shape for m in chart.marks].count("withdrawal") == 1


def test_what_is_believed_between_a_pour_and_its_reading_is_no_spike():
    pour = Point(at(1), 80e6, 46e6, "fill", "Filled, amount not known")
    reading = Point(at(1), 30e6, 5_000, "check", "Weighed", "quiet")
    points = [Point(at(0), 0, 0, "start", "Tared"), pour, reading]

    chart = charts.remaining(points, until=at(9))

    assert max(grams(chart, y) for _, y in corners(chart.line)) == pytest.approx(
        30, abs=0.2
    )
    assert not chart.cut


def test_a_band_too_wide_for_the_picture_is_cut_and_the_key_says_so():
    guess = Point(at(0), 10e6, 20e6, "fill", "Filled, amount not known")

    page = Template("{% remaining_chart points %}").render(Context({"points": [guess]}))

    assert charts.remaining([guess]).cut
    assert "cut at the top" in page


def test_a_spent_vessel_and_an_estimate_below_nothing_lie_on_the_axis():
    for metal_ug in (0.0, -4_000.0):
        chart = charts.remaining([Point(at(0), metal_ug, 0, "start", "Told")])

        assert {y for _, y in corners(chart.line)} == {chart.masses[0].y}


def test_without_a_history_nothing_is_drawn():
    page = Template("{% remaining_chart points %}").render(Context({"points": []}))

    assert page.strip() == ""
