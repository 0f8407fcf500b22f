"""Nothing typed is lost: what the screen does when the phone's storage fails, and who may overwrite whom."""

import json
import os
import random
import shutil
import signal
import struct
import subprocess
import time
import zlib
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from tests.browser.conftest import PHONE, last_words
from tests.browser.states import wait_until
from tests.browser.walk import USUAL_NAMEPLATE, bookshelf, enter, saved_job, start, tap
from tests.chromium import CHROMIUM, FLAGS, PATIENCE_MS
from web.build.tools import ROOT

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
# Takes hold of the app's connection; every writing transaction is noted with what it asks of the disk.
CONNECTION = """
const begin = IDBDatabase.prototype.transaction;
window.writes = [];
IDBDatabase.prototype.transaction = function (stores, mode, options) {
  window.connection = this;
  const durability = options?.durability ?? 'default';
  if (mode === 'readwrite') window.writes.push([[stores].flat().join(), durability]);
  return begin.call(this, stores, mode, options);
};
"""
# A connection ends with an event when the browser ends it, and without one when the page's own half is gone.
ENDINGS = (
    "connection.close()",
    "connection.close(); connection.dispatchEvent(new Event('close'))",
)
NEVER_AGAIN = "IDBFactory.prototype.open = () => { throw new DOMException('no', 'UnknownError'); }"
ICON = ROOT / "web" / "icons" / "platepath-512.png"
COUNT_JOBS = """() => new Promise((done) => {
  const asked = indexedDB.open('platepath');
  asked.onsuccess = () => {
    const counted = asked.result.transaction('jobs').objectStore('jobs').count();
    counted.onsuccess = () => { asked.result.close(); done(counted.result); };
  };
})"""
DAYS_AHEAD = """
const now = Date.now.bind(Date);
Date.now = () => now() + 45 * 86_400_000;
"""
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
        assert "out of storage" in page.locator(".banner.trouble").inner_text()
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
        page.locator(".banner.trouble", has_text="does not respond").wait_for()
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
        page.locator(".banner.trouble", has_text="does not respond").wait_for()
        page.wait_for_selector(".value")
        page.evaluate("speakAgain()")
        page.wait_for_selector(".banner.trouble", state="detached")
        assert saved_job(page)["job"]["shelf"] == {"span": 3, "material": "oak"}


def test_an_answer_that_was_refused_does_not_overwrite_the_other_tabs(browser, server) -> None:
    with bookshelf(browser) as context:
        one = context.new_page()
        one.goto(server.url)
        start(one)
        tap(one, "3")
        tap(one, "Oak")
        home = f"{server.url}#/job/{one.url.split('/job/')[1].split('/')[0]}"
        two = context.new_page()
        two.goto(f"{home}/ask/books.heaviest")
        two.wait_for_selector("form.question")
        one.goto(f"{home}/ask/shelf.thickness")
        one.wait_for_selector("form.question")
        one.evaluate(f"() => {{ {FULL_DISK} }}")
        tap(one, "12")
        told = one.locator(".banner.trouble li")
        told.wait_for()
        assert "Thickness" in told.inner_text()
        tap(two, "40")
        one.goto(f"{home}/answers")
        one.wait_for_function("() => document.body.textContent.includes('Thickness12')")
        one.wait_for_function("() => document.body.textContent.includes('40')")
        one.evaluate("window.full = false")
        one.get_by_role("button", name="Try again").click()
        one.wait_for_selector(".banner.trouble", state="detached")
        job = saved_job(one)["job"]
        assert job["shelf"]["thickness"] == "12"
        assert job["books"] == {"heaviest": 40}


def test_an_answer_that_was_refused_outlives_the_page(browser, server) -> None:
    with bookshelf(browser) as context:
        page = context.new_page()
        page.goto(server.url)
        start(page)
        tap(page, "3")
        page.evaluate(f"() => {{ {FULL_DISK} }}")
        tap(page, "Oak")
        page.wait_for_selector(".banner.trouble")
        assert "material" not in saved_job(page)["job"]["shelf"]
        page.close(run_before_unload=False)
        page = context.new_page()
        page.goto(server.url)
        page.locator(".job", has_text="Oak").wait_for()
        assert saved_job(page)["job"]["shelf"] == {"span": 3, "material": "oak"}


