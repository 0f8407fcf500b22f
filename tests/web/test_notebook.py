"""The engine in a notebook that runs in the browser: its wheel, installed by micropip in a plain Pyodide."""

import json
import re
import zipfile
from pathlib import Path

import pytest

from engine.interfaces.handle import handle
from web.build import parts
from web.build.engine_wheel import engine_wheel
from web.build.tools import ROOT, BuildError, node, npm_install
from web.build.wheel_index import wheel_index

JOBS = sorted((ROOT / "fixtures" / "jobs").glob("*.json"))
CELL = re.compile(r"```python\n(import micropip\n.*?)```", re.DOTALL)


@pytest.fixture(scope="module")
def wheel(tmp_path_factory) -> Path:
    return engine_wheel(tmp_path_factory.mktemp("wheel"))


def cell(wheel: Path) -> str:
    """The lines that README gives for a notebook, with the wheel where it is here."""
    (shown,) = CELL.findall((ROOT / "README.md").read_text())
    assert len([line for line in shown.splitlines() if line]) == 3
    address = re.search(r'"(.*\.whl)"', shown)
    assert address
    assert address.group(1).endswith(f"/{wheel.name}")
    return shown.replace(address.group(1), wheel.as_uri())


def replies(wheel: Path, packages: list[Path], requests: list[str]) -> list[str]:
    """What the notebook's engine replies. Raises BuildError with what went wrong in it."""
    npm_install()
    given = json.dumps({"cell": cell(wheel), "requests": requests})
    script = ROOT / "tests" / "web" / "notebook.mjs"
    with wheel_index(packages) as index:
        return json.loads(node(script, parts.PYODIDE, parts.micropip(), index, input=given).stdout)


def test_it_gives_every_demo_job_the_same_bytes_as_cpython(wheel) -> None:
    asked = [json.dumps({"op": "evaluate", "job": json.loads(path.read_text())}) for path in JOBS]
    assert len(asked) > 10
    assert replies(wheel, parts.wheels(), asked) == [handle(each) for each in asked]


def test_another_pydantic_than_its_own_is_not_taken(wheel) -> None:
    without = [path for path in parts.wheels() if not path.name.startswith("pydantic-")]
    with pytest.raises(BuildError, match="pydantic"):
        replies(wheel, without, [])


def test_the_wheel_holds_every_file_of_the_engine_and_nothing_else(wheel) -> None:
    with zipfile.ZipFile(wheel) as archive:
        packed = {name for name in archive.namelist() if ".dist-info/" not in name}
    engine = {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "engine").rglob("*")
        if path.suffix in {".py", ".csv", ".po"} and "__pycache__" not in path.parts
    }
    # The matrix is what a test holds the rules to; no rule reads it.
    assert packed == engine - {"engine/rules/conductor_matrix.csv"}
