"""Imports run one way, so that a rule never reaches into the report, and the tables know nothing of jobs."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
ENGINE = ROOT / "engine"

# Who may import whom, from the ground up; a room stands for all of its modules.
MAY_IMPORT: dict[str, tuple[str, ...]] = {
    "physics": (),
    "code": (),
    "job": ("code",),
    "files": ("job",),
    "wizard": ("code", "job", "physics"),
    "judging": ("code", "job", "physics"),
    "derived": ("code", "job", "physics"),
    "rules": ("derived", "judging", "code", "job", "physics"),
    "result": ("judging", "job"),
    "report": ("result", "physics"),
    "evaluation": (
        *("rules", "derived", "judging", "result", "wizard", "code", "job", "physics"),
        "__init__",
    ),
    "fleet": ("evaluation", "files", "wizard", "rules", "judging", "code", "job"),
    "interfaces": (
        *("evaluation", "files", "report", "result", "wizard", "code", "job"),
        "__init__",
    ),
    "__init__": ("evaluation", "job", "result"),
    "__main__": ("fleet", "interfaces"),
}  # fmt: skip


def _part(module: str) -> str:
    """The row of the table above that a module belongs to: `engine.rules.panelboard` is `rules`."""
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else "__init__"


def _imports(path: Path) -> set[str]:
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: import by the full name"
            if node.module == "engine":
                subs = {
                    a.name
                    for a in node.names
                    if (ENGINE / a.name).exists() or (ENGINE / f"{a.name}.py").exists()
                }
                found |= {f"engine.{name}" for name in subs}
                found |= {"engine"} if len(subs) < len(node.names) else set()
            else:
                # A module taken out of its room by name is imported as much as what is taken out of it.
                room = ROOT.joinpath(*(node.module or "").split("."))
                subs = {a.name for a in node.names if (room / f"{a.name}.py").exists()}
                found |= {f"{node.module}.{name}" for name in subs}
                found |= {node.module or ""} if len(subs) < len(node.names) else set()
    return {name for name in found if name.split(".")[0] == "engine"}


MODULES = sorted(path for path in ENGINE.rglob("*.py") if not path.name.startswith("_compiled"))


@pytest.mark.parametrize("path", MODULES, ids=[str(p.relative_to(ENGINE)) for p in MODULES])
def test_a_module_imports_only_what_stands_below_it(path: Path) -> None:
    module = ".".join(("engine", *path.relative_to(ENGINE).with_suffix("").parts)).removesuffix(
        ".__init__"
    )
    part = _part(module)
    assert part in MAY_IMPORT, f"{module}: give it a row in MAY_IMPORT and say what it may import"
    for imported in sorted(_imports(path)):
        assert _part(imported) in (part, *MAY_IMPORT[part]), (
            f"{module} imports {imported}. It may import {', '.join(MAY_IMPORT[part]) or 'nothing of ours'}; "
            "hand the value in as an argument, or move what both need below them"
        )


def test_every_module_lies_in_a_room() -> None:
    assert {path.name for path in ENGINE.glob("*.py")} == {"__init__.py", "__main__.py"}, (
        "give a new module the room of its stage: see How data flows in DEVELOPERS.md"
    )


def test_every_row_points_down_and_is_used() -> None:
    used: dict[str, set[str]] = {room: set() for room in MAY_IMPORT}
    for path in MODULES:
        module = ".".join(("engine", *path.relative_to(ENGINE).with_suffix("").parts))
        part = _part(module.removesuffix(".__init__"))
        used[part] |= {_part(imported) for imported in _imports(path)} - {part}
    assert {room: set(below) for room, below in MAY_IMPORT.items()} == used, (
        "strike what no module needs"
    )
    rooms = [room for room in MAY_IMPORT if room != "__init__"]
    for number, room in enumerate(rooms):
        assert {*MAY_IMPORT[room]} - {"__init__"} <= {*rooms[:number]}, f"{room} reaches up"


def test_the_house_is_low() -> None:
    def floor(room: str) -> int:
        return 1 + max(
            (floor(below) for below in MAY_IMPORT[room] if below != "__init__"), default=0
        )

    assert max(map(floor, MAY_IMPORT)) <= 7, (
        "a room on an eighth floor: let it be given what it needs"
    )


@pytest.mark.parametrize(
    "path",
    [*MODULES, *ROOT.glob("dev.py"), *(ROOT / "web" / "build").rglob("*.py")],
    ids=lambda p: str(p.relative_to(ROOT)),
)
def test_a_module_fits_in_the_head(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 500, "split it by its topics"


@pytest.mark.parametrize("path", sorted((ENGINE / "rules").rglob("*.py")), ids=lambda p: p.stem)
def test_a_rule_never_imports_another_rule_but_shared_conditions(path: Path) -> None:
    shared = {"engine.rules.rule", "engine.rules.look"}
    # Bonds that are said to be back are missing where the rules of the bonds themselves find none.
    if path.stem == "replacement_work":
        shared |= {
            f"engine.rules.{bond}"
            for bond in (
                "system_bonding_jumper",
                "supply_side_bonding_jumper",
                "grounding_electrode",
                "pipe_and_steel_bonds",
                "primary",
            )
        }
    others = {
        name
        for name in _imports(path)
        if name.startswith("engine.rules") and not name.startswith("engine.rules.conditions.")
    } - shared
    assert not others, (
        f"{path.stem} imports {others}: what two rules share belongs in rules/conditions"
    )


def test_nothing_in_the_engine_imports_beyond_pydantic_and_the_standard_library() -> None:
    import sys

    allowed = {
        *sys.stdlib_module_names,
        "engine",
        "pydantic",
        "pydantic_core",
        "annotated_types",
        "typing_extensions",
    }
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = (
                [a.name for a in node.names]
                if isinstance(node, ast.Import)
                else [node.module or ""]
                if isinstance(node, ast.ImportFrom)
                else []
            )
            for name in names:
                assert name.split(".")[0] in allowed, (
                    f"{path.name} imports {name}; the phone has only pydantic"
                )


def test_what_judges_has_no_clock_and_no_chance() -> None:
    for folder in ("rules", "derived", "physics"):
        for path in (ENGINE / folder).rglob("*.py"):
            text = path.read_text(encoding="utf-8")
            for name in ("datetime", "random", "time", "os", "pathlib"):
                assert f"import {name}\n" not in text and f"from {name} import" not in text, (
                    f"{path.name} uses {name}: the same job must always get the same answer"
                )
