"""Whatever is damaged of what the app keeps of itself, one start with a network mends it; the jobs are never touched."""

import json
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import Phone
from tests.browser.states import (
    COLLECT,
    claimed,
    is_whole,
    kept_files,
    wait_until,
    wait_until_checked,
    wait_until_whole,
)
from tests.browser.walk import USUAL_NAMEPLATE, saved_job, start, tap
from web.build.server import Server
from web.build.tools import ROOT

WORDS = {
    language: json.loads((ROOT / "web" / "words" / f"{language}.json").read_text())
    for language in ("en", "es")
}
# What the page, the shell or the service worker says: the words that each of them has for it.
SAYS_WHAT_IS_WRONG = """() =>
  /missing or damaged|questions could not be read/.test(document.body?.innerText ?? "") &&
  document.documentElement.dataset.offline !== "offline_ready"
"""
# How what is kept of a file becomes other than it was; nothing is kept where the answer is null.
DAMAGES = {
    "gone": "() => null",
    "cut short": "(content) => content.slice(0, content.length >> 1)",
    "replaced": "() => new TextEncoder().encode('<!doctype html><title>Sign in</title><p>Sign in')",
}
# Nothing of the start waits for these, so they are damaged together.
UNWATCHED = ("icons/", "licences.txt", "manifest.webmanifest", "python/empty/")

DAMAGE = """
async ({ hashes, how }) => {
  const damaged = eval(how);
  let count = 0;
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      if (!hashes.some((hash) => request.url.endsWith(hash))) continue;
      const kept = await cache.match(request);
      const content = damaged(new Uint8Array(await kept.arrayBuffer()));
      if (content === null) await cache.delete(request);
      else await cache.put(request, new Response(content, { headers: kept.headers }));
      count += 1;
    }
  }
  return count;
}
"""


@pytest.fixture
def in_use(phone: Phone, server: Server) -> Page:
    """The app with everything on the phone, a snapshot, and a job."""
    page = phone.open(server.url)
    wait_until(page, offline="offline_ready", engine="ready", snapshot="kept")
    start(page)
    tap(page, USUAL_NAMEPLATE)
    page.goto(f"{server.url}#/")
    page.wait_for_selector(".job")
    # The check after this start would else mend what a test damages, and say so to a page that is gone.
    wait_until_checked(page)
    return page


def damage(page: Page, hashes: list[str], how: str) -> None:
    """Damages what is kept under these hashes."""
    # The page's own policy forbids eval; DevTools are not bound by it.
    code = DAMAGE.replace("eval(how)", how)
    assert page.evaluate(code, {"hashes": hashes, "how": ""}) == len(hashes)


def start_without_network_says_so(page: Page, server: Server) -> None:
    """Opens the app with the server stopped: no blank page, and no claim that all is well."""
    server.stop()
    page.goto(server.url)
    page.wait_for_function(SAYS_WHAT_IS_WRONG)
    server.start()


def start_with_network_mends(page: Page, server: Server, hashes: list[str]) -> None:
    """Opens the app once with a network: what was damaged is whole, and the app works."""
    page.goto("about:blank")
    page.goto(server.url)
    for sha256 in hashes:
        is_whole(page, sha256)
    wait_until_whole(page)
    page.wait_for_selector(".job")


@pytest.mark.parametrize("how", DAMAGES.values(), ids=DAMAGES)
def test_each_file_is_missed_without_a_network_and_mended_with_one(
    in_use: Page, server: Server, built_app: Path, how: str, subtests
) -> None:
    page, before = in_use, saved_job(in_use)
    files = kept_files(built_app)
    unwatched = [name for name in files if name.startswith(UNWATCHED)]
    watched = [[name] for name in files if name not in unwatched]
    assert len(unwatched) >= 8
    assert len(watched) >= 10
    for names in [unwatched, *watched]:
        with subtests.test(files=names):
            hashes = [files[name] for name in names]
            damage(page, hashes, how)
            start_without_network_says_so(page, server)
            start_with_network_mends(page, server, hashes)
    assert saved_job(page) == before


def needs_the_network_no_more(page: Page, server: Server, hashes: list[str]) -> None:
    """Every file is there, and the next start needs no network."""
    start_with_network_mends(page, server, hashes)
    server.stop()
    page.goto("about:blank")
    page.goto(server.url)
    wait_until(page, offline="offline_ready", engine="ready")
    page.wait_for_selector(".job")


