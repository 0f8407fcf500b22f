"""A fleet of jobs in one file: one line each, bad ones named, resumable, as JSON lines or CSV."""

import csv
import io
import json
import sys
from pathlib import Path

import pytest
from hypothesis import given

from engine import evaluate
from engine.audit import (
    LONGEST_LINE,
    _Asked,
    _done_before,
    _plate_of,
    audit_line,
    job_from_row,
    summary,
)
from engine.cli import main
from engine.evaluate import RULES
from engine.questions import catalogue
from engine.refusals import Refusal, job_from_data
from engine.verdicts import confirm
from tests.engine.checked import verdicts
from tests.engine.examples import examples
from tests.engine.jobs import BUILDERS, FACTS, Data, get, job, nameplate, sound
from tests.engine.strategies import JOBS


@pytest.fixture
def fleet(tmp_path: Path) -> Path:
    path = tmp_path / "jobs.jsonl"
    path.write_text(
        "\n".join(json.dumps(build()) for build in BUILDERS.values()) + "\n", encoding="utf-8"
    )
    return path


def _lines(path: Path) -> list[dict]:
    return [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines()]


def test_the_summary_holds_the_verdicts_of_the_whole_answer() -> None:
    short = summary(json.dumps(sound()), 7)
    whole = verdicts(job(sound()))
    assert short["line"] == 7
    assert short["name"] == "T-1"
    for verdict in ("does_not_meet", "meets"):
        assert all(whole[id_] == verdict for id_ in short[verdict])
    assert short["overall"] == "not_determined"


@examples(400)
@given(JOBS)
def test_a_kept_verdict_is_the_verdict_on_the_whole_job(data: Data) -> None:
    try:
        read, _ = job_from_data(data)
    except Refusal:
        return
    short = summary(json.dumps(data), 1)
    whole = evaluate(read, compare_editions=False)
    for verdict in ("does_not_meet", "cannot_tell", "meets"):
        counted = [
            check.id
            for check in whole.checks
            if check.verdict == verdict and (check.asked or verdict == "does_not_meet")
        ]
        assert short[verdict] == counted
    assert short["overall"] == whole.overall.verdict
    assert short["contradictions"] == [clash.id for clash in whole.contradictions]


def test_a_fact_that_a_rule_reads_and_does_not_ask_for_is_unknown_to_it() -> None:
    rule = next(rule for rule in RULES if rule.id == "anchoring")

    def reads_more(site):
        return confirm(
            site,
            site.need(lambda job: job.observations.anchored),
            required="",
            found="",
            reason="",
            otherwise="",
        )

    with_it = job(sound(), observations__anchored=True)
    plate = _plate_of(with_it)
    assert _Asked(rule._replace(judge=reads_more)).outcome(plate, with_it).verdict == "meets"
    without = rule._replace(judge=reads_more, asks=("transformer.location",))
    assert _Asked(without).outcome(plate, with_it).verdict == "cannot_tell"
    asks_nothing = rule._replace(judge=reads_more, asks=())
    assert _Asked(asks_nothing).outcome(plate, with_it).verdict == "cannot_tell"


@pytest.mark.parametrize("workers", ["1", "2"])
def test_lines_keep_their_order_whoever_works(fleet, tmp_path, workers) -> None:
    out = tmp_path / "out.jsonl"
    assert main(["audit", str(fleet), "-o", str(out), "--workers", workers]) == 0
    assert [line["line"] for line in _lines(out)] == list(range(1, len(BUILDERS) + 1))


def test_a_bad_line_is_named_and_the_others_answered(tmp_path, capsys) -> None:
    path = tmp_path / "jobs.jsonl"
    bad = [json.dumps(nameplate(0, 3, 480, 208)), "not json", "x" * (LONGEST_LINE + 10)]
    path.write_text(
        "\n".join([json.dumps(sound()), *bad, "", json.dumps(sound())]), encoding="utf-8"
    )
    assert main(["audit", str(path), "--workers", "1"]) == 0
    out, err = capsys.readouterr()
    assert [json.loads(line)["line"] for line in out.splitlines()] == [1, 6]
    assert "line 2: transformer.kva: 0 cannot be a reading here" in err
    assert "line 3: file: not JSON" in err
    assert "line 4: " in err
    assert "2 jobs evaluated, 3 lines refused" in err


def test_whole_results_on_request(fleet, capsys) -> None:
    assert main(["audit", str(fleet), "--full", "--workers", "1"]) == 0
    for line in capsys.readouterr().out.splitlines():
        assert json.loads(line)["format"] == "platepath.result/1"
    assert json.loads(audit_line(json.dumps(sound()), 1, full=True).text)["edition"] == 2023
    assert audit_line("{", 3, full=True).refused


