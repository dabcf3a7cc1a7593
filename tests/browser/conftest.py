"""A server of its own with the demo in it, as `hangar serve` starts it, and Chromium."""

import os
import shutil
import socket
import subprocess
import sys
import time
from contextlib import closing, contextmanager
from urllib.error import HTTPError, URLError
from urllib.request import urlopen

import pytest
from playwright.sync_api import sync_playwright

from hangar.demo import ACCOUNTS
from hangar.testing.plugin import browser_program
from tests.browser.site import Site

COMMAND = [sys.executable, "-P", "-c", "from hangar.cli import main; main()"]
START_LIMIT_S = 60
PATIENCE_MS = 15_000


def _environment(folder):
    clean = {name: value for name, value in os.environ.items() if not name.startswith("HANGAR_")}
    return clean | {"HANGAR_DATA_DIR": str(folder)}


def _run(folder, *arguments):
    done = subprocess.run(
        [*COMMAND, *arguments],
        env=_environment(folder),
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory):
    """The demo's data folder, made once; to be copied, not used."""
    folder = tmp_path_factory.mktemp("demo")
    _run(folder, "migrate", "-v0")
    _run(folder, "shell", "-v0", "-c", "from hangar import demo; demo.load()")
    return folder


@pytest.fixture(scope="module")
def site(demo_folder, tmp_path_factory):
    """The demo, served from a copy that the tests of one file may change."""
    folder = tmp_path_factory.mktemp("served") / "data"
    shutil.copytree(demo_folder, folder)
    with _served(folder) as address, _chromium() as browser:
        yield Site(address, browser, {account.username: account.password for account in ACCOUNTS},
                   lambda name: _run(folder, "token", name))  # fmt: skip


@contextmanager
def _served(folder):
    port = _free_port()
    log = folder / "server.log"
    with log.open("wb") as output:
        process = subprocess.Popen(
            [*COMMAND, "serve", "--port", str(port), "--workers", "1"],
            env=_environment(folder),
            cwd=folder,
            stdout=output,
            stderr=subprocess.STDOUT,
        )
    address = f"http://127.0.0.1:{port}"
    try:
        _wait_for(address, process, log)
        yield address
    finally:
        process.terminate()
        process.wait(20)


def _free_port():
    with closing(socket.socket()) as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def _wait_for(address, process, log):
    deadline = time.monotonic() + START_LIMIT_S
    while time.monotonic() < deadline and process.poll() is None:
        try:
            with urlopen(f"{address}/sign-in/", timeout=5):
                return
        except HTTPError:
            break
        except (URLError, OSError):
            time.sleep(0.1)
    raise AssertionError(f"The server did not start: {log.read_text(errors='replace')[-1000:]}")


@contextmanager
def _chromium():
    # For one file at a time: Django refuses its database to a thread that Playwright runs in.
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=browser_program(), args=["--no-sandbox"]
        )
        yield browser
        browser.close()


@pytest.fixture
def open_page(site):
    """Open a page for an account, or for nobody; everything it opened is closed afterwards."""
    contexts = []

    def opened(name=None, *, width=1280, height=800, **options):
        context = site.context(name, viewport={"width": width, "height": height}, **options)
        context.set_default_timeout(PATIENCE_MS)
        contexts.append(context)
        return context.new_page()

    yield opened
    for context in contexts:
        context.close()
