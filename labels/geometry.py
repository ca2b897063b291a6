"""Where the labels sit on a sheet."""

from collections.abc import Iterator
from dataclasses import dataclass

# Room for the rounding of a sheet that divides its page exactly.
TOLERANCE_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet of identical labels. All lengths in millimetres.

    Raises ValueError, with a sentence fit to show, for a grid that cannot be.
    """

    key: str
    name: str
    page_mm: tuple[float, float]  # width, height
    label_mm: tuple[float, float]  # width, height
    margin_mm: tuple[float, float]  # left, top
    pitch_mm: tuple[float, float]  # left edge to left edge, top to top
    columns: int
    rows: int
    # Cutters and printers wander: no ink nearer than this to a label's edge.
    clear_mm: float = 1.5

    def __post_init__(self) -> None:
        if self.columns < 1 or self.rows < 1:
            raise ValueError("A sheet has at least one column and one row.")
        counts = (self.columns, self.rows)
        for axis, side in enumerate(("width", "height")):
            self._check(axis, counts[axis], side)
        if self.clear_mm < 0 or 2 * self.clear_mm >= min(self.label_mm):
            raise ValueError("The clear edge leaves nothing of the label to print on.")

    def _check(self, axis: int, count: int, side: str) -> None:
        label, pitch = self.label_mm[axis], self.pitch_mm[axis]
        margin, page = self.margin_mm[axis], self.page_mm[axis]
        if label <= 0 or margin < 0:
            raise ValueError(f"The label's {side} and margin must be positive.")
        if count > 1 and pitch < label - TOLERANCE_MM:
            raise ValueError(f"Labels overlap: the pitch is less than the {side}.")
        if margin + (count - 1) * pitch + label > page + TOLERANCE_MM:
            raise ValueError(f"The labels reach beyond the page's {side}.")

    @property
    def count(self) -> int:
        """Labels on one page."""
        return self.columns * self.rows

    def origins_mm(self, *, skip: int = 0) -> Iterator[tuple[float, float]]:
        """Yield each label's lower left corner, row by row, after `skip` used ones.

        Measured from the page's lower left corner.
        """
        if not 0 <= skip < self.count:
            raise ValueError(f"Skip between 0 and {self.count - 1} labels.")
        for slot in range(skip, self.count):
            row, column = divmod(slot, self.columns)
            x = self.margin_mm[0] + column * self.pitch_mm[0]
            top = self.margin_mm[1] + row * self.pitch_mm[1]
            yield x, self.page_mm[1] - top - self.label_mm[1]
