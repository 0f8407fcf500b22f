"""What the browser tests share: the built app, a server that can be stopped, a phone."""

import fcntl
import os
import shutil
from collections.abc import Callable, Generator, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Error, Page, Playwright

from tests.chromium import CHROMIUM, FLAGS, PATIENCE_MS
from web.build.__main__ import build
from web.build.server import Handler, Server
from web.build.tools import ROOT

PHONE: dict[str, Any] = {
    "viewport": {"width": 360, "height": 740},
    "has_touch": True,
    "is_mobile": True,
    "device_scale_factor": 2,
}
# Set by the mutation runner: a build of its own, and what every page runs before its own scripts.
BUILT, BUILT_NEXT = (os.environ.get(f"PLATEPATH_DIST{name}") for name in ("", "_NEXT"))
BEFORE_SCRIPTS = os.environ.get("PLATEPATH_BEFORE_SCRIPTS")
# A page that has failed has this long to say what it shows.
LAST_WORD_MS = 10_000
LAST_WORD = """() => JSON.stringify({
  states: { ...document.documentElement.dataset },
  heading: document.querySelector('h1')?.textContent,
  banners: [...document.querySelectorAll('.banner')].map((banner) => banner.innerText),
})"""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Marks everything beside this file as a browser test."""
    for item in items:
        if item.path.is_relative_to(Path(__file__).parent):
            item.add_marker("browser")


def last_words(context: BrowserContext | None) -> str:
    """What the pages of a browser show, for the report of a test that failed."""
    lines: list[str] = []
    for page in context.pages if context else []:
        try:
            said = page.wait_for_function(LAST_WORD, timeout=LAST_WORD_MS).json_value()
        except Error as problem:
            said = f"does not answer: {problem.message.splitlines()[0]}"
        lines.append(f"{page.url}: {said}")
    return "\n".join(lines) or "no page is open"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Adds to a failure what the phone showed."""
    report = yield
    phone = getattr(item, "funcargs", {}).get("phone")
    if report.failed and call.when == "call" and isinstance(phone, Phone):
        report.sections.append(("What the phone shows", last_words(phone.context)))
    return report


@contextmanager
def visiting(browser: Browser, **settings: Any) -> Generator[BrowserContext]:
    """A fresh context of a running browser; a failure within tells what its pages show."""
    context = browser.new_context(**settings)
    context.set_default_timeout(PATIENCE_MS)
    if BEFORE_SCRIPTS:
        context.add_init_script(BEFORE_SCRIPTS)
    try:
        yield context
    except Exception as problem:
        problem.add_note(last_words(context))
        raise
    finally:
        context.close()


@contextmanager
def one_at_a_time(tmp_path_factory: pytest.TempPathFactory) -> Generator[Path]:
    """The folder that all test processes share, held alone: the build writes web/generated."""
    shared = tmp_path_factory.getbasetemp()
    if shared.name.startswith("popen"):
        shared = shared.parent
    with (shared / "build.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield shared


@pytest.fixture(scope="session")
def built_app(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The static folder, built once for all test processes."""
    if BUILT:
        return Path(BUILT)
    with one_at_a_time(tmp_path_factory) as shared:
        out = shared / "dist"
        return out if out.exists() else build(out=out)


@pytest.fixture(scope="session")
def next_version(built_app: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The static folder of a version to come: the same engine under another version string."""
    if BUILT_NEXT:
        return Path(BUILT_NEXT)
    with one_at_a_time(tmp_path_factory) as shared:
        out = shared / "dist-next"
        if out.exists():
            return out
        engine = shared / "next" / "engine"
        shutil.copytree(ROOT / "engine", engine, ignore=shutil.ignore_patterns("__pycache__"))
        start = engine / "__init__.py"
        lines = start.read_text().splitlines()
        changed = ['__version__ = "9999.0"' if "__version__ =" in line else line for line in lines]
        assert changed != lines, "engine/__init__.py no longer sets __version__ on one line"
        start.write_text("\n".join(changed) + "\n")
        try:
            return build(engine=engine, out=out)
        finally:
            # web/generated belongs to the version that is worked on.
            build(out=shared / "dist")


@pytest.fixture
def server(built_app: Path) -> Iterator[Server]:
    """The built app on a port of its own; `stop()` cuts the network, `start()` brings it back."""
    running = Server(built_app)
    running.start()
    yield running
    running.stop()


@dataclass
class Phone:
    """A browser profile at phone size that outlives the browser."""

    playwright: Playwright
    profile: Path
    requests: list[str] = field(default_factory=list[str])
    errors: list[str] = field(default_factory=list[str])
    context: BrowserContext | None = None

    def open(self, url: str) -> Page:
        """Starts the browser on the profile, if it is not running, and opens a page."""
        if self.context is None:
            self.context = self.playwright.chromium.launch_persistent_context(
                str(self.profile),
                executable_path=CHROMIUM,
                headless=True,
                args=FLAGS,
                timeout=PATIENCE_MS,
                **PHONE,
            )
            self.context.set_default_timeout(PATIENCE_MS)
            self.context.set_default_navigation_timeout(PATIENCE_MS)
            if BEFORE_SCRIPTS:
                self.context.add_init_script(BEFORE_SCRIPTS)
            self.context.on("request", lambda request: self.requests.append(request.url))
            self.context.on("weberror", lambda error: self.errors.append(str(error.error)))
        page = self.context.new_page()
        page.goto(url)
        return page

    def close(self) -> None:
        """Ends the browser; the profile stays."""
        if self.context is not None:
            self.context.close()
            self.context = None

    def other_origins(self, url: str) -> list[str]:
        """What was asked of anybody but the app's own origin."""
        own = (url, "blob:", "data:", "about:")
        return [asked for asked in self.requests if not asked.startswith(own)]


@pytest.fixture
def phone(playwright: Playwright, tmp_path: Path) -> Iterator[Phone]:
    """A phone: 360 × 740, touch, a profile of its own that is kept over relaunches."""
    made = Phone(playwright, tmp_path / "profile")
    yield made
    made.close()


@pytest.fixture
def holding_back() -> Callable[[Server, str], AbstractContextManager[None]]:
    """Lets a server break off in the middle of every file whose path holds a given text."""

    @contextmanager
    def hold(server: Server, part: str) -> Generator[None]:
        def half(handler: Handler, asked: str) -> bool:
            if part not in asked:
                return False
            content = (server.folder / asked).read_bytes()
            handler.send_response(200)
            handler.send_header("Content-Type", "application/octet-stream")
            handler.send_header("Content-Length", str(len(content)))
            handler.end_headers()
            handler.wfile.write(content[: len(content) // 2])
            handler.wfile.flush()
            handler.close_connection = True
            return True

        server.before = half
        try:
            yield
        finally:
            server.before = None

    return hold
