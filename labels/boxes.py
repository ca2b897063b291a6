"""Where things are on a label: boxes, lines of text, strokes, and room for more.

Lengths in millimetres from the label's lower left corner; type sizes are the em in
millimetres.
"""

from dataclasses import dataclass, replace
from typing import Protocol

Point = tuple[float, float]


class Typeface(Protocol):
    """What has to be known of a typeface to set it; heights and widths in ems."""

    x_height_em: float
    ascent_em: float
    descent_em: float

    def width_em(self, text: str, *, bold: bool) -> float: ...

    def missing(self, text: str) -> str:
        """Return the characters of `text` that the typeface cannot show."""
        ...

    def __hash__(self) -> int: ...


@dataclass(frozen=True, slots=True)
class Box:
    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.top - self.bottom

    def moved(self, right: float, up: float) -> "Box":
        return Box(
            self.left + right, self.bottom + up, self.right + right, self.top + up
        )

    def inset(self, by: float) -> "Box":
        """Return the box without a strip of this width along its four sides."""
        return Box(self.left + by, self.bottom + by, self.right - by, self.top - by)

    def holds(self, other: "Box", *, slack: float = 1e-6) -> bool:
        return (
            other.left >= self.left - slack
            and other.bottom >= self.bottom - slack
            and other.right <= self.right + slack
            and other.top <= self.top + slack
        )

    def overlaps(self, other: "Box", *, slack: float = 1e-6) -> bool:
        return (
            self.left < other.right - slack
            and other.left < self.right - slack
            and self.bottom < other.top - slack
            and other.bottom < self.top - slack
        )


@dataclass(frozen=True, slots=True)
class Style:
    size_mm: float
    bold: bool = False


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Words set one after another in one style.

    `lead` is set bold before the first of them. What does not fit into one column may
    go on in the next between two of `sentences`, nowhere else.
    """

    sentences: tuple[str, ...]
    style: Style
    space_before_mm: float = 0.0
    lead: str = ""
    lang: str = ""

    @property
    def text(self) -> str:
        return " ".join(self.sentences)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of text where it will be drawn, and the room its glyphs may take."""

    text: str
    style: Style
    left_mm: float
    baseline_mm: float
    box: Box
    lang: str = ""

    def moved(self, right: float, up: float) -> "Line":
        return Line(
            text=self.text,
            style=self.style,
            left_mm=self.left_mm + right,
            baseline_mm=self.baseline_mm + up,
            box=self.box.moved(right, up),
            lang=self.lang,
        )


@dataclass(frozen=True, slots=True)
class Mark:
    """A pictogram. `box` is upright round the square that stands on its point."""

    code: str
    side_mm: float
    box: Box

    def moved(self, right: float, up: float) -> "Mark":
        return replace(self, box=self.box.moved(right, up))


@dataclass(frozen=True, slots=True)
class Code:
    """A QR code. `box` includes the quiet zone."""

    url: str
    module_mm: float
    box: Box

    def moved(self, right: float, up: float) -> "Code":
        return replace(self, box=self.box.moved(right, up))


@dataclass(frozen=True, slots=True)
class Stroke:
    """A thin line to cut, fold or read a length by; or a ring to punch out."""

    points: tuple[Point, ...]
    dashed: bool = False
    ring_mm: float = 0.0  # diameter of a circle round the only point

    def moved(self, right: float, up: float) -> "Stroke":
        return replace(self, points=tuple((x + right, y + up) for x, y in self.points))


@dataclass(frozen=True, slots=True)
class Column:
    """Where text may go: an area, less what already stands in it."""

    area: Box
    obstacles: tuple[Box, ...] = ()

    def span(self, top: float, height: float) -> tuple[float, float]:
        """Return the free stretch, left to right, for a line of this height."""
        left, right = self.area.left, self.area.right
        for obstacle in self.blocking(top, height):
            if obstacle.left - left > right - obstacle.right:
                right = min(right, obstacle.left)
            else:
                left = max(left, obstacle.right)
        return left, right

    def blocking(self, top: float, height: float) -> list[Box]:
        if not self.obstacles:
            return []
        strip = Box(self.area.left, top - height, self.area.right, top)
        return [o for o in self.obstacles if strip.overlaps(o)]


@dataclass(frozen=True, slots=True)
class Face:
    """One printed piece, in millimetres from its lower left corner."""

    size_mm: tuple[float, float]
    lines: tuple[Line, ...]
    marks: tuple[Mark, ...] = ()
    code: Code | None = None
    strokes: tuple[Stroke, ...] = ()
    # The smallest letter x on it that has to be read; 0 where there is none.
    x_height_mm: float = 0.0
    part: int = 1
    parts: int = 1
    format: str = "full"
