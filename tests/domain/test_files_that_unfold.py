"""A small file that unfolds into more than there is memory for is refused."""

import struct

import pikepdf
import pytest
from PIL import Image

from inventory.operations import documents
from inventory.operations.errors import OperationError
from tests.uploads import changed_pdf, chunk, pdf, sound

TOO_MANY_PIXELS = (
    "This picture has more than 30 megapixels, the most kept here: save it smaller."
)


def declares(width, height):
    """Return a PNG that says it is this large; PNG (third edition), 11.2.1 (IHDR)."""
    header = struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", b"x")


def refusal(name, data):
    with pytest.raises(OperationError) as refused:
        sound(name, data)
    assert refused.value.field == "file"
    return str(refused.value)


# Pillow warns from its limit on, and refuses from twice that: both are past ours.
@pytest.mark.parametrize("side", [5_500, 8_000, 40_000])
def test_too_many_pixels_are_refused_in_a_sentence(side):
    assert refusal("a.png", declares(side, side)) == TOO_MANY_PIXELS


def test_the_limit_is_held_even_where_pillows_own_is_lifted(monkeypatch):
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", None)

    assert refusal("a.png", declares(6_001, 5_000)) == TOO_MANY_PIXELS


def test_as_many_pixels_as_allowed_are_not_what_a_picture_is_refused_for():
    assert "damaged or cut short" in refusal("a.png", declares(6_000, 5_000))


def test_a_pdf_that_unfolds_into_too_much_is_refused():
    def swell(document):
        long = pikepdf.String(b"a" * 3_000_000)
        document.Root.Long = document.make_indirect(pikepdf.Array([long]))

    packed = pikepdf.ObjectStreamMode.generate
    bomb = changed_pdf(swell, object_stream_mode=packed)
    before = pikepdf.settings.set_qpdf_limits(flate_max_memory=1_000_000)
    try:
        said = refusal("a.pdf", bomb)
    finally:
        pikepdf.settings.set_qpdf_limits(**before)

    assert before["flate_max_memory"] == 200_000_000
    assert len(bomb) < 10_000
    assert "damaged or cut short" in said


def test_a_pdf_of_very_many_parts_is_refused(monkeypatch):
    monkeypatch.setattr(documents, "PARTS_MAX", 3)

    assert "more parts than are kept here" in refusal("a.pdf", pdf())
