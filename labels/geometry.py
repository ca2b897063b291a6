"""Where the labels sit on a sheet."""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace
from math import ceil

from .wording import CannotPrint

# Room for the rounding of a sheet that divides its page exactly.
TOLERANCE_MM = 1e-6

Millimetres = tuple[float, float]  # width, height


class DoesNotGoOn(CannotPrint):
    """A piece is larger than the places of a sheet can be."""

    def __init__(self, size_mm: Millimetres, name: str) -> None:
        super().__init__(
            f"A piece of {size_mm[0]:.0f} × {size_mm[1]:.0f} mm has no room on the "
            f"sheet “{name}”: choose another."
        )


@dataclass(frozen=True, slots=True)
class Place:
    """Where a piece is printed: its lower left corner as it lies on the page."""

    page: int  # from 1
    page_mm: Millimetres
    left_mm: float
    bottom_mm: float
    turned: bool  # the piece's own width runs up the page


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet of identical labels. All lengths in millimetres.

    Raises ValueError, with a sentence fit to show, for a grid that cannot be.
    """

    key: str
    name: str
    page_mm: Millimetres
    label_mm: Millimetres  # as it lies on the page
    margin_mm: Millimetres  # left, top
    pitch_mm: Millimetres  # left edge to left edge, top to top
    columns: int
    rows: int
    # Cutters and printers wander: no ink nearer than this to a label's edge.
    clear_mm: float = 1.5
    # What is added to every position, to the right and upwards: the printer's error
    # taken back, as read off the calibration page.
    offset_mm: Millimetres = (0.0, 0.0)
    # Labels lie on their side: what is printed on them is turned to the left.
    turned: bool = False
    # Cut by hand: a larger piece may take several places.
    uncut: bool = False
    # A roll, cut after each piece: its pages are as long as what is on them.
    endless: bool = False

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

    @property
    def piece_mm(self) -> Millimetres:
        """The width and height of what is printed on one label, as it is read."""
        width, height = self.label_mm
        return (height, width) if self.turned else (width, height)

    def origins_mm(self, *, skip: int = 0) -> Iterator[Millimetres]:
        """Yield each label's lower left corner, row by row, after `skip` used ones.

        Measured from the page's lower left corner, the offset left out.
        """
        if not 0 <= skip < self.count:
            raise ValueError(f"Skip between 0 and {self.count - 1} labels.")
        for slot in range(skip, self.count):
            row, column = divmod(slot, self.columns)
            x = self.margin_mm[0] + column * self.pitch_mm[0]
            top = self.margin_mm[1] + row * self.pitch_mm[1]
            yield x, self.page_mm[1] - top - self.label_mm[1]

    def places(
        self, pieces: Iterable[Millimetres], used: Collection[int] = ()
    ) -> list[Place]:
        """Return where pieces of these sizes go, in their order.

        Places are counted from 0, row by row from the top left; those in `used` stay
        free on the first page. A piece larger than a label takes a block of places,
        where the sheet is not cut yet. Raises DoesNotGoOn, or ValueError where no place
        is left or `used` names one the sheet does not have.
        """
        if set(used) - set(range(self.count)):
            raise ValueError(f"The sheet has the places 0 to {self.count - 1}.")
        if len(set(used)) == self.count:
            raise ValueError("Leave one place at least to print on.")
        page, taken = 1, set(used)
        found = []
        for size in pieces:
            block = self._block(size)
            slots = self._free(block, taken)
            if slots is None:
                page, taken = page + 1, set()
                slots = self._free(block, taken)
            if slots is None:
                raise DoesNotGoOn(size, self.name)
            taken |= slots
            found.append(self._place(page, min(slots), size))
        return found

    def _lying(self, size: Millimetres) -> Millimetres:
        return (size[1], size[0]) if self.turned else size

    def _block(self, size: Millimetres) -> tuple[int, int]:
        """Return how many columns and rows a piece of this size takes."""
        lying = self._lying(size)
        if self.endless and lying[0] <= self.page_mm[0] + TOLERANCE_MM:
            return 1, 1
        over = [lying[axis] - self.label_mm[axis] - TOLERANCE_MM for axis in (0, 1)]
        columns, rows = (
            1 + max(0, ceil(over[axis] / self.pitch_mm[axis])) for axis in (0, 1)
        )
        return columns, rows

    def _free(self, block: tuple[int, int], taken: set[int]) -> set[int] | None:
        """Return the first block of places that nothing stands on; None without one."""
        columns, rows = block
        if (columns, rows) != (1, 1) and not self.uncut:
            return None
        for row in range(self.rows - rows + 1):
            for column in range(self.columns - columns + 1):
                slots = {
                    (row + down) * self.columns + column + right
                    for down in range(rows)
                    for right in range(columns)
                }
                if not slots & taken:
                    return slots
        return None

    def _place(self, page: int, slot: int, size: Millimetres) -> Place:
        """Return the place of a piece whose block begins at this slot."""
        row, column = divmod(slot, self.columns)
        width, height = self._lying(size)
        page_mm = self.page_mm
        left = self.margin_mm[0] + column * self.pitch_mm[0]
        if self.endless:
            page_mm = (page_mm[0], page_mm[1] - self.label_mm[1] + height)
            left = (page_mm[0] - width) / 2
        top = self.margin_mm[1] + row * self.pitch_mm[1]
        return Place(
            page=page,
            page_mm=page_mm,
            left_mm=left + self.offset_mm[0],
            bottom_mm=page_mm[1] - top - height + self.offset_mm[1],
            turned=self.turned,
        )

    def moved(self, right_mm: float, up_mm: float) -> "Sheet":
        """Return the sheet for a printer that needs this offset."""
        return replace(self, offset_mm=(right_mm, up_mm))
