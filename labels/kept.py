"""Finished PDFs, kept for an hour for whoever made them."""

import os
import time
from pathlib import Path
from typing import Any
from uuid import UUID

from django.conf import settings

KEPT_S = 3600


def folder() -> Path:
    return Path(settings.FILES_DIR) / "prints"


def path_of(user: Any, job: UUID) -> Path:
    return folder() / f"{user.pk}-{job}.pdf"


def keep(user: Any, job: UUID, pdf: bytes) -> None:
    """Keep a PDF, whole or not at all, and clear away those that are too old."""
    folder().mkdir(parents=True, exist_ok=True)
    sweep()
    path = path_of(user, job)
    unfinished = path.with_suffix(".part")
    unfinished.write_bytes(pdf)
    os.replace(unfinished, path)


def find(user: Any, job: UUID) -> Path | None:
    """Return where the PDF of this user's job is, or None once its hour is over."""
    path = path_of(user, job)
    return path if path.exists() and _is_young(path) else None


def sweep() -> None:
    for path in folder().iterdir():
        if not _is_young(path):
            path.unlink(missing_ok=True)


def _is_young(path: Path) -> bool:
    try:
        return time.time() - path.stat().st_mtime < KEPT_S
    except FileNotFoundError:
        return False
