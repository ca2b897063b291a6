"""What may never happen on a label, whatever it has to say."""

from itertools import pairwise

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st

from labels.blocks import held
from labels.boxes import Box, Column, Paragraph, Style
from labels.dimensions import FLOOR_X_MM, LEADING
from labels.layout import DoesNotFit, UnprintableText, lay_out
from labels.measuring import least_height_mm, measure
from labels.stock import SHEETS
from labels.typeface import LABEL_SANS
from labels.typesetting import set_text
from labels.wording import CannotPrint, UnfinishedStatement
from tests.pdf.random_labels import CONTENTS, NAMES, SENTENCES
from tests.pdf.samples import PROFILES, make_label
from tests.pdf.soundness import assert_sound, said_on, squeezed

SIZES = st.sampled_from([sheet.piece_mm for sheet in SHEETS.values()]) | st.tuples(
    st.floats(30, 160), st.floats(20, 110)
)


def assert_all_said(content, faces):
    """Assert that no text was lost, shortened or split over two labels."""
    said = [said_on(face) for face in faces]
    for statement in content.statements:
        assert any(squeezed(statement) in face for face in said), statement
    for text in (content.product_name, content.full_code, content.signal_word):
        assert squeezed(text) in said[0]
    for text in (content.note, content.net_text, content.draft_reason):
        assert squeezed(text) in said[0]
    assert [mark.code for mark in faces[0].marks] == list(content.pictograms)
    assert faces[0].code.url == content.url


@settings(max_examples=120, deadline=None)
@given(CONTENTS, SIZES, st.sampled_from([0.0, 1.5, 3.0]))
def test_every_label_keeps_its_texts_whole_apart_and_inside(content, size, clear):
    try:
        faces = lay_out(content, size, LABEL_SANS, clear_mm=clear)
    except DoesNotFit:
        event("refused")
        return
    event(f"on {len(faces)} labels")
    for face in faces:
        assert_sound(face, clear)
        assert face.x_height_mm >= FLOOR_X_MM - 1e-9
    assert_all_said(content, faces)


PARAGRAPHS = st.lists(
    st.builds(
        Paragraph,
        st.lists(SENTENCES | NAMES.map(held), min_size=1, max_size=3).map(tuple),
        st.builds(Style, st.floats(1, 4), st.booleans()),
        st.just(0.0),
        st.sampled_from(["", "DE Kalium"]),
    ),
    min_size=1,
    max_size=5,
)


@settings(max_examples=100, deadline=None)
@given(PARAGRAPHS, st.floats(15, 100), st.floats(10, 80), st.booleans())
def test_a_quick_look_never_refuses_what_can_be_set(paragraphs, width, height, beside):
    # Sizes are left out early where the least that words take is more than there is.
    obstacle = (Box(width / 2, height / 2, width, height),) if beside else ()
    column = Column(Box(0, 0, width, height), obstacle)

    lines = set_text(paragraphs, column, LABEL_SANS)

    event(f"set: {lines is not None}")
    if lines is not None:
        covered = width * height * (0.75 if beside else 1)
        measured = measure(paragraphs, 1.0, LABEL_SANS)
        assert measured.least_mm2(1.0, height) <= covered + 1e-6
        assert least_height_mm(paragraphs, width, LABEL_SANS) <= height + 1e-6


@pytest.mark.parametrize("symbol", PROFILES)
def test_every_metal_has_a_label_on_every_stocked_sheet(symbol):
    for sheet in SHEETS.values():
        content = make_label(symbol)

        faces = lay_out(content, sheet.piece_mm, LABEL_SANS, clear_mm=sheet.clear_mm)

        for face in faces:
            assert_sound(face, sheet.clear_mm)
        assert_all_said(content, faces)


@pytest.mark.parametrize("symbol", PROFILES)
def test_a_full_label_holds_all_the_recommended_statements_by_itself(symbol):
    # Annex I 1.2.1.4: 74 × 52 mm, pictograms not below 10 mm.
    assert len(lay_out(make_label(symbol), (74, 52), LABEL_SANS)) == 1


