"""Which places of a sheet pieces take: used ones, blocks, rolls, and the offset."""

from dataclasses import replace

import pytest

from labels import pieces
from labels.geometry import DoesNotGoOn, Sheet
from labels.stock import SHEETS

FULL = (74.0, 52.0)


def corners(found):
    return [(place.page, place.left_mm, place.bottom_mm) for place in found]


def six(**facts):
    """Return a sheet of two columns and three rows, 40 × 30 mm each, 5 mm apart."""
    return Sheet(
        **{
            "key": "six",
            "name": "six labels",
            "page_mm": (100.0, 120.0),
            "label_mm": (40.0, 30.0),
            "margin_mm": (5.0, 10.0),
            "pitch_mm": (45.0, 35.0),
            "columns": 2,
            "rows": 3,
            **facts,
        }
    )


def test_any_used_places_stay_free_on_the_first_page_and_only_there():
    found = six().places([(40, 30)] * 5, used={0, 3, 4})

    # 120 - 10 - 30 = 80, and 35 lower each row: worked by hand.
    assert corners(found) == [
        (1, 50, 80),
        (1, 5, 45),
        (1, 50, 10),
        (2, 5, 80),
        (2, 50, 80),
    ]


@pytest.mark.parametrize(
    ("used", "reason"), [({6}, "places 0 to 5"), (set(range(6)), "Leave one place")]
)
def test_used_places_that_cannot_be_are_refused(used, reason):
    with pytest.raises(ValueError, match=reason):
        six().places([(40, 30)], used)


def test_a_larger_piece_takes_a_block_of_places_where_nothing_is_cut_yet():
    uncut = six(uncut=True)

    # 85 × 60 mm: two columns wide (40 + 45), two rows high (30 + 35), top to top.
    found = uncut.places([(40, 30), (85, 60), (40, 30)])

    assert corners(found) == [(1, 5, 80), (1, 5, 15), (1, 50, 80)]


def test_pieces_never_share_a_place():
    sheet = SHEETS["a4-flag"]
    sizes = [pieces.FLAG_PIECE_MM, pieces.TAG_MM] * 6

    found = sheet.places(sizes)

    taken = [
        (place.page, place.left_mm, place.bottom_mm, size)
        for place, size in zip(found, sizes, strict=True)
    ]
    for index, (page, x, y, (w, h)) in enumerate(taken):
        for other, ox, oy, (ow, oh) in taken[index + 1 :]:
            apart = x + w <= ox or ox + ow <= x or y + h <= oy or oy + oh <= y
            assert page != other or apart


def test_a_larger_piece_is_refused_on_labels_that_are_cut_already():
    with pytest.raises(DoesNotGoOn, match="no room on the sheet “six labels”"):
        six().places([(85, 60)])
    with pytest.raises(DoesNotGoOn):
        six(uncut=True).places([(90, 140)])


def test_a_tag_goes_on_every_sheet_of_flags_and_wraps():
    for key, sheet in SHEETS.items():
        if key.endswith(("flag", "wrap")):
            (place,) = sheet.places([pieces.TAG_MM])
            width, height = pieces.TAG_MM[::-1] if sheet.turned else pieces.TAG_MM
            assert place.left_mm >= 0
            assert place.bottom_mm >= 0
            assert place.left_mm + width <= place.page_mm[0]
            assert place.bottom_mm + height <= place.page_mm[1]


def test_the_page_of_a_roll_is_as_long_as_what_is_on_it():
    # A tag lies along the roll: 105 mm, and 2 mm before and after it.
    flag, tag = SHEETS["roll-flag"].places([pieces.FLAG_PIECE_MM, pieces.TAG_MM])

    assert tag.page_mm == pytest.approx((80, 105 + 4))
    assert flag.page_mm[1] == pytest.approx(pieces.FLAG_PIECE_MM[0] + 4)
    assert (flag.page, tag.page) == (1, 2)
    assert tag.left_mm == pytest.approx((80 - 74) / 2)


def test_the_offset_moves_everything_to_the_right_and_upwards():
    sheet = six()
    (before,) = sheet.places([(40, 30)])
    (after,) = sheet.moved(1.5, -0.5).places([(40, 30)])

    assert after.left_mm - before.left_mm == 1.5
    assert after.bottom_mm - before.bottom_mm == -0.5
    assert replace(sheet, offset_mm=(1.5, -0.5)) == sheet.moved(1.5, -0.5)


def test_a_turned_label_is_read_across_its_longer_side():
    sheet = SHEETS["inch-4x6-flag"]

    assert sheet.turned
    assert sheet.piece_mm == (140, 36)
    assert sheet.label_mm == (36, 140)