@pytest.mark.parametrize("ending", ENDINGS, ids=["silently", "with an event"])
def test_a_connection_that_ends_is_opened_again_and_nothing_is_missed(
    browser, server, ending
) -> None:
    with bookshelf(browser) as context:
        context.add_init_script(CONNECTION)
        page = context.new_page()
        page.goto(server.url)
        start(page)
        tap(page, "3")
        page.evaluate(ending)
        tap(page, "Oak")
        page.wait_for_selector(".value")
        assert saved_job(page)["job"]["shelf"] == {"span": 3, "material": "oak"}
        page.evaluate(ending)
        page.goto(f"{server.url}#/about")
        (line,) = saved_file(page, "Save all jobs to one file").splitlines()
        assert json.loads(line)["shelf"] == {"span": 3, "material": "oak"}
        page.evaluate(ending)
        page.goto(f"{server.url}#/")
        page.locator(".job").wait_for()
        page.evaluate(ending)
        page.locator(".job-open").click()
        page.locator(".check").first.wait_for()
        assert page.locator(".banner.trouble, #failure").count() == 0


def test_a_connection_that_cannot_be_opened_again_is_said_and_what_is_shown_stays(
    browser, server
) -> None:
    with bookshelf(browser) as context:
        context.add_init_script(CONNECTION)
        page = context.new_page()
        page.goto(server.url)
        start(page)
        tap(page, "3")
        open_again = "() => { IDBFactory.prototype.open = window.open_before; }"
        page.evaluate(
            f"() => {{ window.open_before = IDBFactory.prototype.open; {NEVER_AGAIN}; {ENDINGS[1]}; }}"
        )
        banner = page.locator(".banner.trouble")
        banner.wait_for()
        assert "Saved jobs are not lost" in banner.inner_text()
        tap(page, "Oak")
        page.wait_for_selector(".value")
        page.goto(f"{server.url}#/")
        page.locator(".job", has_text="Oak").wait_for()
        assert "Board" in banner.locator("li").inner_text()
        (line,) = saved_file(page, "Save all jobs to one file").splitlines()
        assert json.loads(line)["shelf"] == {"span": 3, "material": "oak"}
        page.goto(f"{server.url}#/job/another")
        page.get_by_text("can't be shown").wait_for()
        assert "deleted" not in page.locator("main").inner_text()
        page.evaluate(open_again)
        page.get_by_role("button", name="Try again").click()
        banner.wait_for(state="detached")
        assert saved_job(page)["job"]["shelf"] == {"span": 3, "material": "oak"}


def test_jobs_deleted_under_the_page_are_said_kept_on_it_and_put_back(browser, server) -> None:
    with bookshelf(browser) as context:
        page = context.new_page()
        page.goto(server.url)
        start(page)
        tap(page, "3")
        tap(page, "Oak")
        page.wait_for_selector(".value")
        page.evaluate(
            "() => new Promise((done) => { indexedDB.deleteDatabase('platepath').onsuccess = done; })"
        )
        banner = page.locator(".banner.trouble")
        banner.wait_for()
        assert "were deleted" in banner.inner_text()
        assert "newer version" not in banner.inner_text()
        assert page.locator(".value").count() != 0
        page.goto(f"{server.url}#/")
        page.locator(".job", has_text="Oak").wait_for()
        (line,) = saved_file(page, "Save all jobs to one file").splitlines()
        assert json.loads(line)["shelf"] == {"span": 3, "material": "oak"}
        assert saved_job(page) is None
        banner.get_by_role("button", name="Put them back").click()
        banner.wait_for(state="detached")
        assert saved_job(page)["job"]["shelf"] == {"span": 3, "material": "oak"}
        assert page.locator(".job").count() == 1


