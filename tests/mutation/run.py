"""Change the engine in small ways and see whether the tests notice: `python3 dev.py mutants`.

Why a runner of our own on top of libcst: nearly every function that judges is decorated (`@rule`, `@once`), and the usual
tools leave decorated functions alone or start the tests anew for each change. Here the tests are collected once; for each
change a fork exchanges the code of the changed functions and runs the tests that reach the changed line, quickest first,
until one fails. A change outside functions (tables, constants) is tried in a process of its own.

  --every N   try only every Nth change of each module (a slice; --offset K shifts it)
  --only TEXT try only modules whose path holds TEXT
"""

import argparse
import gc
import importlib.abc
import importlib.util
import os
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path
from types import CodeType, FunctionType

ROOT = Path(__file__).resolve().parents[2]
if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))

import coverage  # noqa: E402
import pytest  # noqa: E402
from _pytest.runner import runtestprotocol  # noqa: E402

from tests.mutation.changes import changed, changes, described  # noqa: E402

TARGETS = ("engine/rules", "engine/derived", "engine/physics", "engine/verdicts.py")
TESTS = (
    *(
        "tests/engine/rules",
        "tests/engine/test_words.py",
        "tests/engine/test_units.py",
        "tests/published",
    ),
    *("tests/house/test_field_mistakes.py", "tests/house/test_docstrings.py"),
)
# A survivor has run every test within this time, unchanged; a change that takes many times as long hangs.
SECONDS_A_CHANGE = 15
HANGS = 12
# What a change outside functions is tried with: it needs a process, and the imports, of its own.
QUICK = tuple(test for test in TESTS if "published" not in test)
SURVIVORS = Path(__file__).with_name("survivors.md")


def modules(only: str) -> list[Path]:
    """The modules to change."""
    found: list[Path] = []
    for target in TARGETS:
        path = ROOT / target
        found += (
            [path]
            if path.is_file()
            else sorted(p for p in path.glob("*.py") if p.name != "__init__.py")
        )
    return [path for path in found if only in str(path.relative_to(ROOT))]


def _codes(code: CodeType) -> dict[tuple[str, int], CodeType]:
    found = {(code.co_qualname, code.co_firstlineno): code}
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            found |= _codes(constant)
    return found


def exchange(path: Path, source: str) -> bool:
    """Give every living function of a module the code of the changed source; False when that cannot be done."""
    fresh = _codes(compile(source, str(path), "exec"))
    for function in [o for o in gc.get_objects() if isinstance(o, FunctionType)]:
        if function.__code__.co_filename != str(path):
            continue
        new = fresh.get((function.__code__.co_qualname, function.__code__.co_firstlineno))
        if new is None or new.co_freevars != function.__code__.co_freevars:
            return False
        function.__code__ = new
    return True


