"""Pytest plugin: chooses the database, and runs the database tests on both of them.

It is loaded by `-p` because the choice must stand before Django reads its settings; made in a
conftest.py it comes too late, and a run meant for PostgreSQL passes on SQLite without a word.
"""

import atexit
import json
import os
import shutil
import sqlite3
import tempfile
from collections.abc import Generator
from pathlib import Path
from typing import Any

import pytest

from hangar.testing import postgres
from hangar.testing.second_run import SecondRun, counts_text

_VENDOR = {"both": "sqlite", "sqlite": "sqlite", "postgres": "postgresql"}
_DATABASE_FIXTURES = {"db", "transactional_db", "live_server"}
_INSTALLATION = ("DATABASE_URL", "DEBUG", "HTTPS", "ALLOWED_HOSTS", "SECRET_KEY")
_BROWSERS = ("chromium", "chromium-browser", "google-chrome")


def browser_program() -> str | None:
    """Give the path of a Chromium on this machine, or None."""
    return next(filter(None, map(shutil.which, _BROWSERS)), None)


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add the choice of database."""
    group = parser.getgroup("hangar")
    group.addoption(
        "--db",
        choices=sorted(_VENDOR),
        default="both",
        help="database of the run; both (the default): everything on SQLite, and the tests that "
        "use a database on PostgreSQL as well",
    )
    group.addoption("--db-report", metavar="FILE", help="write the outcome to FILE, as JSON")


@pytest.hookimpl(wrapper=True)
def pytest_load_initial_conftests(early_config: pytest.Config) -> Generator[None, Any, Any]:
    """Point Django's settings at the database chosen, in a data folder of this run's own."""
    # A wrapper comes before the other plugin, which reads Django's settings in this hook.
    if "PYTEST_XDIST_WORKER" not in os.environ:
        early_config.pluginmanager.register(_Run(early_config), "hangar-run")
    return (yield)


def pytest_configure() -> None:
    """Make passwords cheap; a test of sign-in is no test of the strength of a hash."""
    from django.conf import settings

    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]


@pytest.fixture(autouse=True)
def _fresh_cache() -> None:
    from django.core.cache import cache

    cache.clear()


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Mark the browser tests; on PostgreSQL leave out what no database can change."""
    for item in items:
        if item.path.is_relative_to(config.rootpath / "tests" / "browser"):
            item.add_marker(pytest.mark.browser)
    if config.getoption("db") == "postgres":
        _keep_database_tests(config, items)
    _skip_without_browser(items)
    if hasattr(config, "workeroutput"):
        config.workeroutput["database_tests"] = sum(map(_uses_database, items))


def _keep_database_tests(config: pytest.Config, items: list[pytest.Item]) -> None:
    kept = [item for item in items if _uses_database(item)]
    config.hook.pytest_deselected(items=[item for item in items if not _uses_database(item)])
    items[:] = kept


def _uses_database(item: pytest.Item) -> bool:
    from django.test import TransactionTestCase

    if item.get_closest_marker("browser"):
        return False
    if item.get_closest_marker("django_db"):
        return True
    if issubclass(getattr(item, "cls", None) or object, TransactionTestCase):
        return True
    return not _DATABASE_FIXTURES.isdisjoint(getattr(item, "fixturenames", ()))


def _skip_without_browser(items: list[pytest.Item]) -> None:
    if browser_program() or os.environ.get("HANGAR_REQUIRE_BROWSER") == "1":
        return
    for item in items:
        if item.get_closest_marker("browser"):
            item.add_marker(pytest.mark.skip(reason="no Chromium on this machine"))


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_runtestloop(session: pytest.Session) -> Generator[None, Any, Any]:
    """Hold the database in use against the one that was asked for."""
    from django.db import connection

    wanted = _VENDOR[session.config.getoption("db")]
    if connection.vendor != wanted:
        raise pytest.UsageError(f"Django uses {connection.vendor}, but {wanted} was asked for.")
    return (yield)


