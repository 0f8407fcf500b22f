"""Every public function says what it does, in which unit, and by which section or source."""

import ast
import importlib
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ENGINE = Path(__file__).resolve().parents[2] / "engine"
MODULES = sorted(path for path in ENGINE.rglob("*.py") if not path.name.startswith("_"))
# How a quantity is written is no formula.
FORMULAS = [
    path for path in sorted((ENGINE / "physics").glob("[a-z]*.py")) if path.stem != "quantities"
]
WITH_LAW = ("rules", "derived", "physics")
# A unit in square brackets, a size in words, or the plain word that there is none.
UNITS = r"A|V|K|ft|in\.|in²|lb|kVA|kA|kcmil|ohm|megohm|ohm per 1000 ft|%|°C"
UNIT = re.compile(rf"unit:|unit of|\bawg\b|\[(?:{UNITS})(?:, (?:{UNITS}))*\]", re.IGNORECASE)
ORIGIN = ("section", "source")


def _public(path: Path) -> Iterator[ast.FunctionDef | ast.ClassDef]:
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            yield node


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ENGINE)))
def test_every_public_function_and_class_says_what_it_is(path: Path) -> None:
    bare = [node.name for node in _public(path) if not ast.get_docstring(node)]
    assert not bare, f"{path.name}: {bare} need a sentence"
    assert (
        ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))
        or not path.read_text().strip()
    ), f"{path.name} needs a sentence at its top"


@pytest.mark.parametrize(
    "path",
    [path for path in MODULES if path.parent.name in WITH_LAW and path.stem != "quantities"],
    ids=lambda p: str(p.relative_to(ENGINE)),
)
def test_what_computes_names_its_unit_and_its_section_or_source(path: Path) -> None:
    for node in _public(path):
        if not isinstance(node, ast.FunctionDef):
            continue
        # Brackets of an example name no unit.
        text = re.sub(r"^\s*>>>.*$", "", ast.get_docstring(node) or "", flags=re.MULTILINE)
        assert UNIT.search(text), (
            f"{path.name} {node.name}: name a unit that UNIT of this test knows in brackets, or write `Unit: dB.`; `Unit: none.` where there is none"
        )
        assert any(mark in text.lower() for mark in ORIGIN), (
            f"{path.name} {node.name}: name the Section, or the Source"
        )


def test_a_bracket_is_no_unit() -> None:
    assert UNIT.search("The current [A].") and UNIT.search("Weight and height [lb, in.].")
    assert UNIT.search("The smallest size (AWG or kcmil).") and UNIT.search("Unit: none.")
    assert not UNIT.search("The last of [1, 2, 3].") and not UNIT.search("See [table].")


@pytest.mark.parametrize("path", FORMULAS, ids=lambda p: p.stem)
def test_every_formula_has_an_example_and_its_source(path: Path) -> None:
    for node in _public(path):
        text = ast.get_docstring(node) or ""
        assert ">>>" in text, f"{node.name}: an example that runs"
        assert "Source:" in text, (
            f"{node.name}: where the example's number stands, or `own arithmetic`"
        )


@pytest.mark.parametrize("path", FORMULAS, ids=lambda p: p.stem)
def test_the_examples_run(path: Path) -> None:
    import doctest

    module = importlib.import_module(f"engine.physics.{path.stem}")
    results = doctest.testmod(module)
    assert results.attempted and not results.failed


def test_every_field_of_the_job_says_where_to_find_it() -> None:
    from pydantic import BaseModel

    from engine import job

    models = {
        name: model
        for path in (ENGINE / "job").glob("*.py")
        for name, model in vars(importlib.import_module(f"engine.job.{path.stem}")).items()
    }

    for name, model in models.items():
        if (
            isinstance(model, type)
            and issubclass(model, BaseModel)
            and model.__module__.startswith("engine.job.")
        ):
            # What is seen of a further run is told where it is told for the first.
            told = job.Observations if model is job.RunObservations else model
            for field, info in ((each, told.model_fields[each]) for each in model.model_fields):
                part = "default_factory" in repr(info) or isinstance(info.default, BaseModel)
                assert info.description or part or field in ("format", "transformer"), (
                    f"{name}.{field}"
                )