def test_no_empty_file_is_handed_out(browser, server) -> None:
    with bookshelf(browser) as context:
        context.add_init_script(CONNECTION)
        page = context.new_page()
        handed: list[str] = []
        page.on("download", lambda file: handed.append(file.suggested_filename))
        page.goto(f"{server.url}#/about")
        page.get_by_role("button", name="Save all jobs to one file").click()
        page.locator(".banner", has_text="no jobs to save").wait_for()
        page.evaluate(f"() => {{ {NEVER_AGAIN}; {ENDINGS[0]}; }}")
        page.get_by_role("button", name="Save all jobs to one file").last.click()
        page.locator(".banner", has_text="can't be read right now").wait_for()
        assert handed == []


def test_every_write_of_jobs_and_photos_waits_for_the_disk(browser, server) -> None:
    with bookshelf(browser) as context:
        context.add_init_script(CONNECTION)
        page = context.new_page()
        page.goto(server.url)
        start(page)
        page.locator(".choice.other").click()
        page.locator(".entry input").fill("3")
        page.get_by_role("button", name="Continue").click()
        page.wait_for_url("**/ask/shelf.material")
        tap(page, "Oak")
        page.wait_for_selector(".value")
        home = page.url.split("/limits")[0]
        page.goto(f"{home}/checklist")
        line = page.locator("#check-span")
        line.locator("summary").first.click()
        line.locator("input[type=file]").set_input_files(ICON)
        line.locator(".photo img").wait_for()
        line.locator(".photo button").click()
        line.locator(".photo").wait_for(state="detached")
        page.goto(f"{home}/report")
        page.get_by_label("Your name").fill("N. N.")
        page.get_by_role("button", name="Sign", exact=True).click()
        page.locator(".signature", has_text="N. N.").wait_for()
        page.goto(f"{server.url}#/")
        page.locator("#open-file").set_input_files(jobs_file(2))
        page.locator(".banner", has_text="Jobs opened: 2").wait_for()
        page.locator(".job .more summary").first.click()
        page.get_by_role("button", name="Delete", exact=True).first.click()
        page.locator(".banner.undo").wait_for()
        page.goto(f"{server.url}#/about")
        page.get_by_role("button", name="Delete for good").click()
        page.get_by_role("button", name="Delete for good").wait_for(state="detached")
        writes = page.evaluate("writes")
        kept = {stores: 0 for stores, _ in writes if "jobs" in stores or "photos" in stores}
        for stores, durability in writes:
            if stores in kept:
                kept[stores] += 1
                assert durability == "strict", stores
        # The job, its draft, answers, result, signature and deletion; the file; photo in and out; the erased job.
        assert kept.pop("jobs") >= 7
        # A photo is written alone: no other write begins before it is on the disk or refused.
        every_store = "jobs,results,photos,settings"
        assert kept == {"jobs,settings": 1, every_store: 2, "jobs,photos,results": 1}


def test_a_clock_45_days_ahead_erases_no_deleted_job(browser, server) -> None:
    with bookshelf(browser) as context:
        page = context.new_page()
        page.goto(server.url)
        start(page)
        tap(page, "3")
        page.goto(f"{server.url}#/")
        page.locator(".job .more summary").first.click()
        page.get_by_role("button", name="Delete", exact=True).click()
        page.locator(".banner.undo").wait_for()
        assert saved_job(page)["deleted"]
        page.close()
        context.add_init_script(DAYS_AHEAD)
        page = context.new_page()
        page.goto(server.url)
        # The bin was looked through.
        page.wait_for_function(
            """async () => (await new Promise((done) => {
              const asked = indexedDB.open('platepath');
              asked.onsuccess = () => {
                const read = asked.result.transaction('settings').objectStore('settings').get('bin');
                read.onsuccess = () => { asked.result.close(); done(read.result); };
              };
            }))?.day"""
        )
        assert saved_job(page)["job"]["shelf"] == {"span": 3}


