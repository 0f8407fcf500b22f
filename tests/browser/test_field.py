"""What a person in the field came for: one page to compare with the gear, few screens, one thumb to the next open line."""

import json

import pytest

from tests.browser.states import wait_until
from tests.browser.walk import (
    USUAL_NAMEPLATE,
    accessibility_problems,
    ask_of,
    go,
    is_wider_than_screen,
    saved_job,
    small_targets,
    start,
    tap,
)
from web.build.tools import ROOT

JOBS = ROOT / "fixtures" / "jobs"
# The contract of the visit: confirming the grounding takes no more than this many questions.
MOST_SCREENS = 6


def open_job(page, url: str, name: str) -> str:
    """A demo job, opened as a file; its home."""
    wait_until(page, engine="ready")
    page.locator("#open-file").set_input_files(JOBS / f"{name}.json")
    page.wait_for_selector(".check")
    return f"{url}#/job/{page.url.split('/job/')[1].split('/')[0]}"


def cells(page, caption: str) -> list[list[str]]:
    """A table as a screen reader gets it: its rows with all their headings and cells."""
    table = page.get_by_role("table", name=caption)
    rows = table.get_by_role("row").all()
    return [
        row.locator("[role=columnheader], [role=rowheader], [role=cell]").all_inner_texts()
        for row in rows
    ]


def answer_the_grounding(page) -> list[str]:
    """From the way in to the sizes by taps alone; the screens it took."""
    start(page, 1)
    screens = []
    for label in ("Three-phase, 480 V delta to 208Y/120 V, 4-wire", "75", "4/0", "Copper, one"):
        screens.append(ask_of(page))
        tap(page, label)
    screens.append(ask_of(page))
    page.get_by_text("Building steel").click()
    page.get_by_role("button", name="Continue").click()
    page.wait_for_url("**/ask/electrode.used")
    screens.append(ask_of(page))
    tap(page, "Building steel")
    page.wait_for_selector("h1:text-is('Limits')")
    return screens


def test_the_grounding_takes_six_screens_to_sizes_that_rest_on_no_assumption(phone, server) -> None:
    page = phone.open(server.url)
    screens = answer_the_grounding(page)
    assert len(screens) <= MOST_SCREENS, screens
    page.wait_for_selector(".result-table")
    # NFPA 70, Table 250.66 and Table 250.102(C)(1): 4/0 AWG copper asks for 2 AWG copper or 1/0 AWG aluminum
    rows = {
        row[0]: row[1:] for row in cells(page, "Smallest jumpers, bonds and electrode conductor")
    }
    for line in (
        "System bonding jumper",
        "Supply-side bonding jumper, in each raceway",
        "Grounding electrode conductor",
        "Bond of the metal water pipe",
        "Bond of the structural steel",
    ):
        assert rows[line] == ["2 AWG", "1/0 AWG"], line
    # What a neutral carries is not asked on this visit, so its own size alone rests on an assumption (220.61).
    assumed = page.locator(".result-table tr:has(.assumption)")
    assert assumed.count() == 1
    assert "Grounded conductor" in assumed.inner_text()
    # Only what stood on the buttons was written down.
    job = saved_job(page)["job"]
    assert job["transformer"] == {
        "phases": 3,
        "kva": 75,
        "primary_volts": 480,
        "secondary_volts": 208,
        "primary_system": "delta_3_wire",
        "secondary_system": "wye_4_wire",
    }
    assert job["secondary"] == {"conductors": {"size": "4/0", "material": "copper", "sets": 1}}
    assert job["electrode"] == {"available": ["building_steel"], "used": "building_steel"}
    assert phone.errors == []


def test_another_nameplate_is_answered_on_the_same_screen(phone, server) -> None:
    page = phone.open(server.url)
    start(page, 1)
    page.get_by_role("button", name="Another one").click()
    page.wait_for_selector(".members")
    page.get_by_role("button", name="Continue").click()
    page.locator("#error-summary", has_text="Nothing can be worked out").wait_for()
    for ask, label in (
        ("How many phases?", "3"),
        ("What is the primary voltage?", "600 V"),
        ("What is the secondary voltage, line to line?", "240 V"),
    ):
        page.get_by_role("group", name=ask).get_by_role("button", name=label, exact=True).click()
        page.locator(f"[aria-pressed=true]:text('{label.split()[0]}')").first.wait_for()
    page.get_by_role("button", name="Continue").click()
    page.wait_for_url("**/ask/transformer.kva")
    assert saved_job(page)["job"]["transformer"] == {
        "phases": 3,
        "primary_volts": 600,
        "secondary_volts": 240,
    }