class _Changed(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Imports one module from changed source."""

    def __init__(self, name: str, path: str, source: str) -> None:
        self.name, self.path, self.source = name, path, source

    def find_spec(self, fullname, path, target=None):
        return (
            importlib.util.spec_from_file_location(fullname, self.path, loader=self)
            if fullname == self.name
            else None
        )

    def create_module(self, spec):
        return None

    def exec_module(self, module):
        exec(compile(self.source, self.path, "exec"), module.__dict__)


class Runner:
    """A pytest plugin that runs the tests once with coverage, and then for each change those that reach it."""

    def __init__(self, options: argparse.Namespace) -> None:
        self.options = options
        self.outcome: Counter[str] = Counter()
        self.by_module: dict[str, Counter[str]] = {}
        self.survived: list[str] = []

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        reached, seconds = self._first_run(session)
        items = {item.nodeid: item for item in session.items}
        for path in modules(self.options.only):
            relative = str(path.relative_to(ROOT))
            source = path.read_text(encoding="utf-8")
            tree, found = changes(source)
            inside = {
                line
                for key, code in _codes(compile(source, str(path), "exec")).items()
                if key[0] != "<module>"
                for _, _, line in code.co_lines()
                if line
            }
            mine = self.by_module.setdefault(relative, Counter())
            for change in found[self.options.offset :: self.options.every]:
                ids = sorted(
                    reached.get((str(path), change.line), ()),
                    key=lambda i: (path.stem not in i, seconds[i]),
                )
                if change.line in inside and not ids:
                    verdict = "not reached"
                else:
                    verdict = self._try(
                        path, changed(tree, change), [items[i] for i in ids], change.line in inside
                    )
                self.outcome[verdict] += 1
                mine[verdict] += 1
                if verdict in ("survived", "not reached"):
                    (text,) = described(relative, change)
                    self.survived.append(
                        f"{text}{' (not reached)' if verdict == 'not reached' else ''}"
                    )
                    print(f"  {self.survived[-1]}", flush=True)
            print(f"{relative}: {dict(mine)}", flush=True)
        return True

    def _first_run(self, session: pytest.Session):
        watch = coverage.Coverage(
            data_file=None, config_file=False, include=[str(path) for path in modules("")]
        )
        seconds: dict[str, float] = {}
        watch.start()
        for item in session.items:
            watch.switch_context(item.nodeid)
            start = time.perf_counter()
            reports = runtestprotocol(item, log=False, nextitem=None)
            seconds[item.nodeid] = time.perf_counter() - start
            if any(report.failed for report in reports):
                sys.exit(f"{item.nodeid} fails without any change; mend that first")
        watch.stop()
        data, reached = watch.get_data(), {}
        for file in data.measured_files():
            for line, contexts in data.contexts_by_lineno(file).items():
                reached[file, line] = {c for c in contexts if c}
        print(f"{len(seconds)} tests pass unchanged in {sum(seconds.values()):.0f} s", flush=True)
        return reached, seconds

    def _within(self, ids, stem: str, seconds: dict[str, float]) -> list[str]:
        """Tests that reach a line: those of its own module and of values first, the quickest first, up to a limit."""
        own = (f"test_{stem}.py", "test_values.py", "test_corners.py", "test_edges.py")
        chosen, spent = [], 0.0
        for id_ in sorted(ids, key=lambda i: (not any(name in i for name in own), seconds[i])):
            spent += seconds[id_]
            if spent > SECONDS_A_CHANGE:
                break
            chosen.append(id_)
        return chosen

    def _try(self, path: Path, source: str, items: list[pytest.Item], inside: bool) -> str:
        if not inside:
            return self._afresh(path, source)
        child = os.fork()
        if not child:
            signal.alarm(HANGS * SECONDS_A_CHANGE)
            quiet = os.open(os.devnull, os.O_WRONLY)
            os.dup2(quiet, 1)
            os.dup2(quiet, 2)
            try:
                if not exchange(path, source):
                    os._exit(3)
                for item in items:
                    if any(
                        report.failed for report in runtestprotocol(item, log=False, nextitem=None)
                    ):
                        os._exit(1)
            except BaseException:
                os._exit(1)
            os._exit(0)
        _, status = os.waitpid(child, 0)
        if os.WIFSIGNALED(status):
            return "timed out"
        code = os.WEXITSTATUS(status)
        return self._afresh(path, source) if code == 3 else "survived" if code == 0 else "killed"

    def _afresh(self, path: Path, source: str) -> str:
        name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
        call = [sys.executable, str(Path(__file__)), "--changed", name, "--path", str(path)]
        try:
            done = subprocess.run(
                call,
                input=source,
                text=True,
                capture_output=True,
                cwd=ROOT,
                timeout=2 * HANGS * SECONDS_A_CHANGE,
                check=False,
            )
        except subprocess.TimeoutExpired:
            return "timed out"
        return "survived" if done.returncode == 0 else "killed"


def _one(name: str, path: str) -> int:
    """The quick tests on one module imported from changed source (standard input)."""
    sys.meta_path.insert(0, _Changed(name, path, sys.stdin.read()))
    return int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", *QUICK]))


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--every", type=int, default=1)
    parser.add_argument("--offset", type=int, default=0)
    parser.add_argument("--only", default="")
    parser.add_argument(
        "--least", type=float, default=90.0, help="share of changes that must be noticed, percent"
    )
    parser.add_argument("--changed", help=argparse.SUPPRESS)
    parser.add_argument("--path", help=argparse.SUPPRESS)
    options = parser.parse_args()
    os.chdir(ROOT)
    os.environ["PLATEPATH_ONCE"] = "1"
    if options.changed:
        return _one(options.changed, options.path)
    runner = Runner(options)
    pytest.main(
        ["-o", "addopts=", "-p", "no:cacheprovider", "-p", "no:xdist", "-p", "no:terminal", *TESTS],
        plugins=[runner],
    )
    total = sum(runner.outcome.values())
    if not total:
        print("No change was tried.")
        return 1
    noticed = 100 * (runner.outcome["killed"] + runner.outcome["timed out"]) / total
    print(f"{total} changes, {noticed:.1f} % noticed: {dict(runner.outcome)}")
    known = SURVIVORS.read_text(encoding="utf-8") if SURVIVORS.exists() else ""
    new = [
        line
        for line in runner.survived
        if line.split(": ", 1)[1].removesuffix(" (not reached)") not in known
    ]
    if new:
        print(f"{len(new)} survivors without a reason in {SURVIVORS.relative_to(ROOT)}:")
        print("\n".join(f"  {line}" for line in new))
    return 0 if noticed >= options.least else 1


if __name__ == "__main__":
    sys.exit(main())
