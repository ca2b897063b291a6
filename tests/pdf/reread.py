"""A PDF as programs read it that know nothing of how it was made."""

from itertools import combinations, pairwise

import pypdfium2
import zxingcpp
from pypdfium2 import raw

DPI = 300
MM_PER_PT = 25.4 / 72
# pdfium writes a hyphen at the end of a line as this.
HYPHEN_AT_END = "\x02"
LEANING_MM = 0.2  # what a letter may lean over its own width
THICK_MM = 0.5  # two rules nearer than that are one line


def pages(pdf):
    return list(pypdfium2.PdfDocument(pdf))


def pictures(pdf, dpi=DPI):
    return [page.render(scale=dpi / 72).to_pil().convert("RGB") for page in pages(pdf)]


def texts(pdf):
    return [page.get_textpage().get_text_bounded() for page in pages(pdf)]


def words(pdf):
    """Return what all pages say, with single spaces."""
    return " ".join(" ".join(texts(pdf)).replace(HYPHEN_AT_END, "-").split())


def addresses(pdf):
    """Return what an independent reader finds in the codes, page by page."""
    return [
        [code.text for code in zxingcpp.read_barcodes(image)] for image in pictures(pdf)
    ]


def lines(page):
    """Return the boxes (left, bottom, right, top) round the lines of text, in mm."""
    found = page.get_objects(filter=[raw.FPDF_PAGEOBJ_TEXT])
    return [tuple(edge * MM_PER_PT for edge in line.get_bounds()) for line in found]


def faults(page):
    """Return the lines of a paper's text that leave its margins or cover one another.

    The margins are 20 mm on the left, 15 mm on the right and 9 mm above and below.
    """
    width, height = (side * MM_PER_PT for side in page.get_size())
    boxes = lines(page)
    outside = [
        (left, bottom, right, top)
        for left, bottom, right, top in boxes
        if left < 20 - LEANING_MM
        or right > width - 15 + LEANING_MM
        or bottom < 9 - LEANING_MM
        or top > height - 9 + LEANING_MM
    ]
    covering = [
        (one, other)
        for one, other in combinations(boxes, 2)
        if min(one[2], other[2]) - max(one[0], other[0]) > LEANING_MM
        and min(one[3], other[3]) - max(one[1], other[1]) > LEANING_MM
    ]
    return outside + covering


def heights_of_rows(page):
    """Return in mm how far apart the ruled lines are at the right edge of the text."""
    drawn = page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH])
    boxes = [[edge * MM_PER_PT for edge in path.get_bounds()] for path in drawn]
    edge = max(right for _, _, right, _ in boxes)
    ruled = {
        round(bottom, 2)
        for _, bottom, right, top in boxes
        if edge - right < 1 and top - bottom < 1
    }
    gaps = [high - low for low, high in pairwise(sorted(ruled))]
    return [gap for gap in gaps if gap > THICK_MM]
