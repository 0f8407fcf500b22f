"""The printed report holds everything of its result, and nothing that a job wrote can become more than text."""

import ast
import base64
import json
import re
import struct
import subprocess
import sys
import zlib
from pathlib import Path
from typing import Any

import pytest
from conftest import Printed
from read_html import Read

import engine.report
from engine import Job, Result, evaluate
from engine.code import EDITIONS
from engine.report import document, html, site_report

# Source of what is held against it: HTML Standard (WHATWG), 13.1.2 Elements and 8.1.8 Events: what runs in a page.
RUNS = {
    "script",
    "iframe",
    "object",
    "embed",
    "base",
    "form",
    "input",
    "button",
    "link",
    "a",
    "video",
    "audio",
}
HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</style></title></textarea><svg onload=alert(1)>",
    "' onmouseover='alert(1)",
    "<!-- ]]> &lt;b&gt; &#x3c; javascript:alert(1)",
    "} body { background: url(https://example.invalid/x) }",
)


def picture(width: int = 4, height: int = 3) -> str:
    """A gray PNG as a data URL. Source: PNG specification (W3C), third edition, 5 Datastream structure."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
        )

    pixels = b"".join(b"\0" + b"\x80" * width for _ in range(height))
    data = b"\x89PNG\r\n\x1a\n"
    data += chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
    data += chunk(b"IDAT", zlib.compress(pixels)) + chunk(b"IEND", b"")
    return "data:image/png;base64," + base64.b64encode(data).decode()


def assert_nothing_runs(read: Read) -> None:
    assert not RUNS & set(read.tags), RUNS & set(read.tags)
    for tag, name, value in read.attributes:
        assert not name.startswith("on"), (tag, name)
        assert name not in ("href", "srcdoc", "action", "style", "xlink:href"), (tag, name)
        assert name != "src" or value.startswith("data:image/"), value
    for style in read.styles:
        assert "url(" not in style
        assert "@import" not in style


def poisoned(value: Any, words: str, keep: frozenset[str] = frozenset()) -> Any:
    """The plain data with the words added to every text that is no key of another part."""
    if isinstance(value, dict):
        return {k: v if k in keep else poisoned(v, words, keep) for k, v in value.items()}
    if isinstance(value, list):
        return [poisoned(item, words, keep) for item in value]
    return value + words if isinstance(value, str) else value


# Words of fixed lists and the ids that join the parts; the models refuse anything else in the first.
KEPT = frozenset(
    {
        "id",
        "group",
        "verdict",
        "severity",
        "state",
        "format",
        "checks_of",
        "jumper",
        "electrode_at",
        "where_of",
        "path",
    }
)


@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_text_in_every_field_of_a_job_comes_out_as_text(
    bonded: Printed, words: str
) -> None:
    result = bonded(name=words, place=words, person=words, licence=words, permit=words, notes=words)
    read = Read(
        html(
            result,
            photos=[("ventilation", words, picture()), (words, words, picture())],
            signature_data_url=picture(),
        )
    )
    assert_nothing_runs(read)
    assert not read.unclosed
    # Heading (five fields and notes), head of each page, title of the document, closing name, photo captions.
    assert read.text.count(words) >= 10


@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_text_in_every_text_of_a_result_comes_out_as_text(
    bonded: Printed, words: str
) -> None:
    result = bonded(bonding__system_bonding_jumper__location="both")
    data = poisoned(result.model_dump(), words, KEPT)
    for check in data["checks"]:
        check["missing"], check["questions"] = [], []
    for item, original in zip(data["open_items"], result.open_items, strict=True):
        item["checks"] = original.checks
    made = document(Result.model_validate(data), photos=[], signature_data_url=None, paper="A4")
    read = Read(made.html)
    assert_nothing_runs(read)
    assert not read.unclosed
    assert read.text.count(words) > len(data["checks"])
    assert_nothing_runs(Read(made.drawing_svg))
    assert re.fullmatch(r"[a-z0-9-]+\.html", made.file_name)


def test_characters_that_no_document_may_hold_are_replaced(bonded: Printed) -> None:
    # Source: XML 1.0 (W3C), fifth edition, production [2] Char.
    result = bonded()
    job = result.job.model_copy(
        update={"name": "a\x00b\x08c\ud800d\ufffee", "notes": "line\x0bfeed"}
    )
    made = html(result.model_copy(update={"job": job}))
    made.encode("utf-8")
    assert "a\ufffdb\ufffdc\ufffdd\ufffde" in made
    assert not re.search("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]", made)


def test_text_that_turns_the_writing_direction_stays_inside_its_own_element(
    bonded: Printed,
) -> None:
    # Source: HTML Standard (WHATWG), 4.5.24 The bdi element.
    made = html(bonded(name="T\u202e1", place="\u202ex"))
    body = made[made.index("<body") :]
    for at in re.finditer("\u202e", body):
        assert body.rfind("<bdi>", 0, at.start()) > body.rfind("</bdi>", 0, at.start())


@pytest.mark.parametrize(
    "address",
    [
        "https://example.invalid/x.png",
        "data:image/svg+xml;base64,PHN2Zz4=",
        "data:text/html;base64,PHN2Zz4=",
        "data:image/png;base64,AA==\"onerror='x'",
        "javascript:alert(1)",
    ],
)
def test_a_photo_that_is_no_jpeg_or_png_is_named_and_not_shown(
    bonded: Printed, address: str
) -> None:
    read = Read(
        html(bonded(), photos=[("ventilation", "Vents", address)], signature_data_url=address)
    )
    assert "img" not in read.tags
    assert "Vents" in read.text
    assert "is not shown" in read.text


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_check_and_every_value_is_printed_with_its_section(
    bonded: Printed, edition: int
) -> None:
    result = bonded(edition=edition, bonding__neutral_bonded_downstream=True)
    read = Read(html(result))
    words = {
        "meets": "Meets",
        "does_not_meet": "Does not meet",
        "cannot_tell": "Can't tell",
        "does_not_apply": "Does not apply",
    }
    lines = read.rows + read.items
    for check in result.checks:
        parts = (check.title, check.section, words[check.verdict], " ".join(check.reason.split()))
        assert any(all(part in line for part in parts) for line in lines), (check.id, parts)
    for value in result.values.values():
        parts = (value.title, value.shown, value.section)
        assert any(all(part in row for part in parts) for row in read.rows), value.title
        steps = [" ".join(step.split()) for step in value.steps]
        assert any(value.title in s and all(step in s for step in steps) for s in read.sections), (
            value.title
        )
    for check in result.checks:
        if check.steps:
            steps = [" ".join(step.split()) for step in check.steps]
            assert any(
                check.title in s and all(step in s for step in steps) for s in read.sections
            ), check.id
    for text in (
        *result.cautions,
        *result.written_questions,
        result.overall.text,
        result.engine_version,
    ):
        assert " ".join(text.split()) in " ".join(read.text.split())


def test_what_was_asked_for_stands_before_what_was_seen_beside_it(bonded: Printed) -> None:
    result = bonded(purpose="grounding", observations__ventilation_clear=False)
    beside = [
        check for check in result.checks if not check.asked and check.verdict == "does_not_meet"
    ]
    assert beside
    read = Read(html(result))
    assert "Also seen, outside the purpose of this visit" in read.headings
    assert "Not part of this visit" in read.headings


def test_parts_come_in_the_order_they_are_needed(bonded: Printed) -> None:
    read = Read(
        html(
            bonded(bonding__neutral_bonded_downstream=True, observations__ventilation_clear=False),
            photos=[("ventilation", "Vents", picture())],
        )
    )
    wanted = [
        "T-3",
        "Conflicts",
        "Limits",
        "Checklist, in walking order",
        "Still to be read",
        "What was read and seen, and how it is known",
        "Bonding drawing",
        "Photos",
        "Cautions",
        "Appendix: arithmetic",
    ]
    assert [title for title in read.headings if title in wanted] == wanted


def test_answers_that_contradict_each_other_stand_before_the_conflicts_with_the_reason(
    bonded: Printed,
) -> None:
    assert "contradict" not in html(bonded(observations__ventilation_clear=False))
    # One main device and two mains ahead of one bus: the words of the two answers exclude each other.
    result = bonded(
        secondary__panelboard__fed_by_two_mains=True, observations__ventilation_clear=False
    )
    [clash] = result.contradictions
    assert len(clash.facts) == 2
    for paper in (html(result), site_report([result])):
        text = Read(paper).text
        start = text.index("Answers that contradict each other")
        section = text[start : text.index("Conflicts", start)]
        assert clash.why in section
        for fact in clash.facts:
            assert f"{fact.label}" in section
            assert f"{fact.shown}" in section


def test_dangers_stand_before_violations_and_each_conflict_says_what_would_put_it_right(
    bonded: Printed,
) -> None:
    result = bonded(bonding__neutral_bonded_downstream=True, observations__ventilation_clear=False)
    read = Read(html(result))
    broken = [check for check in result.checks if check.verdict == "does_not_meet" and check.asked]
    assert {check.severity for check in broken} >= {"danger", "violation"}
    places = []
    for check in broken:
        [at] = [
            n for n, s in enumerate(read.sections) if s.startswith(check.title) and "Required" in s
        ]
        for part in (check.required, check.found, check.reason, check.remedy, check.section):
            assert " ".join(part.split()) in read.sections[at], (check.id, part)
        places.append((at, check.severity))
    severities = [severity for _, severity in sorted(places)]
    assert severities == sorted(severities, key=["danger", "violation", "advice"].index)


def test_what_nobody_read_is_listed_with_where_to_read_it(bare: Printed) -> None:
    result = bare()
    read = Read(html(result))
    waiting = {
        path
        for check in result.checks
        if check.asked and check.verdict == "cannot_tell"
        for path in check.missing
    }
    assert waiting == {item.path for item in result.open_items}
    assert len(waiting) > 20
    for item in result.open_items:
        assert any(
            item.label in row and " ".join(item.where.split()) in row for row in read.rows
        ), item.path


def test_every_fact_says_how_it_is_known(bonded: Printed) -> None:
    result = bonded(
        provenance={
            "secondary.conductors.size": "told",
            "transformer.impedance_percent": "measured",
        }
    )
    text = " ".join(Read(html(result)).text.split())
    known = {fact.path: fact for fact in result.facts}
    assert known["secondary.conductors.size"].known == "told"
    assert "Each was read or seen by whoever entered it, unless it says" in text
    for fact in result.facts:
        said = text.partition(f"{fact.label}{fact.shown}")[2]
        assert said, fact.path
        # One note says it of all that was read; any other word stands behind its fact.
        assert said.startswith((", measured", ", told", ", assumed")) == (fact.known != "read")
        assert said.startswith(f", {fact.known}") == (fact.known != "read"), fact.path


def test_a_value_on_an_assumption_says_so_in_words(bare: Printed) -> None:
    result = bare()
    read = Read(html(result))
    assumed = [value for value in result.values.values() if value.assumed]
    plain = [value for value in result.values.values() if not value.assumed]
    assert assumed
    assert plain
    for value in assumed:
        assert any(
            f"{value.title}{value.shown} (assumed)" in row and "Assumed: " in row
            for row in read.rows
        )
    for value in plain:
        assert not any(f"{value.title}{value.shown} (assumed)" in row for row in read.rows)


def test_a_section_that_is_not_confirmed_says_so(bonded: Printed) -> None:
    result = bonded(edition=2026)
    doubtful = [check for check in result.checks if not check.section_confirmed]
    assert doubtful
    read = Read(html(result))
    for check in doubtful:
        lines = [
            line
            for line in read.rows + read.items
            if check.title in line and "ot confirmed" in line
        ]
        assert lines, check.id


def test_the_report_never_says_that_anything_complies(bonded: Printed) -> None:
    # Source: 90.4, the authority having jurisdiction decides; wording of our own contract.
    for text in (
        html(bonded()),
        document(bonded(), photos=[], signature_data_url=None, paper="A4").correction_notice,
    ):
        assert not re.search(
            r"compl(y|ies|iant|iance)|\bapproved\b(?! means)|\bsafe\b", text, re.IGNORECASE
        )
        assert "authority having jurisdiction" in text


def test_no_line_ends_between_a_number_and_its_unit_and_typed_text_stays_as_typed(
    bonded: Printed,
) -> None:
    # Source: common practice, no source: a number and its unit are not parted at the end of a line.
    result = bonded(name="Fed by 225 A, 2 AWG", notes="See Table 3 at 30 ft")
    read = Read(html(result))
    for text in (
        "90.2\u00a0A",
        "2\u00a0AWG copper",
        "75\u00a0°C",
        "Table\u00a0450.3(B)",
        "40\u00a0%",
    ):
        assert text in read.text
    typed = result.job.name, result.job.notes
    ours = read.text
    for text in typed:
        assert text in read.text
        ours = ours.replace(text, "")
    assert (
        re.findall(r"(?<!-\d/)\d (?:kVA|k?A|V|AWG|kcmil|°C|ft|in\.|in²|ohm)(?![A-Za-z])", ours)
        == []
    )


def test_advice_is_never_called_required_nor_to_be_put_right(bonded: Printed) -> None:
    # Source: 90.5(C) and our own contract: advice requires nothing.
    result = bonded(primary__device={"rating": 125, "kind": "breaker", "instantaneous_multiple": 5})
    [check] = [c for c in result.checks if c.severity == "advice" and c.verdict == "does_not_meet"]
    read = Read(html(result))
    [said] = [s for s in read.sections if s.startswith(check.title) and check.remedy in s]
    assert f"Advised{check.required}" in said
    assert f"What would help{check.remedy}" in said
    assert "Required" not in said
    assert "Remedy" not in said
    row = min((row for row in read.rows if check.title in row and check.found in row), key=len)
    assert f"advised: {check.required}" in row
    assert f"What would help: {check.remedy}" in row
    assert "To correct" not in row


def test_sizes_for_conductors_that_are_too_small_say_so() -> None:
    # Source: 250.102(C)(1): the jumper goes by the ungrounded conductors, so larger ones may ask for a larger jumper.
    jobs = Path(engine.report.__file__).parents[2] / "fixtures" / "jobs"
    said = "the rest must be sized again"
    for name, wrong in (("05_secondary_rounded_up", True), ("01_sound_75_kva", False)):
        result = evaluate(Job.model_validate_json((jobs / f"{name}.json").read_bytes()))
        assert (said in Read(html(result)).text) == wrong


def test_the_size_of_parallel_conductors_says_of_how_many_it_is() -> None:
    # Source: 310.10(G): conductors in parallel share the current, so one of that size alone would not do.
    jobs = Path(engine.report.__file__).parents[2] / "fixtures" / "jobs"
    for name, counts in (("11_four_parallel_sets_500_kva", ["2", "4"]), ("01_sound_75_kva", [])):
        result = evaluate(Job.model_validate_json((jobs / f"{name}.json").read_bytes()))
        rows = [row for row in Read(html(result)).rows if row.startswith("Smallest ")]
        said = [re.search(r"each of the (\d+) conductors in parallel", row) for row in rows]
        assert [found[1] for found in said if found] == counts
        for row, found in zip(rows, said, strict=True):
            conductor = re.match(r"Smallest (primary|secondary) conductor", row)
            assert conductor or not found, row


def test_the_arithmetic_goes_each_way_once() -> None:
    job = Path(engine.report.__file__).parents[2] / "fixtures" / "jobs" / "01_sound_75_kva.json"
    result = evaluate(Job.model_validate_json(job.read_bytes()))
    for check in result.checks:
        assert len(set(check.steps)) == len(check.steps), check.id
    [shared] = [c for c in result.checks if c.id == "secondary_rule"]
    [said] = [s for s in Read(html(result)).sections if f"Check: {shared.title}" in s]
    for step in shared.steps:
        assert said.count(" ".join(step.split())) == 1, step


def test_photos_stand_under_the_title_of_their_check(bonded: Printed) -> None:
    result = bonded()
    title = next(check.title for check in result.checks if check.id == "ventilation")
    made = html(result, photos=[("ventilation", "Vents", picture()), ("gone", "Loose", picture(5))])
    photos = made[made.index(">Photos<") :]
    assert (
        photos.index(f">{title}<")
        < photos.index("Vents")
        < photos.index(">Other photos<")
        < photos.index("Loose")
    )
    assert picture() in photos
    assert 'alt="Photo: Vents"' in photos


def test_name_signature_and_date_close_the_report(bonded: Printed) -> None:
    signed = Read(html(bonded(), signature_data_url=picture()))
    assert ("img", "alt", "Drawn signature") in signed.attributes
    assert re.search(
        r"A\. Reader, L-77\s*Name, license\s*Signature\s*2026-05-04\s*Date", signed.text
    )
    unsigned = Read(html(bonded()))
    assert "img" not in unsigned.tags
    assert "Signature" in unsigned.text


def test_the_document_stands_alone_and_says_its_language_title_and_policy(bonded: Printed) -> None:
    # Source: WCAG 2.2 (W3C), 2.4.2 Page Titled and 3.1.1 Language of Page.
    made = html(bonded())
    read = Read(made)
    assert made.startswith("<!DOCTYPE html>")
    assert ("html", "lang", "en") in read.attributes
    assert "<title>Report: T-3" in made
    assert any(
        name == "content" and value.startswith("default-src 'none'")
        for _, name, value in read.attributes
    )
    assert set(re.findall(r"https?://[^\s\"'<]+", made)) <= {"http://www.w3.org/2000/svg"}


def test_style_sheets_are_the_same_for_every_job(bare: Printed, bonded: Printed) -> None:
    # A page that shows the document may allow its style sheets by hash only.
    assert Read(html(bare())).styles == Read(html(bonded(edition=2026, name="x"))).styles
    assert Read(html(bare(), paper="A4")).styles != Read(html(bare(), paper="Letter")).styles


def test_a_site_report_holds_each_transformer_of_the_place(bare: Printed, bonded: Printed) -> None:
    results = [
        bonded(name="T-1"),
        bonded(name="T-2", bonding__neutral_bonded_downstream=True),
        bare(name="T-3"),
    ]
    read = Read(site_report(results))
    assert_nothing_runs(read)
    assert read.headings[0] == "Site report: Room 104"
    for number, result in enumerate(results, 1):
        assert (
            f"{number}{result.job.name}{result.job.transformer}{result.overall.text}" in read.rows
        )
        assert read.headings.count(result.job.name) == 1
    assert any(item.startswith("T-2: ") and "250.142(B)" in item for item in read.items)


def test_a_site_report_says_which_place_and_which_edition_where_they_differ(
    bonded: Printed,
) -> None:
    results = [
        bonded(name="T-1", place="Mill, room 1"),
        bonded(name="T-2", place="Mill, room 2", edition=2020),
    ]
    read = Read(site_report(results))
    assert read.headings[0] == "Site report: Mill"
    for number, result in enumerate(results, 1):
        [row] = [row for row in read.rows if row.startswith(f"{number}{result.job.name}")]
        assert result.job.place in row
        assert f"{result.edition} edition" in row
    apart = [bonded(place="Mill, room 1"), bonded(place="Barn, room 1"), bonded(place="")]
    assert Read(site_report(apart)).headings[0] == "Site report: Mill, room 1, Barn, room 1"


def test_the_same_result_gives_the_same_bytes_in_any_process(bonded: Printed) -> None:
    result = bonded()
    program = (
        "import json, sys; from engine import Result; from engine.report import document\n"
        "r = Result.model_validate_json(sys.stdin.read())\n"
        "print(json.dumps(document(r, photos=[], signature_data_url=None, paper='A4')))"
    )
    root = Path(engine.report.__file__).parents[2]
    made = {
        subprocess.run(
            [sys.executable, "-c", program],
            input=result.model_dump_json(),
            capture_output=True,
            check=True,
            text=True,
            cwd=root,
            env={"PYTHONHASHSEED": seed, "PYTHONUTF8": "1"},
        ).stdout
        for seed in ("1", "2")
    }
    here = json.dumps(document(result, photos=[], signature_data_url=None, paper="A4"))
    assert made == {here + "\n"}


def test_the_report_knows_nothing_but_the_result() -> None:
    # Source: our own import rule: report imports result and quantities alone.
    allowed = {"engine.result", "engine.result.words", "engine.physics.quantities"}
    for path in Path(engine.report.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.ImportFrom)
                and node.module
                and node.module.startswith("engine")
            ):
                names = {node.module}
            elif isinstance(node, ast.Import):
                names = {alias.name for alias in node.names}
            else:
                continue
            for name in names:
                mine = name.startswith("engine.report")
                outside = not name.startswith("engine")
                assert mine or outside or name in allowed, f"{path.name} imports {name}"
                assert name.split(".")[0] not in {
                    "time",
                    "datetime",
                    "os",
                    "socket",
                    "urllib",
                    "random",
                }, name
