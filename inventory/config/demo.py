"""The environment of `manage.py demo`: production's settings on this one machine."""

import os
import secrets
from pathlib import Path

DATA = Path(__file__).resolve().parents[2] / ".data"


def prepare():
    """Set what a server would be given, unless it is set already.

    The database is always a file of its own, and photos and certificates have a
    folder of their own, so that trying things out cannot touch real records.
    """
    DATA.mkdir(exist_ok=True)
    key = DATA / "demo-secret-key"
    if not key.exists():
        key.write_text(secrets.token_urlsafe(50))
        key.chmod(0o600)
    os.environ["TAREBOOK_DATABASE_URL"] = f"sqlite:///{DATA / 'demo.sqlite3'}"
    os.environ["TAREBOOK_FILES_DIR"] = str(DATA / "demo-files")
    os.environ.setdefault("TAREBOOK_SECRET_KEY", key.read_text())
    os.environ.setdefault("TAREBOOK_ALLOWED_HOSTS", "*")
    os.environ.setdefault("TAREBOOK_SECURE_COOKIES", "false")
