"""The command line: five calls, exit 0 whatever the verdicts, 2 for input that cannot be used, never a traceback."""

import io
import json
import os
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine import Result, evaluate
from engine.__main__ import main
from engine.files.refusals import job_from_text
from tests.engine.examples import examples
from tests.engine.jobs import BUILDERS, job, nameplate, sound, with_facts

ROOT = Path(__file__).resolve().parents[2]
BROKEN = sorted((ROOT / "fixtures" / "broken").glob("*.json"))
DEMO = sorted((ROOT / "fixtures" / "jobs").glob("*.json"))


@pytest.fixture
def file(tmp_path: Path):
    def write(data, name: str = "job.json") -> str:
        path = tmp_path / name
        path.write_text(data if isinstance(data, str) else json.dumps(data), encoding="utf-8")
        return str(path)

    return write


def test_evaluate_prints_the_result_as_json(file, capsys) -> None:
    assert main(["evaluate", file(sound())]) == 0
    printed = Result.model_validate_json(capsys.readouterr().out)
    assert printed == evaluate(job(sound()))


@pytest.mark.parametrize("name", sorted(BUILDERS))
def test_whatever_the_verdicts_the_exit_is_0(name: str, file, capsys) -> None:
    data = with_facts(BUILDERS[name](), bonding__system_bonding_jumper__location="both")
    assert main(["evaluate", file(data)]) == 0
    assert json.loads(capsys.readouterr().out)["overall"]["verdict"] == "conflict_found"


def test_a_dash_reads_standard_input(monkeypatch, capsys) -> None:
    class Input:
        buffer = io.BytesIO(json.dumps(sound()).encode())

    monkeypatch.setattr(sys, "stdin", Input())
    assert main(["evaluate", "-"]) == 0
    assert json.loads(capsys.readouterr().out)["format"] == "platepath.result/1"


def test_several_files_give_a_list(file, capsys) -> None:
    assert (
        main(["evaluate", file(sound(), "a.json"), file(nameplate(45, 3, 480, 208), "b.json")]) == 0
    )
    printed = json.loads(capsys.readouterr().out)
    assert [r["job"]["transformer"].split(" kVA")[0] for r in printed] == ["75", "45"]


def test_of_several_files_the_broken_ones_are_named_and_the_others_answered(file, capsys) -> None:
    good, bad = file(sound(), "good.json"), file(nameplate(0, 3, 480, 208), "bad.json")
    assert main(["evaluate", good, bad]) == 2
    out, err = capsys.readouterr()
    assert len(json.loads(out)) == 1
    assert f"{bad}: transformer.kva: 0 cannot be a reading here" in err


