"""Labels as a PDF: content and sheet in, bytes out.

Vectors only, in black, white and the red of the pictogram frames. Equal input gives
equal bytes.
"""

from collections.abc import Iterator, Sequence
from io import BytesIO
from itertools import chain, count

from reportlab import rl_config
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import FILL_EVEN_ODD, Canvas

from . import pictograms, qr
from .geometry import Sheet
from .layout import Face, lay_out
from .placing import Code, Mark
from .typeface import LABEL_SANS, REGULAR, face_name, register
from .wording import LabelContent

# Text encoding of the compressed streams would make every file a quarter larger.
rl_config.useA85 = 0

BLACK, WHITE, RED = (0, 0, 0), (1, 1, 1), (1, 0, 0)
OUTLINE_MM = 0.1


def plan(labels: Sequence[LabelContent], sheet: Sheet) -> list[tuple[Face, ...]]:
    """Return each label's faces, to say before printing how they will come out.

    Raises CannotPrint for the first label that cannot be printed on this sheet.
    """
    return [
        lay_out(content, sheet.label_mm, LABEL_SANS, clear_mm=sheet.clear_mm)
        for content in labels
    ]


def render_sheets(
    labels: Sequence[LabelContent],
    sheet: Sheet,
    *,
    skip: int = 0,
    outlines: bool = False,
) -> bytes:
    """Return a PDF with the labels in order, leaving the first `skip` places free.

    A label too full for one place takes the following ones too. `outlines` draws
    every label's edge, to be cut along. Nothing is drawn unless everything fits:
    raises CannotPrint, or ValueError for no labels or a `skip` beyond the sheet.
    """
    if not labels:
        raise ValueError("There is no label to print.")
    places = _places(sheet, skip)
    faces = [face for whole in plan(labels, sheet) for face in whole]
    register()
    out = BytesIO()
    canvas = _canvas(out, labels, sheet)
    for code in sorted({mark.code for face in faces for mark in face.marks}):
        _define_mark(canvas, code)
    for face in faces:
        page, left, bottom = next(places)
        if page > canvas.getPageNumber():
            canvas.showPage()
        canvas.saveState()
        canvas.translate(left * mm, bottom * mm)
        _draw(canvas, face)
        if outlines:
            _draw_outline(canvas, face)
        canvas.restoreState()
    canvas.save()
    return out.getvalue()


def _places(sheet: Sheet, skip: int) -> Iterator[tuple[int, float, float]]:
    """Return an endless run of page number, left and bottom; used places come first.

    Raises ValueError at once for a `skip` the sheet does not have.
    """
    first = list(sheet.origins_mm(skip=skip))
    every = list(sheet.origins_mm())
    pages = chain([(1, first)], ((page, every) for page in count(2)))
    return ((page, x, y) for page, origins in pages for x, y in origins)


def _canvas(out: BytesIO, labels: Sequence[LabelContent], sheet: Sheet) -> Canvas:
    width, height = sheet.page_mm
    canvas = Canvas(
        out,
        pagesize=(width * mm, height * mm),
        invariant=True,
        pageCompression=1,
        lang=labels[0].lang,
        initialFontName=REGULAR,
    )
    codes = [content.vessel_code or content.full_code for content in labels]
    span = codes[0] if len(codes) == 1 else f"{codes[0]} to {codes[-1]}"
    canvas.setTitle(f"Hazard labels {span}")
    canvas.setSubject(sheet.name)
    canvas.setAuthor("Tarebook")
    canvas.setCreator("Tarebook")
    # A label scaled "to fit" is no longer the size its rules ask for.
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    return canvas


def _define_mark(canvas: Canvas, code: str) -> None:
    """Draw a pictogram once, in a box one point wide, for every label to refer to."""
    canvas.beginForm(code, 0, 0, 1, 1)
    canvas.scale(1 / pictograms.BOX, -1 / pictograms.BOX)
    canvas.translate(0, -pictograms.BOX)  # the drawings have y down
    for corners, colour in zip(pictograms.frame(), (RED, WHITE), strict=True):
        path = canvas.beginPath()
        path.moveTo(*corners[0])
        for corner in corners[1:]:
            path.lineTo(*corner)
        path.close()
        canvas.setFillColorRGB(*colour)
        canvas.drawPath(path, stroke=0, fill=1)
    path = canvas.beginPath()
    steps = {"M": path.moveTo, "L": path.lineTo, "C": path.curveTo, "Z": path.close}
    for command, points in pictograms.symbol(code):
        steps[command](*(value for point in points for value in point))
    canvas.setFillColorRGB(*BLACK)
    canvas.drawPath(path, stroke=0, fill=1, fillMode=FILL_EVEN_ODD)
    canvas.endForm()


def _draw(canvas: Canvas, face: Face) -> None:
    canvas.setFillColorRGB(*BLACK)
    for mark in face.marks:
        _draw_mark(canvas, mark)
    if face.code:
        _draw_code(canvas, face.code)
    text = canvas.beginText()
    for line in face.lines:
        text.setFont(face_name(bold=line.style.bold), line.style.size_mm * mm)
        text.setTextOrigin(line.left_mm * mm, line.baseline_mm * mm)
        text.textOut(line.text)
    canvas.drawText(text)


def _draw_mark(canvas: Canvas, mark: Mark) -> None:
    canvas.saveState()
    canvas.translate(mark.box.left * mm, mark.box.bottom * mm)
    width = pictograms.box_mm(mark.side_mm) * mm
    canvas.scale(width, width)
    canvas.doForm(mark.code)
    canvas.restoreState()


def _draw_code(canvas: Canvas, code: Code) -> None:
    """Fill all modules as one path: parts filled one by one would show seams."""
    canvas.saveState()
    canvas.translate(code.box.left * mm, code.box.bottom * mm)
    canvas.scale(code.module_mm * mm, code.module_mm * mm)
    path = canvas.beginPath()
    for rectangle in qr.rectangles(code.url):
        path.rect(*rectangle)
    canvas.drawPath(path, stroke=0, fill=1)
    canvas.restoreState()


def _draw_outline(canvas: Canvas, face: Face) -> None:
    canvas.setStrokeColorRGB(*BLACK)
    canvas.setLineWidth(OUTLINE_MM * mm)
    canvas.rect(0, 0, face.size_mm[0] * mm, face.size_mm[1] * mm, stroke=1, fill=0)
