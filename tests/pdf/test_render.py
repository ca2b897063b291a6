"""The printed sheets, read back by programs that know nothing of how they were made."""

from io import BytesIO
from math import sqrt

import pikepdf
import pytest
import zxingcpp

from labels import render
from labels.layout import DoesNotFit, UnprintableText
from labels.stock import SHEETS
from labels.wording import CannotPrint
from tests.pdf.reading import DPI, MM_PER_PT, addresses, pages, pictures, texts
from tests.pdf.samples import PROFILES, make_label


def test_equal_labels_give_equal_bytes_and_others_give_others():
    sheet = SHEETS["a4-74x52"]
    labels = [make_label("Rb", 1), make_label("Rb", 2)]

    once = render.render_sheets(labels, sheet)

    assert render.render_sheets(labels, sheet) == once
    assert render.render_sheets(labels[::-1], sheet) != once


def test_fonts_are_embedded_and_nothing_is_a_raster():
    pdf = render.render_sheets([make_label("NaK")], SHEETS["a4-74x52"])

    with pikepdf.open(BytesIO(pdf)) as document:
        (page,) = document.pages
        fonts = page.resources["/Font"]
        for font in fonts.values():
            assert "/FontFile2" in font["/FontDescriptor"]
        assert len(fonts) == 2
        streams = [o for o in document.objects if isinstance(o, pikepdf.Stream)]
        kinds = [str(stream.get("/Subtype", "")) for stream in streams]
        assert "/Form" in kinds
        assert "/Image" not in kinds


def test_document_says_what_it_is_in_which_language_and_prints_unscaled():
    labels = [make_label("Li", 3), make_label("Li", 4)]
    pdf = render.render_sheets(labels, SHEETS["letter-74x52"])

    with pikepdf.open(BytesIO(pdf)) as document:
        assert document.docinfo["/Title"] == "Hazard labels LI26A-03 to LI26A-04"
        assert document.Root["/Lang"] == "en"
        assert document.Root["/ViewerPreferences"]["/PrintScaling"] == "/None"
        assert not document.check_pdf_syntax()
        assert [float(v) for v in document.pages[0].mediabox] == pytest.approx(
            [0, 0, 612, 792]
        )


def test_only_black_white_and_red_are_printed():
    # CLP Annex I 1.2.1 and Regulation (EU) 2024/2865: black on white, red frames.
    labels = [make_label(symbol) for symbol in PROFILES]

    for image in pictures(render.render_sheets(labels, SHEETS["a4-74x52"]), dpi=150):
        for _, (red, green, blue) in image.getcolors(maxcolors=1 << 20):
            # Mixtures at the edges keep green and blue equal, and red not below.
            assert abs(green - blue) <= 4
            assert red >= green - 4


def test_text_is_all_there_and_no_gap_choice_or_bracket_is_printed():
    labels = [make_label(symbol) for symbol in PROFILES]

    for sheet in (SHEETS["a4-74x52"], SHEETS["a4-63x38"]):
        said = " ".join(" ".join(texts(render.render_sheets(labels, sheet))).split())
        for label in labels:
            for text in (label.full_code, label.cas, label.signal_word, label.net_date):
                assert text in said
            for statement in label.statements:
                assert statement in said
        assert said.count("see batch record") == len(labels)
        assert said.count("17.42 g ± 0.05 g") == len(labels)
        for mark in ("…", "...", "[", "]", "/", "{", "}"):
            assert mark not in said


@pytest.mark.parametrize("key", ["a4-74x52", "a4-63x38", "roll-74x52", "a4-105x74"])
def test_every_glyph_lies_inside_one_label(key):
    sheet = SHEETS[key]
    width, height = sheet.label_mm
    labels = [make_label(symbol) for symbol in ("Li", "NaK", "Mg")]

    for page in pages(render.render_sheets(labels, sheet)):
        text = page.get_textpage()
        assert text.count_chars() > 100
        for index in range(text.count_chars()):
            left, bottom, right, top = (
                edge * MM_PER_PT for edge in text.get_charbox(index)
            )
            assert any(
                x <= left <= right <= x + width and y <= bottom <= top <= y + height
                for x, y in sheet.origins_mm()
            )


def test_smallest_letter_x_is_never_below_the_floor():
    # Measured on the glyph as drawn, which is the typeface's own x-height.
    pdf = render.render_sheets([make_label(s) for s in PROFILES], SHEETS["a4-74x52"])

    for page in pages(pdf):
        text = page.get_textpage()
        heights = []
        for index, letter in enumerate(text.get_text_range()):
            if letter == "x":
                _, bottom, _, top = text.get_charbox(index)
                heights.append((top - bottom) * MM_PER_PT)
        assert heights
        assert min(heights) >= 0.9 - 0.005


