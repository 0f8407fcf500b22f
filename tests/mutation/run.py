"""Change the engine in small ways and see whether the tests notice: `python3 dev.py mutants`.

Why a runner of our own on top of libcst: nearly every function that judges is decorated (`@rule`, `@once`), and the usual
tools leave decorated functions alone or start the tests anew for each change. Here the tests run once with every changed
expression worked out beside the unchanged one, which tells for each change the tests in which its value ever differs: no
other test can notice it. Then, for each change, a fork exchanges the code of the changed functions and runs those tests,
the latest to have noticed a change first, until one fails. A change outside functions (tables, constants) is tried in a
process of its own.

  --every N   try only every Nth change of each module (a slice; --offset K shifts it)
  --only TEXT try only modules whose path holds TEXT
  --jobs N    how many changes are tried at a time
"""

import argparse
import builtins
import gc
import importlib.abc
import importlib.util
import json
import os
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterable
from importlib.machinery import ModuleSpec
from inspect import CO_OPTIMIZED
from pathlib import Path
from types import CodeType, FunctionType, ModuleType
from typing import Any, NamedTuple

ROOT = Path(__file__).resolve().parents[2]
if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))

import pytest  # noqa: E402
from _pytest.runner import runtestprotocol  # noqa: E402

from tests.mutation.changes import Change, changed, changes, described, watching  # noqa: E402

TARGETS = ("engine/rules", "engine/derived", "engine/physics", "engine/judging/verdicts.py")
TESTS = (
    *(
        "tests/engine/rules",
        "tests/engine/test_verdicts.py",
        "tests/engine/test_words.py",
        "tests/engine/test_sheet.py",
        "tests/engine/test_nameplates.py",
        "tests/engine/test_units.py",
        "tests/published",
    ),
    *("tests/house/test_field_mistakes.py", "tests/house/test_docstrings.py"),
)
# What a change outside functions is tried with: it needs a process, and the imports, of its own.
QUICK = tuple(test for test in TESTS if "published" not in test)
# A change hangs when one test takes so many times its own processor time, and so many seconds more. Processor time, so
# that a busy machine does not turn a survivor into a change that was noticed.
HANGS, SECONDS_MORE = 30, 30
SURVIVORS = Path(__file__).with_name("survivors.md")
WATCH = "__watch__"


def modules(only: str) -> list[Path]:
    """The modules to change."""
    found: list[Path] = []
    for target in TARGETS:
        path = ROOT / target
        found += (
            [path]
            if path.is_file()
            else sorted(p for p in path.rglob("*.py") if p.name != "__init__.py")
        )
    return [path for path in found if only in str(path.relative_to(ROOT))]


def module_name(path: Path) -> str:
    """What Python calls the module of a file."""
    return ".".join(path.relative_to(ROOT).with_suffix("").parts)


def _codes(code: CodeType) -> dict[tuple[str, int], CodeType]:
    found = {(code.co_qualname, code.co_firstlineno): code} if code.co_flags & CO_OPTIMIZED else {}
    for constant in code.co_consts:
        if isinstance(constant, CodeType):
            found |= _codes(constant)
    return found


def living() -> dict[str, list[FunctionType]]:
    """Every function in memory by the file it comes from."""
    found: dict[str, list[FunctionType]] = {}
    for function in gc.get_objects():
        if isinstance(function, FunctionType):
            found.setdefault(function.__code__.co_filename, []).append(function)
    return found


def exchange(functions: list[FunctionType], path: Path, source: str) -> bool:
    """Give a module's functions the code of the changed source; False when that changes nothing or cannot be done."""
    fresh = _codes(compile(source, str(path), "exec"))
    other = False
    for function in functions:
        new = fresh.get((function.__code__.co_qualname, function.__code__.co_firstlineno))
        if new is None or new.co_freevars != function.__code__.co_freevars:
            return False
        other = other or new != function.__code__
        function.__code__ = new
    return other


