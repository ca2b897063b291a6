"""The tare sheet of a batch: which vessels are on it, and how many lines."""

import pytest

from inventory.operations import vessels
from tests.factories import (
    ML,
    G,
    make_balance,
    make_batch,
    make_laboratory,
    make_tared,
    make_vessel,
    observe,
    signed,
)
from tests.pdf import reread
from tests.web.person import opened
from tests.web.printing import got, refused, said

pytestmark = pytest.mark.usefixtures("shipped")

ABOVE = 3  # two lines for the air and the balance, and the gap before the vessels


@pytest.fixture
def batch(shipped):
    return make_batch()


def address(batch):
    return f"/labels/batches/{batch}/tare-sheet.pdf"


def lay_out(batch, count=1, **facts):
    facts = {"kind": "ampoule", "capacity_ul": 5 * ML, "count": count, **facts}
    return vessels.lay_out(batch, **facts, **signed())


def lines(client, batch, **query):
    """Return how many lines for vessels the sheet has."""
    found = reread.pages(got(client, address(batch), **query))
    return sum(len(reread.heights_of_rows(page)) for page in found) - ABOVE


def test_vessels_that_were_laid_out_wait_for_their_tare(as_keeper, batch):
    first, second = lay_out(batch, 2, glass_marks=["G-14"])

    sheet = said(as_keeper, address(batch))

    assert f"{first.full_code} G-14 Ampoule 5.00 mL {second.full_code} Ampoule" in sheet


def test_a_tare_that_is_recorded_stands_on_it_with_every_digit_of_its_balance(
    as_keeper, batch
):
    balance = make_balance(name="Balance 7", readability_ug=100)
    vessel = make_tared(batch, tare_ug=20 * G, gas="argon", balance=balance)

    sheet = said(as_keeper, address(batch))

    assert f"{vessel.full_code} Ampoule 20.0 mL 20.0000 g" in sheet
    assert "Balance 7 argon" in sheet


def test_the_newest_tare_counts(as_keeper, batch):
    vessel = make_tared(batch, tare_ug=20 * G)
    again = observe(21 * G, gas="argon")
    vessels.tare_again(vessel, again, **signed())

    sheet = said(as_keeper, address(batch))

    assert "21.0000 g" in sheet
    assert "20.0000 g" not in sheet


def test_oil_that_was_inside_is_named_with_the_tare(as_keeper, batch):
    make_tared(batch, liquid_ug=8 * G)

    assert "with 8.000 g of liquid" in said(as_keeper, address(batch))


def test_vessels_that_were_filled_or_retired_are_not_on_it(as_keeper, batch):
    filled, retired = make_vessel(batch), make_tared(batch)
    vessels.retire(retired, reason="cracked", **signed())

    sheet = said(as_keeper, address(batch))

    assert filled.code not in sheet
    assert retired.code not in sheet


def test_blank_lines_come_as_asked_for_and_fill_the_first_page_unasked(
    as_keeper, batch
):
    lay_out(batch, 3)

    assert lines(as_keeper, batch, rows=0) == 3
    assert lines(as_keeper, batch, rows=5) == 8
    assert lines(as_keeper, batch) == 12
    assert len(reread.pages(got(as_keeper, address(batch)))) == 1
    assert len(reread.pages(got(as_keeper, address(batch), paper="letter"))) == 1


@pytest.mark.parametrize("rows", ["-1", "201", "x", "1.5", "99999999999999999999"])
def test_a_number_of_lines_that_cannot_be_is_refused_at_its_field(
    as_keeper, batch, rows
):
    page = refused(as_keeper, address(batch), rows=rows)

    assert list(page.wrong()) == ["rows"]
    (control,) = page.main.all("input", name="rows")
    assert control["value"] == rows


def test_it_is_printed_before_the_laboratory_is_named_and_names_it_afterwards(
    as_keeper, batch
):
    assert "printed" in said(as_keeper, address(batch))

    make_laboratory()
    assert "Test Laboratory · printed" in said(as_keeper, address(batch))


def test_the_file_is_named_after_the_batch(as_keeper, batch):
    answer = as_keeper.get(address(batch))

    assert answer["Content-Disposition"] == f'inline; filename="tare-sheet-{batch}.pdf"'
    answer.close()


def test_the_page_for_taring_the_batch_leads_to_it(as_keeper, batch):
    papers = f"/labels/batches/{batch}/"

    assert papers in opened(as_keeper, f"/vessels/tare/?batch={batch}").links
    assert papers not in opened(as_keeper, "/vessels/tare/").links
