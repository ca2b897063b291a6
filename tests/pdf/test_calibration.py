"""The calibration page, measured in its own print."""

import pypdfium2
import pytest
from PIL.Image import Transpose

from labels import render
from labels.boxes import Box
from labels.calibration import calibration
from labels.stock import SHEETS
from labels.typeface import LABEL_SANS
from tests.pdf.reading import MM_PER_PT, pages, pictures, texts
from tests.pdf.samples import make_label

DPI = 400
PAPERS = ["a4-74x52", "letter-flag", "inch-4x6-105x74", "roll-74x52"]


def rules(key):
    """Return the longest black run in any row, and in any column, in millimetres."""
    (image,) = pictures(render.render_calibration(SHEETS[key]), DPI)
    dark = image.convert("L").point(lambda level: 255 * (level < 140))
    return longest_mm(dark), longest_mm(dark.transpose(Transpose.ROTATE_90))


def longest_mm(dark):
    rows = dark.tobytes()
    runs = (
        run
        for start in range(0, len(rows), dark.width)
        for run in rows[start : start + dark.width].split(b"\0")
    )
    return max(map(len, runs)) / DPI * 25.4


@pytest.mark.parametrize("key", ["a4-74x52", "letter-flag"])
def test_both_rulers_are_fifty_millimetres_long(key):
    across, up = rules(key)

    # The ticks at both ends are 0.1 mm wide, and a picture has 0.06 mm dots.
    assert across == pytest.approx(50, abs=0.2)
    assert up == pytest.approx(50, abs=0.2)
    (text,) = texts(render.render_calibration(SHEETS[key]))
    assert "50 mm and 50 mm" in " ".join(text.split())


def test_a_small_page_has_shorter_rulers_and_says_so():
    (text,) = texts(render.render_calibration(SHEETS["roll-74x52"]))

    assert "50 mm and 30 mm" in " ".join(text.split())


@pytest.mark.parametrize("key", SHEETS)
def test_nothing_on_the_page_lies_outside_of_it_and_no_words_overlap(key):
    sheet = SHEETS[key]
    page = Box(0, 0, *sheet.page_mm)
    face = calibration(sheet, LABEL_SANS)

    for line in face.lines:
        assert page.holds(line.box), line
    for stroke in face.strokes:
        for x, y in stroke.points:
            assert page.holds(Box(x, y, x, y)), stroke
    for index, line in enumerate(face.lines):
        for other in face.lines[index + 1 :]:
            assert not line.box.overlaps(other.box), (line, other)
        for stroke in face.strokes:
            xs, ys = zip(*stroke.points, strict=True)
            spanned = Box(min(xs), min(ys), max(xs), max(ys))
            assert not line.box.overlaps(spanned, slack=-0.05), (line, stroke)


def test_scales_begin_where_the_first_labels_edges_should_be():
    sheet = SHEETS["a4-74x52"]
    left, bottom = next(sheet.origins_mm())
    face = calibration(sheet, LABEL_SANS)

    zeros = [line.box for line in face.lines if line.text == "0"]
    for wanted, middles in (
        (left, [(box.left + box.right) / 2 for box in zeros]),
        (bottom + 52, [(box.bottom + box.top) / 2 for box in zeros]),
    ):
        assert min(abs(middle - wanted) for middle in middles) < 0.5


def test_what_is_read_off_and_entered_brings_the_labels_to_their_places():
    # The printer puts everything 1 mm too far right and 2 mm too low. The real left
    # edge then lies under -1 on the scale, the real top edge under 2: entered as they
    # are, both errors are taken back.
    sheet = SHEETS["a4-74x52"]
    printer = (1.0, -2.0)
    reading = (0 - printer[0], 0 - printer[1])

    (place,) = sheet.moved(*reading).places([(74, 52)])

    landed = (place.left_mm + printer[0], place.bottom_mm + printer[1])
    assert landed == pytest.approx(next(sheet.origins_mm()))


def test_the_offset_is_on_the_printed_sheet():
    sheet = SHEETS["a4-74x52"]

    def first_letter(sheet):
        pdf = render.render_sheets([make_label()], sheet)
        text = pages(pdf)[0].get_textpage()
        left, bottom, _, _ = text.get_charbox(text.get_text_range().index("R"))
        return left * MM_PER_PT, bottom * MM_PER_PT

    before, after = first_letter(sheet), first_letter(sheet.moved(3, -2))

    assert after[0] - before[0] == pytest.approx(3, abs=0.01)
    assert after[1] - before[1] == pytest.approx(-2, abs=0.01)


def test_the_page_is_of_the_sheets_own_size():
    for key in PAPERS:
        document = pypdfium2.PdfDocument(render.render_calibration(SHEETS[key]))
        size = [length * MM_PER_PT for length in document[0].get_size()]
        assert size == pytest.approx(SHEETS[key].page_mm, abs=0.01)
