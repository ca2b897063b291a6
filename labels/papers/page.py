"""A printed document: its paper, what every page repeats, and the bytes.

Text and tables flow by reportlab's platypus: long texts wrap, long tables go on to the
next page. Equal input gives equal bytes.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from io import BytesIO
from typing import Any

from reportlab import rl_config
from reportlab.lib.units import mm
from reportlab.platypus import BaseDocTemplate, Frame, PageTemplate

from labels.typeface import REGULAR

from . import parts
from .lettering import Part, Parts

# Text encoding of the compressed streams would make every file a quarter larger.
rl_config.useA85 = 0

LANGUAGE = "en"
A4_MM = (210.0, 297.0)
LETTER_MM = (215.9, 279.4)

BINDING_MM = 20.0  # leaves room for the holes of a ring binder
OUTER_MM = 15.0
TOP_MM = 14.0  # of the first page, which has a head of its own
EDGE_MM = 9.0  # from the paper's edge to the running lines
APART_MM = 4.0  # from the running lines to the text


@dataclass(frozen=True, slots=True)
class Paper:
    """What is printed on. `size_mm` is width and height."""

    key: str
    name: str
    size_mm: tuple[float, float]

    @property
    def width_mm(self) -> float:
        """The width of the text."""
        return self.size_mm[0] - BINDING_MM - OUTER_MM

    def landscape(self) -> "Paper":
        width, height = self.size_mm
        return replace(self, size_mm=(height, width))


PAPERS = {
    paper.key: paper
    for paper in (Paper("a4", "A4", A4_MM), Paper("letter", "US Letter", LETTER_MM))
}


@dataclass(frozen=True, slots=True)
class Running:
    """What names a document, in its file and on every page."""

    title: str  # "Batch certificate"
    code: str  # "RB26A"
    owner: str  # who issues it, empty if nobody does
    printed: str  # "4 Jul 2026"


# What the document consists of, for a text width in mm. Asked for at each pass anew:
# laying out wears the parts out.
Story = Callable[[float], Parts]


def render(paper: Paper, running: Running, story: Story) -> bytes:
    """Return the document as PDF. Raises CannotPrint for what cannot be set."""
    _, pages = _pass(paper, running, story, of=0)
    pdf, _ = _pass(paper, running, story, of=pages)
    return pdf


def _pass(
    paper: Paper, running: Running, story: Story, *, of: int
) -> tuple[bytes, int]:
    """Return the PDF, whose pages say how many they are, and how many it took."""
    flowing = story(paper.width_mm)
    out = BytesIO()
    document = _document(out, paper, running)
    document.addPageTemplates(_templates(paper, running, of))
    document.build(flowing)
    return out.getvalue(), int(document.page)


def _document(out: BytesIO, paper: Paper, running: Running) -> Part:
    return BaseDocTemplate(
        out,
        pagesize=tuple(side * mm for side in paper.size_mm),
        title=f"{running.title} {running.code}",
        author="Tarebook",
        creator="Tarebook",
        lang=LANGUAGE,
        displayDocTitle=True,
        # Fitted to the page, codes and lines for handwriting would shrink.
        printScaling="None",
        invariant=1,
        pageCompression=1,
        initialFontName=REGULAR,
    )


def _templates(paper: Paper, running: Running, of: int) -> Parts:
    """Return the templates of the first page and of those after it."""
    width = paper.width_mm
    head = parts.running_line(running.title, running.code, width)
    said = " · ".join(filter(None, [running.owner, f"printed {running.printed}"]))

    def foot(page: int) -> Part:
        return parts.running_line(said, f"page {page} of {of}", width)

    def draw_foot(canvas: Any, document: Any) -> None:
        _draw(foot(document.page), canvas, EDGE_MM)

    def draw_both(canvas: Any, document: Any) -> None:
        draw_foot(canvas, document)
        _draw(head, canvas, top - parts.height_mm(head, width))

    bottom = EDGE_MM + parts.height_mm(foot(of), width) + APART_MM
    top = paper.size_mm[1] - EDGE_MM
    lower = top - parts.height_mm(head, width) - APART_MM
    first = _frame(paper, bottom, paper.size_mm[1] - TOP_MM)
    return [
        PageTemplate("first", [first], draw_foot, autoNextPageTemplate="later"),
        PageTemplate("later", [_frame(paper, bottom, lower)], draw_both),
    ]


def _frame(paper: Paper, bottom_mm: float, top_mm: float) -> Part:
    return Frame(
        BINDING_MM * mm,
        bottom_mm * mm,
        paper.width_mm * mm,
        (top_mm - bottom_mm) * mm,
        leftPadding=0,
        rightPadding=0,
        topPadding=0,
        bottomPadding=0,
    )


def _draw(part: Part, canvas: Any, bottom_mm: float) -> None:
    part.drawOn(canvas, BINDING_MM * mm, bottom_mm * mm)
