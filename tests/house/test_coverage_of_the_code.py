"""Every section has a home: a check, a value, a question, or the words that it is not looked at. No source: a promise of ours."""

import csv
from pathlib import Path

import pytest

from engine.__main__ import main
from engine.code import code_for
from engine.code.coverage import NOT_LOOKED_AT, Covered, covered, limits, numbered_by
from engine.evaluation.order import RULES
from engine.evaluation.values import VALUES
from engine.wizard.questions import catalogue
from engine.wizard.walk import questions
from engine.wizard.words import with_translations

ROOT = Path(__file__).resolve().parents[2]
EDITION = numbered_by()
ROWS = {row.section: row for row in covered()}
# What rests on no section of the code.
NO_SECTION = {"common practice, no section"}
# What an inspector of such an installation works through, from the first to the last section of each.
EXPECTED = (
    *("450.3(A)", "450.8", "450.9", "450.10(A)", "450.11(B)", "450.13", "450.14", "450.21"),
    *("450.22", "450.27", "250.8", "250.12", "250.21(B)", "250.36", "250.50", "250.70"),
    *("250.90", "250.106", "250.110", "250.124", "240.4", "240.15", "240.24(A)", "240.67"),
    *("240.83", "240.87", "215.3", "215.10", "220.61", "210.5", "215.12(C)", "200.6", "300.3(B)"),
    *("300.9", "300.22(C)", "310.15(E)", "110.3(B)", "110.28", "408.3(E)", "408.36", "408.58"),
    *("404.8", "Chapter 9, Table 1", "Chapter 9, Table 9"),
)


def _section(cite: str) -> str:
    return code_for(EDITION).cite(cite).section


def _known_sections() -> dict[str, str]:
    """Sections of 2023 that the engine knows, with how sure their number is."""
    text = (ROOT / "engine" / "code" / "sections.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return {
        row["section"]: row["mark"]
        for row in rows
        if row["section"]
        and int(row["from_edition"]) <= EDITION <= int(row["to_edition"] or EDITION)
    }


def test_no_section_stands_twice() -> None:
    assert len(ROWS) == len(covered())


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_the_section_that_a_rule_cites_names_the_rule(rule) -> None:
    section = _section(rule.cite)
    if section not in NO_SECTION:
        assert section in ROWS, f"{section}: give it a row in engine/code/coverage.csv"
        assert rule.id in ROWS[section].checks, f"name {rule.id} in the row of {section}"


@pytest.mark.parametrize("row", covered(), ids=lambda row: row.section)
def test_a_row_has_one_home_that_exists(row: Covered) -> None:
    homes = [bool(row.checks or row.relies), bool(row.values), bool(row.question), bool(row.limit)]
    assert sum(homes) == 1, "one of checks, values, question, limit"
    assert row.asks
    cited = {rule.id: _section(rule.cite) for rule in RULES}
    for id_ in row.checks:
        assert id_ in cited, f"no rule {id_} in RULES of engine/evaluation/order.py"
        assert cited[id_] == row.section, f"{id_} cites {cited[id_]}"
    for id_ in row.relies:
        assert id_ in cited, f"no check {id_}"
        assert cited[id_] != row.section, f"{id_} cites it: no + before it"
    assert set(row.values) <= {value.id for value in VALUES}
    if row.question:
        assert row.question in {question["path"] for question in catalogue()} | {"edition"}
    if row.limit:
        assert row.limit.startswith(NOT_LOOKED_AT)
        assert row.limit.endswith(".")


@pytest.mark.parametrize("section", sorted(_known_sections()))
def test_every_section_that_may_be_printed_has_a_row_as_sure_as_its_number(section: str) -> None:
    if section not in NO_SECTION:
        assert section in ROWS, f"{section}: give it a row in engine/code/coverage.csv"
        assert ROWS[section].mark == _known_sections()[section]


def test_what_an_inspector_works_through_is_there() -> None:
    assert [section for section in EXPECTED if section not in ROWS] == []
    assert {row.mark for row in covered()} <= {"two sources", "one source", "memory"}
    assert all(row.source_note for row in covered())


def test_the_limits_reach_the_screen_in_both_languages() -> None:
    shown = with_translations(questions())["limits"]
    assert [limit["text"] for limit in shown] == list(limits())
    assert len(shown) > 15
    for limit in shown:
        assert limit["translations"]["es"]["text"] != limit["text"]
    about = (ROOT / "web" / "screens" / "about.tsx").read_text(encoding="utf-8")
    assert "questions().limits" in about


def test_the_command_line_prints_every_section_with_its_home(capsys) -> None:
    assert main(["coverage"]) == 0
    printed = capsys.readouterr().out
    for row in covered():
        assert f"| {row.section} | {row.asks} |" in printed
        assert not row.limit or row.limit in printed
