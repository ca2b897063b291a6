"""The tare sheet: what is on it, and that it can be written on with gloves."""

from labels.papers.page import PAPERS
from labels.papers.tare_sheet import Row, TareSheet, print_sheet
from tests.pdf.reread import addresses, heights_of_rows, pages, texts, words

URL = "HTTPS://TAREBOOK.EXAMPLE.ORG/B/RB26A"
# In millimetres; common practice, no source.
LINE_FOR_GLOVES = 8.0


def make_sheet(rows=3, *, blank=0, **facts):
    """Return a sheet; its first vessel is tared, the others are not."""
    made = [
        Row(code=f"RB26A-{n:02}-K", mark=f"G{n}", kind="Ampoule", volume="5.00 mL")
        for n in range(2, rows + 1)
    ]
    tared = Row(
        code="RB26A-01-W",
        mark="",
        kind="Schlenk flask",
        volume="50.0 mL",
        tare="88.4120 g",
        tared="14 Mar 2026, Balance 1",
        gas="argon",
    )
    facts = {
        "batch": "RB26A",
        "metal": "Rubidium",
        "url": URL,
        "owner": "Reactive Metals Laboratory",
        "printed": "4 Jul 2026",
        "rows": (tared, *made)[:rows],
        "blank": blank,
        **facts,
    }
    return TareSheet(**facts)


def printed(sheet=None, paper="a4"):
    return print_sheet(sheet or make_sheet(), PAPERS[paper])


def test_it_has_lines_for_whatever_has_to_be_noted():
    said = words(printed())

    for heading in (
        "Date, time",
        "Balance",
        "Its last check",
        "Room air, °C",
        "Pressure, hPa",
        "Humidity, %",
        "Vessel and glass mark",
        "Kind, inner volume",
        "Tare with closure, g",
        "Gas inside",
        "Gross, closed, g",
        "Closure",
        "Medium",
        "Initials",
    ):
        assert heading in said


def test_it_says_that_the_closure_is_on_and_that_the_tare_cannot_be_had_later():
    said = words(printed())

    assert "with the stopper, cap or stopcock it will be closed with" in said
    assert "Once there is metal in it, its tare can no longer be had." in said
    assert "These metals ignite in air and react violently with water." in said


def test_a_tared_vessel_shows_its_tare_and_the_others_leave_room_for_it():
    said = words(printed())

    assert (
        "RB26A-01-W Schlenk flask 50.0 mL 88.4120 g 14 Mar 2026, Balance 1 argon "
        "RB26A-02-K G2 Ampoule 5.00 mL RB26A-03-K G3 Ampoule 5.00 mL"
    ) in said


def test_every_row_is_high_enough_for_a_pen_held_in_a_glove():
    for paper in PAPERS:
        for page in pages(printed(make_sheet(6, blank=8), paper)):
            heights = heights_of_rows(page)
            assert heights
            assert min(heights) >= LINE_FOR_GLOVES


def test_blank_rows_follow_as_many_as_were_asked_for():
    def rows(sheet):
        return sum(len(heights_of_rows(page)) for page in pages(printed(sheet)))

    assert rows(make_sheet(3, blank=5)) - rows(make_sheet(3)) == 5


def test_sixty_vessels_go_over_several_pages_and_each_has_the_headings():
    pdf = printed(make_sheet(60))

    assert len(pages(pdf)) > 1
    for page in texts(pdf):
        assert page.count("Tare with closure, g") == 1
    assert f"page 1 of {len(pages(pdf))}" in texts(pdf)[0]


def test_the_code_leads_to_the_batch_record_and_stands_beside_it_in_letters():
    pdf = printed()

    assert addresses(pdf) == [[URL]]
    assert "RB26A scan for the record" in words(pdf)


def test_equal_sheets_give_equal_bytes():
    assert printed() == printed()


def test_it_lies_lengthwise():
    for paper in PAPERS:
        (page,) = pages(printed(paper=paper))
        width, height = page.get_size()
        assert width > height
