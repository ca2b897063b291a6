"""The drawing of yields over time: each dot, its bar, the mean and its band."""

from datetime import date
from math import sqrt

import pytest

from inventory.models import Closing
from inventory.web import comparison, dots


def drawn(*values, u=0.01, still_open=0):
    """Return the drawings of batches with these yields, a month apart.

    The last `still_open` of them are not closed.
    """
    closed = len(values) - still_open
    made = [
        comparison.Row(
            batch=Named(f"RB25{chr(65 + n)}", date(2025, 1 + n, 1)),
            account=comparison.accounts.Account(
                yield_fraction=value,
                u_yield=u,
                closing=Closing() if n < closed else None,
            ),
        )
        for n, value in enumerate(values)
    ][::-1]
    return dots.drawn(made, comparison.said_of(made))


class Named:
    """As much of a batch as the drawing reads."""

    def __init__(self, code, made_on):
        self.code, self.made_on = code, made_on

    def __str__(self):
        return self.code


def percent_at(plot, y):
    """Return the yield at a height, read from the drawn numbers alone."""
    first, *_, last = plot.shares
    per_pixel = (float(last.text) - float(first.text)) / (last.y - first.y)
    return float(first.text) + (y - first.y) * per_pixel


def ends(path):
    """Return the two heights of a bar."""
    top, foot = path.split("h")[0].partition("V")[::2]
    return float(top.split(",")[1]), float(foot.partition("M")[0])


def test_an_open_batch_is_drawn_hollow_and_is_not_the_newest():
    plot = drawn(0.70, 0.72, 0.71, 0.20, still_open=1)["plots"][0]

    assert [dot.open for dot in plot.dots] == [False, False, False, True]
    assert [dot.newest for dot in plot.dots] == [False, False, True, False]
    y = float(plot.mean.partition(",")[2].partition("H")[0])
    assert percent_at(plot, y) == pytest.approx(71, abs=0.3)


@pytest.mark.parametrize("size", [0, 1])
def test_each_dot_stands_at_its_yield_and_its_bar_spans_k_2(size):
    plot = drawn(0.70, 0.72, 0.71, 0.765)["plots"][size]

    for dot, value in zip(plot.dots, (70, 72, 71, 76.5), strict=True):
        assert percent_at(plot, dot.y) == pytest.approx(value, abs=0.05)
        top, foot = ends(dot.bar)
        assert percent_at(plot, top) == pytest.approx(value + 2, abs=0.05)
        assert percent_at(plot, foot) == pytest.approx(value - 2, abs=0.05)
        assert 0 < dot.x < plot.width
    assert [dot.newest for dot in plot.dots] == [False, False, False, True]
    xs = [dot.x for dot in plot.dots]
    assert xs == sorted(xs)


def test_the_line_is_the_mean_of_those_before_the_newest_and_its_band_spans_k_2():
    # 70, 72 and 71 ± 1: mean 71, u = 1/√3, their scatter (χ² = 2) explained by it.
    plot = drawn(0.70, 0.72, 0.71, 0.765)["plots"][0]

    y = float(plot.mean.partition(",")[2].partition("H")[0])
    assert percent_at(plot, y) == pytest.approx(71, abs=0.05)
    top = float(plot.band.partition(",")[2].partition("H")[0])
    foot = float(plot.band.partition("V")[2].partition("H")[0])
    spread = percent_at(plot, top) - percent_at(plot, foot)
    assert spread == pytest.approx(4 / sqrt(3), abs=0.05)


def test_batches_of_one_day_stand_side_by_side():
    plot = drawn(0.70, 0.71)["plots"][0]
    same = dots.apart([100.0, 100.0, 101.0, 300.0], 400.0)

    assert same == [100.0, 109.0, 118.0, 300.0]
    assert dots.apart([398.0, 399.0], 400.0)[-1] == 400.0
    assert len(plot.dots) == 2


def test_one_batch_alone_is_drawn_without_a_mean():
    found = drawn(0.70)

    assert found["plots"][0].mean == ""
    assert not found["mean"]


def test_the_words_that_stand_for_the_drawing_name_every_yield():
    words = drawn(0.70, 0.72)["words"]

    assert words == (
        "Yields in the order of time: RB25A 70.0 % ± 2.0 % (k = 2); "
        "RB25B 72.0 % ± 2.0 % (k = 2)."
    )
