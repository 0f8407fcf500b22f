#!/usr/bin/env python3
"""One command for everything: sets up what is needed, then does it.

python3 dev.py app        build the app, serve it on this machine, say where to open it
python3 dev.py test       run every check and test; --quick for the fast ones; more goes to pytest
python3 dev.py lint       run the checks of style and types alone; names of some may follow
python3 dev.py build      leave the static folder web/dist, for any https host
python3 dev.py wheel      leave the engine in dist as a wheel, for any Python and for Pyodide
python3 dev.py bench      measure start, answers and memory, as ratios from one run; --fleet many jobs at once
python3 dev.py editions   print how the rules differ by edition
python3 dev.py pictures   make the README's pictures of the app
python3 dev.py mutants    change the engine in small ways and see whether the tests notice; --web the service
                          worker, the updates and the store, in a real browser
python3 dev.py coverage   say which branches of the engine no test goes through; below 98 % fails
python3 dev.py licences   list every library in use and its licence
python3 dev.py lock       resolve the Python requirements again, those of this machine and those of the browser

Needs Python 3.11 or newer and, the first time, a network.
"""

import hashlib
import os
import shutil
import subprocess
import sys
import venv
from pathlib import Path

ROOT = Path(__file__).resolve().parent
ENVIRONMENT = ROOT / ".venv"
PYTHON = ENVIRONMENT / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
BUILD_LOCK = ROOT / "web" / "build" / "requirements.lock"
TEST_LOCK = ROOT / "tests" / "requirements.lock"
# What resolves the other two, pinned as they are.
RESOLVER_LOCK = ROOT / "web" / "build" / "resolver.lock"
OLDEST_PYTHON = (3, 11)
CHROMIUM = ("chromium", "chromium-browser", "google-chrome")
PORT = 8360
# The checks of style and types, by name; .pre-commit-config.yaml runs them before a commit.
LINT = {
    "ruff-check": ("-m", "ruff", "check", "."),
    "ruff-format": ("-m", "ruff", "format", "--check", "."),
    "under-node": ("-m", "web.build.lint"),
}


class Stop(Exception):
    """What is missing and what to do about it, said for people."""


def environment(lock: Path) -> None:
    """Makes .venv hold exactly what the lock file lists, checked by hash; quick when it does."""
    stamp = ENVIRONMENT / f".installed-{lock.parent.name}"
    wanted = hashlib.sha256(lock.read_bytes()).hexdigest()
    if PYTHON.exists() and stamp.exists() and stamp.read_text() == wanted:
        return
    if not PYTHON.exists():
        try:
            venv.create(ENVIRONMENT, with_pip=True)
        except (OSError, subprocess.CalledProcessError) as problem:
            raise Stop(
                f"Python could not make the virtual environment .venv: {problem}\n"
                "On Debian and Ubuntu, install the package python3-venv."
            ) from None
    print("Installing Python packages into .venv (the first time takes a minute) …", flush=True)
    install = ("-m", "pip", "install", "--quiet", "--disable-pip-version-check")
    done = subprocess.run([PYTHON, *install, "--require-hashes", "-r", lock], check=False)
    if done.returncode:
        raise Stop("pip could not install the packages; its message is above. Is there a network?")
    stamp.write_text(wanted)


def run(*command: object, check: bool = True, stdout: int | None = None) -> int:
    """Runs a program in the repository; raises Stop when it fails and check is set."""
    done = subprocess.run([str(part) for part in command], cwd=ROOT, check=False, stdout=stdout)
    if done.returncode and check:
        raise Stop(
            f"Stopped: `{Path(str(command[0])).name} {' '.join(map(str, command[1:4]))}` failed."
        )
    return done.returncode


def python(*arguments: object, check: bool = True) -> int:
    """Runs the environment's Python."""
    return run(PYTHON, *arguments, check=check)


def browser() -> None:
    """Makes sure that a Chromium is there for the browser tests."""
    if any(shutil.which(name) for name in CHROMIUM):
        return
    print("No Chromium found: the browser tests need one.", flush=True)
    if shutil.which("apt-get") and hasattr(os, "geteuid") and os.geteuid() == 0:
        print("Installing it with apt-get …", flush=True)
        quiet = subprocess.DEVNULL
        run("apt-get", "update", stdout=quiet)
        run("apt-get", "install", "--yes", "--no-install-recommends", "chromium", stdout=quiet)
    else:
        raise Stop(
            "Install Chromium (on Debian: apt-get install chromium) and run this again, "
            "or run `python3 dev.py test --quick`, which needs no browser."
        )


def app(arguments: list[str]) -> None:
    """Builds the app and serves it until it is stopped."""
    environment(BUILD_LOCK)
    python("-m", "web.build")
    python("-m", "web.build.serve", *(arguments or ["--port", PORT]))


def build(arguments: list[str]) -> None:
    """Builds the static folder."""
    environment(BUILD_LOCK)
    python("-m", "web.build", *arguments)


