"""The downloaded parts: Pyodide and the wheels it runs, each checked against parts.lock.json.

The lock is made by `web.build.lock_parts`. Its wheels are listed as micropip writes them, in the format of
Pyodide's own lock.
"""

import subprocess
import sys
import tempfile
from collections.abc import Iterable
from pathlib import Path

from pydantic import BaseModel

from web.build.tools import CACHE, WEB, BuildError, sha256


class Wheel(BaseModel):
    """One wheel of the package index."""

    name: str
    version: str
    file_name: str
    sha256: str


class Package(Wheel):
    """A package in a lock of Pyodide."""

    install_dir: str
    imports: list[str]
    depends: list[str]


class Platform(BaseModel):
    """The Pyodide that a lock is for."""

    abi_version: str
    arch: str
    platform: str
    python: str


class PyodideLock(BaseModel):
    """A lock of Pyodide: packages by name, with the hashes of their wheels."""

    info: Platform
    packages: dict[str, Package]


class Pyodide(BaseModel):
    """The version of Pyodide, and the hashes of its files by name."""

    version: str
    files: dict[str, str]


class Lock(BaseModel):
    """The content of parts.lock.json."""

    pyodide: Pyodide
    micropip: Wheel
    wheels: PyodideLock


LOCK_FILE = WEB / "parts.lock.json"
LOCK = Lock.model_validate_json(LOCK_FILE.read_bytes())
PYODIDE = WEB / "node_modules" / "pyodide"
WHEELS = CACHE / "wheels"


def check_pyodide() -> Path:
    """The folder of the Pyodide that npm installed. Raises BuildError on another content."""
    for name, wanted in LOCK.pyodide.files.items():
        if sha256((PYODIDE / name).read_bytes()) != wanted:
            raise BuildError(
                f"pyodide/{name} is not the file that web/parts.lock.json names. "
                "Delete web/node_modules and build again; if it stays, do not publish."
            )
    return PYODIDE


def pyodide_lock() -> PyodideLock:
    """The lock that Pyodide brings with it."""
    return PyodideLock.model_validate_json((PYODIDE / "pyodide-lock.json").read_bytes())


def wheels() -> list[Path]:
    """The wheels for the browser, downloaded by pip where missing. Raises BuildError on another content."""
    return _by_lock(LOCK.wheels.packages.values())


def micropip() -> Path:
    """The wheel of micropip, which installs wheels inside Pyodide. Raises BuildError on another content."""
    return _by_lock([LOCK.micropip])[0]


def download(folder: Path, *arguments: str) -> None:
    """Has pip download wheels that Pyodide can run. Raises BuildError with what pip said."""
    info = pyodide_lock().info
    major, minor, _ = info.python.split(".")
    folder.mkdir(parents=True, exist_ok=True)
    done = subprocess.run(
        [
            *(sys.executable, "-m", "pip", "download", "--quiet", "--dest", str(folder)),
            *("--only-binary=:all:", "--implementation", "cp", "--abi", f"cp{major}{minor}"),
            *("--platform", f"pyemscripten_{info.abi_version}_{info.arch}"),
            *("--python-version", f"{major}.{minor}"),
            *arguments,
        ],
        check=False,
        capture_output=True,
        text=True,
    )
    if done.returncode:
        raise BuildError(f"pip could not download the wheels for the browser:\n{done.stderr}")


def _by_lock(packages: Iterable[Wheel]) -> list[Path]:
    wanted = {package.sha256: package for package in packages}
    found = _by_hash()
    if not set(wanted) <= set(found):
        _download(wanted.values())
        found = _by_hash()
    missing = [package.name for digest, package in wanted.items() if digest not in found]
    if missing:
        raise BuildError(
            f"No wheel with the hash of web/parts.lock.json for: {', '.join(missing)}."
        )
    return [found[digest] for digest in wanted]


def _by_hash() -> dict[str, Path]:
    return {sha256(path.read_bytes()): path for path in sorted(WHEELS.glob("*.whl"))}


def _download(packages: Iterable[Wheel]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        requirements = Path(folder) / "requirements.txt"
        requirements.write_text(
            "".join(
                f"{package.name}=={package.version} --hash=sha256:{package.sha256}\n"
                for package in packages
            )
        )
        download(WHEELS, "--no-deps", "--require-hashes", "--requirement", str(requirements))