def test_a_job_deleted_in_another_tab_is_told_in_this_one_and_comes_back_from_it(
    browser, server
) -> None:
    with bookshelf(browser) as context:
        one = context.new_page()
        one.goto(server.url)
        start(one)
        tap(one, "3")
        two = context.new_page()
        two.goto(server.url)
        two.locator(".job .more summary").first.click()
        two.get_by_role("button", name="Delete", exact=True).click()
        one.get_by_role("heading", name="This job was deleted").wait_for()
        assert one.locator("form.question").count() == 0
        one.get_by_role("button", name="Restore").click()
        tap(one, "Oak")
        assert saved_job(one)["deleted"] is None
        assert saved_job(one)["job"]["shelf"] == {"span": 3, "material": "oak"}
        two.locator(".job .more summary").first.click()
        two.get_by_role("button", name="Delete", exact=True).click()
        two.goto(f"{server.url}#/about")
        two.get_by_role("button", name="Delete for good").click()
        one.get_by_role("heading", name="This job was erased").wait_for()
        assert saved_job(one) is None
        one.get_by_role("button", name="Restore").click()
        one.locator(".value").first.wait_for()
        assert saved_job(one)["job"]["shelf"] == {"span": 3, "material": "oak"}


def jobs_file(count: int) -> dict:
    """A file of so many bookshelves, each with a name of its own, as a browser is handed it."""
    jobs = [
        {"format": "platepath.job/1", "name": f"Shelf {n}", "shelf": {"span": 3, "material": "oak"}}
        for n in range(count)
    ]
    lines = "\n".join(json.dumps(job) for job in jobs)
    return {"name": "shelves.jsonl", "mimeType": "text/plain", "buffer": lines.encode()}


def test_two_thousand_jobs_are_opened_in_one_go_and_only_once(browser, server) -> None:
    with bookshelf(browser) as context:
        context.add_init_script(CONNECTION)
        page = context.new_page()
        page.goto(server.url)
        page.evaluate(
            """() => {
              window.progress = 0;
              new MutationObserver(() => {
                window.progress = Math.max(window.progress, document.querySelector('.opening progress')?.value ?? 0);
              }).observe(document.body, { subtree: true, childList: true, attributes: true });
            }"""
        )
        for told in ("Jobs opened: 2000", "not added again: 2000"):
            page.locator("#open-file").set_input_files(jobs_file(2000))
            page.locator(".banner", has_text=told).wait_for()
            counted = page.evaluate(COUNT_JOBS)
            assert counted == 2000
        assert page.evaluate("progress") == 2000
        writes = [stores for stores, _ in page.evaluate("writes") if "jobs" in stores]
        assert writes == ["jobs,settings"] * 2


def test_a_file_whose_opening_is_cut_short_leaves_nothing_and_is_named(browser, server) -> None:
    with bookshelf(browser) as context:
        page = context.new_page()
        page.goto(server.url)
        page.locator("#open-file").set_input_files(jobs_file(10_000))
        page.locator(".opening progress").wait_for()
        page.close(run_before_unload=False)
        page = context.new_page()
        page.goto(server.url)
        banner = page.locator(".banner", has_text="“shelves.jsonl” was still being opened")
        banner.wait_for()
        assert page.evaluate(COUNT_JOBS) == 0
        banner.get_by_role("button", name="Close").click()
        page.reload()
        page.wait_for_selector("h1")
        assert page.locator(".banner", has_text="shelves.jsonl").count() == 0


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
        "job": {"format": "platepath.job/9", "name": "From tomorrow"},
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


