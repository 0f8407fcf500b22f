"""Nothing is installed but what a lock file names, checked by hash."""

import importlib.util
import json
import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LOCKS = sorted(path for folder in ("web/build", "tests") for path in (ROOT / folder).glob("*.lock"))


@pytest.fixture
def dev():
    found = importlib.util.spec_from_file_location("dev", ROOT / "dev.py")
    module = importlib.util.module_from_spec(found)
    found.loader.exec_module(module)
    return module


def test_what_resolves_the_requirements_is_pinned_by_hash_too(dev, monkeypatch) -> None:
    calls = []
    monkeypatch.setattr(dev, "environment", lambda lock: None)
    monkeypatch.setattr(dev, "python", lambda *arguments: calls.append(arguments))
    dev.lock([])
    installs = [call for call in calls if "install" in call]
    assert installs
    for call in installs:
        assert "--require-hashes" in call
        named = Path(call[call.index("-r") + 1])
        assert call[-1] == named
        assert re.search(r"^uv==[\d.]+ \\$", named.read_text(), re.MULTILINE)
    # Every lock is written anew by it, so that none is forgotten.
    assert {Path(call[call.index("-o") + 1]) for call in calls if "-o" in call} == set(LOCKS)
    # The browser's wheels come after them, since micropip is given what they have changed.
    assert calls[-1] == ("-m", "web.build.lock_parts")


@pytest.mark.parametrize("path", LOCKS, ids=lambda path: path.name)
def test_every_requirement_has_its_version_and_hashes(path) -> None:
    entries = path.read_text().replace("\\\n", " ").splitlines()
    assert entries
    for entry in entries:
        assert re.match(
            r"^[A-Za-z0-9._-]+==[^\s;]+( ; [^-]+)?( +--hash=sha256:[0-9a-f]{64})+$", entry
        )


def test_every_package_of_the_page_has_its_integrity() -> None:
    lock = json.loads((ROOT / "web" / "package-lock.json").read_text())["packages"]
    assert len(lock) > 20
    bare = [name for name, each in lock.items() if name and not each.get("integrity")]
    assert bare == []


def test_every_wheel_for_the_browser_has_its_hash() -> None:
    lock = json.loads((ROOT / "web" / "parts.lock.json").read_text())
    wheels = lock["wheels"]["packages"]
    assert set(wheels) >= {"pydantic", "pydantic-core"}
    for each in (*wheels.values(), lock["micropip"]):
        assert re.fullmatch("[0-9a-f]{64}", each["sha256"])
        # Where it was fetched from is for pip to know.
        assert re.fullmatch(r"[\w.]+-[\w.-]+\.whl", each["file_name"])
    # Nothing is needed that is not locked too.
    assert {name for each in wheels.values() for name in each["depends"]} <= set(wheels)
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    assert project["dependencies"] == [f"pydantic=={wheels['pydantic']['version']}"]
    pyodide = json.loads((ROOT / "web" / "package.json").read_text())["dependencies"]["pyodide"]
    assert lock["pyodide"]["version"] == pyodide
