"""The certificate on paper: nothing torn, lost or covered, however much there is."""

from dataclasses import replace

from hypothesis import example, given, settings
from hypothesis import strategies as st

from labels.papers.certificate import (
    AssayRow,
    Certificate,
    ChargeRow,
    VesselRow,
    print_certificate,
)
from labels.papers.page import PAPERS
from labels.papers.parts import Fact
from labels.wording import Supplier
from tests.pdf.reread import addresses, faults, pages, texts, words

URL = "HTTPS://TAREBOOK.EXAMPLE.ORG/B/RB26A"
# As long as the record lets a reagent's lot, a route and a note be.
LONG = "calcium reduction of the chloride, distilled at 0.02 mbar; "
WORDS = st.text("abcxyzABC0189 äöüΩµ₂³°±–.,;()/", max_size=300)


def vessel_rows(count, **facts):
    return tuple(
        VesselRow(
            **{
                "code": f"RB26A-{number:02}-K",
                "kind": "Ampoule",
                "closure": "Flame-sealed",
                "medium": "vacuum",
                "net": "4.2120 g ± 0.0011 g (k = 2)",
                "filled": "20 Mar 2026",
                "how": "",
                "remaining": "4.212 g",
                **facts,
            }
        )
        for number in range(1, count + 1)
    )


def make_certificate(**facts):
    return Certificate(
        **{
            "laboratory": Supplier("Reactive Metals Laboratory", "12 Lane", "+44 1"),
            "batch": "RB26A",
            "metal": "Rubidium",
            "url": URL,
            "printed": "4 Jul 2026",
            "provisional": "",
            "origin": (Fact("Origin", "Made here", "Reduction"),),
            "story": (Fact("Route", LONG),),
            "charges": (ChargeRow("Metal source", "RbCl", "60.000 g", "99 %", "7"),),
            "possible": (Fact("Theoretical", "42.324 g ± 0.098 g (k = 2)"),),
            "whereabouts": (Fact("Collected", "32.310 g ± 0.002 g (k = 2)"),),
            "verdict": "It adds up.",
            "purity": (Fact("Counts as", "99.8 %", "as claimed"),),
            "assays": (AssayRow("20 Mar 2026", "99.8 %", "ICP-MS", "", "Fe 1 ppm"),),
            "vessels": vessel_rows(3),
            "maker": "Made by",
            **facts,
        }
    )


def printed(paper="a4", **facts):
    return print_certificate(make_certificate(**facts), PAPERS[paper])


@settings(max_examples=15)
@given(WORDS, WORDS, WORDS, st.sampled_from(sorted(PAPERS)))
@example(LONG * 30, LONG * 5, LONG * 5, "a4")
def test_long_words_anywhere_are_printed_whole(route, lot, found, paper):
    pdf = printed(
        paper,
        laboratory=Supplier(lot, route, found),
        story=(Fact("Route", route), Fact("Note", found)),
        charges=(ChargeRow("Metal source", "RbCl", "60.000 g", "99.8 %", lot),) * 2,
        assays=(AssayRow("20 Mar 2026", "99.8 %", route, lot, found),),
        vessels=vessel_rows(2, medium=found, how=lot),
        verdict=found,
        provisional=lot,
    )

    assert [fault for page in pages(pdf) for fault in faults(page)] == []
    said = "".join(words(pdf).split())
    assert said.count("RB26A-02-K") == 1
    assert said.count("Checkedby") == 1


def test_sixty_vessels_go_over_several_pages_and_each_has_the_headings():
    pdf = printed(vessels=vessel_rows(60))

    with_vessels = [page for page in texts(pdf) if "Ampoule" in page]
    assert len(with_vessels) > 1
    for page in with_vessels:
        assert page.count("Net, as filled") == 1
    for row in vessel_rows(60):
        assert words(pdf).count(row.code) == 1
    for page in pages(pdf):
        assert not faults(page)


def test_the_lines_for_signatures_are_never_parted():
    for count in range(1, 30):
        pdf = printed(vessels=vessel_rows(count))

        (page,) = [page for page in texts(pdf) if "Made by" in page]
        for said in ("Signatures", "Name and role", "Checked by", "written here"):
            assert said in page


def test_the_code_is_read_from_a_300_dpi_picture_and_stands_there_in_letters():
    pdf = printed(vessels=vessel_rows(60))

    assert [found for page in addresses(pdf) for found in page] == [URL]
    assert "RB26A scan for the record" in words(pdf)


def test_equal_certificates_give_equal_bytes_and_others_give_others():
    once = printed()

    assert printed() == once
    assert printed(printed="5 Jul 2026") != once


def test_parts_without_anything_to_say_are_left_out():
    bare = replace(
        make_certificate(), charges=(), possible=(), verdict="", assays=(), vessels=()
    )

    said = words(print_certificate(bare, PAPERS["a4"]))

    for heading in ("Charged", "Theoretical", "Measured", "Net, as filled"):
        assert heading not in said
    for heading in ("Origin", "Yield and whereabouts", "Purity", "Signatures"):
        assert heading in said
