"""The hand-over sheet: all that has to go with the vessels, and room to sign for them."""

from dataclasses import asdict, replace

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from pypdfium2 import raw

from labels.papers import cautions
from labels.papers.cautions import Hazard, Statement
from labels.papers.handover import print_hand_over
from labels.papers.page import PAPERS
from labels.pictograms import UnknownPictogram
from labels.qr import NotForQr
from labels.wording import Supplier, UnfinishedStatement
from tests.pdf.given import bare, every_word
from tests.pdf.handed import make_hazard, make_sheet, make_vessel
from tests.pdf.reading import by_opencv, by_zxing, pictures
from tests.pdf.reread import (
    MM_PER_PT,
    addresses,
    faults,
    pages,
    texts,
    words,
)
from tests.pdf.ruled import boxes_to_tick, lines_to_write_on
from tests.pdf.samples import HOST

# In millimetres; common practice, no source: as the lines of the tare sheet.
LINE_FOR_GLOVES = 8.0
LONG = "flame-sealed twice and wrapped in aluminium foil against the light of the day; "
WORDS = st.text("abcxyzABC0189 äöüΩµ₂³°±–.,;()/", max_size=300)


def printed(sheet=None, paper="a4"):
    return print_hand_over(sheet or make_sheet(), PAPERS[paper])


@pytest.mark.parametrize("count", [1, 3, 30])
@pytest.mark.parametrize("paper", sorted(PAPERS))
def test_every_word_given_is_on_the_sheet_within_its_margins(count, paper):
    sheet = make_sheet(count, carried="by hand, in a steel can", note="Keep the foil")

    pdf = printed(sheet, paper)

    said = bare(words(pdf))
    for given_words in every_word(asdict(sheet), but=("url", "pictograms")):
        assert bare(given_words.replace("\n", ", ")) in said
    for page in pages(pdf):
        assert faults(page) == []


@settings(max_examples=15)
@given(WORDS, WORDS, WORDS, st.sampled_from(sorted(PAPERS)))
@example(LONG * 4, LONG * 12, LONG * 20, "a4")
@example("Ω" * 200, "W" * 300, "x" * 300, "letter")
def test_long_words_anywhere_are_printed_whole(closure, name, note, paper):
    sheet = make_sheet(
        2,
        vessels=(
            make_vessel(
                1, closure=closure, mark=name, metal=name, medium=note, portion=note
            ),
            make_vessel(2),
        ),
        laboratory=Supplier(name, note, closure),
        partner=name,
        partner_address=note,
        project=name,
        note=note,
        combined=note,
        hazards=(make_hazard(metal=name, medium=note), make_hazard()),
    )

    pdf = printed(sheet, paper)

    assert [fault for page in pages(pdf) for fault in faults(page)] == []
    said = bare(words(pdf))
    assert said.count(bare(closure)) >= 2
    assert said.count("RB26A-02-K") == 1
    for line in ("Signatures", "Nameandrole", "Handedoverby"):
        assert line in said


def test_thirty_vessels_go_over_several_pages_and_each_has_the_headings():
    pdf = printed(make_sheet(30))

    with_vessels = [page for page in texts(pdf) if "glass mark" in page]
    assert len(with_vessels) > 1
    for page in with_vessels:
        assert page.count("Seal looked at") == 1
        assert "Scan" in page
    for vessel in make_sheet(30).vessels:
        assert words(pdf).count(vessel.code) == 1


def test_each_vessel_has_its_code_and_two_decoders_read_it():
    for count in (1, 3, 30):
        sheet = make_sheet(count)
        wanted = [vessel.url for vessel in sheet.vessels]

        images = pictures(printed(sheet))

        assert sorted(code for image in images for code in by_zxing(image)) == sorted(
            wanted
        )
        assert {code for image in images for code in by_opencv(image)} == set(wanted)


def test_the_longest_address_in_use_still_leaves_room_for_the_words():
    # 90 characters: the longest of version 4 at level M (ISO/IEC 18004, table 7).
    long = f"{HOST}/B/".ljust(90, "7")
    sheet = make_sheet(1, vessels=(make_vessel(url=long),))

    pdf = printed(sheet)

    assert addresses(pdf)[0] == [long]
    assert [fault for page in pages(pdf) for fault in faults(page)] == []


def test_every_vessel_has_two_boxes_to_tick_for_its_seal():
    pdf = printed(make_sheet(30))

    said = words(pdf)
    assert said.count("not intact") == 30
    assert said.count("intact") == 60
    assert sum(boxes_to_tick(page) for page in pages(pdf)) == 60


def test_the_lines_for_signatures_are_never_parted_and_high_enough_for_gloves():
    for count in range(1, 14):
        pdf = printed(make_sheet(count))

        (at,) = [at for at, page in enumerate(texts(pdf)) if "Signatures" in page]
        for line in ("Name and role", "Handed over by", "Received by", "no safety"):
            assert line in texts(pdf)[at][texts(pdf)[at].index("Signatures") :]
        assert min(lines_to_write_on(pages(pdf)[at])) >= LINE_FOR_GLOVES


def test_no_name_of_a_person_stands_where_persons_sign():
    said = words(printed())

    assert (
        "Name and role Date Signature Handed over by Reactive Metals Laboratory "
        "Received by Institute of Slow Atoms This sheet repeats"
    ) in said


