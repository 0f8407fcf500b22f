"""Each word of the vocabulary is written once; whoever needs it takes it from there."""

import ast
import json
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Literal, get_args, get_origin

import pytest

from engine.code import sizes
from engine.job import kinds, words
from engine.judging import verdicts
from engine.result import words as result_words

ROOT = Path(__file__).resolve().parents[2]
ENGINE = ROOT / "engine"
HOMES = {Path(module.__file__ or "") for module in (sizes, kinds, verdicts, words, result_words)}
# A kind of few letters means other things too, and a name of one word is a word of the language.
LONG_ENOUGH = 10
# Whole lists that say more than which kinds there are, each with its reason.
RANKED = {
    "engine/evaluation/judged.py": "the verdicts with the worst first",
    "engine/judging/verdicts.py": "the severities with the gravest first",
    "engine/rules/replacement_fit.py": "which enclosure is more closed than which",
}


def _kinds(*modules: ModuleType) -> Iterator[tuple[str, frozenset[str]]]:
    for module in modules:
        for name, kind in vars(module).items():
            if get_origin(kind) is Literal:
                found = get_args(kind)
                if len(found) >= 3 and all(isinstance(each, str) for each in found):
                    yield name, frozenset(found)


KINDS = dict(_kinds(sizes, kinds, verdicts))
NAMES = {
    name: home
    for home, named in {
        "engine/job/words.py": [
            *(
                text
                for names in (
                    words.CONNECTIONS,
                    words.SECONDARY_RULES,
                    words.JUMPER_PLACES,
                    words.ELECTRODES,
                    words.PURPOSES,
                )
                for pair in names.values()
                for text in pair
            ),
            *words.CONDUCTOR_NAMES.values(),
            *words.STOPS.values(),
        ],
        "engine/result/words.py": [
            *result_words.VERDICTS.values(),
            *result_words.SAID.values(),
            *result_words.SEVERITIES.values(),
        ],
    }.items()
    for name in named
    if len(name) >= LONG_ENOUGH and " " in name
}
SOURCES = [path for path in sorted(ENGINE.rglob("*.py")) if not path.name.startswith("_compiled")]


def second_lists(text: str) -> list[str]:
    """Every list, tuple or set in a source that writes all members of a kind down again."""
    found: list[str] = []
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Tuple | ast.List | ast.Set):
            members = {each.value for each in node.elts if isinstance(each, ast.Constant)}
            found += [f"{node.lineno}: {name}" for name, kind in KINDS.items() if kind == members]
    return found


def second_names(text: str) -> list[str]:
    """Every name of the vocabulary that a source writes down by itself."""
    return [
        f"{node.lineno}: {node.value}"
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Constant) and node.value in NAMES
    ]


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: str(p.relative_to(ENGINE)))
def test_no_kind_is_listed_a_second_time(path: Path) -> None:
    if path in HOMES or path.relative_to(ROOT).as_posix() in RANKED:
        return
    found = second_lists(path.read_text(encoding="utf-8"))
    assert not found, f"{path.name}: take get_args() of the kind instead: {found}"


@pytest.mark.parametrize("path", SOURCES, ids=lambda p: str(p.relative_to(ENGINE)))
def test_no_name_is_written_a_second_time(path: Path) -> None:
    found = [
        f"{each} (written in {home})"
        for each in second_names(path.read_text(encoding="utf-8"))
        if (home := NAMES[each.split(": ", 1)[1]]) != path.relative_to(ROOT).as_posix()
    ]
    assert not found, f"{path.name}: take the name from where it is written: {found}"


def test_every_exception_is_still_needed() -> None:
    for name in RANKED:
        assert second_lists((ROOT / name).read_text(encoding="utf-8")), f"{name}: strike it"


def test_a_second_writing_would_be_found() -> None:
    assert second_lists('SIDES = ["danger", "violation", "advice"]') == ["1: Severity"]
    assert second_names('title = "System bonding jumper"') == ["1: System bonding jumper"]


def test_the_screen_says_the_verdicts_as_the_report_does() -> None:
    said = json.loads((ROOT / "web" / "words" / "en.json").read_text(encoding="utf-8"))
    assert {verdict: said[verdict] for verdict in result_words.VERDICTS} == result_words.VERDICTS
