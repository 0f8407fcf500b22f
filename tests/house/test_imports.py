"""Imports run one way, so that a rule never reaches into the report, and the tables know nothing of jobs."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
ENGINE = ROOT / "engine"

BOTTOM = ("base", "missing", "quantities", "runs")
FACTS_AND_CODE = (*BOTTOM, "job", "code", "site", "verdicts")
# Who may import whom. A package stands for all of its modules; a rule may use `conditions` and `rule`, no other rule.
MAY_IMPORT: dict[str, tuple[str, ...]] = {
    "base": (),
    "missing": (),
    "editions": (),
    "quantities": (),
    "migrations": (),
    "code": ("code", "editions", "quantities"),
    "physics": ("quantities",),
    "job": ("base", "editions"),
    "runs": ("job",),
    "verdicts": (*BOTTOM, "site"),
    "result": ("base", "verdicts"),
    "site": ("code", "job", "missing", "runs"),
    "bounds": ("job", "code", "runs"),
    "derived": ("derived", "physics", "code", "job", "quantities", "runs", "site", "missing"),
    "suppose": ("derived", "code", "job", "missing", "quantities", "runs", "site"),
    "rules": ("rules", "derived", "physics", *FACTS_AND_CODE),
    "judged": ("rules", "runs", "verdicts"),
    "questions": ("editions", "job", "code", "runs"),
    "kept_open": ("judged", "missing", "questions", "rules", "site"),
    "words": (),
    "facts": ("base", "job", "missing", "quantities", "questions", "result", "runs"),
    "cautions": ("code", "job", "runs"),
    "contradictions": ("code", "job", "missing", "physics", "runs", "site"),
    "written_questions": ("derived", *FACTS_AND_CODE),
    "drawn": ("job", "quantities", "result", "site", "verdicts"),
    "sheet": ("code", "derived", "missing", "quantities", "result", "runs", "site", "suppose"),
    "nameplates": ("derived", "facts", "job", "physics", "quantities", "result"),
    "evaluate": (
        *("rules", "derived", "bounds", "suppose", "cautions", "contradictions", "written_questions", "drawn", "facts", "judged", "kept_open", "nameplates", "result", "sheet"),
        *FACTS_AND_CODE,
        "__init__",
    ),
    "messages": ("base", "job", "result"),
    "refusals": ("code", "facts", "job", "messages", "migrations"),
    "report": ("report", "result", "quantities", "messages"),
    "handle": ("code", "evaluate", "facts", "job", "messages", "migrations", "missing", "questions", "refusals", "report", "__init__", "_build"),
    "outputs": ("refusals",),
    "fleet_lines": ("job", "questions", "refusals"),
    "audit": ("base", "code", "contradictions", "evaluate", "fleet_lines", "job", "judged", "outputs", "questions", "refusals", "rules", "runs", "site", "verdicts"),
    "cli": ("audit", "code", "evaluate", "messages", "outputs", "questions", "refusals", "report", "result", "words", "__init__"),
    "__init__": ("evaluate", "job", "result"),
    "__main__": ("cli",),
}  # fmt: skip


def _part(module: str) -> str:
    """The row of the table above that a module belongs to: `engine.rules.bonding` is `rules`."""
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
                found.add(node.module or "")
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
        assert _part(imported) in MAY_IMPORT[part], (
            f"{module} imports {imported}. It may import {', '.join(MAY_IMPORT[part]) or 'nothing of ours'}; "
            "hand the value in as an argument, or move what both need below them"
        )


@pytest.mark.parametrize("path", sorted((ENGINE / "rules").glob("*.py")), ids=lambda p: p.stem)
def test_a_rule_never_imports_another_rule_but_shared_conditions(path: Path) -> None:
    shared = {"engine.rules.rule", "engine.rules.conditions", "engine.rules.look", "engine.rules"}
    # The bonds of pipe and steel are held against their minimum as the jumpers are.
    if path.stem == "electrode":
        shared.add("engine.rules.bonding")
    others = {name for name in _imports(path) if name.startswith("engine.rules")} - shared
    assert not others, (
        f"{path.stem} imports {others}: what two rules share belongs in rules/conditions.py"
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
        for path in (ENGINE / folder).glob("*.py"):
            text = path.read_text(encoding="utf-8")
            for name in ("datetime", "random", "time", "os", "pathlib"):
                assert f"import {name}\n" not in text and f"from {name} import" not in text, (
                    f"{path.name} uses {name}: the same job must always get the same answer"
                )
