"""An edition is added by a line of the list and by the rows that changed: an invented one, in a copy of the data."""

import csv
import io
import json
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from engine.code import EDITIONS

ROOT = Path(__file__).parents[3]
NEWEST, ADDED = EDITIONS[-1], EDITIONS[-1] + 3

EVALUATED = """
import json, sys
from pathlib import Path
from engine import Job, evaluate
for path in sorted(Path(sys.argv[2]).glob("*.json")):
    job = Job.model_validate({**json.loads(path.read_text("utf-8")), "edition": int(sys.argv[1])})
    result = evaluate(job, compare_editions=False).model_dump(mode="json")
    print(json.dumps([path.stem, result]))
"""


def _evaluated(folder: Path, edition: int) -> dict[str, dict[str, Any]]:
    """Results of the demo jobs by the engine in a folder, under one edition."""
    jobs = ROOT / "fixtures" / "jobs"
    command = [sys.executable, "-c", EVALUATED, str(edition), str(jobs)]
    done = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return dict(json.loads(line) for line in done.stdout.splitlines())


def _supersede(path: Path, wanted: dict[str, str], **changes: str) -> None:
    """Close the one row in force and write its successor below it, as the added edition has it."""
    text = path.read_text(encoding="utf-8")
    head = "".join(line for line in text.splitlines(keepends=True) if line.startswith("#"))
    rows = list(csv.DictReader(text.removeprefix(head).splitlines()))
    (old,) = (r for r in rows if not r["to_edition"] and wanted.items() <= r.items())
    rows.insert(rows.index(old) + 1, old | {"from_edition": str(ADDED)} | changes)
    old["to_edition"] = str(NEWEST)
    out = io.StringIO()
    writer = csv.DictWriter(out, list(old), lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    path.write_text(head + out.getvalue(), encoding="utf-8")


@pytest.fixture(scope="module")
def copy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The engine with one line more in the list of editions, and nothing else."""
    folder = tmp_path_factory.mktemp("added")
    unwanted = shutil.ignore_patterns("__pycache__", "_compiled*")
    shutil.copytree(ROOT / "engine", folder / "engine", ignore=unwanted)
    listed = folder / "engine" / "code" / "editions.py"
    text, times = re.subn(
        rf"^    {NEWEST},\n",
        rf"\g<0>    {ADDED},\n",
        listed.read_text(encoding="utf-8"),
        flags=re.M,
    )
    assert times == 1
    listed.write_text(text, encoding="utf-8")
    return folder


def _differences(old: Any, new: Any, at: str = "") -> Iterator[str]:
    """Places of a result that differ, as far down as names go."""
    if isinstance(old, dict) and isinstance(new, dict):
        for name in dict.fromkeys((*old, *new)):
            yield from _differences(old.get(name), new.get(name), f"{at}.{name}" if at else name)
    elif isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
        for number, (one, other) in enumerate(zip(old, new, strict=True)):
            name = one.get("id", number) if isinstance(one, dict) else number
            yield from _differences(one, other, f"{at}.{name}")
    elif old != new:
        yield at


# Three cells that the added edition changes, and what in a result speaks of each.
EVERYWHERE = {"checks.terminal_bar", "checks.terminal_bar_place", "checks.fault_current_marking"}
ELECTRODE_CONDUCTOR = {
    "checks.grounding_electrode_conductor",
    "values.grounding_electrode_conductor_minimum",
}
# The largest ungrounded conductor is 1 or 1/0 AWG here: the changed row of Table 250.66.
IN_THE_CHANGED_ROW = {
    "10_small_device_45_kva",
    "12_grounding_only_single_phase",
    "16_two_secondary_runs",
}


@pytest.fixture(scope="module")
def newest() -> dict[str, dict[str, Any]]:
    """Results of the demo jobs under the newest edition, by the engine as it is."""
    return _evaluated(ROOT, NEWEST)


def test_a_line_of_the_list_alone_adds_an_edition_like_the_newest(
    copy: Path, newest: dict[str, dict[str, Any]]
) -> None:
    assert len(newest) == len(list((ROOT / "fixtures" / "jobs").glob("*.json")))
    added = json.dumps(_evaluated(copy, ADDED))
    assert str(ADDED) in added
    assert json.loads(added.replace(str(ADDED), str(NEWEST))) == newest


def test_three_changed_cells_change_what_speaks_of_them_and_nothing_else(
    copy: Path, tmp_path: Path, newest: dict[str, dict[str, Any]]
) -> None:
    shutil.copytree(copy, tmp_path, dirs_exist_ok=True)
    code = tmp_path / "engine" / "code"
    _supersede(
        code / "tables" / "grounding_electrode_conductor.csv",
        {"up_to_copper": "1/0", "material": "copper"},
        value="2",
    )
    _supersede(
        code / "sections.csv",
        {"cite_id": "transformer_grounding_terminal"},
        section="450.99",
        mark="memory",
        source_note="invented",
    )
    _supersede(code / "choices.csv", {"choice_id": "panelboard_fault_marking"}, choice="none")
    added = _evaluated(tmp_path, ADDED)
    # the edition before keeps the rows that were closed
    assert _evaluated(tmp_path, NEWEST) == newest
    assert newest.keys() == added.keys()
    for name, old in newest.items():
        new = added[name]
        differ = {
            ".".join(place.split(".")[:2])
            for part in ("values", "checks")
            for place in _differences(old[part], new[part], part)
        }
        expected = EVERYWHERE | (ELECTRODE_CONDUCTOR if name in IN_THE_CHANGED_ROW else set())
        assert differ == expected, name
        checks = {check["id"]: check for check in new["checks"]}
        assert checks["terminal_bar"]["section"] == "450.99"
        assert checks["fault_current_marking"]["verdict"] == "does_not_apply"
        if name in IN_THE_CHANGED_ROW:
            least = new["values"]["grounding_electrode_conductor_minimum"]["value"]
            assert least != old["values"]["grounding_electrode_conductor_minimum"]["value"]
    (electrode,) = (
        check
        for check in added["10_small_device_45_kva"]["checks"]
        if check["id"] == "grounding_electrode_conductor"
    )
    assert electrode["verdict"] == "does_not_meet"
    assert electrode["required"] == "2 AWG copper or larger"


def test_whatever_lists_editions_lists_an_added_one(copy: Path) -> None:
    asked = """
import json, sys
from engine.interfaces.handle import handle
from engine.interfaces.messages import job_and_result_schema
from engine.wizard.walk import questions
from engine.code.compile_tables import compiled_source
made = {}
exec(compiled_source(), made)
(question,) = (q for q in questions()["questions"] if q["path"] == "edition")
print(json.dumps({
    "schema": next(
        d["properties"]["edition"]["enum"]
        for d in [job_and_result_schema(), *job_and_result_schema()["$defs"].values()]
        if "edition" in d.get("properties", {}) and "enum" in d["properties"]["edition"]
    ),
    "hello": json.loads(handle('{"op": "hello"}'))["editions"],
    "asked": sorted(choice["value"] for choice in question["choices"]),
    "compiled": list(made["LOOKUPS"]),
    "choices": list(made["CHOICES"]),
}))
"""
    done = subprocess.run(
        [sys.executable, "-c", asked], cwd=copy, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    for name, listed in json.loads(done.stdout).items():
        assert listed == [*EDITIONS, ADDED], name
