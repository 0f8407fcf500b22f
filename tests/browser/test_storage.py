"""Nothing typed is lost: what the screen does when the phone's storage fails, and who may overwrite whom."""

import json
import os
import random
import signal
import subprocess
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest

from tests.browser.conftest import CHROMIUM, FLAGS, PATIENCE_MS, PHONE, last_words
from tests.browser.states import wait_until
from tests.browser.walk import USUAL_NAMEPLATE, bookshelf, enter, saved_job, start, tap

# What a browser does when the disk is full: the write fails with this error.
FULL_DISK = """
const put = IDBObjectStore.prototype.put;
window.full = true;
IDBObjectStore.prototype.put = function (...values) {
  if (window.full) throw new DOMException('The disk is full.', 'QuotaExceededError');
  return put.apply(this, values);
};
"""
NO_STORAGE = (
    "Object.defineProperty(window, 'indexedDB', { value: undefined })",
    "IDBFactory.prototype.open = () => { throw new DOMException('blocked', 'SecurityError'); }",
)
# A storage that hears and does not answer until it is told to.
SILENT = """
window.silent = true;
window.held = [];
const holdBack = (target, name) => target.addEventListener(name, (event) => {
  if (!window.silent) return;
  event.stopImmediatePropagation();
  window.held.push(() => target.dispatchEvent(new Event(name)));
});
window.speakAgain = () => {
  window.silent = false;
  for (const speak of window.held.splice(0)) speak();
};
"""
SILENT_OPENING = (
    SILENT
    + """
const open = IDBFactory.prototype.open;
IDBFactory.prototype.open = function (...values) {
  const asked = open.apply(this, values);
  holdBack(asked, 'success');
  return asked;
};
"""
)
SILENT_WRITING = (
    SILENT
    + """
const transaction = IDBDatabase.prototype.transaction;
IDBDatabase.prototype.transaction = function (...values) {
  const begun = transaction.apply(this, values);
  holdBack(begun, 'complete');
  return begun;
};
"""
)
INTO_STORE = """async (records) => {
  const database = await new Promise((done) => {
    const asked = indexedDB.open('platepath');
    asked.onsuccess = () => done(asked.result);
  });
  for (const [store, record] of records) {
    const transaction = database.transaction(store, 'readwrite');
    transaction.objectStore(store).put(record);
    await new Promise((done) => { transaction.oncomplete = done; });
  }
  database.close();
}"""


def saved_file(page, name: str) -> str:
    """What a button of that name hands over as a file."""
    with page.expect_download() as download:
        page.get_by_role("button", name=name).first.click()
    return download.value.path().read_text()


@pytest.mark.parametrize("missing", NO_STORAGE)
def test_without_storage_the_app_says_so_works_and_hands_out_files(
    browser, server, missing
) -> None:
    with bookshelf(browser) as context:
        context.add_init_script(missing)
        page = context.new_page()
        page.goto(server.url)
        words = page.locator(".banner.trouble").inner_text()
        assert "keeps nothing" in words
        start(page)
        tap(page, "3")
        tap(page, "Oak")
        page.wait_for_selector(".value")
        lines = saved_file(page, "Save all jobs to one file").splitlines()
        assert json.loads(lines[0])["shelf"] == {"span": 3, "material": "oak"}


def test_a_full_disk_is_said_nothing_is_lost_and_the_next_try_saves(browser, server) -> None:
    with bookshelf(browser) as context:
        page = context.new_page()
        page.goto(server.url)
        start(page)
        tap(page, "3")
        page.evaluate(f"() => {{ {FULL_DISK} }}")
        tap(page, "Oak")
        page.wait_for_selector(".banner.trouble")
        assert "no room left" in page.locator(".banner.trouble").inner_text()
        page.wait_for_selector(".value")
        assert "material" not in saved_job(page)["job"]["shelf"]
        line = saved_file(page, "Save all jobs to one file").splitlines()[0]
        assert json.loads(line)["shelf"] == {"span": 3, "material": "oak"}
        page.evaluate("window.full = false")
        page.get_by_role("button", name="Try again").click()
        page.wait_for_selector(".banner.trouble", state="detached")
        assert saved_job(page)["job"]["shelf"] == {"span": 3, "material": "oak"}


