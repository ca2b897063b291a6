"""The parts of a label as paragraphs, sized from one x-height."""

import re
from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import groupby

from .boxes import Paragraph, Style, Typeface
from .measuring import NEVER_BREAK_SPACE, NO_BREAK_SPACE, SEPARATOR
from .wording import LabelContent, Translation, clean

# Bold name, as multiples of the body's x-height, up to this many ems long.
NAME_SCALES = ((9.0, 1.8), (16.0, 1.5))
LONG_NAME_SCALE = 1.3
SIGNAL_SCALE = 1.4
NET_SCALE = 1.2
CODE_SCALE = 1.4

Voice = LabelContent | Translation


@lru_cache(maxsize=1024)
def style(face: Typeface, x_height_mm: float, *, bold: bool = False) -> Style:
    """Return the style whose letter x is this tall."""
    return Style(x_height_mm / face.x_height_em, bold)


@lru_cache(maxsize=4096)
def running(text: str) -> str:
    """Return the text to be set, with "± 0.05 g" and "k = 2" each held together."""
    return re.sub(r"(?<=[0-9±=]) | (?==)", NEVER_BREAK_SPACE, clean(text))


@lru_cache(maxsize=4096)
def held(text: str) -> str:
    """Return the text as one unit that a line end parts only if it must."""
    return running(text).replace(" ", NO_BREAK_SPACE)


def apart(facts: Sequence[str]) -> str:
    """Return facts with a raised dot between each two on a line."""
    return f"{NO_BREAK_SPACE}{SEPARATOR} ".join(held(fact) for fact in facts)


def one(text: str, style: Style, gap_mm: float = 0.0, lang: str = "") -> Paragraph:
    """Return a paragraph that no column end may part."""
    return Paragraph((text,), style, gap_mm, lang=lang)


def voices(content: LabelContent) -> tuple[Voice, ...]:
    """Return what the label says in each of its languages."""
    return (content, *content.more)


def head(
    content: LabelContent,
    x_mm: float,
    face: Typeface,
    *,
    code: bool = False,
    facts: bool = True,
) -> list[Paragraph]:
    """Return what is in the vessel, how much, and out of which batch.

    `code` puts the vessel code here, for where the QR code is not near.
    """
    body, net = style(face, x_mm), style(face, x_mm * NET_SCALE, bold=True)
    lang = content.lang
    found = []
    if content.draft_reason:
        draft = f"{content.words.draft}: {running(content.draft_reason)}"
        found.append(one(draft, net, lang=lang))
    gap = 0.3 * body.size_mm
    name = running(content.identity)
    name_style = style(face, x_mm * _name_scale(name, face), bold=True)
    found.append(one(name, name_style, gap, lang))
    if code:
        found.append(one(held(content.full_code), net, 0.1 * body.size_mm, lang))
    if facts and (known := _facts(content)):
        found.append(one(apart(known), body, lang=lang))
    if content.net_text:
        weight = [held(f"{content.words.net} {content.net_text}")]
        weight += [held(content.net_date)] if content.net_date else []
        found.append(one(", ".join(weight), net, gap, lang))
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
    precautionary statements each run on as one paragraph. Each language says the
    same statements.
    """
    found = []
    if start == 0 and (signal := _signal(content)):
        bold = style(face, x_mm * SIGNAL_SCALE, bold=True)
        gap = 0.4 * style(face, x_mm).size_mm
        found.append(one(signal, bold, gap, content.lang))
    for voice in voices(content):
        lead, said = _opening(voice, content, start)
        for gap, sentences in _statements(voice, start, end, listed=listed):
            found.append(_said(voice, (*said, *sentences), x_mm, face, lead, gap))
            lead, said = "", ()
        if lead:
            found.append(_said(voice, said, x_mm, face, lead, 0.3))
    return found


def _said(
    voice: Voice,
    sentences: tuple[str, ...],
    x_mm: float,
    face: Typeface,
    lead: str,
    gap_em: float,
) -> Paragraph:
    body = style(face, x_mm)
    return Paragraph(sentences, body, gap_em * body.size_mm, lead, voice.lang)


def _statements(
    voice: Voice, start: int, end: int | None, *, listed: bool
) -> Iterator[tuple[float, tuple[str, ...]]]:
    """Yield each paragraph's gap in ems and sentences; kinds of statement never mix."""
    kinds = (voice.h_texts, voice.euh_texts, voice.p_texts)
    numbered = [(kind, running(text)) for kind in range(3) for text in kinds[kind]]
    for _, group in groupby(numbered[start:end], key=lambda pair: pair[0]):
        sentences = tuple(text for _, text in group if text)
        if not listed and sentences:
            yield 0.3, sentences
            continue
        gap = 0.3
        for sentence in sentences:
            yield gap, (sentence,)
            gap = 0.1


def _opening(
    voice: Voice, content: LabelContent, start: int
) -> tuple[str, tuple[str, ...]]:
    """Return what a language begins with: its mark, and what the product is in it."""
    if not content.more:
        return "", ()
    mark = voice.lang.upper()
    if voice is content or start:
        return mark, ()
    said = (f"{held(voice.medium_text)}.",) if voice.medium_text else ()
    return f"{mark} {running(voice.product_name)}", said


def foot(
    content: LabelContent, x_mm: float, face: Typeface, more: Sequence[str] = ()
) -> list[Paragraph]:
    """Return the user's note, who answers for it, and where the text goes on."""
    body = style(face, x_mm)
    found = []
    for part in ("note", "transport_text"):
        said = {getattr(voice, part): voice.lang for voice in voices(content)}
        found += [
            one(running(text), body, lang=lang) for text, lang in said.items() if text
        ]
    if content.supplier:
        lines = [content.supplier.name, *content.supplier.address.splitlines()]
        named = [running(line).rstrip(",") for line in lines if clean(line)]
        named += [held(content.supplier.phone)] if content.supplier.phone else []
        found.append(one(", ".join(named), body, lang=content.lang))
    if more:
        bold = style(face, x_mm, bold=True)
        found.append(one(apart(more), bold, 0.2 * body.size_mm, content.lang))
    return found


def continuation_head(
    content: LabelContent, x_mm: float, face: Typeface, which: str, *, facts: bool
) -> list[Paragraph]:
    """Return what a further label of the same vessel opens with.

    `facts`: the first label had no room for CAS number, batch, medium and volume.
    """
    name = style(face, x_mm * NET_SCALE, bold=True)
    both = f"{running(content.identity)}, {held(content.full_code)}"
    said = [held(which), *(_facts(content) if facts else ())]
    body = style(face, x_mm)
    lang = content.lang
    return [one(both, name, lang=lang), one(apart(said), body, lang=lang)]


def _name_scale(name: str, face: Typeface) -> float:
    ems = face.width_em(clean(name), bold=True)
    return next((scale for most, scale in NAME_SCALES if ems <= most), LONG_NAME_SCALE)


def _signal(content: LabelContent) -> str:
    """Return the signal word in every language, each word once."""
    words = [clean(voice.signal_word) for voice in voices(content)]
    return apart([word for word in dict.fromkeys(words) if word])


def _facts(content: LabelContent) -> list[str]:
    """Return CAS number, batch, medium and volume."""
    facts = [f"CAS {content.cas}"] if content.cas else []
    if content.batch_code:
        facts.append(f"{content.words.batch} {content.batch_code}")
    if content.medium_text:
        facts.append(content.medium_text)
    if content.volume_text:
        facts.append(content.volume_text)
    return facts