def test_who_signs_signs_for_so_many_vessels():
    assert "received: the vessel above" in words(printed(make_sheet(1)))
    assert "received: the 30 vessels above" in words(printed(make_sheet(30)))


def test_the_pictograms_are_as_large_as_a_label_may_have_them_at_least():
    # Regulation (EC) 1272/2008, Annex I, 1.2.1.4, table 1.3: 1 cm² or more. A square
    # on its corner of 1 cm² is 14.14 mm wide.
    pdf = printed(make_sheet(3))

    sides = [
        round((right - left) * MM_PER_PT, 1)
        for page in pages(pdf)
        for form in page.get_objects(filter=[raw.FPDF_PAGEOBJ_FORM], max_depth=1)
        for left, _, right, _ in [form.get_bounds()]
    ]

    # Two for rubidium and caesium, three for potassium in its thin oil.
    assert len(sides) == 5
    assert min(sides) >= 14.1


def test_each_metal_in_its_medium_says_what_it_can_do_in_full_words():
    said = words(printed(make_sheet(3)))

    # Regulation (EC) 1272/2008, Annexes III and II.
    for sentence, times in (
        ("In contact with water releases flammable gases which may ignite", 2),
        ("Causes severe skin burns and eye damage. H314", 2),
        ("May be fatal if swallowed and enters airways. H304", 1),
        ("Reacts violently with water. EUH014", 2),
        ("Danger", 2),
    ):
        assert said.count(sentence) == times
    # Rubidium and caesium say the same, handled under argon both.
    assert "Rubidium, under vacuum Caesium, under argon In contact with" in said
    assert "Potassium, under light mineral oil, argon above In contact with" in said


def test_a_form_that_is_not_classified_says_so_and_has_no_empty_signal_word():
    hazard = Hazard("Magnesium", "under argon", (), "", (), (), (), "")
    vessel = make_vessel(metal="Magnesium", medium="under argon")

    said = words(printed(make_sheet(1, vessels=(vessel,), hazards=(hazard,))))

    assert cautions.UNCLASSIFIED in said
    assert f"Magnesium {cautions.NO_ENTRY}" in said


def test_the_entry_for_transport_stands_once_for_each_metal_and_defers_to_the_codes():
    twice = (make_hazard(), make_hazard(medium="under argon"), make_hazard("K"))

    said = words(printed(make_sheet(1, hazards=twice)))

    assert said.count("UN 1423 RUBIDIUM, 4.3, PG I") == 1
    assert said.count("UN 2257 POTASSIUM, 4.3, PG I") == 1
    assert "in a private or service car too, and every shipment follow ADR" in said
    assert "A licensed or trained dangerous-goods shipper decides" in said
    assert "This sheet is no transport document." in said


def test_the_cautions_stand_on_every_sheet():
    # Common practice, no source; the agents as fills names them, with its sources.
    for count in (1, 30):
        said = words(printed(make_sheet(count)))
        for caution in (
            "Never in air: only under dry inert gas",
            "goggles with a face shield",
            "Water, carbon dioxide, halogenated solvents and agents: they react",
            "Class D powder made for that metal",
            "Dry sand only where the data sheet of the lot names it",
            "telephone Reactive Metals Laboratory (+44 1632 960 123)",
            "Local codes, the safety data sheet of the lot and licensed or trained",
        ):
            assert said.count(caution) == 1


def test_a_vessel_without_mark_or_purity_says_what_is_not_known():
    vessel = make_vessel(mark="", purity="", purity_by="")

    said = words(printed(make_sheet(1, vessels=(vessel,))))

    assert "glass mark" not in said
    assert "purity not stated" in said


def test_no_vessel_is_handed_over_without_its_hazards():
    with pytest.raises(ValueError, match="hazards of CS26A-03-K"):
        make_sheet(3, hazards=(make_hazard("Rb"), make_hazard("K")))
    with pytest.raises(ValueError, match="one vessel or more"):
        make_sheet(1, vessels=())


def test_lots_whose_data_sheets_differ_are_told_apart():
    lots = (
        make_hazard(batches="RB26A"),
        make_hazard(batches="RB25C", signal_word="Warning", transport=""),
    )

    said = words(printed(make_sheet(1, hazards=lots)))

    assert "Rubidium, under vacuum (RB26A)" in said
    assert "Rubidium, under vacuum (RB25C)" in said
    assert f"Rubidium (RB25C) {cautions.NO_ENTRY}" in said


def test_a_statement_with_a_gap_is_refused():
    with pytest.raises(UnfinishedStatement):
        make_hazard(p=(Statement("P231", "Handle under inert gas/…"),))


def test_what_cannot_be_printed_is_refused():
    with pytest.raises(NotForQr):
        printed(make_sheet(1, vessels=(make_vessel(url="https://a.example/b"),)))
    with pytest.raises(UnknownPictogram):
        printed(make_sheet(1, hazards=(make_hazard(pictograms=("GHS99",)),)))


def test_every_page_says_which_hand_over_it_is_of():
    pdf = printed(make_sheet(30))

    first, *later = texts(pdf)
    assert "Hand-over 12" in first
    for page in later:
        assert "Hand-over sheet" in page
    for page in [first, *later]:
        assert "printed 5 Jul 2026" in page
        assert f"of {len(later) + 1}" in page


def test_equal_sheets_give_equal_bytes_and_others_give_others():
    once = printed(make_sheet(30))

    assert printed(make_sheet(30)) == once
    assert printed(replace(make_sheet(30), date="6 Jul 2026")) != once
