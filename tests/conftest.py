"""What every test run needs: a database of its own, quick passwords, and a browser where one is asked for."""

import os
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from django.conf import settings as django_settings
from playwright.sync_api import Browser, sync_playwright

from tests.ledger_flush import django_db_setup  # noqa: F401  (for the tests that really commit)

CHROMIUM = ("chromium", "chromium-browser", "google-chrome")
IN_CI = os.environ.get("CI", "").lower() == "true"

# Playwright's own event loop runs in the tests' thread, and Django takes that for asynchronous code
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings_parallel_suffix: None, tmp_path_factory: pytest.TempPathFactory) -> None:
    """On SQLite the tests use a file, as the site does: the default in-memory database has other locks."""
    database = django_settings.DATABASES["default"]
    if database["ENGINE"].endswith("sqlite3"):
        database["TEST"]["NAME"] = str(tmp_path_factory.mktemp("database") / "tests.sqlite3")


@pytest.fixture(autouse=True)
def quick_passwords(settings: object) -> None:
    """A password that is slow to hash would be most of the tests' time."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture(autouse=True)
def no_seal_but_the_tests_own(settings: object, tmp_path: Path) -> None:
    """Whoever runs the tests may have a seal beside manage.py."""
    settings.SEAL_FILE = str(tmp_path / "seal.pem")


@pytest.fixture(autouse=True)
def nothing_is_left_for_later(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is done after the answer is done at once, in the test's own thread and transaction."""
    monkeypatch.setattr("records.firm.later.after_the_answer", lambda work, *given, **named: work(*given, **named))


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The system's Chromium. Without one the test is skipped at a desk, and fails in CI."""
    found = next(filter(None, map(shutil.which, CHROMIUM)), None)
    if found is None:
        (pytest.fail if IN_CI else pytest.skip)("no Chromium on this machine: apt-get install chromium")
    with sync_playwright() as playwright:
        launched = playwright.chromium.launch(executable_path=Path(found), args=["--no-sandbox", "--disable-dev-shm-usage"])
        yield launched
        launched.close()
