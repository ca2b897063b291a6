"""Where every line of a vessel's picture goes: its silhouette filled to true level.

Pure geometry: numbers in, SVG path strings out. The level comes from the volume by
`inventory.calc.profile`, never from a percentage of the height. Lengths are in
pixels of the drawing, y pointing down.
"""

from dataclasses import dataclass, field, replace

from inventory.calc import profile

from . import closures, outline
from .callouts import Callout, Tick, callouts, ticks, unknown_capacity
from .closures import Part
from .fillings import Contents, in_words
from .outline import Frame

PALE = ("vacuum", "air")  # every other gas is drawn in the accent's pale tone

# The large drawing, in pixels. The small one is this shrunk, its walls a mere line.
TALL, FOOT_Y, HEIGHT = 220.0, 252.0, 260.0
WALL, LINE = 3.0, 1.6
SCALE_ROOM, CALLOUT_ROOM = 72.0, 108.0
SMALL_WIDTH, SMALL_HEIGHT = 36.0, 36.0
SMALL_WIDEN = {"ampoule": 1.55, "schlenk_tube": 1.6, "vial": 1.05}
TOO_FINE = ("fine", "ground")  # paints that only blur a small figure
SHRINK = SMALL_HEIGHT / HEIGHT
ARM_HEIGHT = {"schlenk_tube": 0.87, "schlenk_flask": 0.80}
ARM_REACH, VALVE_REACH = 46.0, 40.0