def test_the_engine_refuses_a_stored_job_of_a_newer_format_and_nothing_touches_it(
    phone, server
) -> None:
    newer = {
        "id": "newer",
        "revision": 3,
        "changed": 9,
        "job": {
            "format": "platepath.job/9",
            "name": "From tomorrow",
            "transformer": {"kva": 75, "flux": {"unheard": ["of"]}},
        },
        "drafts": {},
        "line": "75 kVA",
        "overall": {"verdict": "conflict_found", "text": "A conflict was found.", "revision": 3},
        "signature": None,
        "deleted": None,
        "later": "a field of tomorrow",
    }
    page = phone.open(server.url)
    wait_until(page, engine="ready")
    page.evaluate(INTO_STORE, [["jobs", newer]])
    page.reload()
    wait_until(page, engine="ready")
    page.locator(".job", has_text="From tomorrow").wait_for()
    for path in ("", "/ask/transformer.kva", "/limits", "/checklist", "/report", "/answers"):
        page.goto(f"{server.url}#/job/newer{path}")
        page.get_by_text("written by another version of the app").wait_for()
        assert page.locator("form.question, .check, .value").count() == 0
    assert json.loads(saved_file(page, "Save as it is")) == newer["job"]
    assert saved_job(page) == newer
    page.goto(f"{server.url}#/about")
    (line,) = saved_file(page, "Save all jobs to one file").splitlines()
    assert json.loads(line) == newer["job"]
    assert phone.errors == []


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
                    job: { format: 'platepath.job/1', name: `Shelf number ${n}`, place: `Hall ${n % 700}`, purpose: 'inspection' },
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
    """
    A browser of our own on a lasting profile, ended by SIGKILL, as the system ends one that takes too much memory.

    The system's own cache outlives that. What a dead battery leaves depends on the durability asked of each write, which
    is held by `test_every_write_of_jobs_and_photos_waits_for_the_disk`.
    """

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


def no_acknowledged_answer_is_lost(playwright, server, profile: Path, rounds: int) -> int:
    """Answers, kills the browser right after an answer was acknowledged, looks for all of them; the rounds survived."""
    running = KilledBrowser(playwright, profile)
    try:
        return answer_and_kill(running, server, rounds)
    except Exception as problem:
        problem.add_note(last_words(running.context))
        raise
    finally:
        running.kill()


def answer_and_kill(running: KilledBrowser, server, rounds: int) -> int:
    """One round after the other; the browser runs at the end. The rounds survived."""
    survived = 0
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
        survived += 1
    return survived


def test_a_browser_killed_on_a_running_system_loses_no_acknowledged_answer(
    playwright, server, tmp_path
) -> None:
    rounds = no_acknowledged_answer_is_lost(playwright, server, tmp_path / "profile", rounds=3)
    assert rounds == 3


@pytest.mark.skipif(
    "PLATEPATH_EXAMPLES" not in os.environ, reason="a long run: set PLATEPATH_EXAMPLES"
)
def test_two_hundred_kills_on_a_running_system_lose_no_acknowledged_answer(
    playwright, server, tmp_path
) -> None:
    rounds = no_acknowledged_answer_is_lost(playwright, server, tmp_path / "profile", rounds=200)
    assert rounds == 200


DISK_BYTES = 160_000_000
ROOM_BYTES = 9_000_000


@pytest.fixture
def small_disk(tmp_path) -> Iterator[Path]:
    """A file system of its own, small enough to be filled."""
    place = tmp_path / "disk"
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", f"size={DISK_BYTES}", "tmpfs", str(place)]
    try:
        done = subprocess.run(mount, capture_output=True, text=True, check=False)
    except OSError as problem:
        pytest.skip(f"no file system can be mounted here: {problem}")
    if done.returncode:
        pytest.skip(f"no file system can be mounted here: {done.stderr.strip()}")
    try:
        yield place
    finally:
        subprocess.run(["umount", "--lazy", str(place)], check=True)


def noise(number: int, side: int = 1500) -> dict:
    """A picture that no method makes smaller, as a browser is handed it."""
    dots = random.Random(number).randbytes(3 * side)
    rows = b"".join(b"\0" + dots[turn:] + dots[:turn] for turn in range(side))
    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    parts = ((b"IHDR", head), (b"IDAT", zlib.compress(rows, 1)), (b"IEND", b""))
    body = b"".join(
        struct.pack(">I", len(content))
        + kind
        + content
        + struct.pack(">I", zlib.crc32(kind + content))
        for kind, content in parts
    )
    return {"name": f"{number}.png", "mimeType": "image/png", "buffer": b"\x89PNG\r\n\x1a\n" + body}


