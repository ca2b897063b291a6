"""What a spreadsheet gets out of a list."""

import pytest

from tests.factories import make_project
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


# What a spreadsheet takes for the start of a formula: OWASP, CSV Injection.
@pytest.mark.parametrize("start", ["=", "+", "-", "@"])
def test_csv_disarms_text_that_a_spreadsheet_would_take_for_a_formula(as_keeper, start):
    make_project(title=f"{start}1+1", partner=f'{start}HYPERLINK("x")')

    (row,) = spreadsheet(as_keeper, "/projects/")

    assert row["Project"] == f"'{start}1+1"
    assert row["Partner"].startswith(f"'{start}")


def test_only_csv_is_given_out(as_keeper, stock):
    answer = as_keeper.get(f"{VESSELS}?_export=json")

    assert answer["Content-Type"].startswith("text/html")
