"""The folder of tables and the citations in the engine's sources hold together."""

import ast
import re
from pathlib import Path

import pytest

from engine.code.compile_tables import compiled_cells_source, compiled_source
from engine.code.loader import load_sections
from engine.code.rows import TABLE_KEYS

ENGINE = Path(__file__).parents[2] / "engine"
CODE = ENGINE / "code"


def test_every_file_of_the_tables_folder_is_a_known_table() -> None:
    assert {path.stem for path in (CODE / "tables").iterdir()} == set(TABLE_KEYS), (
        "a table needs its file in engine/code/tables and its key columns in TABLE_KEYS of engine/code/rows.py"
    )


@pytest.mark.parametrize(
    "path", [*sorted((CODE / "tables").glob("*.csv")), CODE / "sections.csv"], ids=lambda p: p.stem
)
def test_every_table_opens_with_what_unit_publication_and_date(path: Path) -> None:
    head = [line for line in path.read_text(encoding="utf-8").splitlines() if line.startswith("#")]
    for word in ("# what:", "# unit:", "# publication:", "# made:"):
        assert any(line.startswith(word) for line in head), word
    assert any(re.search(r"\b20\d\d-\d\d-\d\d\b", line) for line in head)


def test_no_compiled_module_in_the_source_tree_is_stale() -> None:
    for name, source in (
        ("_compiled.py", compiled_source),
        ("_compiled_cells.py", compiled_cells_source),
    ):
        path = CODE / name
        assert not path.exists() or path.read_text(encoding="utf-8") == source(), (
            f"remake {name}: python dev.py build"
        )


def literals(node: ast.expr) -> list[ast.Constant]:
    """The texts an expression can give, without those it only compares with."""
    if isinstance(node, ast.IfExp):
        return [*literals(node.body), *literals(node.orelse)]
    if isinstance(node, ast.Tuple | ast.List | ast.Set):
        return [constant for element in node.elts for constant in literals(element)]
    return [node] if isinstance(node, ast.Constant) and isinstance(node.value, str) else []


def literal_cites(path: Path) -> list[tuple[int, str]]:
    """Cite ids written as literals: code.cite("...") and cite="..." or cites=("...",)."""
    found: list[tuple[int, str]] = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call):
            values = [
                keyword.value
                for keyword in node.keywords
                if keyword.arg in ("cite", "cites", "cite_id", "cite_ids")
            ]
            if isinstance(node.func, ast.Attribute) and node.func.attr == "cite":
                values += node.args[:1]
            found += [
                (part.lineno, str(part.value)) for value in values for part in literals(value)
            ]
    return [(line, cite_id) for line, cite_id in found if cite_id]


def test_every_cite_id_in_the_engine_is_a_row_of_sections() -> None:
    known = {row.cite_id for row in load_sections()}
    wrong = [
        f"{path.relative_to(ENGINE)}:{line}: {cite_id}"
        for path in sorted(ENGINE.rglob("*.py"))
        for line, cite_id in literal_cites(path)
        if cite_id not in known
    ]
    assert not wrong, "add these to engine/code/sections.csv or correct them:\n" + "\n".join(wrong)


def test_nobody_but_the_code_reads_its_tables() -> None:
    for path in ENGINE.rglob("*.py"):
        if CODE not in path.parents:
            text = path.read_text(encoding="utf-8")
            assert "engine.code.loader" not in text, path
            assert "engine/code/tables" not in text, path
