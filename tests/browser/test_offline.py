"""Once everything is on the device, the app needs nobody: server stopped, browser relaunched."""

import json
import re
import shutil
import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.browser.states import (
    CHECKED,
    COLLECT,
    claimed,
    is_whole,
    kept_files,
    shows_a_heading,
    wait_until,
    wait_until_checked,
)
from tests.chromium import PATIENCE_MS
from web.build.server import Handler, Server
from web.build.tools import ROOT

WORDS = json.loads((ROOT / "web" / "words" / "en.json").read_text())

# Parts come by size; after this one only the interpreter itself is left.
FIRST_OF_THE_LARGE = "python/pydantic_core-"


def test_after_the_first_visit_a_reload_works_with_the_server_stopped(phone, server) -> None:
    page = phone.open(server.url)
    wait_until(page, offline="offline_ready", engine="ready")
    server.stop()
    # What the browser keeps besides the app's own store must not be what makes it work.
    page.context.new_cdp_session(page).send("Network.clearBrowserCache")
    page.reload()
    wait_until(page, offline="offline_ready", engine="ready")
    assert shows_a_heading(page)
    assert not phone.errors


def test_after_a_browser_relaunch_it_works_with_the_server_stopped(phone, server) -> None:
    wait_until(phone.open(server.url), offline="offline_ready")
    phone.close()
    server.stop()
    page = phone.open(server.url)
    wait_until(page, offline="offline_ready", engine="ready")
    assert shows_a_heading(page)


@pytest.mark.parametrize("path", ["", "jobs/7/", "index.html", "service_worker.js"])
def test_any_address_within_the_app_opens_it_offline(phone, server, path) -> None:
    wait_until(phone.open(server.url), offline="offline_ready")
    server.stop()
    page = phone.open(f"{server.url}{path}?from=home_screen")
    page.wait_for_selector(f"h1:text-is('{WORDS['jobs']}')")
    # What lies beside the start page is found only from the app's root.
    root = "" if path not in {"index.html"} else path
    assert page.url == f"{server.url}{root}?from=home_screen#/"


def test_a_file_of_the_app_is_shown_as_itself_offline(phone, server, built_app) -> None:
    page = phone.open(server.url)
    wait_until(page, offline="offline_ready")
    server.stop()
    page.get_by_role("link", name=WORDS["settings"]).click()
    page.get_by_role("link", name=WORDS["licences_link"]).click()
    page.wait_for_url("**/licences.txt")
    assert page.inner_text("body").split() == (built_app / "licences.txt").read_text().split()
    page.go_back()
    page.wait_for_selector(f"h1:text-is('{WORDS['settings']}')")


def test_the_screen_opens_while_the_engine_is_still_coming_in(phone, server, holding_back) -> None:
    with holding_back(server, "python/"):
        page = phone.open(server.url)
        wait_until(page, offline="failed")
        assert shows_a_heading(page)
        assert page.get_attribute("html", "data-engine") != "ready"


@pytest.mark.parametrize("relaunched", [False, True], ids=["same tab", "browser relaunched"])
def test_a_broken_first_download_goes_on_where_it_stopped_and_never_claims_ready(
    phone, server, holding_back, relaunched
) -> None:
    with holding_back(server, FIRST_OF_THE_LARGE):
        page = phone.open(server.url)
        page.evaluate(COLLECT)
        wait_until(page, offline="failed")
        assert "offline_ready" not in claimed(page)
        kept = [path for path in server.requests if path.startswith("python/site-")]
        assert kept, "the smaller parts come before the runtime"
        if relaunched:
            phone.close()
    server.requests.clear()
    if relaunched:
        page = phone.open(server.url)
    else:
        page.evaluate("dispatchEvent(new Event('online'))")
    wait_until(page, offline="offline_ready", engine="ready")
    again = [path for path in server.requests if path.startswith("python/")]
    assert again == [path for path in again if path.endswith(".wasm")]
    assert len(again) == 2


