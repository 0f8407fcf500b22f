"""Which of several methods an edition uses, where more changed than a number."""

import csv
from functools import cache
from importlib.resources import files

# Not a path: in the browser this package lies in an archive.
_FILE = files("engine.code") / "choices.csv"


@cache
def _rows() -> dict[str, tuple[tuple[int, int, str], ...]]:
    lines = [
        line for line in _FILE.read_text(encoding="utf-8").splitlines() if not line.startswith("#")
    ]
    rows: dict[str, list[tuple[int, int, str]]] = {}
    for row in csv.DictReader(lines):
        rows.setdefault(row["choice_id"], []).append(
            (int(row["from_edition"]), int(row["to_edition"]), row["choice"])
        )
    return {key: tuple(sorted(value)) for key, value in rows.items()}


@cache
def choice(edition: int, choice_id: str) -> str:
    """The method that an edition uses. Unit: none. Section: named in choices.csv.

    Raises KeyError for a choice or an edition that the data does not hold: a programmer's error.
    """
    for first, last, chosen in _rows()[choice_id]:
        if first <= edition <= last:
            return chosen
    raise KeyError(f"{choice_id} has no choice for {edition}")
