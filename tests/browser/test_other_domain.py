"""The screen knows nothing of the trade: another field's contract runs through the unchanged bundle."""

import json

from tests.browser.walk import ask_of, bookshelf, enter, go, saved_job, start, tap, verdict


def test_a_bookshelf_is_inspected_from_the_first_question_to_the_report(browser, server) -> None:
    with bookshelf(browser) as context:
        page = context.new_page()
        page.goto(server.url)
        start(page)
        assert ask_of(page) == "shelf.span"
        enter(page, "6")
        tap(page, "Chipboard with a paper face")
        page.wait_for_selector("h1:text-is('Limits')")
        assert page.locator(".value-shown").first.inner_text() == "2 ft"
        assert page.locator(".assumption").all_inner_texts() == ["assumed"]
        page.get_by_role("link", name="Continue with the questions").click()
        page.wait_for_url("**/ask/shelf.thickness")
        tap(page, "12")
        assert ask_of(page) == "shelf.face_whole"
        tap(page, "Yes")
        page.get_by_text("Wood screws").click()
        page.get_by_text("Nails").click()
        page.get_by_role("button", name="Continue").click()
        page.wait_for_url("**/ask/books.heaviest")
        tap(page, "40")
        go(page, "Checklist")
        page.wait_for_selector("#check-span")
        assert verdict(page, "span") == "Does not meet"
        assert verdict(page, "fixings") == "Legal but unwise"
        assert verdict(page, "load") == "Does not meet"
        assert verdict(page, "face") == "Can't tell"
        job = saved_job(page)["job"]
        assert job["shelf"] == {
            "span": 6,
            "material": "chipboard",
            "thickness": "12",
            "face_whole": True,
        }
        assert job["wall"] == {"fixings": ["screw", "nail"]}
        assert job["books"] == {"heaviest": 40}
        go(page, "Report")
        page.wait_for_selector("iframe", state="attached")
        page.locator(".frame summary").click()
        assert page.frame_locator("iframe").locator("h1").inner_text()
        page.get_by_text("One board on two brackets.").wait_for()


def test_a_verdict_changes_in_place_and_is_said_aloud(browser, server) -> None:
    with bookshelf(browser) as context:
        page = context.new_page()
        page.goto(server.url)
        start(page)
        tap(page, "3")
        tap(page, "Oak")
        page.locator(".go-on").get_by_role("link", name="Checklist").click()
        page.wait_for_selector("#check-fixings")
        assert verdict(page, "fixings") == "Can't tell"
        line = page.locator("#check-fixings")
        line.locator(".quick summary").first.click()
        line.get_by_text("Looked: none of these").click()
        line.get_by_role("button", name="Save").click()
        page.wait_for_selector("#check-fixings.meets")
        assert "Fixings in the wall: Meets." in page.locator("#announcer").text_content()
        assert saved_job(page)["job"]["wall"] == {"fixings": []}


def test_what_cannot_be_a_reading_is_refused_beside_the_field_and_kept_as_typed(
    browser, server
) -> None:
    with bookshelf(browser) as context:
        page = context.new_page()
        page.goto(server.url)
        page.wait_for_selector("html[data-engine=ready]", state="attached")
        start(page)
        page.locator(".choice.other").click()
        for typed, words in (
            ("six", "This is not a number."),
            ("0", "A span of nothing is no shelf."),
        ):
            page.locator(".entry input").fill(typed)
            page.get_by_role("button", name="Continue").click()
            page.wait_for_function(
                "words => document.querySelector('.field-error')?.textContent.includes(words)",
                arg=words,
            )
            assert words in page.locator("#error-summary").inner_text()
            page.wait_for_function("() => document.activeElement.id === 'error-summary'")
            assert page.title().startswith("Error:")
            assert page.locator(".entry input").input_value() == typed
            field = page.locator("#error-summary a")
            field.click()
            assert page.evaluate("document.activeElement.tagName") == "INPUT"
        page.reload()
        assert page.locator(".entry input").input_value() == "0"
        assert "span" not in saved_job(page)["job"].get("shelf", {})


def test_the_phones_language_chooses_the_words(browser, server) -> None:
    with bookshelf(browser, locale="es-MX") as context:
        page = context.new_page()
        page.goto(server.url)
        page.wait_for_selector("html[lang=es]", state="attached")
        page.get_by_role("link", name="Trabajo nuevo").click()
        page.get_by_role("button", name="Mudar un estante").click()
        page.wait_for_selector("h1:has-text('¿Cuánto mide la tabla')")
        page.get_by_role("link", name="Ajustes y seguridad").click()
        page.get_by_label("Idioma").select_option("en")
        page.wait_for_selector("h1:text-is('Settings and safety')")
        page.reload()
        page.wait_for_selector("h1:text-is('Settings and safety')")
        assert page.get_attribute("html", "lang") == "en"


