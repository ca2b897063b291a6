"""A print job: which labels, how they are set, and on what."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from inventory.operations.labelling import Printed

from . import groups, outdated
from .composing import Listed
from .content import for_vessel
from .formats import Composed, Format, compose
from .geometry import Sheet
from .render import render, title
from .shelf import Shelf, Wish
from .typeface import LABEL_SANS
from .wording import LabelContent, content_key


@dataclass(frozen=True, slots=True)
class Piece:
    """One label: of a vessel, or of a box or a place with what is `inside`."""

    content: LabelContent
    inside: tuple[Listed, ...] = ()
    vessel: Any = None


@dataclass(frozen=True, slots=True)
class Job:
    """What one press of the button prints."""

    vessels: Any  # a queryset from content.printable
    format: Format
    sheet: Sheet
    wish: Wish
    used: frozenset[int] = frozenset()
    outlines: bool = False
    glass_mm: float | None = None
    stem_mm: float | None = None

    def pieces(self, vessels: Sequence[Any], base_url: str) -> list["Piece"]:
        """Return what is printed for these vessels. Raises CannotPrint."""
        shelf = Shelf.read(vessels)
        if self.format.of_vessel:
            return [
                Piece(for_vessel(vessel, shelf, base_url, self.wish), vessel=vessel)
                for vessel in vessels
            ]
        together = {"box": groups.boxes, "sign": groups.signs}[self.format.key]
        found = together(vessels, shelf, base_url, self.wish)
        return [Piece(content, inside) for content, inside in found]

    def compose(self, piece: "Piece") -> Composed:
        """Return how one label comes out. Raises CannotPrint."""
        return compose(
            piece.content,
            self.format,
            LABEL_SANS,
            size_mm=self.sheet.piece_mm,
            clear_mm=self.sheet.clear_mm,
            glass_mm=self.glass_mm,
            stem_mm=self.stem_mm if self.format.key == "flag" else None,
            inside=piece.inside,
        )

    def facts(self) -> dict[str, str]:
        """Return what the log keeps about it."""
        return {
            "format": self.format.key,
            "sheet": self.sheet.key,
            "mode": self.wish.mode,
            "languages": " ".join(self.wish.languages),
            "extras": outdated.extras_of(self.wish),
        }


@dataclass(slots=True)
class Run:
    """A job while it is printed: labels are composed one by one, then drawn."""

    job: Job
    base_url: str
    pieces: list[Piece] = field(default_factory=list)
    composed: list[Composed] = field(default_factory=list)

    def read(self) -> int:
        """Read what the labels say; return how many there are. Raises CannotPrint."""
        self.pieces = self.job.pieces(list(self.job.vessels), self.base_url)
        return len(self.pieces)

    def lay_out(self) -> Iterator[int]:
        """Compose one label after the other, and yield how many are done."""
        for done, piece in enumerate(self.pieces, 1):
            self.composed.append(self.job.compose(piece))
            yield done

    def draw(self) -> bytes:
        """Return the PDF of all that was composed."""
        contents = [piece.content for piece in self.pieces]
        return render(
            [face for one in self.composed for face in one.faces],
            self.job.sheet,
            title=title(contents),
            lang=contents[0].lang,
            used=self.job.used,
            outlines=self.job.outlines,
        )

    def printed(self) -> list[Printed]:
        """Return what the log keeps of each vessel's label."""
        return [
            Printed(
                piece.vessel,
                content_key(piece.content),
                outdated.said(piece.vessel, piece.content),
            )
            for piece in self.pieces
            if piece.vessel
        ]
