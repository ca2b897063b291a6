"""Settings for every environment; what differs comes from TAREBOOK_… variables.

DEVELOPERS.md lists each variable; a test keeps that list complete.
"""

from pathlib import Path

import environ
from csp.constants import NONE, SELF

BASE_DIR = Path(__file__).resolve().parents[2]

env = environ.FileAwareEnv()
env.prefix = "TAREBOOK_"

DEBUG = env.bool("DEBUG", default=False)
SECRET_KEY = env.str("SECRET_KEY", default="only-for-debug" if DEBUG else env.NOTSET)
ALLOWED_HOSTS = env.list("ALLOWED_HOSTS", default=[])
CSRF_TRUSTED_ORIGINS = env.list("CSRF_TRUSTED_ORIGINS", default=[])

# The address printed in QR codes, as in https://metals.example.org. Empty: the
# address the page was asked for under.
PUBLIC_URL = env.str("PUBLIC_URL", default="").rstrip("/")

INSTALLED_APPS = [
    "inventory",
    "labels",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.forms",
    "django_filters",
    "django_tables2",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "inventory.web.middleware.PlainTextMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "inventory.web.middleware.RoleMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]

ROOT_URLCONF = "inventory.config.urls"
WSGI_APPLICATION = "inventory.config.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "builtins": ["inventory.templatetags.ui"],
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    }
]
FORM_RENDERER = "inventory.web.renderer.FormRenderer"

DATA_DIR = BASE_DIR / ".data"
DATA_DIR.mkdir(exist_ok=True)
DATABASES = {
    "default": env.db_url("DATABASE_URL", default=f"sqlite:///{DATA_DIR}/db.sqlite3")
}
if DATABASES["default"]["ENGINE"] == "django.db.backends.sqlite3":
    # Take the write lock when a transaction begins, so that writers queue
    # instead of failing half way; WAL lets readers go on meanwhile.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;",
    }

# Photos and certificates of batches. No address leads here: a view serves them.
FILES_DIR = Path(env.str("FILES_DIR", default=str(DATA_DIR / "files")))
FILE_BYTES_MAX = 20_000_000
PICTURE_PIXELS_MAX = 30_000_000
FILE_UPLOAD_HANDLERS = [
    "inventory.web.bounds.BoundedUploadHandler",
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "django.core.files.uploadhandler.TemporaryFileUploadHandler",
]

# Letters about requests and bookings. Without a server they are printed where the
# application runs.
vars().update(env.email_url("EMAIL_URL", default="consolemail://"))
EMAIL_TIMEOUT = 10  # Seconds; a mail server that hangs must not hang a page.
DEFAULT_FROM_EMAIL = env.str("FROM_EMAIL", default="tarebook@localhost")

AUTH_USER_MODEL = "inventory.User"
LOGIN_URL = "login"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "login"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]

LANGUAGE_CODE = "en-gb"
TIME_ZONE = env.str("TIME_ZONE", default="UTC")
USE_I18N = False
USE_TZ = True
# Day first with the month in letters: 03/04 has two readings, 3 Apr has one.
DATE_FORMAT = "j M Y"
DATETIME_FORMAT = "j M Y, H:i"

STATIC_URL = "static/"
# The labels' typeface, so that a label on the page looks as it will on paper.
STATICFILES_DIRS = [("labels/fonts", BASE_DIR / "labels" / "fonts")]
STATIC_ROOT = DATA_DIR / "static"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if DEBUG
        else "whitenoise.storage.CompressedManifestStaticFilesStorage"
    },
}

# Where Tarebook runs, on its console: what it refuses and what it could not send.
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}
    },
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "loggers": {"inventory": {"handlers": ["console"], "level": "INFO"}},
}

DJANGO_TABLES2_TEMPLATE = "components/table.html"

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}

SECURE_COOKIES = env.bool("SECURE_COOKIES", default=not DEBUG)
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_COOKIES
SECURE_SSL_REDIRECT = SECURE_COOKIES
SECURE_HSTS_SECONDS = 31_536_000 if SECURE_COOKIES else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = SECURE_COOKIES
if env.bool("BEHIND_PROXY", default=False):
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