def test_a_storage_that_does_not_open_is_said_and_written_to_when_it_does(browser, server) -> None:
    with bookshelf(browser) as context:
        before = context.new_page()
        before.goto(server.url)
        start(before)
        tap(before, "3")
        before.close()
        context.add_init_script(SILENT_OPENING)
        page = context.new_page()
        page.goto(server.url)
        page.locator(".banner.trouble", has_text="does not answer").wait_for()
        start(page)
        tap(page, "4")
        tap(page, "Oak")
        page.wait_for_selector(".value")
        (line,) = saved_file(page, "Save all jobs to one file").splitlines()
        assert json.loads(line)["shelf"] == {"span": 4, "material": "oak"}
        page.evaluate("speakAgain()")
        page.wait_for_selector(".banner.trouble", state="detached")
        assert saved_job(page)["job"]["shelf"] == {"span": 4, "material": "oak"}
        assert saved_job(page, 1)["job"]["shelf"] == {"span": 3}
        page.goto(f"{server.url}#/")
        page.wait_for_function("() => document.querySelectorAll('.job').length === 2")


def test_a_write_that_is_not_answered_holds_nobody_up(browser, server) -> None:
    with bookshelf(browser) as context:
        page = context.new_page()
        page.goto(server.url)
        start(page)
        tap(page, "3")
        page.evaluate(f"() => {{ {SILENT_WRITING} }}")
        tap(page, "Oak")
        page.locator(".banner.trouble", has_text="does not answer").wait_for()
        page.wait_for_selector(".value")
        page.evaluate("speakAgain()")
        page.wait_for_selector(".banner.trouble", state="detached")
        assert saved_job(page)["job"]["shelf"] == {"span": 3, "material": "oak"}


def test_a_damaged_record_is_shown_handed_out_and_hides_no_other(browser, server) -> None:
    with bookshelf(browser) as context:
        page = context.new_page()
        page.goto(server.url)
        start(page)
        tap(page, "3")
        broken = [
            ["jobs", {"id": "broken-one", "changed": 5, "job": "half a reco"}],
            ["jobs", {"id": "broken-two", "note": "no time at all"}],
        ]
        page.evaluate(INTO_STORE, broken)
        page.goto(f"{server.url}#/")
        page.reload()
        page.wait_for_selector("h2:text-is('Damaged records')")
        page.wait_for_selector(".job")
        assert page.locator(".job").count() == 1
        shown = page.locator("section", has_text="Damaged records").inner_text()
        assert "broken-one" in shown
        assert "broken-two" in shown
        assert "half a reco" in saved_file(page, "Save as it is")
        page.goto(f"{server.url}#/job/broken-one")
        page.wait_for_selector("text=can't be read as it is stored")


def test_a_job_of_a_newer_format_is_refused_with_the_reason_and_left_as_it_is(
    browser, server
) -> None:
    newer = {
        "id": "newer",
        "revision": 3,
        "changed": 9,
        "job": {"format": "bookshelf.job/9", "name": "From tomorrow"},
        "drafts": {},
        "line": "",
        "overall": None,
        "signature": None,
        "deleted": None,
    }
    with bookshelf(browser) as context:
        page = context.new_page()
        page.goto(server.url)
        page.wait_for_selector("html[data-engine=ready]", state="attached")
        page.evaluate(INTO_STORE, [["jobs", newer]])
        page.goto(f"{server.url}#/job/newer")
        page.wait_for_selector("text=can't be opened here")
        assert "not a bookshelf" in page.locator("main").inner_text()
        assert saved_job(page) == newer
        assert "From tomorrow" in saved_file(page, "Save as it is")


