"""What every test run needs: a database of its own, quick passwords, and a browser where one is asked for."""

import gc
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from django.conf import settings as django_settings
from playwright.sync_api import Browser, sync_playwright

from tests.ledger_flush import django_db_setup  # noqa: F401  (for the tests that really commit)

CHROMIUM = ("chromium", "chromium-browser", "google-chrome")
WINDOWLESS = "chromium-headless-shell"  # the same engine without the windows that nobody sees: a page of a fresh browser costs a fifth, but no PDF opens in it
IN_CI = os.environ.get("CI", "").lower() == "true"

# what a test asks for that stands on the tests' database
ON_THE_DATABASE = {"db", "transactional_db", "live_server"}
# what a test asks for that looks at pages
AT_PAGES = {"client", "as_person"}

# Playwright's own event loop runs in the tests' thread, and Django takes that for asynchronous code
os.environ.setdefault("DJANGO_ALLOW_ASYNC_UNSAFE", "true")


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> Iterator[None]:
    """Mark what touches the tests' database: the rest says the same on every database. (Whatever touches it unasked, pytest-django fails.)

    And what looks at pages: those ask of the database only what other tests ask of it too, but for some that say so.
    What drives a browser comes last: Playwright's event loop stays in the thread, and what seals papers brings one of its own.
    """
    for item in items:
        asked = set(getattr(item, "fixturenames", ()))
        if ON_THE_DATABASE & asked or item.get_closest_marker("django_db"):
            item.add_marker("database")
        if AT_PAGES & asked:
            item.add_marker("pages")
        if "launch" in asked:
            item.add_marker("browser")
    yield
    items.sort(key=lambda item: item.get_closest_marker("browser") is not None)


def pytest_collection_finish() -> None:
    """What is loaded by now stays: walking it for garbage again and again was a tenth of the tests' time."""
    gc.collect()
    gc.freeze()


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
def no_files_looked_for_again(request: pytest.FixtureRequest, settings: object) -> None:
    """Each client of a test starts the site anew, and would go through all static files first."""
    settings.WHITENOISE_AUTOREFRESH = "live_server" not in request.fixturenames


@pytest.fixture(autouse=True)
def no_seal_but_the_tests_own(settings: object, tmp_path: Path) -> None:
    """Whoever runs the tests may have a seal beside manage.py."""
    settings.SEAL_FILE = str(tmp_path / "seal.pem")


@pytest.fixture(autouse=True)
def nothing_is_left_for_later(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is done after the answer is done at once, in the test's own thread and transaction."""
    monkeypatch.setattr("records.firm.later.after_the_answer", lambda work, *given, **named: work(*given, **named))


@pytest.fixture(scope="session")
def launch() -> Iterator[Callable[..., Browser]]:
    """Start the first of these browsers that the system has. Without any the test is skipped at a desk, and fails in CI."""
    with sync_playwright() as playwright:
        started = []

        def first_of(*names: str) -> Browser:
            found = next(filter(None, map(shutil.which, names)), None)
            if found is None:
                (pytest.fail if IN_CI else pytest.skip)(f"none of these is on this machine: {', '.join(names)}")
            started.append(playwright.chromium.launch(executable_path=Path(found), args=["--no-sandbox", "--disable-dev-shm-usage"]))
            return started[-1]

        yield first_of
        for browser in started:
            browser.close()


@pytest.fixture(scope="session")
def browser(launch: Callable[..., Browser]) -> Browser:
    """The system's Chromium, without windows where there is such a one."""
    return launch(WINDOWLESS, *CHROMIUM)


@pytest.fixture(scope="session")
def whole_browser(launch: Callable[..., Browser]) -> Browser:
    """The system's Chromium as people have it, with all that it shows beside pages."""
    return launch(*CHROMIUM)
