"""Batches of one metal and process side by side: numbers and words."""

from datetime import UTC, date, datetime, timedelta
from statistics import median

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.operations import batches, runs
from inventory.operations.run_rows import Seen
from inventory.web import comparison
from tests.domain.closed import close, make_filled, weighed_as
from tests.factories import G, make_batch, signed
from tests.web.person import opened

pytestmark = pytest.mark.usefixtures("shipped")

AT = "/batches/compare/?material=Rb&process=reduction"
# 20 g of RbCl (120.92 g/mol) hold 14.137 g of rubidium (85.468 g/mol, CIAAW).
HOLDS_G = 20 * 85.4678 / 120.9178


def make_open_run(day, *masses_ug, read=(), **facts):
    """Return a batch of a day in 2025 with its charge, still being filled."""
    facts = {"made_on": date(2025, 1, 1) + timedelta(days=day), **facts}
    batch = make_filled(*masses_ug, **facts)
    batches.charge(
        batch, formula="RbCl", role="source", mass_ug=20 * G, u_ug=0, purity=1.0,
        u_purity=0.0, **signed(),
    )  # fmt: skip
    if read:
        log_run(batch, *read)
    return batch


def make_run(day, *masses_ug, u_mg=10, **facts):
    """Return a closed batch of a day in 2025, its collected mass weighed."""
    batch = make_open_run(day, *masses_ug, **facts)
    close(batch, weighed_as(sum(masses_ug), u_mg * 1_000))
    return batch


def log_run(batch, *readings, hours=8):
    start = datetime.combine(batch.made_on, datetime.min.time(), UTC)
    end = None if hours is None else start + timedelta(hours=hours)
    facts = {"started_at": start, "ended_at": end}
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


@pytest.mark.parametrize(
    ("read", "usual"),
    [
        ([590.0], 590),
        ([600.0, 590.0], 595),
        ([610.0, 20.0, 600.0], 600),
        ([600.0, 20.0, 610.0, 590.0], 595),
        ([590.0, 590.0, 590.0, 20.0, 700.0], 590),
    ],
)
def test_the_usual_temperature_is_the_median_of_what_was_read(read, usual):
    # The expected are those of statistics.median, of the standard library.
    batch, other = make_batch("Rb"), make_batch("Rb")
    log_run(batch, *((celsius, None) for celsius in read), (None, 1.0))
    log_run(other, (1.0, None), (2.0, None), (3.0, None))

    found = comparison.conditions([batch, other])

    assert found[batch.pk]["usual_c"] == usual == round(median(read))
    assert found[other.pk]["usual_c"] == 2


def test_a_reading_that_was_struck_out_is_no_condition_of_its_run():
    batch = make_batch("Rb")
    log_run(batch, (300.0, 2.0), (900.0, 0.1))
    wrong = batch.run_readings.get(temperature_c=900.0)
    runs.strike(wrong, reason="Misread", **signed())

    found = comparison.conditions([batch])[batch.pk]

    assert (found["hottest_c"], found["usual_c"], found["lowest_pa"]) == (300, 300, 2)


def test_a_run_without_an_end_lasted_to_its_last_reading():
    batch = make_batch("Rb")
    log_run(batch, (300.0, 2.0), (310.0, 2.0), (320.0, 2.0), hours=None)

    assert comparison.conditions([batch])[batch.pk]["hours"] == 2


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
    assert "It takes two closed batches" in said(opened(as_keeper, AT))

    make_run(1, 7 * G)
    assert "So few runs say little" in said(opened(as_keeper, AT))


def test_an_open_batch_is_no_result_and_is_left_out_of_the_sums(as_keeper):
    for day, mass_ug in enumerate((7_000_000, 7_010_000, 6_990_000)):
        make_run(day, mass_ug)
    closed = make_run(40, 7_015_000)
    before = said(opened(as_keeper, AT))
    half = make_open_run(41, 2 * G)

    page = opened(as_keeper, AT)

    assert f"{half} is still open and is left out of the sums." in said(page)
    assert f"{closed} gave" in said(page)
    assert "The 3 before it together give" in said(page)
    for sentence in comparison.said_of(rows_of(half)).sentences:
        assert sentence in before
    assert "Open" in rows(page)[0][0]


def rows_of(batch):
    """Return the rows of all that are compared with a batch."""
    return comparison.rows_of(list(comparison.alike(batch.material, batch.process)))


def test_an_older_batch_that_is_still_open_does_not_enter_the_mean(as_keeper):
    make_open_run(0, 2 * G)
    make_open_run(1, 3 * G)
    make_run(2, 7 * G)
    make_run(3, 7 * G)

    words = said(opened(as_keeper, AT))

    assert "The one before it gave" in words
    assert "are still open and are left out of the sums." in words


def test_open_batches_alone_give_no_sums_and_are_named(as_keeper):
    first = make_open_run(0, 2 * G)
    second = make_open_run(1, 3 * G)

    words = said(opened(as_keeper, AT))

    assert "It takes two closed batches" in words
    assert f"{second} and {first} are still open" in words


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
