"""A kept picture shows what was photographed, upright, and tells nothing else.

The files are taken apart here by their standards, not by the library that wrote them.
"""

import struct
from io import BytesIO

import pytest
from PIL import Image, ImageCms

from inventory.operations.errors import OperationError
from tests.uploads import (
    IPTC,
    MAKER,
    TAKEN,
    WORDS,
    XMP,
    exif,
    jpeg,
    picture,
    png,
    scene,
    sound,
    webp,
)

SENT = {"jpg": jpeg, "png": png, "webp": webp}
TELLING = (MAKER.encode(), WORDS.encode(), b"xmpmeta", b"GPS", b"8BIM", b"serial")
every_kind = pytest.mark.parametrize("kind", SENT)


def kept(kind, data=None):
    return sound(f"a.{kind}", SENT[kind]() if data is None else data)


def jpeg_segments(data):
    """Yield (marker, content) up to the pixels: ITU-T T.81 (1992), B.1.1.4."""
    at = 2
    while data[at + 1] != 0xDA:
        assert data[at] == 0xFF
        (length,) = struct.unpack(">H", data[at + 2 : at + 4])
        yield data[at + 1], data[at + 4 : at + 2 + length]
        at += 2 + length


def png_chunks(data):
    """Yield (name, content): PNG (W3C, third edition), 5.3."""
    at = 8
    while at < len(data):
        (length,) = struct.unpack(">I", data[at : at + 4])
        yield data[at + 4 : at + 8], data[at + 8 : at + 8 + length]
        at += 12 + length


def webp_chunks(data):
    """Yield (name, content): RFC 9649, 2.3 and 2.4; an odd one is padded."""
    at = 12
    while at < len(data):
        (length,) = struct.unpack("<I", data[at + 4 : at + 8])
        yield data[at : at + 4], data[at + 8 : at + 8 + length]
        at += 8 + length + length % 2


def exif_tags(block, at=None, found=None):
    """Return the set of tags of a TIFF block, its further directories included.

    TIFF 6.0, section 2; the pointers 8769 (Exif), 8825 (GPS), A005: CIPA DC-008.
    """
    order = "<" if block[:2] == b"II" else ">"
    found = set() if found is None else found
    if at is None:
        (at,) = struct.unpack(order + "I", block[4:8])
    (count,) = struct.unpack(order + "H", block[at : at + 2])
    for entry in range(at + 2, at + 2 + 12 * count, 12):
        tag, _, _, value = struct.unpack(order + "HHII", block[entry : entry + 12])
        found.add(tag)
        if tag in (0x8769, 0x8825, 0xA005):
            exif_tags(block, value, found)
    return found


def exif_block(kind, data):
    """Return the Exif block of a file, or nothing."""
    if kind == "jpg":
        blocks = [c[6:] for m, c in jpeg_segments(data) if c[:6] == b"Exif\0\0"]
    elif kind == "png":
        blocks = [content for name, content in png_chunks(data) if name == b"eXIf"]
    else:
        blocks = [content for name, content in webp_chunks(data) if name == b"EXIF"]
    return blocks[0].removeprefix(b"Exif\0\0") if blocks else b""


@every_kind
def test_what_is_sent_tells_where_by_whom_and_with_what(kind):
    # The premise of the tests below: these files do give away what they should not.
    data = SENT[kind]()
    tags = exif_tags(exif_block(kind, data))

    assert {0x8825, 0x0002, 0x0004} <= tags  # the position's latitude and longitude
    assert {0x010F, 0x927C, 0x9003} <= tags  # make, maker's note, date taken
    assert all(word in data for word in TELLING[:3])
    if kind == "jpg":
        assert IPTC in data


@every_kind
def test_what_is_kept_has_no_position_and_no_tag_but_the_date_taken(kind):
    block = exif_block(kind, kept(kind).data)

    assert exif_tags(block) == {0x8769, 0x9003}
    assert TAKEN.encode() in block


@every_kind
def test_what_is_kept_holds_none_of_the_telling_words(kind):
    found = kept(kind)

    for word in (*TELLING, XMP[:40], IPTC[:20]):
        assert word not in found.data
        assert word not in found.thumbnail


def test_a_kept_jpeg_has_only_the_parts_that_show_it_and_its_date():
    parts = [(m, c[:4]) for m, c in jpeg_segments(kept("jpg").data)]

    # APP0 (JFIF) and APP1 (Exif); beside them tables and the frame, 0xC0 to 0xDB.
    assert [part for part in parts if part[0] >= 0xE0] == [
        (0xE0, b"JFIF"),
        (0xE1, b"Exif"),
    ]


def test_a_kept_png_has_only_the_parts_that_show_it_and_its_date():
    names = {name for name, _ in png_chunks(kept("png").data)}

    assert names == {b"IHDR", b"eXIf", b"IDAT", b"IEND"}


def test_a_kept_webp_has_only_the_parts_that_show_it_and_its_date():
    names = {name for name, _ in webp_chunks(kept("webp").data)}

    assert names <= {b"VP8X", b"VP8 ", b"VP8L", b"ALPH", b"EXIF"}


@every_kind
def test_a_thumbnail_is_a_jpeg_without_any_exif(kind):
    small = kept(kind).thumbnail

    assert {m for m, _ in jpeg_segments(small) if m >= 0xE0} == {0xE0}


