"""The invented batches of the year before, closed, and one that was redistilled."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from django.utils import timezone

from inventory.operations import finishing, runs, taking
from inventory.operations.run_rows import Seen
from inventory.operations.statements import Statement

from .running import set_up
from .scenario import G, request_id


@dataclass(frozen=True, slots=True)
class Made:
    """One batch of rubidium of the year before: grams, °C and mbar."""

    month: int
    day: int
    route: str
    chloride: float
    calcium: float
    lot: str
    masses: tuple[float, ...]
    hottest: float
    lowest: float
    hours: float
    statement: Statement


def weighed(grams, u_mg, **facts):
    """Return that the receiver was weighed, with its k = 1 uncertainty in mg."""
    return Statement("weighed", round(grams * G), u_mg * 1000, **facts)


BEFORE = (
    Made(
        3,
        14,
        "calcium reduction of the chloride, distilled at 0.1 mbar",
        50.0,
        11.4,
        "R-1930",
        (8.214, 8.377, 8.061),
        640,
        0.11,
        9.5,
        weighed(
            24.79, 150, lost_ug=110_000, u_lost_ug=40_000, lost_where="Receiver's wall"
        ),
    ),
    Made(
        6,
        20,
        "calcium reduction of the chloride, distilled at 0.1 mbar, hotter",
        60.0,
        13.5,
        "R-1930",
        (10.117, 10.242, 10.055),
        655,
        0.09,
        10.75,
        weighed(30.45, 110),
    ),
    Made(
        10,
        2,
        "calcium reduction of the chloride, distilled at 0.1 mbar, slower",
        55.0,
        12.6,
        "R-2051",
        (9.306, 9.441, 8.894),
        610,
        0.10,
        14.0,
        weighed(
            27.87,
            20,
            reason="Both balances checked with weights, fillings read again: drops "
            "were found frozen in the receiver's side arm",
        ),
    ),
)
USES = ("Vapour cells, series 1", "Graphite intercalation", "Ion source")


def play(scene, rubidium):
    """Play what came before the `rubidium` batch, and what became of its last."""
    for made in BEFORE:
        batch, vessels = play_one(scene, rubidium.year - 1, made)
    redistil(scene, rubidium, batch, vessels[-1])


def play_one(scene, year, made):
    """Play one batch from its charges to its closing; return it with its vessels."""
    day = date(year, made.month, made.day)
    ago = (timezone.localdate() - day).days
    batch = scene.batch(
        "Rb",
        ago,
        form="massive",
        kind="made",
        process="reduction",
        route=made.route,
        lot="",
        purity=0.996,
        note=f"Charged from lot {made.lot}.",
    )
    scene.charge(batch, "RbCl", "source", made.chloride, 0.998, made.lot)
    scene.charge(batch, "Ca", "reductant", made.calcium, 0.99, "G-102")
    log_run(scene, batch, day, made)
    tares = [24.6021 + 0.0413 * n for n in range(len(made.masses))]
    vessels = scene.tare(batch, "ampoule", 12, tares, scene.fine, ago + 1)
    for vessel, tare, mass in zip(vessels, tares, made.masses, strict=True):
        scene.fill(
            vessel,
            batch,
            "vacuum",
            "flame_sealed",
            gross=tare + mass - 0.014,
            place=scene.shelf,
            days_ago=ago,
        )
    finishing.close(
        batch,
        made.statement,
        by=scene.operator,
        request_id=request_id(f"close {batch}"),
    )
    spare = 1 if made is BEFORE[-1] else 0
    for n, vessel in enumerate(vessels[: len(vessels) - spare]):
        vessel.refresh_from_db()
        scene.draw(vessel, taking.Whole(), USES[n], ago - 20 * (n + 1))
    return batch, vessels


def log_run(scene, batch, day, made):
    """Log a run in a few readings: heating, the distillation, its end."""
    started_at = timezone.make_aware(datetime.combine(day, time(6)))
    ended_at = started_at + timedelta(hours=made.hours)
    set_up(scene, batch, started_at, ended_at=ended_at)
    for share, celsius, times in (
        (0.05, 120, 8.0),
        (0.25, made.hottest - 130, 3.0),
        (0.5, made.hottest - 25, 1.3),
        (0.75, made.hottest - 10, 1.1),
        (1.0, made.hottest, 1.0),
    ):
        seen = Seen(
            read_at=started_at + share * (ended_at - started_at),
            temperature_c=float(celsius),
            pressure_pa=round(made.lowest * times * 100, 1),
        )
        runs.read(
            batch,
            seen,
            by=scene.operator,
            request_id=request_id(f"run {batch} {share}"),
        )


def redistil(scene, rubidium, source, ampoule):
    """Redistil one ampoule of an older batch, so that there is a family to see."""
    day = max(rubidium.made_on + timedelta(days=16), date(rubidium.year, 1, 1))
    ago = (timezone.localdate() - day).days
    ampoule.refresh_from_db()
    scene.draw(ampoule, taking.Whole(), "Redistilled into sealed capillaries", ago)
    batch = scene.batch(
        "Rb",
        ago,
        form="massive",
        parents=[source],
        kind="repurified",
        process="distillation",
        route="redistilled in a sealed still at 10⁻⁵ mbar, first tenth thrown away",
    )
    tares = [9.4127, 9.3886, 9.4410]
    vessels = scene.tare(batch, "ampoule", 4, tares, scene.fine, ago)
    for vessel, tare, mass in zip(vessels, tares, (2.611, 2.702, 2.498), strict=True):
        scene.fill(
            vessel,
            batch,
            "vacuum",
            "flame_sealed",
            gross=tare + mass - 0.004,
            place=scene.shelf,
            days_ago=ago,
        )
    return batch
