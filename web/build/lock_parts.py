"""`python -m web.build.lock_parts`: writes web/parts.lock.json anew.

micropip chooses the wheels that pyproject.toml asks for, inside the Pyodide that npm installed, and freezes
what it chose. pip downloads them first, so that they come from where all other packages come from.
"""

import json
import sys
import tempfile
import tomllib
from pathlib import Path

from web.build import parts
from web.build.tools import ROOT, WEB, BuildError, node, npm_install, sha256
from web.build.wheel_index import wheel_index

# What the build takes of Pyodide.
PYODIDE_FILES = ("pyodide.asm.mjs", "pyodide.asm.wasm", "pyodide.mjs", "python_stdlib.zip")


def micropip(folder: Path) -> Path:
    """The micropip of the version that this Pyodide was published with. Raises BuildError with what pip said."""
    version = parts.pyodide_lock().packages["micropip"].version
    parts.download(folder, "--no-deps", f"micropip=={version}")
    return next(folder.glob("micropip-*.whl"))


def frozen(installer: Path, requirements: list[str], folder: Path) -> parts.PyodideLock:
    """The lock of what micropip installs for these requirements. Raises BuildError with what it said."""
    parts.download(folder, *requirements)
    with wheel_index(sorted(folder.glob("*.whl"))) as index:
        script = WEB / "build" / "freeze_wheels.mjs"
        done = node(script, parts.PYODIDE, installer, index, *requirements)
    lock = parts.PyodideLock.model_validate_json(done.stdout)
    for package in lock.packages.values():
        # Its address ends with this run.
        package.file_name = package.file_name.split("/")[-1]
    return lock


def locked(requirements: list[str], folder: Path) -> parts.Lock:
    """The whole lock. Raises BuildError, said for people."""
    installer = micropip(folder / "micropip")
    pyodide = json.loads((parts.PYODIDE / "package.json").read_text())
    files = {name: sha256((parts.PYODIDE / name).read_bytes()) for name in PYODIDE_FILES}
    return parts.Lock(
        pyodide=parts.Pyodide(version=pyodide["version"], files=files),
        micropip=parts.Wheel(
            name="micropip",
            version=installer.name.split("-")[1],
            file_name=installer.name,
            sha256=sha256(installer.read_bytes()),
        ),
        wheels=frozen(installer, requirements, folder / "wheels"),
    )


def main() -> int:
    """Writes the lock."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    try:
        npm_install()
        with tempfile.TemporaryDirectory() as folder:
            lock = locked(project["dependencies"], Path(folder))
    except BuildError as problem:
        print(problem, file=sys.stderr)
        return 1
    parts.LOCK_FILE.write_text(lock.model_dump_json(indent=2) + "\n")
    node(WEB / "node_modules" / "prettier" / "bin" / "prettier.cjs", "--write", parts.LOCK_FILE)
    return 0


if __name__ == "__main__":
    sys.exit(main())
