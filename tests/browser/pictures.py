"""`python3 dev.py pictures`: the README's pictures, taken from the app itself at phone size."""

from pathlib import Path

from playwright.sync_api import Page, sync_playwright

from tests.browser.conftest import PHONE
from tests.browser.states import wait_until
from tests.browser.walk import USUAL_NAMEPLATE, go, start, tap
from tests.chromium import CHROMIUM, FLAGS, PATIENCE_MS
from web.build.server import Server
from web.build.tools import ROOT, WEB

TO = WEB / "pictures"
TITLES = {
    "01_sound_75_kva": "Packing hall T1",
    "02_no_system_bonding_jumper": "Label room T2",
    "03_two_system_bonding_jumpers": "Cold store T3",
}


def take(page: Page, name: str) -> None:
    """One picture of what the phone shows."""
    page.evaluate("window.scrollTo(0, 0)")
    page.screenshot(path=str(TO / f"{name}.png"))


def close_banner(page: Page) -> None:
    """Puts away the word that the network may be left; it would cover every picture."""
    close = page.get_by_role("button", name="Close")
    if close.count():
        close.first.click()


def tour(page: Page, url: str) -> None:
    """The walk that the pictures are taken on."""
    page.goto(url)
    wait_until(page, offline="offline_ready", engine="ready")
    for name, title in TITLES.items():
        page.goto(f"{url}#/")
        page.locator("input[type=file]").first.set_input_files(
            str(ROOT / "fixtures" / "jobs" / f"{name}.json")
        )
        page.get_by_text(title).first.wait_for()
    page.goto(f"{url}#/")
    close_banner(page)
    page.get_by_role("link", name="Label room T2").first.wait_for()
    take(page, "jobs")
    page.get_by_role("link", name="Cold store T3").first.click()
    go(page, "Checklist")
    page.get_by_text("Conflicts first").first.click()
    take(page, "checklist")
    go(page, "Report")
    page.get_by_role("heading", name="Drawing").scroll_into_view_if_needed()
    page.locator("img, iframe, svg").last.wait_for()
    page.screenshot(path=str(TO / "drawing.png"))
    page.goto(url)
    start(page)
    tap(page, USUAL_NAMEPLATE)
    take(page, "question")
    for answer in ("75", "125"):
        tap(page, answer)
    page.locator(".values").first.wait_for()
    take(page, "limits")


def main() -> None:
    """Takes all pictures, light; the folder is made anew."""
    TO.mkdir(exist_ok=True)
    server = Server(Path(WEB / "dist"))
    server.start()
    try:
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
            context = browser.new_context(**PHONE)
            context.set_default_timeout(PATIENCE_MS)
            tour(context.new_page(), server.url)
            browser.close()
    finally:
        server.stop()
    print(f"Pictures in {TO}")


if __name__ == "__main__":
    main()
