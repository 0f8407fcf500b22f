"""The memory snapshot: used when it is sound, left for the plain start at any doubt."""

import json

import pytest

from engine.interfaces.handle import handle
from tests.browser.states import shows_a_heading, take_away, wait_until
from web.build.tools import ROOT

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


def kept_label(page) -> dict:
    """What the kept snapshot says of itself, without what differs from one to the next."""
    label = page.evaluate(
        f"""async () => {{
          const kept = await {CACHE}.match({KEPT});
          return JSON.parse(kept.headers.get("Snapshot-Label"));
        }}"""
    )
    return {name: label[name] for name in ("key", "expected")}


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
    page, sound = with_snapshot, kept_label(with_snapshot)
    spoil_it(page, spoil)
    page.reload()
    wait_until(page, engine="ready", start="plain", snapshot="kept")
    assert kept_label(page) == sound
    page.reload()
    wait_until(page, engine="ready", start="snapshot")


# Starts a worker of the app from the snapshot and asks it everything in the moment it is ready.
ASK_AT_ONCE = """
async ({ url, build, requests }) => {
  const worker = new Worker(url, { type: "module" });
  const waiting = new Map();
  let trouble = null;
  const ready = new Promise((resolve, reject) => {
    worker.onmessage = ({ data }) => {
      if (data.boot === "ready") resolve(data);
      else if (data.boot === "failed") {
        trouble = data.trouble;
        reject(new Error(data.detail));
      }
      else waiting.get(data.id)?.(data.value);
    };
  });
  const ask = (request, index) => new Promise((resolve) => {
    waiting.set(String(index), resolve);
    // The wire format of the library that the app calls its worker through.
    const argumentList = [{ type: "RAW", value: JSON.stringify(request) }];
    worker.postMessage({ id: String(index), type: "APPLY", path: ["call"], argumentList });
  });
  worker.postMessage({ boot: "start", build, lock: crypto.randomUUID(), start: "snapshot" });
  const { start } = await ready;
  const replies = await Promise.all(requests.map(ask));
  return { start, replies, trouble };
}
"""


def asked_at_once(page, built_app, requests: list[dict]) -> dict:
    """What a restored worker answers, and what trouble it said until then."""
    [worker] = built_app.glob("worker-*.js")
    build = page.get_attribute("html", "data-build")
    order = {"url": f"./{worker.name}", "build": build, "requests": requests}
    return page.evaluate(ASK_AT_ONCE, order)


def demo_jobs() -> list[dict]:
    return [
        json.loads(path.read_bytes()) for path in sorted((ROOT / "fixtures/jobs").glob("*.json"))
    ]


def test_a_restored_engine_needs_no_archive_for_its_verdicts_and_says_that_they_are_gone(
    with_snapshot, built_app
) -> None:
    page = with_snapshot
    (site,) = built_app.glob("python/site-*.zip")
    (stdlib,) = built_app.glob("python/stdlib-*.zip")
    take_away(page, site, stdlib)
    requests = [{"op": "evaluate", "job": job} for job in demo_jobs()]
    # A report imports more; that it fails comes after the trouble is said.
    found = asked_at_once(page, built_app, [*requests, {"op": "report", "job": demo_jobs()[0]}])
    assert found["start"] == "snapshot"
    *replies, report = found["replies"]
    assert "op" not in report
    for request, reply in zip(requests, replies, strict=True):
        assert verdicts(reply) == verdicts(handle(json.dumps(request)))
    assert found["trouble"] == "parts_missing"
    page.reload()
    wait_until(page, engine="failed", trouble="parts_missing")


def verdicts(reply: str) -> dict[str, str]:
    """The verdict of each check in a reply."""
    return {check["id"]: check["verdict"] for check in json.loads(reply)["result"]["checks"]}


def test_what_a_restored_engine_imports_later_is_waited_for(with_snapshot, built_app) -> None:
    reports = [{"op": "report", "job": job} for job in demo_jobs()[:2]]
    found = asked_at_once(with_snapshot, built_app, reports)
    assert found["start"] == "snapshot"
    assert [json.loads(reply)["op"] for reply in found["replies"]] == ["document", "document"]
    assert found["trouble"] is None


def test_a_snapshot_of_another_browser_or_build_is_not_used(with_snapshot) -> None:
    page, own = with_snapshot, kept_label(with_snapshot)
    spoil_it(page, "({ label }) => ({ label: { ...label, key: 'another' } })")
    page.reload()
    wait_until(page, engine="ready", start="plain", trouble="", snapshot="kept")
    assert kept_label(page) == own


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
    wait_until(page, engine="ready", start="plain", snapshot="refused")
    assert page.evaluate("caches.keys()") == []
