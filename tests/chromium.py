"""The machine's own Chromium, for every test that needs a browser: one driver for a whole test process."""

import os
import shutil
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Playwright, sync_playwright

CHROMIUM = next(
    (
        found
        for name in ("chromium", "chromium-browser", "google-chrome")
        if (found := shutil.which(name))
    ),
    None,
)
# As root there is no sandbox; the rest keeps the browser from asking hosts of its own.
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
# A state that never comes fails the test after this long; no test measures time.
PATIENCE_MS = int(os.environ.get("PLATEPATH_PATIENCE_MS", "120000"))


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """Playwright, driving the machine's own Chromium."""
    if CHROMIUM is None:
        pytest.fail("No Chromium on this machine: `python3 dev.py test` installs it or says how.")
    with sync_playwright() as started:
        yield started


@pytest.fixture(scope="module")
def browser(playwright: Playwright) -> Iterator[Browser]:
    """A running browser for tests that keep nothing over its end."""
    with playwright.chromium.launch(
        executable_path=CHROMIUM, args=FLAGS, timeout=PATIENCE_MS
    ) as started:
        yield started