def wheel(arguments: list[str]) -> None:
    """Builds the engine's wheel."""
    environment(BUILD_LOCK)
    python("-m", "web.build.engine_wheel", *arguments)


def test(arguments: list[str]) -> None:
    """Lint, types, build and tests; every part runs even when an earlier one failed."""
    quick = "--quick" in arguments
    more = [argument for argument in arguments if argument != "--quick"]
    environment(TEST_LOCK)
    if not quick:
        browser()
    before = {**LINT, "build and types": ("-m", "web.build")}
    failed = [name for name, command in before.items() if python(*command, check=False)]
    chosen = ["-m", "not browser and not slow"] if quick and "-m" not in more else []
    parallel = [] if any(argument.startswith("-n") for argument in more) else ["-n", "auto"]
    code = python("-m", "pytest", *parallel, *chosen, *more, check=False)
    if code:
        failed.append("pytest")
    if failed:
        raise Stop(f"Not passed: {', '.join(failed)}.")


def lint(arguments: list[str]) -> None:
    """Runs the checks of style and types, or those named; every one runs even when an earlier one failed."""
    unknown = [name for name in arguments if name not in LINT]
    if unknown:
        raise Stop(f"No such check: {', '.join(unknown)}. There are {', '.join(LINT)}.")
    environment(TEST_LOCK)
    failed = [name for name in arguments or LINT if python(*LINT[name], check=False)]
    if failed:
        raise Stop(f"Not passed: {', '.join(failed)}.")


def bench(arguments: list[str]) -> None:
    """Prints the ratios of the benchmark; --fleet those of many jobs at once."""
    environment(TEST_LOCK)
    if "--fleet" in arguments:
        python("-m", "tests.engine.bench_fleet", *(a for a in arguments if a != "--fleet"))
        return
    browser()
    python("-m", "web.build")
    python("-m", "tests.browser.bench", *arguments)


def editions(arguments: list[str]) -> None:
    """Prints rule by edition: section and value."""
    environment(BUILD_LOCK)
    python("-m", "engine", "editions", *arguments)


def pictures(arguments: list[str]) -> None:
    """Makes the pictures of the README."""
    environment(TEST_LOCK)
    browser()
    python("-m", "web.build")
    python("-m", "tests.browser.pictures", *arguments)


def mutants(arguments: list[str]) -> None:
    """Runs mutation testing over the engine, or over what keeps the app and its jobs in the browser."""
    environment(TEST_LOCK)
    if "--web" in arguments:
        browser()
        python("-m", "web.build")
        python("tests/mutation/run_web.py", *(a for a in arguments if a != "--web"))
        return
    python("tests/mutation/run.py", *arguments)


def coverage(arguments: list[str]) -> None:
    """Runs the engine's tests and prints what they leave out."""
    environment(TEST_LOCK)
    tests = arguments or ["tests/engine", "tests/published", "tests/house", "tests/web"]
    python("-m", "coverage", "run", "-m", "pytest", "-q", *tests)
    python("-m", "coverage", "report")


def licences(arguments: list[str]) -> None:
    """Lists the libraries and their licences."""
    environment(TEST_LOCK)
    python("-m", "web.build", *arguments)
    python("-m", "web.build.licences")


def lock(arguments: list[str]) -> None:
    """Writes the locks of Python packages anew from pyproject.toml, with hashes and without addresses."""
    environment(TEST_LOCK)
    python("-m", "pip", "install", "--quiet", "--require-hashes", "-r", RESOLVER_LOCK)
    settings = ("--universal", "--python-version", "3.11", "--generate-hashes")
    plain = ("--no-header", "--no-annotate", "--no-emit-index-url", "--quiet")
    project = ("pyproject.toml", "--extra", "build")
    for target, wanted in (
        (BUILD_LOCK, project),
        (TEST_LOCK, (*project, "--extra", "test")),
        (RESOLVER_LOCK, ("--group", "resolver")),
    ):
        call = ("-m", "uv", "pip", "compile", *wanted, *settings, *plain)
        python(*call, "-o", target, *arguments)
    python("-m", "web.build.lock_parts")


COMMANDS = {
    command.__name__: command
    for command in (
        app,
        test,
        lint,
        build,
        wheel,
        bench,
        editions,
        pictures,
        mutants,
        coverage,
        licences,
        lock,
    )
}


def main() -> int:
    """Does what the first word says."""
    if sys.version_info < OLDEST_PYTHON:
        print(f"Python 3.11 or newer is needed; this is {sys.version.split()[0]}.", file=sys.stderr)
        return 1
    if len(sys.argv) < 2 or sys.argv[1] not in COMMANDS:
        print(__doc__)
        return 0 if len(sys.argv) < 2 or sys.argv[1] in ("help", "-h", "--help") else 2
    try:
        COMMANDS[sys.argv[1]](sys.argv[2:])
    except Stop as problem:
        print(problem, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130
    return 0


if __name__ == "__main__":
    sys.exit(main())
