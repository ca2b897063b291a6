"""On SQLite writers wait for each other, and nothing they write is lost."""

import os
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

from tests.factories import G

ROOT = Path(__file__).resolve().parents[2]
WRITERS, TIMES = 3, 12
PATIENCE_S = 60


def start(database, *arguments):
    return subprocess.Popen(
        [sys.executable, "-m", "tests.concurrency.writer", *map(str, arguments)],
        cwd=ROOT,
        env={
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "tests.settings",
            "TAREBOOK_DATABASE_URL": f"sqlite:///{database}",
        },
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def finish(process):
    """Return what a writer printed; what it stumbled over fails the test."""
    out, complaint = process.communicate(timeout=PATIENCE_S)
    assert process.returncode == 0, complaint
    return out


def wait_until_ready(folder, writers):
    until = time.monotonic() + PATIENCE_S
    while len(list(folder.glob("gate-*-ready"))) < len(writers):
        assert time.monotonic() < until, "the writers did not start"
        for writer in writers:
            assert writer.poll() is None, writer.communicate()[1]
        time.sleep(0.02)


def test_processes_that_write_at_the_same_moment_queue_and_none_is_lost(tmp_path):
    database, gate = tmp_path / "book.sqlite3", tmp_path / "gate"
    key = finish(start(database, "prepare")).strip()
    writers = [start(database, "draw", key, TIMES, gate) for _ in range(WRITERS)]
    wait_until_ready(tmp_path, writers)

    gate.touch()
    for writer in writers:
        finish(writer)

    with closing(sqlite3.connect(database)) as connection:
        taken, drawn = connection.execute(
            "SELECT COUNT(*), SUM(mass_ug) FROM inventory_movement "
            "WHERE from_vessel_id = ?",
            [key],
        ).fetchone()
        (one,) = connection.execute(
            "SELECT DISTINCT mass_ug FROM inventory_movement WHERE kind = 'withdrawal'"
        ).fetchone()
    assert taken == WRITERS * TIMES
    assert drawn == taken * one


def test_processes_that_book_at_the_same_moment_promise_no_more_than_there_is(tmp_path):
    database, gate = tmp_path / "book.sqlite3", tmp_path / "gate"
    key = finish(start(database, "prepare")).strip()
    writers = [start(database, "promise", key, TIMES, gate) for _ in range(WRITERS)]
    wait_until_ready(tmp_path, writers)

    gate.touch()
    refused = sum(int(finish(writer)) for writer in writers)

    with closing(sqlite3.connect(database)) as connection:
        booked, promised_ug = connection.execute(
            "SELECT COUNT(*), SUM(mass_ug) FROM inventory_bookingline"
        ).fetchone()
    assert promised_ug == 5 * G  # all of the 5 g, a quarter of a gram at a time
    assert (booked, refused) == (20, WRITERS * TIMES - 20)
