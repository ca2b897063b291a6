"""The project's settings, made quick and independent of the shell's environment."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path

os.environ.setdefault("TAREBOOK_SECRET_KEY", "for-tests-only")
os.environ.setdefault("TAREBOOK_SECURE_COOKIES", "false")

from inventory.config.settings import *  # noqa: F403

PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
STORAGES["staticfiles"]["BACKEND"] = (  # noqa: F405
    "django.contrib.staticfiles.storage.StaticFilesStorage"
)
WHITENOISE_AUTOREFRESH = True

# A folder of its own for every process, so that workers do not count each other's.
FILES_DIR = Path(tempfile.mkdtemp(prefix="tarebook-files-"))
atexit.register(shutil.rmtree, FILES_DIR, ignore_errors=True)
