"""Where labels sit on their sheets."""

import pytest

from labels.geometry import Sheet
from labels.stock import SHEETS


def sheet(**facts):
    return Sheet(
        **{
            "key": "two",
            "name": "two labels",
            "page_mm": (100.0, 60.0),
            "label_mm": (40.0, 30.0),
            "margin_mm": (5.0, 4.0),
            "pitch_mm": (45.0, 30.0),
            "columns": 2,
            "rows": 1,
            **facts,
        }
    )


def test_origins_are_lower_left_corners_row_by_row():
    four = sheet(page_mm=(100, 70), rows=2)

    origins = list(four.origins_mm())

    # 70 - 4 - 30 = 36, and one pitch of 30 lower: worked by hand.
    assert origins == [(5, 36), (50, 36), (5, 6), (50, 6)]


def test_skipped_places_are_left_out_from_the_front():
    assert list(sheet().origins_mm(skip=1)) == [(50, 26)]


@pytest.mark.parametrize("skip", [-1, 2])
def test_more_skipped_places_than_the_sheet_has_are_refused(skip):
    with pytest.raises(ValueError, match="Skip between 0 and 1"):
        list(sheet().origins_mm(skip=skip))


@pytest.mark.parametrize(
    ("facts", "reason"),
    [
        ({"columns": 3}, "beyond the page's width"),
        ({"rows": 2}, "beyond the page's height"),
        ({"pitch_mm": (39.0, 30.0)}, "overlap"),
        ({"margin_mm": (-1.0, 0.0)}, "must be positive"),
        ({"label_mm": (0.0, 30.0)}, "must be positive"),
        ({"columns": 0}, "at least one"),
        ({"clear_mm": 15.0}, "leaves nothing"),
    ],
)
def test_a_grid_that_cannot_be_is_refused_with_a_reason(facts, reason):
    with pytest.raises(ValueError, match=reason):
        sheet(**facts)


@pytest.mark.parametrize("stock", SHEETS.values(), ids=SHEETS)
def test_labels_of_every_stocked_sheet_lie_on_the_page_without_overlap(stock):
    width, height = stock.label_mm
    corners = list(stock.origins_mm())

    for x, y in corners:
        assert x >= 0
        assert y >= 0
        assert x + width <= stock.page_mm[0] + 1e-6
        assert y + height <= stock.page_mm[1] + 1e-6
    for index, (x, y) in enumerate(corners):
        for other_x, other_y in corners[index + 1 :]:
            apart_x = abs(x - other_x) >= width - 1e-6
            apart_y = abs(y - other_y) >= height - 1e-6
            assert apart_x or apart_y


def test_paper_sizes_are_the_standard_ones():
    # ISO 216 A4: 210 × 297 mm; ANSI A (Letter): 8.5 × 11 inch; 4 × 6 inch.
    pages = [stock.page_mm for stock in SHEETS.values()]

    for standard in ((210, 297), (8.5 * 25.4, 11 * 25.4), (4 * 25.4, 6 * 25.4)):
        assert any(page == pytest.approx(standard) for page in pages)


def test_full_labels_are_as_large_as_the_regulation_asks_up_to_three_litres():
    # Regulation (EC) 1272/2008, Annex I 1.2.1.4, table 1.3: 52 × 74 mm if possible.
    for key in ("a4-74x52", "letter-74x52", "inch-4x6-74x52", "roll-74x52"):
        assert sorted(SHEETS[key].label_mm) == [52, 74]


def test_keys_are_ascii_and_name_their_sheet():
    for key, stock in SHEETS.items():
        assert key == stock.key
        assert key.isascii()
