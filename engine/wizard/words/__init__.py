"""The wizard's words in other languages, from gettext catalogues keyed by the English text.

Read when the questions are written out; the phone gets the result in questions.json.
"""

import json
import re
from functools import cache
from pathlib import Path
from typing import Any, cast

LANGUAGES = ("es",)
_LINE = re.compile(r'^(?:(msgid|msgstr) )?("(?:[^"\\\x00-\x1f]|\\["\\nt])*")$')
_UNFINISHED = ("#, fuzzy", "#~")


class MalformedCatalogue(Exception):
    """A catalogue that is not wholly understood; nothing of it is used."""


def read_catalogue(text: str) -> dict[str, str]:
    """English text to translation, from the msgid and msgstr of a .po file.

    Unit: none. Section: none. Raises MalformedCatalogue for plurals, contexts, fuzzy, obsolete, empty or doubled
    entries and for any other line it does not know: a text half read would be shown to somebody.
    """
    entries: list[dict[str, str]] = []
    last = None
    for number, line in enumerate(text.splitlines(), start=1):
        if line.startswith(_UNFINISHED):
            raise MalformedCatalogue(f"line {number}: finish or remove this entry: {line}")
        if not line.strip() or line.startswith("#"):
            last = None
            continue
        found = _LINE.match(line)
        if not found:
            raise MalformedCatalogue(f"line {number}: not a msgid, a msgstr or more of one: {line}")
        keyword, piece = found.group(1), json.loads(found.group(2))
        if keyword == "msgid":
            if entries and "msgstr" not in entries[-1]:
                raise MalformedCatalogue(f"line {number}: the msgid before it has no msgstr")
            entries.append({"msgid": piece})
        elif keyword == "msgstr":
            if last != "msgid":
                raise MalformedCatalogue(f"line {number}: msgstr without a msgid right before it")
            entries[-1]["msgstr"] = piece
        elif last is None:
            raise MalformedCatalogue(f"line {number}: text that belongs to nothing")
        else:
            entries[-1][last] += piece
        last = keyword or last
    words: dict[str, str] = {}
    for entry in entries:
        english, translation = entry["msgid"], entry.get("msgstr", "")
        if english in words:
            raise MalformedCatalogue(f"twice: {english}")
        if not translation.strip():
            raise MalformedCatalogue(f"no translation: {english}")
        words[english] = translation
    header = words.pop("", "")
    if "charset=UTF-8" not in header:
        raise MalformedCatalogue("the header entry should say charset=UTF-8")
    return words


@cache
def catalogue_of(language: str) -> dict[str, str]:
    """English text to translation, of one language.

    Unit: none. Section: none. Raises MalformedCatalogue, and OSError when the language has no catalogue.
    """
    file = Path(__file__).parent / f"{language}.po"
    return read_catalogue(file.read_text(encoding="utf-8"))


def with_translations(plain: dict[str, Any]) -> dict[str, Any]:
    """The wizard's plain data with `translations` in every purpose, group, question and combination.

    Unit: none. Section: none. Raises MalformedCatalogue.
    """
    return {
        **plain,
        "purposes": [_translated(item, ("title", "text")) for item in plain["purposes"]],
        "groups": [_translated(item, ("title", "text")) for item in plain["groups"]],
        "questions": [_translated(item, ("label", "ask", "help")) for item in plain["questions"]],
        "together": [_translated(item, ("ask", "help")) for item in plain["together"]],
        "further_runs": {
            **_translated(plain["further_runs"], ("name", "title", "text")),
            "questions": [
                _translated(item, ("label", "ask", "help"))
                for item in plain["further_runs"]["questions"]
            ],
        },
        "limits": [_translated(item, ("text",)) for item in plain["limits"]],
    }


def _translated(item: dict[str, Any], keys: tuple[str, ...]) -> dict[str, Any]:
    translations: dict[str, dict[str, Any]] = {}
    for language in LANGUAGES:
        words = catalogue_of(language)
        mine: dict[str, Any] = {key: words.get(item[key], item[key]) for key in keys}
        if "choices" in item:
            choices = cast("list[dict[str, Any]]", item["choices"])
            mine["choices"] = {
                str(choice["value"]): words[choice["label"]]
                for choice in choices
                if words.get(choice["label"], choice["label"]) != choice["label"]
            }
        translations[language] = mine
    return {**item, "translations": translations}
