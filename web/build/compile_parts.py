"""Runs inside Pyodide under Node: finds the modules that are used and packs them compiled.

/work/site        the wheels unpacked, the engine and platepath_boot
/work/requests    one request of the engine a file
/work/out         takes stdlib.zip, site.zip, pydantic_core.so, modules.json
"""

import ast
import importlib
import importlib.util
import json
import shutil
import sys
import zipfile
from importlib._bootstrap_external import _code_to_hash_pyc
from pathlib import Path

SITE = Path("/work/site")
OUT = Path("/work/out")
STDLIB = next(path for path in sys.path if path.endswith(".zip"))
ZIP_TIME = (1980, 1, 1, 0, 0, 0)
NATIVE_SUFFIX = ".so"
# Read when something goes wrong, thus by no request that works.
FOR_ERRORS = ["traceback", "linecache", "tokenize", "textwrap"]


def imported_by(source: str) -> set[str]:
    """Every absolute module name that a source imports anywhere, inside functions too."""
    names = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names.add(node.module)
    return names


def use_the_engine() -> None:
    """Loads what the engine loads: by its requests, and by every import its sources name."""
    sys.path.insert(0, str(SITE))
    handle = importlib.import_module("engine.handle").handle
    for request in sorted(Path("/work/requests").iterdir()):
        reply = json.loads(handle(request.read_text()))
        if reply["op"] == "failed":
            raise SystemExit(f"The engine failed on {request.read_text()[:200]}: {reply}")
    handle("not JSON")
    handle('{"op": "no such"}')
    outside = set(FOR_ERRORS)
    for module in list(sys.modules.values()):
        file = getattr(module, "__file__", None) or ""
        if file.startswith(str(SITE / "engine")) and file.endswith(".py"):
            outside |= imported_by(Path(file).read_text())
    for name in sorted(outside):
        importlib.import_module(name)


def compiled(source: bytes, shown_as: str, optimize: int) -> bytes:
    """An unchecked-hash .pyc, which an import takes without looking for the source."""
    code = compile(source, shown_as, "exec", dont_inherit=True, optimize=optimize)
    return bytes(_code_to_hash_pyc(code, importlib.util.source_hash(source), False))


def pack(target: Path, files: dict[str, bytes]) -> None:
    """A stored archive with fixed times, so that the same content gives the same bytes."""
    with zipfile.ZipFile(target, "w", zipfile.ZIP_STORED) as archive:
        for name in sorted(files):
            archive.writestr(zipfile.ZipInfo(name, ZIP_TIME), files[name])


def loaded_from(root: str) -> set[str]:
    """The files under a root that loaded modules came from, as paths relative to it."""
    return {
        file[len(root) + 1 :]
        for module in list(sys.modules.values())
        if (file := getattr(module, "__file__", None) or "").startswith(root + "/")
    }


def stdlib_files() -> dict[str, bytes]:
    """The used part of the standard library, compiled without docstrings."""
    with zipfile.ZipFile(STDLIB) as archive:
        return {
            f"{name}c": compiled(archive.read(name), name, 2)
            for name in loaded_from(STDLIB)
            if name.endswith(".py")
        }


def site_files() -> dict[str, bytes]:
    """The used part of the packages without docstrings, and the whole engine as it is."""
    files = {}
    used = loaded_from(str(SITE))
    for path in SITE.rglob("*"):
        name = path.relative_to(SITE).as_posix()
        ours = name.startswith("engine/") or name == "platepath_boot.py"
        if path.is_dir() or not (ours or name in used) or path.suffix in {".pyc", NATIVE_SUFFIX}:
            continue
        if path.suffix == ".py":
            files[f"{name}c"] = compiled(path.read_bytes(), name, 0 if ours else 2)
        else:
            files[name] = path.read_bytes()
    return files


use_the_engine()
OUT.mkdir(exist_ok=True)
stdlib, site = stdlib_files(), site_files()
pack(OUT / "stdlib.zip", stdlib)
pack(OUT / "site.zip", site)
(native,) = SITE.rglob(f"*{NATIVE_SUFFIX}")
shutil.copyfile(native, OUT / "pydantic_core.so")
(OUT / "modules.json").write_text(
    json.dumps({"stdlib": sorted(stdlib), "site": sorted(site)}, indent=1)
)
