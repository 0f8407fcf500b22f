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
    *(f"{rating:g}" for rating in code_for(2023).standard_ratings("breaker")),
}
# Figures that happen to be limits or ratings, and what they are.
NO_LIMIT = {
    "web/parts/photos/photos.tsx": {"0.8": "picture quality", "1600": "longest side in pixels"},
    "web/parts/together_form/together_form.tsx": {"25": "letters of a label that gets a line"},
    "web/screens/about.tsx": {"100": "deleted jobs listed"},
    "web/screens/jobs.tsx": {"50": "jobs on a page", "100": "milliseconds between two pictures"},
    "web/screens/site.tsx": {"200": "jobs listed"},
    "web/session/files.ts": {"60": "letters of a file name"},
    "web/jobs/bin.ts": {"30": "days that deleted jobs are kept"},
    "web/jobs/keeping.ts": {"2000": "milliseconds until later"},
    "web/jobs/list.ts": {"200": "records in one transaction"},
    "web/jobs/record.ts": {"10": "random bytes of a key"},
    "web/jobs/unsaved.ts": {"500": "records seen at a time"},
    "web/offline/updates.ts": {"1000": "milliseconds until a check for an update"},
    "web/worker/serve.ts": {"200": "milliseconds until the archives follow"},
    "service_worker/check.ts": {"4000": "milliseconds of silence"},
}


def _numbers(text: str) -> set[str]:
    return {
        match.replace("_", "")
        for match in re.findall(r"(?<![\w.#])\d[\d_]*(?:\.\d+)?(?![\w.%])", text)
    }


@pytest.mark.parametrize("path", CODE, ids=_name)
def test_no_limit_of_the_trade_as_a_number(path: Path) -> None:
    text = _TEXT.sub('""', _COMMENT.sub(" ", _words(path)))
    held = _numbers(text) & LIMITS
    excused = set(NO_LIMIT.get(_name(path), ()))
    assert not held - excused, f"{_name(path)} holds {held - excused}"
    assert not excused - held, f"{_name(path)} no longer holds {excused - held}"


def test_a_limit_is_found_however_it_is_written() -> None:
    assert _numbers("if (a > 1_000 || b[225] === 0.8) c = x100 + 2.5;") == {
        *("1000", "225", "0.8", "2.5")
    }


SHOWN_AS_GIVEN = ("value", "shown", "required", "found", "standard_rating", "margin")


def _compared(text: str) -> list[str]:
    """Every place where a field of a result is compared or counted with, on whichever side it stands."""
    found = []
    for name in SHOWN_AS_GIVEN:
        after = rf"\.{name}\b\s*(?:[<>]=?|[-+*/]\s*\d)(?![\w>])"
        before = rf"(?:(?<![=<>])[<>]=?|[-*/])\s*[\w.?]+\.{name}\b(?!\s*[.(])"
        for pattern in (after, before):
            found += [match.group() for match in re.finditer(pattern, text)]
    return found


@pytest.mark.parametrize("path", CODE, ids=_name)
def test_nothing_of_a_result_is_compared_or_counted(path: Path) -> None:
    text = _TEXT.sub('""', _COMMENT.sub(" ", _words(path)))
    assert not _compared(text), f"{_name(path)}: {_compared(text)}"
    assert not re.search(r"\.(toFixed|toPrecision)\(", text), (
        f"{_name(path)} rounds; `shown` is already rounded"
    )


@pytest.mark.parametrize(
    "text",
    [
        "if (value.value > 125) warn();",
        "items.map((v) => v.value); if (limit.value <= 3) warn();",
        "if (125 < result.value) warn();",
        "const rest = rating - check.margin;",
        "const twice = value.value * 2;",
    ],
)
def test_a_comparison_is_found_wherever_it_stands(text: str) -> None:
    assert _compared(text)


@pytest.mark.parametrize("text", ["find((c) => c.value === x)", "a.value", "(q) => q.required"])
def test_what_compares_nothing_is_left_alone(text: str) -> None:
    assert not _compared(text)


# A cast says that something is what it is not known to be. What the engine says has its type from the contract.
CASTS = {
    "web/jobs/database.ts": {"IDBDatabase": "the target of an event of the browser's"},
    "web/jobs/keeping.ts": {"Partial": "read from the small storage, looked at before use"},
    "web/jobs/record.ts": {"Partial": "read from the storage, looked at before use"},
    "web/jobs/settings.ts": {"T": "a setting as it was stored"},
    "web/parts/signature/signature.tsx": {"Element": "the target of an event of the browser's"},
    "web/screens/about.tsx": {
        "InstallPrompt": "an event that the browser's types leave out",
        "Paper": "one of the choices of a list",
        "Language": "one of the choices of a list",
    },
    "web/screens/report.tsx": {"HTMLIFrameElement": "an element of the page"},
    "web/worker/python.ts": {
        "Promise": "a module whose address the build alone knows; promises of whatever kind",
        "Files": "what Pyodide's types leave out",
        "{": "what Pyodide's types leave out",
        "Boot": "what platepath_boot.py hands out",
    },
    "web/worker/snapshot.ts": {
        "{": "what the browser's types leave out",
        "Label": "what this module has written itself",
        "ReadableStream": "the body of a reply that was kept",
        "number": "one of two words",
    },
    "web/worker/start.ts": {"{": "what Pyodide's types leave out"},
    "service_worker/check.ts": {"WindowClient": "the client of a page"},
    "service_worker/kept.ts": {"Version": "what this worker has written itself"},
    "service_worker/service_worker.ts": {"Partial": "a message, looked at before use"},
}


def _casts(text: str) -> set[str]:
    """The types that something is cast to, by their first word."""
    code = re.sub(r"(?m)^\s*(?:import|export) (?:type )?[{*][^;]*;", " ", _COMMENT.sub(" ", text))
    found = re.findall(r"\bas (\w+|[({])", _TEXT.sub('""', code))
    return {kind for kind in found if kind not in ("const", "unknown")}


@pytest.mark.parametrize("path", CODE, ids=_name)
def test_what_the_engine_says_is_never_cast(path: Path) -> None:
    held = _casts(_words(path))
    excused = set(CASTS.get(_name(path), ()))
    assert not held - excused, f"{_name(path)} casts to {held - excused}: type it where it comes in"
    assert not excused - held, f"{_name(path)} no longer casts to {excused - held}"


def test_a_cast_is_found_however_it_is_written() -> None:
    text = """
    import * as store from "store";
    import { a as b, type C as D } from "c";
    const modes = ["as Result", 1] as const;
    const problems = reply["problems"] as Problem[];
    const value = (made as unknown as Result).overall as { text: string };
    const sure = Object.keys(words) as (keyof Words)[];
    """
    assert _casts(text) == {"Problem", "Result", "{", "("}


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