def test_a_voltage_typed_under_another_nameplate_is_taken_at_the_first_continue(
    phone, server
) -> None:
    page = phone.open(server.url)
    start(page, 2)
    page.get_by_role("button", name="Another one").click()
    members = page.locator(".members form")
    members.nth(0).get_by_role("button", name="3", exact=True).click()
    members.nth(2).get_by_role("button", name="208 V", exact=True).click()
    members.nth(1).get_by_role("button", name="Other value").click()
    members.nth(1).locator("input").fill("460")
    page.get_by_role("button", name="Continue").click()
    page.wait_for_url("**/ask/transformer.kva")
    assert saved_job(page)["job"]["transformer"] == {
        "phases": 3,
        "primary_volts": 460,
        "secondary_volts": 208,
    }


def test_what_of_the_old_nameplate_is_not_known_yet_does_not_stand_before_the_limits(
    phone, server
) -> None:
    page = phone.open(server.url)
    start(page, 2)
    tap(page, USUAL_NAMEPLATE)
    tap(page, "75")
    tap(page, "125")
    page.locator(".result-table").first.wait_for()
    assert page.locator(".compared").count() == 1
    assert not page.locator(".compared").is_visible()
    page.get_by_text("Not comparable yet").click()
    page.locator(".compared").wait_for()


def test_weight_and_size_are_one_screen_and_continue_saves_what_can_be_a_reading(
    phone, server
) -> None:
    page = phone.open(server.url)
    wait_until(page, engine="ready")
    start(page, 2)
    home = page.url.split("/ask/")[0]
    page.goto(f"{home}/ask/new_size")
    entries = page.locator(".members input")
    entries.nth(3).wait_for()
    assert not accessibility_problems(page)
    assert not small_targets(page)
    assert not is_wider_than_screen(page)
    entries.nth(0).fill("935")
    entries.nth(1).fill("wide")
    # own arithmetic: 935 lb × 0.45359237 = 424 kg
    page.get_by_text("= 424 kg").wait_for()
    page.get_by_role("button", name="Continue").click()
    page.locator("#field-transformer-width_inches[aria-invalid=true]:focus").wait_for()
    assert ask_of(page) == "new_size"
    entries.nth(1).fill("32")
    entries.nth(3).fill("25")
    page.get_by_role("button", name="Continue").click()
    page.wait_for_url(lambda url: "new_size" not in url)
    transformer = saved_job(page)["job"]["transformer"]
    assert transformer == {"weight_pounds": 935, "width_inches": 32, "depth_inches": 25}
    # One tap answers both questions about the taps.
    page.goto(f"{home}/ask/new_taps")
    tap(page, "Above 5 %, below 10 %")
    transformer = saved_job(page)["job"]["transformer"]
    assert (transformer["taps_above_percent"], transformer["taps_below_percent"]) == (5, 10)
    assert ask_of(page) == "transformer.enclosure"


@pytest.mark.parametrize(("width", "text"), [(360, 100), (320, 100), (360, 200)], ids=str)
def test_the_page_of_limits_is_a_table_by_metal_and_terminals_at_every_size(
    phone, server, width, text
) -> None:
    page = phone.open(server.url)
    page.set_viewport_size({"width": width, "height": 740})
    home = open_job(page, server.url, "15_nameplate_only")
    page.goto(f"{home}/limits")
    page.wait_for_selector(".result-table")
    page.evaluate("text => { document.documentElement.style.fontSize = `${text}%` }", text)
    # NFPA 70, Table 310.16 and 240.4(B) for 125 A, the largest primary device of 75 kVA at 480 V
    shown = [[cell.strip() for cell in row] for row in cells(page, "Smallest primary conductor")]
    assert shown == [
        ["", "60 °C terminals", "75 °C terminals"],
        ["Copper", "1/0 AWG", "2 AWG"],
        ["Aluminum", "2/0 AWG", "1/0 AWG"],
    ]
    assert not is_wider_than_screen(page)
    cut = page.evaluate(
        "[...document.querySelectorAll('.result-table td span, .result-table th')]"
        ".filter((part) => part.getBoundingClientRect().right > innerWidth).length"
    )
    assert cut == 0