def test_a_picture_without_a_date_gets_none():
    found = kept("png", picture("PNG"))

    assert exif_block("png", found.data) == b""


@pytest.mark.parametrize(
    "moment", ["2026:04:03", "somewhere in Berlin", "2026:04:03 14:05:09 Berlin"]
)
def test_a_date_that_holds_words_is_left_out(moment):
    block = exif()
    block.get_ifd(0x8769)[0x9003] = moment
    file = BytesIO()
    scene().save(file, "JPEG", exif=block)

    assert exif_block("jpg", kept("jpg", file.getvalue()).data) == b""


def corner_colours(data):
    """Return which corners of a picture are red, clockwise from the upper left."""
    shown = Image.open(BytesIO(data)).convert("RGB")
    right, low = shown.width - 3, shown.height - 3
    corners = [(2, 2), (right, 2), (right, low), (2, low)]
    colours = [shown.getpixel(at) for at in corners]
    return [red > 150 > blue for red, _, blue in colours]


@pytest.mark.parametrize(
    ("orientation", "corner"),
    # Where the first pixel of the file belongs when seen: CIPA DC-008 (Exif 2.32),
    # 4.6.4, tag Orientation; 0 is the upper left, then clockwise.
    [(1, 0), (2, 1), (3, 2), (4, 3), (5, 0), (6, 1), (7, 2), (8, 3)],
)
def test_a_picture_taken_with_a_turned_camera_is_kept_upright(orientation, corner):
    found = kept("jpg", jpeg(size=(60, 40), orientation=orientation))

    expected = [place == corner for place in range(4)]
    assert corner_colours(found.data) == expected
    assert corner_colours(found.thumbnail) == expected
    size = Image.open(BytesIO(found.data)).size
    assert size == ((60, 40) if orientation < 5 else (40, 60))


@pytest.mark.parametrize(
    ("kind", "mode", "stays"),
    [
        ("JPEG", "L", "L"),
        ("JPEG", "CMYK", "RGB"),
        ("PNG", "1", "RGB"),
        ("PNG", "L", "L"),
        ("PNG", "LA", "LA"),
        ("PNG", "P", "RGB"),
        ("PNG", "RGBA", "RGBA"),
        ("PNG", "I;16", "I;16"),
        ("WEBP", "RGB", "RGB"),
    ],
)
def test_pictures_of_every_sort_are_kept_as_such(kind, mode, stays):
    found = sound("a", picture(kind, mode))

    assert Image.open(BytesIO(found.data)).mode == stays
    assert Image.open(BytesIO(found.data)).format == kind
    assert Image.open(BytesIO(found.thumbnail)).size == (48, 32)


def test_what_is_clear_stays_clear_and_is_white_in_the_small_picture():
    clear = Image.new("RGBA", (40, 40), (255, 0, 0, 0))
    file = BytesIO()
    clear.save(file, "PNG")

    found = kept("png", file.getvalue())

    assert Image.open(BytesIO(found.data)).getpixel((5, 5))[3] == 0
    assert Image.open(BytesIO(found.thumbnail)).getpixel((5, 5)) == (255, 255, 255)


def test_a_small_picture_is_320_pixels_at_most_and_keeps_its_shape():
    found = kept("jpg", jpeg(size=(1600, 800)))

    assert Image.open(BytesIO(found.thumbnail)).size == (320, 160)
    assert Image.open(BytesIO(found.data)).size == (1600, 800)


def test_colours_with_a_profile_are_brought_to_what_is_shown_without_one():
    # A profile that calls red what others call blue, and the reverse: the colorants of
    # a display profile are its tags rXYZ and bXYZ (ICC.1:2022, 8.3.3 and 9.2).
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    swapped = profile.replace(b"rXYZ", b"?XYZ").replace(b"bXYZ", b"rXYZ")
    swapped = swapped.replace(b"?XYZ", b"bXYZ")

    found = kept("jpg", jpeg(icc_profile=swapped))

    assert b"ICC_PROFILE" not in found.data  # which may hold words, too
    assert corner_colours(found.data) == [False, True, True, True]


def test_a_profile_that_nobody_can_read_is_left_out():
    found = kept("jpg", jpeg(icc_profile=b"no profile at all"))

    assert corner_colours(found.data) == [True, False, False, False]


def test_the_same_file_gives_the_same_bytes():
    assert kept("jpg").data == kept("jpg").data


@pytest.mark.parametrize("kind", ["PNG", "WEBP"])
def test_a_moving_picture_is_refused(kind):
    moving = picture(kind, save_all=True, append_images=[Image.new("RGB", (48, 32))])

    with pytest.raises(OperationError, match="This picture moves"):
        sound("a", moving)


def test_a_phones_photo_with_a_preview_inside_is_kept_without_it():
    # Phones put several pictures into one JPEG: CIPA DC-007 (Multi-Picture Format).
    first, file = scene(), BytesIO()
    first.save(file, "MPO", save_all=True, append_images=[Image.new("RGB", (9, 9))])
    assert b"MPF\0" in file.getvalue()

    found = kept("jpg", file.getvalue())

    assert found.media_type == "image/jpeg"
    assert b"MPF\0" not in found.data
    assert found.data.count(b"\xff\xd8\xff") == 1
