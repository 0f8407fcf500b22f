"""Where each section of the code is looked at here, or that it is not: read for people, never by a rule.

The build leaves this module and its table out of what the phone gets; the limits reach it with the questions.
"""

import csv
from functools import cache
from importlib.resources import files
from typing import NamedTuple

_FILE = files("engine.code") / "coverage.csv"
_NUMBERS = "# numbers: "
NOT_LOOKED_AT = "Not looked at: "


class Covered(NamedTuple):
    """One section, by the numbers of `numbered_by`: what it asks, and its one home here."""

    section: str
    asks: str
    checks: tuple[str, ...]
    """Ids of checks that cite the section."""
    relies: tuple[str, ...]
    """Ids of checks that rely on it and cite another."""
    values: tuple[str, ...]
    question: str
    limit: str
    mark: str
    source_note: str


@cache
def numbered_by() -> int:
    """The edition whose section numbers the table gives, from its head. Unit: none. Section: none."""
    head = _FILE.read_text(encoding="utf-8").splitlines()
    said = next(line for line in head if line.startswith(_NUMBERS))
    return int(said.removeprefix(_NUMBERS).split()[0])


@cache
def covered() -> tuple[Covered, ...]:
    """Every section that an inspector of such an installation could cite. Unit: none. Section: each its own."""
    lines = [
        line for line in _FILE.read_text(encoding="utf-8").splitlines() if not line.startswith("#")
    ]
    return tuple(_row(row) for row in csv.DictReader(lines))


def _row(row: dict[str, str]) -> Covered:
    ids = row["checks"].split()
    return Covered(
        row["section"],
        row["asks"],
        tuple(each for each in ids if not each.startswith("+")),
        tuple(each[1:] for each in ids if each.startswith("+")),
        tuple(row["values"].split()),
        row["question"],
        row["limit"],
        row["mark"],
        row["source_note"],
    )


def limits() -> tuple[str, ...]:
    """What is not looked at, a sentence each, in the order of the code. Unit: none. Section: none."""
    said = dict.fromkeys(row.limit for row in covered() if row.limit)
    return tuple(_plain(limit) for limit in said)


def _plain(limit: str) -> str:
    words = limit.removeprefix(NOT_LOOKED_AT)
    return words[0].upper() + words[1:]


def home(row: Covered) -> str:
    """Where a section is looked at, in words. Unit: none. Section: none."""
    if row.limit:
        return row.limit
    checks = ", ".join((*row.checks, *(f"{each} (relies on it)" for each in row.relies)))
    if checks:
        return f"check: {checks}"
    if row.values:
        return f"value: {', '.join(row.values)}"
    return f"question: {row.question}"
