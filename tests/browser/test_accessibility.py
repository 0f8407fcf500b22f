"""axe-core finds nothing on any screen or part; the keyboard reaches everything; large text and small screens fit."""

from collections.abc import Iterator

import pytest

from tests.browser.conftest import visiting
from tests.browser.states import wait_until
from tests.browser.walk import (
    accessibility_problems,
    bookshelf,
    is_wider_than_screen,
    small_targets,
    start,
    tap,
)
from web.build.tools import ROOT, WEB, checked, environment

SMALL = {"width": 360, "height": 740}
JOB = ROOT / "fixtures" / "jobs" / "02_no_system_bonding_jumper.json"
QUESTIONS = (
    "transformer.phases",
    "transformer.kva",
    "transformer.secondary_system",
    "primary.conductors.length_feet",
    "primary.conductors.size",
    "electrode.available",
    "readings.line_to_line_volts",
    "observations.ventilation_clear",
    "name",
    "date",
    "notes",
)


def screens(page, url: str) -> Iterator[str]:
    """Every screen of the app with a whole job in it, one after the other."""
    yield from screens_before(page, url)
    yield from screens_of_the_job(page)
    yield from screens_beside(page, url)


def screens_before(page, url: str) -> Iterator[str]:
    """From the empty list to a whole job's checklist."""
    page.goto(url)
    page.wait_for_selector("h1")
    yield "jobs, none yet"
    wait_until(page, engine="ready")
    page.goto(f"{url}#/new")
    page.wait_for_selector(".purposes")
    page.locator(".naming > summary").click()
    yield "purposes"
    page.goto(f"{url}#/")
    page.wait_for_selector("h1:text-is('Jobs')")
    page.locator("#open-file").set_input_files(
        {"name": "a.txt", "mimeType": "text/plain", "buffer": b"x"}
    )
    page.wait_for_selector("#error-summary")
    yield "refused file"
    page.locator("#open-file").set_input_files(JOB)
    page.wait_for_selector(".check")
    yield "checklist"
    line = page.locator("#check-system_bonding_jumper")
    line.locator("details.more > summary").click()
    line.locator(".quick > summary").first.click()
    yield "checklist line, opened"
    page.get_by_role("button", name="Conflicts first").click()
    yield "conflicts first"
    page.get_by_role("button", name="Open only").click()
    yield "only open"


def screens_of_the_job(page) -> Iterator[str]:
    """The questions and pages of the job that is open."""
    home = page.url.removesuffix("/checklist")
    for path in QUESTIONS:
        page.goto(f"{home}/ask/{path}")
        page.wait_for_selector(f"#field-{path.replace('.', '-')}")
        yield f"question {path}"
    page.goto(f"{home}/ask/primary.conductors.length_feet")
    page.locator(".entry input").fill("long")
    page.get_by_role("button", name="Continue").click()
    page.wait_for_selector("#error-summary")
    yield "question with an error"
    page.goto(f"{home}/answers")
    page.wait_for_selector(".group")
    page.locator(".group > summary").first.click()
    yield "answers"
    page.goto(f"{home}/limits")
    page.wait_for_selector(".value")
    page.locator(".value > summary").first.click()
    yield "limits"
    page.goto(f"{home}/report")
    page.wait_for_selector("iframe", state="attached")
    page.locator(".frame > summary").click()
    yield "report"


def screens_beside(page, url: str) -> Iterator[str]:
    """Site, settings and the list with its job."""
    page.goto(f"{url}#/site/Millrace%20Cannery%2C%20label%20room")
    page.wait_for_selector("h1:text-is('Site report')")
    yield "site report"
    page.goto(f"{url}#/about")
    page.wait_for_selector("h1:text-is('Settings and safety')")
    yield "settings"
    page.goto(f"{url}#/")
    page.wait_for_selector(".job")
    page.locator(".job .more > summary").click()
    yield "jobs"
    page.get_by_role("button", name="Delete").click()
    page.wait_for_selector(".undo")
    yield "jobs, one deleted"
    page.goto(f"{url}#/job/nowhere")
    page.wait_for_selector("h1")
    yield "no such job"


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_screen_has_an_accessibility_violation(browser, server, scheme) -> None:
    with visiting(browser, viewport=SMALL, has_touch=True, color_scheme=scheme) as context:
        page = context.new_page()
        found = {name: accessibility_problems(page) for name in screens(page, server.url)}
    assert {name: problems for name, problems in found.items() if problems} == {}


