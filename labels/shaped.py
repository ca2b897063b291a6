"""How a flag, a wrap and a fold-out are composed."""

from dataclasses import replace
from itertools import product

from . import blocks, layout, notes, pieces, reducing
from .boxes import Box, Column, Face, Line, Stroke, Typeface
from .composing import Composed, Job, phrase, sizes_said, symbol_mm, with_tag
from .dimensions import FLOOR_X_MM, for_capacity
from .measuring import width_mm
from .press import Press, Setting, Sizes, fill, smallest_x_mm
from .spreading import DoesNotFit, missing
from .wording import CannotPrint, LabelContent

# The inside of a fold-out has room to spare: text this large where all of it fits.
LARGEST_INSIDE_MM = 1.4
TICK_MM = 1.5


class WrongGlass(CannotPrint):
    """The glass is too thin or too thick for the format, or nobody measured it."""


def flag(job: Job) -> Composed:
    """Return a flag for the stem of an ampoule; the code lies flat on its back."""
    content, stem_mm = job.content, job.stem_mm
    thinnest, thickest = pieces.STEMS_MM
    if stem_mm and not thinnest <= stem_mm <= thickest:
        raise WrongGlass(
            f"The flag goes round stems of {thinnest:g} to {thickest:g} mm, not of "
            f"{stem_mm:g} mm: take the wrap or the tag."
        )
    front, back = (panel.inset(pieces.CLEAR_MM) for panel in pieces.flag_panels())
    setting = Setting(
        format="flag",
        size_mm=pieces.FLAG_PIECE_MM,
        area=front,
        arrangements=(
            pieces.FrontAndBack(front, back),
            pieces.FrontAndBack(front, back, in_row=True),
        ),
        sizes=_small_sizes(content),
        code_in_head=True,
        strokes=pieces.flag_strokes(stem_mm),
    )
    said: tuple[str, ...] = ()
    if job.glass_mm and symbol_mm(content) > notes.widest_code_mm(job.glass_mm):
        said = notes.code_too_wide(symbol_mm(content), job.glass_mm, "flag")
    composed = with_tag(job, setting, "The flag", said)
    if stem_mm:
        return composed
    first, *others = composed.faces
    return replace(composed, faces=(_with_stems(first, job.face), *others))


def _with_stems(flag: Face, face: Typeface) -> Face:
    """Mark on the tail where to cut it for thinner stems."""
    style = blocks.style(face, FLOOR_X_MM)
    root = pieces.flag_panels()[0].left
    top = (pieces.FLAG_MM[1] + pieces.TAIL_HEIGHT_MM) / 2
    lines, strokes = [], []
    for stem in (6, 8, 10):
        x = root - pieces.tail_mm(stem)
        strokes.append(Stroke(((x, top), (x, top - TICK_MM))))
        text = f"{stem} mm"
        baseline = top - TICK_MM - style.size_mm
        width = width_mm(text, style, face)
        bottom = baseline - face.descent_em * style.size_mm
        box = Box(x, bottom, x + width, baseline + face.ascent_em * style.size_mm)
        lines.append(Line(text, style, x, baseline, box))
    return replace(flag, lines=(*flag.lines, *lines), strokes=(*flag.strokes, *strokes))


def wrap(job: Job) -> Composed:
    """Return a wrap for a vial, its columns no wider than a glance takes in."""
    content, body_mm = job.content, job.glass_mm
    thinnest, thickest = pieces.BODIES_MM
    if not body_mm:
        raise WrongGlass(
            "A wrap is cut to the glass: give its outer diameter in millimetres, or "
            "take another format."
        )
    if not thinnest <= body_mm <= thickest:
        instead = "flag" if body_mm < thinnest else "full label"
        raise WrongGlass(
            f"The wrap goes round glass of {thinnest:g} to {thickest:g} mm, not of "
            f"{body_mm:g} mm: take the {instead}."
        )
    area = pieces.wrap_area(body_mm)
    carries = notes.widest_code_mm(body_mm)
    fits = symbol_mm(content) <= carries
    setting = Setting(
        format="wrap",
        size_mm=pieces.WRAP_PIECE_MM,
        area=area,
        arrangements=(pieces.Round(area, body_mm),),
        sizes=_small_sizes(content),
        code_mm=carries if fits else 0.0,
        strokes=pieces.wrap_strokes(body_mm),
    )
    said = () if fits else notes.code_too_wide(symbol_mm(content), body_mm, "tag")
    return with_tag(job, setting, "The wrap", said, code_off=not fits)


def foldout(job: Job) -> Composed:
    """Return a fold-out: in front the least, with all hazards; inside everything."""
    content, face = job.content, job.face
    plain = layout.setting(content, pieces.PANEL_MM, job.clear_mm)
    setting = replace(
        plain,
        format="foldout",
        size_mm=pieces.FOLDOUT_PIECE_MM,
        closing=phrase(content, "full_inside"),
        strokes=pieces.foldout_strokes(),
    )
    outside = _front(content, setting, face)
    inner = _inside(content, face, job.clear_mm)
    lines = outside.lines + inner
    whole = replace(outside, lines=lines, x_height_mm=smallest_x_mm(lines, face))
    return Composed("foldout", (whole,), "", sizes_said(content, (whole,)))


def _front(content: LabelContent, setting: Setting, face: Typeface) -> Face:
    """Return the front with all hazards, or where they leave no room the least."""
    hazards = reducing.keeping(content, [False] * len(content.p_texts))
    least = [hazards]
    if content.least:
        least.append(reducing.with_pictograms(content))
    target = for_capacity(content.capacity_ul).x_height_mm
    bare = replace(setting, facts=False)
    for tried, lowest in ((setting, target), (setting, 0.0), (bare, 0.0)):
        for said in least:
            if found := Press(said, tried, face).best(lowest):
                return found
    raise DoesNotFit(
        pieces.PANEL_MM,
        missing(Press(least[-1], bare, face)),
        "The front of the fold-out",
    )


def _inside(content: LabelContent, face: Typeface, clear_mm: float) -> tuple[Line, ...]:
    """Return the full text in every language on the two inner panels."""
    columns = tuple(
        Column(panel.inset(clear_mm)) for panel in pieces.foldout_panels()[1:]
    )
    target = for_capacity(content.capacity_ul).x_height_mm
    largest = max(LARGEST_INSIDE_MM, target)
    sizes = (largest, *(x for x in layout.x_heights_mm(target) if x < largest))
    for x, listed in product(sizes, (True, False)):
        body = blocks.head(content, x, face, code=True)
        body += blocks.warnings(content, x, face, listed=listed)
        foot = blocks.foot(content, x, face)
        if lines := fill(body, foot, columns, face):
            return lines
    raise DoesNotFit(
        pieces.PANEL_MM, "all that has to be said in its languages", "The fold-out"
    )


def _small_sizes(content: LabelContent) -> Sizes:
    wanted = for_capacity(content.capacity_ul)
    heights = layout.x_heights_mm(wanted.x_height_mm)
    return tuple(product(layout.sides_mm(wanted), heights))
