"""Damage done past every guard, and the command that has to find it."""

from contextlib import contextmanager
from io import StringIO

from django.core.management import CommandError, call_command
from django.db import connection, transaction

from tests.conftest import kept_by


def replay():
    """Return what the command says, and what it ends with if it finds anything."""
    said = StringIO()
    try:
        call_command("replay", stdout=said, no_color=True)
    except CommandError as error:
        return said.getvalue(), str(error)
    return said.getvalue(), None


@contextmanager
def damaged():
    """Let SQL past the triggers; what it did, and what it dropped, is undone after."""
    with transaction.atomic():
        with connection.cursor() as cursor:
            for _, drop in reversed(list(kept_by(connection.vendor))):
                cursor.execute(drop)
            yield cursor
        transaction.set_rollback(True)
