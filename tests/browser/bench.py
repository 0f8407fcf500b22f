"""`python3 dev.py bench`: start, answers, weight and memory, as ratios to stock Pyodide in one run.

Every start is warm and offline: browser relaunched, server stopped, everything from the service
worker, on a profile in which every kind of start was used before, as on a phone of every day. No
DevTools are attached: they make every exception of a starting Pyodide read its script again.
The slowed rounds stop and continue the renderer, since DevTools cannot slow a worker.
"""

import argparse
import contextlib
import html
import http.server
import json
import os
import queue
import re
import shutil
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Generator
from pathlib import Path
from typing import Any
from urllib.parse import quote, unquote

from playwright.sync_api import BrowserContext, Page, Playwright, sync_playwright

from engine.interfaces.handle import handle
from tests.browser.conftest import PHONE
from tests.browser.walk import USUAL_NAMEPLATE, start, tap
from tests.chromium import CHROMIUM, FLAGS, PATIENCE_MS
from web.build.parts import PYODIDE
from web.build.server import Server
from web.build.tools import ROOT, WEB, sha256

DIST = WEB / "dist"
HERE = Path(__file__).parent / "bench_page"
STOCK = (
    "pyodide.mjs",
    "pyodide.asm.mjs",
    "pyodide.asm.wasm",
    "python_stdlib.zip",
    "pyodide-lock.json",
)
STARTS = {
    "stock floor (1+1)": None,
    "plain start, to the first verdict": "plain",
    "from the snapshot, to the first verdict": "snapshot",
}
# The answers that lead to the limits, in the order they are asked.
NAMEPLATE = (USUAL_NAMEPLATE, "75", "125")
# Where the app's own screens are, and what is on them when they are of use.
SCREENS = {
    "first question": ("#/new", ".purposes button"),
    "saved results": ("#/", ".job-state svg"),
}
WAITING = "/waiting"
# A browser has its own start to finish first; a person has the app open for longer than this.
SETTLING_SECONDS, USED_SECONDS = 1.0, 5.0
# Out of forty milliseconds the renderer gets ten.
STOPPED_SECONDS, RUNNING_SECONDS = 0.03, 0.01


def main() -> int:
    """Measures and prints."""
    parser = argparse.ArgumentParser(prog="python3 dev.py bench", description=__doc__)
    parser.add_argument("--rounds", type=int, default=7, help="starts of each kind (7)")
    parser.add_argument("--slow-rounds", type=int, default=3, help="slowed starts of each kind (3)")
    chosen = parser.parse_args()
    weigh()
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        place, rounds = Path(folder), max(chosen.rounds, 1)
        floor = starts(playwright, place / "full", request(), rounds=rounds, slowed=False)
        screen(playwright, place / "screen", rounds, floor)
        if chosen.slow_rounds:
            slow = place / "slowed"
            starts(playwright, slow, request(), rounds=chosen.slow_rounds, slowed=True)
    return 0


def request() -> str:
    """The evaluation of a whole demo job, as the page asks for it."""
    job = json.loads(sorted((ROOT / "fixtures" / "jobs").glob("*.json"))[0].read_text())
    return json.dumps({"op": "evaluate", "job": job})


def weigh() -> None:
    """Prints what a first visit transfers."""
    files = [path for path in DIST.rglob("*") if path.suffix == ".br"]
    whole = sum(path.stat().st_size for path in files)
    screen_files = [path for path in files if path.name.startswith(("index.", "main-", "style-"))]
    alone = sum(path.stat().st_size for path in screen_files)
    print(f"First visit with brotli: {whole / 1e6:.2f} MB; the screen alone {alone / 1e3:.1f} kB")


def bench_folder(folder: Path) -> Path:
    """A static folder with stock Pyodide and the app's engine under the app's own service worker."""
    folder.mkdir(parents=True)
    for path in HERE.iterdir():
        shutil.copy(path, folder)
    (folder / "stock").mkdir()
    for name in STOCK:
        shutil.copy(PYODIDE / name, folder / "stock")
    shutil.copytree(
        DIST / "python", folder / "python", ignore=shutil.ignore_patterns("*.br", "*.gz")
    )
    for path in DIST.glob("worker-*.js"):
        shutil.copy(path, folder)
    shutil.copy(DIST / "_headers", folder)
    relist(folder)
    return folder