def keep_for_good(profile: Path, address: str) -> None:
    """
    Lets the site keep its data for good, as the browser does by itself for an app that was installed or is used often.

    Of any other site Chromium deletes everything with the first write that finds no room, and asks nobody.
    """
    allowed = {f"{address.rstrip('/')},*": {"setting": 1}}
    settings = {"profile": {"content_settings": {"exceptions": {"durable_storage": allowed}}}}
    (profile / "Default").mkdir(parents=True)
    (profile / "Default" / "Preferences").write_text(json.dumps(settings))


def test_on_a_disk_that_is_really_full_nothing_is_gone_that_was_said_to_be_saved(
    playwright, server, small_disk
) -> None:
    running = KilledBrowser(playwright, small_disk / "profile")
    keep_for_good(running.profile, server.url)
    try:
        saved = fill_the_disk(running, server, small_disk)
        running.kill()
        # The room is free again, as the words on the screen asked for.
        (small_disk / "filler").unlink()
        page = running.open(server.url)
        page.locator(".job").first.wait_for()
        stored = page.evaluate(ALL_STORED)
        for job_id, name in saved["jobs"].items():
            assert stored["jobs"][job_id]["name"] == name
        assert set(saved["photos"]) <= set(stored["photos"])
    finally:
        running.kill()


@pytest.mark.parametrize("has_reserve", [True, False], ids=["reserve", "no_reserve"])
def test_what_was_saved_before_another_app_took_the_last_byte_outlives_the_next_starts(
    playwright, server, small_disk, has_reserve
) -> None:
    running = KilledBrowser(playwright, small_disk / "profile")
    keep_for_good(running.profile, server.url)
    try:
        page = running.open(server.url)
        assert page.evaluate("navigator.storage.persisted()")
        wait_until(page, offline="offline_ready", engine="ready")
        saved = dict(named_job(page, server, f"T{number}") for number in range(2))
        if has_reserve:
            # The first photo wants it at once.
            open_demo_job(page)
            add_photo(page, 0)
            assert page.evaluate(RESERVED) == 16
        old = log_files(running.profile)
        meet_a_full_disk(page, server, small_disk / "filler", saved, has_reserve)
        if has_reserve:
            saved.update([named_job(page, server, "on the reserve")])
            page.wait_for_selector(".banner.trouble", state="detached")
            wait_for_a_new_log(running.profile, old)
        running.kill()
        (small_disk / "filler").unlink()
        # What was cut short is met at the next start, and what was written behind it at the one after that.
        for name in ("T5", "T6", None):
            old = log_files(running.profile)
            page = running.open(server.url)
            page.locator(".job").first.wait_for()
            if name:
                saved.update([named_job(page, server, name)])
            if name == "T5":
                wait_for_a_new_log(running.profile, old)
            jobs = page.evaluate(ALL_STORED)["jobs"]
            assert {job_id: jobs.get(job_id, {}).get("name") for job_id in saved} == saved
            running.kill()
    finally:
        running.kill()


def meet_a_full_disk(page, server, filler: Path, saved: dict, has_reserve: bool) -> None:
    """Answers on a disk that another app keeps full, until a write found no room; adds what was said to be saved."""
    for number in range(2, 40):
        # The browser frees a little now and then.
        fill_to_the_last_byte(filler)
        if has_reserve and page.evaluate(RESERVED) == 0:
            # It was given back while the disk was filled, and for answers, not for the filler.
            os.truncate(filler, filler.stat().st_size - 4_000_000)
            return
        job_id, name = named_job(page, server, f"T{number}")
        page.goto(f"{server.url}#/")
        page.locator(".job").first.wait_for()
        page.wait_for_function(TOLD_OR_SAVED)
        if page.locator(".banner.trouble").count():
            assert not has_reserve, "the reserve held no room for small answers"
            return
        saved[job_id] = name
        if has_reserve and page.evaluate(RESERVED) == 0:
            return
    raise AssertionError("the disk was never full")


