"""What is shown of a print job before it is printed: each label, and what is said."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page, Paginator
from django.utils.safestring import SafeString, mark_safe

from . import outdated, statements
from .choosing import MOST_LABELS
from .content import for_vessel
from .geometry import Sheet
from .jobs import Job, Piece
from .picture import svg
from .rules import Element, Verdict
from .shelf import Shelf, verdict
from .wording import CannotPrint, LabelContent

PER_PAGE = 20
NEEDS = {
    "must": "Has to be there",
    "should": "Ought to be there",
    "may": "May be there",
    "dropped": "Left out",
}
LANGUAGES = {"en": "English", "de": "German", "fr": "French"}


@dataclass(frozen=True, slots=True)
class Shown:
    """A label as it will come out; or `error`, why it cannot.

    Of a vessel; of a box or a place by `name` alone, which has no `state`.
    """

    vessel: Any = None
    name: str = ""
    state: outdated.State | None = None
    pictures: tuple[SafeString, ...] = ()
    notes: tuple[str, ...] = ()
    verdict: tuple[tuple[str, list[Element]], ...] = ()
    rules: tuple[str, ...] = ()
    error: str = ""


def page_of(job: Job, number: Any) -> Page:
    """Return a page of the job's vessels; all of them where they share labels."""
    size = PER_PAGE if job.format.of_vessel else MOST_LABELS
    return Paginator(job.vessels, size).get_page(number)


def shown(job: Job, vessels: list[Any], base_url: str) -> list[Shown]:
    """Return the labels of these vessels. Raises CannotPrint for what stops all."""
    if not job.format.of_vessel:
        pieces = job.pieces(vessels, base_url)
        return [
            Shown(name=piece.content.full_code, **_set(job, piece)) for piece in pieces
        ]
    shelf = Shelf.read(vessels)
    states = outdated.states(vessels, shelf)
    return [
        _shown(job, vessel, shelf, states[vessel.pk], base_url) for vessel in vessels
    ]


def _shown(
    job: Job, vessel: Any, shelf: Shelf, state: outdated.State, base_url: str
) -> Shown:
    known: dict[str, Any] = {
        "vessel": vessel,
        "name": vessel.full_code,
        "state": state,
    }
    try:
        content = for_vessel(vessel, shelf, base_url, job.wish)
    except CannotPrint as error:
        return Shown(**known, error=str(error))
    size = job.format.size_on(job.sheet.piece_mm)
    found = verdict(vessel, shelf, job.wish, size)
    return Shown(
        **known,
        **_set(job, Piece(content, vessel=vessel)),
        verdict=tuple(_by_need(found)),
        rules=found.notes,
    )


def _set(job: Job, piece: Piece) -> dict[str, Any]:
    """Return a label's pictures and notes, or its error."""
    try:
        composed = job.compose(piece)
    except CannotPrint as error:
        return {"error": str(error)}
    count = len(composed.faces)
    return {
        "pictures": tuple(
            mark_safe(svg(face, _said(piece.content, number, count)))
            for number, face in enumerate(composed.faces, 1)
        ),
        "notes": (*composed.notes, *_weak(piece.content)),
    }


def _said(content: LabelContent, number: int, count: int) -> str:
    part = f", piece {number} of {count}" if count > 1 else ""
    codes = ", ".join(content.statement_codes)
    return (
        f"Label of {content.vessel_code}{part}: {content.product_name}, "
        f"{content.signal_word}, {codes}"
    )


def _weak(content: LabelContent) -> Iterator[str]:
    """Say which texts want checking, a sentence a language."""
    found: dict[str, list[str]] = {}
    for text in statements.weak_texts(content):
        found.setdefault(text.lang, []).append(text.code)
    for lang, codes in found.items():
        yield (
            f"The {LANGUAGES[lang]} wording of {', '.join(codes)} rests on one "
            "secondary copy: check it against the Official Journal."
        )


def _by_need(found: Verdict) -> Iterator[tuple[str, list[Element]]]:
    for need, words in NEEDS.items():
        if elements := [each for each in found.elements if each.need == need]:
            yield words, elements


@dataclass(frozen=True, slots=True)
class Spot:
    """One place of a drawn sheet, y down; `holds` is what will be printed there."""

    number: int  # from 0
    name: str
    x: float
    y: float
    width: float
    height: float
    is_used: bool
    holds: str = ""


def spots(sheet: Sheet, used: frozenset[int] = frozenset()) -> list[Spot]:
    """Return the places of a sheet, row by row."""
    width, height = sheet.label_mm
    found = []
    for number, (left, bottom) in enumerate(sheet.origins_mm()):
        row, column = divmod(number, sheet.columns)
        found.append(
            Spot(
                number=number,
                name=f"row {row + 1}, column {column + 1}",
                x=round(left, 3),
                y=round(sheet.page_mm[1] - bottom - height, 3),
                width=width,
                height=height,
                is_used=number in used,
            )
        )
    return found
