"""The settings of Django for the desk, made when it starts; none is read from a file."""

from __future__ import annotations

import logging
import secrets
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import django
from django.conf import settings

from subspark.errors import UsageError
from subspark.store.setup import data_folder, database

__all__ = ["begin", "secret_of"]

_HERE = Path(__file__).parent
SESSION_LASTS = 12 * 3600
_LARGEST_FORM = 4 * 1024 * 1024
LARGEST_FILE = 64 * 1024 * 1024
"""The largest workbook or document that is taken in [bytes]."""


def secret_of(folder: Path) -> str:
    """The key that signs sessions, made once and kept beside the data, for its owner alone."""
    path = folder / "secret.key"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if not path.exists():
            path.touch(mode=0o600)
            path.write_text(secrets.token_urlsafe(64), encoding="ascii")
        return path.read_text(encoding="ascii")
    except OSError as error:
        raise UsageError(f"{path}: cannot be kept ({error.strerror})") from None


def begin(
    *,
    folder: Path | None = None,
    address: str | None = None,
    hosts: Sequence[str] = (),
    https: bool = False,
    **more: Any,  # noqa: ANN401 - any setting of Django, for tests
) -> None:
    """Set Django up for the desk. It can be done once in a process.

    Parameters
    ----------
    folder : Path, optional
        Where data are kept; by default :func:`subspark.store.setup.data_folder`.
    address : str, optional
        The database; by default SQLite in the folder.
    hosts : sequence of str
        Further names under which the desk is reached.
    https : bool
        Whether it stands behind a server that speaks HTTPS: cookies then go by that only.
    """
    if settings.configured:
        return
    folder = data_folder() if folder is None else folder
    whole: dict[str, Any] = {
        "DEBUG": False,
        "SECRET_KEY": secret_of(folder),
        "SUBSPARK_FOLDER": folder,
        "ALLOWED_HOSTS": ["127.0.0.1", "localhost", "[::1]", *hosts],
        "DATABASES": {"default": database(address, folder)},
        "INSTALLED_APPS": [
            "django.contrib.auth",
            "django.contrib.contenttypes",
            "django.contrib.sessions",
            "django.contrib.staticfiles",
            "django_htmx",
            "subspark.store",
            "subspark.desk.apps.DeskConfig",
        ],
        "AUTH_USER_MODEL": "store.Person",
        "AUTHENTICATION_BACKENDS": ["django.contrib.auth.backends.ModelBackend"],
        "PASSWORD_HASHERS": [
            "django.contrib.auth.hashers.Argon2PasswordHasher",
            "django.contrib.auth.hashers.PBKDF2PasswordHasher",
        ],
        "AUTH_PASSWORD_VALIDATORS": [
            {
                "NAME": f"django.contrib.auth.password_validation.{name}",
                "OPTIONS": options,
            }
            for name, options in (
                ("UserAttributeSimilarityValidator", {"user_attributes": ("name", "full_name")}),
                ("MinimumLengthValidator", {"min_length": 10}),
                ("CommonPasswordValidator", {}),
            )
        ],
        "MIDDLEWARE": [
            "django.middleware.security.SecurityMiddleware",
            "subspark.desk.guard.headers",
            "whitenoise.middleware.WhiteNoiseMiddleware",
            "django.middleware.gzip.GZipMiddleware",
            "django.contrib.sessions.middleware.SessionMiddleware",
            "django.middleware.common.CommonMiddleware",
            "django.middleware.csrf.CsrfViewMiddleware",
            "django.contrib.auth.middleware.AuthenticationMiddleware",
            "django_htmx.middleware.HtmxMiddleware",
            "subspark.desk.guard.errors",
        ],
        "ROOT_URLCONF": "subspark.desk.urls",
        "TEMPLATES": [
            {
                "BACKEND": "django.template.backends.django.DjangoTemplates",
                "DIRS": [_HERE / "templates"],
                "OPTIONS": {
                    "context_processors": [
                        "django.template.context_processors.request",
                        "django.contrib.auth.context_processors.auth",
                        "subspark.desk.guard.everywhere",
                    ],
                    "builtins": ["subspark.desk.templatetags.desk"],
                },
            }
        ],
        "STATIC_URL": "/static/",
        "STATICFILES_DIRS": [_HERE / "static"],
        "STATICFILES_FINDERS": [
            "django.contrib.staticfiles.finders.FileSystemFinder",
            "django.contrib.staticfiles.finders.AppDirectoriesFinder",
        ],
        "WHITENOISE_USE_FINDERS": True,
        "WHITENOISE_AUTOREFRESH": False,
        "WHITENOISE_MAX_AGE": 3600,
        "SESSION_COOKIE_NAME": "subspark",
        "SESSION_COOKIE_AGE": SESSION_LASTS,
        "SESSION_COOKIE_HTTPONLY": True,
        "SESSION_COOKIE_SAMESITE": "Lax",
        "SESSION_COOKIE_SECURE": https,
        "CSRF_COOKIE_HTTPONLY": True,
        "CSRF_COOKIE_SAMESITE": "Strict",
        "CSRF_COOKIE_SECURE": https,
        "CSRF_FAILURE_VIEW": "subspark.desk.guard.csrf_failed",
        "CSRF_TRUSTED_ORIGINS": [f"https://{host}" for host in hosts] if https else [],
        "SECURE_CONTENT_TYPE_NOSNIFF": True,
        "SECURE_REFERRER_POLICY": "same-origin",
        "SECURE_CROSS_ORIGIN_OPENER_POLICY": "same-origin",
        "SECURE_HSTS_SECONDS": 31536000 if https else 0,
        "X_FRAME_OPTIONS": "DENY",
        "DATA_UPLOAD_MAX_MEMORY_SIZE": _LARGEST_FORM,
        "DATA_UPLOAD_MAX_NUMBER_FIELDS": 5000,
        "DATA_UPLOAD_MAX_NUMBER_FILES": 4,
        "FILE_UPLOAD_TEMP_DIR": None,
        "LOGIN_URL": "sign-in",
        "USE_TZ": True,
        "TIME_ZONE": "UTC",
        "USE_I18N": False,
        "LANGUAGE_CODE": "en",
        "APPEND_SLASH": False,
        "LOGGING_CONFIG": None,
        "DEFAULT_AUTO_FIELD": "django.db.models.BigAutoField",
    }
    settings.configure(**{**whole, **more})
    logging.getLogger("django").setLevel(logging.ERROR)
    # A name that is not ours is answered with 400; it needs no traceback in the log.
    logging.getLogger("django.security.DisallowedHost").setLevel(logging.CRITICAL)
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)
    django.setup()
