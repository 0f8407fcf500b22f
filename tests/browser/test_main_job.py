"""The main job in a real browser: nameplate, limits, checklist, report; online, offline, after a restart.

The figures expected here are those of the project's brief for a 75 kVA, 480 V to 208Y/120 V transformer
(common practice, no source); the arithmetic behind them is checked in tests/published.
"""

import json
import re

from tests.browser.states import wait_until
from tests.browser.walk import (
    USUAL_NAMEPLATE,
    accessibility_problems,
    ask_of,
    enter,
    file,
    go,
    is_wider_than_screen,
    saved_job,
    small_targets,
    start,
    tap,
    verdict,
    wait_for_the_result,
)
from web.build.tools import ROOT

JOBS = ROOT / "fixtures" / "jobs"
NAMEPLATE = (
    ("nameplate_voltages", USUAL_NAMEPLATE),
    ("transformer.kva", "75"),
    ("primary.device.rating", "125"),
)


def give_the_nameplate(page) -> str:
    """The three facts, up to the limits; the job's id."""
    start(page)
    for path, label in NAMEPLATE:
        assert ask_of(page) == path
        tap(page, label)
    page.wait_for_selector("h1:text-is('Limits')")
    page.wait_for_selector(".value")
    wait_for_the_result(page)
    return page.url.split("/job/")[1].split("/")[0]


def limits(page) -> dict[str, str]:
    """What the limits page shows, by title."""
    return {
        row.locator(".value-title").inner_text(): row.locator(".value-shown").inner_text()
        for row in page.locator(".value").all()
    }


def test_three_facts_give_the_limits_each_with_section_and_arithmetic(phone, server) -> None:
    page = phone.open(server.url)
    give_the_nameplate(page)
    shown = limits(page)
    assert shown["Full-load current, primary"] == "90.2 A"
    assert shown["Full-load current, secondary"] == "208.2 A"
    assert shown["Largest primary device, alone"] == "125 A"
    assert shown["Largest secondary device"] == "300 A"
    first = page.locator(".value", has_text="Full-load current, primary")
    assert "450.3" in first.locator(".value-more").inner_text()
    assert not first.locator(".steps").is_visible()
    first.locator("summary").click()
    assert "75 kVA" in first.locator(".steps").inner_text()
    assumed = page.locator(".value:has(.assumption)")
    assert assumed.count() > 0
    assert phone.errors == []
    assert phone.other_origins(server.url) == []


def test_the_whole_job_goes_on_without_a_network_and_after_a_restart(phone, server) -> None:
    page = phone.open(server.url)
    wait_until(page, offline="offline_ready", engine="ready")
    job_id = give_the_nameplate(page)
    server.stop()
    page.reload()
    wait_until(page, engine="ready")
    page.wait_for_selector(".value")
    assert limits(page)["Largest primary device, alone"] == "125 A"

    page.get_by_role("link", name="Continue with the questions").click()
    page.wait_for_url("**/ask/**")
    page.goto(f"{server.url}#/job/{job_id}/ask/primary.device.rating/checklist")
    enter(page, "400")
    page.wait_for_selector("#check-primary_device.cannot_tell")
    line = page.locator("#check-primary_device")
    line.locator(".quick", has_text="Coordinated thermal protection").locator("summary").click()
    line.get_by_role("button", name="No", exact=True).click()
    page.wait_for_selector("#check-primary_device.does_not_meet")
    assert verdict(page, "primary_device") == "Does not meet"
    page.wait_for_selector("#check-primary_device .remedy")
    phone.close()

    page = phone.open(server.url)
    page.wait_for_selector(".job")
    assert "Conflict found" in page.locator(".job-state").inner_text()
    page.locator(".job-open").click()
    page.wait_for_selector("#check-primary_device.does_not_meet")
    wait_until(page, engine="ready")
    assert saved_job(page)["job"]["primary"]["device"]["rating"] == 400
    go(page, "Report")
    page.wait_for_selector("iframe", state="attached")
    page.locator(".frame > summary").click()
    inside = page.frame_locator("iframe")
    inside.locator("body", has_text="75 kVA").wait_for()
    assert inside.locator("script").count() == 0
    page.wait_for_selector(".drawing img")
    assert phone.errors == []


