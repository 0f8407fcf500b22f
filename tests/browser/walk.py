"""Walking the app as a person would, and looking at what a screen reader and a small screen get."""

import re
from collections.abc import Generator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page

from tests.browser.conftest import PHONE, visiting
from web.build.tools import ROOT, WEB

BOOKSHELF = ROOT / "fixtures" / "other_domain"
AXE = WEB / "node_modules" / "axe-core" / "axe.min.js"
# The usual nameplate of this app's wizard: the words of one button.
USUAL_NAMEPLATE = "Three-phase, 480 V delta to 208Y/120 V, 4-wire"
STANDARDS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


@contextmanager
def bookshelf(browser: Browser, **settings: Any) -> Generator[BrowserContext]:
    """A phone on which the unchanged bundle gets another field's questions and engine."""
    with visiting(browser, **{**PHONE, "service_workers": "block", **settings}) as context:
        context.route(
            "**/questions-*.json",
            lambda route: route.fulfill(
                body=(BOOKSHELF / "questions.json").read_text(), content_type="application/json"
            ),
        )
        context.route(
            "**/worker-*.js",
            lambda route: route.fulfill(
                body=(BOOKSHELF / "worker.js").read_text(), content_type="text/javascript"
            ),
        )
        yield context


def start(page: Page, purpose: int = 0) -> None:
    """Begins a new job from the jobs list."""
    page.get_by_role("link", name="New job").click()
    page.locator(".purposes button").nth(purpose).click()
    page.wait_for_url("**/ask/**")


def ask_of(page: Page) -> str:
    """The path of the question on the screen."""
    return page.url.split("/ask/")[1].split("/")[0]


def tap(page: Page, label: str) -> None:
    """Answers the question on the screen with one of its buttons and waits for the next page."""
    before = page.url
    words = re.compile(rf"^{re.escape(label)}(\s|$)")
    page.locator("button.choice", has_text=words).first.click()
    page.wait_for_url(lambda url: url != before)


def enter(page: Page, text: str) -> None:
    """Types an answer, opening "other" where it is closed, and continues."""
    before = page.url
    page.wait_for_selector(f"#field-{ask_of(page).replace('.', '-')}")
    if not page.locator(".entry input, .entry textarea").count():
        page.locator(".choice.other").first.click()
    page.locator(".entry input, .entry textarea").fill(text)
    page.get_by_role("button", name="Continue").click()
    page.wait_for_url(lambda url: url != before)


def go(page: Page, name: str) -> None:
    """Goes to one of the four pages of the job that is open."""
    page.locator(".job-nav, .jumps").get_by_role("link", name=name).click()
    page.wait_for_selector(f"h1:text-is('{name}')")


def wait_for_the_result(page: Page) -> None:
    """Waits until what is shown was worked out from the last answers: no line says that it is old."""
    page.wait_for_selector(".value, .check", state="attached")
    page.wait_for_selector("main .note[role=status]", state="detached")


def verdict(page: Page, check: str) -> str:
    """The verdict's word of one line of the checklist."""
    wait_for_the_result(page)
    words = page.locator(f"#check-{check} > .verdict").first.inner_text()
    return words.split("·")[0].strip()


def accessibility_problems(page: Page) -> list[str]:
    """What axe-core finds on the screen as it is, one line each."""
    page.evaluate(AXE.read_text())
    found = page.evaluate(
        "standards => axe.run(document, { runOnly: standards, resultTypes: ['violations'] })",
        STANDARDS,
    )
    return [
        f"{problem['id']}: {node['html'][:160]} {node.get('failureSummary', '')}"
        for problem in found["violations"]
        for node in problem["nodes"]
    ]


def is_wider_than_screen(page: Page) -> bool:
    """Whether the page scrolls sideways."""
    return page.evaluate("document.documentElement.scrollWidth > window.innerWidth")


def small_targets(page: Page) -> list[str]:
    """Controls under 44 CSS pixels in height; links inside a sentence are not controls."""
    return page.evaluate(
        """() => [...document.querySelectorAll('button, a.button, label.button, .job-nav a, summary, select, input:not(.hidden):not([type=checkbox])')]
          .filter((part) => part.checkVisibility() && !part.closest('.skip'))
          .filter((part) => part.getBoundingClientRect().height < 44)
          .map((part) => `${part.tagName} ${part.className} ${part.textContent.slice(0, 30)} ${part.getBoundingClientRect().height}`)"""
    )


def saved_job(page: Page, index: int = 0) -> dict[str, Any]:
    """One job as it lies in the phone's storage, newest first."""
    return page.evaluate(
        """async (index) => {
          const database = await new Promise((done, failed) => {
            const asked = indexedDB.open('platepath');
            asked.onsuccess = () => done(asked.result);
            asked.onerror = () => failed(asked.error);
          });
          const all = await new Promise((done) => {
            const asked = database.transaction('jobs').objectStore('jobs').getAll();
            asked.onsuccess = () => done(asked.result);
          });
          database.close();
          all.sort((left, right) => right.changed - left.changed);
          return all[index] ?? null;
        }""",
        index,
    )


def file(tmp_path: Path, name: str, content: str | bytes) -> Path:
    """A file to be opened in the app."""
    path = tmp_path / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path
