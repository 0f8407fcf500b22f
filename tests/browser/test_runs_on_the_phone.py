"""A second secondary run on the phone: added, filled in, found in conflict under its name, and taken out again."""

from playwright.sync_api import Page

from tests.browser.walk import (
    accessibility_problems,
    ask_of,
    enter,
    go,
    is_wider_than_screen,
    saved_job,
    small_targets,
    tap,
    verdict,
    wait_for_the_result,
)
from web.build.tools import ROOT

JOBS = ROOT / "fixtures" / "jobs"
SECOND = "secondary.further_runs.0"


def open_job(page: Page, name: str) -> None:
    """A demo job, opened as a file, on its list of answers."""
    page.locator("input[type=file]").first.set_input_files(str(JOBS / f"{name}.json"))
    page.wait_for_url("**/checklist")
    go(page, "Answers")


def further_runs(page: Page) -> list[dict]:
    return saved_job(page)["job"]["secondary"].get("further_runs", [])


def test_a_run_is_added_filled_in_found_in_conflict_and_removed(phone, server) -> None:
    page = phone.open(server.url)
    open_job(page, "01_sound_75_kva")
    page.get_by_role("button", name="Add another run").click()
    page.wait_for_url("**/ask/**")
    assert ask_of(page).startswith(f"{SECOND}.")
    assert page.locator("h1").inner_text().startswith("Run 2 · ")
    assert further_runs(page) == [{}]
    job = page.url.split("/ask/")[0]

    # Nothing is known of it: what reads it can't be told, what is sized by all runs neither.
    page.goto(f"{job}/checklist")
    wait_for_the_result(page)
    assert verdict(page, "secondary_conductors") == "Can't tell"
    assert verdict(page, "grounding_electrode_conductor") == "Can't tell"
    line = page.locator("#check-secondary_conductors")
    assert "Run 2" in line.locator(".reason").inner_text()
    assert line.locator(".quick summary").first.inner_text().startswith("Run 2 · ")

    # The same questions as of the first run, one after the other.
    for path, answer in (
        ("conductors.size", "8"),
        ("conductors.material", "Copper"),
        ("conductors.insulation", "THWN-2"),
        ("conductors.sets", "1"),
        ("conductors.current_carrying", "3"),
        ("conductors.termination_celsius", "75"),
        ("conductors.wet_location", "No"),
        ("protection.kind", "One main breaker or set of fuses"),
        ("protection.rating", "100"),
        ("protection.device_kind", "Breaker"),
        ("protection.adjustable", "No"),
        ("protection.termination_celsius", "75"),
        ("rule", "Not over 25 ft"),
        ("in_first_enclosure", "No"),
    ):
        page.goto(f"{job}/ask/{SECOND}.{path}")
        page.wait_for_selector("h1:has-text('Run 2')")
        tap(page, answer)
    page.goto(f"{job}/ask/{SECOND}.conductors.ambient_celsius")
    enter(page, "31")
    page.goto(f"{job}/checklist")
    wait_for_the_result(page)
    assert verdict(page, "secondary_conductors") == "Does not meet"
    said = page.locator("#check-secondary_conductors .reason").inner_text()
    assert said.startswith("Run 2: ")
    # The jumper is in the first panel, and the second run ends in another one: has that one a jumper of its own?
    assert verdict(page, "jumper_of_several_enclosures") == "Can't tell"
    page.goto(f"{job}/ask/bonding.system_bonding_jumper.in_each_enclosure")
    tap(page, "No")
    page.goto(f"{job}/checklist")
    wait_for_the_result(page)
    assert verdict(page, "jumper_of_several_enclosures") == "Does not meet"
    # Of the one enclosure that is left, a no would contradict the jumper that was found in it.
    page.goto(f"{job}/ask/bonding.system_bonding_jumper.in_each_enclosure")
    tap(page, "Yes")

    page.goto(f"{job}/answers")
    page.get_by_role("button", name="Remove").click()
    page.get_by_text("Run 2 removed").wait_for()
    assert further_runs(page) == []
    page.get_by_role("button", name="Undo").click()
    page.get_by_role("button", name="Remove").wait_for()
    assert further_runs(page)[0]["conductors"]["size"] == "8"
    page.get_by_role("button", name="Remove").click()
    page.get_by_role("button", name="Remove").wait_for(state="detached")
    go(page, "Checklist")
    wait_for_the_result(page)
    page.wait_for_selector("#check-secondary_conductors.meets", state="attached")


def test_as_many_runs_as_a_job_holds_and_no_more(phone, server) -> None:
    page = phone.open(server.url)
    open_job(page, "16_two_secondary_runs")
    for count in range(2, 6):
        job = page.url.split("/answers")[0]
        page.get_by_role("button", name="Add another run").click()
        page.wait_for_url("**/ask/**")
        assert len(further_runs(page)) == count
        page.goto(f"{job}/answers")
    page.get_by_text("One job holds at most 6 runs").wait_for()
    assert page.get_by_role("button", name="Add another run").count() == 0


def test_the_runs_are_within_reach_on_a_small_phone(phone, server) -> None:
    page = phone.open(server.url)
    open_job(page, "16_two_secondary_runs")
    page.get_by_role("button", name="Add another run").wait_for()
    assert not is_wider_than_screen(page)
    assert not small_targets(page)
    assert not accessibility_problems(page)