@pytest.mark.parametrize("symbol", [s for s in PROFILES if s != "NaK"])
def test_six_statements_leave_a_full_label_room_for_wished_pictograms(symbol):
    # Annex I 1.2.1.4: if possible 16 mm, and a fifteenth of 74 × 52 mm.
    (face,) = lay_out(make_label(symbol), (74, 52), LABEL_SANS)

    for mark in face.marks:
        assert mark.side_mm >= 16
        assert mark.side_mm**2 >= 74 * 52 / 15


def test_a_larger_tag_has_text_of_the_target_size():
    # Regulation (EU) 2024/2865: x-height 1.2 mm up to 0.5 litres.
    for symbol in PROFILES:
        (face,) = lay_out(make_label(symbol), (105, 74), LABEL_SANS, clear_mm=3)

        assert face.x_height_mm >= 1.2 - 1e-9


def test_what_one_label_cannot_hold_goes_on_to_the_next_and_says_so():
    content = make_label("Rb")

    first, second = lay_out(content, (63, 38), LABEL_SANS)

    assert (first.part, second.part) == (1, 2)
    assert first.parts == second.parts == 2
    opening = [line.text for line in first.lines]
    assert "continues on label 2 of 2" in opening
    following = " ".join(line.text for line in second.lines)
    assert "label 2 of 2" in following
    assert content.full_code in following
    said = said_on(first)
    for hazard in content.h_texts + content.euh_texts:
        assert squeezed(hazard) in said


def test_lines_are_at_least_120_per_cent_of_their_size_apart():
    # Regulation (EU) 2024/2865, Annex I 1.2.1.5: 120 % or more.
    (face,) = lay_out(make_label("Li"), (74, 52), LABEL_SANS)
    assert LEADING >= 1.2
    body = [line for line in face.lines if line.left_mm == face.lines[0].left_mm]

    for upper, lower in pairwise(body):
        if upper.style == lower.style:
            apart = upper.baseline_mm - lower.baseline_mm
            assert apart >= 1.2 * upper.style.size_mm - 1e-9


def test_a_number_is_never_parted_from_its_unit():
    content = make_label(
        "Ba", net_text="17.42 g ± 0.05 g (k = 2)", volume_text="9 mL at 20 °C"
    )

    for width in range(58, 110, 2):
        for face in lay_out(content, (width, 52), LABEL_SANS):
            said = [line.text for line in face.lines]
            for whole in ("17.42 g", "± 0.05 g", "(k = 2)", "9 mL", "20 °C"):
                assert face.part > 1 or any(whole in line for line in said)


@pytest.mark.parametrize(
    ("size", "missing"),
    [
        ((20, 14), "pictograms of 10 mm"),
        ((28, 34), "QR code"),
        ((44, 34), "product"),
    ],
)
def test_a_label_too_small_says_what_finds_no_room(size, missing):
    with pytest.raises(DoesNotFit, match=missing) as refusal:
        lay_out(make_label("Rb"), size, LABEL_SANS)

    assert f"{size[0]} × {size[1]} mm" in str(refusal.value)


@pytest.mark.parametrize("text", ["锂", "ליתיום", "ليثيوم"])
def test_a_character_the_typeface_cannot_set_is_refused(text):
    with pytest.raises(UnprintableText, match="cannot print"):
        lay_out(make_label("Li", product_name=text), (74, 52), LABEL_SANS)


def test_accents_typed_apart_are_composed_and_control_characters_dropped():
    content = make_label("Li", product_name="Lithium ge\u0301ant\u200b\n\x07")

    (face,) = lay_out(content, (74, 52), LABEL_SANS)

    assert "Lithium géant" in face.lines[0].text


@pytest.mark.parametrize("raw", ["Use … now.", "Wear gloves/goggles.", "Dry [cool]."])
def test_a_label_with_an_unfinished_statement_cannot_be_made(raw):
    with pytest.raises(UnfinishedStatement, match="complete the statement"):
        make_label("Li", p_texts=(raw,))


@pytest.mark.parametrize("name", ["product_name", "full_code", "url"])
def test_a_label_without_name_code_or_address_cannot_be_made(name):
    with pytest.raises(ValueError, match=name):
        make_label("Li", **{name: " \u200b"})


def test_refusals_are_sentences_fit_to_show():
    for size in ((20, 14), (28, 34), (44, 34)):
        with pytest.raises(CannotPrint) as refusal:
            lay_out(make_label("Rb"), size, LABEL_SANS)
        assert str(refusal.value).endswith(".")
