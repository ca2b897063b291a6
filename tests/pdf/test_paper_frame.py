"""The frame of printed documents: what every page repeats, and that nothing is lost."""

from collections import Counter
from io import BytesIO

import pikepdf
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from labels.layout import UnprintableText
from labels.papers import lettering, parts
from labels.papers.page import PAPERS, Running, render
from tests.pdf.reread import HYPHEN_AT_END, faults, pages, texts, words

LAB = "Reactive Metals Laboratory"
RUNNING = Running("Batch certificate", "RB26A", LAB, "4 Jul 2026")
URL = "HTTPS://TAREBOOK.EXAMPLE.ORG/B/RB26A"
HEAD = ("Vessel", "What there is to say", "Net")
WORDS = st.text("abcxyzABCXYZ0189 äöüßΩµ₂³°±–.,;()<>&'\"/", max_size=400)
STORY = "Condenser at 60 °C; the last ampoule took the tail of the run. " * 60
LONG = st.one_of(WORDS, WORDS.map(lambda words: words * 40))


def printed(*content, paper="a4", running=RUNNING):
    """Print what functions of the width make; return the PDF."""
    return render(
        PAPERS[paper],
        running,
        lambda width: [part for make in content for part in as_list(make(width))],
    )


def as_list(made):
    return made if isinstance(made, list) else [made]


def table_of(rows, **facts):
    return lambda width: parts.table(
        HEAD, rows, width, shares=[1, 3, 2], figures={2}, **facts
    )


def many(count):
    return [
        (f"RB26A-{n:02}", "Ampoule, flame-sealed", "4.2120 g ± 0.0011 g (k = 2)")
        for n in range(1, count + 1)
    ]


def letters(text):
    return Counter("".join(text.replace(HYPHEN_AT_END, "-").split()))


@settings(max_examples=25)
@given(
    title=WORDS,
    owner=WORDS,
    facts=st.lists(st.builds(parts.Fact, WORDS, LONG, LONG), min_size=1, max_size=4),
    rows=st.lists(st.tuples(WORDS, LONG, LONG), max_size=4),
    paper=st.sampled_from(sorted(PAPERS)),
    to_write_in=st.sampled_from([0, 9]),
)
@example("Rubidium", LAB, [parts.Fact("", "")], [(STORY[:90], STORY, "")] * 3, "a4", 9)
@example(
    STORY[:300], STORY[:300], [parts.Fact(STORY, STORY, STORY)] * 2, [], "letter", 0
)
def test_whatever_is_written_nothing_is_lost_nor_overlaps_nor_leaves_the_page(
    title, owner, facts, rows, paper, to_write_in
):
    def head(width):
        return parts.masthead(
            "Paper", title, [lettering.text(owner)], URL, "RB26A", width
        )

    def both(width):
        return parts.section("Facts", width, parts.facts(width, facts, facts[:1]))

    def table(width):
        return parts.section(
            "Table", width, table_of(rows, to_write_in=to_write_in)(width)
        )

    running = Running("Paper", "RB26A", owner, "4 Jul 2026")
    pdf = printed(head, both, table, paper=paper, running=running)

    written = [title, owner, *(words for fact in facts for words in fact)]
    written += [cell for row in rows for cell in row]
    assert letters(" ".join(written)) <= letters(" ".join(texts(pdf)))
    for page in pages(pdf):
        assert not faults(page)


def test_long_tables_go_on_with_their_head_repeated():
    pdf = printed(table_of(many(60)))

    assert len(pages(pdf)) > 1
    for page in texts(pdf):
        assert page.count("What there is to say") == 1
    for code, *_ in many(60):
        assert words(pdf).count(code + " ") == 1


def test_a_row_taller_than_a_page_is_torn_rather_than_refused():
    pdf = printed(table_of([("RB26A-01", "Long story. " * 900, "")]))

    assert len(pages(pdf)) > 1
    assert words(pdf).count("Long story.") == 900


def test_a_heading_never_stands_alone_at_the_foot_of_a_page():
    for filling in range(180, 262, 3):
        pdf = printed(
            lambda width, high=filling: parts.gap(high),
            lambda width: parts.section("Vessels", width, table_of(many(3))(width)),
        )

        (page,) = [page for page in texts(pdf) if "Vessels" in page]
        assert "RB26A-03" in page


