"""A label composed as a plain one or as a tag, and with a tag beside it.

Further formats build on these: `shaped` for what is cut to shape, `outer` for boxes,
`sign` for places.
"""

from dataclasses import dataclass, replace
from math import inf, pi

from . import layout, notes, pieces, qr, reducing
from .boxes import Face, Typeface
from .dimensions import for_capacity
from .phrases import PHRASES
from .placing import Beside
from .press import Press, Setting
from .spreading import DoesNotFit, missing, spread
from .wording import LabelContent

Millimetres = tuple[float, float]  # width, height
Notes = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Listed:
    """A line of a list: a vessel in a box, or a material in a place."""

    name: str  # "RB26A-07-K"
    amount: str  # "17.42 g ± 0.05 g"


@dataclass(frozen=True, slots=True)
class Composed:
    """A label as it will come out; the label itself first, then what goes with it."""

    format: str
    faces: tuple[Face, ...]
    overflow_to: str = ""  # "tag", or the format itself: what the further faces are
    notes: Notes = ()


@dataclass(frozen=True, slots=True)
class Job:
    """What `formats.compose` was asked for."""

    content: LabelContent
    face: Typeface
    size_mm: Millimetres
    clear_mm: float
    glass_mm: float | None = None
    stem_mm: float | None = None
    inside: tuple[Listed, ...] = ()


def full(job: Job) -> Composed:
    """Return a plain label; a code too wide for the glass goes on a second one."""
    content, width = job.content, job.size_mm[0]
    said: Notes = ()
    code_mm = inf
    if job.glass_mm and width > pi * job.glass_mm:
        said = (notes.longer_than_round(width, job.glass_mm, pi * job.glass_mm),)
    elif job.glass_mm:
        code_mm = notes.widest_code_mm(job.glass_mm)
    faces = _plain(job, code_mm)
    if not faces[0].code:
        said += notes.code_too_wide(symbol_mm(content), job.glass_mm or 0.0, "tag")
        return Composed(
            "full", faces + _plain(job, inf), "tag", said + sizes_said(content, faces)
        )
    return _with_more("full", content, faces, said)


def tag(job: Job) -> Composed:
    """Return a tie-on tag with everything, and further ones if it takes them."""
    faces = tags(job.content, job.face, job.size_mm)
    return _with_more("tag", job.content, faces, ())


def with_tag(
    job: Job, setting: Setting, where: str, said: Notes = (), *, code_off: bool = False
) -> Composed:
    """Return the piece with all on it; or with less, and a tag that says everything.

    `code_off`: the QR code has to stand on the tag. Raises DoesNotFit when not even
    what has to stay on the vessel finds room.
    """
    content = job.content
    face = Press(content, setting, job.face).best()
    if face and not code_off:
        return Composed(
            setting.format, (face,), "", said + sizes_said(content, (face,))
        )
    setting = replace(setting, closing=phrase(content, "full_on_tag"))
    if not (code_off and (face := Press(content, setting, job.face).best())):
        face, kept = _reduced(job, setting, where)
        said += notes.on_the_tag(reducing.left_out(content, kept), where)
        if not (face.code or code_off):
            said += notes.code_on_the_tag(where)
    beside = tags(content, job.face)
    return Composed(
        setting.format,
        (face, *beside),
        "tag",
        said + sizes_said(content, (face, *beside)),
    )


def _reduced(job: Job, setting: Setting, where: str) -> tuple[Face, LabelContent]:
    """Return the piece with as much as is legible, and what is then on it.

    The tag says all of it, so letters of the target height come before more words.
    The last things to go are CAS number, batch and vessel, and then the QR code.
    """
    target = for_capacity(job.content.capacity_ul).x_height_mm
    bare = replace(setting, facts=False)
    for tried, least_x_mm in (
        (setting, target),
        (setting, 0.0),
        (bare, 0.0),
        (replace(bare, code_mm=0.0), 0.0),
    ):
        for kept in reducing.reductions(job.content):
            if face := Press(kept, tried, job.face).best(least_x_mm):
                return face, kept
    *_, least = (job.content, *reducing.reductions(job.content))
    raise DoesNotFit(setting.size_mm, missing(Press(least, bare, job.face)), where)


def tags(
    content: LabelContent, face: Typeface, size_mm: Millimetres = pieces.TAG_MM
) -> tuple[Face, ...]:
    """Return as many tags of this size as everything takes."""
    area = pieces.tag_area(size_mm)
    return _whole_or_spread(
        content,
        Setting(
            format="tag",
            size_mm=size_mm,
            area=area,
            arrangements=(Beside(area),),
            sizes=layout.plain_sizes(content.capacity_ul, (area.width, area.height)),
            clear_mm=pieces.TAG_CLEAR_MM,
            strokes=pieces.tag_strokes(size_mm),
        ),
        face,
    )


def _plain(job: Job, code_mm: float) -> tuple[Face, ...]:
    if code_mm < symbol_mm(job.content):
        code_mm = 0.0
    setting = layout.setting(job.content, job.size_mm, job.clear_mm, code_mm=code_mm)
    return _whole_or_spread(job.content, setting, job.face)


def _whole_or_spread(
    content: LabelContent, setting: Setting, face: Typeface
) -> tuple[Face, ...]:
    press = Press(content, setting, face)
    if whole := press.best():
        return (whole,)
    try:
        return spread(press)
    except DoesNotFit:
        # CAS number, batch and vessel may go on with the statements.
        return spread(Press(content, replace(setting, facts=False), face))


def _with_more(
    format: str, content: LabelContent, faces: tuple[Face, ...], said: Notes
) -> Composed:
    """Return a label that goes on on further ones of its own kind."""
    if len(faces) > 1:
        said += notes.several_labels(len(faces))
    overflow_to = format if len(faces) > 1 else ""
    return Composed(format, faces, overflow_to, said + sizes_said(content, faces))


def sizes_said(content: LabelContent, faces: tuple[Face, ...]) -> Notes:
    return notes.small_letters(content, faces) + notes.small_marks(content, faces)


def symbol_mm(content: LabelContent) -> float:
    """Return the least width of the content's QR code, quiet zones left out."""
    return (qr.modules(content.url) - 2 * qr.QUIET_MODULES) * qr.MODULE_MM


def phrase(content: LabelContent, name: str) -> tuple[str, ...]:
    """Return a phrase in every language of the label, each wording once."""
    said = (str(getattr(PHRASES[lang], name)) for lang in content.languages)
    return tuple(dict.fromkeys(said))
