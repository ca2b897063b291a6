"""What is ruled on a paper to be written on: lines, and boxes to tick."""

from itertools import pairwise

from pypdfium2 import raw

from tests.pdf.reread import MM_PER_PT, THICK_MM

TICK_MM = 4.0


def bounds(path):
    """Return left, bottom, right and top in mm."""
    return [edge * MM_PER_PT for edge in path.get_bounds()]


def boxes_to_tick(page):
    """Return how many squares of 4 mm are drawn on a page."""
    drawn = map(bounds, page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]))
    return sum(
        abs(right - left - TICK_MM) < THICK_MM
        and abs(top - bottom - TICK_MM) < THICK_MM
        for left, bottom, right, top in drawn
    )


def lines_to_write_on(page):
    """Return in mm how high the two rows below "Name and role" are."""
    text = page.get_textpage()
    index, _ = text.search("Name and role").get_next()
    _, head, _, _ = text.get_charbox(index)
    paths = page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH])
    flat = [(top, bottom) for _, bottom, _, top in map(bounds, paths)]
    rules = {round(top, 1) for top, bottom in flat if top - bottom < 1}
    below = sorted((y for y in rules if y < head * MM_PER_PT), reverse=True)
    gaps = [high - low for high, low in pairwise(below) if high - low > THICK_MM]
    return gaps[:2]
