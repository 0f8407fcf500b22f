"""The memory snapshot: used when it is sound, left for the plain start at any doubt."""

import pytest

from tests.browser.states import shows_a_heading, wait_until

CACHE = "(await caches.open((await caches.keys()).find((name) => name.startsWith('platepath-snapshot'))))"
LABEL = "new URL('.kept/snapshot/label', location.href).href"
MEMORY = "new URL('.kept/snapshot/memory', location.href).href"


@pytest.fixture
def with_snapshot(phone, server):
    """A page whose engine has started once and left a snapshot; the server is stopped."""
    page = phone.open(server.url)
    wait_until(page, offline="offline_ready", engine="ready", snapshot="kept")
    assert page.get_attribute("html", "data-start") == "plain"
    server.stop()
    return page


def test_the_next_start_comes_from_the_snapshot(phone, server, with_snapshot) -> None:
    phone.close()
    page = phone.open(server.url)
    wait_until(page, engine="ready", start="snapshot", trouble="")
    assert shows_a_heading(page)


@pytest.mark.parametrize(
    "spoil",
    [
        f"""async () => {{
          const cache = {CACHE};
          const memory = new Uint8Array(await (await cache.match({MEMORY})).arrayBuffer());
          memory[memory.length >> 1] ^= 1;
          await cache.put({MEMORY}, new Response(memory));
        }}""",
        f"""async () => {{
          const cache = {CACHE};
          const memory = new Uint8Array(await (await cache.match({MEMORY})).arrayBuffer());
          await cache.put({MEMORY}, new Response(memory.slice(0, memory.length >> 1)));
        }}""",
        f"async () => {{ await {CACHE}.put({MEMORY}, new Response('nothing of the sort')); }}",
        f"""async () => {{
          const cache = {CACHE};
          const label = await (await cache.match({LABEL})).json();
          await cache.put({LABEL}, new Response(JSON.stringify({{ ...label, expected: "other" }})));
        }}""",
    ],
    ids=["one bit changed", "cut short", "no snapshot at all", "self-test answers otherwise"],
)
def test_a_spoilt_snapshot_gives_way_to_a_start_that_makes_a_new_one(with_snapshot, spoil) -> None:
    page = with_snapshot
    page.evaluate(spoil)
    page.reload()
    wait_until(page, engine="ready", start="plain", snapshot="kept")
    page.reload()
    wait_until(page, engine="ready", start="snapshot")


def test_a_snapshot_of_another_browser_or_build_is_not_used(with_snapshot) -> None:
    page = with_snapshot
    page.evaluate(
        f"""async () => {{
          const cache = {CACHE};
          const label = await (await cache.match({LABEL})).json();
          await cache.put({LABEL}, new Response(JSON.stringify({{ ...label, key: "another" }})));
        }}"""
    )
    page.reload()
    wait_until(page, engine="ready", start="plain", trouble="", snapshot="kept")


def test_a_snapshot_that_took_the_page_down_is_not_tried_a_third_time(with_snapshot) -> None:
    page = with_snapshot
    page.evaluate("localStorage.setItem('platepath-starts-unfinished', '2')")
    page.reload()
    wait_until(page, engine="ready", start="plain")
    assert page.get_attribute("html", "data-snapshot") is None
    page.reload()
    wait_until(page, engine="ready", start="snapshot")


def test_a_device_without_room_for_it_starts_plainly(phone, server) -> None:
    page = phone.open("about:blank")
    page.context.route(
        "**/worker-*.js",
        lambda route: route.fulfill(
            body="CacheStorage.prototype.open = () => Promise.reject(new DOMException('full', 'QuotaExceededError'));\n"
            + route.fetch().text(),
            content_type="text/javascript",
        ),
    )
    page.add_init_script("delete Navigator.prototype.serviceWorker")
    page.goto(server.url)
    wait_until(page, engine="ready", start="plain")
