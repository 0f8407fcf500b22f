"""The downloaded parts: Pyodide and the wheels it runs, each checked against parts.lock.json."""

import json
import subprocess
import sys
import tempfile
from pathlib import Path

from web.build.tools import CACHE, WEB, BuildError, sha256

LOCK = json.loads((WEB / "parts.lock.json").read_text())
PYODIDE = WEB / "node_modules" / "pyodide"
WHEELS = CACHE / "wheels"


def check_pyodide() -> Path:
    """The folder of the Pyodide that npm installed. Raises BuildError on another content."""
    for name, wanted in LOCK["pyodide"]["files"].items():
        if sha256((PYODIDE / name).read_bytes()) != wanted:
            raise BuildError(
                f"pyodide/{name} is not the file that web/parts.lock.json names. "
                "Delete web/node_modules and build again; if it stays, do not publish."
            )
    return PYODIDE


def wheels() -> list[Path]:
    """The wheels for the browser, downloaded by pip where missing. Raises BuildError on another content."""
    wanted = {package["sha256"]: package["name"] for package in LOCK["wheels"]["packages"]}
    found = _by_hash()
    if not set(wanted) <= set(found):
        _download()
        found = _by_hash()
    missing = [name for digest, name in wanted.items() if digest not in found]
    if missing:
        raise BuildError(
            f"No wheel with the hash of web/parts.lock.json for: {', '.join(missing)}."
        )
    return [found[digest] for digest in wanted]


def _by_hash() -> dict[str, Path]:
    return {sha256(path.read_bytes()): path for path in sorted(WHEELS.glob("*.whl"))}


def _download() -> None:
    lock = LOCK["wheels"]
    WHEELS.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        requirements = Path(folder) / "requirements.txt"
        requirements.write_text(
            "".join(
                f"{package['name']}=={package['version']} --hash=sha256:{package['sha256']}\n"
                for package in lock["packages"]
            )
        )
        done = subprocess.run(
            [
                *(sys.executable, "-m", "pip", "download", "--quiet", "--no-deps"),
                *("--require-hashes", "--requirement", str(requirements), "--dest", str(WHEELS)),
                *("--only-binary=:all:", "--platform", lock["platform"]),
                *("--implementation", "cp", "--python-version", lock["python"]),
                *("--abi", lock["abi"]),
            ],
            check=False,
            capture_output=True,
            text=True,
        )
    if done.returncode:
        raise BuildError(f"pip could not download the wheels for the browser:\n{done.stderr}")