def test_two_tabs_keep_each_others_answers_and_see_them(browser, server) -> None:
    with bookshelf(browser) as context:
        one = context.new_page()
        one.goto(server.url)
        start(one)
        tap(one, "3")
        tap(one, "Oak")
        job = one.url.split("/job/")[1].split("/")[0]
        two = context.new_page()
        two.goto(f"{server.url}#/job/{job}/ask/books.heaviest")
        two.wait_for_selector("form.question")
        one.goto(f"{server.url}#/job/{job}/ask/shelf.thickness")
        one.wait_for_selector("form.question")
        tap(two, "40")
        tap(one, "12")
        assert saved_job(one)["job"]["shelf"]["thickness"] == "12"
        assert saved_job(one)["job"]["books"] == {"heaviest": 40}
        two.goto(f"{server.url}#/job/{job}/answers")
        row = two.locator(".answers > div", has_text="Thickness")
        two.wait_for_function("() => document.body.textContent.includes('Thickness12')")
        one.goto(f"{server.url}#/job/{job}/ask/shelf.thickness/answers")
        one.wait_for_selector("form.question")
        tap(one, "20")
        two.wait_for_function("() => document.body.textContent.includes('Thickness20')")
        assert "20" in row.text_content()


def test_what_is_typed_but_not_yet_an_answer_outlives_a_reload(browser, server) -> None:
    with bookshelf(browser) as context:
        page = context.new_page()
        page.goto(server.url)
        start(page)
        page.locator(".choice.other").click()
        page.locator(".entry input").fill("3.2")
        page.wait_for_function(
            """async () => (await new Promise((done) => {
              const asked = indexedDB.open('platepath');
              asked.onsuccess = () => {
                const read = asked.result.transaction('jobs').objectStore('jobs').getAll();
                read.onsuccess = () => { asked.result.close(); done(read.result); };
              };
            })).some((job) => job.drafts['shelf.span'] === '3.2')"""
        )
        page.reload()
        assert page.locator(".entry input").input_value() == "3.2"
        page.get_by_role("button", name="Continue").click()
        page.wait_for_url("**/ask/shelf.material")
        assert saved_job(page)["drafts"] == {}


@pytest.mark.slow
def test_ten_thousand_jobs_with_photos_are_listed_searched_and_opened(browser, server) -> None:
    with bookshelf(browser) as context:
        page = context.new_page()
        page.goto(server.url)
        page.wait_for_selector("h1")
        page.evaluate(
            """async () => {
              const database = await new Promise((done) => {
                const asked = indexedDB.open('platepath');
                asked.onsuccess = () => done(asked.result);
              });
              for (let start = 0; start !== 10000; start += 1000) {
                const transaction = database.transaction(['jobs', 'photos'], 'readwrite');
                for (let n = start; n !== start + 1000; n += 1) {
                  transaction.objectStore('jobs').put({ id: `job-${n}`, revision: 1, changed: n, drafts: {},
                    job: { format: 'bookshelf.job/1', name: `Shelf number ${n}`, place: `Hall ${n % 700}`, purpose: 'inspection' },
                    line: 'Oak', overall: null, signature: null, deleted: null });
                  transaction.objectStore('photos').put({ id: `photo-${n}`, job_id: `job-${n}`, check: 'span',
                    name: 'a.jpg', type: 'image/jpeg', bytes: new Uint8Array(4000).buffer });
                }
                await new Promise((done) => { transaction.oncomplete = done; });
              }
              database.close();
            }"""
        )
        page.reload()
        page.wait_for_selector(".job")
        assert page.locator(".job").count() == 50
        page.get_by_role("button", name="Show more").click()
        page.wait_for_function("() => document.querySelectorAll('.job').length === 100")
        page.get_by_label("Search").fill("number 4321")
        page.wait_for_function("() => document.querySelectorAll('.job').length === 1")
        assert "Shelf number 4321" in page.locator(".job").inner_text()
        page.locator(".job-open").click()
        page.wait_for_url("**/ask/shelf.span")