@pytest.mark.parametrize(
    ("width", "text"), [(360, 100), (320, 100), (360, 200), (1280, 100)], ids=str
)
def test_no_screen_scrolls_sideways_and_targets_are_large(browser, server, width, text) -> None:
    wide, small = [], {}
    size = {"width": width, "height": 740}
    with visiting(browser, viewport=size, has_touch=True) as context:
        context.add_init_script(
            f"addEventListener('DOMContentLoaded', () => {{ document.documentElement.style.fontSize = '{text}%'; }})"
        )
        page = context.new_page()
        for name in screens(page, server.url):
            if is_wider_than_screen(page):
                wide.append(name)
            if targets := small_targets(page):
                small[name] = targets
    assert wide == []
    assert small == {}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_part_has_an_accessibility_violation_in_any_of_its_examples(
    browser, server, tmp_path, scheme
) -> None:
    bundle, style = tmp_path / "gallery.js", tmp_path / "style.css"
    command = [
        *(WEB / "node_modules" / ".bin" / "esbuild", ROOT / "tests" / "browser" / "gallery.tsx"),
        *(WEB / "style.css", "--entry-names=[name]", f"--outdir={tmp_path}"),
        *("--bundle", "--format=esm", "--jsx=automatic", "--jsx-import-source=preact"),
    ]
    modules = {**environment(), "NODE_PATH": str(WEB / "node_modules")}
    checked([str(part) for part in command], cwd=WEB, env=modules)
    with visiting(browser, viewport=SMALL, color_scheme=scheme) as context:
        page = context.new_page()
        page.route(
            "**/gallery",
            lambda route: route.fulfill(
                content_type="text/html",
                body='<!doctype html><html lang="en"><head><title>Parts</title><link rel="stylesheet" href="gallery.css">'
                '</head><body><div id="app"></div><script type="module" src="gallery.js"></script></body></html>',
            ),
        )
        page.route(
            "**/gallery.js",
            lambda route: route.fulfill(
                content_type="text/javascript", body=bundle.read_text().replace("@@WORDS@@", "{}")
            ),
        )
        page.route(
            "**/gallery.css",
            lambda route: route.fulfill(content_type="text/css", body=style.read_text()),
        )
        page.goto(f"{server.url}gallery")
        page.wait_for_selector("main")
        names = page.evaluate("window.examples")
        assert len(names) > 30
        found = {}
        for place, name in enumerate(names):
            page.evaluate("place => window.show(place)", place)
            page.wait_for_selector(f"[data-name={name.split(': ', 1)[1]!r}]", state="attached")
            if problems := accessibility_problems(page):
                found[name] = problems
        assert "broken" not in page.title()
    assert found == {}


def test_a_job_is_begun_and_read_with_the_keyboard_alone(browser, server) -> None:
    with bookshelf(browser, has_touch=False, is_mobile=False) as context:
        page = context.new_page()
        page.goto(server.url)
        page.wait_for_selector("h1")

        def reach(words: str) -> None:
            for _ in range(40):
                page.keyboard.press("Tab")
                # Until a new page has the focus, the body has it, and the body holds every word.
                held = "document.activeElement.matches('body, main, h1') ? '' : document.activeElement.textContent"
                if words in page.evaluate(held):
                    return
            raise AssertionError(f"the keyboard does not reach {words!r}")

        reach("New job")
        page.keyboard.press("Enter")
        page.wait_for_selector(".purposes")
        page.wait_for_selector("h1:focus")
        reach("Look over a bookshelf")
        page.keyboard.press("Enter")
        page.wait_for_selector("h1:focus")
        page.wait_for_url("**/ask/shelf.span")
        page.wait_for_selector(".kicker")
        reach("3")
        page.keyboard.press("Enter")
        page.wait_for_url("**/ask/shelf.material")
        reach("Oak")
        page.keyboard.press("Space")
        page.wait_for_selector(".value")
        page.wait_for_selector("h1:focus")
        reach("Longest span")
        page.keyboard.press("Enter")
        page.wait_for_selector(".value[open] .steps")
        reach("Checklist")
        page.keyboard.press("Enter")
        page.wait_for_selector(".check")
        reach("Fixings")


def test_focus_is_visible_and_motion_is_not_needed(browser, server) -> None:
    with bookshelf(browser, has_touch=False, is_mobile=False, reduced_motion="reduce") as context:
        page = context.new_page()
        page.goto(server.url)
        page.wait_for_selector("a[href='#/new']")
        page.keyboard.press("Tab")
        page.keyboard.press("Tab")
        style = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
        assert style != "none"
        moving = page.evaluate(
            "[...document.querySelectorAll('*')].filter((part) => getComputedStyle(part).transitionDuration !== '0s').length"
        )
        assert moving == 0


def test_forced_colours_keep_shapes_and_pressed_buttons(browser, server) -> None:
    with bookshelf(browser, forced_colors="active") as context:
        page = context.new_page()
        page.goto(server.url)
        start(page)
        tap(page, "3")
        tap(page, "Oak")
        page.locator(".go-on").get_by_role("link", name="Checklist").click()
        page.wait_for_selector(".check")
        assert page.locator(".check .shape").count() == page.locator(".check .verdict").count()
        assert accessibility_problems(page) == []
