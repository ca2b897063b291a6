"""How words are set on papers: sizes, colours, paragraphs.

What people wrote is set as it stands, or refused where the typeface lacks it.
"""

import re
from typing import Any, TypeAlias
from xml.sax.saxutils import escape

from reportlab.lib.colors import Color
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Paragraph

from labels.layout import UnprintableText
from labels.typeface import BOLD, LABEL_SANS, REGULAR, register
from labels.wording import clean

# A flowable of reportlab's platypus, which is not typed.
Part: TypeAlias = Any
Parts: TypeAlias = list[Part]

INK = Color(0.07, 0.11, 0.22)
SOFT = Color(0.29, 0.33, 0.42)
ACCENT = Color(0.40, 0.21, 0.68)

NO_BREAK = "\N{NO-BREAK SPACE}"
# A quantity may break before its uncertainty, nowhere else.
JOINED = re.compile(r" (?!±)")


def _style(size: float, leading: float, **more: Any) -> ParagraphStyle:
    facts = {
        "fontName": REGULAR,
        "textColor": INK,
        "splitLongWords": 1,
        "allowWidows": 0,
        "allowOrphans": 0,
        **more,
    }
    return ParagraphStyle("papers", fontSize=size, leading=leading, **facts)


BODY = _style(8.4, 11)
STRONG = _style(8.4, 11, fontName=BOLD)
FIGURES = _style(8.4, 11, alignment=TA_RIGHT)
SMALL = _style(7, 9, textColor=SOFT)
TERM = _style(7, 11, textColor=SOFT)  # on the line of its value
SMALL_RIGHT = _style(7, 9, textColor=SOFT, alignment=TA_RIGHT)
HEADING = _style(9.6, 13, fontName=BOLD)
KICKER = _style(8.4, 11, fontName=BOLD, textColor=ACCENT)
TITLE = _style(19, 24, fontName=BOLD)
CODE = _style(12, 15, fontName=BOLD, alignment=TA_RIGHT)


def text(words: str, style: ParagraphStyle = BODY, *, note: str = "") -> Part:
    """Return a paragraph; its own line ends stay. Raises UnprintableText.

    A `note` follows in smaller type.
    """
    set_words = _escaped(words, figures=style is FIGURES)
    if note:
        set_words += f' <font size="7" color="{SOFT.hexval()}">{_escaped(note)}</font>'
    return Paragraph(set_words, style)


def _escaped(words: str, *, figures: bool = False) -> str:
    """Return words as the paragraph's markup has them; quantities stay together."""
    register()
    lines = [clean(line) for line in words.splitlines()]
    for line in lines:
        if absent := LABEL_SANS.missing(line):
            raise UnprintableText(line, absent)
    if figures:
        lines = [JOINED.sub(NO_BREAK, line) for line in lines]
    return "<br/>".join(map(escape, lines))


def stacked(words: str, below: str, style: ParagraphStyle = BODY) -> Parts:
    """Return words with smaller ones below; either may be empty."""
    lines = [(words, style), (below, SMALL)]
    return [text(line, its_style) for line, its_style in lines if line]
