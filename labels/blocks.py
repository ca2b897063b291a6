"""The parts of a label as paragraphs, sized from one x-height."""

import re
from functools import lru_cache
from itertools import groupby

from .typesetting import (
    NEVER_BREAK_SPACE,
    NO_BREAK_SPACE,
    SEPARATOR,
    Paragraph,
    Style,
    Typeface,
)
from .wording import LabelContent, clean

FLOOR_X_HEIGHT_MM = 0.9  # of anything on a label
# Bold name, as multiples of the body's x-height, up to this many ems long.
NAME_SCALES = ((9.0, 1.8), (16.0, 1.5))
LONG_NAME_SCALE = 1.3
SIGNAL_SCALE = 1.4
NET_SCALE = 1.2
CODE_SCALE = 1.4


def style(face: Typeface, x_height_mm: float, *, bold: bool = False) -> Style:
    """Return the style whose letter x is this tall."""
    return Style(x_height_mm / face.x_height_em, bold)


@lru_cache(maxsize=4096)
def running(text: str) -> str:
    """Return the text to be set, with "± 0.05 g" and "k = 2" each held together."""
    return re.sub(r"(?<=[0-9±=]) | (?==)", NEVER_BREAK_SPACE, clean(text))


def held(text: str) -> str:
    """Return the text as one unit that a line end parts only if it must."""
    return running(text).replace(" ", NO_BREAK_SPACE)


def head(content: LabelContent, x_mm: float, face: Typeface) -> list[Paragraph]:
    """Return what is in the vessel, how much, and out of which batch."""
    body, net = style(face, x_mm), style(face, x_mm * NET_SCALE, bold=True)
    found = []
    if content.draft_reason:
        draft = f"{content.words.draft}: {running(content.draft_reason)}"
        found.append(Paragraph(draft, net))
    gap = 0.3 * body.size_mm
    name = running(content.identity)
    name_style = style(face, x_mm * _name_scale(name, face), bold=True)
    found.append(Paragraph(name, name_style, gap))
    if facts := _facts(content):
        found.append(Paragraph(facts, body))
    if content.net_text:
        weight = [held(f"{content.words.net} {content.net_text}")]
        weight += [held(content.net_date)] if content.net_date else []
        found.append(Paragraph(", ".join(weight), net, gap))
    return found


def warnings(
    content: LabelContent,
    x_mm: float,
    face: Typeface,
    *,
    listed: bool,
    start: int = 0,
    end: int | None = None,
) -> list[Paragraph]:
    """Return the signal word (before the first) and statements `start` to `end`.

    `listed` gives each statement its own line; otherwise hazard, supplemental and
    precautionary statements each run on as one paragraph.
    """
    body = style(face, x_mm)
    found = []
    if content.signal_word and start == 0:
        signal = style(face, x_mm * SIGNAL_SCALE, bold=True)
        found.append(Paragraph(clean(content.signal_word), signal, 0.4 * body.size_mm))
    kinds = (content.h_texts, content.euh_texts, content.p_texts)
    numbered = [(kind, running(text)) for kind in range(3) for text in kinds[kind]]
    for _, group in groupby(numbered[start:end], key=lambda pair: pair[0]):
        sentences = [text for _, text in group if text]
        sentences = sentences if listed else [" ".join(sentences)]
        gap = 0.3 * body.size_mm
        for sentence in sentences:
            found.append(Paragraph(sentence, body, gap))
            gap = 0.1 * body.size_mm
    return found


def foot(
    content: LabelContent, x_mm: float, face: Typeface, more: str = ""
) -> list[Paragraph]:
    """Return the user's note, who answers for it, and where the text goes on."""
    body = style(face, x_mm)
    found = []
    if content.note:
        found.append(Paragraph(running(content.note), body))
    if content.supplier:
        lines = [content.supplier.name, *content.supplier.address.splitlines()]
        named = [running(line).rstrip(",") for line in lines if clean(line)]
        named += [held(content.supplier.phone)] if content.supplier.phone else []
        found.append(Paragraph(", ".join(named), body))
    if more:
        bold = style(face, x_mm, bold=True)
        found.append(Paragraph(held(more), bold, 0.2 * body.size_mm))
    return found


def continuation_head(
    content: LabelContent, x_mm: float, face: Typeface, which: str
) -> list[Paragraph]:
    """Return what a further label of the same vessel opens with."""
    name = style(face, x_mm * NET_SCALE, bold=True)
    both = f"{running(content.identity)}, {held(content.full_code)}"
    return [Paragraph(both, name), Paragraph(held(which), style(face, x_mm))]


def _name_scale(name: str, face: Typeface) -> float:
    ems = face.width_em(clean(name), bold=True)
    return next((scale for most, scale in NAME_SCALES if ems <= most), LONG_NAME_SCALE)


def _facts(content: LabelContent) -> str:
    """Return CAS number, batch, medium and volume, each held together."""
    facts = [f"CAS {content.cas}"] if content.cas else []
    if content.batch_code:
        facts.append(f"{content.words.batch} {content.batch_code}")
    if content.medium_text:
        facts.append(content.medium_text)
    if content.volume_text:
        facts.append(content.volume_text)
    return f"{NO_BREAK_SPACE}{SEPARATOR} ".join(held(fact) for fact in facts)