def test_old_and_new_nameplate_stand_side_by_side_in_the_app_and_on_paper(phone, server) -> None:
    page = phone.open(server.url)
    home = open_job(page, server.url, "13_replacement_112_kva")
    page.goto(f"{home}/limits")
    page.wait_for_selector(".compared")
    rows = {row[0]: row[1:] for row in cells(page, "Old and new, side by side")}
    assert rows["Rated power"][:2] == ["75 kVA", "112.5 kVA"]
    assert rows["Rated power"][2].startswith("Changed. Larger than before")
    assert rows["Secondary voltage"] == ["208 V", "208 V", "Same."]
    # own arithmetic: 28 in. × 25.4 = 711 mm, and so on
    assert rows["Width × height × depth"][:2] == [
        "28 × 36 × 23 in. (711 × 914 × 584 mm)",
        "32 × 43.5 × 25 in. (813 × 1105 × 635 mm)",
    ]
    assert "110.26, 450.9" in rows["Width × height × depth"][2]
    # own arithmetic: 112.5 kVA × 1000 / (1.732 × 208 V) = 312.3 A; / 2.8 % = 11.15 kA
    assert rows["Fault current at the terminals, infinite bus"][:2] == ["4.63 kA", "11.15 kA"]
    go(page, "Report")
    page.wait_for_selector("iframe", state="attached")
    page.locator(".frame > summary").click()
    inside = page.frame_locator("iframe")
    inside.get_by_text("Old and new nameplate, side by side").wait_for()
    inside.get_by_text("Limits at a glance").wait_for()


def test_what_is_settled_takes_one_line_and_opens_on_a_tap(phone, server) -> None:
    page = phone.open(server.url)
    open_job(page, server.url, "02_no_system_bonding_jumper")
    line = page.locator("#check-primary_device.settled")
    words = line.inner_text()
    assert "Meets" in words
    assert "450.3(B)" in words
    assert "125 A" in words
    assert (
        line.bounding_box()["height"]
        < page.locator("#check-system_bonding_jumper").bounding_box()["height"] / 2
    )
    line.locator("summary").first.click()
    line.locator(".facing").wait_for()
    line.get_by_text("Add a photo").wait_for()
    for state in ("does_not_meet", "cannot_tell"):
        assert page.locator(f".check.settled.{state}").count() == 0


def test_one_thumb_goes_from_open_line_to_open_line_and_round_again(phone, server) -> None:
    page = phone.open(server.url)
    open_job(page, server.url, "02_no_system_bonding_jumper")
    wanted = page.locator(".check[data-open]").evaluate_all("lines => lines.map((line) => line.id)")
    assert len(wanted) > 2
    button = page.get_by_role("button", name="Next open line")
    box = button.bounding_box()
    assert box["height"] >= 48
    assert box["y"] + box["height"] <= 740
    visited = []
    for _ in range(len(wanted) + 1):
        button.click()
        visited.append(page.evaluate("document.activeElement.closest('.check').id"))
        top = page.evaluate("document.activeElement.getBoundingClientRect().top")
        assert 0 <= top < box["y"]
    assert visited == [*wanted, wanted[0]]
    assert f"{len(wanted)} open" in button.inner_text()


def test_advice_that_is_not_taken_is_called_legal_and_counted_apart(phone, server) -> None:
    page = phone.open(server.url)
    open_job(page, server.url, "11_four_parallel_sets_500_kva")
    counts = page.locator(".overall .counts").inner_text()
    assert "0 Does not meet" in counts
    assert "1 Legal but unwise" in counts
    assert "No conflict found" in page.locator(".overall-text").inner_text()
    line = page.locator(".check.unwise")
    assert line.locator(".verdict").inner_text() == "Legal but unwise"
    assert line.get_attribute("data-open") is None


def test_a_download_that_stops_is_said_in_the_language_of_the_reader(phone, server) -> None:
    words = json.loads((ROOT / "web" / "words" / "es.json").read_text())

    def refuse(handler, path: str) -> bool:
        if path.startswith("python/"):
            handler.send_error(503)
            return True
        return False

    server.before = refuse
    page = phone.open(server.url)
    page.wait_for_selector("html[data-offline=failed]", state="attached")
    page.goto(f"{server.url}#/about")
    page.get_by_label("Language").select_option("es")
    page.wait_for_selector("html[lang=es]", state="attached")
    page.goto(f"{server.url}#/")
    page.reload()
    page.locator(".banner", has_text=words["offline_foreign"]).wait_for()
    english = page.locator(".banner details [lang=en]")
    assert english.count() == 1
    assert not english.is_visible()


def test_the_settings_lead_back_to_where_they_were_opened(phone, server) -> None:
    page = phone.open(server.url)
    home = open_job(page, server.url, "01_sound_75_kva")
    page.goto(f"{home}/limits")
    page.locator(".value").first.wait_for()
    page.get_by_role("link", name="Settings").click()
    page.get_by_role("link", name="Back").click()
    page.wait_for_url(f"{home}/limits")
    page.locator(".value").first.wait_for()
    assert page.get_by_role("heading", level=1).inner_text() == "Limits"
