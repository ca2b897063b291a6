"""What is said on the page about a label before it is printed, in plain sentences."""

from collections.abc import Sequence

from .boxes import Face
from .dimensions import for_capacity
from .wording import LabelContent

# A code wider than this part of the glass's diameter bends out of the camera's view:
# an arc of 60° (a rule of thumb, no source).
WIDEST_ON_GLASS = 0.52


def widest_code_mm(glass_mm: float) -> float:
    return WIDEST_ON_GLASS * glass_mm


def small_letters(content: LabelContent, faces: Sequence[Face]) -> tuple[str, ...]:
    """Say when the letters are smaller than what a vessel of this size aims for."""
    target = for_capacity(content.capacity_ul).x_height_mm
    smallest = min(face.x_height_mm for face in faces if face.x_height_mm)
    if smallest >= target - 1e-9:
        return ()
    return (
        f"The smallest letter x is {smallest:.2f} mm high. {target:g} mm is the aim "
        "for a vessel of this size: a larger label, a tag or a fold-out reaches it.",
    )


def small_marks(content: LabelContent, faces: Sequence[Face]) -> tuple[str, ...]:
    """Say when pictograms are smaller than wished, although large enough."""
    wanted = for_capacity(content.capacity_ul)
    sides = [mark.side_mm for face in faces for mark in face.marks]
    if not sides or min(sides) >= wanted.side_mm:
        return ()
    return (
        f"The pictograms are {min(sides):.0f} mm wide along their side; "
        f"{wanted.side_mm:g} mm is asked for where there is room.",
    )


def several_labels(count: int) -> tuple[str, ...]:
    return (
        f"This takes {count} labels: the statements that find no room go on on the "
        "next. Put them side by side, or the further ones on a tie-on tag.",
    )


def list_goes_on(count: int) -> str:
    return f"The list of vessels takes {count} labels: put all of them on the box."


def on_the_tag(codes: Sequence[str], where: str) -> tuple[str, ...]:
    """Say what stands on the tag only."""
    if not codes:
        return (f"{where} has no room for every detail: all of it stands on the tag.",)
    return (
        f"{where} has no room for {listed(codes)}: the tag printed beside it says "
        "everything. Tie it to the vessel.",
    )


def code_on_the_tag(where: str) -> tuple[str, ...]:
    return (f"{where} has no room for the QR code either: it stands on the tag.",)


def code_too_wide(symbol_mm: float, glass_mm: float, where: str) -> tuple[str, ...]:
    """Say why the QR code is not on the glass, and where it is."""
    return (
        f"The QR code is {symbol_mm:.1f} mm wide. Round glass of {glass_mm:.3g} mm "
        f"carries {widest_code_mm(glass_mm):.1f} mm at most, or a telephone cannot "
        f"read it: the code stands on the {where}.",
    )


def longer_than_round(width_mm: float, glass_mm: float, round_mm: float) -> str:
    return (
        f"A label of {width_mm:g} mm is longer than the way round glass of "
        f"{glass_mm:.3g} mm ({round_mm:.0f} mm) and would cover itself. Put it on a tag "
        "or the outer package, and a flag or a wrap on the glass."
    )


def listed(codes: Sequence[str]) -> str:
    """Return "P223, P280 and P501"."""
    *others, last = codes
    return f"{', '.join(others)} and {last}" if others else last
