"""The lists: search, filters, order, pages, and what a spreadsheet gets."""

import re

import pytest

from inventory.models import Place
from inventory.web import tables
from tests.factories import (
    G,
    make_place,
)
from tests.web.person import opened
from tests.web.spreadsheets import column

pytestmark = pytest.mark.usefixtures("shipped")

VESSELS = "/vessels/"


def names(stock, codes):
    """Return the names that the fixture `stock` gives to the vessels of `codes`."""
    by_code = {str(vessel): name for name, vessel in stock.items()}
    return [by_code[code] for code in codes]


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("", {"small", "large", "other"}),
        ("state=in-stock", {"small", "large", "other"}),
        ("state=all", {"small", "large", "other", "spent", "tared"}),
        ("state=spent", {"spent"}),
        ("state=tared", {"tared"}),
        ("state=retired", set()),
        ("material=K", {"other"}),
        ("kind=bulb", {"other"}),
        ("medium=vacuum", {"large"}),
        ("material=Rb&medium=argon", {"small"}),
        ("q={rb}", {"small", "large", "spent"}),
        ("q={rb}-01", {"small"}),
        ("q={rb}-1", {"small"}),
        ("q={rb}-0", {"small", "large", "spent"}),
        ("q=s-14", {"tared"}),
        ("q=nothing", set()),
        ("q={rb}&state=spent", {"spent"}),
    ],
)
def test_vessels_are_narrowed_down(as_keeper, stock, query, expected):
    at = f"{VESSELS}?{query}".format(rb=stock["small"].batch.code)

    assert set(names(stock, column(as_keeper, at, "Vessel"))) == expected


def test_vessels_are_narrowed_down_by_place(as_keeper, stock):
    shelf = Place.objects.get(name="Shelf")

    found = column(as_keeper, f"{VESSELS}?place={shelf.pk}", "Vessel")

    assert names(stock, found) == ["small"]


@pytest.mark.parametrize(
    ("order", "expected"),
    [
        ("remaining_ug", ["small", "other", "large"]),
        ("free_ug", ["large", "small", "other"]),
        ("material", ["other", "small", "large"]),
        ("medium", ["small", "other", "large"]),
    ],
)
def test_vessels_are_put_in_order_both_ways(as_keeper, stock, order, expected):
    up = column(as_keeper, f"{VESSELS}?sort={order}", "Vessel")
    down = column(as_keeper, f"{VESSELS}?sort=-{order}", "Vessel")

    assert group(order, stock, up) == group(
        order, stock, expected_codes(stock, expected)
    )
    assert group(order, stock, down) == group(order, stock, up)[::-1]


def expected_codes(stock, expected):
    return [str(stock[name]) for name in expected]


def group(order, stock, codes):
    """Return what is ordered by, so that equals may stand in any order."""
    by_code = {str(vessel): vessel for vessel in stock.values()}
    value = {
        "remaining_ug": lambda vessel: vessel.remaining_ug,
        "free_ug": lambda vessel: 1 * G if vessel == stock["large"] else vessel.free_ug,
        "material": lambda vessel: vessel.batch.material.name,
        "medium": lambda vessel: vessel.medium.name,
    }[order]
    return [value(by_code[code]) for code in codes]


@pytest.mark.parametrize("at", [VESSELS, "/batches/", "/projects/", "/places/",
                                "/balances/", "/people/"])  # fmt: skip
def test_every_heading_that_sorts_does_so_both_ways(as_keeper, lab, at):
    headings = [
        (heading["data-column"], heading.all("a")[0]["href"])
        for heading in opened(as_keeper, f"{at}?state=all").main.all("th")
        if heading.all("a")
    ]

    assert len(headings) >= 3
    for name, href in headings:
        first, back = sorted_by(as_keeper, at + href)
        second, _ = sorted_by(as_keeper, at + back)
        assert {first, second} == {(name, "ascending"), (name, "descending")}