@pytest.mark.parametrize(
    "record",
    ["current", "version"],
)
@pytest.mark.parametrize(
    "content", ["null", "''", "'<p>Sign in'", "'{}'"], ids=["gone", "empty", "replaced", "other"]
)
def test_a_record_of_the_version_that_cannot_be_read_is_written_anew(
    in_use: Page, server: Server, built_app: Path, record: str, content: str
) -> None:
    page = in_use
    count = page.evaluate(
        f"""async () => {{
          let count = 0;
          for (const name of await caches.keys()) {{
            const cache = await caches.open(name);
            for (const request of await cache.keys()) {{
              if (!request.url.includes("/.kept/{record}")) continue;
              if ({content} === null) await cache.delete(request);
              else await cache.put(request, new Response({content}));
              count += 1;
            }}
          }}
          return count;
        }}"""
    )
    assert count == 1
    server.stop()
    # The files are whole, so that it works even without a network.
    page.goto(server.url)
    wait_until(page, offline="offline_ready", engine="ready")
    server.start()
    needs_the_network_no_more(page, server, [])
    kept = page.evaluate("""async () => {
      const cache = await caches.open((await caches.keys()).find((name) => name.includes("versions")));
      const current = await (await cache.match(new URL(".kept/current", location.href))).text();
      const record = await (await cache.match(new URL(`.kept/version/${current}`, location.href))).json();
      return { current, build: record.build, files: record.files.length };
    }""")
    build = page.get_attribute("html", "data-build")
    assert kept == {"current": build, "build": build, "files": len(kept_files(built_app))}


def test_nothing_but_the_start_page_left(in_use: Page, server: Server, built_app: Path) -> None:
    page, before, files = in_use, saved_job(in_use), kept_files(built_app)
    rest = [sha256 for name, sha256 in files.items() if name != "index.html"]
    damage(page, rest, DAMAGES["gone"])
    start_without_network_says_so(page, server)
    assert page.locator(".late").is_visible()
    needs_the_network_no_more(page, server, list(files.values()))
    assert saved_job(page) == before


def test_a_service_worker_that_was_taken_out_comes_back(
    in_use: Page, server: Server, built_app: Path
) -> None:
    page, before = in_use, saved_job(in_use)
    assert page.evaluate(
        "navigator.serviceWorker.getRegistration().then((found) => found.unregister())"
    )
    server.requests.clear()
    needs_the_network_no_more(page, server, list(kept_files(built_app).values()))
    assert saved_job(page) == before
    # What was whole did not travel again.
    assert not [asked for asked in server.requests if asked.startswith("python/")]


@pytest.mark.parametrize("count", [8, 1000], ids=["eight files", "every file"])
def test_files_of_the_cache_that_are_damaged_on_the_disk(
    phone: Phone, in_use: Page, server: Server, built_app: Path, count: int
) -> None:
    before = saved_job(in_use)
    phone.close()
    stored = sorted(
        (phone.profile / "Default" / "Service Worker" / "CacheStorage").rglob("*_0"),
        key=lambda path: path.stat().st_size,
        reverse=True,
    )
    assert len(stored) > 8
    for path in stored[:count]:
        content = bytearray(path.read_bytes())
        middle = len(content) // 2
        content[middle : middle + 4096] = b"\0" * len(content[middle : middle + 4096])
        path.write_bytes(content)
    page = phone.open("about:blank")
    page.add_init_script(COLLECT)
    page.goto(server.url)
    page.locator(".banner", has_text=WORDS["en"]["mended"]).wait_for()
    wait_until(page, engine="ready")
    assert "failed" not in claimed(page)
    for sha256 in kept_files(built_app).values():
        is_whole(page, sha256)
    server.stop()
    page.goto("about:blank")
    page.goto(server.url)
    wait_until(page, offline="offline_ready", engine="ready")
    page.wait_for_selector(".job")
    assert saved_job(page) == before


def test_a_page_that_may_run_on_damaged_files_is_opened_again_by_its_button(
    in_use: Page, server: Server, built_app: Path
) -> None:
    page = in_use
    (style,) = (sha for name, sha in kept_files(built_app).items() if name.startswith("style-"))
    damage(page, [style], DAMAGES["cut short"])
    page.reload()
    banner = page.locator(".banner", has_text=WORDS["en"]["mended"])
    banner.get_by_role("button", name=WORDS["en"]["reopen"]).click()
    wait_until(page, offline="offline_ready", engine="ready")
    assert banner.count() == 0


def test_an_engine_that_started_from_a_damaged_file_starts_anew_with_a_new_snapshot(
    in_use: Page, server: Server, built_app: Path
) -> None:
    page = in_use
    (site,) = (sha for name, sha in kept_files(built_app).items() if "site-" in name)
    # One bit of an archive that a restored engine does not need for its verdicts.
    damage(page, [site], "(content) => { content[content.length >> 1] ^= 1; return content; }")
    server.requests.clear()
    page.reload()
    wait_until(page, offline="mended", snapshot="kept", engine="ready", start="plain")
    is_whole(page, site)
    assert len([asked for asked in server.requests if asked.startswith("python/")]) == 1
    page.reload()
    wait_until(page, offline="offline_ready", engine="ready", start="snapshot")
