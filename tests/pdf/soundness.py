"""What may never happen on a printed piece, checked from its boxes alone."""

from itertools import combinations, pairwise

from labels import pieces
from labels.boxes import Box
from labels.dimensions import FLOOR_X_MM

QUIET_MODULES = 4  # ISO/IEC 18004, on every side


def boxes(face):
    """Everything on the face that takes room."""
    found = [line.box for line in face.lines] + [mark.box for mark in face.marks]
    return found + ([face.code.box] if face.code else [])


def panels(face, clear_mm):
    """What may be printed on, for what is cut to shape."""
    if face.format == "flag":
        front, back = pieces.flag_panels()
        low = (front.height - pieces.TAIL_HEIGHT_MM) / 2
        tail = Box(0, low, front.left, low + pieces.TAIL_HEIGHT_MM)
        return [front.inset(pieces.CLEAR_MM), back.inset(pieces.CLEAR_MM), tail]
    if face.format == "wrap":
        length = max(x for x, _ in face.strokes[0].points)
        area = Box(0, 0, length, pieces.WRAP_HEIGHT_MM).inset(pieces.CLEAR_MM)
        return [Box(pieces.OVERLAP_MM + 1, area.bottom, area.right, area.top)]
    if face.format == "tag":
        return [pieces.tag_area(face.size_mm)]
    if face.format == "foldout":
        return [panel.inset(clear_mm) for panel in pieces.foldout_panels()]
    return [Box(0, 0, *face.size_mm).inset(clear_mm)]


def assert_sound(face, clear_mm, least_side_mm=10):
    """Assert that all is within its panel, clear of its edge and of each other."""
    allowed = panels(face, clear_mm)
    for thing in (*face.lines, *face.marks):
        assert any(panel.holds(thing.box) for panel in allowed), thing
    for mark in face.marks:
        assert mark.side_mm >= least_side_mm
    if face.code:
        quiet = QUIET_MODULES * face.code.module_mm
        assert Box(0, 0, *face.size_mm).holds(face.code.box)
        symbol = face.code.box.inset(quiet)
        assert any(panel.holds(symbol) for panel in allowed)
    for one, other in combinations(boxes(face), 2):
        assert not one.overlaps(other), (one, other)
    assert face.x_height_mm >= FLOOR_X_MM - 1e-9
    assert_strokes_pass_by(face)


def assert_strokes_pass_by(face):
    """Assert that nothing printed lies under a cut, a fold or the hole."""
    whole = Box(0, 0, *face.size_mm)
    for stroke in face.strokes:
        for x, y in stroke.points:
            assert whole.holds(Box(x, y, x, y))
        reach = stroke.ring_mm / 2
        ends = pairwise(stroke.points) if not reach else [stroke.points * 2]
        for (x0, y0), (x1, y1) in ends:
            if x0 != x1 and y0 != y1:
                continue  # a tag's corner: outside of what may be printed on
            line = Box(min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)).inset(-reach)
            for box in boxes(face):
                assert not line.overlaps(box), (stroke, box)


def squeezed(text):
    return "".join(text.split())


def said_on(face):
    return squeezed("".join(line.text for line in face.lines))