def relist(folder: Path) -> None:
    """Makes the app's service worker keep the files of this folder."""
    files = [
        path
        for path in folder.rglob("*")
        if path.is_file() and path.name not in {"_headers", "service_worker.js"}
    ]
    listed = [
        {
            "url": path.relative_to(folder).as_posix(),
            "sha256": sha256(path.read_bytes()),
            "bytes": path.stat().st_size,
        }
        for path in files
    ]
    worker = (DIST / "service_worker.js").read_text()
    literal = re.search(r'JSON\.parse\("(\[.*?\])"\)', worker)
    assert literal, "the service worker lists no files"
    worker = worker.replace(literal.group(0), f"JSON.parse({json.dumps(json.dumps(listed))})")
    (folder / "service_worker.js").write_text(worker)


@contextlib.contextmanager
def browser(playwright: Playwright, profile: Path) -> Generator[BrowserContext]:
    """A browser at phone size on a profile."""
    context = playwright.chromium.launch_persistent_context(
        str(profile), executable_path=CHROMIUM, headless=True, args=FLAGS, **PHONE
    )
    context.set_default_timeout(PATIENCE_MS)
    context.set_default_navigation_timeout(PATIENCE_MS)
    try:
        yield context
    finally:
        context.close()


class Ear(http.server.BaseHTTPRequestHandler):
    """Hears what a page has to say. Of its own it has only a page that waits, then goes on."""

    heard: queue.SimpleQueue[Any]
    go: threading.Event

    def do_POST(self) -> None:
        """Takes a message; the first one of the bench page is answered when it may begin."""
        message = json.loads(self.rfile.read(int(self.headers["Content-Length"])))
        self.heard.put(message)
        if message == "loaded":
            self.go.wait(PATIENCE_MS / 1000)
        self.send_response(http.HTTPStatus.NO_CONTENT)
        self.end_headers()

    def do_GET(self) -> None:
        """Sends the page that waits, and nothing else: what is measured is offline."""
        path, _, target = self.path.partition("?")
        if path != WAITING:
            return self.send_error(http.HTTPStatus.SERVICE_UNAVAILABLE)
        script = f"location.replace({json.dumps(unquote(target))})"
        content = (
            f"<!doctype html><script>setTimeout(() => {script}, {SETTLING_SECONDS * 1000})</script>"
        )
        self.send_response(http.HTTPStatus.OK)
        self.send_header("Content-Type", "text/html")
        self.end_headers()
        self.wfile.write(content.encode())
        return None

    def log_message(self, format: str, *arguments: object) -> None:
        """Says nothing: it would be in the way of the figures."""


@contextlib.contextmanager
def listening(port: int = 0) -> Generator[tuple[int, type[Ear]]]:
    """An ear on a port."""

    class ThisEar(Ear):
        heard: queue.SimpleQueue[Any] = queue.SimpleQueue()
        go = threading.Event()

    server = http.server.ThreadingHTTPServer(("127.0.0.1", port), ThisEar)
    threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05}).start()
    try:
        yield server.server_address[1], ThisEar
    finally:
        server.shutdown()
        server.server_close()


@contextlib.contextmanager
def bare_browser(profile: Path, address: str) -> Generator[None]:
    """A browser at an address, without DevTools."""
    assert CHROMIUM, "no Chromium was found"
    command = [CHROMIUM, "--headless", f"--user-data-dir={profile}", *FLAGS, address]
    running = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        yield
    finally:
        running.terminate()
        running.wait()


def measure(profile: Path, port: int, order: dict[str, Any], *, slowed: bool) -> dict[str, Any]:
    """Starts a browser, in it what is ordered, and returns what the page measured.

    `peak_kilobytes` is added: the most memory that a renderer of that browser used.
    """
    address = f"http://127.0.0.1:{port}/#{quote(json.dumps(order))}"
    with listening(port) as (_, ear), bare_browser(profile, address):
        ear.heard.get(timeout=PATIENCE_MS / 1000)
        time.sleep(SETTLING_SECONDS)
        with slowing(profile) if slowed else contextlib.nullcontext():
            ear.go.set()
            found = ear.heard.get(timeout=PATIENCE_MS / 1000)
        if "failed" in found:
            raise RuntimeError(found["failed"])
        return {**found, "peak_kilobytes": peak_kilobytes(profile)}


