"""Every format as a PDF: opened, measured and looked at by other programs."""

from io import BytesIO
from math import sqrt

import pikepdf
import pypdfium2
import pytest

from labels import pieces, render
from labels.formats import FORMATS, Listed
from labels.stock import SHEETS
from tests.pdf.reading import MM_PER_PT, pages, pictures
from tests.pdf.samples import make_label
from tests.pdf.vessels import make

# A sheet for each format, one piece on a page where there is one.
SHEET_OF = {
    "full": "roll-74x52",
    "flag": "roll-flag",
    "wrap": "inch-4x6-wrap",
    "tag": "a4-105x74",
    "foldout": "letter-foldout",
    "box": "a4-box",
    "sign": "a4-sign",
}
INSIDE = tuple(Listed(f"RB26A-{number:02}-K", "0.882 g") for number in range(1, 13))
LANGS = ("en", "de", "fr")
# Sides of pictograms in Regulation (EC) 1272/2008, Annex I, table 1.3, by capacity in
# litres: "not smaller than", and "if possible" up to 3 litres.
TABLE_1_3 = ((0.005, 10, 16), (3.0, 10, 16), (20.0, 23, 23), (200.0, 32, 32))


def printed(key, *labels, sheet=None):
    extra = {"inside": INSIDE} if key in {"box", "sign"} else {}
    if key == "wrap":
        extra = {"glass_mm": 28.0}
    return render.render_sheets(
        labels or [make("Rb")], SHEETS[sheet or SHEET_OF[key]], FORMATS[key], **extra
    )


def sides_mm(pdf):
    """Return the sides of the red squares on the first page, as the page draws them."""
    page = pages(pdf)[0]
    found = []
    for shape in page.get_objects(
        filter=[pypdfium2.raw.FPDF_PAGEOBJ_FORM], max_depth=1
    ):
        left, bottom, right, top = shape.get_bounds()
        assert right - left == pytest.approx(top - bottom, abs=0.01)
        found.append((right - left) * MM_PER_PT / sqrt(2))
    return found


def outlines_mm(pdf):
    """Return the width and height of what the cut lines of the first page enclose."""
    page = pages(pdf)[0]
    found = []
    for path in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH], max_depth=1):
        left, bottom, right, top = path.get_bounds()
        found.append(((right - left) * MM_PER_PT, (top - bottom) * MM_PER_PT))
    return max(found, key=lambda size: size[0] * size[1])


@pytest.mark.parametrize("key", SHEET_OF)
def test_every_format_opens_without_a_word_has_its_fonts_in_it_and_no_raster(key):
    with pikepdf.open(BytesIO(printed(key, make("Li", LANGS), make("K")))) as document:
        assert document.check_pdf_syntax() == []
        # ISO 32000-1: PrintScaling is of version 1.6, tagging of 1.4.
        assert document.pdf_version >= "1.6"
        for page in document.pages:
            for font in page.resources["/Font"].values():
                assert "/FontFile2" in font["/FontDescriptor"]
                # Six capitals and a plus: a subset (ISO 32000-1, 9.6.4).
                assert str(font["/BaseFont"])[1:8].endswith("+")
        kinds = [
            str(each.get("/Subtype", ""))
            for each in document.objects
            if isinstance(each, pikepdf.Stream)
        ]
        assert "/Image" not in kinds
        assert document.Root["/ViewerPreferences"]["/PrintScaling"] == "/None"


@pytest.mark.parametrize("key", SHEET_OF)
def test_every_format_is_printed_in_black_white_and_red_alone(key):
    # CLP Annex I 1.2.1 and Regulation (EU) 2024/2865: black on white, red frames.
    for image in pictures(printed(key), dpi=100):
        colours = image.getcolors(maxcolors=1 << 20)
        for _, (red, green, blue) in colours:
            # Mixtures at the edges keep green and blue equal, and red not below.
            assert abs(green - blue) <= 4
            assert red >= green - 4
        seen = {colour for _, colour in colours}
        assert {(255, 255, 255), (255, 0, 0), (0, 0, 0)} <= seen


@pytest.mark.parametrize("key", SHEET_OF)
def test_equal_labels_give_equal_bytes_in_every_format(key):
    labels = [make("Li", LANGS), make("K")]

    assert printed(key, *labels) == printed(key, *labels)


@pytest.mark.parametrize(("litres", "least", "wished"), TABLE_1_3)
def test_pictograms_are_as_large_as_the_table_asks_on_labels_of_its_size(
    litres, least, wished
):
    # On the label of an outer box, where there is room for each of them.
    label = make_label("Li", capacity_ul=int(litres * 1e6))
    pdf = printed("box", label, sheet="inch-4x6-box")

    sides = sides_mm(pdf)

    assert len(sides) == 2
    assert min(sides) >= least
    assert min(sides) >= wished - 0.01


@pytest.mark.parametrize("key", ["full", "tag", "box"])
def test_labels_are_as_large_as_the_table_asks_up_to_three_litres(key):
    # Annex I, table 1.3: 52 × 74 mm if possible.
    pdf = render.render_sheets(
        [make("Rb")], SHEETS[SHEET_OF[key]], FORMATS[key], outlines=True
    )

    width, height = outlines_mm(pdf)

    assert width >= 74
    assert height >= 52


@pytest.mark.parametrize(
    ("key", "size"),
    [
        ("tag", (105, 74)),
        ("foldout", (222, 52)),
        # Tail of π × 12 + 6 mm, and twice 48 mm: worked by hand.
        ("flag", (36, 139.70)),
        # π × 28 + 6 mm.
        ("wrap", (36, 93.96)),
    ],
)
def test_cut_lines_enclose_the_size_that_is_told(key, size):
    # As it lies on the page or roll; the cut lines have some width of their own.
    assert outlines_mm(printed(key)) == pytest.approx(size, abs=0.3)


def test_no_pictogram_on_any_format_is_below_ten_millimetres():
    # Annex I 1.2.1.4: 1 cm², a side of 10 mm.
    for key in SHEET_OF:
        sides = sides_mm(printed(key, make_label("Ba", glass_mm=28.0)))
        assert len(sides) == 2
        assert min(sides) >= 10, key


def test_the_hole_of_a_tag_is_clear_of_all_that_is_printed():
    (image,) = pictures(printed("tag"), dpi=300)
    dots_mm = 300 / 25.4
    sheet = SHEETS["a4-105x74"]
    left, bottom = next(sheet.origins_mm())
    strip = (
        round((left + 0.5) * dots_mm),
        round((sheet.page_mm[1] - bottom - 60) * dots_mm),
        round((left + pieces.HOLE_STRIP_MM) * dots_mm),
        round((sheet.page_mm[1] - bottom - 14) * dots_mm),
    )

    dark = image.crop(strip).convert("L").point(lambda level: 255 * (level < 128))

    box = dark.getbbox()
    across = (box[2] - box[0]) / dots_mm
    assert across == pytest.approx(pieces.HOLE_MM, abs=0.3)
    assert (box[3] - box[1]) / dots_mm == pytest.approx(pieces.HOLE_MM, abs=0.3)
