"""The label typeface against its own files, as fontTools reads them."""

from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from labels import blocks, typeface
from labels.typeface import LABEL_SANS

FONTS = {
    bold: TTFont(Path(typeface.__file__).with_name("fonts") / name)
    for bold, name in zip((False, True), typeface.FILES.values(), strict=True)
}


@pytest.mark.parametrize("bold", [False, True])
def test_x_height_is_that_of_the_glyph_x_and_of_the_fonts_own_table(bold):
    font = FONTS[bold]
    units = font["head"].unitsPerEm

    drawn = font["glyf"][font.getBestCmap()[ord("x")]].yMax

    assert drawn / units == pytest.approx(typeface.X_HEIGHT_EM, abs=1e-6)
    # OS/2 sxHeight is optional; where it is given it agrees.
    stated = getattr(font["OS/2"], "sxHeight", 0)
    assert stated in (0, drawn)


@pytest.mark.parametrize("bold", [False, True])
def test_room_for_a_line_holds_every_letter_that_labels_use(bold):
    font = FONTS[bold]
    units, names = font["head"].unitsPerEm, font.getBestCmap()
    letters = "abcdefghijklmnopqrstuvwxyzÄÖÜäöüßÉÈÇéèàùûîôç0123456789₀₁₂³µ·±°%()–"

    for letter in letters:
        glyph = font["glyf"][names[ord(letter)]]
        assert glyph.yMax / units <= typeface.ASCENT_EM, letter
        assert -glyph.yMin / units <= typeface.DESCENT_EM, letter
    assert font["hhea"].ascent / units == pytest.approx(typeface.ASCENT_EM)
    assert -font["hhea"].descent / units == pytest.approx(typeface.DESCENT_EM)


@pytest.mark.parametrize("bold", [False, True])
def test_words_are_as_wide_as_their_glyphs_advance(bold):
    font = FONTS[bold]
    units, names = font["head"].unitsPerEm, font.getBestCmap()

    for text in ("Reacts violently with water.", "Gefäß", "± 0,05 g", "CO₂"):
        advance = sum(font["hmtx"][names[ord(letter)]][0] for letter in text)
        found = LABEL_SANS.width_em(text, bold=bold)
        # reportlab keeps widths to a thousandth of the size.
        assert found == pytest.approx(advance / units, abs=0.0005 * len(text))


def test_type_sizes_give_the_x_heights_of_the_target_and_the_floor():
    # Worked by hand: 1.2 mm ÷ (1120 ÷ 2048) is 2.194 mm, and that ÷ 25.4 × 72 is 6.22.
    for x_mm, points in ((1.2, 6.22), (1.4, 7.26), (0.9, 4.67)):
        size_mm = blocks.style(LABEL_SANS, x_mm).size_mm
        assert size_mm / 25.4 * 72 == pytest.approx(points, abs=0.005)


def test_the_typeface_has_greek_subscripts_and_umlauts():
    assert LABEL_SANS.missing("αβγδΩμ ₀₁₂₃ äöüßÄÖÜ éèêçœ ±°·–’") == ""
