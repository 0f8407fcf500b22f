"""The Python half of the static folder: cut, compiled and packed inside Pyodide itself."""

import json
import shutil
import sys
import tempfile
import zipfile
from pathlib import Path
from typing import Any

from web.build import parts
from web.build.tools import CACHE, ROOT, WEB, node, run_engine, sha256

HERE = WEB / "build"
DEMO_JOBS = ROOT / "fixtures" / "jobs"
# A whole job with a fault in it: a restored engine must find what holds, and what does not. What it
# has read and built for that is in the snapshot, ready for the next job.
SELF_TEST_JOB = DEMO_JOBS / "03_two_system_bonding_jumpers.json"
# What is read only elsewhere: on the command line, by tests, or for what is compiled here.
UNUSED = (
    "code/.gitignore",
    "code/choices.csv",
    "code/coverage.csv",
    "code/coverage.py",
    "code/sections.csv",
    "rules/conductor_matrix.csv",
    "wizard/words/es.po",
)
NAMES = ("stdlib.zip", "site.zip", "pydantic_core.wasm", "modules.json")


def build_python(engine: Path) -> dict[str, bytes]:
    """stdlib.zip, site.zip, pydantic_core.wasm and modules.json for an engine folder.

    Kept in web/build/cache by the hash of all that goes in, so an unchanged engine costs nothing.
    """
    work_files = _inputs(engine)
    key = sha256(b"".join(name.encode() + b"\0" + work_files[name] for name in sorted(work_files)))
    kept = CACHE / f"python-{key[:16]}"
    if not kept.exists():
        print("Compiling Python for the browser …", file=sys.stderr)
        with tempfile.TemporaryDirectory() as folder:
            work = Path(folder)
            for name, content in work_files.items():
                target = work / name
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(content)
            node(HERE / "compile_parts.mjs", parts.PYODIDE, work, work / "compile_parts.py")
            # Renamed when it is whole, so that a build that was ended leaves no half of it.
            partial = Path(tempfile.mkdtemp(dir=CACHE, suffix=".partial"))
            shutil.copytree(work / "out", partial, dirs_exist_ok=True)
            partial.rename(kept)
    return {name: (kept / name).read_bytes() for name in NAMES}


def _inputs(engine: Path) -> dict[str, bytes]:
    files = {
        "compile_parts.py": (HERE / "compile_parts.py").read_bytes(),
        "field_docs.py": (HERE / "field_docs.py").read_bytes(),
        "compile_parts.mjs": (HERE / "compile_parts.mjs").read_bytes(),
        "parts.lock.json": (WEB / "parts.lock.json").read_bytes(),
        "site/platepath_boot.py": (HERE / "runtime" / "platepath_boot.py").read_bytes(),
    }
    for wheel in parts.wheels():
        with zipfile.ZipFile(wheel) as archive:
            for name in archive.namelist():
                if not name.endswith("/") and ".dist-info/" not in name:
                    files[f"site/{name}"] = archive.read(name)
    files |= _engine_files(engine)
    requests = _requests()
    test = {"op": "evaluate", "job": json.loads(SELF_TEST_JOB.read_text())}
    files["site/self_test.json"] = json.dumps(test).encode()
    for number, request in enumerate(requests):
        files[f"requests/{number:04}.json"] = request.encode()
    return files


def _engine_files(engine: Path) -> dict[str, bytes]:
    """The engine as it is shipped: tables and questions written down as Python modules."""
    with tempfile.TemporaryDirectory() as folder:
        shipped = Path(folder) / "engine"
        shutil.copytree(engine, shipped, ignore=shutil.ignore_patterns("__pycache__"))
        if (shipped / "code" / "compile_tables.py").exists():
            run_engine(shipped, "engine.code.compile_tables", str(shipped / "code"))
            for table in (shipped / "code" / "tables").glob("*.csv"):
                table.unlink()
        for unused in UNUSED:
            (shipped / unused).unlink(missing_ok=True)
        (shipped / "wizard" / "_compiled_questions.py").write_text(
            run_engine(shipped, "web.build.questions_module"), encoding="utf-8"
        )
        return {
            f"site/engine/{path.relative_to(shipped).as_posix()}": path.read_bytes()
            for path in sorted(shipped.rglob("*"))
            if path.is_file() and "__pycache__" not in path.parts
        }


def _requests() -> list[str]:
    """Every kind of request, over every demo job: what runs here is what is kept."""
    requests: list[dict[str, Any]] = [
        {"op": "hello"},
        {"op": "check_answer", "path": "transformer.kva", "value": "75"},
        {"op": "check_answer", "path": "transformer.kva", "value": "seventy"},
        {"op": "open", "text": "{}"},
        {"op": "evaluate", "job": {}},
    ]
    for path in sorted(DEMO_JOBS.glob("*.json")):
        job = json.loads(path.read_text())
        requests += [
            {"op": "evaluate", "job": job},
            {"op": "report", "job": job, "photos": [], "signature_data_url": None},
            {"op": "open", "text": path.read_text()},
        ]
    return [json.dumps(request) for request in requests]
