"""Labels as a PDF: content and sheet in, bytes out. Equal input gives equal bytes."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from io import BytesIO
from itertools import groupby
from typing import Any

from reportlab import rl_config
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from .boxes import Box, Face
from .calibration import calibration
from .drawing import define_mark, draw
from .formats import FORMATS, Composed, Format, compose
from .geometry import Place, Sheet
from .pieces import rectangle
from .structure import Structure
from .typeface import LABEL_SANS, REGULAR, register
from .wording import LabelContent

# Text encoding of the compressed streams would make every file a quarter larger.
rl_config.useA85 = 0

# Tagged text is of 1.4, the order of tabs of 1.5, printing unscaled of 1.6.
PDF_VERSION = (1, 7)
FULL = FORMATS["full"]


def plan(
    labels: Sequence[LabelContent],
    sheet: Sheet,
    format: Format = FULL,
    **glass: Any,
) -> list[Composed]:
    """Return how each label will come out on this sheet, to say before printing.

    `glass` is what `compose` may be told about it, one for all. Raises CannotPrint for
    the first label that cannot be printed, or whose tag the sheet has no room for.
    """
    found = []
    for content in labels:
        composed = compose(
            content,
            format,
            LABEL_SANS,
            size_mm=sheet.piece_mm,
            clear_mm=sheet.clear_mm,
            **glass,
        )
        sheet.places(face.size_mm for face in composed.faces)
        found.append(composed)
    return found


def render_sheets(
    labels: Sequence[LabelContent],
    sheet: Sheet,
    format: Format = FULL,
    *,
    skip: int = 0,
    used: Collection[int] = (),
    outlines: bool = False,
    **glass: Any,
) -> bytes:
    """Return a PDF with the labels in order, leaving the `used` places free.

    `skip` counts places used up from the first. A label too full for one place takes
    further ones. `outlines` draws every label's edge, to be cut along. Nothing is drawn
    unless everything fits: raises CannotPrint, or ValueError for no labels or places
    that the sheet does not have.
    """
    if not labels:
        raise ValueError("There is no label to print.")
    if not 0 <= skip < sheet.count:
        raise ValueError(f"Skip between 0 and {sheet.count - 1} labels.")
    composed = plan(labels, sheet, format, **glass)
    return render(
        [face for one in composed for face in one.faces],
        sheet,
        title=title(labels),
        lang=labels[0].lang,
        used={*used, *range(skip)},
        outlines=outlines,
    )


def title(labels: Sequence[LabelContent]) -> str:
    codes = [content.vessel_code or content.full_code for content in labels]
    span = codes[0] if len(codes) == 1 else f"{codes[0]} to {codes[-1]}"
    return f"Hazard labels {span}"


def render(
    faces: Sequence[Face],
    sheet: Sheet,
    *,
    title: str,
    lang: str = "en",
    used: Collection[int] = (),
    outlines: bool = False,
) -> bytes:
    """Return a PDF of composed pieces, each in its place on the sheet."""
    places = sheet.places([face.size_mm for face in faces], used)
    return _document(
        zip(places, faces, strict=True), sheet, title, lang, outlines=outlines
    )


def render_calibration(sheet: Sheet) -> bytes:
    """Return the page to print first: rulers, and where the labels come to lie."""
    place = Place(1, sheet.page_mm, 0.0, 0.0, False)
    page = calibration(sheet, LABEL_SANS)
    return _document([(place, page)], sheet, f"Calibration of {sheet.name}", "en")


def _document(
    placed: Iterable[tuple[Place, Face]],
    sheet: Sheet,
    title: str,
    lang: str,
    *,
    outlines: bool = False,
) -> bytes:
    register()
    out, placed = BytesIO(), list(placed)
    canvas = _canvas(out, title, sheet, lang)
    structure = Structure(canvas, lang)
    for code in sorted({mark.code for _, face in placed for mark in face.marks}):
        define_mark(canvas, code)
    for _, pieces in groupby(placed, key=lambda pair: pair[0].page):
        for place, face in pieces:
            canvas.setPageSize([length * mm for length in place.page_mm])
            canvas.saveState()
            _lay(canvas, place, face)
            if outlines and not face.strokes:
                face = _outlined(face)
            draw(canvas, face, structure)
            canvas.restoreState()
        canvas.showPage()
        structure.end_page()
    structure.close()
    canvas.save()
    return out.getvalue()


def _lay(canvas: Canvas, place: Place, face: Face) -> None:
    """Put the origin where the piece's own lower left corner comes to lie."""
    if place.turned:
        canvas.translate((place.left_mm + face.size_mm[1]) * mm, place.bottom_mm * mm)
        canvas.rotate(90)
    else:
        canvas.translate(place.left_mm * mm, place.bottom_mm * mm)


def _outlined(face: Face) -> Face:
    return replace(face, strokes=(rectangle(Box(0, 0, *face.size_mm)),))


def _canvas(out: BytesIO, title: str, sheet: Sheet, lang: str) -> Canvas:
    width, height = sheet.page_mm
    canvas = Canvas(
        out,
        pagesize=(width * mm, height * mm),
        invariant=True,
        pageCompression=1,
        lang=lang,
        initialFontName=REGULAR,
        pdfVersion=PDF_VERSION,
    )
    canvas.setTitle(title)
    canvas.setSubject(sheet.name)
    canvas.setAuthor("Tarebook")
    canvas.setCreator("Tarebook")
    # A label scaled "to fit" is no longer the size its rules ask for.
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    return canvas
