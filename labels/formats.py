"""The formats a label comes in, and how a label is composed in one of them.

What a format has no room for goes on a tag, or on further labels, printed beside it;
`Composed.notes` says so in words before anything is printed. Nothing is ever clipped.
"""

from collections.abc import Callable
from dataclasses import dataclass

from . import composing, outer, pieces, shaped, sign
from .boxes import Typeface
from .composing import Composed, Job, Listed
from .layout import check
from .wording import LabelContent

__all__ = ["FORMATS", "Composed", "Format", "Listed", "compose"]

Millimetres = tuple[float, float]  # width, height


@dataclass(frozen=True, slots=True)
class Format:
    """A kind of piece. Of some the user's own sheets may have other sizes."""

    key: str
    name: str
    words: str  # when to take it
    size_mm: Millimetres
    least_mm: Millimetres
    most_mm: Millimetres
    clear_mm: float = 1.5
    shaped: bool = False  # keeps its own size, and its outline is drawn to be cut
    of_vessel: bool = True  # one for each vessel, not for a box or a place

    def fits(self, size_mm: Millimetres) -> bool:
        """Whether a sheet with labels of this size can carry the format."""
        return all(
            least - 1e-6 <= size <= most + 1e-6
            for least, size, most in zip(
                self.least_mm, size_mm, self.most_mm, strict=True
            )
        )

    def size_on(self, size_mm: Millimetres | None) -> Millimetres:
        """Return how large it is on labels of this size: a shape keeps its own."""
        return self.size_mm if self.shaped or size_mm is None else size_mm


_ALL = (
    Format(
        "full",
        "Full label",
        "For bottles, flasks and tubes whose wall it lies flat on, and for tags.",
        (74.0, 52.0),
        (40.0, 30.0),
        (130.0, 90.0),
    ),
    Format(
        "flag",
        "Ampoule flag",
        f"For stems of {pieces.STEMS_MM[0]:g} to {pieces.STEMS_MM[1]:g} mm: the tail "
        "goes round the stem and sticks to itself, the back folds behind the front.",
        pieces.FLAG_PIECE_MM,
        pieces.FLAG_PIECE_MM,
        (170.0, 60.0),
        shaped=True,
    ),
    Format(
        "wrap",
        "Vial wrap",
        f"For round glass of {pieces.BODIES_MM[0]:g} to {pieces.BODIES_MM[1]:g} mm: "
        "once round the body, the end stuck over the start.",
        pieces.WRAP_PIECE_MM,
        pieces.WRAP_PIECE_MM,
        (170.0, 60.0),
        shaped=True,
    ),
    Format(
        "tag",
        "Tie-on tag",
        "For whatever carries no label of its own: punch the hole and tie it on.",
        pieces.TAG_MM,
        (90.0, 60.0),
        (130.0, 95.0),
        clear_mm=pieces.TAG_CLEAR_MM,
    ),
    Format(
        "foldout",
        "Fold-out",
        "For several languages on one vessel: stick the last panel down, fold the "
        "others over it; the front says the least, the inside everything.",
        pieces.FOLDOUT_PIECE_MM,
        pieces.FOLDOUT_PIECE_MM,
        (260.0, 80.0),
        shaped=True,
    ),
    Format(
        "box",
        "Outer box",
        "For the box that vessels stand or travel in: the full label and what is "
        "inside.",
        (148.0, 98.0),
        (120.0, 90.0),
        (160.0, 110.0),
        clear_mm=3.0,
        of_vessel=False,
    ),
    Format(
        "sign",
        "Place sign",
        "For a cabinet, a glovebox or a door: what is kept there and what never to "
        "bring near.",
        (210.0, 148.0),
        (150.0, 100.0),
        (420.0, 297.0),
        clear_mm=8.0,
        of_vessel=False,
    ),
)

FORMATS: dict[str, Format] = {format.key: format for format in _ALL}

_COMPOSERS: dict[str, Callable[[Job], Composed]] = {
    "full": composing.full,
    "flag": shaped.flag,
    "wrap": shaped.wrap,
    "tag": composing.tag,
    "foldout": shaped.foldout,
    "box": outer.box,
    "sign": sign.sign,
}


def compose(
    content: LabelContent,
    format: Format,
    face: Typeface,
    *,
    size_mm: Millimetres | None = None,
    clear_mm: float | None = None,
    glass_mm: float | None = None,
    stem_mm: float | None = None,
    inside: tuple[Listed, ...] = (),
) -> Composed:
    """Return the label in this format, and in words what will come out.

    `size_mm` and `clear_mm` are a sheet's own; `glass_mm` is the outer diameter of the
    glass the label goes on, by default the content's; `stem_mm` that of an ampoule's
    stem. Raises CannotPrint with a sentence that says why.
    """
    check(content, face)
    job = Job(
        content=content,
        face=face,
        size_mm=format.size_on(size_mm),
        clear_mm=format.clear_mm if clear_mm is None else clear_mm,
        glass_mm=content.glass_mm if glass_mm is None else glass_mm,
        stem_mm=stem_mm,
        inside=inside,
    )
    return _COMPOSERS[format.key](job)
