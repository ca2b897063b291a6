"""Histories of a vessel for the charts to draw: one of a flask, one without end."""

from datetime import UTC, datetime, timedelta

from inventory.web.charts import NARROW, WIDE, Point

MARCH = datetime(2026, 3, 2, 9, 40, tzinfo=UTC)
SIZES = {"wide": WIDE, "narrow": NARROW}


def at(days):
    return MARCH + timedelta(days=days)


def history(*events):
    """Return points from (day, grams, standard uncertainty in mg, kind, verdict)."""
    return [
        Point(at(day), grams * 1e6, u_mg * 1e3, kind, "Told", verdict)
        for day, grams, u_mg, kind, verdict in events
    ]


FLASK = history(
    (0, 0, 0, "start", ""),
    (2, 32.5, 40, "fill", "quiet"),
    (14, 29.5, 120, "withdrawal", ""),
    (31, 24.1, 900, "withdrawal", ""),
    (42, 22.6, 500, "check", "check"),
    (55, 14.9, 400, "transfer", ""),
    (61, 14.9, 400, "check", "investigate"),
)


def long_history(count):
    """Return a vessel refilled and drawn from many times, weighed in between."""
    left, points = 0.0, []
    for n in range(count):
        kind = "fill" if n % 40 == 0 else ("withdrawal", "check")[n % 2]
        left = 60.0 if kind == "fill" else left - (kind == "withdrawal") * 1.7
        points.append(
            Point(at(n / 3), left * 1e6, 90_000 + 1000 * (n % 7), kind, "Told")
        )
    return points