class _Run:
    """The process that a person started: prepares the database, and closes with the outcome."""

    def __init__(self, config: pytest.Config) -> None:
        self.config = config
        self.chosen: str = config.known_args_namespace.db
        self.folder = Path(tempfile.mkdtemp(prefix="hangar-test-"))
        self.cluster: postgres.Cluster | None = None
        # At the exit, because a run that ends in its preparations never gets to its closing.
        atexit.register(self._take_down)
        self.second: SecondRun | None = None
        self.told_by_workers = 0
        for name in _INSTALLATION:
            os.environ.pop(f"HANGAR_{name}", None)
        os.environ["HANGAR_DATA_DIR"] = str(self.folder)
        self.about = f"SQLite {sqlite3.sqlite_version}"
        if self.chosen == "postgres":
            self._start_cluster()

    def _start_cluster(self) -> None:
        try:
            self.cluster = postgres.start()
        except postgres.NoPostgres as error:
            raise pytest.UsageError(f"No PostgreSQL for this run: {error}.") from error
        os.environ["HANGAR_DATABASE_URL"] = self.cluster.url
        self.about = self.cluster.about

    @pytest.hookimpl(wrapper=True)
    def pytest_runtestloop(self, session: pytest.Session) -> Generator[None, Any, Any]:
        """Start the second run: beside this one, or after it where workers fill the machine."""
        if self.chosen != "both" or self.config.option.collectonly:
            return (yield)
        self.second = SecondRun(self.config, self.folder)
        if self.config.pluginmanager.has_plugin("dsession"):
            result = yield
            self.second.start(self.told_by_workers)
            return result
        self.second.start(sum(map(_uses_database, session.items)))
        return (yield)

    @pytest.hookimpl(optionalhook=True)
    def pytest_testnodedown(self, node: Any) -> None:
        """Take from a worker how many of its tests use a database."""
        told = getattr(node, "workeroutput", {}).get("database_tests", 0)
        self.told_by_workers = max(self.told_by_workers, told)

    @pytest.hookimpl(wrapper=True, tryfirst=True)
    def pytest_sessionfinish(
        self, session: pytest.Session, exitstatus: int
    ) -> Generator[None, Any, Any]:
        """Wait for the second run; this run passes only if both do."""
        result = yield
        if self.second:
            self.second.finish(interrupted=exitstatus == pytest.ExitCode.INTERRUPTED)
            if self.second.is_failed and session.exitstatus in (
                pytest.ExitCode.OK,
                pytest.ExitCode.NO_TESTS_COLLECTED,
            ):
                session.exitstatus = pytest.ExitCode.TESTS_FAILED
        return result

    @pytest.hookimpl(tryfirst=True)
    def pytest_unconfigure(self) -> None:
        """Print the closing lines."""
        reporter = self.config.pluginmanager.get_plugin("terminalreporter")
        if reporter is not None:
            self._close(reporter)

    def _take_down(self) -> None:
        if self.cluster:
            self.cluster.stop()
        shutil.rmtree(self.folder, ignore_errors=True)

    def _close(self, reporter: Any) -> None:
        counts = {
            outcome: len(reporter.stats.get(outcome, ()))
            for outcome in ("failed", "error", "passed", "skipped", "xfailed", "xpassed")
        }
        report = self.config.getoption("db_report", None)
        if report:
            Path(report).write_text(json.dumps({"about": self.about, "counts": counts}))
        if not any(counts.values()):
            return
        reporter.write_line(f"{self.about}: {counts_text(counts)}")
        if self.second:
            for line in self.second.closing_lines():
                reporter.write_line(line)
        for line in _not_run(reporter):
            reporter.write_line(line)


def _not_run(reporter: Any) -> list[str]:
    names = sorted(
        report.nodeid
        for report in reporter.stats.get("skipped", ())
        if "browser" in getattr(report, "keywords", ())
    )
    if not names:
        return []
    return ["Not run for want of a browser:", *(f"  {name}" for name in names)]
