"""Batches of one metal and process side by side: numbers, words and the drawing."""

from datetime import UTC, date, datetime, timedelta
from math import sqrt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.operations import batches, runs
from inventory.operations.run_rows import Seen
from inventory.web import comparison, dots
from tests.domain.closed import close, make_filled, weighed_as
from tests.factories import G, make_batch, signed
from tests.web.person import opened

pytestmark = pytest.mark.usefixtures("shipped")

AT = "/batches/compare/?material=Rb&process=reduction"
# 20 g of RbCl (120.92 g/mol) hold 14.137 g of rubidium (85.468 g/mol, CIAAW).
HOLDS_G = 20 * 85.4678 / 120.9178


def make_run(day, *masses_ug, u_mg=10, read=(), **facts):
    """Return a closed batch of a day in 2025, its collected mass weighed."""
    facts = {"made_on": date(2025, 1, 1) + timedelta(days=day), **facts}
    batch = make_filled(*masses_ug, **facts)
    batches.charge(
        batch, formula="RbCl", role="source", mass_ug=20 * G, u_ug=0, purity=1.0,
        u_purity=0.0, **signed(),
    )  # fmt: skip
    if read:
        log_run(batch, *read)
    close(batch, weighed_as(sum(masses_ug), u_mg * 1_000))
    return batch


def log_run(batch, *readings, hours=8):
    start = datetime.combine(batch.made_on, datetime.min.time(), UTC)
    facts = {"started_at": start, "ended_at": start + timedelta(hours=hours)}
    runs.set_up(batch, facts, **signed())
    for n, (celsius, pascal) in enumerate(readings):
        seen = Seen(
            start + timedelta(hours=n), temperature_c=celsius, pressure_pa=pascal
        )
        runs.read(batch, seen, **signed())


def rows(page):
    return page.table_under("rows")


def test_the_newest_comes_first_with_its_charges_yield_and_balance(as_keeper):
    make_run(0, 7 * G, route="calcium reduction, slowly")
    newest = make_run(30, 8 * G)

    first, second = rows(opened(as_keeper, AT))

    assert first[0].startswith(str(newest))
    assert float(first[3].removesuffix(" g")) == pytest.approx(HOLDS_G, rel=1e-4)
    percent = 800 / HOLDS_G
    assert first[4].startswith(f"{percent:.2f} % ± {2 * 1 / HOLDS_G:.2f} %")
    assert "calcium reduction, slowly" in second[0]
    assert first[-1].startswith("0 g ± 20.1 mg")


def test_conditions_come_from_the_readings_of_the_run(as_keeper):
    batch = make_batch("Rb")
    log_run(batch, (300.0, 12.0), (600.0, 3.0), (580.0, 2.5), hours=9.5)

    (row,) = rows(opened(as_keeper, AT))

    assert row[5:8] == ["600 °C 580 °C", "2.5 Pa", "9.5 h"]


def test_other_metals_processes_and_routes_stay_out(as_keeper):
    wanted = make_batch("Rb", route="distilled at 0.1 mbar")
    make_batch("Cs")
    make_batch("Rb", process="electrolysis")
    make_batch("Rb", route="slowly")

    (row,) = rows(opened(as_keeper, f"{AT}&q=0.1+MBAR"))

    assert row[0].startswith(str(wanted))


def test_without_a_choice_it_lists_what_there_is_to_compare(as_keeper):
    make_batch("Rb")
    make_batch("Rb")
    make_batch("K", kind="bought")

    page = opened(as_keeper, "/batches/compare/")

    (listed,) = page.by_id("groups").above("section").all("li")
    assert listed.text == "Rubidium, reduction 2 batches"
    assert AT in [link["href"] for link in listed.all("a")]


def test_a_batch_and_the_list_lead_to_the_comparison(as_keeper):
    batch = make_batch("Rb")

    assert AT in opened(as_keeper, batch.get_absolute_url()).links
    assert "/batches/compare/" in opened(as_keeper, "/batches/").links


def said(page):
    return page.by_id("said").above("section").text


def test_a_difference_within_its_uncertainty_is_not_made_much_of(as_keeper):
    for day, mass_ug in enumerate((7_000_000, 7_010_000, 6_990_000)):
        make_run(day, mass_ug)
    make_run(40, 7_015_000)

    words = said(opened(as_keeper, AT))

    assert "The 3 before it together give" in words
    assert "is within its uncertainty: no change shows" in words
    assert "does not prove that there is none" in words


def test_a_larger_difference_is_pointed_out_with_caution(as_keeper):
    for day, mass_ug in enumerate((7_000_000, 7_010_000, 6_990_000)):
        make_run(day, mass_ug)
    newest = make_run(40, 8_000_000)

    words = said(opened(as_keeper, AT))

    # 1.000 g more than a mean of 7.000 g: 7.07 % of what the charge holds.
    assert f"{newest} gave" in words
    assert f"The difference, {100 / HOLDS_G:.2f} %" in words
    assert "something may have changed. Look at what else was different" in words


def test_runs_that_scatter_by_themselves_widen_what_is_expected(as_keeper):
    for day, mass_ug in enumerate((6_000_000, 7_000_000, 8_000_000)):
        make_run(day, mass_ug)
    make_run(40, 8_500_000)

    words = said(opened(as_keeper, AT))

    assert "differ from one to the next by more than weighing explains" in words
    assert "is within its uncertainty" in words


def test_two_runs_are_said_to_be_few_and_one_to_be_none(as_keeper):
    make_run(0, 7 * G)
    assert "It takes two batches" in said(opened(as_keeper, AT))

    make_run(1, 7 * G)
    assert "So few runs say little" in said(opened(as_keeper, AT))


def drawn(*values, u=0.01):
    """Return the drawings of batches with these yields, a month apart."""
    made = [
        comparison.Row(
            batch=Named(f"RB25{chr(65 + n)}", date(2025, 1 + n, 1)),
            account=comparison.accounts.Account(yield_fraction=value, u_yield=u),
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


def test_twenty_batches_cost_no_more_questions_than_two(as_keeper):
    def questions():
        with CaptureQueriesContext(connection) as asked:
            opened(as_keeper, AT)
        return len(asked)

    for day in range(2):
        make_run(day, 7 * G, read=[(600.0, 2.0)])
    questions()
    few = questions()
    for day in range(2, 20):
        make_run(day, 7 * G, read=[(600.0, 2.0), (610.0, 1.0)])

    assert questions() == few


def test_no_more_than_the_newest_forty_are_shown_and_it_is_said(as_keeper):
    for day in range(1, 43):
        make_batch("Rb", made_on=date(2025, 1, 1) + timedelta(days=day))

    page = opened(as_keeper, AT)

    assert len(rows(page)) == comparison.NEWEST
    assert "The newest 40 of 42." in page.main.text
