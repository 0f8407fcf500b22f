"""The main job, offline reload and storage in Firefox and WebKit."""

import contextlib
import json
import os
import shutil
import subprocess
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Protocol

import pytest
from selenium import webdriver

from tests.browser.walk import USUAL_NAMEPLATE
from tests.chromium import PATIENCE_MS
from web.build.tools import ROOT, environment

FIREFOX = shutil.which("firefox-esr") or shutil.which("firefox")
WEBKIT_DRIVER = shutil.which("WebKitWebDriver")
XVFB = shutil.which("Xvfb")
MINI_BROWSERS = sorted(Path("/usr/lib").glob("*/webkit2gtk-4.*/MiniBrowser"))
POLL_SECONDS = 0.2


class Engine(Protocol):
    """What the tests need of a browser, whatever drives it."""

    relaunches: bool

    def go(self, url: str) -> None:
        """Opens an address."""

    def run(self, code: str) -> object:
        """The value of an expression in the page."""

    def close(self) -> None:
        """Ends the browser."""


class Firefox:
    """Firefox over WebDriver BiDi, through puppeteer-core, which needs no driver program."""

    relaunches = True

    def __init__(self, profile: Path) -> None:
        program = Path(__file__).with_name("firefox.mjs")
        profile.mkdir(exist_ok=True)
        node = shutil.which("node", path=environment()["PATH"])
        self.process = subprocess.Popen(
            [node, program, ROOT, FIREFOX, profile],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            # As root with another user's home, Firefox refuses to start.
            env={**environment(), "HOME": str(profile)},
        )

    def _say(self, **command: str) -> object:
        self.process.stdin.write(json.dumps(command) + "\n")
        self.process.stdin.flush()
        answer = json.loads(self.process.stdout.readline())
        assert "problem" not in answer, answer["problem"]
        return answer["result"]

    def go(self, url: str) -> None:
        self._say(do="go", url=url)

    def run(self, code: str) -> object:
        return self._say(do="run", code=code)

    def close(self) -> None:
        if self.process.poll() is None:
            with contextlib.suppress(OSError, ValueError):
                self._say(do="close")
            self.process.communicate()


class WebKit:
    """WebKitGTK's MiniBrowser through its WebDriver, on a screen of its own."""

    # Its automation sessions keep nothing once they end.
    relaunches = False

    def __init__(self, profile: Path) -> None:
        profile.mkdir(exist_ok=True)
        reading, writing = os.pipe()
        self.screen = subprocess.Popen(
            [XVFB, "-displayfd", str(writing), "-screen", "0", "800x800x24", "-nolisten", "tcp"],
            pass_fds=[writing],
            stderr=subprocess.DEVNULL,
        )
        os.close(writing)
        with os.fdopen(reading) as ready:
            display = f":{ready.readline().strip()}"
        options = webdriver.WebKitGTKOptions()
        options.binary_location = str(MINI_BROWSERS[-1])
        options.add_argument("--automation")
        surroundings = {
            **os.environ,
            "DISPLAY": display,
            "HOME": str(profile),
            # The tests run as root in CI, where the sandbox cannot be set up.
            "WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS": "1",
            "WEBKIT_DISABLE_COMPOSITING_MODE": "1",
        }
        service = webdriver.webkitgtk.service.Service(WEBKIT_DRIVER, env=surroundings)
        self.driver = webdriver.WebKitGTK(options=options, service=service)
        self.driver.set_page_load_timeout(PATIENCE_MS / 1000)
        self.driver.set_script_timeout(PATIENCE_MS / 1000)

    def go(self, url: str) -> None:
        self.driver.get(url)

    def run(self, code: str) -> object:
        return self.driver.execute_script(f"return ({code});")

    def close(self) -> None:
        self.driver.quit()
        self.screen.terminate()
        self.screen.wait()


def missing(engine: type) -> list[str]:
    """What this machine lacks to run an engine."""
    needed = (
        {"firefox-esr": FIREFOX}
        if engine is Firefox
        else {
            "webkit2gtk-driver": WEBKIT_DRIVER and MINI_BROWSERS,
            "xvfb": XVFB,
        }
    )
    return [package for package, found in needed.items() if not found]


