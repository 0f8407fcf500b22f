"""Whatever is damaged of what the app keeps of itself, one start with a network mends it; the jobs are never touched."""

import json
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import PATIENCE_MS, Phone
from tests.browser.states import (
    COLLECT,
    claimed,
    is_whole,
    kept_files,
    shows_a_heading,
    take_away,
    wait_until,
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
    page.wait_for_function(
        """() => document.documentElement.dataset.engine === "ready" &&
          ["offline_ready", "mended"].includes(document.documentElement.dataset.offline)"""
    )
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