def standing_still(asked: threading.Event) -> Callable[[Handler, str], bool]:
    """A network that is there and carries nothing, until the other side gives up."""

    def stand_still(handler: Handler, path: str) -> bool:
        if FIRST_OF_THE_LARGE not in path:
            return False
        asked.set()
        handler.connection.recv(1)
        handler.close_connection = True
        return True

    return stand_still


def test_a_network_that_carries_nothing_is_said_and_tried_again(phone, server) -> None:
    server.before = standing_still(threading.Event())
    page = phone.open(server.url)
    page.locator(".banner", has_text=WORDS["offline_network"]).wait_for()
    server.before = None
    wait_until(page, offline="offline_ready", engine="ready")
    assert page.locator(".banner", has_text=WORDS["offline_ready"]).is_visible()


def test_a_first_download_that_the_browser_ends_goes_on(phone, server) -> None:
    asked = threading.Event()
    server.before = standing_still(asked)
    page = phone.open(server.url)
    page.evaluate(COLLECT)
    wait_until(page, offline="first_visit")
    assert asked.wait(PATIENCE_MS / 1000)
    session = page.context.new_cdp_session(page)
    session.send("ServiceWorker.enable")
    session.send("ServiceWorker.stopAllWorkers")
    wait_until(page, offline="failed")
    assert "offline_ready" not in claimed(page)
    server.before = None
    page.evaluate("dispatchEvent(new Event('online'))")
    wait_until(page, offline="offline_ready", engine="ready")


def test_the_network_may_go_with_the_last_byte(phone, server) -> None:
    page = phone.open("about:blank")
    page.expose_function("cutTheNetwork", server.stop)
    page.add_init_script(
        """
        navigator.serviceWorker?.addEventListener("message", ({ data }) => {
          if (data?.service === "progress" && data.done === data.total) window.cutTheNetwork();
        });
        """
    )
    page.goto(server.url)
    wait_until(page, offline="offline_ready", engine="ready")
    page.reload()
    wait_until(page, offline="offline_ready", engine="ready")
    assert shows_a_heading(page)


def sign_in_page(handler: Handler, path: str) -> bool:
    """What a network that wants to be paid or agreed to answers in place of a file."""
    content = b"<!doctype html><title>Sign in</title><p>Welcome. Please sign in."
    handler.send_response(200)
    handler.send_header("Content-Type", "text/html")
    handler.send_header("Content-Length", str(len(content)))
    handler.end_headers()
    handler.wfile.write(content)
    return True


def sign_in_elsewhere(handler: Handler, path: str) -> bool:
    """The same from networks that send the browser to their own page."""
    handler.send_response(302)
    handler.send_header("Location", "http://127.0.0.1:9/sign-in")
    handler.send_header("Content-Length", "0")
    handler.end_headers()
    return True


@pytest.mark.parametrize("portal", [sign_in_page, sign_in_elsewhere])
def test_a_network_that_answers_with_its_own_page_is_said_and_tried_again(
    phone, server, portal
) -> None:
    server.before = lambda handler, path: path == "service_worker.js" and portal(handler, path)
    page = phone.open(server.url)
    page.evaluate(COLLECT)
    wait_until(page, offline="failed")
    page.locator(".banner", has_text=WORDS["offline_foreign"]).wait_for()
    assert page.locator(".banner", has_text="memory").count() == 0
    server.before = None
    # Nobody touches the page meanwhile.
    wait_until(page, offline="offline_ready", engine="ready")
    assert claimed(page)[-1] == "offline_ready"
    server.stop()
    page.reload()
    wait_until(page, offline="offline_ready", engine="ready")


def test_a_sign_in_page_for_everything_but_the_screen_is_said_and_survived(phone, server) -> None:
    screen = ("index.html", "main-", "style-", "questions-")
    server.before = lambda handler, path: (
        not path.startswith(screen) and sign_in_page(handler, path)
    )
    page = phone.open(server.url)
    page.locator(".banner", has_text=WORDS["offline_foreign"]).wait_for()
    # The engine's own file did not come either; that is no matter of memory.
    wait_until(page, engine="failed", trouble="parts_missing")
    server.before = None
    wait_until(page, offline="offline_ready", engine="ready")
    assert page.locator(".banner.trouble").count() == 0


