"""One printed piece drawn with reportlab: millimetres in, page operators out.

Vectors only, in black, white and the red of the pictogram frames.
"""

from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import FILL_EVEN_ODD, Canvas

from . import pictograms, qr
from .boxes import Code, Face, Line, Mark, Stroke
from .structure import Structure
from .typeface import face_name

BLACK, WHITE, RED = (0, 0, 0), (1, 1, 1), (1, 0, 0)
STROKE_MM = 0.1
DASHES_MM = (1.0, 0.8)


def define_mark(canvas: Canvas, code: str) -> None:
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


def draw(canvas: Canvas, face: Face, structure: Structure) -> None:
    """Draw a piece with its lower left corner at the origin."""
    structure.begin_part()
    for mark in face.marks:
        structure.begin_figure(f"{mark.code}: {pictograms.NAMES[mark.code]}")
        _draw_mark(canvas, mark)
        structure.end()
    if face.code:
        structure.begin_figure(f"QR code: {face.code.url}")
        _draw_code(canvas, face.code)
        structure.end()
    for lang in dict.fromkeys(line.lang for line in face.lines):
        structure.begin_text(lang)
        _draw_text(canvas, [line for line in face.lines if line.lang == lang])
        structure.end()
    if face.strokes:
        structure.begin_unread()
        _draw_strokes(canvas, face.strokes)
        structure.end()


def _draw_mark(canvas: Canvas, mark: Mark) -> None:
    width = pictograms.box_mm(mark.side_mm) * mm
    canvas.saveState()
    canvas.transform(width, 0, 0, width, mark.box.left * mm, mark.box.bottom * mm)
    canvas.doForm(mark.code)
    canvas.restoreState()


def _draw_code(canvas: Canvas, code: Code) -> None:
    """Fill all modules as one path: parts filled one by one would show seams."""
    width = code.module_mm * mm
    canvas.saveState()
    canvas.transform(width, 0, 0, width, code.box.left * mm, code.box.bottom * mm)
    # Whole numbers need none of reportlab's rounding.
    canvas._code += [f"{x} {y} {w} {h} re" for x, y, w, h in qr.rectangles(code.url)]
    canvas._code.append("f")
    canvas.restoreState()


def _draw_text(canvas: Canvas, lines: Sequence[Line]) -> None:
    text = canvas.beginText()
    for line in lines:
        text.setFont(face_name(bold=line.style.bold), line.style.size_mm * mm)
        text.setTextOrigin(line.left_mm * mm, line.baseline_mm * mm)
        text.textOut(line.text)
    canvas.drawText(text)


def _draw_strokes(canvas: Canvas, strokes: Sequence[Stroke]) -> None:
    canvas.saveState()
    canvas.setLineWidth(STROKE_MM * mm)
    for stroke in strokes:
        canvas.setDash([length * mm for length in DASHES_MM] if stroke.dashed else [])
        if stroke.ring_mm:
            (x, y) = stroke.points[0]
            canvas.circle(x * mm, y * mm, stroke.ring_mm / 2 * mm)
            continue
        path = canvas.beginPath()
        path.moveTo(*(length * mm for length in stroke.points[0]))
        for point in stroke.points[1:]:
            path.lineTo(*(length * mm for length in point))
        canvas.drawPath(path)
    canvas.restoreState()
