"""One of several processes that write to the same SQLite file.

`prepare` sets the database up and prints a vessel's key; `draw KEY TIMES GATE`
waits for the file GATE and then takes metal out of the vessel so many times;
`promise KEY TIMES GATE` books a quarter of a gram of it so many times, and prints how
often it was refused.
"""

import sys
import time
from pathlib import Path

import django

django.setup()

from django.core.management import call_command  # noqa: E402

from inventory.models import Vessel  # noqa: E402
from inventory.operations import taking  # noqa: E402
from inventory.operations.errors import NotEnough  # noqa: E402
from tests.factories import (  # noqa: E402
    G,
    make_batch,
    make_booking,
    make_project,
    make_vessel,
    take,
)


def prepare():
    call_command("setup", stdout=sys.stderr)
    print(make_vessel(make_batch("NaK"), holding_ug=5 * G).pk)  # noqa: T201


def wait_at(gate):
    Path(f"{gate}-{time.monotonic_ns()}-ready").touch()
    while not Path(gate).exists():
        time.sleep(0.005)


def draw(key, times, gate):
    vessel = Vessel.objects.get(pk=key)
    wait_at(gate)
    for _ in range(int(times)):
        take(vessel, taking.Drawn(10, 1, 22.0))


def promise(key, times, gate):
    vessel, project, refused = Vessel.objects.get(pk=key), make_project(), 0
    wait_at(gate)
    for _ in range(int(times)):
        try:
            make_booking(vessel, G // 4, project=project)
        except NotEnough:
            refused += 1
    print(refused)  # noqa: T201


if __name__ == "__main__":
    {"prepare": prepare, "draw": draw, "promise": promise}[sys.argv[1]](*sys.argv[2:])