def test_every_page_says_whose_it_is_what_it_is_and_how_many_there_are():
    pdf = printed(table_of(many(120)))

    first, *later = texts(pdf)
    for number, page in enumerate([first, *later], start=1):
        assert f"page {number} of {len(later) + 1}" in page
        assert LAB in page
        assert "printed 4 Jul 2026" in page
    assert later
    for page in later:
        assert "Batch certificate" in page
        assert "RB26A\r\n" in page


def test_a_quantity_breaks_before_its_uncertainty_and_nowhere_else():
    rows = [("", "", "4.2120 g ± 0.0011 g (k = 2)")]

    pdf = render(
        PAPERS["a4"],
        RUNNING,
        lambda width: [
            parts.table(HEAD, rows, width, shares=[4, 4, 2], figures={2}),
        ],
    )

    (page,) = texts(pdf)
    said = page.replace(lettering.NO_BREAK, " ").splitlines()
    assert "4.2120 g" in [line.strip() for line in said]
    assert "± 0.0011 g (k = 2)" in [line.strip() for line in said]


@pytest.mark.parametrize(
    ("paper", "points"), [("a4", (595.276, 841.89)), ("letter", (612, 792))]
)
def test_the_paper_is_iso_a4_or_us_letter(paper, points):
    # ISO 216: 210 × 297 mm; ANSI Y14.1: 8.5 × 11 in.
    for page in pages(printed(table_of(many(60)), paper=paper)):
        assert page.get_size() == pytest.approx(points, abs=0.01)


def test_equal_papers_give_equal_bytes_and_others_give_others():
    once = printed(table_of(many(60)))

    assert printed(table_of(many(60))) == once
    assert printed(table_of(many(59))) != once


def test_fonts_are_embedded_and_nothing_is_a_raster():
    pdf = printed(
        table_of(many(60)),
        lambda width: parts.QrCode(URL),
        lambda width: parts.boxed("Not closed", width),
        lambda width: parts.facts(
            width, [parts.Fact("Kind", "Made here", "so it says")]
        ),
    )

    with pikepdf.open(BytesIO(pdf)) as document:
        for page in document.pages:
            for font in page.resources["/Font"].values():
                assert "/FontFile2" in font["/FontDescriptor"]
        streams = [o for o in document.objects if isinstance(o, pikepdf.Stream)]
        assert "/Image" not in [str(o.get("/Subtype", "")) for o in streams]
        assert not document.check_pdf_syntax()


def test_document_says_what_it_is_in_which_language_and_prints_unscaled():
    with pikepdf.open(BytesIO(printed(table_of(many(1))))) as document:
        assert document.docinfo["/Title"] == "Batch certificate RB26A"
        assert document.Root["/Lang"] == "en"
        assert document.Root["/ViewerPreferences"]["/PrintScaling"] == "/None"
        assert document.Root["/ViewerPreferences"]["/DisplayDocTitle"] == True  # noqa: E712


def test_a_character_the_typeface_lacks_is_refused_with_its_words():
    with pytest.raises(UnprintableText, match=r"铷.*lot 铷 7"):
        printed(lambda width: lettering.text("lot 铷 7"))


def test_markup_in_what_people_wrote_is_printed_as_it_stands():
    pdf = printed(lambda width: lettering.text("a <b>bold</b> &amp; <i>lot"))

    assert "a <b>bold</b> &amp; <i>lot" in words(pdf)


@pytest.mark.parametrize("colour", [lettering.INK, lettering.SOFT, lettering.ACCENT])
def test_words_are_dark_enough_to_be_read_and_copied_in_black_and_white(colour):
    # WCAG 2.2, 1.4.3: 4.5 : 1 against the paper, by relative luminance.
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4
        for part in (colour.red, colour.green, colour.blue)
    ]
    luminance = sum(
        w * p for w, p in zip((0.2126, 0.7152, 0.0722), linear, strict=True)
    )

    assert 1.05 / (luminance + 0.05) >= 4.5