RESERVED = """async () => {
  const files = await navigator.storage.getDirectory();
  const reserve = await files.getDirectoryHandle('reserve').catch(() => null);
  let count = 0;
  if (reserve) for await (const name of reserve.keys()) count += 1;
  return count;
}"""


def log_files(profile: Path) -> set[str]:
    """The logs in which Chromium keeps what was written to IndexedDB last."""
    return {path.name for path in (profile / "Default" / "IndexedDB").rglob("*.log")}


def wait_for_a_new_log(profile: Path, old: set[str]) -> None:
    """Chromium begins it in its own time, and a kill before that leaves the old one."""
    wait_for(lambda: not old & log_files(profile), "the log that was cut short is still in use")


def fill_to_the_last_byte(filler: Path) -> None:
    """Takes all that is left of a disk."""
    with filler.open("ab", buffering=0) as file:
        for size in (1_000_000, 4096):
            with suppress(OSError):
                while True:
                    file.write(bytes(size))


def named_job(page, server, name: str) -> tuple[str, str]:
    """A new job of that name: its id and the name."""
    page.goto(f"{server.url}#/")
    start(page)
    job_id = page.url.split("/job/")[1].split("/")[0]
    page.goto(f"{server.url}#/job/{job_id}/ask/name/answers")
    enter(page, name)
    return job_id, name


def open_demo_job(page) -> None:
    """Opens a job with a checklist from a file."""
    page.goto(page.url.split("#")[0] + "#/")
    page.locator("#open-file").set_input_files(
        ROOT / "fixtures" / "jobs" / "02_no_system_bonding_jumper.json"
    )
    page.locator("#check-primary_device").wait_for()


def add_photo(page, number: int) -> None:
    """Adds one more photo to the line of the primary device, which has that many."""
    line = page.locator("#check-primary_device")
    line.locator("summary").first.click()
    # Those of before come from the storage first.
    shows_photos(page, number)
    line.locator("input[type=file]").set_input_files(noise(number))
    shows_photos(page, number + 1)


ALL_STORED = """async () => {
  const database = await new Promise((done) => {
    const asked = indexedDB.open('platepath');
    asked.onsuccess = () => done(asked.result);
  });
  const all = (store) => new Promise((done) => {
    const asked = database.transaction(store).objectStore(store).getAll();
    asked.onsuccess = () => done(asked.result);
  });
  const jobs = Object.fromEntries((await all('jobs')).map(({ id, job }) => [id, job]));
  const photos = (await all('photos')).map(({ name }) => name);
  database.close();
  return { jobs, photos };
}"""


def shows_photos(page, count: int) -> None:
    """Waits until the line of the primary device shows so many photos."""
    page.wait_for_function(
        "count => document.querySelectorAll('#check-primary_device .photo').length === count",
        arg=count,
    )


TOLD_OR_SAVED = """() => {
  const banner = document.querySelector('.banner.trouble');
  return !banner || banner.innerText.includes('out of storage');
}"""


def fill_the_disk(running: KilledBrowser, server, disk: Path) -> dict:
    """Jobs and photos until well after the app says that there is no room; those it did not say that of."""
    page = running.open(server.url)
    wait_until(page, offline="offline_ready", engine="ready")
    open_demo_job(page)
    checklist = page.url
    with (disk / "filler").open("wb") as filler:
        for _ in range(max(0, shutil.disk_usage(disk).free - ROOM_BYTES) // 1_000_000):
            filler.write(bytes(1_000_000))
    saved: dict = {"jobs": {}, "photos": []}
    banner = page.locator(".banner.trouble")
    refused = 0
    for number in range(60):
        page.goto(checklist)
        add_photo(page, number)
        if banner.count() == 0:
            saved["photos"].append(f"{number}.png")
        job_id, name = named_job(page, server, f"T{number}")
        # That the connection broke is said only until the app knows why.
        page.wait_for_function(TOLD_OR_SAVED)
        if banner.count():
            refused += 1
        else:
            saved["jobs"][job_id] = name
        if refused == 3:
            break
    assert refused == 3, "the disk was never full"
    assert saved["jobs"]
    assert saved["photos"]
    return saved
