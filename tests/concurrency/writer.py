"""One of several processes that write to the same SQLite file.

`prepare` sets the database up and prints a vessel's key; `draw KEY TIMES GATE`
waits for the file GATE and then takes metal out of the vessel so many times.
"""

import sys
import time
from pathlib import Path

import django

django.setup()

from django.core.management import call_command  # noqa: E402

from inventory.models import Vessel  # noqa: E402
from inventory.operations import taking  # noqa: E402
from tests.factories import G, make_batch, make_vessel, take  # noqa: E402


def prepare():
    call_command("setup", stdout=sys.stderr)
    print(make_vessel(make_batch("NaK"), holding_ug=5 * G).pk)  # noqa: T201


def draw(key, times, gate):
    vessel = Vessel.objects.get(pk=key)
    Path(f"{gate}-{time.monotonic_ns()}-ready").touch()
    while not Path(gate).exists():
        time.sleep(0.005)
    for _ in range(int(times)):
        take(vessel, taking.Drawn(10, 1, 22.0))


if __name__ == "__main__":
    {"prepare": prepare, "draw": draw}[sys.argv[1]](*sys.argv[2:])