def test_problems_come_one_a_line_with_what_would_be_right(file, capsys) -> None:
    data = with_facts(nameplate(0, 3, 480, 208), primary__device__rating="125 A", edition=1999)
    assert main(["evaluate", file(data)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    lines = err.splitlines()
    assert [line.split(":")[0] for line in lines] == [
        "edition",
        "transformer.kva",
        "primary.device.rating",
    ]
    assert all("; expected: " in line for line in lines)


def test_problems_can_come_as_json(file, capsys) -> None:
    assert main(["evaluate", file(nameplate(0, 3, 480, 208)), "--json-errors"]) == 2
    problems = json.loads(capsys.readouterr().err)
    assert problems[0]["path"] == "transformer.kva"
    assert set(problems[0]) == {"path", "wrong", "right"}


def test_checklist_is_for_people(file, capsys) -> None:
    assert main(["checklist", file(sound())]) == 0
    text = capsys.readouterr().out
    assert "PRIMARY DISCONNECT" in text
    assert "[=] Meets: Largest primary device for the transformer" in text
    assert "125 A" in text
    assert "complies" not in text.lower()
    assert max(len(line) for line in text.splitlines()) < 140


def test_checklist_says_what_is_assumed(file, capsys) -> None:
    assert main(["checklist", file(nameplate(75, 3, 480, 208))]) == 0
    text = capsys.readouterr().out
    assert "(assumed)" in text
    assert "[?] Can't tell" in text


def test_report_writes_one_page(file, tmp_path, capsys) -> None:
    target = tmp_path / "report.html"
    assert main(["report", file(sound()), "-o", str(target)]) == 0
    html = target.read_text(encoding="utf-8")
    assert html.startswith("<!DOCTYPE html>") or html.lower().startswith("<!doctype html>")
    assert "Electrical room 104" in html


def test_a_report_that_cannot_be_written_is_said(file, tmp_path, capsys) -> None:
    assert main(["report", file(sound()), "-o", str(tmp_path / "no" / "such" / "folder.html")]) == 2
    assert "no such file or directory" in capsys.readouterr().err


@pytest.mark.parametrize("call", ["evaluate", "checklist", "report"])
def test_a_file_that_is_not_there_is_said(call, tmp_path, capsys) -> None:
    missing = str(tmp_path / "missing.json")
    assert main([call, missing]) == 2
    assert capsys.readouterr().err.startswith(f"{missing}: no such file or directory")


def test_a_folder_is_no_job(tmp_path, capsys) -> None:
    assert main(["evaluate", str(tmp_path)]) == 2
    assert "directory" in capsys.readouterr().err


@pytest.mark.parametrize("path", BROKEN, ids=lambda p: p.stem)
def test_every_broken_file_gives_2_and_words(path, capsys) -> None:
    assert main(["evaluate", str(path)]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "Traceback" not in err
    assert all(": " in line for line in err.splitlines())
    assert main(["checklist", str(path)]) == 2


@pytest.mark.parametrize("path", DEMO, ids=lambda p: p.stem)
def test_every_demo_job_is_evaluated(path, capsys) -> None:
    assert main(["evaluate", str(path)]) == 0
    assert main(["checklist", str(path)]) == 0


def test_the_sound_demo_job_is_complete() -> None:
    sound_job = evaluate(job_from_text(DEMO[0].read_bytes())[0])
    assert sound_job.overall.verdict == "no_conflict_found", (
        f"give the jobs in fixtures/jobs the new facts: {[item.path for item in sound_job.open_items]}"
    )


def test_at_least_eight_demo_jobs() -> None:
    assert len(DEMO) >= 8


@pytest.mark.parametrize("call", ["schema", "contract", "questions"])
def test_schemas_are_json(call, capsys) -> None:
    assert main([call]) == 0
    printed = json.loads(capsys.readouterr().out)
    text = json.dumps(printed)
    assert "system_bonding_jumper" in text
    if call == "schema":
        assert {"Job", "Result"} <= set(printed["$defs"])
    if call == "contract":
        assert {"Job", "Result", "Questions", "Request", "Reply"} <= set(printed["$defs"])


@pytest.mark.parametrize(
    "arguments", [[], ["nonsense"], ["evaluate"], ["report", "x", "--paper", "A7"]]
)
def test_wrong_arguments_give_2_and_usage(arguments, capsys) -> None:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert ended.value.code == 2
    assert "usage" in capsys.readouterr().err


def test_audit_answers_a_line_for_each_job(file, tmp_path, capsys) -> None:
    jobs = file("\n".join(json.dumps(build()) for build in BUILDERS.values()) + "\n", "jobs.jsonl")
    out = tmp_path / "out.jsonl"
    assert main(["audit", jobs, "-o", str(out), "--workers", "1"]) == 0
    lines = [json.loads(line) for line in out.read_text(encoding="utf-8").splitlines()]
    assert len(lines) == len(BUILDERS)


def test_as_a_program_it_ends_with_the_same_codes(file) -> None:
    run = [sys.executable, "-m", "engine", "evaluate"]
    good = subprocess.run(
        [*run, file(sound())], capture_output=True, text=True, check=False, cwd=ROOT
    )
    assert (good.returncode, good.stderr) == (0, "")
    bad = subprocess.run(
        [*run, "-"], input="{", capture_output=True, text=True, check=False, cwd=ROOT
    )
    assert (bad.returncode, bad.stdout) == (2, "")
    assert "not JSON" in bad.stderr
    assert "Traceback" not in bad.stderr


SHEET = b"name,transformer.kva,transformer.phases,transformer.primary_volts,transformer.secondary_volts\n"
LINE = json.dumps(nameplate(75, 3, 480, 208)).encode()
# Random bytes alone are refused at the first one: pieces of what is right lead further in.
PIECES = st.lists(
    st.one_of(
        st.binary(max_size=30),
        st.sampled_from([LINE, LINE[:-1], LINE[1:], SHEET, b"T-1,75,3,480,208", b'"', b"\n", b"\r", b","]),
        st.sampled_from([b"\xff", b"\0", b"\xef\xbb\xbf", b"[" * 200, b"9" * 5000, b"1e999", b'"\\ud800"', b"NaN"]),
    ),
    max_size=12,
).map(b"".join)  # fmt: skip


def _exit_and_words(arguments: list[str], data: bytes) -> tuple[int, str]:
    """One call in this process: its exit code, and what it says on stderr."""

    class Input:
        buffer = io.BytesIO(data)

    kept = sys.stdin, sys.stdout, sys.stderr
    sys.stdin, sys.stdout, sys.stderr = Input(), io.StringIO(), io.StringIO()
    try:
        try:
            code = main(arguments)
        except SystemExit as ended:  # the usage, by argparse
            code = ended.code
        said = sys.stderr.getvalue()
    finally:
        sys.stdin, sys.stdout, sys.stderr = kept
    return code, said


def _ends_well(code: int, said: str) -> bool:
    """The exit is one of the contract's, with words where it must have them, and nobody sees a stack."""
    fault = "Traceback" in said or "a fault of this program" in said
    return code in (0, 2) and not fault and (code == 0 or bool(said.strip()))


@pytest.fixture(scope="module")
def elsewhere(tmp_path_factory) -> Path:
    return tmp_path_factory.mktemp("fuzz")


@pytest.mark.parametrize("name", ["-", "jobs.jsonl", "jobs.csv"])
@pytest.mark.parametrize("call", ["evaluate", "checklist", "report", "audit"])
def test_no_bytes_make_a_traceback(call, name, elsewhere) -> None:
    file = elsewhere / f"{call}-{name}"
    more = {"audit": ["--workers", "1"], "report": ["-o", os.devnull]}.get(call, [])

    @examples(100)
    @given(PIECES)
    def every(data: bytes) -> None:
        file.write_bytes(data)
        code, said = _exit_and_words([call, "-" if name == "-" else str(file), *more], data)
        assert _ends_well(code, said), said

    every()


INPUTS = ["jobs.jsonl", "jobs.csv", "job.json", "-"]
NAMES = st.sampled_from(
    [*INPUTS, "out.csv", "out.jsonl", "out.html", "missing", ".", "a/b", "", "\0", "x" * 300]
)
OPTIONS = st.one_of(
    st.tuples(st.sampled_from(["-o", "--output"]), NAMES).map(list),
    NAMES.map(lambda name: [f"--output={name}"]),
    st.sampled_from([["--workers", "1"], ["--workers=-1"], ["--workers", "9" * 5000], ["--workers", "many"]]),
    st.sampled_from([["--resume"], ["--full"], ["--paper", "A4"], ["--json-errors"], ["-h"], ["--"], ["-o"]]),
    st.text(max_size=8).filter(lambda text: "/" not in text).map(lambda text: [text]),
)  # fmt: skip
CALLS = st.builds(
    lambda call, name, options: [call, name, *(word for option in options for word in option)],
    st.sampled_from(["evaluate", "checklist", "report", "audit", "schema"]),
    st.one_of(st.sampled_from(INPUTS), NAMES),
    st.lists(OPTIONS, max_size=4),
)


@examples(300)
@given(CALLS, PIECES)
def test_no_arguments_make_a_traceback(words: list[str], data: bytes) -> None:
    kept = Path.cwd()
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        try:
            inputs = {"jobs.jsonl": LINE + b"\n" + data, "jobs.csv": SHEET + data, "job.json": LINE}
            for name, content in inputs.items():
                Path(name).write_bytes(content)
            code, said = _exit_and_words(words, data)
            assert _ends_well(code, said), said
            for name, content in inputs.items():
                assert Path(name).read_bytes() == content, f"{words} changed {name}"
        finally:
            os.chdir(kept)


def test_editions_prints_the_register(capsys) -> None:
    assert main(["editions"]) == 0
    text = capsys.readouterr().out
    assert "2023" in text
    assert "250.30" in text


def test_a_reader_who_stops_reading_ends_it_as_the_shell_has_it(file, monkeypatch) -> None:
    import engine.interfaces.command_line as module

    def stopped(*_args, **_kwargs):
        raise BrokenPipeError

    monkeypatch.setattr(module, "checklist_text", stopped)
    monkeypatch.setattr(sys, "stderr", io.StringIO())
    assert main(["checklist", file(sound())]) == 141