def test_an_update_half_put_on_the_server_is_said_and_opened_when_it_is_whole(
    phone, server, built_app, next_version, tmp_path
) -> None:
    half = tmp_path / "half"
    shutil.copytree(next_version, half)
    # The start page and what it names are still the old ones; the rest is new already.
    for path in built_app.glob("main-*"):
        shutil.copy(path, half)
    for path in built_app.glob("index.html*"):
        shutil.copy(path, half)
    server.folder = half
    page = phone.open(server.url)
    page.evaluate(COLLECT)
    assert build_of(page) == build_in(built_app)
    page.locator(".banner", has_text=WORDS["offline_foreign"]).wait_for()
    assert page.locator(".banner", has_text="memory").count() == 0
    server.folder = next_version
    # Nobody touches the page: an engine of the old version is nowhere to be had.
    page.wait_for_selector(f"html[data-build='{build_in(next_version)}']", state="attached")
    wait_until(page, offline="offline_ready", engine="ready")


def test_nothing_is_called_ready_before_it_is_checked(phone, server, built_app) -> None:
    page = phone.open(server.url)
    wait_until(page, offline="offline_ready")
    (licences,) = (sha for name, sha in kept_files(built_app).items() if name == "licences.txt")
    page.evaluate(
        """async (hash) => {
          const cache = await caches.open((await caches.keys()).find((name) => name.includes("files")));
          await cache.put(new URL(`.kept/file/${hash}`, location.href), new Response("Sign in"));
        }""",
        licences,
    )
    server.stop()
    page.reload()
    page.evaluate(COLLECT)
    page.locator(".banner", has_text=WORDS["offline_damaged"]).wait_for()
    assert claimed(page) == ["failed"]
    page.goto(f"{server.url}#/about")
    page.locator("dd", has_text=WORDS["offline_damaged"]).wait_for()
    server.start()
    page.evaluate("dispatchEvent(new Event('online'))")
    wait_until(page, offline="mended")
    is_whole(page, licences)


