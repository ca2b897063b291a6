"""A batch's family drawn: generations in rows, the oldest on top, and as a list.

Pure geometry and words. Lengths are in pixels of the drawing, y pointing down. A
drawing has no ids, so any number may stand on one page.
"""

from dataclasses import dataclass, field
from itertools import pairwise

from django.utils.text import capfirst

from inventory.calc.units import show_mass

WIDTH, HEIGHT = 184.0, 92.0  # of one batch
BESIDE, BELOW = 20.0, 46.0  # between two batches, between two generations
LANE = 16.0  # what a line takes that passes a generation
EDGE = 3.0  # room for the marked one's border
LETTERS = 23  # that fit into a box
SWEEPS = 6


@dataclass(frozen=True, slots=True)
class Node:
    """One batch of the drawing, its corner at (x, y)."""

    batch: object
    x: float
    y: float
    here: bool

    @property
    def metal(self):
        """The metal's name, as short as the box is narrow."""
        name = capfirst(self.batch.material.name.partition(" (")[0])
        return name if len(name) <= LETTERS else f"{name[: LETTERS - 1]}…"

    @property
    def how(self):
        return how_made(self.batch)

    @property
    def left(self):
        return what_is_left(self.batch)


@dataclass(frozen=True, slots=True)
class Drawing:
    width: float
    height: float
    box_width: float = WIDTH
    box_height: float = HEIGHT
    nodes: list[Node] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)
    heads: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Kin:
    """A batch in the list, with those next to it; `again` if it stands above."""

    batch: object
    kin: list = field(default_factory=list)
    again: bool = False

    @property
    def how(self):
        return how_made(self.batch)

    @property
    def left(self):
        return what_is_left(self.batch)


def how_made(batch):
    """Return how a batch came about, in a word or two."""
    return batch.get_process_display() if batch.process else batch.get_kind_display()


def what_is_left(batch):
    """Return what the vessels of a batch from `with_held` still hold, in words."""
    if batch.held_ug:
        return f"{show_mass(batch.held_ug)} left"
    return "Nothing left" if batch.vessel_count else "No vessel"


def of(found):
    """Return what the page shows of a families.Family, or None without relatives."""
    if len(found.batches) < 2:
        return None
    return {
        "drawing": drawn(found),
        "ancestors": kin_of(found, found.parents_of),
        "descendants": kin_of(found, found.children_of),
        "older": found.older,
        "younger": found.younger,
    }


def kin_of(found, next_to):
    """Return the nested list of one side of the family."""
    seen = set()

    def told(key):
        again = key in seen
        seen.add(key)
        kin = [] if again else [told(other) for other in in_order(found, next_to(key))]
        return Kin(found.batches[key], kin, again)

    return [told(key) for key in in_order(found, next_to(found.batch.pk))]


def in_order(found, keys):
    return sorted(keys, key=lambda key: found.batches[key].code)


def drawn(found):
    """Return the Drawing of a Family."""
    rows, steps = laid_out(found)
    widths = [row_width(row) for row in rows]
    width = max(widths) + 2 * EDGE
    middle = {}
    for n, row in enumerate(rows):
        x = (width - widths[n]) / 2
        for item in row:
            middle[item] = x + breadth(item) / 2
            x += breadth(item) + BESIDE
    tops = {item: top(n) for n, row in enumerate(rows) for item in row}
    return Drawing(
        width=width,
        height=top(len(rows)) - BELOW + EDGE,
        nodes=[
            Node(
                found.batches[item],
                round(middle[item] - WIDTH / 2, 1),
                tops[item],
                item == found.batch.pk,
            )
            for row in rows
            for item in row
            if item in found.batches
        ],
        lines=[line(way, middle, tops) for way in steps],
        heads=[head(middle[way[-1]], tops[way[-1]]) for way in steps],
    )


def top(row):
    return EDGE + row * (HEIGHT + BELOW)


def breadth(item):
    """Return the width of a batch, or of a lane: a line that passes by."""
    return LANE if isinstance(item, tuple) else WIDTH


def row_width(row):
    return sum(map(breadth, row)) + BESIDE * (len(row) - 1)


def laid_out(found):
    """Return (rows of items, ways): batches by key, and lanes of lines between them.

    A way is the items that a line from parent to child passes. Rows are ordered so
    that neighbours stand near each other, which keeps most lines from crossing.
    """
    row_of = generations(found)
    first = min(row_of.values())
    rows = [[] for _ in range(max(row_of.values()) - first + 1)]
    for key in in_order(found, found.batches):
        rows[row_of[key] - first].append(key)
    ways = []
    for parent, child in found.links:
        lanes = [(parent, child, n) for n in range(row_of[parent] + 1, row_of[child])]
        for lane in lanes:
            rows[lane[2] - first].append(lane)
        ways.append([parent, *lanes, child])
    return straightened(rows, ways), ways


def generations(found):
    """Return {key: row}, the batch itself in row 0, every parent above its child."""
    row_of = {found.batch.pk: 0}
    for sign, next_to in ((-1, found.parents_of), (1, found.children_of)):
        frontier = [found.batch.pk]
        while frontier:
            reached = []
            for key in frontier:
                for other in next_to(key):
                    row = row_of[key] + sign
                    # No way is longer than the family: a loop would never end.
                    deeper = row_of.get(other, 0) * sign < row * sign
                    if deeper and abs(row) < len(found.batches):
                        row_of[other] = row
                        reached.append(other)
            frontier = reached
    return row_of


def straightened(rows, ways):
    """Return the rows, each ordered by where the neighbours of its items stand."""
    near = {}
    for way in ways:
        for one, other in pairwise(way):
            near.setdefault(other, []).append(one)
            near.setdefault(one, []).append(other)
    for sweep in range(SWEEPS):
        down = sweep % 2 == 0
        numbers = range(1, len(rows)) if down else range(len(rows) - 1)[::-1]
        for n in numbers:
            beside = rows[n - 1 if down else n + 1]
            place = {
                item: i - len(row) / 2 for row in rows for i, item in enumerate(row)
            }
            rows[n] = sorted(
                rows[n], key=lambda item: mean_place(item, near, place, set(beside))
            )
    return rows


def mean_place(item, near, place, beside):
    """Return the mean place of an item's neighbours in the row beside, or its own."""
    places = [place[other] for other in near.get(item, ()) if other in beside]
    return sum(places) / len(places) if places else place[item]


def line(way, middle, tops):
    """Return the SVG path of a line from a parent's foot to its child's head."""
    x, y = middle[way[0]], tops[way[0]] + HEIGHT
    path = f"M{x:.1f},{y:.1f}"
    for item in way[1:]:
        to_x, to_y = middle[item], tops[item]
        half = (y + to_y) / 2
        path += f"C{x:.1f},{half:.1f} {to_x:.1f},{half:.1f} {to_x:.1f},{to_y:.1f}"
        if isinstance(item, tuple):
            to_y += HEIGHT
            path += f"V{to_y:.1f}"
        x, y = to_x, to_y
    return path


def head(x, y):
    """Return the SVG path of an arrow's head that points down at (x, y)."""
    return f"M{x:.1f},{y:.1f}l-4.5,-8h9z"