def sorted_by(client, at):
    """Return (column, direction) that a list stands in, and where its heading leads."""
    headings = opened(client, at).main.all("th")
    (heading,) = [heading for heading in headings if heading["aria-sort"]]
    said = (heading["data-column"], heading["aria-sort"])
    return said, heading.all("a")[0]["href"]


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ("", {"Rb", "K"}),
        ("material=K", {"K"}),
        ("kind=bought", {"K"}),
        ("q=rb", {"Rb"}),
        ("q=calcium", {"Rb"}),
        ("q=K-33", {"K"}),
        ("q=nothing", set()),
    ],
)
def test_batches_are_narrowed_down(as_keeper, stock, query, expected):
    codes = column(as_keeper, f"/batches/?{query}", "Batch")

    assert {re.match("[A-Z]+", code)[0].capitalize() for code in codes} == expected


@pytest.mark.parametrize("at", [f"{VESSELS}?q=nothing", "/batches/?q=nothing"])
def test_a_list_that_nothing_matches_says_so(as_keeper, at):
    page = opened(as_keeper, at)

    assert "matches" in page.main.text
    assert page.main.all("input", name="q")[0]["value"] == "nothing"


@pytest.mark.parametrize("at", ["/projects/", "/places/", "/balances/"])
def test_an_empty_list_says_that_there_is_nothing_yet(as_keeper, at):
    assert "yet" in opened(as_keeper, at).main.text


def test_home_without_metal_leads_to_taring(as_keeper):
    page = opened(as_keeper, "/")

    assert "No metal yet" in page.main.text
    assert "/vessels/tare/" in page.links


def test_a_long_list_is_cut_into_pages_that_lead_to_each_other(as_keeper):
    Place.objects.bulk_create(Place(name=f"P{n:03}", kind="shelf") for n in range(30))

    first = opened(as_keeper, "/places/?per_page=20")
    (forward,) = first.main.all("a", rel="next")
    second = opened(as_keeper, f"/places/{forward['href']}")

    assert [row[0] for row in first.rows()] == [f"P{n:03}" for n in range(20)]
    assert [row[0] for row in second.rows()] == [f"P{n:03}" for n in range(20, 30)]


@pytest.mark.parametrize("sort", ["kind", "-kind", "warmest_c", "-vessel_count"])
def test_no_row_is_lost_between_pages_when_all_are_equal(as_keeper, sort):
    Place.objects.bulk_create(Place(name=f"P{n:03}", kind="shelf") for n in range(30))

    shown = [
        row[0]
        for page in (1, 2)
        for row in opened(
            as_keeper, f"/places/?sort={sort}&per_page=20&page={page}"
        ).rows()
    ]

    assert sorted(shown) == [f"P{n:03}" for n in range(30)]


def test_pages_keep_the_filter_and_the_order(as_keeper, stock):
    at = f"{VESSELS}?material=Rb&state=all&sort=-remaining_ug&per_page=2"

    (forward,) = opened(as_keeper, at).main.all("a", rel="next")

    for part in ("material=Rb", "state=all", "sort=-remaining_ug", "per_page=2"):
        assert part in forward["href"]


@pytest.mark.parametrize("per_page", ["100000", "201"])
def test_no_page_of_a_list_is_longer_than_two_hundred(as_keeper, per_page):
    Place.objects.bulk_create(Place(name=f"P{n:03}", kind="shelf") for n in range(205))

    assert len(opened(as_keeper, f"/places/?per_page={per_page}").rows()) == 200


def test_every_list_keeps_to_the_longest_page():
    lists = [
        table
        for table in vars(tables).values()
        if isinstance(table, type) and issubclass(table, tables.tables.Table)
    ]

    assert len(lists) > 5
    assert all(issubclass(table, tables.Table) for table in lists)


@pytest.mark.parametrize("per_page", ["0", "-5", "x", ""])
def test_a_senseless_page_length_still_shows_the_list(as_keeper, per_page):
    make_place(name="Shelf")

    assert "Shelf" in opened(as_keeper, f"/places/?per_page={per_page}").main.text


def test_a_page_beyond_the_last_shows_the_last(as_keeper):
    make_place(name="Shelf")

    assert "Shelf" in opened(as_keeper, "/places/?page=99").main.text
