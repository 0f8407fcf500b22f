"""The memory snapshot: used when it is sound, left for the plain start at any doubt."""

import pytest

from tests.browser.states import shows_a_heading, wait_until

CACHE = "(await caches.open((await caches.keys()).find((name) => name.startsWith('platepath-snapshot'))))"
KEPT = "new URL('.kept/snapshot', location.href).href"


def spoil_it(page, how: str) -> None:
    """Keeps the snapshot again as `how`, a function of memory and label, makes it."""
    page.evaluate(
        f"""async () => {{
          const cache = {CACHE};
          const kept = await cache.match({KEPT});
          const was = {{
            memory: new Uint8Array(await kept.arrayBuffer()),
            label: JSON.parse(kept.headers.get("Snapshot-Label")),
          }};
          const {{ memory, label }} = {{ ...was, ...({how})(was) }};
          const headers = {{ "Snapshot-Label": JSON.stringify(label) }};
          await cache.put({KEPT}, new Response(memory, {{ headers }}));
        }}"""
    )


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
        "({ memory }) => { memory[memory.length >> 1] ^= 1; return { memory }; }",
        "({ memory }) => ({ memory: memory.slice(0, memory.length >> 1) })",
        "() => ({ memory: 'nothing of the sort' })",
        "({ label }) => ({ label: { ...label, expected: 'other' } })",
    ],
    ids=["one bit changed", "cut short", "no snapshot at all", "self-test answers otherwise"],
)
def test_a_spoilt_snapshot_gives_way_to_a_start_that_makes_a_new_one(with_snapshot, spoil) -> None:
    page = with_snapshot
    spoil_it(page, spoil)
    page.reload()
    wait_until(page, engine="ready", start="plain", snapshot="kept")
    page.reload()
    wait_until(page, engine="ready", start="snapshot")


def test_a_snapshot_of_another_browser_or_build_is_not_used(with_snapshot) -> None:
    page = with_snapshot
    spoil_it(page, "({ label }) => ({ label: { ...label, key: 'another' } })")
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
