"""The project report on paper: who got what, whole, however much there is."""

from dataclasses import asdict, replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from labels.papers.page import PAPERS
from labels.papers.project import (
    BatchRow,
    GivenRow,
    ProjectReport,
    ReturnRow,
    ShareRow,
    TotalRow,
    print_report,
)
from labels.wording import Supplier
from tests.pdf.given import bare, every_word
from tests.pdf.reread import faults, pages, texts, words

INSTITUTE, COLLEGE = "Institute of Slow Atoms", "College of Glass and Vacuum"
LONG = "spectroscopy of the second resonance line in a cell of our own making; "
WORDS = st.text("abcxyzABC0189 äöüΩµ₂³°±–.,;()/", max_size=300)


def given_rows(count, **facts):
    return tuple(
        GivenRow(
            **{
                "date": "20 Mar 2026",
                "partner": (INSTITUTE, COLLEGE)[number % 2],
                "vessel": f"RB26A-{number:02}-K",
                "batch": "RB26A",
                "metal": "Rubidium",
                "mass": "4.2120 g ± 0.0011 g (k = 2)",
                "found": "weighed when filled",
                "purpose": "Vapour cells",
                "source": "measured",
                **facts,
            }
        )
        for number in range(1, count + 1)
    )


def make_report(count=3, **facts):
    return ProjectReport(
        **{
            "laboratory": Supplier(
                "Reactive Metals Laboratory", "12 Foundry Lane", "+44 1632 960 123"
            ),
            "code": "Project 3",
            "title": "Cold atoms in a shared trap",
            "purpose": "Vapour cells and a beam of slow rubidium",
            "period": "1 Jan 2026 – 31 Dec 2026",
            "partners": (INSTITUTE, COLLEGE),
            "printed": "4 Jul 2026",
            "shares": (
                ShareRow(
                    *(INSTITUTE, "Rubidium", "20 g", "99.5 % or purer, argon"),
                    *("8.4 g", "4.2 g", "7.4 g"),
                ),
                ShareRow(
                    *(COLLEGE, "Caesium", "3 vessels", ""),
                    *("1 vessel", "none", "2 vessels"),
                ),
            ),
            "given": given_rows(count),
            "batches": (
                BatchRow(
                    *("RB26A", "Rubidium", "made here", "99.8 %"),
                    *("assay, 2 Apr 2026", "12.636 g ± 0.003 g (k = 2)"),
                ),
                BatchRow("CS25B", "Caesium", "bought", "", "", "1.004 g ± 0.002 g"),
            ),
            "returns": (
                ReturnRow(
                    *("1 Jun 2026", INSTITUTE, "RB26A-01-K", "Rubidium"),
                    *("came back, weighed again", "3.101 g ± 0.002 g (k = 2)"),
                    "measured",
                ),
                ReturnRow(
                    *("9 Jun 2026", COLLEGE, "RB26A-02-K", "Rubidium"),
                    *("use reported", "4.1 g ± 0.2 g (k = 2)"),
                    "reported by the partner",
                ),
            ),
            "totals": (
                TotalRow(
                    *(INSTITUTE, "Rubidium", "2"),
                    *("8.424 g ± 0.002 g (k = 2)", "3.101 g ± 0.002 g (k = 2)"),
                    "1.111 g",
                ),
            ),
            "combined": "The uncertainties of one balance add up; others add squared.",
            **facts,
        }
    )


def printed(report=None, paper="a4"):
    return print_report(report or make_report(), PAPERS[paper])


@pytest.mark.parametrize("count", [1, 3, 30])
@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_every_word_given_is_in_the_report_within_its_margins(count, paper):
    report = make_report(count)

    pdf = printed(report, paper)

    said = bare(words(pdf))
    for given_words in every_word(asdict(report)):
        assert bare(given_words) in said
    for page in pages(pdf):
        assert faults(page) == []


@settings(max_examples=15)
@given(WORDS, WORDS, WORDS, st.sampled_from(sorted(PAPERS)))
@example(LONG * 4, LONG * 12, LONG * 14, "a4")
@example("Ω" * 200, "W" * 300, "x" * 300, "letter")
def test_long_words_anywhere_are_printed_whole(partner, purpose, title, paper):
    report = make_report(
        title=title,
        purpose=purpose,
        partners=(partner, purpose),
        given=given_rows(2, partner=partner, purpose=purpose, found=title),
        combined=purpose,
        shares=(ShareRow(partner, title, partner, purpose, "1 g", "2 g", "3 g"),),
    )

    pdf = printed(report, paper)

    assert [fault for page in pages(pdf) for fault in faults(page)] == []
    said = bare(words(pdf))
    assert said.count(bare(purpose)) >= 5
    assert said.count("RB26A-02-K") == 2  # given, and its use reported


def test_ninety_vessels_go_over_several_pages_and_each_has_the_headings():
    pdf = printed(make_report(90))

    with_vessels = [page for page in texts(pdf) if "weighed when filled" in page]
    assert len(with_vessels) > 2
    for page in with_vessels:
        assert " ".join(page.split()).count("Metal Mass Found Purpose") == 1
    for row in given_rows(90)[2:]:
        assert words(pdf).count(row.vessel) == 1


def test_it_is_told_apart_what_was_measured_and_what_was_only_reported():
    rows = given_rows(1) + given_rows(1, source="reported by the partner", found="")

    said = words(printed(make_report(given=rows, returns=())))

    assert "(k = 2) measured weighed when filled Vapour cells" in said
    assert "(k = 2) reported by the partner Vapour cells" in said
    assert "What a partner reported was not measured by this laboratory." in said


def test_it_says_with_the_totals_how_their_uncertainty_was_combined():
    said = words(printed())

    assert (
        "8.424 g ± 0.002 g (k = 2) 3.101 g ± 0.002 g (k = 2) 1.111 g "
        "The uncertainties of one balance add up; others add squared."
    ) in said
    assert "Uncertainties are expanded ones (k = 2, about 95 %)." in said


def test_a_project_that_has_begun_with_nothing_says_so():
    bare_report = replace(
        make_report(), shares=(), given=(), batches=(), returns=(), totals=()
    )

    said = words(printed(bare_report))

    for sentence in (
        "No shares were agreed.",
        "No metal was handed over.",
        "Nothing came back or was reported used.",
    ):
        assert sentence in said
    assert "Totals" not in said
    assert "From which batches" not in said


def test_facts_that_nobody_stated_are_left_out():
    said = words(printed(make_report(purpose="", period="", partners=())))

    for term in ("Purpose Reported", "Period", "Partners"):
        assert term not in said
    assert "Generated on 4 Jul 2026" in said


def test_it_lies_lengthwise_and_every_page_says_what_it_is():
    for paper in PAPERS:
        pdf = printed(make_report(60), paper)
        for number, (page, said) in enumerate(
            zip(pages(pdf), texts(pdf), strict=True), start=1
        ):
            width, height = page.get_size()
            assert width > height
            assert "Project report" in said
            assert f"page {number} of {len(pages(pdf))}" in said


def test_equal_reports_give_equal_bytes_and_others_give_others():
    once = printed(make_report(30))

    assert printed(make_report(30)) == once
    assert printed(make_report(31)) != once