class KilledBrowser:
    """A browser of our own on a lasting profile, ended by SIGKILL, as a dead battery would."""

    def __init__(self, playwright, profile: Path) -> None:
        self.playwright = playwright
        self.profile = profile
        self.context = None
        self.group = 0

    def open(self, url: str):
        """The page at an address, in a browser started anew."""
        # Driven through a pipe from its first moment on. Attached to over its port, a browser that was killed before
        # now and then took the connection and never answered.
        self.context = self.playwright.chromium.launch_persistent_context(
            str(self.profile),
            executable_path=CHROMIUM,
            headless=True,
            args=FLAGS,
            timeout=PATIENCE_MS,
            **PHONE,
        )
        (browser,) = self._browsers()
        self.group = os.getpgid(browser)
        assert self.group != os.getpgid(0), "the browser would be killed with the test"
        self.context.set_default_timeout(PATIENCE_MS)
        self.context.set_default_navigation_timeout(PATIENCE_MS)
        page = self.context.new_page()
        page.goto(url)
        return page

    def kill(self) -> None:
        if not self.group:
            return
        os.killpg(self.group, signal.SIGKILL)
        # A child that is still ending would hold the locks of the profile's databases.
        wait_for(lambda: not self._living(), "processes of the killed browser live on")
        self.group = 0
        for lock in self.profile.glob("Singleton*"):
            lock.unlink()

    def _browsers(self) -> list[int]:
        """Browsers on this profile by process id, without the processes that they start themselves."""
        found = []
        for entry in Path("/proc").iterdir():
            with suppress(OSError):
                words = (entry / "cmdline").read_bytes().split(b"\0")
                kind = any(word.startswith(b"--type=") for word in words)
                if os.fsencode(f"--user-data-dir={self.profile}") in words and not kind:
                    found.append(int(entry.name))
        return found

    def _living(self) -> list[str]:
        listed = subprocess.run(
            ["ps", "-A", "-o", "pgid=,stat="], capture_output=True, text=True, check=True
        )
        processes = [line.split() for line in listed.stdout.splitlines()]
        return [
            state
            for group, state in processes
            if group == str(self.group) and not state.startswith("Z")
        ]


def wait_for(there: Callable[[], object], otherwise: str) -> None:
    """Waits for what has no event to wait for. Fails with the words given."""
    until = time.monotonic() + PATIENCE_MS / 1000
    while not there():
        assert time.monotonic() < until, otherwise
        time.sleep(0.05)


def no_acknowledged_answer_is_lost(playwright, server, profile: Path, rounds: int) -> None:
    """Answers, kills the browser right after an answer was acknowledged, and looks for all of them again."""
    running = KilledBrowser(playwright, profile)
    try:
        answer_and_kill(running, server, rounds)
    except Exception as problem:
        problem.add_note(last_words(running.context))
        raise
    finally:
        running.kill()


def answer_and_kill(running: KilledBrowser, server, rounds: int) -> None:
    """One round after the other; the browser runs at the end."""
    chance = random.Random(20260504)
    page = running.open(server.url)
    wait_until(page, offline="offline_ready")
    start(page)
    tap(page, USUAL_NAMEPLATE)
    job_id = page.url.split("/job/")[1].split("/")[0]
    sizes = [5, 10, 15, 25, 30, 45, 75, 150, 225, 300]
    for _ in range(rounds):
        size = chance.choice(sizes)
        page.goto(f"{server.url}#/job/{job_id}/ask/transformer.kva/answers")
        page.wait_for_selector("#field-transformer-kva")
        tap(page, str(size))
        name = f"T{chance.randrange(10**6)}"
        page.goto(f"{server.url}#/job/{job_id}/ask/name/answers")
        enter(page, name)
        running.kill()
        page = running.open(server.url)
        page.wait_for_selector(".job")
        job = saved_job(page)["job"]
        assert job["transformer"]["kva"] == size
        assert job["name"] == name


def test_a_killed_browser_loses_no_acknowledged_answer(playwright, server, tmp_path) -> None:
    no_acknowledged_answer_is_lost(playwright, server, tmp_path / "profile", rounds=3)


@pytest.mark.skipif(
    "PLATEPATH_EXAMPLES" not in os.environ, reason="a long run: set PLATEPATH_EXAMPLES"
)
def test_two_hundred_kills_lose_no_acknowledged_answer(playwright, server, tmp_path) -> None:
    no_acknowledged_answer_is_lost(playwright, server, tmp_path / "profile", rounds=200)