def test_a_demo_job_opened_as_a_file_shows_its_conflicts_first(phone, server) -> None:
    page = phone.open(server.url)
    wait_until(page, engine="ready")
    page.locator("#open-file").set_input_files(JOBS / "02_no_system_bonding_jumper.json")
    page.wait_for_selector("#check-system_bonding_jumper.does_not_meet")
    page.get_by_role("button", name="Conflicts first").click()
    page.wait_for_selector("[aria-pressed=true]:text-is('Conflicts first')")
    wait_for_the_result(page)
    words = page.locator(".check > .verdict").all_inner_texts()
    order = [word.split("·")[0].strip() for word in words]
    assert order == sorted(
        order, key=["Does not meet", "Can't tell", "Meets", "Does not apply"].index
    )
    assert order[0] == "Does not meet"


def test_answers_that_cannot_all_be_right_are_shown_and_lead_to_their_questions(
    phone, server, tmp_path
) -> None:
    job = json.loads((JOBS / "01_sound_75_kva.json").read_text())
    assert job["secondary"]["protection"]["kind"] == "main_device"
    job["secondary"]["panelboard"]["fed_by_two_mains"] = True
    page = phone.open(server.url)
    wait_until(page, engine="ready")
    page.locator("#open-file").set_input_files(file(tmp_path, "two_mains.json", json.dumps(job)))
    wait_for_the_result(page)
    block = page.locator(".contradiction")
    block.wait_for()
    assert block.count() == 1
    words = block.inner_text()
    assert "These answers can't all be right" in words
    assert "Two mains ahead of one bus are grouped devices" in words
    links = block.get_by_role("link")
    paths = ["secondary.panelboard.fed_by_two_mains", "secondary.protection.kind"]
    assert sorted(link.get_attribute("href").split("/")[4] for link in links.all()) == paths
    assert all(re.fullmatch(r"\S.*: \S.*", link.inner_text()) for link in links.all())
    assert not is_wider_than_screen(page)
    assert not small_targets(page)
    assert accessibility_problems(page) == []
    go(page, "Limits")
    block.wait_for()
    go(page, "Checklist")
    block.wait_for()
    block.locator("a[href*=fed_by_two_mains]").tap()
    page.wait_for_url("**/ask/secondary.panelboard.fed_by_two_mains/checklist")
    tap(page, "No")
    page.wait_for_selector("h1:text-is('Checklist')")
    wait_for_the_result(page)
    assert block.count() == 0
    assert phone.errors == []


def test_every_demo_job_can_be_opened_shown_and_reported(phone, server) -> None:
    page = phone.open(server.url)
    wait_until(page, engine="ready")
    for job in sorted(JOBS.glob("*.json")):
        page.goto(f"{server.url}#/")
        page.wait_for_selector("h1:text-is('Jobs')")
        page.locator("#open-file").set_input_files(job)
        page.wait_for_selector(".overall-text")
        assert "compl" not in page.locator(".overall-text").inner_text().lower()
        go(page, "Limits")
        page.wait_for_selector(".value")
        go(page, "Report")
        page.wait_for_selector("iframe", state="attached")
    assert phone.errors == []


def test_answers_given_before_the_engine_runs_are_kept_and_judged_when_it_does(
    phone, server
) -> None:
    held = []

    def hold(handler, path: str) -> bool:
        if path.startswith("python/") and not held:
            handler.send_error(503)
            return True
        return False

    server.before = hold
    page = phone.open(server.url)
    start(page)
    for _, label in NAMEPLATE:
        tap(page, label)
    page.wait_for_selector("h1:text-is('Limits')")
    assert page.get_attribute("html", "data-engine") != "ready"
    assert page.locator(".value").count() == 0
    held.append(True)
    server.before = None
    page.reload()
    wait_until(page, engine="ready")
    page.wait_for_selector(".value")
    assert limits(page)["Full-load current, primary"] == "90.2 A"


def test_what_cannot_be_a_nameplate_is_refused_in_the_engines_words(phone, server) -> None:
    page = phone.open(server.url)
    wait_until(page, engine="ready")
    start(page)
    tap(page, USUAL_NAMEPLATE)
    page.locator(".choice.other").click()
    for typed, words in (
        ("0", "0 cannot be a reading"),
        ("1000000000", "1000000000 cannot be a reading"),
        ("-5", "-5 cannot be a reading"),
        ("seventy", "This is not a number"),
    ):
        page.locator(".entry input").fill(typed)
        page.get_by_role("button", name="Continue").click()
        page.locator(".field-error", has_text=words).wait_for()
        page.locator("#error-summary", has_text=words).wait_for()
        assert page.locator(".entry input").input_value() == typed
    assert "kva" not in saved_job(page)["job"].get("transformer", {})