def shown(profile: Path, address: str, port: int) -> dict[str, Any]:
    """Starts a browser, goes to one of the app's screens when it is quiet, and returns when what was there."""
    with listening(port) as (_, ear), listening() as (elsewhere, _):
        start_at = f"http://127.0.0.1:{elsewhere}{WAITING}?{quote(address)}"
        with bare_browser(profile, start_at):
            return ear.heard.get(timeout=PATIENCE_MS / 1000)


def starts(playwright: Playwright, place: Path, asked: str, *, rounds: int, slowed: bool) -> float:
    """Measures every kind of start in turn, round by round, and prints the ratios.

    Returns how long stock Pyodide took [ms].
    """
    folder, profile = bench_folder(place / "site"), place / "profile"
    (worker,) = folder.glob("worker-*.js")
    build = re.search(r'build:"?([0-9a-f]{16})', (DIST / "service_worker.js").read_text())
    order = {
        "url": f"./{worker.name}",
        "build": build.group(1) if build else "bench",
        "request": asked,
        "repeats": 0 if slowed else 60,
    }
    server = Server(folder)
    server.start()
    use(playwright, profile, server, order)
    server.stop()
    found: dict[str, list[dict[str, Any]]] = {name: [] for name in STARTS}
    for _ in range(rounds):
        for name, how in STARTS.items():
            found[name].append(
                measure(profile, server.port, {**order, "start": how}, slowed=slowed)
            )
    for one in found["from the snapshot, to the first verdict"]:
        assert one["how"] == "snapshot", one
    title = "Slowed about four times" if slowed else "Full speed"
    print(f"\n{title}: median of {rounds} starts, warm, offline, browser relaunched")
    floor = statistics.median(one["verdict"] for one in found["stock floor (1+1)"])
    least = statistics.median(one["peak_kilobytes"] for one in found["stock floor (1+1)"])
    for name, list_ in found.items():
        middle = statistics.median(one["verdict"] for one in list_)
        peak = statistics.median(one["peak_kilobytes"] for one in list_)
        print(
            f"  {name:42} {middle:7.0f} ms   ratio {middle / floor:.2f}"
            f"   peak memory {peak / 1024:4.0f} MB, ratio {peak / least:.2f}"
        )
        parts = [one["milliseconds"] for one in list_ if "milliseconds" in one]
        if parts:
            steps = {key: statistics.median(part[key] for part in parts) for key in parts[0]}
            print("    reached after", ", ".join(f"{key} {ms:.0f} ms" for key, ms in steps.items()))
    answers = [ms for one in found["plain start, to the first verdict"] for ms in one["answers"]]
    if answers:
        print_answers(answers, asked)
    return floor


def use(playwright: Playwright, profile: Path, server: Server, order: dict[str, Any]) -> None:
    """Uses every kind of start until the browser has kept what it compiled, and the snapshot too."""
    with browser(playwright, profile) as context:
        page = opened(context, server.url)
        page.evaluate("bench.kept.then(() => undefined)")
        page.evaluate("(order) => bench.run(order)", {**order, "start": "anew", "repeats": 0})
    for how in STARTS.values():
        with browser(playwright, profile) as context:
            page = opened(context, server.url)
            page.evaluate("(order) => bench.run(order)", {**order, "start": how, "repeats": 300})
            # Compiled code is written some seconds after the last function was worth it.
            time.sleep(USED_SECONDS)


def print_answers(answers: list[float], asked: str) -> None:
    """Prints how long an evaluation takes in the browser and in CPython."""
    own: list[float] = []
    for _ in range(200):
        began = time.perf_counter()
        handle(asked)
        own.append((time.perf_counter() - began) * 1000)
    late = statistics.quantiles(answers, n=20)[-1]
    middle, cpython = statistics.median(answers), statistics.median(own)
    print(
        f"  one evaluation: median {middle:.1f} ms, p95 {late:.1f} ms; CPython {cpython:.1f} ms, "
        f"ratio {middle / cpython:.1f}"
    )


def app_folder(folder: Path) -> Path:
    """The app itself with one more script, which says when the page is there."""
    shutil.copytree(DIST, folder, ignore=shutil.ignore_patterns("*.br", "*.gz"))
    shutil.copy(HERE / "shown.js", folder)
    page = folder / "index.html"
    useful = html.escape(json.dumps(dict(SCREENS.values())))
    script = f'<script defer src="./shown.js" data-useful="{useful}"></script>'
    page.write_text(page.read_text().replace("<title>", f"{script}\n<title>"))
    relist(folder)
    return folder


