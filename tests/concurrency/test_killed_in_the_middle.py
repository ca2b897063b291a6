"""A process that is killed in the middle of a write leaves all of it or nothing."""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import connection

ROOT = Path(__file__).resolve().parents[2]
PATIENCE_S = 120
acts = pytest.mark.parametrize("act", ["book", "withdraw", "hand over"])


def died_ever_later(act, database):
    """Return what was on record before, after each death, and in the end."""
    done = subprocess.run(
        [sys.executable, "-m", "tests.concurrency.killed", act],
        cwd=ROOT,
        env={
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "tests.settings",
            "TAREBOOK_DATABASE_URL": database,
        },
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def check(found):
    assert len(found["deaths"]) > 2
    for cause, on_record in found["deaths"]:
        assert cause == signal.SIGKILL
        assert on_record == found["before"]
    assert found["after"] != found["before"]


@acts
def test_a_killed_process_leaves_all_or_nothing_on_sqlite(act, tmp_path):
    check(died_ever_later(act, f"sqlite:///{tmp_path}/book.sqlite3"))


@acts
@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
@pytest.mark.usefixtures("postgres")
def test_a_killed_process_leaves_all_or_nothing_on_postgresql(act):
    facts = connection.settings_dict
    who = f"{facts['USER']}:{facts['PASSWORD']}@" if facts["USER"] else ""
    where = f"{facts['HOST'] or '127.0.0.1'}:{facts['PORT'] or 5432}"

    check(died_ever_later(act, f"postgres://{who}{where}/{facts['NAME']}"))
