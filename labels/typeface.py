"""The label typeface and how wide its words are.

DejaVu Sans Condensed, sans serif, shipped in `fonts/`: Greek, umlauts, subscripts and
superscripts. Its large x-height for its line distance makes the most of a small label
while keeping the 120 % that Regulation (EU) 2024/2865 asks for.
"""

from functools import lru_cache
from pathlib import Path
from unicodedata import bidirectional

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR = "LabelSans"
BOLD = "LabelSans-Bold"
FILES = {REGULAR: "DejaVuSansCondensed.ttf", BOLD: "DejaVuSansCondensed-Bold.ttf"}

# In ems, from the font files (2048 units): height of the glyph x, and the hhea table.
X_HEIGHT_EM = 1120 / 2048
ASCENT_EM = 1901 / 2048
DESCENT_EM = 483 / 2048


def register() -> None:
    """Make both faces known to reportlab; doing it again is free."""
    for name, file in FILES.items():
        if name not in pdfmetrics.getRegisteredFontNames():
            path = Path(__file__).with_name("fonts") / file
            pdfmetrics.registerFont(TTFont(name, str(path)))


def face_name(*, bold: bool) -> str:
    return BOLD if bold else REGULAR


class LabelSans:
    """The two faces as the typesetting asks for them."""

    x_height_em = X_HEIGHT_EM
    ascent_em = ASCENT_EM
    descent_em = DESCENT_EM

    def width_em(self, text: str, *, bold: bool) -> float:
        """Return the set width of `text` as a multiple of the type size."""
        return _width_em(text, face_name(bold=bold))

    def missing(self, text: str) -> str:
        """Return the characters that cannot be shown, once each.

        Letters set from right to left and loose accents count as missing: reportlab
        puts one glyph after another, which would print them wrong.
        """
        register()
        known = [pdfmetrics.getFont(name).face.charToGlyph for name in FILES]
        absent = (
            character
            for character in text
            if not all(ord(character) in glyphs for glyphs in known)
            or bidirectional(character) in {"R", "AL", "NSM"}
        )
        return "".join(dict.fromkeys(absent))


LABEL_SANS = LabelSans()


@lru_cache(maxsize=20_000)
def _width_em(text: str, name: str) -> float:
    register()
    return float(pdfmetrics.stringWidth(text, name, 1))