@pytest.fixture(params=[Firefox, WebKit], ids=["firefox", "webkit"])
def start(request, tmp_path) -> Iterator[Callable[[], Engine]]:
    """Starts the browser on a profile that stays the same within a test."""
    lacking = missing(request.param)
    if lacking:
        # In CI everything is there; on a newcomer's machine these two are extra.
        assert not os.environ.get("CI"), f"CI must install {lacking}"
        pytest.skip(f"not on this machine: {', '.join(lacking)} (Debian's packages)")
    running: list[Engine] = []

    def make() -> Engine:
        running.append(request.param(tmp_path / "profile"))
        return running[-1]

    yield make
    for browser in running:
        browser.close()


def wait(browser: Engine, code: str) -> object:
    """Waits until an expression in the page is true, and returns its value."""
    until = time.monotonic() + PATIENCE_MS / 1000
    while time.monotonic() < until:
        # A page that is being replaced answers nothing for a moment.
        with contextlib.suppress(Exception):
            found = browser.run(code)
            if found:
                return found
        time.sleep(POLL_SECONDS)
    raise AssertionError(f"never true: {code}; the page says {browser.run(STATE)}")


STATE = "JSON.stringify({...document.documentElement.dataset})"


def wait_until(browser: Engine, **states: str) -> None:
    """Waits until the page says of itself what is given."""
    for name, state in states.items():
        wait(browser, f"document.documentElement.dataset.{name} === {json.dumps(state)}")


def press(browser: Engine, selector: str, words: str) -> None:
    """Presses the element that begins with some words, once it is there."""
    wait(
        browser,
        "(() => { const found = [...document.querySelectorAll("
        f"{json.dumps(selector)})].find((one) => one.innerText.trim().split(/\\s/)[0] === "
        f"{json.dumps(words)} || one.innerText.trim() === {json.dumps(words)});"
        " found?.click(); return Boolean(found); })()",
    )


def answer(browser: Engine, path: str, words: str) -> None:
    """Answers the question of a path with one of its buttons."""
    wait(browser, f"location.hash.includes('/ask/{path}')")
    press(browser, "button.choice", words)


def shown_limit(browser: Engine, title: str) -> object:
    """What the limits page shows beside a title."""
    return wait(
        browser,
        "[...document.querySelectorAll('.value')].find((row) => "
        f"row.querySelector('.value-title')?.innerText === {json.dumps(title)})"
        "?.querySelector('.value-shown')?.innerText",
    )


def test_the_main_job_works_offline_and_is_kept(start, server) -> None:
    browser = start()
    browser.go(server.url)
    wait_until(browser, offline="offline_ready", engine="ready", snapshot="kept")
    server.stop()

    press(browser, "a", "New job")
    wait(
        browser,
        "(document.querySelector('.purposes button')?.click(), location.hash.includes('/ask/'))",
    )
    answer(browser, "nameplate_voltages", USUAL_NAMEPLATE)
    answer(browser, "transformer.kva", "75")
    answer(browser, "primary.device.rating", "125")
    # 75 kVA × 1000 / (1.732 × 480 V): own arithmetic.
    assert shown_limit(browser, "Full-load current, primary") == "90.2 A"

    job = browser.run("location.href")
    if browser.relaunches:
        browser.close()
        browser = start()
    browser.go(server.url)
    wait_until(browser, offline="offline_ready", engine="ready", start="snapshot")
    browser.go(job)
    assert shown_limit(browser, "Full-load current, primary") == "90.2 A"


def test_the_plain_start_works_too(start, server) -> None:
    browser = start()
    browser.go(server.url)
    wait(browser, "(localStorage.setItem('platepath-start', 'plain'), true)")
    browser.go(f"{server.url}?again")
    wait_until(browser, offline="offline_ready", engine="ready", start="plain")
    assert browser.run("document.documentElement.dataset.snapshot ?? null") is None
