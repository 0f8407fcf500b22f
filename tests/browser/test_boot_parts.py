"""The built folder: what is in it, how heavy it is, and that its Python answers as CPython does."""

import hashlib
import json
import math
import zipfile
from html.parser import HTMLParser
from pathlib import Path

import pytest

from engine.interfaces.handle import handle
from web.build import parts
from web.build.tools import ROOT, WEB, BuildError, node

PACKED = {".br", ".gz"}
# What the project promises a first visit: everything within 6 MB, the screen within 40 kB.
WHOLE_LIMIT = 6_000_000
SCREEN_LIMIT = 40_000


def plain_files(folder: Path) -> list[Path]:
    """Every file of a static folder but the packed copies."""
    return [path for path in folder.rglob("*") if path.is_file() and path.suffix not in PACKED]


def listed(folder: Path) -> list[dict]:
    """The files that the service worker keeps, as it lists them."""
    worker = (folder / "service_worker.js").read_text()
    start = worker.index('[{\\"url\\"')
    text = worker[start : worker.index("}]", start) + 2]
    return json.loads(json.loads(f'"{text}"'))


def test_the_service_worker_lists_every_file_with_its_hash_and_size(built_app) -> None:
    expected = {
        path.relative_to(built_app).as_posix(): (
            hashlib.sha256(path.read_bytes()).hexdigest(),
            path.stat().st_size,
        )
        for path in plain_files(built_app)
        if path.name not in {"_headers", "service_worker.js"}
    }
    assert {one["url"]: (one["sha256"], one["bytes"]) for one in listed(built_app)} == expected


def travels(path: Path) -> int:
    """What a host that serves the files as README says sends of one file. Unit: bytes."""
    packed = path.with_name(f"{path.name}.br")
    return (packed if packed.exists() else path).stat().st_size


def test_the_screen_without_python_stays_light(built_app) -> None:
    shell = [path for path in plain_files(built_app) if "python" not in path.parts]
    named = [
        path
        for path in shell
        if path.name == "index.html" or path.stem.startswith(("main-", "style-"))
    ]
    assert len(named) == 4
    assert sum(travels(path) for path in named) <= SCREEN_LIMIT


def test_a_first_visit_transfers_little(built_app) -> None:
    assert sum(travels(path) for path in plain_files(built_app)) <= WHOLE_LIMIT


class Page(HTMLParser):
    """Collects the tags of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.inline: list[str] = []
        self._in_script = False
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Notes a tag and whether a script follows."""
        self.tags.append((tag, dict(attrs)))
        self._in_script = tag in {"script", "style"}

    def handle_data(self, data: str) -> None:
        """Notes what stands inside a script or style."""
        if self._in_script and data.strip():
            self.inline.append(data)


def test_page_and_header_carry_the_same_strict_policy(built_app) -> None:
    page = Page((built_app / "index.html").read_text())
    (meta,) = [
        attributes["content"]
        for tag, attributes in page.tags
        if tag == "meta" and attributes.get("http-equiv") == "Content-Security-Policy"
    ]
    header = (built_app / "_headers").read_text()
    assert f"Content-Security-Policy: {meta}; frame-ancestors 'none'" in header
    rules = dict(rule.strip().split(" ", 1) for rule in meta.split(";"))
    assert rules["default-src"] == "'none'"
    assert rules["script-src"] == "'self' 'wasm-unsafe-eval'"
    assert rules["connect-src"] == "'self'"
    assert "unsafe-inline" not in meta
    assert not page.inline
    assert not [one for _, one in page.tags if any(name.startswith("on") for name in one)]


def test_the_phone_gets_no_file_that_its_engine_never_reads(built_app) -> None:
    (site,) = (path for path in plain_files(built_app) if path.name.startswith("site-"))
    with zipfile.ZipFile(site) as archive:
        names = [name for name in archive.namelist() if not name.endswith(".pyc")]
    assert names == ["self_test.json"]


def test_a_part_with_another_content_stops_the_build(monkeypatch, tmp_path) -> None:
    for name in parts.LOCK.pyodide.files:
        (tmp_path / name).write_bytes((parts.PYODIDE / name).read_bytes()[:-1])
    monkeypatch.setattr(parts, "PYODIDE", tmp_path)
    with pytest.raises(BuildError, match=r"parts\.lock\.json") as stopped:
        parts.check_pyodide()
    assert any(name in str(stopped.value) for name in parts.LOCK.pyodide.files)


def requests() -> list[dict]:
    """Requests of every kind over every job at hand, good and broken."""
    asked: list[dict] = [
        {"op": "hello"},
        {"op": "no such"},
        {"op": "check_answer", "path": "transformer.kva", "value": "75"},
        {"op": "check_answer", "path": "transformer.kva", "value": "seventy"},
        {"op": "check_answer", "path": "no.such.path", "value": 1},
        {"op": "open", "text": "not a job"},
    ]
    for path in sorted((ROOT / "fixtures").rglob("*.json")):
        text = path.read_text(errors="replace")
        asked.append({"op": "open", "text": text})
        try:
            job = json.loads(text)
        except (ValueError, RecursionError):
            continue
        asked.append({"op": "evaluate", "job": job})
        if path.parent.name == "jobs":
            asked.append({"op": "report", "job": job, "photos": [], "signature_data_url": None})
            # Forgotten groups of facts: other paths through the rules than the whole job takes.
            asked += [
                {
                    "op": "evaluate",
                    "job": {name: value for name, value in job.items() if name != gone},
                }
                for gone in job
            ]
    return asked


def same(found: object, expected: object) -> bool:
    """Equal, but for the last digit of a float, where two mathematical libraries may differ."""
    if isinstance(found, float) and isinstance(expected, float):
        return math.isclose(found, expected, rel_tol=1e-12)
    if isinstance(found, dict) and isinstance(expected, dict):
        return list(found) == list(expected) and all(
            same(found[key], expected[key]) for key in found
        )
    if isinstance(found, list) and isinstance(expected, list):
        return len(found) == len(expected) and all(map(same, found, expected))
    return found == expected


def test_the_browsers_python_answers_every_request_as_cpython_does(built_app) -> None:
    asked = [json.dumps(request) for request in requests()]
    assert len(asked) > 50, "the demo jobs are missing"
    info = json.loads((parts.PYODIDE / "pyodide-lock.json").read_text())["info"]
    done = node(
        WEB / "build" / "run_in_node.mjs", built_app, json.dumps(info), input=json.dumps(asked)
    )
    for request, reply in zip(asked, json.loads(done.stdout), strict=True):
        expected = json.loads(handle(request))
        assert same(json.loads(reply), expected), (request, json.loads(reply), expected)
