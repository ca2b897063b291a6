"""The drawn pictograms against what the regulation says of them."""

from io import BytesIO
from math import hypot, sqrt

import pypdfium2
import pytest
from reportlab.pdfgen.canvas import Canvas

from labels import drawing, pictograms

CODES = tuple(pictograms.NAMES)
DPI = 600


def drawn(code, side_mm):
    """Return the pictogram alone as rows of (red, green, blue)."""
    box_pt = pictograms.box_mm(side_mm) / 25.4 * 72
    out = BytesIO()
    canvas = Canvas(out, pagesize=(box_pt, box_pt))
    drawing.define_mark(canvas, code)
    canvas.scale(box_pt, box_pt)
    canvas.doForm(code)
    canvas.save()
    page = pypdfium2.PdfDocument(out.getvalue())[0]
    image = page.render(scale=DPI / 72).to_pil().convert("RGB")
    width, height = image.size
    return [[image.getpixel((x, y)) for x in range(width)] for y in range(height)]


def is_red(pixel):
    return pixel[0] > 128 > max(pixel[1:])


def is_black(pixel):
    return max(pixel) < 128


@pytest.mark.parametrize("code", CODES)
def test_symbol_lies_within_the_white_square(code):
    # UN GHS 1.4.10.4: the symbol is on the white ground, inside the frame.
    reach = pictograms.BOX / 2 * (1 - 2 * pictograms.FRAME)
    middle = pictograms.BOX / 2

    for _, points in pictograms.symbol(code):
        for x, y in points:
            assert abs(x - middle) + abs(y - middle) <= reach


def test_square_stands_on_a_point_and_its_frame_is_easily_seen():
    outer, inner = pictograms.frame()

    side = hypot(outer[1][0] - outer[0][0], outer[1][1] - outer[0][1])
    within = hypot(inner[1][0] - inner[0][0], inner[1][1] - inner[0][1])

    assert outer[0] == (pictograms.BOX / 2, 0)
    assert outer[2] == (pictograms.BOX / 2, pictograms.BOX)
    # 7.9 % of the side was measured in the United Nations' own drawings.
    assert (side - within) / 2 / side == pytest.approx(0.079, abs=0.002)


def test_upright_box_is_the_diagonal_of_the_side():
    # Sides of 10 and 16 mm, boxes of 14.14 and 22.63 mm: worked by hand.
    assert pictograms.box_mm(10) == pytest.approx(14.14, abs=0.005)
    assert pictograms.box_mm(16) == pytest.approx(22.63, abs=0.005)


@pytest.mark.parametrize("code", CODES)
def test_drawing_is_black_on_white_in_a_red_frame_and_never_an_empty_frame(code):
    # 29 CFR 1910.1200 C.2.3.1: a red square without a symbol is not allowed.
    pixels = [pixel for row in drawn(code, 10) for pixel in row]

    for red, green, blue in pixels:
        assert abs(green - blue) <= 4
        assert red >= green - 4
    black = sum(map(is_black, pixels)) / len(pixels)
    red = sum(map(is_red, pixels)) / len(pixels)
    # The square is half of its upright box; 1 - 0.84² of the square is frame.
    assert red == pytest.approx(0.5 * (1 - 0.84**2), abs=0.01)
    assert 0.03 < black < 0.2


@pytest.mark.parametrize("code", ["GHS02", "GHS05"])
def test_drawn_side_is_the_side_asked_for(code):
    rows = drawn(code, 16)
    reds = [y for y, row in enumerate(rows) if any(map(is_red, row))]

    height_mm = (reds[-1] - reds[0] + 1) / DPI * 25.4

    assert height_mm / sqrt(2) == pytest.approx(16, abs=0.15)


def test_no_two_pictograms_share_a_drawing():
    assert len({pictograms.symbol_path(code) for code in CODES}) == len(CODES)


def test_a_pictogram_without_a_drawing_is_refused_by_name():
    with pytest.raises(pictograms.UnknownPictogram, match="GHS99"):
        pictograms.symbol("GHS99")