def screen(playwright: Playwright, place: Path, rounds: int, floor: float) -> None:
    """Prints how long the app's own first screens take, warm and offline, and its longest tasks."""
    server, profile = Server(app_folder(place / "site")), place / "profile"
    server.start()
    with browser(playwright, profile) as context:
        page = context.new_page()
        page.goto(server.url)
        page.wait_for_selector("html[data-offline='offline_ready']", state="attached")
        page.wait_for_selector("html[data-engine='ready']", state="attached")
        page.evaluate(
            """
            window.tasks = [];
            new PerformanceObserver((list) => {
              for (const task of list.getEntries()) window.tasks.push(task.duration);
            }).observe({ type: "longtask" });
            """
        )
        start(page)
        for label in NAMEPLATE:
            tap(page, label)
        page.wait_for_selector(".value")
        tasks = page.evaluate("window.tasks")
        page.goto(f"{server.url}#/")
        page.wait_for_selector(SCREENS["saved results"][1])
    for _ in range(2):
        with browser(playwright, profile) as context:
            page = context.new_page()
            page.goto(server.url)
            page.wait_for_selector("html[data-engine='ready']", state="attached")
            time.sleep(USED_SECONDS)
    server.stop()
    print("\nThe app's own screens, warm, offline, from the tap on:")
    for name, (route, _) in SCREENS.items():
        found = [shown(profile, f"{server.url}{route}", server.port) for _ in range(rounds)]
        parts = {
            key: statistics.median(one[key] for one in found)
            for key in ("answered", "read", "shown")
        }
        print(
            f"  {name:16} {parts['shown']:4.0f} ms   ratio {parts['shown'] / floor:.2f}"
            f"   (page answered after {parts['answered']:.0f}, read after {parts['read']:.0f})"
        )
    longest = max(tasks, default=0)
    print(
        f"Tasks over 50 ms on the page's own thread, over one job: {len(tasks)}, longest {longest:.0f} ms"
    )


def opened(context: BrowserContext, url: str) -> Page:
    """The bench page, ready to measure."""
    page = context.new_page()
    page.goto(url)
    page.wait_for_selector("html[data-bench='loaded']", state="attached")
    return page


def renderers(profile: Path) -> list[int]:
    """The process ids of the renderers of the browser on a profile."""
    parents: dict[int, int] = {}
    kinds: dict[int, bytes] = {}
    for entry in Path("/proc").iterdir():
        if not entry.name.isdigit():
            continue
        with contextlib.suppress(OSError):
            kinds[int(entry.name)] = (entry / "cmdline").read_bytes()
            parents[int(entry.name)] = int(
                (entry / "stat").read_text().rsplit(")", 1)[1].split()[1]
            )
    roots = {pid for pid, line in kinds.items() if os.fsencode(profile) in line}

    def belongs(pid: int) -> bool:
        while pid in parents:
            if pid in roots:
                return True
            pid = parents[pid]
        return False

    return [pid for pid, line in kinds.items() if b"--type=renderer" in line and belongs(pid)]


@contextlib.contextmanager
def slowing(profile: Path) -> Generator[None]:
    """Stops and continues the renderers, so that they get about a quarter of the time."""
    done = threading.Event()
    pids = renderers(profile)

    def send(number: signal.Signals) -> None:
        for pid in pids:
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, number)

    def turn() -> None:
        while not done.is_set():
            send(signal.SIGSTOP)
            time.sleep(STOPPED_SECONDS)
            send(signal.SIGCONT)
            time.sleep(RUNNING_SECONDS)

    thread = threading.Thread(target=turn)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()
        send(signal.SIGCONT)


def peak_kilobytes(profile: Path) -> int:
    """The most memory that any renderer of the browser has used so far [kB]."""
    peaks = [0]
    for pid in renderers(profile):
        with contextlib.suppress(OSError):
            status = Path(f"/proc/{pid}/status").read_text()
            peak = re.search(r"VmHWM:\s+(\d+)", status)
            assert peak, status
            peaks.append(int(peak.group(1)))
    return max(peaks)


if __name__ == "__main__":
    sys.exit(main())