@dataclass(frozen=True, slots=True)
class Layer:
    """One filling, painted from the bottom of the vessel up to its own surface."""

    paint: str
    path: str
    surface: str
    level: float
    y: float


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing ready for its template, painted in the order of these fields."""

    kind: str
    width: float
    height: float
    behind: list[Part]
    walls: str
    inside: str
    gas: str
    layers: list[Layer]
    shine: str
    before: list[Part]
    over: bool
    words: str
    ruler: str = ""
    marks: str = ""
    ticks: list[Tick] = field(default_factory=list)
    callouts: list[Callout] = field(default_factory=list)


def draw(
    kind: str,
    capacity_ul: float | None,
    contents: Contents,
    *,
    size: str = "large",
    sealed: bool = True,
) -> Figure:
    """Return the drawing of a vessel; without a capacity it shows no level."""
    large = size == "large"
    frame = frame_for(kind, large=large)
    inner = _inside(kind, frame, sealed)
    behind, before = _glassware(kind, frame, large, sealed)
    drawing = Figure(
        kind=kind,
        width=SMALL_WIDTH,
        height=SMALL_HEIGHT,
        behind=behind,
        walls=frame.path(inner),
        inside=frame.path(_closed(kind, inner, sealed)) + "z",
        gas=_gas_paint(capacity_ul, contents),
        layers=_layers(kind, capacity_ul, contents, frame, large),
        shine=_shine(kind, frame) if large else "",
        before=before,
        over=bool(capacity_ul) and contents.filled_ul > capacity_ul * 1.0005,
        words=in_words(kind, capacity_ul, contents),
    )
    return _annotated(drawing, capacity_ul, contents, frame) if large else drawing


def _gas_paint(capacity_ul: float | None, contents: Contents) -> str:
    if not capacity_ul and contents.filled_ul:
        return "unknown"
    gas = contents.gas.lower()
    return gas if gas in PALE else "inert"


def frame_for(kind: str, *, large: bool) -> Frame:
    """Return where a kind of vessel stands on its drawing."""
    if large:
        axis_x = SCALE_ROOM + WALL + outline.widest(kind) * TALL
        return Frame(axis_x, FOOT_Y, TALL)
    return Frame(
        axis_x=SMALL_WIDTH / 2,
        foot_y=FOOT_Y * SHRINK,
        tall=TALL * SHRINK,
        widen=SMALL_WIDEN.get(kind, 1.0),
        coarse=True,
    )


def _inside(kind: str, frame: Frame, sealed: bool) -> list[outline.Point]:
    """Return the inner outline up to the seal, the valve or the brim."""
    if kind not in ("ampoule", "bulb"):
        return frame.up_to(kind, 1.0)
    inner = frame.up_to(kind, profile.closure_height(kind))
    if kind == "ampoule" and not sealed:
        return [*inner, (1.0, inner[-1][1])]
    return inner


def _closed(kind: str, inner: list[outline.Point], sealed: bool) -> list[outline.Point]:
    """Return the inside with the round end that a flame leaves in a stem."""
    if kind != "ampoule" or not sealed:
        return inner
    height, radius = inner[-1]
    return [*inner, (height + 0.012, radius * 0.8), (height + 0.022, 0.0)]


def _glassware(
    kind: str, frame: Frame, large: bool, sealed: bool
) -> tuple[list[Part], list[Part]]:
    """Return what is drawn behind the body and what before it."""
    scale = 1.0 if large else SHRINK
    wall = WALL + LINE / 2 if large else 0.0
    closure = profile.closure_height(kind)

    def at(parts: list[Part], height: float, *, x: float = 0.0, turn: float = 0.0):
        place = {"x": frame.axis_x + x, "y": frame.y(height), "turn": turn}
        seen = [part for part in parts if large or part.paint not in TOO_FINE]
        return [replace(part, **place, scale=scale) for part in seen]

    def radius(height: float) -> float:
        return (frame.r(outline.radius_at(kind, height)) + wall) / scale

    if kind == "ampoule" and sealed:
        return at(closures.sealed_tip(radius(closure), 0.14 * TALL), closure), []
    if kind == "ampoule":
        return [], at(closures.rim(radius(closure)), 1.0)
    if kind in ("vial", "bottle"):
        return [], at(closures.screw_cap(radius(0.9), 0.165 * TALL), 0.85)
    if kind == "bulb":
        return [], at(closures.valve(radius(closure), 44.0), closure)
    arm = ARM_HEIGHT[kind]
    arms = at(
        closures.side_arm(), arm, x=frame.r(outline.radius_at(kind, arm)), turn=-18
    )
    stopper = closures.ground_stopper(radius(closure), (1 - closure) * TALL)
    return arms, at(stopper, closure)


def _layers(
    kind: str,
    capacity_ul: float | None,
    contents: Contents,
    frame: Frame,
    large: bool,
) -> list[Layer]:
    """Return the fillings, topmost first: each covers what lies under it."""
    if not capacity_ul:
        return []
    layers, below_ul = [], 0.0
    for paint, _, volume_ul in contents.from_below():
        below_ul += volume_ul
        level = profile.level_for(kind, capacity_ul, below_ul)
        bend = min(2.4, level * TALL / 4) if large else 0.0
        bend = -bend if paint == "metal" else bend
        layers.append(_layer(kind, paint, level, bend, frame))
    return layers[::-1]


def _layer(kind: str, paint: str, level: float, bend: float, frame: Frame) -> Layer:
    """Return one filling; its edge climbs the glass by `bend`, or shies from it.

    A liquid wets glass and climbs; a cast metal stands off it.
    """
    filled = frame.up_to(kind, level)
    half, y = frame.r(filled[-1][1]), frame.y(level)
    left, right = frame.axis_x - half, frame.axis_x + half
    curl = min(9.0, half / 2)
    surface = (
        f"{right:.2f},{y - bend:.2f}Q{right - curl * 0.4:.2f},{y:.2f} "
        f"{right - curl:.2f},{y:.2f}H{left + curl:.2f}"
        f"Q{left + curl * 0.4:.2f},{y:.2f} {left:.2f},{y - bend:.2f}"
    )
    body = f"{frame.path(filled)}L{surface}z"
    return Layer(paint, body, f"M{surface}", level, y)


def _shine(kind: str, frame: Frame) -> str:
    """Return the streak of light down the left of the glass."""
    widest = outline.widest(kind)
    streak = [
        (frame.axis_x - 0.7 * frame.r(r), frame.y(h))
        for h, r in frame.up_to(kind, 0.8)
        if r > 0.72 * widest and h > 0.04
    ]
    return "M" + "L".join(f"{x:.2f},{y:.2f}" for x, y in streak)


def _annotated(
    drawing: Figure, capacity_ul: float | None, contents: Contents, frame: Frame
) -> Figure:
    """Return the large drawing with its scale at the left and its names at the right."""
    kind = drawing.kind
    reach = frame.r(outline.widest(kind)) + WALL
    if kind in ARM_HEIGHT:
        arm = frame.r(outline.radius_at(kind, ARM_HEIGHT[kind]))
        reach = max(reach, arm + ARM_REACH)
    column_x = frame.axis_x + reach + 22
    width = round(column_x + CALLOUT_ROOM, 2)
    if not capacity_ul:
        note = unknown_capacity(kind, frame, column_x)
        return replace(drawing, width=width, height=HEIGHT, callouts=[note])
    scale_x = SCALE_ROOM - 12
    scale = ticks(kind, capacity_ul, frame, scale_x)
    bands = _bands(kind, capacity_ul, contents)
    spine = f"M{scale_x:g},{scale[0].y:g}V{scale[-1].y:g}"
    return replace(
        drawing,
        width=width,
        height=HEIGHT,
        ruler=spine + "".join(tick.path for tick in scale),
        marks="".join(_pointer(scale_x, layer.y) for layer in drawing.layers),
        ticks=scale,
        callouts=callouts(kind, bands, frame, column_x),
    )


def _pointer(x: float, y: float) -> str:
    """Return the small triangle that shows a level on the scale."""
    return f"M{x + 1:g},{y:.2f}l7,-4v8z"


def _bands(
    kind: str, capacity_ul: float, contents: Contents
) -> list[tuple[str, float, float, float]]:
    """Return (name, µL, low, high) of each layer and the gas, topmost first."""
    bands, below_ul, low = [], 0.0, 0.0
    for _, name, volume_ul in contents.from_below():
        below_ul += volume_ul
        high = profile.level_for(kind, capacity_ul, below_ul)
        bands.append((name, volume_ul, low, high))
        low = high
    closure = profile.closure_height(kind)
    if below_ul < capacity_ul:
        bands.append((contents.gas, capacity_ul - below_ul, low, closure))
    return bands[::-1]
