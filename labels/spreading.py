"""What one label cannot hold, on as few further labels as it takes."""

from itertools import pairwise

from . import blocks
from .boxes import Column, Face
from .press import Plan, Press
from .typesetting import set_text
from .wording import CannotPrint

MOST_PARTS = 9


class DoesNotFit(CannotPrint):
    """Even at the floors, some of the label's content has no room."""

    def __init__(
        self, size_mm: tuple[float, float], missing: str, where: str = ""
    ) -> None:
        self.size_mm, self.missing = size_mm, missing
        where = where or f"A label of {size_mm[0]:g} × {size_mm[1]:g} mm"
        super().__init__(
            f"{where} is too small for {missing}: choose a larger one, fewer languages "
            "or a fold-out."
        )


def spread(press: Press) -> tuple[Face, ...]:
    """Return the fewest labels that hold everything, in the best plan for that.

    Hazard statements all stay on the first. Raises DoesNotFit.
    """
    fewest: tuple[Face, ...] | None = None
    for plan in press.plans():
        faces = _spread(press, plan)
        if faces and (fewest is None or len(faces) < len(fewest)):
            fewest = faces
    if fewest is None:
        raise DoesNotFit(press.setting.size_mm, missing(press))
    return fewest


def missing(press: Press) -> str:
    """Say what is the first thing to find no room at the floors."""
    plans = _smallest(press)
    content = press.content
    if not any(
        plan.arrangement.place(content.pictograms, plan.side_mm, None) for plan in plans
    ):
        least = min(plan.side_mm for plan in plans)
        return f"{len(content.pictograms)} pictograms of {int(least)} mm side"
    if not any(press.placed(plan) for plan in plans):
        return "the QR code with the vessel code"
    hazards = len(content.h_texts) + len(content.euh_texts)
    for end, name in (
        (0, "the product, its amount and supplier"),
        (hazards, "the hazard statements"),
    ):
        if not any(press.first(plan, end=end) for plan in plans):
            return name
    return "the precautionary statements"


def _smallest(press: Press) -> list[Plan]:
    """Return the plans at the floors, one an arrangement."""
    plans = list(press.plans())
    side, x = min(p.side_mm for p in plans), min(p.x_mm for p in plans)
    return [plan for plan in plans if (plan.side_mm, plan.x_mm) == (side, x)]


def _spread(press: Press, plan: Plan) -> tuple[Face, ...] | None:
    """Fill label after label, in one plan."""
    ends = _ends(press, plan)
    if ends is None:
        return None
    parts = len(ends)
    faces = [press.first(plan, end=ends[0], parts=parts)]
    for number, (start, end) in enumerate(pairwise(ends), start=2):
        faces.append(further(press, plan, start, end, number, parts))
    whole = tuple(face for face in faces if face)
    return whole if len(whole) == parts else None


def _ends(press: Press, plan: Plan) -> list[int] | None:
    """Return after which statement each label ends, or None."""
    content, count = press.content, len(press.content.statements)
    ends: list[int] = []
    least = len(content.h_texts) + len(content.euh_texts)
    for end in range(count - 1, least - 1, -1):
        if press.first(plan, end=end, parts=2):
            ends.append(end)
            break
    while ends and ends[-1] < count and len(ends) < MOST_PARTS:
        start = ends[-1]
        for end in range(count, start, -1):
            if further(press, plan, start, end, 2, 2):
                ends.append(end)
                break
        else:
            return None
    return ends if ends and ends[-1] == count else None


def further(
    press: Press, plan: Plan, start: int, end: int, part: int, parts: int
) -> Face | None:
    """Return a continuation label with the statements from `start` to `end`."""
    content, setting, face = press.content, press.setting, press.face
    which = content.words.part.format(part=part, parts=parts)
    body = blocks.continuation_head(
        content, plan.x_mm, face, which, facts=part == 2 and not setting.facts
    )
    body += blocks.warnings(
        content, plan.x_mm, face, listed=False, start=start, end=end
    )
    lines = set_text(body, Column(setting.area), face)
    return press.face_of(lines, (), None, part, parts) if lines else None
