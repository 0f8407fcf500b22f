"""Runs inside Pyodide under Node: finds the modules that are used and packs them compiled.

/work/site        the wheels unpacked, the engine and platepath_boot
/work/requests    one request of the engine a file
/work/out         takes stdlib.zip, site.zip, pydantic_core.wasm, modules.json
"""

import ast
import contextlib
import importlib
import importlib.util
import json
import shutil
import sys
import zipfile
from collections.abc import Callable
from importlib import _bootstrap_external
from pathlib import Path
from types import CodeType
from typing import cast

sys.path.insert(0, "/work")
from field_docs import with_field_docs

# What py_compile itself writes such files with; the type stubs leave it out.
code_to_hash_pyc = cast(
    "Callable[[CodeType, bytes, bool], bytearray]",
    vars(_bootstrap_external)["_code_to_hash_pyc"],
)
SITE = Path("/work/site")
OUT = Path("/work/out")
STDLIB = next(path for path in sys.path if path.endswith(".zip"))
ZIP_TIME = (1980, 1, 1, 0, 0, 0)
SELF_TEST = "self_test.json"
NATIVE_SUFFIX = ".so"
# Read when something goes wrong, thus by no request that works.
FOR_ERRORS = ["traceback", "linecache", "tokenize", "textwrap"]


def imported_by(path: Path) -> set[str]:
    """Every absolute module name that a source imports anywhere, inside functions too."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names.add(node.module)
            names |= {f"{node.module}.{alias.name}" for alias in node.names}
    return names


def source_of(module: str) -> Path | None:
    """The source of one of the engine's modules, None for other names."""
    base = SITE.joinpath(*module.split("."))
    found = [path for path in (base / "__init__.py", base.with_suffix(".py")) if path.exists()]
    return found[0] if found and module.split(".", maxsplit=1)[0] == "engine" else None


def engine_sources() -> dict[Path, set[str]]:
    """The engine's sources that its one entry can reach, with what each imports."""
    loaded = [name for name in sys.modules if name.split(".")[0] == "engine"]
    waiting = [source_of(name) for name in loaded]
    found: dict[Path, set[str]] = {}
    while waiting:
        path = waiting.pop()
        if path is None or path in found:
            continue
        found[path] = imported_by(path)
        for name in found[path]:
            parents = name.split(".")
            waiting += [source_of(".".join(parents[:n])) for n in range(1, len(parents) + 1)]
    return found


def use_the_engine() -> set[str]:
    """Loads what the engine loads, by its requests and by every import its sources name.

    Returns the engine's own files that it needs.
    """
    sys.path.insert(0, str(SITE))
    handle = importlib.import_module("engine.interfaces.handle").handle
    for request in sorted(Path("/work/requests").iterdir()):
        reply = json.loads(handle(request.read_text()))
        if reply["op"] == "failed":
            raise SystemExit(f"The engine failed on {request.read_text()[:200]}: {reply}")
    handle("not JSON")
    handle('{"op": "no such"}')
    sources = engine_sources()
    outside = {name for names in sources.values() for name in names if not source_of(name)}
    for name in sorted({*FOR_ERRORS, *outside}):
        # `from module import name` may name something that is no module.
        with contextlib.suppress(ImportError):
            importlib.import_module(name)
    return {path.relative_to(SITE).as_posix() for path in sources}


def compiled(source: bytes, shown_as: str, optimize: int) -> bytes:
    """An unchecked-hash .pyc, which an import takes without looking for the source."""
    ours = shown_as.startswith("engine/")
    code = compile(
        with_field_docs(source, shown_as) if ours else source,
        shown_as,
        "exec",
        dont_inherit=True,
        optimize=optimize,
    )
    return bytes(code_to_hash_pyc(code, importlib.util.source_hash(source), False))


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


def site_files(engine: set[str]) -> dict[str, bytes]:
    """The used part of the packages, without docstrings, and of the engine, as it is."""
    files: dict[str, bytes] = {}
    used = loaded_from(str(SITE)) | engine | {"platepath_boot.py"}
    for path in SITE.rglob("*"):
        name = path.relative_to(SITE).as_posix()
        ours = name.startswith("engine/")
        if path.suffix == ".py" and name in used:
            files[f"{name}c"] = compiled(path.read_bytes(), name, 0 if ours else 2)
        elif name == SELF_TEST or (
            ours and path.is_file() and path.suffix not in {".py", ".pyc", ".md"}
        ):
            files[name] = path.read_bytes()
    return files


engine = use_the_engine()
OUT.mkdir(exist_ok=True)
stdlib, site = stdlib_files(), site_files(engine)
pack(OUT / "stdlib.zip", stdlib)
pack(OUT / "site.zip", site)
(native,) = SITE.rglob(f"*{NATIVE_SUFFIX}")
shutil.copyfile(native, OUT / "pydantic_core.wasm")
(OUT / "modules.json").write_text(
    json.dumps({"stdlib": sorted(stdlib), "site": sorted(site)}, indent=1)
)
