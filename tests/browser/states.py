"""What a page says of itself, read from outside."""

import json
from pathlib import Path

from playwright.sync_api import Page

from web.build.tools import sha256

# Collects every state the page ever claimed, over reloads of the same tab.
COLLECT = """
const seen = JSON.parse(sessionStorage.getItem("claimed") ?? "[]");
new MutationObserver(() => {
  const now = document.documentElement.dataset.offline;
  if (now && seen.at(-1) !== now) seen.push(now);
  sessionStorage.setItem("claimed", JSON.stringify(seen));
}).observe(document, { subtree: true, attributes: true, attributeFilter: ["data-offline"] });
"""


def wait_until(page: Page, **states: str) -> None:
    """Waits until the page says of itself what is given."""
    for name, state in states.items():
        page.wait_for_selector(f"html[data-{name}='{state}']", state="attached")


CHECKED = "platepath-files-checked"


def wait_until_checked(page: Page) -> None:
    """Waits until the page has had its files checked, so that no check changes what comes next."""
    # A text would be evaluated, which the page's policy forbids.
    page.wait_for_function("(mark) => performance.getEntriesByName(mark).length > 0", arg=CHECKED)


def wait_until_whole(page: Page) -> None:
    """Waits until the engine is ready and all files are there, whether or not it is said that they came anew."""
    page.wait_for_function(
        """() => document.documentElement.dataset.engine === "ready" &&
          ["offline_ready", "mended"].includes(document.documentElement.dataset.offline)"""
    )


def claimed(page: Page) -> list[str]:
    """What the page claimed so far about being offline-ready."""
    return page.evaluate("JSON.parse(sessionStorage.getItem('claimed') ?? '[]')")


def take_away(page: Page, *files: Path) -> None:
    """Deletes what the service worker keeps of these files of the built app, as a system short of room does."""
    taken = page.evaluate(
        """async (hashes) => {
          let taken = 0;
          for (const name of await caches.keys()) {
            const cache = await caches.open(name);
            for (const request of await cache.keys())
              if (hashes.some((hash) => request.url.endsWith(hash))) taken += await cache.delete(request);
          }
          return taken;
        }""",
        [sha256(file.read_bytes()) for file in files],
    )
    assert taken == len(files)


def kept_files(folder: Path) -> dict[str, str]:
    """The files that the service worker of a static folder keeps: the hash of each by its name."""
    worker = (folder / "service_worker.js").read_text()
    start = worker.index('[{\\"url\\"')
    text = worker[start : worker.index("}]", start) + 2]
    return {one["url"]: one["sha256"] for one in json.loads(json.loads(f'"{text}"'))}


def is_whole(page: Page, sha256: str) -> None:
    """Waits until a file is kept whole under its hash."""
    page.wait_for_function(
        """async (hash) => {
          const name = new URL(`.kept/file/${hash}`, location.href);
          const kept = await caches.match(name).catch(() => undefined);
          const content = await kept?.arrayBuffer().catch(() => undefined);
          if (!content) return false;
          const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", content));
          return hash === [...digest].map((byte) => byte.toString(16).padStart(2, "0")).join("");
        }""",
        arg=sha256,
        polling=200,
    )


def shows_a_heading(page: Page) -> bool:
    """Whether a screen is shown, not only the shell."""
    page.wait_for_selector("h1")
    return bool(page.inner_text("h1").strip())