class _Changed(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Imports modules from other source: by their names, the file and the source."""

    def __init__(self, sources: dict[str, tuple[str, str]]) -> None:
        self.sources = sources

    def find_spec(self, fullname: str, path: object, target: object = None) -> ModuleSpec | None:
        return (
            importlib.util.spec_from_file_location(fullname, self.sources[fullname][0], loader=self)
            if fullname in self.sources
            else None
        )

    def create_module(self, spec: ModuleSpec) -> None:
        return None

    def exec_module(self, module: ModuleType) -> None:
        path, source = self.sources[module.__name__]
        exec(compile(source, path, "exec"), module.__dict__)


def _outcome(work: Callable[[], Any]) -> tuple[Any, Exception | None]:
    try:
        return work(), None
    except Exception as error:
        return None, error


def _same(one: tuple[Any, Exception | None], other: tuple[Any, Exception | None]) -> bool:
    (value, error), (other_value, other_error) = one, other
    if error or other_error:
        return type(error) is type(other_error) and str(error) == str(other_error)
    try:
        return type(value) is type(other_value) and bool(value == other_value)
    except Exception:
        return False


class Watch:
    """A pytest plugin that runs the tests once and notes in which of them each change gives another value."""

    def __init__(self) -> None:
        self.test = ""
        self.seconds: dict[str, float] = {}
        self.reached: set[tuple[str, int]] = set()
        self.differs: dict[tuple[str, int], dict[str, None]] = {}

    def __call__(self, module: str, plain: Callable[[], Any], *others: Any) -> Any:
        """The value of the unchanged expression."""
        result = _outcome(plain)
        for number, other in zip(others[::2], others[1::2], strict=True):
            self.reached.add((module, number))
            tests = self.differs.setdefault((module, number), {})
            if self.test not in tests and not _same(result, _outcome(other)):
                tests[self.test] = None
        value, error = result
        if error:
            raise error
        return value

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        for item in session.items:
            self.test = item.nodeid
            start = time.process_time()
            reports = runtestprotocol(item, log=False, nextitem=None)
            self.seconds[item.nodeid] = time.process_time() - start
            for report in reports:
                if report.failed:
                    sys.exit(
                        f"{item.nodeid} fails without any change; mend that first\n{report.longrepr}"
                    )
        return True


def _watch(out: str) -> int:
    """Run every test on watched modules and write what was seen."""
    watch = Watch()
    setattr(builtins, WATCH, watch)
    sources: dict[str, tuple[str, str]] = {}
    for path in modules(""):
        tree, found = changes(path.read_text(encoding="utf-8"))
        name = module_name(path)
        sources[name] = (str(path), watching(tree, found, WATCH, name))
    sys.meta_path.insert(0, _Changed(sources))
    _pytest(TESTS, watch)
    seen: dict[str, Any] = {
        "seconds": watch.seconds,
        "reached": sorted(watch.reached),
        "differs": [],
    }
    for (name, number), tests in watch.differs.items():
        # A value that differs while modules are imported, outside any test, is marked by the empty name.
        seen["differs"].append([name, number, list(tests)])
    Path(out).write_text(json.dumps(seen), encoding="utf-8")
    return 0


def _pytest(tests: Iterable[str], plugin: object) -> None:
    pytest.main(
        ["-o", "addopts=", "-p", "no:cacheprovider", "-p", "no:xdist", "-p", "no:terminal", *tests],
        plugins=[plugin],
    )


class Trial(NamedTuple):
    """One change that is being tried in a process of its own."""

    relative: str
    change: Change
    note: str
    answer: int


class Runner:
    """A pytest plugin that tries each change with the tests in which its value differs."""

    def __init__(self, options: argparse.Namespace, seen: dict[str, Any]) -> None:
        self.options = options
        self.seconds: dict[str, float] = seen["seconds"]
        self.reached = {tuple(key) for key in seen["reached"]}
        self.differs = {(name, number): tests for name, number, tests in seen["differs"]}
        self.by_module: dict[str, Counter[str]] = {}
        self.survived: list[tuple[str, Change]] = []
        self._running: dict[int, Trial] = {}
        self._noticed: dict[str, int] = {}
        self._count = 0

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        self.items = {item.nodeid: item for item in session.items}
        # Tables are read and caches filled once, before the forks.
        for item in session.items[::25]:
            runtestprotocol(item, log=False, nextitem=None)
        self.living = living()
        # A fork whose collector leaves the parent's memory alone need not copy it.
        gc.freeze()
        for path in modules(self.options.only):
            self._module(path)
        while self._running:
            self._wait()
        return True

    def _module(self, path: Path) -> None:
        relative, name = str(path.relative_to(ROOT)), module_name(path)
        source = path.read_text(encoding="utf-8")
        tree, found = changes(source)
        self.by_module[relative] = Counter()
        numbered = list(enumerate(found))
        for number, change in numbered[self.options.offset :: self.options.every]:
            key = (name, number)
            tests = self.differs.get(key, [])
            ids: list[str] | None = [test for test in tests if test]
            if change.watched is None:
                ids = list(self.items)
            elif key not in self.reached:
                self._said(relative, change, "not reached")
                continue
            elif not ids and tests:
                ids = None
            elif not ids:
                self._said(relative, change, "survived", "in no test another value")
                continue
            while len(self._running) >= self.options.jobs:
                self._wait()
            self._start(path, relative, change, changed(tree, change), ids)

    def _start(
        self, path: Path, relative: str, change: Change, source: str, ids: list[str] | None
    ) -> None:
        read, write = os.pipe()
        child = os.fork()
        if not child:
            quiet = os.open(os.devnull, os.O_WRONLY)
            os.dup2(quiet, 1)
            os.dup2(quiet, 2)
            self._child(path, source, ids, write)
        os.close(write)
        note = "" if ids is None else f"{len(ids)} tests with another value"
        self._running[child] = Trial(relative, change, note, read)

    def _child(self, path: Path, source: str, ids: list[str] | None, write: int) -> None:
        code = 1
        try:
            if ids is None or not exchange(self.living[str(path)], path, source):
                self._afresh(path, source)
            # The latest to notice a change is the likeliest to notice the next, then those of the module's own tests.
            own = f"test_{path.stem}.py"
            for id_ in sorted(
                ids or (), key=lambda i: (-self._noticed.get(i, 0), own not in i, self.seconds[i])
            ):
                signal.setitimer(signal.ITIMER_PROF, HANGS * self.seconds[id_] + SECONDS_MORE)
                reports = runtestprotocol(self.items[id_], log=False, nextitem=None)
                if any(report.failed for report in reports):
                    os.write(write, id_.encode())
                    os._exit(1)
            code = 0
        finally:
            os._exit(code)

    def _afresh(self, path: Path, source: str) -> None:
        """Go on as a new process that imports the module from changed source."""
        handle, name = tempfile.mkstemp(suffix=".py")
        os.write(handle, source.encode())
        os.close(handle)
        signal.setitimer(signal.ITIMER_PROF, HANGS * sum(self.seconds.values()) + SECONDS_MORE)
        call = [sys.executable, __file__, "--changed", module_name(path), "--path", str(path)]
        os.execv(sys.executable, [*call, "--source", name])

    def _wait(self) -> None:
        child, status = os.wait()
        trial = self._running.pop(child)
        answer = os.read(trial.answer, 10_000).decode()
        os.close(trial.answer)
        self._count += 1
        if answer:
            self._noticed[answer] = self._count
        if os.WIFSIGNALED(status):
            verdict = "timed out" if os.WTERMSIG(status) == signal.SIGPROF else "killed"
        else:
            verdict = "killed" if os.WEXITSTATUS(status) else "survived"
        self._said(trial.relative, trial.change, verdict, trial.note)

    def _said(self, relative: str, change: Change, verdict: str, note: str = "") -> None:
        self.by_module[relative][verdict] += 1
        if verdict in ("survived", "not reached"):
            self.survived.append((relative, change))
            print(f"  {relative}:{change.line} {described(change)} ({note or verdict})", flush=True)


def _one(name: str, path: str, source: str) -> int:
    """The quick tests on one module imported from changed source."""
    text = Path(source).read_text(encoding="utf-8")
    Path(source).unlink()
    sys.meta_path.insert(0, _Changed({name: (path, text)}))
    files = [
        str(p.relative_to(ROOT))
        for test in QUICK
        for p in (sorted((ROOT / test).glob("test_*.py")) or [ROOT / test])
    ]
    files.sort(key=lambda file: not file.endswith(f"test_{Path(path).stem}.py"))
    return int(pytest.main(["-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist", *files]))


def _without_reason(survived: list[tuple[str, Change]]) -> list[str]:
    """The survivors that have no row of their own in survivors.md."""
    rows = Counter(
        (cells[0].strip(), cells[1].strip())
        for line in SURVIVORS.read_text(encoding="utf-8").splitlines()
        if line.startswith("| ") and len(cells := line.strip("|").split(" | ")) >= 3
    )
    new: list[str] = []
    for relative, change in survived:
        row = (relative.removeprefix("engine/"), described(change))
        if rows[row]:
            rows[row] -= 1
        else:
            new.append(f"{relative}:{change.line} {row[1]}")
    return new


def _summary(by_module: dict[str, Counter[str]]) -> float:
    """Print how many changes each package's tests noticed, and give the least share [%]."""
    packages: dict[str, Counter[str]] = {}
    for relative, outcome in by_module.items():
        package = next(target for target in TARGETS if relative.startswith(target))
        packages.setdefault(package, Counter()).update(outcome)
        print(f"{relative}: {dict(outcome)}")
    shares: list[float] = []
    for name, outcome in [*packages.items(), ("all", sum(packages.values(), Counter[str]()))]:
        noticed, total = outcome["killed"] + outcome["timed out"], outcome.total()
        if total:
            shares.append(100 * noticed / total)
            print(f"{name}: {noticed}/{total} noticed, {shares[-1]:.1f} %")
    return min(shares, default=0.0)


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--every", type=int, default=1)
    parser.add_argument("--offset", type=int, default=0)
    parser.add_argument("--only", default="")
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1)
    parser.add_argument(
        "--least", type=float, default=90.0, help="share of changes that must be noticed, percent"
    )
    for hidden in ("--watch", "--changed", "--path", "--source"):
        parser.add_argument(hidden, help=argparse.SUPPRESS)
    options = parser.parse_args()
    os.chdir(ROOT)
    os.environ["PLATEPATH_ONCE"] = "1"
    if options.watch:
        return _watch(options.watch)
    if options.changed:
        return _one(options.changed, options.path, options.source)
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder, "seen.json")
        subprocess.run([sys.executable, __file__, "--watch", str(out)], check=True)
        seen = json.loads(out.read_text(encoding="utf-8"))
    print(f"{len(seen['seconds'])} tests pass unchanged", flush=True)
    runner = Runner(options, seen)
    _pytest(TESTS, runner)
    new = _without_reason(runner.survived)
    if new:
        print(f"{len(new)} survivors without a reason in {SURVIVORS.relative_to(ROOT)}:")
        print("\n".join(f"  {line}" for line in new))
    if not runner.by_module:
        print("No change was tried.")
        return 1
    return 0 if _summary(runner.by_module) >= options.least and not new else 1


if __name__ == "__main__":
    sys.exit(main())
