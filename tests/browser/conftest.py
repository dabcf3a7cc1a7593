"""A server of its own with the demo in it, as `hangar serve` starts it, and Chromium."""

import shutil
from contextlib import contextmanager

import pytest
from playwright.sync_api import sync_playwright

from hangar.demo import ACCOUNTS
from hangar.testing.plugin import browser_program
from tests.browser.site import Site
from tests.server import make_demo, run_command, serving

PATIENCE_MS = 15_000


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory):
    """The demo's data folder, made once; to be copied, not used."""
    folder = tmp_path_factory.mktemp("demo")
    make_demo(folder)
    return folder


@pytest.fixture(scope="module")
def site(demo_folder, tmp_path_factory):
    """The demo, served from a copy that the tests of one file may change."""
    folder = tmp_path_factory.mktemp("served") / "data"
    shutil.copytree(demo_folder, folder)
    with serving(folder) as address, _chromium() as browser:
        yield Site(address, browser, {account.username: account.password for account in ACCOUNTS},
                   lambda name: run_command(folder, "token", name))  # fmt: skip


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
