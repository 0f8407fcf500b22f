"""The command line among full disks, closed pipes and wrong paths: nothing destroyed, one line that says what and where."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from engine.__main__ import main
from tests.engine.jobs import BUILDERS, sound, with_facts

ROOT = Path(__file__).resolve().parents[2]
AUDIT = [sys.executable, "-m", "engine", "audit"]
POSIX = pytest.mark.skipif(os.name != "posix", reason="signals and devices of POSIX")
CORES = os.cpu_count() or 1
BIG = 4_000
# As a shell starts it, whatever the tests' own surroundings say.
BUFFERED = {name: value for name, value in os.environ.items() if name != "PYTHONUNBUFFERED"}


def run(*arguments: object, **options) -> subprocess.CompletedProcess:
    return subprocess.run(
        [sys.executable, "-m", "engine", *map(str, arguments)],
        cwd=ROOT,
        check=False,
        timeout=120,
        **{"capture_output": True, "text": True, "env": BUFFERED, **options},
    )


def one_line(done: subprocess.CompletedProcess, *words: str) -> None:
    """What stderr holds: one line, with these words."""
    assert done.stderr.count("\n") == 1, done.stderr
    for word in words:
        assert word in done.stderr.lower(), done.stderr


@pytest.fixture
def fleet(tmp_path: Path) -> Path:
    path = tmp_path / "jobs.jsonl"
    path.write_text("".join(json.dumps(build()) + "\n" for build in BUILDERS.values()))
    return path


@pytest.fixture
def big(tmp_path: Path) -> Path:
    """A fleet that no pipe and no buffer takes at once."""
    path = tmp_path / "big.jsonl"
    line = json.dumps(sound()) + "\n"
    path.write_text(line * BIG)
    return path


@pytest.fixture
def job_file(tmp_path: Path) -> Path:
    path = tmp_path / "job.json"
    path.write_text(json.dumps(sound()))
    return path


# ---------------------------------------------------------------- what it did not write


def _spelled(path: Path) -> Path:
    return path.parent / "." / ".." / path.parent.name / path.name


def _symbolic(path: Path) -> Path:
    link = path.with_name("symbolic.jsonl")
    link.symlink_to(path)
    return link


def _hard(path: Path) -> Path:
    link = path.with_name("hard.jsonl")
    link.hardlink_to(path)
    return link


def _csv(path: Path) -> Path:
    link = path.with_name("same.csv")
    link.symlink_to(path)
    return link


@pytest.mark.parametrize("more", [[], ["--resume"]], ids=["anew", "resumed"])
@pytest.mark.parametrize("other", [Path, _spelled, _symbolic, _hard])
def test_the_input_is_never_the_output(fleet, other, more, capsys) -> None:
    before = fleet.read_bytes()
    assert main(["audit", str(fleet), "-o", str(other(fleet)), *more]) == 2
    assert "the same file as the input" in capsys.readouterr().err
    assert fleet.read_bytes() == before


def test_the_input_is_never_the_output_as_csv(tmp_path, fleet, capsys) -> None:
    before = fleet.read_bytes()
    assert main(["audit", str(fleet), "-o", str(_csv(fleet))]) == 2
    assert fleet.read_bytes() == before
    sheet = tmp_path / "jobs.csv"
    sheet.write_text("name,transformer.kva\nT-1,75\n")
    assert main(["audit", str(sheet), "-o", str(sheet)]) == 2
    assert sheet.read_text() == "name,transformer.kva\nT-1,75\n"
    assert capsys.readouterr().err.count("the same file as the input") == 2


@POSIX
def test_the_input_by_a_pipe_of_the_shell_is_never_the_output(fleet) -> None:
    before = fleet.read_bytes()
    with fleet.open("rb") as jobs:
        done = run("audit", "-", "-o", fleet, stdin=jobs)
    assert done.returncode == 2
    one_line(done, "the same file as the input")
    with fleet.open("ab") as end:
        done = run("audit", fleet, stdout=end, stderr=subprocess.PIPE, capture_output=False)
    assert done.returncode == 2
    one_line(done, "standard output", "the same file as the input")
    assert fleet.read_bytes() == before


FOREIGN = {
    "notes": "Bring the torque screwdriver.\n",
    "notes without an end": "Bring the torque screwdriver.",
    "a job": json.dumps(sound()) + "\n",
    "other rows": '{"line": 1}\n{"lime": 2}\n',
    "a number": "1\n",
    "a list": "[1]\n",
    "bytes": "\x00\x01\n",
    "a sheet": "name,transformer.kva\nT-1,75\n",
}


# Some look like a row of the audit; only going on reads on to the number.
FOREIGN_ROWS = {
    "a number that is text": '{"line":"1","name":"","place":"","overall":"","does_not_meet":[],"cannot_tell":[],"meets":[]}\n',
    "a row with more": '{"line":1,"overall":"","mine":1}\n',
}


@pytest.mark.parametrize(
    ("what", "more"),
    [
        *((what, more) for what in FOREIGN.values() for more in ([], ["--resume"])),
        *((what, ["--resume"]) for what in FOREIGN_ROWS.values()),
    ],
)
def test_a_foreign_file_is_never_replaced_nor_gone_on_with(
    fleet, tmp_path, what, more, capsys
) -> None:
    path = tmp_path / "out.jsonl"
    path.write_text(what)
    assert main(["audit", str(fleet), "-o", str(path), *more]) == 2
    said = capsys.readouterr().err
    assert str(path) in said
    assert "nothing was changed" in said
    assert path.read_text() == what


def test_a_foreign_file_is_not_replaced_by_a_sheet(fleet, tmp_path, capsys) -> None:
    path = tmp_path / "units.csv"
    path.write_text(FOREIGN["a sheet"])
    assert main(["audit", str(fleet), "-o", str(path)]) == 2
    assert "nothing was changed" in capsys.readouterr().err
    assert path.read_text() == FOREIGN["a sheet"]


def test_going_on_stops_at_a_foreign_line_in_the_middle(fleet, tmp_path, capsys) -> None:
    path = tmp_path / "out.jsonl"
    assert main(["audit", str(fleet), "-o", str(path), "--workers", "1"]) == 0
    lines = path.read_text().splitlines(keepends=True)
    mixed = "".join([*lines[:2], "a note of mine\n", *lines[2:4]])
    path.write_text(mixed)
    capsys.readouterr()
    assert main(["audit", str(fleet), "-o", str(path), "--resume"]) == 2
    assert "line 3 is not a row of this audit's summary" in capsys.readouterr().err
    assert path.read_text() == mixed
    # The same row again, or one that goes back, is no output of one run.
    path.write_text(lines[0] + lines[0])
    assert main(["audit", str(fleet), "-o", str(path), "--resume"]) == 2


def test_the_output_of_another_input_is_not_gone_on_with(fleet, tmp_path, capsys) -> None:
    path, other = tmp_path / "out.jsonl", tmp_path / "other.jsonl"
    other.write_text(
        "".join(json.dumps(with_facts(sound(), name=f"U-{n}")) + "\n" for n in range(3))
    )
    assert main(["audit", str(other), "-o", str(path), "--workers", "1"]) == 0
    before = path.read_text()
    assert main(["audit", str(fleet), "-o", str(path), "--resume"]) == 2
    assert "not the outcome of line 3 of this input" in capsys.readouterr().err
    other.write_text("")
    assert main(["audit", str(other), "-o", str(path), "--resume"]) == 2
    assert path.read_text() == before


def test_the_output_of_an_earlier_version_is_gone_on_with(fleet, tmp_path, capsys) -> None:
    path = tmp_path / "out.jsonl"
    assert main(["audit", str(fleet), "-o", str(path), "--workers", "1"]) == 0
    rows = [json.loads(line) for line in path.read_text().splitlines()][:2]
    for row in rows:
        del row["contradictions"]
    path.write_text("".join(json.dumps(row, separators=(",", ":")) + "\n" for row in rows))
    assert main(["audit", str(fleet), "-o", str(path), "--workers", "1", "--resume"]) == 0
    assert "from line 3" in capsys.readouterr().err
    assert path.read_text().count("\n") == len(BUILDERS)


@pytest.mark.parametrize("name", ["out.jsonl", "out.csv"])
def test_an_earlier_output_is_written_anew_and_an_empty_file_is_taken(
    fleet, tmp_path, name, capsys
) -> None:
    path = tmp_path / name
    path.touch()
    assert main(["audit", str(fleet), "-o", str(path), "--workers", "1"]) == 0
    whole = path.read_bytes()
    assert whole.count(b"\n") == len(BUILDERS) + name.endswith(".csv")
    assert main(["audit", str(fleet), "-o", str(path), "--workers", "1"]) == 0
    assert path.read_bytes() == whole
    # An input that turns out to be none leaves the earlier output alone.
    bad = tmp_path / "bad.csv"
    bad.write_text("name,name\n")
    assert main(["audit", str(bad), "-o", str(path)]) == 2
    assert path.read_bytes() == whole


def test_a_report_never_replaces_its_job_nor_another_file(
    job_file, tmp_path, monkeypatch, capsys
) -> None:
    before = job_file.read_bytes()
    for other in (Path, _symbolic, _hard):
        assert main(["report", str(job_file), "-o", str(other(job_file))]) == 2
    assert capsys.readouterr().err.count("the same file as the input") == 3
    page = tmp_path / "page.html"
    page.write_text("<!DOCTYPE html>\n<p>mine</p>")
    assert main(["report", str(job_file), "-o", str(page)]) == 2
    assert "not a report of this program" in capsys.readouterr().err
    assert page.read_text() == "<!DOCTYPE html>\n<p>mine</p>"
    page.unlink()
    monkeypatch.chdir(tmp_path)
    assert main(["report", str(job_file)]) == 0
    (made,) = tmp_path.glob("report-*.html")
    assert main(["report", str(job_file)]) == 0
    # A signed one, as the phone exports it under the same name.
    signed = made.read_text().replace("</main>", '<img src="data:image/png;base64,AA"></main>')
    made.write_text(signed)
    assert main(["report", str(job_file)]) == 2
    assert "signature" in capsys.readouterr().err
    assert made.read_text() == signed
    assert job_file.read_bytes() == before


def test_a_report_goes_through_a_link_and_keeps_the_rights_of_the_file(job_file, tmp_path) -> None:
    page, link = tmp_path / "page.html", tmp_path / "link.html"
    page.touch()
    page.chmod(0o640)
    link.symlink_to(page)
    assert main(["report", str(job_file), "-o", str(link)]) == 0
    assert link.is_symlink()
    assert page.stat().st_mode & 0o777 == 0o640
    assert page.read_text().startswith("<!DOCTYPE html>")
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "job.json",
        "link.html",
        "page.html",
    ]


# ---------------------------------------------------------------- disks and devices


@POSIX
@pytest.mark.parametrize("call", ["evaluate", "checklist", "audit"])
def test_a_full_disk_behind_standard_output_is_said(call, job_file, fleet) -> None:
    with Path("/dev/full").open("w") as full:
        done = run(
            call, fleet if call == "audit" else job_file, stdout=full, stderr=subprocess.PIPE,
            capture_output=False,
        )  # fmt: skip
    assert done.returncode == 2
    one_line(done, "standard output: no space left on device")


@POSIX
@pytest.mark.parametrize("call", ["report", "audit"])
def test_a_full_disk_behind_the_output_is_said(call, job_file, fleet) -> None:
    done = run(call, fleet if call == "audit" else job_file, "-o", "/dev/full")
    assert done.returncode == 2
    one_line(done, "/dev/full: no space left on device")


def _no_more_than(size: int):
    import resource

    return lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))


@POSIX
@pytest.mark.parametrize("workers", [1, CORES])
@pytest.mark.parametrize("name", ["out.jsonl", "out.csv"])
def test_where_room_ends_whole_lines_stand_and_it_goes_on_from_there(
    big, tmp_path, name, workers
) -> None:
    out = tmp_path / name
    call = ("audit", big, "-o", out, "--workers", workers)
    done = run(*call, preexec_fn=_no_more_than(300_123))
    assert done.returncode == 2
    one_line(done, str(out).lower(), "file too large", "whole lines")
    kept = out.read_bytes()
    assert 250_000 < len(kept) <= 300_123
    assert kept.endswith(b"\n")
    if name == "out.jsonl":
        assert run(*call, "--resume").returncode == 0
        lines = [json.loads(line)["line"] for line in out.read_text().splitlines()]
        assert lines == list(range(1, BIG + 1))
        assert out.read_bytes().startswith(kept)


@POSIX
def test_a_report_for_which_there_is_no_room_leaves_the_old_one(job_file, tmp_path) -> None:
    page = tmp_path / "page.html"
    assert main(["report", str(job_file), "-o", str(page)]) == 0
    before = page.read_bytes()
    done = run("report", job_file, "-o", page, preexec_fn=_no_more_than(5_000))
    assert done.returncode == 2
    one_line(done, "page.html: file too large")
    assert page.read_bytes() == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["job.json", "page.html"]


@pytest.mark.parametrize("more", [[], ["--resume"]], ids=["anew", "resumed"])
@pytest.mark.parametrize("call", ["audit", "report"])
def test_a_folder_is_no_output(call, more, fleet, job_file, tmp_path, capsys) -> None:
    more = more if call == "audit" else []
    read = fleet if call == "audit" else job_file
    assert main([call, str(read), "-o", str(tmp_path), *more]) == 2
    assert capsys.readouterr().err.startswith(f"{tmp_path}: is a directory")


@pytest.mark.parametrize("call", ["evaluate", "checklist", "report", "audit"])
def test_a_name_that_is_no_path_is_said(call, tmp_path, job_file, capsys) -> None:
    assert main([call, "a\0b"]) == 2
    assert "not a path" in capsys.readouterr().err
    if call in ("report", "audit"):
        assert main([call, str(job_file), "-o", "a\0b"]) == 2
        assert "not a path" in capsys.readouterr().err


@POSIX
def test_an_input_that_breaks_off_is_said(job_file) -> None:
    for call in ("evaluate", "audit"):
        done = run(call, "/proc/self/mem")
        assert done.returncode == 2
        one_line(done, "/proc/self/mem: input/output error")


# ---------------------------------------------------------------- pipes and signals


@POSIX
@pytest.mark.parametrize("stream", ["<&-", ">&-"])
@pytest.mark.parametrize("call", ["evaluate", "checklist", "audit"])
def test_a_closed_stream_is_said(call, stream, job_file) -> None:
    name = "-" if stream == "<&-" else str(job_file)
    shell = f'exec "$0" -m engine {call} "$1" {stream}'
    done = subprocess.run(
        ["sh", "-c", shell, sys.executable, name],
        cwd=ROOT, env=BUFFERED, check=False, capture_output=True, text=True,
    )  # fmt: skip
    assert done.returncode == 2
    one_line(done, "closed", "standard input" if name == "-" else "standard output")


@POSIX
def test_with_stderr_closed_or_full_the_jobs_are_answered_all_the_same(fleet) -> None:
    for stream in ("2>&-", "2>/dev/full"):
        shell = f'exec "$0" -m engine audit "$1" {stream}'
        done = subprocess.run(
            ["sh", "-c", shell, sys.executable, str(fleet)],
            cwd=ROOT, env=BUFFERED, check=False, capture_output=True, text=True,
        )  # fmt: skip
        assert done.returncode == 0
        assert done.stdout.count("\n") == len(BUILDERS)


@POSIX
@pytest.mark.parametrize("call", ["evaluate", "schema", "--help", "audit"])
def test_a_reader_who_goes_away_ends_it_as_the_shell_has_it(call, job_file, big) -> None:
    names = {"evaluate": [job_file], "audit": [big, "--workers", CORES]}.get(call, [])
    process = subprocess.Popen(
        [sys.executable, "-m", "engine", call, *map(str, names)],
        cwd=ROOT, env=BUFFERED, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert process.stdout is not None
    if call == "audit":
        assert process.stdout.readline().startswith('{"line":1,')
    process.stdout.close()
    assert process.stderr is not None
    assert process.stderr.read() == ""
    assert process.wait(60) == 128 + signal.SIGPIPE


def _workers_of(process: subprocess.Popen) -> list[int]:
    children = Path(f"/proc/{process.pid}/task/{process.pid}/children")
    return [int(pid) for pid in children.read_text().split()]


def _alive(pid: int) -> bool:
    status = Path(f"/proc/{pid}/stat")
    return status.exists() and status.read_text().rsplit(")", 1)[1].split()[0] != "Z"


def _gone(pids: list[int], seconds: float = 10) -> bool:
    end = time.monotonic() + seconds
    while any(_alive(pid) for pid in pids):
        if time.monotonic() > end:
            return False
        time.sleep(0.02)
    return True


@pytest.fixture
def at_work(tmp_path: Path) -> Iterator[tuple[subprocess.Popen, list[int], Path]]:
    """An audit over two workers whose input never ends, and which has written some lines."""
    if CORES == 1 or not Path("/proc/self/stat").exists():
        pytest.skip("needs two cores and /proc")
    out = tmp_path / "out.jsonl"
    process = subprocess.Popen(
        [*AUDIT, "-", "-o", str(out), "--workers", "2"],
        cwd=ROOT, stdin=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
    )  # fmt: skip
    assert process.stdin is not None
    line = json.dumps(sound()) + "\n"
    while not (out.exists() and out.read_bytes().count(b"\n") > 500):
        process.stdin.write(line * 100)
        process.stdin.flush()
    workers = _workers_of(process)
    assert len(workers) == 2
    yield process, workers, out
    process.kill()
    for pid in workers:
        if _alive(pid):
            os.kill(pid, signal.SIGKILL)
    with process:
        pass


@POSIX
@pytest.mark.parametrize("by", [signal.SIGKILL, signal.SIGTERM, signal.SIGHUP])
def test_workers_end_with_their_parent(at_work, by) -> None:
    process, workers, out = at_work
    process.send_signal(by)
    assert process.wait(10) == -by
    assert _gone(workers)
    assert out.read_bytes().endswith(b"\n")


@POSIX
@pytest.mark.parametrize("everybody", [True, False], ids=["to all", "to the parent"])
def test_stopped_by_the_keyboard_it_says_so_and_goes_on_later(at_work, everybody) -> None:
    process, workers, out = at_work
    (os.killpg if everybody else os.kill)(process.pid, signal.SIGINT)
    # Ending takes its time on a machine that is busy.
    assert process.wait(60) == 130
    assert process.stderr.read() == "stopped\n"
    assert _gone(workers)
    assert out.read_bytes().endswith(b"\n")
    last = len(out.read_text().splitlines())
    again = (json.dumps(sound()) + "\n") * (last + 3)
    done = run("audit", "-", "-o", out, "--resume", input=again)
    assert done.stderr == f"3 jobs evaluated, 0 lines refused, from line {last + 1}\n"


@POSIX
def test_a_worker_that_is_ended_from_outside_is_said(at_work) -> None:
    process, workers, out = at_work
    os.kill(workers[0], signal.SIGKILL)
    line = json.dumps(sound()) + "\n"
    try:
        while process.poll() is None:
            process.stdin.write(line * 100)
            process.stdin.flush()
    except BrokenPipeError:
        pass
    assert process.wait(10) == 2
    said = process.stderr.read()
    assert said.count("\n") == 1
    assert "a worker was ended from outside" in said
    assert _gone(workers)
    assert out.read_bytes().endswith(b"\n")


@pytest.mark.parametrize("asked", [100_000, CORES + 1])
def test_workers_never_outnumber_the_cores(asked, fleet, monkeypatch, capsys) -> None:
    import engine.fleet.workers as module

    made = []
    start = module.multiprocessing.Process.start

    def counted(process) -> None:
        made.append(process)
        start(process)

    monkeypatch.setattr(module.multiprocessing.Process, "start", counted)
    assert main(["audit", str(fleet), "--workers", str(asked)]) == 0
    out, err = capsys.readouterr()
    assert out.count("\n") == len(BUILDERS)
    assert f"of {asked} are used, as many as there are cores" in err
    assert len(made) <= CORES


@pytest.mark.parametrize("asked", ["0", "-3"])
def test_no_worker_at_all_is_refused(asked, fleet, capsys) -> None:
    assert main(["audit", str(fleet), "--workers", asked]) == 2
    assert "--workers: " in capsys.readouterr().err


# ---------------------------------------------------------------- terminals


@POSIX
@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252"])
@pytest.mark.parametrize("call", ["evaluate", "checklist", "audit", "questions", "editions"])
def test_on_a_terminal_with_few_letters_nothing_is_lost(call, encoding, tmp_path) -> None:
    path = tmp_path / "job.json"
    name = "Nº 7 – Ω 漢 𝄞"
    path.write_text(json.dumps(with_facts(sound(), name=name)))
    setting = {**BUFFERED, "PYTHONIOENCODING": encoding}
    names = [path] if call in ("evaluate", "checklist", "audit") else []
    done = run(call, *names, env=setting, text=False)
    assert done.returncode == 0
    text = done.stdout.decode(encoding)
    if call in ("evaluate", "audit", "questions"):
        plain = run(call, *names, env={**BUFFERED, "PYTHONIOENCODING": "utf-8"}, text=False)
        assert json.loads(text) == json.loads(plain.stdout)
        if call != "questions":
            assert name in json.dumps(json.loads(text), ensure_ascii=False)
    elif call == "checklist":
        shown = {"ascii": "No 7 - ohm", "latin-1": "Nº 7 - ohm", "cp1252": "Nº 7 – ohm"}
        assert f"{shown[encoding]} \\u6f22 \\U0001d11e: 75 kVA" in text


@POSIX
def test_in_the_plain_locale_nothing_is_lost(job_file) -> None:
    setting = {k: v for k, v in os.environ.items() if not k.startswith(("LC_", "LANG", "PYTHON"))}
    for more in ({}, {"PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0"}):
        done = run("checklist", job_file, env={**setting, "LC_ALL": "C", **more}, text=False)
        assert (done.returncode, done.stderr) == (0, b"")


def test_what_is_said_stays_on_its_line_and_does_not_steer_the_terminal(tmp_path, capsys) -> None:
    path = tmp_path / "jobs.jsonl"
    path.write_text(json.dumps({**sound(), "a\nb\x1b[2J\x9b\u2028": 1}) + "\n")
    for call in ("audit", "evaluate"):
        assert main([call, str(path)]) == (0 if call == "audit" else 2)
        said = capsys.readouterr().err
        assert "a\\nb\\u001b[2J\\u009b\\u2028: not a key of a job" in said
        assert not set("\x1b\x9b\u2028") & set(said)


def test_a_fault_of_the_program_is_one_line_too(job_file, fleet, monkeypatch, capsys) -> None:
    import engine.fleet.audit_line
    import engine.interfaces.command_line

    def fails(*_args, **_options):
        raise KeyError("kva")

    monkeypatch.setattr(engine.interfaces.command_line, "evaluate", fails)
    assert main(["evaluate", str(job_file)]) == 1
    said = capsys.readouterr().err
    assert said.startswith("a fault of this program, not of the input (KeyError: 'kva', ")
    assert said.count("\n") == 1
    monkeypatch.setattr(engine.fleet.audit_line, "evaluate", fails)
    assert main(["audit", str(fleet), "--full", "--workers", "1"]) == 0
    said = capsys.readouterr().err
    assert said.count("a fault of this program") == len(BUILDERS)
    assert f"0 jobs evaluated, {len(BUILDERS)} lines refused" in said