def test_a_file_saved_here_is_what_the_command_line_reads(phone, server, tmp_path) -> None:
    page = phone.open(server.url)
    give_the_nameplate(page)
    page.goto(f"{server.url}#/")
    page.locator(".job .more summary").click()
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save as a file").click()
    job = json.loads(saved.value.path().read_text())
    assert job["format"] == "platepath.job/1"
    assert job["transformer"] == {
        "phases": 3,
        "kva": 75,
        "primary_volts": 480,
        "secondary_volts": 208,
        "primary_system": "delta_3_wire",
        "secondary_system": "wye_4_wire",
    }
    again = file(tmp_path, "again.json", json.dumps(job))
    wait_until(page, engine="ready")
    page.locator("#open-file").set_input_files(again)
    page.wait_for_selector("h1:text-is('Checklist')")
    assert saved_job(page)["job"] == job


def test_a_deleted_job_comes_back_with_undo(phone, server) -> None:
    page = phone.open(server.url)
    give_the_nameplate(page)
    page.goto(f"{server.url}#/")
    page.locator(".job .more summary").click()
    page.get_by_role("button", name="Delete").click()
    page.wait_for_selector(".job", state="detached")
    page.get_by_role("button", name="Undo").click()
    page.wait_for_selector(".job")


def test_the_next_of_the_same_kind_takes_the_nameplate_and_nothing_that_was_found(
    phone, server
) -> None:
    page = phone.open(server.url)
    give_the_nameplate(page)
    page.goto(f"{server.url}#/")
    page.locator(".job .more summary").click()
    page.get_by_role("button", name="Next one of the same kind").click()
    page.wait_for_selector("h1:text-is('Checklist')")
    job = saved_job(page)["job"]
    assert job["transformer"]["kva"] == 75
    assert "primary" not in job


def test_a_photo_and_a_signature_go_into_the_report(phone, server) -> None:
    page = phone.open(server.url)
    give_the_nameplate(page)
    go(page, "Checklist")
    line = page.locator("#check-primary_device")
    wait_for_the_result(page)
    # Not the answers that an open line offers, but what is behind it.
    line.locator("> details > summary").click()
    line.locator("input[type=file]").set_input_files(ROOT / "web" / "icons" / "platepath-512.png")
    page.wait_for_selector("#check-primary_device .photo img")
    go(page, "Report")
    # Nothing may move any more when the pen is set down.
    page.wait_for_function("() => document.querySelector('.drawing img')?.complete")
    page.get_by_label("Your name").fill("R. Field")
    pad = page.locator(".pad")
    pad.scroll_into_view_if_needed()
    box = pad.bounding_box()
    page.mouse.move(box["x"] + 20, box["y"] + 20)
    page.mouse.down()
    page.mouse.move(box["x"] + 120, box["y"] + 60, steps=5)
    page.mouse.up()
    page.get_by_role("button", name="Sign", exact=True).click()
    page.wait_for_selector(".signature img")
    page.wait_for_function(
        "() => (document.querySelector('iframe')?.srcdoc.match(/data:image/g) ?? []).length >= 2"
    )


def test_a_file_with_unknown_keys_is_refused_by_name_and_changes_nothing(
    phone, server, tmp_path
) -> None:
    page = phone.open(server.url)
    wait_until(page, engine="ready")
    job = json.loads((JOBS / "15_nameplate_only.json").read_text())
    wrong = file(tmp_path, "wrong.json", json.dumps({**job, "colour": "blue"}))
    page.locator("#open-file").set_input_files(wrong)
    page.wait_for_selector("#error-summary")
    assert "colour" in page.locator("#error-summary").inner_text()
    assert saved_job(page) is None


def test_every_broken_file_is_refused_in_words_and_leaves_nothing_behind(phone, server) -> None:
    page = phone.open(server.url)
    wait_until(page, engine="ready")
    broken = sorted((ROOT / "fixtures" / "broken").glob("*.json"))
    assert len(broken) > 30
    for path in broken:
        page.locator("#open-file").set_input_files(path)
        page.locator("#error-summary", has_text=path.name).wait_for()
        assert page.locator("#error-summary li").count() > 1, path.name
    assert saved_job(page) is None
    assert phone.errors == []