@pytest.mark.parametrize("symbol", ["Li", "NaK", "Ba"])
def test_printed_pictograms_have_sides_of_ten_millimetres_or_more(symbol):
    # Regulation (EC) 1272/2008, Annex I 1.2.1.4.
    dpi = 600
    sheet = SHEETS["roll-74x52"]
    (image,) = pictures(render.render_sheets([make_label(symbol)], sheet), dpi)
    red, green, _ = image.split()
    is_red = [r > 128 > g for r, g in zip(red.tobytes(), green.tobytes(), strict=True)]
    rows = [
        any(is_red[start : start + image.width])
        for start in range(0, len(is_red), image.width)
    ]

    runs = [len(run) for run in "".join(" x"[row] for row in rows).split()]

    assert len(runs) == len(PROFILES[symbol][5])
    for run in runs:
        assert run / dpi * 25.4 / sqrt(2) >= 10


def test_used_places_are_left_free_and_the_rest_goes_on_the_next_sheet():
    sheet = SHEETS["a4-74x52"]
    labels = [make_label("Ca", number) for number in range(1, 5)]

    found = addresses(render.render_sheets(labels, sheet, skip=8))

    assert [len(page) for page in found] == [2, 2]
    first = pictures(render.render_sheets(labels[:1], sheet, skip=9))[0]
    (code,) = zxingcpp.read_barcodes(first)
    x, y = list(sheet.origins_mm())[9]
    centre_x = (code.position.top_left.x + code.position.bottom_right.x) / 2
    centre_y = (code.position.top_left.y + code.position.bottom_right.y) / 2
    assert x < centre_x / DPI * 25.4 < x + 74
    assert y < 297 - centre_y / DPI * 25.4 < y + 52


def test_as_many_sheets_are_printed_as_the_labels_need():
    sheet = SHEETS["a4-74x52"]
    labels = [make_label("Ca", number) for number in range(1, 22)]

    assert len(pages(render.render_sheets(labels[:20], sheet))) == 2
    assert len(pages(render.render_sheets(labels, sheet))) == 3


def test_outlines_show_every_used_place_and_only_when_asked():
    sheet = SHEETS["a4-74x52"]
    x, y = next(sheet.origins_mm())
    edge = (round((x + 37) / 25.4 * DPI), round((297 - y) / 25.4 * DPI))

    def darkest(**asked):
        (image,) = pictures(render.render_sheets([make_label()], sheet, **asked))
        return min(min(image.getpixel((edge[0], edge[1] + d))) for d in (-1, 0, 1))

    assert darkest(outlines=True) < 200
    assert darkest() == 255


def test_a_hundred_labels_stay_below_two_kilobytes_each():
    labels = [make_label("Rb", number) for number in range(100)]

    assert len(render.render_sheets(labels, SHEETS["a4-74x52"])) < 200_000


def test_one_label_that_cannot_be_printed_stops_the_whole_sheet():
    good, bad = make_label("Rb"), make_label("Rb", product_name="铷")

    with pytest.raises(UnprintableText):
        render.render_sheets([good, bad], SHEETS["a4-74x52"])
    with pytest.raises(DoesNotFit):
        render.render_sheets(
            [good, make_label("Rb", note="Keep upright. " * 60)], SHEETS["a4-63x38"]
        )
    with pytest.raises(CannotPrint, match="GHS99"):
        render.render_sheets(
            [good, make_label("Rb", pictograms=("GHS99",))], SHEETS["a4-74x52"]
        )


def test_no_label_or_more_used_places_than_there_are_is_refused():
    sheet = SHEETS["a4-74x52"]

    with pytest.raises(ValueError, match="no label"):
        render.render_sheets([], sheet)
    with pytest.raises(ValueError, match="Skip between"):
        render.render_sheets([make_label()], sheet, skip=10)


def test_the_plan_tells_before_printing_how_many_places_a_label_takes():
    labels = [make_label("Li"), make_label("Ca")]

    large = render.plan(labels, SHEETS["a4-74x52"])
    small = render.plan(labels, SHEETS["a4-63x38"])

    assert [len(one.faces) for one in large] == [1, 1]
    assert [len(one.faces) for one in small] == [2, 2]


def test_greek_umlauts_and_subscripts_are_printed():
    label = make_label("Li", product_name="Lithium β", note="Wärme 20 °C, Li₃N, cm³")

    (text,) = texts(render.render_sheets([label], SHEETS["a4-105x74"]))

    for piece in ("Lithium β", "Wärme", "Li₃N", "cm³"):
        assert piece in " ".join(text.split())
