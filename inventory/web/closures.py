"""The glass and stoppers above a vessel's contents, as SVG paths.

Everything here is drawn around the axis x = 0 with y pointing down, at the scale
of a large figure; a small one repeats it shrunk and without the `fine` parts.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Part:
    """One path and the class that paints it: glass, closure, key, or a fine line."""

    paint: str
    path: str
    x: float = 0.0
    y: float = 0.0
    turn: float = 0.0  # degrees, about (x, y)
    scale: float = 1.0

    @property
    def placing(self) -> str:
        """Return the transform that puts the part where it belongs."""
        turn = f" rotate({self.turn:g})" if self.turn else ""
        scale = f" scale({self.scale:.4g})" if self.scale != 1 else ""
        return f"translate({self.x:.2f} {self.y:.2f}){turn}{scale}"


def _box(x: float, y: float, width: float, height: float, corner: float) -> str:
    """Return a rectangle with rounded corners as a path."""
    side, rise = width - 2 * corner, height - 2 * corner
    c = corner
    return (
        f"M{x + c:.2f},{y:.2f}h{side:.2f}q{c:g},0 {c:g},{c:g}v{rise:.2f}"
        f"q0,{c:g} {-c:g},{c:g}h{-side:.2f}q{-c:g},0 {-c:g},{-c:g}v{-rise:.2f}"
        f"q0,{-c:g} {c:g},{-c:g}z"
    )


def sealed_tip(radius: float, height: float) -> list[Part]:
    """Draw an ampoule's stem off to the bead where the flame closed it."""
    r, h = radius, height
    drawn = (
        f"M{-r:.2f},0.5C{-r:.2f},{-0.30 * h:.2f} {-0.34 * r:.2f},{-0.42 * h:.2f} "
        f"{-0.26 * r:.2f},{-0.72 * h:.2f}C{-0.30 * r:.2f},{-0.86 * h:.2f} "
        f"{-0.5 * r:.2f},{-0.88 * h:.2f} {-0.42 * r:.2f},{-0.95 * h:.2f}"
        f"C{-0.3 * r:.2f},{-1.04 * h:.2f} {0.42 * r:.2f},{-1.03 * h:.2f} "
        f"{0.5 * r:.2f},{-0.94 * h:.2f}C{0.56 * r:.2f},{-0.87 * h:.2f} "
        f"{0.3 * r:.2f},{-0.86 * h:.2f} {0.26 * r:.2f},{-0.72 * h:.2f}"
        f"C{0.34 * r:.2f},{-0.42 * h:.2f} {r:.2f},{-0.30 * h:.2f} {r:.2f},0.5"
    )
    return [Part("glass", drawn)]


def rim(radius: float) -> list[Part]:
    """Draw the flared rim of an ampoule's stem while it is still open."""
    return [Part("glass", _box(-radius - 2.5, -2, 2 * radius + 5, 4, 2))]


def screw_cap(radius: float, height: float) -> list[Part]:
    """Draw a ribbed cap over a neck, its lower edge at y = 0."""
    half = radius + 5
    cap = _box(-half, -height, 2 * half, height, 3)
    gap = half / 4.5
    ribs = "".join(
        f"M{gap * n:.2f},{-height + 6:.2f}V-4" for n in (-4, -3, -2, -1, 0, 1, 2, 3, 4)
    )
    rim = f"M{-half + 3:.2f},{-height + 3.5:.2f}h{2 * half - 6:.2f}"
    return [Part("closure", cap), Part("fine", ribs), Part("fine", rim)]


def ground_stopper(radius: float, depth: float) -> list[Part]:
    """Draw a glass stopper in its ground joint: y = 0 is the stopper's lower end."""
    r, d = radius, depth
    socket = (
        f"M{-r - 1:.2f},0L{-r - 3.2:.2f},{-d + 2:.2f}q-2.5,-0.5 -2.5,-2.5"
        f"H{r + 5.7:.2f}q0,2 -2.5,2.5L{r + 1:.2f},0z"
    )
    cone = (
        f"M{-r + 0.5:.2f},0L{-r - 1.2:.2f},{-d - 2:.2f}H{r + 1.2:.2f}L{r - 0.5:.2f},0z"
    )
    head = (
        f"M{-r * 0.62:.2f},{-d - 2:.2f}v-3.5"
        f"C{-r - 4:.2f},{-d - 7:.2f} {-r - 4:.2f},{-d - 18:.2f} {-r * 0.5:.2f},{-d - 18:.2f}"
        f"H{r * 0.5:.2f}C{r + 4:.2f},{-d - 18:.2f} {r + 4:.2f},{-d - 7:.2f} "
        f"{r * 0.62:.2f},{-d - 5.5:.2f}v3.5z"
    )
    frost = "".join(
        f"M{-r + 1.5:.2f},{-d * share:.2f}H{r - 1.5:.2f}"
        for share in (0.2, 0.4, 0.6, 0.8)
    )
    return [
        Part("glass", socket),
        Part("ground", cone),
        Part("fine", frost),
        Part("glass", head),
    ]


def side_arm() -> list[Part]:
    """Draw a stopcock on its arm, leaving (0, 0) to the right, and the hose end."""
    tube = (
        "M-4,-3H13V3H-4zM20,-3H31c2,0 2,-1.3 3.5,-1.3s1.5,1.3 3,1.3 1.5,-1.3 3,-1.3"
        " 1.5,1.3 3,1.3V3c-1.5,0 -1.5,1.3 -3,1.3S39,3 37.5,3 36,4.3 34.5,4.3"
        " 33,3 31,3H20z"
    )
    barrel = _box(12, -8, 9, 16, 3)
    key = "M16.5,-8V-13M10.5,-15.2h12"
    return [Part("glass", tube), Part("closure", barrel), Part("key", key)]


def valve(radius: float, height: float) -> list[Part]:
    """Draw a screw valve on a thin neck: y = 0 is its lower end; outlet to the right."""
    half = radius + 6
    outlet = (
        f"M{half - 2:.2f},-14H{half + 15:.2f}c1.5,0 1.5,-1.3 3,-1.3s1.5,1.3 3,1.3v6"
        f"c-1.5,0 -1.5,1.3 -3,1.3s-1.5,-1.3 -3,-1.3H{half - 2:.2f}z"
    )
    body = _box(-half, -height * 0.62, 2 * half, height * 0.62, 4)
    spindle = _box(-4, -height * 0.8, 8, height * 0.22, 1)
    knob = _box(-half - 3, -height - 2, 2 * half + 6, height * 0.28, 4)
    ribs = "".join(
        f"M{x},{-height + 2:.2f}v{height * 0.28 - 8:.2f}" for x in (-8, -4, 0, 4, 8)
    )
    return [
        Part("glass", outlet),
        Part("glass", body),
        Part("closure", spindle),
        Part("closure", knob),
        Part("fine", ribs),
    ]
