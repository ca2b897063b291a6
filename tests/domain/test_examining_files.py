"""What a file is, is judged by what is in it; and it has to be whole and harmless."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.operations import uploads
from inventory.operations.errors import OperationError
from tests.uploads import jpeg, pdf, picture, png, sound, upload, webp

OURS = {"JPEG": jpeg(), "PNG": png(), "WebP": webp(), "PDF": pdf()}
ENDINGS = {"JPEG": "jpg", "PNG": "png", "WebP": "webp", "PDF": "pdf"}
MEDIA = {
    "JPEG": "image/jpeg",
    "PNG": "image/png",
    "WebP": "image/webp",
    "PDF": "application/pdf",
}


def refusal(name, data):
    """Return the sentence with which a file is refused, at its field."""
    with pytest.raises(OperationError) as refused:
        uploads.examine(upload(name, data))
    assert refused.value.field == "file"
    assert re.fullmatch(r"[A-Z“].{10,200}\.", str(refused.value))
    return str(refused.value)


@pytest.mark.parametrize("kind", OURS)
def test_the_four_types_that_are_kept_are_known_by_how_they_begin(kind):
    found = sound(f"a.{ENDINGS[kind]}", OURS[kind])

    assert found.media_type == MEDIA[kind]


@pytest.mark.parametrize(
    ("begins", "kind"),
    [
        # The signatures as their standards print them, not as our own files have them.
        ("FF D8 FF", "JPEG"),  # SOI, then a marker: ITU-T T.81 (1992), B.1.1, B.2.1
        ("89 50 4E 47 0D 0A 1A 0A", "PNG"),  # PNG (W3C, third edition), 5.2
        ("52 49 46 46 ?? ?? ?? ?? 57 45 42 50", "WebP"),  # RFC 9649, 2.4
        ("25 50 44 46 2D", "PDF"),  # ISO 32000-2:2020, 7.5.2
    ],
)
def test_a_signature_is_the_one_of_its_standard(begins, kind):
    wanted = [None if byte == "??" else int(byte, 16) for byte in begins.split()]

    head = OURS[kind][: len(wanted)]

    assert all(want in (None, byte) for want, byte in zip(wanted, head, strict=True))
    assert uploads.recognised(head + bytes(64)).media == MEDIA[kind]
    for place, want in enumerate(wanted):
        if want is not None:
            other = bytearray(head + bytes(64))
            other[place] ^= 0xFF
            with pytest.raises(OperationError):
                uploads.recognised(bytes(other))


@pytest.mark.parametrize("kind", OURS)
@pytest.mark.parametrize("named", OURS)
def test_a_name_that_says_something_else_is_refused_naming_both(kind, named):
    name = f"Lot 7.{ENDINGS[named]}"
    if kind == named:
        assert sound(name, OURS[kind])
        return

    said = refusal(name, OURS[kind])

    assert said.startswith(f"The name “{name}” says a {named} ")
    assert f"but the file holds a {kind} " in said


@pytest.mark.parametrize("name", ["certificate.exe", "lot.v2", "page.pdf.html"])
def test_an_ending_that_is_none_of_ours_is_refused_too(name):
    ending = name.rpartition(".")[2]

    assert refusal(name, pdf()).startswith(f"The name “{name}” says “.{ending}”, but")


@pytest.mark.parametrize("name", ["a.JPG", "a.jpeg", "a.jfif", "photo", "image"])
def test_an_ending_in_capitals_or_none_at_all_is_taken(name):
    assert sound(name, jpeg()).media_type == "image/jpeg"


@pytest.mark.parametrize(
    ("data", "phrase"),
    [
        (picture("GIF"), "This is a GIF picture."),
        (picture("TIFF"), "This is a TIFF picture."),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "This is a HEIC picture."),
        (b"\0\0\0\x18ftypmp42", "This is a film or an AVIF picture."),
        (b"PK\x03\x04 word/document.xml", "This is a ZIP archive or an office"),
        (b"MZ\x90\0", "This is a program."),
        (b"\x7fELF\x02", "This is a program."),
        (b" <!doctype html>", "This is a web page or an SVG drawing."),
        (b"<svg xmlns=", "This is a web page or an SVG drawing."),
        (b"hello", "This is no picture (JPEG, PNG, WebP) and no PDF, whatever"),
        (b"\n%PDF-1.7", "This is no picture (JPEG, PNG, WebP) and no PDF, whatever"),
    ],
)
@pytest.mark.parametrize("name", ["certificate.pdf", "photo.jpg", "noname"])
def test_other_files_are_refused_and_told_what_they_are(name, data, phrase):
    assert refusal(name, data).startswith(phrase)


def test_a_page_of_html_is_not_kept_as_a_picture_for_having_its_beginning():
    assert refusal("a.jpg", b"\xff\xd8\xff<script>alert(1)</script>").startswith(
        "This picture is damaged or cut short"
    )


def test_an_empty_file_is_refused():
    assert refusal("a.pdf", b"") == "This file is empty."


def test_a_file_above_the_limit_is_refused_before_it_is_read(settings):
    settings.FILE_BYTES_MAX = 1_000_000
    large = upload("a.pdf", pdf() + bytes(1_000_000))

    with pytest.raises(OperationError, match="larger than 1 MB, the most kept here"):
        uploads.examine(large)

    assert large.tell() == 0


def test_a_file_of_just_the_limit_is_taken(settings):
    settings.FILE_BYTES_MAX = len(pdf())

    assert sound("a.pdf", pdf())


@pytest.mark.parametrize("kind", OURS)
@pytest.mark.parametrize("share", [0.05, 0.5, 0.9])
def test_a_file_that_was_cut_short_is_refused(kind, share):
    whole = OURS[kind]

    said = refusal("a", whole[: int(len(whole) * share)])

    assert "damaged or cut short" in said


@pytest.mark.parametrize("kind", OURS)
@settings(max_examples=60)
@given(data=st.data())
def test_a_file_that_was_damaged_is_taken_or_refused_and_nothing_else(kind, data):
    whole = bytearray(OURS[kind])
    for _ in range(data.draw(st.integers(1, 4))):
        place = data.draw(st.integers(0, len(whole) - 1))
        whole[place] = data.draw(st.integers(0, 255))

    examined("a", bytes(whole))


@given(st.sampled_from(list(OURS)), st.binary(max_size=300))
def test_any_bytes_behind_a_signature_are_taken_or_refused(kind, tail):
    examined("a", OURS[kind][:16] + tail)


@given(st.binary(max_size=200), st.text(max_size=30))
def test_any_bytes_under_any_name_are_taken_or_refused(data, name):
    examined(name, data)


def examined(name, data):
    class Sent:
        size = len(data)

        def read(self):
            return data

    Sent.name = name
    try:
        taken = uploads.examine(Sent()).data
    except OperationError as refused:
        taken = refused.field == "file"
    assert taken
