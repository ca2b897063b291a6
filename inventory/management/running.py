"""The invented runs: one that made the rubidium, one that goes on this very day."""

from datetime import timedelta
from math import exp

from django.utils import timezone

from inventory.operations import runs
from inventory.operations.run_rows import Seen

from .scenario import ML, at, request_id

MINUTE = timedelta(minutes=1)
# (minutes into the run, °C, mbar): heated in steps, degassing at the second one.
HEATING = [
    (0, 22, 0.9),
    (25, 120, 0.6),
    (50, 210, 2.4),
    (80, 300, 0.4),
    (110, 420, 0.08),
    (140, 520, 0.035),
    (200, 560, 0.024),
    (320, 590, 0.02),
    (440, 600, 0.019),
]
DRIPS_FROM = 130  # minutes
WORTH_UG_PER_H = 500_000


def play(scene, rubidium):
    """Log the run of the `rubidium` batch, and one that goes on today."""
    past_run(scene, rubidium)
    run_of_today(scene)


def past_run(scene, batch):
    """Log the rubidium's run: read by hand, a logger's readings imported after it."""
    started_at = at(46, 9)
    set_up(scene, batch, started_at, ended_at=started_at + 480 * MINUTE)
    log_file = [
        Seen(started_at + minute * MINUTE, *between(minute))
        for minute in range(0, 481, 4)
    ]
    for minute in (150, 180, 210, 250, 290, 330, 370, 410, 450, 480):
        read(scene, batch, started_at, minute, 35.0, 2.1, receiver_c=62.0)
    note(scene, batch, started_at, 52, "Degassing: heating held until it was over")
    wrong = note(scene, batch, started_at, 300, "Receiver changed")
    runs.strike(
        wrong,
        reason="belongs to another run",
        by=scene.keeper,
        request_id=request_id(f"strike run {batch}"),
    )
    runs.import_readings(
        batch,
        log_file,
        by=scene.operator,
        request_id=request_id(f"import run {batch}"),
    )


def run_of_today(scene):
    """Begin a second batch of rubidium, and its run that still goes on."""
    started_at = timezone.now().replace(second=0, microsecond=0) - 330 * MINUTE
    batch = scene.batch(
        "Rb",
        0,
        form="massive",
        kind="made",
        process="reduction",
        route="calcium reduction of the chloride, distilled at 0.02 mbar, second run",
        note="As the first, with the condenser at 65 °C.",
    )
    scene.charge(batch, "RbCl", "source", 58.4, 0.998, "R-2207")
    scene.charge(batch, "Ca", "reductant", 13.9, 0.99, "G-114")
    (receiver,) = scene.tare(batch, "schlenk_flask", 50, [61.2047], scene.fine, 0)
    set_up(scene, batch, started_at, receiver=receiver)
    for minute in (0, 25, 50, 80, 110, 140, 155, 175, 200, 225, 250, 275, 300, 322):
        read(scene, batch, started_at, minute, 31.0, 1.6, receiver_c=65.0)
    return batch


def set_up(scene, batch, started_at, *, ended_at=None, receiver=None):
    facts = {
        "started_at": started_at,
        "ended_at": ended_at,
        "receiver": receiver,
        "receiver_ul": None if receiver else 50 * ML,
        "u_receiver_ul": 200,
        "worth_ug_per_h": WORTH_UG_PER_H,
    }
    runs.set_up(
        batch, facts, by=scene.operator, request_id=request_id(f"set up run {batch}")
    )


def read(scene, batch, started_at, minute, most_g, hours, *, receiver_c):
    """Read everything: the metal comes as a source that is used up gives it."""
    dripping = minute > DRIPS_FROM
    temperature_c, pressure_pa = between(minute)
    left = exp(-(minute - DRIPS_FROM) / 60 / hours)
    level_ml = most_g * (1 - left) / 1.455  # g/mL of rubidium at the receiver
    seen = Seen(
        read_at=started_at + minute * MINUTE,
        temperature_c=temperature_c,
        pressure_pa=pressure_pa,
        receiver_ul=round(level_ml * 5) * ML // 5 if dripping else None,
        receiver_c=receiver_c if dripping else None,
        drip_s=round(4 / left, 1) if dripping else None,
    )
    return record(scene, batch, seen, f"{minute} min")


def note(scene, batch, started_at, minute, words):
    seen = Seen(read_at=started_at + minute * MINUTE, note=words)
    return record(scene, batch, seen, words)


def record(scene, batch, seen, words):
    return runs.read(
        batch, seen, by=scene.operator, request_id=request_id(f"run {batch} {words}")
    )


def between(minute):
    """Return (°C, Pa) at a minute of the heating, on straight lines between steps."""
    before = max(step for step in HEATING if step[0] <= minute)
    after = min((step for step in HEATING if step[0] > minute), default=before)
    share = (minute - before[0]) / max(after[0] - before[0], 1)
    values = (
        one + share * (other - one) for one, other in zip(before, after, strict=True)
    )
    _, temperature_c, pressure_mbar = values
    return round(temperature_c), float(f"{100 * pressure_mbar:.2g}")
