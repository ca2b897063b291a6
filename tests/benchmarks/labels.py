"""How long a thousand full labels take beside a bare reportlab loop that draws the same.

Run by hand from the repository: python -m tests.benchmarks.labels
The loop gets every position ready made: it draws the same pictograms and lines of text,
and lets reportlab's own widget make the QR code. Ours starts from what each label has to
say, with nothing kept from before. Both run in this process, turn about; the best of
each is compared.
"""

import gc
import sys
from io import BytesIO
from time import process_time

from reportlab.graphics import renderPDF
from reportlab.graphics.barcode.qr import QrCodeWidget
from reportlab.graphics.shapes import Drawing
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import FILL_EVEN_ODD, Canvas

from labels import pictograms, render, typeface
from labels.stock import SHEETS
from labels.typeface import face_name
from tests.pdf.samples import PROFILES, make_label

LABELS = 1_000
ROUNDS = 5
MOST = 0.6
MOST_BYTES = 2_000
SHEET = SHEETS["a4-74x52"]


def contents():
    """Return labels of ten metals, no two with the same code or mass."""
    metals = list(PROFILES)
    return [
        make_label(
            metals[number // 100],
            number % 100 + 1,
            net_text=f"{1 + number * 0.0137:.3f} g ± 0.005 g",
        )
        for number in range(LABELS)
    ]


def forget():
    """Empty what is kept from label to label, so that every round starts anew."""
    for name, module in list(sys.modules.items()):
        for thing in vars(module).values() if name.startswith("labels.") else ():
            if hasattr(thing, "cache_clear"):
                thing.cache_clear()


def bare_loop(placed):
    """Draw the faces with nothing but reportlab; return the file."""
    out = BytesIO()
    canvas = Canvas(out, pagesize=[side * mm for side in SHEET.page_mm], invariant=True)
    page = 1
    for place, face in placed:
        if place.page > page:
            canvas.showPage()
            page = place.page
        canvas.saveState()
        canvas.translate(place.left_mm * mm, place.bottom_mm * mm)
        for mark in face.marks:
            draw_mark(canvas, mark)
        draw_code(canvas, face.code)
        for line in face.lines:
            canvas.setFont(face_name(bold=line.style.bold), line.style.size_mm * mm)
            canvas.drawString(line.left_mm * mm, line.baseline_mm * mm, line.text)
        canvas.restoreState()
    canvas.save()
    return out.getvalue()


def draw_mark(canvas, mark):
    """Draw a pictogram: two squares and the symbol."""
    scale = mark.box.width * mm / pictograms.BOX
    canvas.saveState()
    canvas.translate(mark.box.left * mm, mark.box.top * mm)
    canvas.scale(scale, -scale)
    for corners, colour in zip(pictograms.frame(), ((1, 0, 0), (1, 1, 1)), strict=True):
        path = canvas.beginPath()
        path.moveTo(*corners[0])
        for corner in corners[1:]:
            path.lineTo(*corner)
        path.close()
        canvas.setFillColorRGB(*colour)
        canvas.drawPath(path, stroke=0, fill=1)
    path = canvas.beginPath()
    steps = {"M": path.moveTo, "L": path.lineTo, "C": path.curveTo, "Z": path.close}
    for command, points in pictograms.symbol(mark.code):
        steps[command](*(value for point in points for value in point))
    canvas.setFillColorRGB(0, 0, 0)
    canvas.drawPath(path, stroke=0, fill=1, fillMode=FILL_EVEN_ODD)
    canvas.restoreState()


def draw_code(canvas, code):
    side = code.box.width * mm
    widget = QrCodeWidget(
        code.url, barLevel="M", barWidth=side, barHeight=side, barBorder=4
    )
    drawing = Drawing(side, side)
    drawing.add(widget)
    renderPDF.draw(drawing, canvas, code.box.left * mm, code.box.bottom * mm)


def seconds(work, *arguments):
    """Return how much time of the processor one run takes, and its result."""
    gc.collect()
    began = process_time()
    result = work(*arguments)
    return process_time() - began, result


def main():
    labels = contents()
    faces = [face for one in render.plan(labels, SHEET) for face in one.faces]
    placed = list(
        zip(SHEET.places([face.size_mm for face in faces]), faces, strict=True)
    )
    typeface.register()
    ours, loops = [], []
    for _ in range(ROUNDS):
        forget()
        took, pdf = seconds(render.render_sheets, labels, SHEET)
        ours.append(took)
        pictograms.symbol.cache_clear()
        took, _ = seconds(bare_loop, placed)
        loops.append(took)
    ratio = min(ours) / min(loops)
    sys.stdout.write(
        f"{len(faces)} labels: {min(ours) / LABELS * 1e3:.2f} ms each, "
        f"bare loop {min(loops) / LABELS * 1e3:.2f} ms, ratio {ratio:.2f} "
        f"(at most {MOST}); {len(pdf) / LABELS:.0f} bytes a label "
        f"(at most {MOST_BYTES})\n"
    )


if __name__ == "__main__":
    main()