def test_a_file_that_is_not_of_this_version_is_never_kept(phone, server) -> None:
    def forged(handler, path: str) -> bool:
        if not path.startswith("python/site-"):
            return False
        content = bytearray((server.folder / path).read_bytes())
        content[len(content) // 2] ^= 1
        handler.send_response(200)
        handler.send_header("Content-Length", str(len(content)))
        handler.end_headers()
        handler.wfile.write(content)
        return True

    server.before = forged
    page = phone.open(server.url)
    page.evaluate(COLLECT)
    wait_until(page, offline="failed")
    assert "offline_ready" not in claimed(page)
    assert page.get_attribute("html", "data-engine") != "ready"


def test_a_device_without_room_says_so_and_works_while_there_is_a_network(phone, server) -> None:
    page = phone.open("about:blank")
    page.context.new_cdp_session(page).send(
        "Storage.overrideQuotaForOrigin", {"origin": server.url.rstrip("/"), "quotaSize": 1_000_000}
    )
    page.goto(server.url)
    page.evaluate(COLLECT)
    wait_until(page, offline="failed", engine="ready")
    assert "offline_ready" not in claimed(page)
    assert shows_a_heading(page)


def test_the_first_download_counts_every_byte(phone, server, built_app) -> None:
    page = phone.open("about:blank")
    page.add_init_script(
        """
        window.progress = [];
        navigator.serviceWorker?.addEventListener("message", (event) => {
          if (event.data?.service === "progress") window.progress.push(event.data);
        });
        """
    )
    page.goto(server.url)
    page.wait_for_function(
        "() => window.progress.length && window.progress.at(-1).done === window.progress.at(-1).total"
    )
    wait_until(page, offline="offline_ready")
    progress = page.evaluate("window.progress")
    assert [one["done"] for one in progress] == sorted(one["done"] for one in progress)
    apart = {".br", ".gz"}
    files = [path for path in built_app.rglob("*") if path.is_file() and path.suffix not in apart]
    unlisted = {"_headers", "service_worker.js"}
    assert progress[-1]["total"] == sum(
        path.stat().st_size for path in files if path.name not in unlisted
    )


def test_nobody_but_the_apps_own_server_is_ever_asked(phone, server) -> None:
    page = phone.open(server.url)
    wait_until(page, offline="offline_ready", engine="ready")
    page.reload()
    wait_until(page, engine="ready")
    assert phone.other_origins(server.url) == []
    assert [asked for asked in phone.requests if asked.startswith(server.url)]


def test_the_browser_can_install_it_though_the_manifest_comes_after_the_first_screen(
    phone, server
) -> None:
    page = phone.open(server.url)
    wait_until(page, offline="offline_ready")
    page.wait_for_selector("link[rel=manifest]", state="attached")
    session = page.context.new_cdp_session(page)
    found = session.send("Page.getAppManifest")
    assert found["url"] == f"{server.url}manifest.webmanifest"
    assert not found["errors"]
    told = session.send("Page.getInstallabilityErrors")["installabilityErrors"]
    assert [error["errorId"] for error in told if error["errorId"] != "in-incognito"] == []


def build_of(page: Page) -> str:
    """The build id of the version that a page runs."""
    page.wait_for_selector("html[data-build]", state="attached")
    return page.get_attribute("html", "data-build") or ""


def build_in(folder: Path) -> str:
    """The build id of a static folder."""
    worker = (folder / "service_worker.js").read_text()
    return re.search(r'build:"([0-9a-f]{16})"|="([0-9a-f]{16})"', worker).group(0).split('"')[1]


def publish(server: Server, folder: Path, page: Page) -> None:
    """Puts another version on the server and lets the browser look for it."""
    server.folder = folder
    page.evaluate("navigator.serviceWorker.getRegistration().then((found) => found.update())")


def accept(page: Page) -> None:
    """Agrees to the update with the banner's first button, and waits for the reload."""
    before = build_of(page)
    page.locator(".banner", has=page.locator(".row")).get_by_role("button").first.click()
    page.wait_for_selector(f"html[data-build]:not([data-build='{before}'])", state="attached")


def test_an_update_waits_until_it_is_agreed_to(phone, server, built_app, next_version) -> None:
    old, new = build_in(built_app), build_in(next_version)
    assert old != new
    page = phone.open(server.url)
    wait_until(page, offline="offline_ready", engine="ready")
    publish(server, next_version, page)
    wait_until(page, offline="update_waiting")
    server.stop()
    assert build_of(page) == old
    page.reload()
    wait_until(page, offline="update_waiting", engine="ready")
    assert build_of(page) == old
    phone.close()
    page = phone.open(server.url)
    # The browser has put the new service worker in place by itself; nobody agreed yet.
    wait_until(page, offline="update_waiting", engine="ready")
    assert build_of(page) == old
    accept(page)
    wait_until(page, offline="offline_ready", engine="ready")
    assert build_of(page) == new


def test_an_update_transfers_only_what_changed(phone, server, next_version) -> None:
    page = phone.open(server.url)
    wait_until(page, offline="offline_ready")
    server.requests.clear()
    publish(server, next_version, page)
    wait_until(page, offline="update_waiting")
    assert not [path for path in server.requests if "pyodide" in path or "stdlib" in path]
    assert not [path for path in server.requests if "pydantic_core" in path]
    assert [path for path in server.requests if path.startswith("python/site-")]


def test_an_update_that_breaks_off_leaves_the_old_version_whole(
    phone, server, built_app, next_version, holding_back
) -> None:
    page = phone.open(server.url)
    wait_until(page, offline="offline_ready", engine="ready")
    with holding_back(server, "python/"):
        server.folder = next_version
        failed = page.evaluate(
            """async () => {
              const found = await navigator.serviceWorker.getRegistration();
              const gone = new Promise((resolve) => found.addEventListener("updatefound", () => {
                const coming = found.installing;
                coming.addEventListener("statechange", () => coming.state === "redundant" && resolve("redundant"));
              }));
              await found.update().catch(() => undefined);
              return gone;
            }"""
        )
        assert failed == "redundant"
    server.stop()
    page.reload()
    wait_until(page, offline="offline_ready", engine="ready")
    assert build_of(page) == build_in(built_app)


def test_two_tabs_walk_an_update_one_after_the_other(
    phone, server, built_app, next_version
) -> None:
    old, new = build_in(built_app), build_in(next_version)
    first = phone.open(server.url)
    wait_until(first, offline="offline_ready", engine="ready")
    second = phone.open(server.url)
    wait_until(second, engine="ready")
    publish(server, next_version, first)
    wait_until(first, offline="update_waiting")
    server.stop()
    accept(first)
    wait_until(first, offline="offline_ready", engine="ready")
    assert build_of(first) == new
    # The other tab goes on undisturbed on its own version, even when its engine starts anew.
    assert build_of(second) == old
    wait_until(second, offline="update_waiting")
    with second.expect_event("worker"):
        second.workers[0].evaluate("setTimeout(() => self.close())")
    wait_until(second, engine="ready")
    assert build_of(second) == old
    accept(second)
    wait_until(second, offline="offline_ready", engine="ready")
    assert build_of(second) == new


def test_a_declined_update_is_not_offered_again_that_day(
    phone, server, built_app, next_version
) -> None:
    page = phone.open(server.url)
    wait_until(page, offline="offline_ready")
    publish(server, next_version, page)
    wait_until(page, offline="update_waiting")
    page.locator(".banner", has=page.locator(".row")).get_by_role("button").last.click()
    wait_until(page, offline="offline_ready")
    phone.close()
    server.stop()
    page = phone.open(server.url)
    wait_until(page, offline="offline_ready", engine="ready")
    assert build_of(page) == build_in(built_app)


def test_what_the_system_took_away_comes_back_in_pieces(phone, server, holding_back) -> None:
    page = phone.open(server.url)
    wait_until(page, offline="offline_ready")
    page.evaluate(
        "caches.keys().then((names) => Promise.all(names.map((name) => caches.delete(name))))"
    )
    with holding_back(server, FIRST_OF_THE_LARGE):
        page.reload()
        page.evaluate(COLLECT)
        wait_until(page, offline="failed")
        assert "offline_ready" not in claimed(page)
    page.evaluate("mark => performance.clearMarks(mark)", CHECKED)
    page.evaluate("dispatchEvent(new Event('online'))")
    wait_until(page, offline="offline_ready", engine="ready")
    # The page that showed how the files came has had them checked: the next one need not say so.
    wait_until_checked(page)
    server.stop()
    page.reload()
    wait_until(page, offline="offline_ready", engine="ready")


def test_an_update_is_told_though_a_worker_that_was_asked_never_answered(
    phone, server, next_version
) -> None:
    page = phone.open("about:blank")
    # The first question asked of every worker is lost, as one said to a worker that just ends.
    page.add_init_script(
        """
        const say = ServiceWorker.prototype.postMessage;
        const lost = new WeakSet();
        ServiceWorker.prototype.postMessage = function (...values) {
          if (lost.has(this)) say.apply(this, values);
          lost.add(this);
        };
        """
    )
    page.goto(server.url)
    wait_until(page, offline="offline_ready", engine="ready")
    publish(server, next_version, page)
    wait_until(page, offline="update_waiting")
    accept(page)
    wait_until(page, offline="offline_ready", engine="ready")
    assert build_of(page) == build_in(next_version)


def test_the_page_says_so_when_the_system_emptied_the_cache(phone, server) -> None:
    page = phone.open(server.url)
    wait_until(page, offline="offline_ready")
    page.evaluate(
        "caches.keys().then((names) => Promise.all(names.map((name) => caches.delete(name))))"
    )
    server.stop()
    page.reload()
    page.locator("h1", has_text="network once more").wait_for()
    assert page.locator("[lang=es] h2").is_visible()
    server.start()
    page.get_by_role("link").click()
    wait_until(page, offline="offline_ready", engine="ready")
    server.stop()
    page.reload()
    # That files came again is said once, by this page if the one before closed too soon.
    page.locator("html[data-offline=offline_ready], html[data-offline=mended]").wait_for()
    wait_until(page, engine="ready")
    assert shows_a_heading(page)
