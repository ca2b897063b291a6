"""What was recorded before a release is all there after it."""

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
LONG_AGO = date(2020, 1, 31)


def migrate(database, *target):
    subprocess.run(
        [sys.executable, "manage.py", "migrate", "inventory", *target, "-v0"],
        cwd=ROOT,
        env={
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "tests.settings",
            "TAREBOOK_DATABASE_URL": f"sqlite:///{database}",
        },
        check=True,
    )


def test_promises_and_partners_of_before_are_kept_by_the_upgrade(tmp_path):
    database = tmp_path / "book.sqlite3"
    migrate(database, "0004")
    with closing(sqlite3.connect(database)) as connection:
        connection.executemany(
            "INSERT INTO inventory_project (id, title, purpose, partner) "
            "VALUES (?, ?, '', ?)",
            [(1, "A", "Film group"), (2, "B", " film group"), (3, "C", "")],
        )
        connection.execute(
            "INSERT INTO inventory_logentry (id, request_id, verb, summary) "
            "VALUES (1, '0', 'book', '')"
        )
        connection.execute(
            "INSERT INTO inventory_booking "
            "(id, project_id, purpose, needed_by, note, entry_id) "
            "VALUES (1, 1, '', ?, '', 1)",
            [LONG_AGO.isoformat()],
        )
        connection.commit()

    migrate(database)

    with closing(sqlite3.connect(database)) as connection:
        partners = connection.execute("SELECT name FROM inventory_partner").fetchall()
        shared = connection.execute("SELECT project_id FROM inventory_project_partners")
        assert partners == [("Film group",)]
        assert sorted(shared.fetchall()) == [(1,), (2,)]
        ((ends,),) = connection.execute("SELECT expires_on FROM inventory_booking")
        # It still promised on the day before, and a fortnight is left to look at it.
        assert date.fromisoformat(ends) >= date.today() + timedelta(days=13)  # noqa: DTZ011
