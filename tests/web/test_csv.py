"""What a spreadsheet gets out of a list."""

import pytest

from tests.domain.closed import make_decanted
from tests.factories import G, make_project
from tests.web.spreadsheets import column, spreadsheet

pytestmark = pytest.mark.usefixtures("shipped")

VESSELS = "/vessels/"


def test_csv_has_the_masses_as_plain_numbers_in_grams(as_keeper, stock):
    (row,) = spreadsheet(as_keeper, f"{VESSELS}?medium=vacuum")

    assert float(row["Remaining"]) == 9.0
    assert float(row["Free"]) == 1.0
    assert row["Metal"] == "rubidium"
    assert row["Place"] == "Box"


def test_csv_has_every_row_and_not_one_page(as_keeper, stock):
    assert len(column(as_keeper, f"{VESSELS}?state=all&per_page=1", "Vessel")) == 5


def test_csv_leaves_out_boxes_and_figures(as_keeper, stock):
    (row, *_) = spreadsheet(as_keeper, VESSELS)

    assert "Select" not in row
    assert not any("<" in value for value in row.values())


def test_csv_of_batches_says_what_left_each_and_not_what_was_filled(as_keeper):
    # 10 g left the batch into a receiver, and stayed its metal in the ampoules.
    batch = make_decanted(12 * G, 13 * G).batch

    (row,) = spreadsheet(as_keeper, "/batches/")

    assert "Filled" not in row
    left_ug = batch.movements_out.get().mass_ug
    assert float(row["Left the batch"]) == pytest.approx(left_ug / G, abs=1e-6)


# What a spreadsheet takes for the start of a formula: OWASP, CSV Injection.
@pytest.mark.parametrize("start", ["=", "+", "-", "@"])
def test_csv_disarms_text_that_a_spreadsheet_would_take_for_a_formula(as_keeper, start):
    make_project(title=f"{start}1+1", partner=f'{start}HYPERLINK("x")')

    (row,) = spreadsheet(as_keeper, "/projects/")

    assert row["Project"] == f"'{start}1+1"
    assert row["Partners"].startswith(f"'{start}")


def test_only_csv_is_given_out(as_keeper, stock):
    answer = as_keeper.get(f"{VESSELS}?_export=json")

    assert answer["Content-Type"].startswith("text/html")
