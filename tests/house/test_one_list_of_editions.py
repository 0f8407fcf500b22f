"""The editions are written once, in engine/code/editions.py; everything else derives from that list."""

import ast
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import pytest

from engine.code.editions import DEFAULT_EDITION, EDITIONS, Edition
from engine.job import Job

ROOT = Path(__file__).resolve().parents[2]
ENGINE = ROOT / "engine"
LIST = ENGINE / "code" / "editions.py"
TEXTS = (
    ".py",
    ".ts",
    ".tsx",
    ".js",
    ".mjs",
    ".json",
    ".yaml",
    ".csv",
    ".md",
    ".toml",
    ".po",
    ".html",
)

# The whole list or its end, upward or downward, with commas, brackets, quotes or a few words between.
_BETWEEN = r"[^0-9]{1,32}"
_NEWEST = [str(edition) for edition in EDITIONS[-4:]]
WRITTEN = re.compile(f"{_BETWEEN.join(_NEWEST)}|{_BETWEEN.join(reversed(_NEWEST))}")


def _files() -> list[Path]:
    """What belongs to the repository, and what is about to."""
    listed = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return [ROOT / name for name in listed.stdout.splitlines() if name.endswith(TEXTS)]


def years(source: str) -> Iterator[int]:
    """Lines in which a program names an edition by its year; a year that something was made in is none."""
    tree = ast.parse(source)
    of_making = {
        id(side)
        for node in ast.walk(tree)
        if isinstance(node, ast.Compare)
        and any("year" in getattr(side, "id", "") for side in (node.left, *node.comparators))
        for side in node.comparators
    }
    for node in ast.walk(tree):
        if not isinstance(node, ast.Constant) or id(node) in of_making:
            continue
        # a year of an edition as a number, or as a text that is nothing else
        if type(node.value) in (int, str) and str(node.value) in map(str, EDITIONS):
            yield node.lineno


def test_the_list_is_ascending_and_holds_the_default() -> None:
    assert list(EDITIONS) == sorted(set(EDITIONS))
    assert get_args(Edition) == EDITIONS
    assert DEFAULT_EDITION in EDITIONS
    assert Job.model_fields["edition"].default == DEFAULT_EDITION
    assert Job.model_fields["edition"].annotation is Edition


def test_no_second_list_of_editions() -> None:
    second = [
        f"{path.relative_to(ROOT)}:{text.count(chr(10), 0, found.start()) + 1}"
        for path in _files()
        if path != LIST and path.is_file()
        # some files are broken on purpose
        for text in [path.read_text(encoding="utf-8", errors="replace")]
        for found in WRITTEN.finditer(text)
    ]
    assert not second, "take EDITIONS from engine/code/editions.py instead:\n" + "\n".join(second)


@pytest.mark.parametrize(
    "text",
    [
        "({})".format(", ".join(map(str, EDITIONS))),
        "[\n    {},\n]".format(",\n    ".join(map(str, EDITIONS))),
        " | ".join(map(str, reversed(EDITIONS))),
        " ".join(f'"{edition}",' for edition in EDITIONS[1:]),
        "editions {}, {}, {} (the default) and {}".format(*EDITIONS[-4:]),
    ],
)
def test_a_second_list_would_be_found(text: str) -> None:
    assert WRITTEN.search(text)


def test_the_engine_names_no_edition_by_its_year() -> None:
    named = [
        f"{path.relative_to(ROOT)}:{line}"
        for path in sorted(ENGINE.rglob("*.py"))
        if path != LIST and not path.name.startswith("_compiled")
        for line in years(path.read_text(encoding="utf-8"))
    ]
    assert not named, "put the difference in choices.csv or a table:\n" + "\n".join(named)


@pytest.mark.parametrize(
    ("source", "found"),
    [
        ("if job.edition == 2023: pass", 1),
        ("code_for(2020)", 1),
        ("edition: int = 2023", 1),
        ("is_('edition', 2014)", 1),
        ("x = {'2017': 1}", 1),
        ("if year_made >= 2020: pass", 0),
        ("'from 2020 on'", 0),
    ],
)
def test_a_year_in_a_program_would_be_found(source: str, found: int) -> None:
    assert len(list(years(source))) == found