def test_it_goes_on_where_it_stopped(fleet, tmp_path, capsys) -> None:
    out = tmp_path / "out.jsonl"
    assert main(["audit", str(fleet), "-o", str(out), "--workers", "1"]) == 0
    whole = out.read_text(encoding="utf-8")
    lines = whole.splitlines(keepends=True)
    out.write_text("".join(lines[:2]) + lines[2][:20], encoding="utf-8")
    capsys.readouterr()
    assert main(["audit", str(fleet), "-o", str(out), "--workers", "1", "--resume"]) == 0
    assert out.read_text(encoding="utf-8") == whole
    assert "from line 3" in capsys.readouterr().err


def test_an_output_that_is_no_summary_is_written_anew(tmp_path) -> None:
    path = tmp_path / "out.jsonl"
    assert _done_before(path) == 0
    path.write_text('{"line": 1}\n{"lime": 2}\n', encoding="utf-8")
    assert _done_before(path) == 1
    assert path.read_text(encoding="utf-8") == '{"line": 1}\n'


def test_csv_out_has_a_head_and_a_row_each(fleet, tmp_path) -> None:
    out = tmp_path / "out.csv"
    assert main(["audit", str(fleet), "-o", str(out), "--workers", "1"]) == 0
    rows = list(csv.DictReader(io.StringIO(out.read_text(encoding="utf-8"))))
    assert len(rows) == len(BUILDERS)
    assert rows[0]["overall"] == "not_determined"
    assert "system_bonding_jumper" in rows[0]["meets"].split()


def _as_cell(value) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return "; ".join(map(str, value)) or "none"
    return str(value)


@pytest.mark.parametrize("name", sorted(BUILDERS))
def test_a_row_of_csv_is_the_same_job(name: str) -> None:
    data = BUILDERS[name]()
    paths = [q["path"] for q in catalogue() if get(data, q["path"]) is not None]
    read = job_from_data(job_from_row({path: _as_cell(get(data, path)) for path in paths}))[0]
    again = json.loads(read.model_dump_json(exclude_unset=True))
    for path in paths:
        assert get(again, path) == get(data, path), path


def test_csv_in_with_empty_cells_and_strange_columns(tmp_path, capsys) -> None:
    path = tmp_path / "jobs.csv"
    head = "name,transformer.kva,transformer.phases,transformer.primary_volts,transformer.secondary_volts,primary.device.rating"
    rows = ["T-1,75,3,480,208,", "T-2,75,3,480,208,125,spare", "T-3,seventy,3,480,208,125", ",,,,,"]
    path.write_text("\n".join([head, *rows]), encoding="utf-8")
    assert main(["audit", str(path), "--workers", "1"]) == 0
    out, err = capsys.readouterr()
    assert [json.loads(line)["name"] for line in out.splitlines()] == ["T-1", "T-2"]
    assert 'transformer.kva: "seventy" is not a number' in err


def test_a_column_inside_another_column_does_not_break_the_row() -> None:
    made = job_from_row({"electrode": "rod", "electrode.used": "rod", "": "x", " name ": " T-1 "})
    assert made["name"] == "T-1"
    assert made["electrode"] == "rod"


def test_a_list_of_none_is_looked_and_found_none() -> None:
    assert job_from_row({"electrode.available": "none"})["electrode"]["available"] == []


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["missing.jsonl"], "no such file"),
        (["{fleet}", "-o", "{tmp}/no/such/out.jsonl"], "no such file"),
        (["{fleet}", "-o", "{tmp}/out.csv", "--full"], "--full"),
        (["{fleet}", "-o", "{tmp}/out.csv", "--resume"], "--resume"),
        (["{fleet}", "-o", "{tmp}/out.jsonl", "--resume", "--full"], "--resume"),
    ],
)
def test_what_cannot_be_opened_or_does_not_go_together_is_said(
    fleet, tmp_path, capsys, arguments, words
) -> None:
    filled = [a.format(fleet=fleet, tmp=tmp_path) for a in arguments]
    assert main(["audit", *filled]) == 2
    assert words in capsys.readouterr().err


def test_standard_input_and_a_bar_on_a_terminal(monkeypatch, capsys) -> None:
    class Input:
        buffer = io.BytesIO((json.dumps(sound()) + "\n").encode())

    monkeypatch.setattr(sys, "stdin", Input())
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    assert main(["audit", "-", "--workers", "1"]) == 0
    out, err = capsys.readouterr()
    assert json.loads(out)["line"] == 1
    assert "1 jobs" in err


def test_the_bar_fills_with_the_file(fleet, monkeypatch, capsys) -> None:
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    assert main(["audit", str(fleet), "--workers", "1"]) == 0
    assert "100%" in capsys.readouterr().err


def test_every_fact_has_a_column() -> None:
    assert {q["path"] for q in catalogue()} & set(FACTS)
