"""A phone that asks for Spanish gets the wizard in Spanish; one that asks for English gets English."""

import json

import pytest

from engine.wizard.words import catalogue_of
from tests.browser.conftest import PHONE, visiting
from tests.browser.walk import tap
from web.build.tools import ROOT


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_day_reads_as_the_browsers_own_calendar_writes_it(browser, server, language) -> None:
    """Source: the Unicode Common Locale Data Repository, which browsers carry, medium form of a date."""
    job = json.loads((ROOT / "fixtures/jobs/01_sound_75_kva.json").read_bytes())
    days = [f"2026-{month:02}-{month + 8:02}" for month in range(1, 13)]
    jobs = [json.dumps({**job, "name": day, "date": day}) for day in days]
    file = {"name": "jobs.jsonl", "mimeType": "text/plain", "buffer": "\n".join(jobs).encode()}
    with visiting(browser, **PHONE, locale=language, service_workers="block") as context:
        page = context.new_page()
        page.goto(server.url)
        page.wait_for_selector("html[data-engine='ready']", state="attached")
        page.locator("#open-file").set_input_files(file)
        page.wait_for_function("() => document.querySelectorAll('.job-day').length === 12")
        shown = {
            line.locator("strong").inner_text(): line.locator(".job-day").inner_text()
            for line in page.locator(".job").all()
        }
        for day in days:
            written = page.evaluate(
                "([language, day]) => new Intl.DateTimeFormat(language, { dateStyle: 'medium' })"
                ".format(new Date(`${day}T12:00`))",
                [language, day],
            )
            assert shown[day] == written


@pytest.mark.parametrize("locale", ["es-US", "en-US"])
def test_the_wizard_speaks_the_language_of_the_phone(browser, server, locale) -> None:
    def said(english: str) -> str:
        return catalogue_of("es")[english] if locale.startswith("es") else english

    with visiting(browser, **PHONE, locale=locale, service_workers="block") as context:
        page = context.new_page()
        page.goto(f"{server.url}#/new")
        purpose = page.locator(".purposes button").nth(1)
        assert purpose.locator("strong").inner_text() == said("Confirm the grounding")
        purpose.click()
        page.wait_for_url("**/ask/nameplate_voltages")
        assert page.locator("h1").inner_text() == said("Which of these does the nameplate say?")
        assert page.locator("h1").get_attribute("lang") == locale[:2]
        assert page.locator(".kicker").inner_text().lower().startswith(said("Nameplate").lower())
        tap(page, said("Three-phase, 480 V delta to 208Y/120 V, 4-wire"))
        page.goto(f"{page.url.split('/ask/')[0]}/ask/transformer.secondary_system")
        page.wait_for_selector("#field-transformer-secondary_system")
        assert page.locator("h1").inner_text() == said("How is the secondary connected?")
        labels = [text.strip() for text in page.locator("button.choice").all_inner_texts()]
        assert said("Delta, 4-wire, high leg") in labels
        help_text = page.locator(".help").first.inner_text()
        assert help_text == said(
            "How the secondary is connected. The winding diagram on the nameplate, X side, and which terminal is bonded."
        )
