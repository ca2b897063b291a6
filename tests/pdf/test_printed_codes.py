"""Printed codes of every format and length, read by two independent decoders."""

import pytest

from labels import qr, render
from labels.formats import FORMATS, Listed, compose
from labels.press import MODULES_MM
from labels.stock import SHEETS
from labels.typeface import LABEL_SANS
from tests.pdf.reading import by_opencv, by_zxing, pictures
from tests.pdf.samples import HOST
from tests.pdf.vessels import make

# The longest codes of each version at level M, and the shortest of the next (ISO/IEC
# 18004, table 7, alphanumeric), from a short host name to a long one.
LENGTHS = (25, 38, 39, 61, 62, 90)
SHEET_OF = {
    "full": "roll-74x52",
    "flag": "roll-flag",
    "wrap": "roll-wrap",
    "tag": "roll-105x74",
    "foldout": "roll-foldout",
    "box": "roll-box",
    "sign": "roll-sign",
}
GLASS = {"wrap": {"glass_mm": 28.0}, "flag": {"stem_mm": 8.0}}
INSIDE = (Listed("RB26A-07-K", "0.882 g ± 0.005 g"),)


def of_length(length):
    base = f"{HOST}/B/" if length > len(HOST) + 3 else "HTTPS://H.EX/B/"
    return base.ljust(length, "7")[:length]


def read_by_both(pdf):
    """Return the set of addresses that each of two decoders finds."""
    images = pictures(pdf)
    return [
        {text for image in images for text in decoder(image)}
        for decoder in (by_zxing, by_opencv)
    ]


@pytest.mark.parametrize("length", LENGTHS)
@pytest.mark.parametrize("key", SHEET_OF)
def test_codes_of_every_format_and_length_are_read_by_two_decoders(key, length):
    content = make("Rb", url=of_length(length))
    extra = {"inside": INSIDE} if key in {"box", "sign"} else GLASS.get(key, {})

    pdf = render.render_sheets([content], SHEETS[SHEET_OF[key]], FORMATS[key], **extra)

    assert read_by_both(pdf) == [{content.url}, {content.url}]


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)
def test_codes_on_every_stocked_sheet_are_read_by_both(sheet):
    format = next(each for each in FORMATS.values() if each.fits(sheet.piece_mm))
    labels = [make("Li"), make("K")]
    glass = {"glass_mm": 28.0} if format.key == "wrap" else {}

    pdf = render.render_sheets(labels, sheet, format, **glass)

    wanted = {label.url for label in labels}
    assert read_by_both(pdf) == [wanted, wanted]


def test_modules_are_whole_dots_of_a_300_dpi_printer_and_large_enough():
    # 0.33 mm is read by telephones: common practice, no source. ISO/IEC 18004 sets none.
    for module_mm in MODULES_MM:
        dots = module_mm / 25.4 * 300
        assert dots == pytest.approx(round(dots))
        assert module_mm >= 0.33


@pytest.mark.parametrize("glass_mm", [24.0, 28.0, 34.0])
def test_a_code_on_round_glass_is_no_wider_than_an_arc_of_60_degrees(glass_mm):
    # A sixth of the way round is 0.52 of the diameter (common practice, no source).
    content = make("Rb", glass_mm=glass_mm)

    face = compose(content, FORMATS["wrap"], LABEL_SANS).faces[0]

    symbol = qr.modules(content.url) - 2 * qr.QUIET_MODULES
    assert symbol * face.code.module_mm <= 0.52 * glass_mm


@pytest.mark.parametrize("glass_mm", [15.0, 17.0, 18.8])
def test_a_code_too_wide_for_the_glass_stands_on_the_tag_with_the_reason(glass_mm):
    # Version 3: 29 modules of 0.339 mm are 9.8 mm wide, worked by hand.
    found = compose(make("Rb", glass_mm=glass_mm), FORMATS["wrap"], LABEL_SANS)

    first, *others = found.faces
    assert first.code is None
    assert any(face.code for face in others)
    (said,) = [note for note in found.notes if "QR code" in note]
    assert "9.8 mm wide" in said
    assert f"{0.52 * glass_mm:.1f} mm at most" in said
    assert "on the tag" in said


def test_the_flag_says_why_the_code_is_on_it_and_not_on_the_glass():
    found = compose(make("Rb"), FORMATS["flag"], LABEL_SANS)

    assert found.faces[0].code
    assert any("stands on the flag" in note for note in found.notes)


def test_a_plain_label_too_curved_for_its_code_comes_with_a_second_one():
    # 63 mm go round 20.5 mm of glass, which carries 10.7 mm; version 4 is 11.2 mm wide.
    content = make("Rb", glass_mm=20.5, url=of_length(62))

    found = compose(content, FORMATS["full"], LABEL_SANS, size_mm=(63, 38))

    assert found.faces[0].code is None
    assert any(face.code for face in found.faces[1:])
    assert content.full_code in [line.text for line in found.faces[0].lines]
    assert found.overflow_to == "tag"


def test_the_human_code_with_its_check_character_stands_beside_the_code():
    for key in SHEET_OF:
        content = make("Rb")
        for face in compose(
            content, FORMATS[key], LABEL_SANS, glass_mm=28.0, inside=INSIDE
        ).faces:
            if face.code is None:
                continue
            named = [line.box for line in face.lines if line.text == content.full_code]
            middle = (face.code.box.left + face.code.box.right) / 2
            assert any(
                box.left < middle < box.right
                and 0 <= face.code.box.bottom - box.top < 2
                for box in named
            ), key
