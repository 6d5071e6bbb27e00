"""The only reader of the environment; the only place (with urls.py) that joins the apps, by name."""

import os
import secrets
import sys
from pathlib import Path

from django.core.exceptions import ImproperlyConfigured

from records.connecting import database, mail, site_address

try:  # the interpreter's own SQLite may carry a write-ahead-log fault; the bundled one does not
    import pysqlite3

    sys.modules["sqlite3"] = pysqlite3
except ImportError:
    pass

BASE_DIR = Path(__file__).resolve().parent.parent


def env_yes(name: str) -> bool:
    """Read a yes/no setting; anything but yes, no or nothing is an error."""
    value = os.environ.get(name, "no").lower()
    if value not in ("yes", "no"):
        raise ImproperlyConfigured(f"{name} is {value!r}: say yes or no")
    return value == "yes"


def secret_key(production: bool) -> str:
    """The key from the environment; on a desk, one made once and kept beside manage.py, readable by its owner alone."""
    if given := os.environ.get("SPADEWORK_SECRET_KEY"):
        return given
    if production:
        raise ImproperlyConfigured("SPADEWORK_SECRET_KEY must be set in production")
    path = BASE_DIR / ".secret-key"
    try:
        with open(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "w") as file:
            file.write(secrets.token_urlsafe(60))
    except FileExistsError:
        pass
    return path.read_text()


PRODUCTION = env_yes("SPADEWORK_PRODUCTION")
SECRET_KEY = secret_key(PRODUCTION)
DEBUG = env_yes("SPADEWORK_DEBUG") and not PRODUCTION
ALLOWED_HOSTS = [h for h in os.environ.get("SPADEWORK_HOSTS", "127.0.0.1,localhost,[::1]").split(",") if h]
SITE_ADDRESS = site_address(os.environ.get("SPADEWORK_ADDRESS", ""))
CSRF_TRUSTED_ORIGINS = [o for o in os.environ.get("SPADEWORK_ORIGINS", "").split(",") if o]

DATABASES = {"default": database(os.environ.get("DATABASE_URL") or f"sqlite:///{BASE_DIR / 'spadework.sqlite3'}")}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

INSTALLED_APPS = [
    "records.ledger",
    "records.firm",
    "records.letters",
    "records.exchange",
    "records.files",
    "records.books",
    "training",
    "locates.grids",
    "locates.instruments",
    "locates.surveys",
    "locates.owners",
    "locates.permits",
    "locates.life",
    "locates.papers",
    "locates.recall",
    "locates.trials",
    "locates.logs",
    "locates.fieldwork",
    "locates.lookovers",
    "locates.desks",
    "locates.watch",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "crispy_forms",
    "crispy_bootstrap5",
]
# the apps that hold registers, from the ground up: the order in which folders are loaded
REGISTER_APPS = [
    "records.firm",
    "training",
    "locates.grids",
    "locates.instruments",
    "locates.surveys",
    "locates.owners",
    "locates.permits",
    "locates.life",
    "locates.recall",
    "locates.trials",
    "locates.fieldwork",
    "locates.lookovers",
]
# what the database itself refuses, and where `verify` finds what was signed
LEDGER_GUARDS = [
    "records.ledger.guards.GUARDS",
    "records.letters.guards.GUARDS",
    "locates.permits.guards.GUARDS",
    "locates.life.guards.GUARDS",
    "locates.papers.guards.GUARDS",
    "locates.lookovers.guards.GUARDS",
    "locates.recall.guards.GUARDS",
]
# files that belong to records lie here, outside the database and of what is served; who may see one, books say
FILES_FOLDER = os.environ.get("SPADEWORK_FILES") or str(BASE_DIR / ".files")
FILES_GATEKEEPER = "records.books.reaching.may_see"
# the key and the certificate with which papers are sealed, in one file; where there is none, papers are not sealed
SEAL_FILE = os.environ.get("SPADEWORK_SEAL") or str(BASE_DIR / ".seal.pem")
# what a change of records would do to open permits: who looks, and who compares
BOOK_EFFECTS = ("locates.permits.effects.look", "locates.permits.effects.compare")
# what stands above a book and has a line to add to the page of one of its records, by kind of record
BOOK_LINES = {"instrument": ("locates.trials.facts.line_of_instrument",), "trace": ("locates.surveys.facts.promise_of_level",)}
# what else is made once the first person is on record, given the firm's name and the instant
ONCE_SET_UP = ("locates.papers.seal.first_seal",)
# what else the demo firm is given once it is loaded, given the instant and the site's own address
DEMO_MORE = ("locates.papers.demo.live", "locates.lookovers.demo.write_some", "locates.logs.demo.bring_in")
# by whose clocks somebody reads the history
LEDGER_ZONE = "records.firm.facts.own_zone"
# what became of permits since they were signed, and by which ties it names people
PERMIT_SINCE = "locates.life.since"
PERMIT_NAMES = ("steps__to",)
# what other apps have to say on the page of a record, by its kind
LEAF_PARTS = {
    "locate": ["locates.recall.beside.of_locate", "locates.fieldwork.beside.part", "locates.logs.beside.part"],
    **{kind: ["locates.recall.beside.of_finding"] for kind in ("calibration", "check", "award", "wrongplan")},
    "instrument": ["locates.recall.beside.of_instrument"],
    "enquiry": ["locates.recall.beside.of_enquiry"],
}
# and on somebody's first page, before all else
FIRST_PAGE_PARTS = ["locates.watch.beside.part"]
# and on the page of a permit, after its life
PERMIT_PARTS = [
    "locates.permits.following_up.part",
    "locates.recall.beside.of_permit",
    "locates.lookovers.desk.part",
    "locates.papers.beside.part",
]
# and on the page of a step, by the state that it leads to
STEP_PARTS = {"handed_back": ["locates.papers.beside.to_bring_back"], "cancelled": ["locates.papers.beside.to_bring_back"]}
# what is owed before anybody digs by permits today
PERMIT_OWED = "locates.lookovers.desk.owing"
# where locates' field sheets have the digs that they are made for
DIGS_OF_LOCATES = "locates.fieldwork.facts.digs_of"
LEDGER_BESIDE = ["records.files.facts.faults", "locates.papers.facts.faults"]
LEDGER_WITNESSES = {
    "permit.sign": "locates.permits.witness.signatures",
    "permit.step": "locates.life.witness.steps",
    "permit.diary_written": "locates.lookovers.witness.rows",
}

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "records.headers.strict",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "records.firm.views.door.leavers",
    "records.firm.views.door.Doorkeeper",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]
