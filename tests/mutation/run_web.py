"""Change the service worker, the updates and what keeps jobs in small ways and see whether the browser tests notice.

`python3 dev.py mutants --web`. Stryker's instrumenter puts every change into one build, each behind a switch; so the app
is built once, and for each change only the switch is set: in front of the service worker's script, and in the page
before its own scripts run. The tests of the changed file then run in a real browser until one fails, the latest to have
noticed a change first. A test waits here only so long for what never comes. What keeps jobs has tests without a browser too;
they take seconds and run first.

  --every N      try only every Nth change (10); --offset K shifts the slice
  --only TEXT    try only files whose path holds TEXT
  --id N         try this one change
  --least SHARE  share of changes that must be noticed, percent (85)
  --no-browser   only the tests that need none
"""

import argparse
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from tests.mutation.run import SURVIVORS  # noqa: E402
from tests.web.bundle import bundled_store, bundled_test  # noqa: E402
from web.build.tools import checked, environment, node, program  # noqa: E402

INSTRUMENTER = Path(__file__).with_name("instrumenter")
OFFLINE = ("tests/browser/test_offline.py", "tests/browser/test_offline_damage.py")
SERVICE_WORKER = ("service_worker", "kept", "download", "check")
# What edits and reserves are is told by tests of their own.
JOBS = tuple(
    sorted(
        path.stem
        for path in (ROOT / "web" / "jobs").glob("*.ts")
        if path.stem not in ("edits", "reserve")
    )
)
# Each file with the tests that are to notice its changes; the quick and the broad ones first.
TARGETS = {
    **{f"service_worker/{name}.ts": OFFLINE for name in SERVICE_WORKER},
    "web/offline/updates.ts": (*OFFLINE, "tests/browser/test_boot.py"),
    **{f"web/jobs/{name}.ts": ("tests/browser/test_storage.py",) for name in JOBS},
}
# The tests under Node of files that each of their tabs runs anew, and how long they may take.
UNDER_NODE = {f"web/jobs/{name}.ts": ("store.test.ts", "store_property.test.ts") for name in JOBS}
NODE_SECONDS = 90
# What takes minutes and tells of single files what one file tells.
LEFT_OUT = re.compile(r"test_each_file_is_missed|every file\]|that_carries_nothing|really_full")
# A state that never comes is waited for so long, and all tests of a change no longer than that.
PATIENCE_SECONDS, LONGEST_SECONDS = 45, 1_500
SWITCH = "globalThis.__stryker__ = {{ activeMutant: {} }};\n"


class Change(NamedTuple):
    """One change, as the instrumenter says it."""

    id: str
    file: str
    kind: str
    line: int
    was: str
    becomes: str

    @property
    def said(self) -> str:
        """The change on one line, as survivors.md names it."""
        return f"{self.kind}: {_short(self.was)} → {_short(self.becomes)}"


def _short(code: str) -> str:
    """Code on one line, cut where it says no more."""
    line = " ".join(code.split()).replace("|", "¦")
    return line if len(line) <= 70 else f"{line[:69]}…"


def instrumented(place: Path) -> list[Change]:
    """Copies the sources, puts all changes into them, and builds the app and a version to come."""
    if not (INSTRUMENTER / "node_modules").exists():
        npm = program("npm", environment()["PATH"])
        checked([npm, "ci", "--no-audit", "--no-fund"], cwd=INSTRUMENTER, env=environment())
    keep = shutil.ignore_patterns("node_modules", "dist", "__pycache__", ".git", ".venv")
    for name in ("engine", "web", "service_worker", "fixtures"):
        shutil.copytree(ROOT / name, place / name, ignore=keep)
    (place / "web" / "node_modules").symlink_to((ROOT / "web" / "node_modules").resolve())
    files = [place / target for target in TARGETS]
    # The linked packages are found from where the instrumenter lies.
    said = node(INSTRUMENTER / "instrument.mjs", *files, cwd=place).stdout
    for out, version in (("dist-next", '"9999.0"'), ("dist", None)):
        start = place / "engine" / "__init__.py"
        plain = start.read_text()
        if version:
            start.write_text(re.sub(r"(?m)^(__version__ = ).*$", rf"\g<1>{version}", plain))
        checked([sys.executable, "-m", "web.build", "--out", str(place / out)], cwd=place)
        start.write_text(plain)
    found = [Change(**one) for one in json.loads(said)]
    return [one._replace(file=str(Path(one.file).relative_to(place))) for one in found]