def test_hostile_text_is_shown_as_text(browser, server, tmp_path) -> None:
    hostile = (
        "<img src=x onerror=\"document.title='broken'\"><script>document.title='broken'</script>"
    )
    with bookshelf(browser) as context:
        page = context.new_page()
        page.goto(server.url)
        start(page)
        tap(page, "3")
        tap(page, "Oak")
        job_id = page.url.split("/job/")[1].split("/")[0]
        for path in ("name", "place", "remarks"):
            page.goto(f"{server.url}#/job/{job_id}/ask/{path}/answers")
            enter(page, hostile)
        for screen in ("answers", "limits", "checklist", "report"):
            page.goto(f"{server.url}#/job/{job_id}/{screen}")
            page.wait_for_selector(f"h1:text-is('{screen.capitalize()}')")
            page.locator("main", has_text=hostile).wait_for()
        page.wait_for_selector("iframe", state="attached")
        page.locator(".frame summary").click()
        assert page.frame_locator("iframe").locator("h1").inner_text() == hostile
        page.goto(f"{server.url}#/")
        page.locator(".job", has_text=hostile).wait_for()
        assert page.locator("img[src=x]").count() == 0
        assert "broken" not in page.title()


def test_other_files_are_refused_with_the_reason_and_change_nothing(
    browser, server, tmp_path
) -> None:
    with bookshelf(browser) as context:
        page = context.new_page()
        page.goto(server.url)
        page.wait_for_selector("html[data-engine=ready]", state="attached")
        for name, content, words in (
            ("picture.json", b"\x89PNG\r\n\x1a\n\x00\xff", "not JSON"),
            ("other.json", b'{"format": "recipe/1"}', "not a bookshelf"),
            (
                "half.jsonl",
                b'{"format": "platepath.job/1"}\n{"format": "recipe/1"}\n',
                "not a bookshelf",
            ),
            ("empty.json", b"", "not JSON"),
        ):
            wrong = tmp_path / name
            wrong.write_bytes(content)
            page.locator("#open-file").set_input_files(wrong)
            page.wait_for_function(
                "words => document.querySelector('#error-summary')?.textContent.includes(words)",
                arg=words,
            )
            assert name in page.locator("#error-summary").inner_text()
            assert saved_job(page) is None
        right = tmp_path / "right.json"
        right.write_text('{"format": "platepath.job/1", "purpose": "inspection", "name": "Hall"}')
        page.locator("#open-file").set_input_files(right)
        page.wait_for_url("**/job/**")
        assert saved_job(page)["job"]["name"] == "Hall"


def test_jobs_of_one_place_stand_together_and_make_one_report(browser, server, tmp_path) -> None:
    with bookshelf(browser) as context:
        page = context.new_page()
        page.goto(server.url)
        page.wait_for_selector("html[data-engine=ready]", state="attached")
        lines = [
            json.dumps(
                {
                    "format": "platepath.job/1",
                    "purpose": "inspection",
                    "name": name,
                    "place": "Hall / north",
                    "shelf": {"span": 3, "material": "oak"},
                }
            )
            for name in ("First shelf", "Second shelf")
        ]
        both = tmp_path / "both.jsonl"
        both.write_text("\n".join(lines))
        page.locator("#open-file").set_input_files(both)
        page.wait_for_selector("h2:text-is('Hall / north')")
        page.get_by_role("link", name="Site report").click()
        page.wait_for_selector("h1:text-is('Site report')")
        page.locator(".job").nth(1).wait_for()
        assert page.locator(".job").count() == 2
        page.get_by_role("button", name="Make the site report").click()
        page.wait_for_selector("iframe")
        inside = page.frame_locator("iframe")
        inside.locator("h1").nth(1).wait_for()
        assert sorted(inside.locator("h1").all_inner_texts()) == ["First shelf", "Second shelf"]


def test_what_a_person_chose_last_is_marked_and_never_taken_for_them(browser, server) -> None:
    with bookshelf(browser) as context:
        page = context.new_page()
        page.goto(server.url)
        start(page)
        tap(page, "3")
        tap(page, "Pine")
        page.wait_for_selector(".value")
        page.goto(f"{server.url}#/")
        start(page)
        tap(page, "3")
        page.wait_for_url("**/ask/shelf.material")
        assert page.locator(".choice:has(.last)").inner_text().startswith("Pine")
        assert page.locator("[aria-pressed=true]").count() == 0
        assert "material" not in saved_job(page)["job"]["shelf"]


SLOW_GUARD = """
const sheet = new CSSStyleSheet();
sheet.replaceSync('.choices, .ways { animation-duration: 1000s !important }');
document.adoptedStyleSheets = [sheet];
"""
END_GUARD = """
document.querySelectorAll('.choices, .ways').forEach((part) =>
  part.getAnimations().forEach((guard) => guard.finish()))
"""


def test_the_second_tap_of_a_glove_does_not_answer_the_next_question(browser, server) -> None:
    with bookshelf(browser) as context:
        context.add_init_script(SLOW_GUARD)
        page = context.new_page()
        page.goto(server.url)
        start(page)
        page.wait_for_selector(".choices")
        page.evaluate(END_GUARD)
        tap(page, "3")
        page.wait_for_url("**/ask/shelf.material")
        box = page.locator("button.choice", has_text="Oak").bounding_box()
        page.touchscreen.tap(box["x"] + 20, box["y"] + 20)
        page.evaluate(END_GUARD)
        tap(page, "Pine")
        page.wait_for_selector(".value")
        assert saved_job(page)["job"]["shelf"]["material"] == "pine"
        assert page.url.endswith("/limits")