ROOT_URLCONF = "records.urls"
WSGI_APPLICATION = "records.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                *(f"django.{one}" for one in ("template.context_processors.request", "contrib.auth.context_processors.auth")),
                *("django.contrib.messages.context_processors.messages", "records.looks.looks"),
            ]
        },
    }
]
CRISPY_ALLOWED_TEMPLATE_PACKS = CRISPY_TEMPLATE_PACK = "bootstrap5"

AUTH_USER_MODEL = "firm.Person"
PASSWORD_HASHERS = [f"django.contrib.auth.hashers.{one}PasswordHasher" for one in ("Argon2", "PBKDF2")]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator", "OPTIONS": {"user_attributes": ("person", "name", "email")}},
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 12}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "sign_in"
LOGIN_REDIRECT_URL = "home"
LOGOUT_REDIRECT_URL = "sign_in"

LANGUAGE_CODE = "en-gb"
TIME_ZONE = "UTC"
USE_TZ = True
USE_I18N = False

STATIC_URL = "static/"
STATICFILES_DIRS = [BASE_DIR / "records" / "static", ("vendor/fonts", BASE_DIR / "records" / "vendor" / "fonts")]
WHITENOISE_USE_FINDERS = True

# mail: invitations, new passwords, and word that one was changed
for _name, _value in mail(os.environ.get("SPADEWORK_MAIL_URL", "")).items():
    globals()[_name] = _value
DEFAULT_FROM_EMAIL = os.environ.get("SPADEWORK_MAIL_FROM", "spadework@localhost")
PASSWORD_RESET_TIMEOUT = 3 * 24 * 3600
# in production the first person is asked for it, so that nobody else can come first
SET_UP_CODE = os.environ.get("SPADEWORK_SET_UP_CODE", "")

SESSION_COOKIE_AGE = 12 * 3600
IDLE_SECONDS = 4 * 3600  # unheard of for so long, a session is over
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
if PRODUCTION:
    SECURE_SSL_REDIRECT = True
    SECURE_HSTS_SECONDS = 365 * 24 * 3600
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    SESSION_COOKIE_SECURE = True
    SESSION_COOKIE_NAME = "__Host-session"
    CSRF_COOKIE_SECURE = True
    CSRF_COOKIE_NAME = "__Host-csrf"
    if env_yes("SPADEWORK_BEHIND_TLS_PROXY"):
        SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