def with_switch(place: Path, active: str) -> dict[str, str]:
    """Folders in which one change is switched on, and the environment that makes the tests use them."""
    folders = {}
    for name in ("dist", "dist-next"):
        folder = place / f"{name}-on"
        shutil.rmtree(folder, ignore_errors=True)
        shutil.copytree(place / name, folder, copy_function=os.link)
        for packed in folder.glob("service_worker.js.*"):
            packed.unlink()
        script = folder / "service_worker.js"
        code = script.read_text()
        script.unlink()
        script.write_text(SWITCH.format(json.dumps(active)) + code)
        folders[name] = str(folder)
    return {
        **os.environ,
        "PLATEPATH_DIST": folders["dist"],
        "PLATEPATH_DIST_NEXT": folders["dist-next"],
        "PLATEPATH_BEFORE_SCRIPTS": SWITCH.format(json.dumps(active)),
        "PLATEPATH_PATIENCE_MS": str(PATIENCE_SECONDS * 1000),
    }


def ended(
    command: list[str], surroundings: dict[str, str], seconds: float
) -> subprocess.CompletedProcess[str] | None:
    """A program that ended in time, or None; then nothing that it started goes on."""
    with subprocess.Popen(
        command,
        cwd=ROOT,
        env=surroundings,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    ) as running:
        try:
            out, err = running.communicate(timeout=seconds)
        except subprocess.TimeoutExpired:
            os.killpg(running.pid, signal.SIGKILL)
            return None
    return subprocess.CompletedProcess(command, running.returncode, out, err)


def bundled(place: Path, file: str) -> tuple[Path, list[Path]]:
    """The changed file and its tests, each as one file that Node can run."""
    code = bundled_store(place / "changed.js", web=place / "web")
    tests = [ROOT / "tests" / "web" / name for name in UNDER_NODE[file]]
    return code, [bundled_test(test, place) for test in tests]


def noticed_under_node(code: Path, tests: list[Path], active: str) -> str | None:
    """The first test file under Node to fail, `timed out`, or None when all pass."""
    switched = code.with_name("switched.js")
    switched.write_text(SWITCH.format(json.dumps(active)) + code.read_text())
    surroundings = {**environment(), "STORE": str(switched)}
    surroundings.pop("NODE_TEST_CONTEXT", None)
    node_itself = program("node", surroundings["PATH"])
    for test in tests:
        done = ended([node_itself, "--test", str(test)], surroundings, NODE_SECONDS)
        if done is None:
            return "timed out"
        if done.returncode:
            return f"{test.stem}.ts"
    return None


def collected(files: tuple[str, ...]) -> list[str]:
    """The tests of some files."""
    command = [sys.executable, "-m", "pytest", "--collect-only", "-q", "-p", "no:xdist", *files]
    said = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True).stdout
    return [line for line in said.splitlines() if "::" in line and not LEFT_OUT.search(line)]


