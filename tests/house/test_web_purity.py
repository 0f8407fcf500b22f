"""The screen knows no electrical rule: no section number, no table value, no limit, no comparison of what it shows."""

import json
import re
from pathlib import Path

import pytest

from engine.code import EDITIONS, code_for

ROOT = Path(__file__).resolve().parents[2]
WEB = ROOT / "web"
SKIP = {"node_modules", "dist", "generated", "build", "icons"}
SOURCES = sorted(
    path
    for folder in (WEB, ROOT / "service_worker")
    for path in folder.rglob("*")
    if path.suffix in (".ts", ".tsx", ".css", ".html", ".json")
    and not SKIP & set(path.relative_to(ROOT).parts)
    and path.name not in ("package-lock.json", "package.json", "parts.lock.json")
)
CODE = [path for path in SOURCES if path.suffix in (".ts", ".tsx")]
_COMMENT = re.compile(r"/\*.*?\*/|//[^\n]*", re.DOTALL)
_TEXT = re.compile(r"`(?:[^`\\]|\\.)*`|\"(?:[^\"\\\n]|\\.)*\"|'(?:[^'\\\n]|\\.)*'")


def _name(path: Path) -> str:
    return str(path.relative_to(ROOT))


def _words(path: Path) -> str:
    return path.read_text(encoding="utf-8")


def test_there_is_a_screen_to_read() -> None:
    assert len(CODE) > 15


# 110.9, 250.30(A)(1), 450.3(B), 310.16: an article of chapters 1 to 8, a dot, a section that the engine cites
SECTIONS = {
    match.group()
    for edition in EDITIONS
    for section, *_ in code_for(edition).lookups["sections"].values()
    for match in re.finditer(r"\b\d{2,3}\.\d{1,3}\b", section)
}


@pytest.mark.parametrize("path", SOURCES, ids=_name)
def test_no_section_number(path: Path) -> None:
    text = _words(path)
    assert len(SECTIONS) > 40
    found = {
        number
        for number in re.findall(r"(?<![\w.#-])\d{3}\.\d{1,3}(?![\w.%])", text)
        if number in SECTIONS
    }
    assert not found, f"{_name(path)} cites {found}: sections come with the result"
    assert not re.search(r"\b\d{2,3}\.\d{1,3}\([A-Z]\)", text), f"{_name(path)} cites a section"
    assert not re.search(r"\bNEC\b|\bNFPA 70\b|\bArticle \d", text), (
        f"{_name(path)} names the code book"
    )


TRADE = re.compile(
    r"\b(AWG|kcmil|THHN|THWN|XHHW|EMT|IMC|RMC|LFMC|FMC|ampacity|overcurrent|bonding jumper|electrode conductor"
    r"|grounding electrode|raceway|panelboard|delta|wye|copper|aluminum)\b",
    re.IGNORECASE,
)


@pytest.mark.parametrize(
    "path", [*CODE, *(p for p in SOURCES if p.parent.name == "words")], ids=_name
)
def test_no_word_of_the_trade(path: Path) -> None:
    text = _words(path) if path.suffix == ".json" else _COMMENT.sub(" ", _words(path))
    found = {match.group().lower() for match in TRADE.finditer(text)}
    assert not found, (
        f"{_name(path)} speaks of {sorted(found)}: trade words come from questions and results"
    )


LIMITS = {
    *("112.5", "0.8", "1.25", "1.67", "0.125", "2.5"),
    *(str(int(r)) for r in code_for(2023).standard_ratings("breaker") if r > 12 and r not in (15, 16, 20, 25, 30, 40, 50, 60, 80, 90, 100, 200, 300, 400, 500, 600, 700, 800, 1000, 2000, 4000, 5000, 6000)),
}  # fmt: skip
# Figures that happen to be ratings, and what they are.
NO_LIMIT = {
    "web/parts/photos/photos.tsx": {"0.8": "picture quality", "1600": "longest side in pixels"}
}


@pytest.mark.parametrize("path", CODE, ids=_name)
def test_no_limit_of_the_trade_as_a_number(path: Path) -> None:
    text = _TEXT.sub('""', _COMMENT.sub(" ", _words(path)))
    numbers = set(re.findall(r"(?<![\w.#])\d+(?:\.\d+)?(?![\w.%])", text))
    held = numbers & LIMITS - set(NO_LIMIT.get(_name(path), ()))
    assert not held, f"{_name(path)} holds {held}"


SHOWN_AS_GIVEN = ("value", "shown", "required", "found", "standard_rating", "margin")


@pytest.mark.parametrize("path", CODE, ids=_name)
def test_nothing_of_a_result_is_compared_or_counted(path: Path) -> None:
    text = _TEXT.sub('""', _COMMENT.sub(" ", _words(path)))
    for name in SHOWN_AS_GIVEN:
        pattern = rf"\.{name}\b\s*(?:<=?|>=?|[-+*/]\s*\d)(?!\w)"
        match = re.search(pattern, text)
        assert not match or "=>" in text[match.start() : match.end() + 1], (
            f"{_name(path)}: {match and match.group()}"
        )
    assert not re.search(r"\.(toFixed|toPrecision)\(", text), (
        f"{_name(path)} rounds; `shown` is already rounded"
    )


def test_interface_words_exist_in_every_language() -> None:
    languages = {p.stem: json.loads(_words(p)) for p in (WEB / "words").glob("*.json")}
    assert {"en", "es"} <= set(languages)

    def keys(value, prefix=""):
        if isinstance(value, dict):
            for key, inner in value.items():
                yield from keys(inner, f"{prefix}{key}.")
        else:
            yield prefix

    first = set(keys(languages["en"]))
    for name, words in languages.items():
        assert set(keys(words)) == first, name


def test_four_verdicts_and_no_fifth_word() -> None:
    text = "".join(_words(path) for path in CODE)
    for wrong in ("complies", "compliant", "approved by", "code-compliant", "guaranteed"):
        assert wrong not in text.lower(), wrong
