"""What stands among the words of a paper and is drawn: pictograms, boxes to tick."""

from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.platypus import Flowable

from labels import drawing, pictograms

from . import lettering
from .lettering import INK

# The smallest a label may have them: 1 cm² (Regulation (EC) 1272/2008, Annex I, 1.2.1).
SIDE_MM = 10.0
BETWEEN_MM = 1.0
TICK_MM = 4.0


class Pictograms(Flowable):  # type: ignore[misc]
    """Hazard pictograms beside one another, in as many rows as the width asks for."""

    def __init__(self, codes: Sequence[str]) -> None:
        super().__init__()
        self.codes = codes
        self.box = pictograms.box_mm(SIDE_MM) * mm
        self.step = self.box + BETWEEN_MM * mm
        self.in_a_row = 1

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.in_a_row = max(1, int((width + BETWEEN_MM * mm) // self.step))
        rows = -(-len(self.codes) // self.in_a_row)
        self.width, self.height = width, rows * self.step
        return self.width, self.height

    def draw(self) -> None:
        for at, code in enumerate(self.codes):
            row, column = divmod(at, self.in_a_row)
            bottom = self.height - row * self.step - self.box
            self._draw_one(code, column * self.step, bottom)

    def _draw_one(self, code: str, left: float, bottom: float) -> None:
        canvas = self.canv
        if not canvas.hasForm(code):
            drawing.define_mark(canvas, code)
        canvas.saveState()
        canvas.transform(self.box, 0, 0, self.box, left, bottom)
        canvas.doForm(code)
        canvas.restoreState()


class Tick(Flowable):  # type: ignore[misc]
    """A box to tick by hand, and the word beside it."""

    def __init__(self, word: str) -> None:
        super().__init__()
        self.word = word
        self.height = (TICK_MM + 1.5) * mm

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        self.width = width
        return self.width, self.height

    def draw(self) -> None:
        canvas, style = self.canv, lettering.BODY
        bottom = self.height - TICK_MM * mm
        canvas.setStrokeColor(INK)
        canvas.setLineWidth(0.7)
        canvas.rect(0, bottom, TICK_MM * mm, TICK_MM * mm)
        canvas.setFillColor(INK)
        canvas.setFont(style.fontName, style.fontSize)
        canvas.drawString((TICK_MM + 1.5) * mm, bottom + 1.1 * mm, self.word)
