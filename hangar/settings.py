"""Settings. Everything that differs between installations comes from HANGAR_… variables."""

import os
from datetime import timedelta
from pathlib import Path
from typing import Any

import dj_database_url
from django.core.exceptions import ImproperlyConfigured
from django.core.management.utils import get_random_secret_key

from hangar import data_folder

# The systems of equations here are small: a second thread of the linear algebra costs more than it
# gives, and beside a busy server many times more. Read when numpy is first imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


def _flag(name: str) -> bool:
    value = os.environ.get(name, "0")
    if value not in ("", "0", "1"):
        raise ImproperlyConfigured(f"{name} is {value!r}; write 1 for yes or 0 for no.")
    return value == "1"


def _resource(name: str) -> Path:
    # A wheel carries the folder inside the package; a checkout has it beside the package.
    package = Path(__file__).parent
    inside = package / name
    return inside if inside.is_dir() else package.parent / name


def _database() -> dict[str, Any]:
    url = os.environ.get("HANGAR_DATABASE_URL")
    if url:
        found: dict[str, Any] = dict(
            dj_database_url.parse(url, conn_max_age=60, conn_health_checks=True)
        )
        # Compiling a short query of many joins takes a hundred times as long as answering it.
        found["OPTIONS"] = {"options": "-c jit=off", **found.get("OPTIONS", {})}
        return found
    return {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": DATA_DIR / "hangar.sqlite3",
        "OPTIONS": {
            "timeout": 20,
            # Taking the write lock at the start lets writers wait in turn; a transaction that
            # reads first and then writes would be refused at once instead.
            "transaction_mode": "IMMEDIATE",
            "init_command": (
                "PRAGMA journal_mode=WAL;"
                "PRAGMA synchronous=NORMAL;"
                "PRAGMA temp_store=MEMORY;"
                "PRAGMA cache_size=-16000;"
                "PRAGMA mmap_size=134217728;"
            ),
        },
        # A file, as in real use: threads then hold connections of their own.
        "TEST": {"NAME": str(DATA_DIR / "test.sqlite3")},
    }


DATA_DIR = data_folder.path()
DEBUG = _flag("HANGAR_DEBUG")
HTTPS = _flag("HANGAR_HTTPS")

# Importing the settings writes nothing. Without a kept key (checks, type checker) one is made up
# for this process; whatever serves pages calls data_folder.prepare() first.
SECRET_KEY = (
    os.environ.get("HANGAR_SECRET_KEY") or data_folder.read_key(DATA_DIR) or get_random_secret_key()
)

ALLOWED_HOSTS = [
    host.strip()
    for host in os.environ.get("HANGAR_ALLOWED_HOSTS", "localhost,127.0.0.1,[::1]").split(",")
    if host.strip()
]

INSTALLED_APPS = [
    "hangar.clubs",
    "inventory",
    "builds",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "rest_framework",
    "django_filters",
    "drf_spectacular",
    "drf_spectacular_sidecar",
    "knox",
    "axes",
    "django_htmx",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "hangar.middleware.ContentSecurityPolicyMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "hangar.middleware.UserErrorMiddleware",
    "axes.middleware.AxesMiddleware",
]

ROOT_URLCONF = "hangar.urls"
WSGI_APPLICATION = "hangar.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [_resource("templates")],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
            "libraries": {
                "measures": "hangar.templatetags.measures",
                "pieces": "hangar.templatetags.pieces",
            },
        },
    },
]

DATABASES = {"default": _database()}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "clubs.User"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
LOGIN_URL = "/sign-in/"
LOGIN_REDIRECT_URL = "/"
LOGOUT_REDIRECT_URL = "/sign-in/"
AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = timedelta(minutes=15)
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_CALLABLE = "hangar.clubs.pages.locked_out"

# Without a mail server the notices are printed where the server runs.
EMAIL_HOST = os.environ.get("HANGAR_MAIL_HOST", "")
EMAIL_BACKEND = f"django.core.mail.backends.{'smtp' if EMAIL_HOST else 'console'}.EmailBackend"
EMAIL_TIMEOUT = 10
DEFAULT_FROM_EMAIL = os.environ.get("HANGAR_MAIL_FROM", "hangar@localhost")

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English")]
USE_I18N = True
TIME_ZONE = "UTC"
USE_TZ = True

STATIC_URL = "/static/"
STATICFILES_DIRS = [folder for folder in [_resource("static")] if folder.is_dir()]
# Files are served from where the apps keep them: no collecting step before a start.
WHITENOISE_USE_FINDERS = True

X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_SECURE = HTTPS
CSRF_FAILURE_VIEW = "hangar.error_pages.csrf_failure"
if HTTPS:
    SECURE_SSL_REDIRECT = True
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_HSTS_SECONDS = 365 * 24 * 3600
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    # Errors go to the console of whoever runs the server, not to a mailbox nobody set up.
    "loggers": {
        "django": {"handlers": ["console"], "level": "WARNING", "propagate": False},
        # A wrong address or host name is the client's affair; faults of the server still show.
        "django.request": {"level": "ERROR"},
        "django.security.DisallowedHost": {"level": "CRITICAL"},
    },
}

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "hangar.authentication.KeyAuthentication",
        "rest_framework.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["hangar.renderers.RoundedJSONRenderer"],
    "DEFAULT_PARSER_CLASSES": [
        "hangar.parsers.BoundedJSONParser",
        "rest_framework.parsers.MultiPartParser",
    ],
    "DEFAULT_FILTER_BACKENDS": ["django_filters.rest_framework.DjangoFilterBackend"],
    "DEFAULT_PAGINATION_CLASS": "hangar.pagination.KeysetPagination",
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "DEFAULT_THROTTLE_CLASSES": [
        "rest_framework.throttling.AnonRateThrottle",
        "rest_framework.throttling.UserRateThrottle",
    ],
    # Per second, because the throttle keeps and rewrites every request time of its period.
    "DEFAULT_THROTTLE_RATES": {"anon": "50/second", "user": "200/second"},
    # Never believe a client that names its own address.
    "NUM_PROXIES": 0,
    "EXCEPTION_HANDLER": "hangar.errors.problem_response",
    "URL_FORMAT_OVERRIDE": None,
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
}

REST_KNOX = {
    "AUTH_HEADER_PREFIX": "Bearer",
    "TOKEN_TTL": timedelta(days=90),
}

SPECTACULAR_SETTINGS = {
    "TITLE": "hangar",
    "DESCRIPTION": "Parts, builds, balance, findings and battery packs of model aircraft.",
    "VERSION": "1",
    "SCHEMA_PATH_PREFIX": r"/api/v1",
    "COMPONENT_SPLIT_REQUEST": True,
    "SWAGGER_UI_DIST": "SIDECAR",
    "SWAGGER_UI_FAVICON_HREF": "SIDECAR",
    # The validator badge would call an outside host.
    "SWAGGER_UI_SETTINGS": {"deepLinking": True, "validatorUrl": None},
    # Choices stay where they are used: shared names for them would need a line for each new kind.
    "POSTPROCESSING_HOOKS": ["hangar.schema.drop_marks", "hangar.schema.describe_problems"],
}