def first_failure(tests: list[str], surroundings: dict[str, str]) -> str | None:
    """The first of the tests to fail, `timed out`, or None when all pass."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-rfE", "-p", "no:cacheprovider"]
    command += ["-p", "no:xdist", "--tb=no", *tests]
    done = ended(command, surroundings, LONGEST_SECONDS)
    if done is None:
        return "timed out"
    if done.returncode == 0:
        return None
    failed = re.search(r"(?m)^(?:FAILED|ERROR) (.+?)(?: - .*)?$", done.stdout)
    if not failed:
        sys.exit(f"pytest did not run:\n{done.stdout}{done.stderr}")
    return failed.group(1)


def without_reason(survived: list[Change]) -> list[Change]:
    """The survivors that have no row of their own in survivors.md."""
    rows = Counter(
        (cells[0].strip(), cells[1].strip())
        for line in SURVIVORS.read_text(encoding="utf-8").splitlines()
        if line.startswith("| ") and len(cells := line.strip("|").split(" | ")) >= 3
    )
    new: list[Change] = []
    for change in survived:
        row = (change.file, change.said)
        if rows[row]:
            rows[row] -= 1
        else:
            new.append(change)
    return new


def main() -> int:
    """Tries the changes and says which were not noticed."""
    parser = argparse.ArgumentParser(prog="python3 dev.py mutants --web", description=__doc__)
    parser.add_argument("--every", type=int, default=10)
    parser.add_argument("--offset", type=int, default=0)
    parser.add_argument("--only", default="")
    parser.add_argument("--id", default="")
    parser.add_argument("--least", type=float, default=85.0)
    parser.add_argument("--no-browser", action="store_true")
    options = parser.parse_args()
    survived: list[Change] = []
    outcome: dict[str, Counter[str]] = {}
    with tempfile.TemporaryDirectory(prefix="mutants-") as folder:
        place = Path(folder)
        changes = instrumented(place)
        print(f"{len(changes)} changes, {dict(Counter(one.file for one in changes))}", flush=True)
        for file, test_files in TARGETS.items():
            of_file = [one for one in changes if one.file == file and options.only in file]
            chosen = [one for one in of_file if options.id in ("", one.id)]
            if not options.id:
                chosen = chosen[options.offset :: options.every]
            if not chosen:
                continue
            under_node = bundled(place, file) if file in UNDER_NODE else None
            if under_node and (failed := noticed_under_node(*under_node, "none")):
                sys.exit(f"{failed} fails without any change; mend that first.")
            tests = [] if options.no_browser else collected(test_files)
            if tests and (failed := first_failure(tests, with_switch(place, "none"))):
                sys.exit(f"{failed} fails without any change; mend that first.")
            print(f"{file}: {len(tests)} tests pass unchanged", flush=True)
            outcome[file] = Counter()
            for change in chosen:
                began = time.monotonic()
                noticed = under_node and noticed_under_node(*under_node, change.id)
                if tests and not noticed:
                    noticed = first_failure(tests, with_switch(place, change.id))
                outcome[file]["noticed" if noticed else "survived"] += 1
                if noticed in tests:
                    # What noticed a change is the likeliest to notice the next.
                    tests.remove(noticed)
                    tests.insert(0, noticed)
                if not noticed:
                    survived.append(change)
                word = f"noticed by {noticed.split('::')[-1]}" if noticed else "SURVIVED"
                seconds = time.monotonic() - began
                print(
                    f"  {change.id} {file}:{change.line} {change.said}: {word} ({seconds:.0f} s)",
                    flush=True,
                )
    total = sum(outcome.values(), Counter[str]())
    for name, count in [*outcome.items(), ("all", total)]:
        if count.total():
            share = 100 * count["noticed"] / count.total()
            print(f"{name}: {count['noticed']}/{count.total()} noticed, {share:.1f} %")
    new = without_reason(survived)
    if new:
        print(f"{len(new)} survivors without a reason in {SURVIVORS.relative_to(ROOT)}:")
        for one in new:
            print(f"| {one.file} | {one.said} | (line {one.line}) |")
    enough = total["noticed"] >= options.least / 100 * total.total()
    return 0 if enough and not new and total.total() else 1


if __name__ == "__main__":
    sys.exit(main())
