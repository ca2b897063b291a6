"""The QR code: what is in it, how large it is, and that it is what is drawn."""

import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from labels import qr

BASE = "HTTPS://TAREBOOK.EXAMPLE.ORG/B/RB26A/07"
ADDRESSES = st.text("ABCXYZ0189-./:", min_size=1, max_size=60).map("HTTPS://".__add__)


def painted(url, scale=4):
    """Paint the rectangles, nothing else, and return the picture."""
    side = qr.modules(url)
    image = Image.new("L", (side * scale, side * scale), 255)
    for left, bottom, width, height in qr.rectangles(url):
        top = side - bottom - height
        box = (left * scale, top * scale)
        image.paste(0, (*box, box[0] + width * scale, box[1] + height * scale))
    return image


@settings(max_examples=40, deadline=None)
@given(ADDRESSES)
def test_an_independent_reader_reads_the_painted_rectangles(url):
    found = zxingcpp.read_barcodes(painted(url))

    assert [code.text for code in found] == [url]


def test_quiet_zone_is_four_modules_on_every_side():
    # ISO/IEC 18004: 4 modules wide, on all four sides.
    side = qr.modules(BASE)

    lefts = [r[0] for r in qr.rectangles(BASE)]
    bottoms = [r[1] for r in qr.rectangles(BASE)]
    rights = [r[0] + r[2] for r in qr.rectangles(BASE)]
    tops = [r[1] + r[3] for r in qr.rectangles(BASE)]

    assert min(lefts) == min(bottoms) == 4
    assert max(rights) == max(tops) == side - 4


@pytest.mark.parametrize(
    ("length", "version"),
    # ISO/IEC 18004, table 7, alphanumeric mode at level M: up to 20, 38, 61 and 90
    # characters in versions 1 to 4.
    [(20, 1), (21, 2), (38, 2), (39, 3), (61, 3), (62, 4), (90, 4)],
)
def test_capital_addresses_take_the_alphanumeric_capacity(length, version):
    url = ("HTTPS://" + "A" * 90)[:length]

    symbol = qr.symbol(url)

    assert symbol.mode == "alphanumeric"
    assert symbol.version == version
    assert qr.modules(url) == 17 + 4 * version + 8


def test_level_is_never_below_m():
    assert qr.symbol(BASE).error in {"M", "Q", "H"}


def test_printed_side_follows_from_the_module():
    # Version 3: 29 + 8 = 37 modules of 0.339 mm, worked by hand.
    assert qr.side_mm(BASE) == pytest.approx(12.53, abs=0.005)
    assert qr.MODULE_MM >= 0.33


@pytest.mark.parametrize("url", ["https://host/b/1", "HTTPS://HOST/B?X=1", "", "Ä"])
def test_an_address_that_would_need_byte_mode_is_refused(url):
    with pytest.raises(qr.NotForQr, match="only capitals"):
        qr.symbol(url)
