"""The screen's modules lie in rooms, import one way and stay short enough to read."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
WEB = ROOT / "web"
LONGEST = 500
NO_ROOM_OF_OURS = {"node_modules", "dist", "generated", "build"}

# Who may import whom, from the ground up; `.` is what starts the app. `generated` is open to all.
MAY_IMPORT: dict[str, tuple[str, ...]] = {
    "words": (),
    "wizard": (),
    "offline": (),
    "jobs": ("wizard",),
    "worker": ("offline",),
    "session": ("jobs", "wizard", "words", "worker"),
    "parts": ("session", "jobs", "wizard", "words", "offline"),
    "screens": ("parts", "session", "jobs", "wizard", "words"),
    "service_worker": ("offline",),
    ".": ("screens", "parts", "session", "jobs", "wizard", "words", "worker", "offline"),
}
STARTS_THE_APP = {"index.html", "main.tsx", "style.css", "manifest.webmanifest"}
_COMMENT = re.compile(r"/\*.*?\*/|(?m:^\s*//[^\n]*)", re.DOTALL)
_IMPORT = re.compile(r"(?:from|import)\s*\(?\s*\"(\.[^\"]+)\"")


def _modules() -> list[Path]:
    found = [path for path in WEB.rglob("*.ts*") if path.suffix in (".ts", ".tsx")]
    mine = [path for path in found if not NO_ROOM_OF_OURS & set(path.relative_to(WEB).parts)]
    return sorted([*mine, *(ROOT / "service_worker").glob("*.ts")])


MODULES = _modules()
STYLES = sorted(
    path for path in WEB.rglob("*.css") if not NO_ROOM_OF_OURS & set(path.relative_to(WEB).parts)
)


def _name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def _room(path: Path) -> str:
    if path.is_relative_to(WEB):
        inside = path.relative_to(WEB).parts
        return inside[0] if len(inside) > 1 else "."
    return "service_worker"


def _imported(path: Path) -> list[Path]:
    """What a module imports of ours, types too, as files."""
    text = _COMMENT.sub("", path.read_text(encoding="utf-8"))
    found = [path.parent.joinpath(named).resolve() for named in _IMPORT.findall(text)]
    return [
        place
        for one in found
        for place in (one.with_name(f"{one.name}.ts"), one.with_name(f"{one.name}.tsx"))
        if place in MODULES
    ]


@pytest.mark.parametrize("path", MODULES, ids=_name)
def test_a_module_imports_only_what_stands_below_its_room(path: Path) -> None:
    room = _room(path)
    assert room in MAY_IMPORT, f"{_name(path)}: give its room a row in MAY_IMPORT"
    for imported in _imported(path):
        assert _room(imported) in (room, *MAY_IMPORT[room]), (
            f"{_name(path)} imports {_name(imported)}; "
            "hand the value in as an argument, or move what both need below them"
        )


def test_no_modules_import_each_other_in_a_circle() -> None:
    left = {path: set(_imported(path)) for path in MODULES}
    assert sum(map(len, left.values())) > 100
    while free := [path for path, needs in left.items() if not needs & left.keys()]:
        for path in free:
            del left[path]
    assert not left, f"in a circle, or above one: {sorted(map(_name, left))}"


@pytest.mark.parametrize("path", [*MODULES, *STYLES], ids=_name)
def test_a_module_is_short_enough_to_read(path: Path) -> None:
    count = len(path.read_text(encoding="utf-8").splitlines())
    assert count <= LONGEST, f"{_name(path)} has {count} lines: split it by topic"


def test_every_style_is_taken_once() -> None:
    text = (WEB / "style.css").read_text(encoding="utf-8")
    taken = re.findall(r'@import "\./([^"]+)";', text)
    assert "{" not in text, "the root only says in which order the styles come"
    assert sorted(taken) == [p.relative_to(WEB).as_posix() for p in STYLES if p.parent != WEB]


def test_the_root_holds_only_what_starts_the_app() -> None:
    found = {path.name for path in WEB.iterdir() if path.suffix in (".ts", ".tsx", ".css", ".html")}
    assert found <= STARTS_THE_APP, f"give {found - STARTS_THE_APP} a room"
