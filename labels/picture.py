"""A composed label as a drawing on the page: the same faces that the PDF is made of.

The typeface is the label's own, served beside the style sheet; every line is held to
the width it was measured to, so that it stands where it will be printed.
"""

from collections.abc import Iterator, Sequence
from html import escape

from . import pictograms, qr
from .boxes import Code, Face, Line, Mark, Stroke
from .drawing import DASHES_MM, STROKE_MM

# Millimetres of a label on a pixel of the page: letters of 1 mm can be read.
PIXELS_MM = 6.0
WIDE_MM = 80.0


def svg(face: Face, label: str) -> str:
    """Return the piece as an SVG element, y turned down, in millimetres."""
    width, height = face.size_mm
    drawn = "".join(_parts(face, height))
    wide = " label-picture-wide" if width > WIDE_MM else ""
    return (
        f'<svg class="label-picture{wide}" viewBox="0 0 {_n(width)} {_n(height)}" '
        f'width="{_n(width * PIXELS_MM)}" height="{_n(height * PIXELS_MM)}" '
        f'role="img" aria-label="{escape(label)}">'
        f'<rect class="label-paper" width="{_n(width)}" height="{_n(height)}"/>'
        f"{drawn}</svg>"
    )


def _parts(face: Face, height: float) -> Iterator[str]:
    for mark in face.marks:
        yield _mark(mark, height)
    if face.code:
        yield _code(face.code, height)
    for line in face.lines:
        yield _line(line, height)
    for stroke in face.strokes:
        yield _stroke(stroke, height)


def _mark(mark: Mark, height: float) -> str:
    scale = pictograms.box_mm(mark.side_mm) / pictograms.BOX
    outer, inner = (_points(corners) for corners in pictograms.frame())
    return (
        f'<g transform="translate({_n(mark.box.left)} {_n(height - mark.box.top)}) '
        f'scale({scale:.6f})"><polygon points="{outer}" fill="#f00"/>'
        f'<polygon points="{inner}" fill="#fff"/>'
        f'<path d="{pictograms.symbol_path(mark.code)}" fill-rule="evenodd"/></g>'
    )


def _code(code: Code, height: float) -> str:
    """Draw the black modules as one path, from the lower left corner upwards."""
    squares = "".join(
        f"M{left} {bottom}h{width}v{up}h{-width}z"
        for left, bottom, width, up in qr.rectangles(code.url)
    )
    module = f"{code.module_mm:.6f}"
    return (
        f'<path transform="translate({_n(code.box.left)} '
        f'{_n(height - code.box.bottom)}) scale({module} -{module})" d="{squares}"/>'
    )


def _line(line: Line, height: float) -> str:
    weight = ' font-weight="700"' if line.style.bold else ""
    lang = f' lang="{line.lang}"' if line.lang else ""
    return (
        f'<text x="{_n(line.left_mm)}" y="{_n(height - line.baseline_mm)}" '
        f'font-size="{_n(line.style.size_mm)}" textLength="{_n(line.box.width)}" '
        f'lengthAdjust="spacingAndGlyphs"{weight}{lang}>{escape(line.text)}</text>'
    )


def _stroke(stroke: Stroke, height: float) -> str:
    dashes = " ".join(map(_n, DASHES_MM)) if stroke.dashed else ""
    pen = f'fill="none" stroke="#000" stroke-width="{STROKE_MM}"' + (
        f' stroke-dasharray="{dashes}"' if dashes else ""
    )
    turned = [(x, height - y) for x, y in stroke.points]
    if stroke.ring_mm:
        ((x, y),) = turned
        return f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(stroke.ring_mm / 2)}" {pen}/>'
    return f'<polyline points="{_points(turned)}" {pen}/>'


def _points(points: Sequence[tuple[float, float]]) -> str:
    return " ".join(f"{_n(x)},{_n(y)}" for x, y in points)


def _n(value: float) -> str:
    """Return a length with a thousandth of a millimetre, no noughts behind it."""
    return f"{value:.3f}".rstrip("0").rstrip(".")
