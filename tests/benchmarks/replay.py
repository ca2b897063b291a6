"""How long the replay command takes for each vessel, and how much memory it needs.

Run by hand from the repository: python -m tests.benchmarks.replay
or with other numbers of vessels:  python -m tests.benchmarks.replay --n 100000
Each number gets a database of its own, filled in bulk with copies of one vessel that
was filled, drawn from and weighed again, and a process of its own that reads it.
"""

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
from io import StringIO
from pathlib import Path
from time import perf_counter

ROOT = Path(__file__).resolve().parents[2]
AT_ONCE = 500
# macOS counts bytes, Linux kibibytes.
PER_MIB = 2**20 if sys.platform == "darwin" else 2**10


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--n", type=int, nargs="+", default=[1_000, 10_000])
    parser.add_argument("--part", choices=["build", "read"], help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.part:
        set_up()
        parts = {"build": lambda: build(given.n[0]), "read": read}
        sys.stdout.write(json.dumps(parts[given.part]()))
        return
    for number in given.n:
        report(number)


def report(number):
    """Build and read so many vessels, and write one line about them."""
    with tempfile.TemporaryDirectory() as folder:
        database = f"sqlite:///{folder}/vessels.sqlite3"
        events = run("build", number, database)
        took = run("read", number, database)
    sys.stdout.write(
        f"{number:>7} vessels of {events} events: {took['seconds']:7.2f} s, "
        f"{took['seconds'] / number * 1e6:6.0f} µs a vessel, "
        f"peak {took['peak_mib']:.0f} MiB ({took['start_mib']:.0f} MiB before)\n"
    )
    sys.stdout.flush()


def run(part, number, database):
    """Return what one part says, run in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", __spec__.name, "--part", part, "--n", str(number)],
        cwd=ROOT,
        env={
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "tests.settings",
            "TAREBOOK_DATABASE_URL": database,
        },
        stdout=subprocess.PIPE,
        check=True,
    )
    return json.loads(done.stdout)


def set_up():
    import django

    django.setup()


def build(number):
    """Fill the database with so many vessels; return how many events each has."""
    from django.core.management import call_command
    from django.db import transaction

    from inventory.operations import taking
    from tests.factories import G, make_batch, make_check, make_weighed_vessel, take

    call_command("setup", stdout=StringIO())
    pattern = make_weighed_vessel(make_batch("NaK"), gain_ug=5 * G)
    take(pattern, taking.Drawn(1_000, 10, 22.0))
    for _ in range(3):
        make_check(pattern, 300)
    pattern.refresh_from_db()
    with transaction.atomic():
        for first in range(2, number + 1, AT_ONCE):
            copy(pattern, range(first, min(first + AT_ONCE, number + 1)))
    return pattern.events.count()


def copy(pattern, numbers):
    """Record the pattern's whole story again for vessels with these numbers."""
    from inventory.models import Estimate, Event, Movement, Vessel

    def fields(row):
        facts = {f.attname: getattr(row, f.attname) for f in row._meta.concrete_fields}
        del facts["id"]
        return facts

    copies = Vessel.objects.bulk_create(
        Vessel(**{**fields(pattern), "number": n, "code": f"{pattern.batch}-{n:02}"})
        for n in numbers
    )
    stories = [
        (pattern.movements_in, "to_vessel"),
        (pattern.movements_out, "from_vessel"),
    ]
    for rows, side in stories:
        for row in rows.order_by("id"):
            same = fields(row)
            Movement.objects.bulk_create(
                Movement(**{**same, f"{side}_id": vessel.pk}) for vessel in copies
            )
    for row in pattern.events.in_order():
        same = fields(row)
        events = Event.objects.bulk_create(
            Event(**{**same, "vessel_id": vessel.pk}) for vessel in copies
        )
        told = fields(row.estimates.order_by("id").last())
        Estimate.objects.bulk_create(
            Estimate(**{**told, "vessel_id": event.vessel_id, "event_id": event.pk})
            for event in events
        )


def peak_mib():
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / PER_MIB


def read():
    """Run the command; return its seconds, and the memory before and at most."""
    from django.core.management import call_command

    start_mib, began = peak_mib(), perf_counter()
    call_command("replay", stdout=StringIO())
    return {
        "seconds": perf_counter() - began,
        "start_mib": start_mib,
        "peak_mib": peak_mib(),
    }


if __name__ == "__main__":
    main()
