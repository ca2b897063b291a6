"""The events of a chart are told apart by shape and told in words."""

import re
from datetime import UTC, datetime

import pytest
from django.template import Context, Template
from hypothesis import given
from hypothesis import strategies as st

from inventory.web import charts, marks
from inventory.web.charts import Point
from tests.web.scenes import FLASK, SIZES, at, history, long_history


def test_every_kind_of_event_has_a_shape_of_its_own():
    shapes = list(marks.SHAPES.values())

    assert len(set(shapes)) == len(shapes)
    assert set(marks.RANK) == set(marks.SHAPES) == set(marks.NAMES)


@pytest.mark.parametrize(
    ("verdict", "shape"), [("", "check"), ("quiet", "check"), ("check", "warn")]
)
def test_a_weighing_that_disagrees_is_marked_otherwise(verdict, shape):
    chart = charts.remaining(history((0, 9, 1, "check", verdict)))

    assert chart.marks[0].shape == shape
    assert bool(chart.marks[0].sign) == (shape == "warn")


def test_a_weighing_to_investigate_is_painted_last_and_says_so():
    mark = charts.remaining(FLASK).marks[-1]

    assert mark.shape == "stop"
    assert mark.words == (
        "2 May 2026, 09:40: Told. Then 14.90 g ± 0.80 g (k = 2). "
        "The weighing disagrees by more than 3 u: investigate before use."
    )


@given(st.integers(1, 1500), st.integers(1, 60), st.sampled_from(sorted(SIZES)))
def test_marks_that_would_lie_on_each_other_are_counted_by_the_one_that_stays(
    count, gravest, size
):
    points = long_history(count)
    gravest = min(gravest, count) - 1
    points[gravest] = Point(
        points[gravest].at, 30e6, 9e4, "check", "Told", "investigate"
    )

    drawn = charts.remaining(points, SIZES[size]).marks

    hidden = sum(int(n) for m in drawn for n in re.findall(r"And (\d+) more", m.words))
    assert len(drawn) + hidden == count
    assert len(drawn) <= marks.MOST
    assert [m.shape for m in drawn].count("stop") == 1


def test_the_words_tell_the_beginning_the_end_and_what_happened():
    assert charts.in_words(FLASK) == (
        "From 2 Mar 2026, 0 g, to 2 May 2026, 14.90 g ± 0.80 g (k = 2). On the way: "
        "1 filling, 2 withdrawals, 1 transfer, 1 weighing to check, "
        "1 weighing to investigate."
    )


def test_dates_are_those_of_the_laboratorys_time_zone(settings):
    settings.TIME_ZONE = "Asia/Tokyo"  # nine hours ahead: the next day from 15:00
    late = Point(datetime(2026, 3, 2, 20, tzinfo=UTC), 9e6, 1e3, "fill", "Filled")

    page = Template("{% remaining_chart points %}").render(Context({"points": [late]}))

    assert "3 Mar 2026, 05:00: Filled" in page


def test_the_markup_is_named_escaped_and_keeps_the_content_security_policy():
    points = [*FLASK, Point(at(70), 9e6, 1e3, "withdrawal", "<b>Drawn</b>")]

    page = Template("{% remaining_chart points label='K26B-02' %}").render(
        Context({"points": points})
    )

    assert page.count('role="img"') == 2  # wide and narrow, of which one is shown
    assert page.count("<title>Metal remaining over time: K26B-02</title>") == 2
    assert "<desc>From 2 Mar 2026" in page
    assert "&lt;b&gt;Drawn" in page
    assert "<b>" not in page
    assert " style=" not in page
    assert "<script" not in page
    assert " id=" not in page
