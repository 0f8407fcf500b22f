"""Reads the tables of the electrical code and refuses any that contradict themselves."""

import csv
from collections.abc import Iterable
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable

from engine.code.editions import EDITIONS
from engine.code.rows import MARKS, STATUSES, TABLE_KEYS, TAIL, ChoiceRow, Row, SectionRow


class BrokenTable(ValueError):
    """A table of the electrical code contradicts itself; the message names file, row and fault."""


def tables_folder() -> Traversable:
    """The folder of the tables that ship with the engine."""
    return files("engine.code") / "tables"


def _records(text: str, name: str, columns: tuple[str, ...]) -> list[dict[str, str]]:
    lines = text.splitlines()
    if not lines or not lines[0].startswith("#"):
        raise BrokenTable(f"{name}: no comment header; say what, unit, publication and date")
    reader = csv.DictReader(line for line in lines if not line.startswith("#"))
    if tuple(reader.fieldnames or ()) != columns:
        raise BrokenTable(f"{name}: columns are {reader.fieldnames}, should be {list(columns)}")
    records: list[dict[str, str]] = []
    for record in reader:
        # csv gives None for a missing cell and a None key for a surplus one
        if any(field is None for field in record) or any(
            value is None for value in record.values()
        ):
            raise BrokenTable(f"{name}: a row has too few or too many cells: {record}")
        records.append(record)
    if not records:
        raise BrokenTable(f"{name}: no rows")
    return records


def _edition(name: str, text: str, where: object) -> int:
    if text not in {str(edition) for edition in EDITIONS}:
        raise BrokenTable(f"{name}: {where}: edition {text!r} is not one of {list(EDITIONS)}")
    return int(text)


def _last_edition(name: str, text: str, where: object) -> int:
    """The last edition of a row: an empty cell is still in force."""
    if text == str(EDITIONS[-1]):
        raise BrokenTable(
            f"{name}: {where}: {text} is the newest edition; leave to_edition empty: still in force"
        )
    return _edition(name, text, where) if text else EDITIONS[-1]


def check_ranges(name: str, ranges: Iterable[tuple[object, int, int]]) -> None:
    """Refuse duplicate keys, and edition ranges of one key that overlap, leave a gap or stop short."""
    by_key: dict[object, list[tuple[int, int]]] = {}
    for key, first, last in ranges:
        if first > last:
            raise BrokenTable(f"{name}: {key}: range {first} to {last} runs backwards")
        by_key.setdefault(key, []).append((first, last))
    for key, spans in by_key.items():
        spans.sort()
        if len(set(spans)) != len(spans):
            raise BrokenTable(f"{name}: {key}: duplicate row for {spans[0][0]} to {spans[0][1]}")
        expected: int = EDITIONS[0]
        for first, last in spans:
            if first < expected:
                raise BrokenTable(f"{name}: {key}: ranges overlap at {first}")
            if first > expected:
                raise BrokenTable(f"{name}: {key}: gap, no row for {expected}")
            following = [edition for edition in EDITIONS if edition > last]
            expected = following[0] if following else EDITIONS[-1] + 1
        if expected <= EDITIONS[-1]:
            raise BrokenTable(f"{name}: {key}: gap, no row for {expected}")


def read_table(name: str, text: str, cite_ids: frozenset[str]) -> tuple[Row, ...]:
    """Rows of one table from its CSV text; raises BrokenTable with file, row and fault."""
    keys = TABLE_KEYS[name]
    rows: list[Row] = []
    for record in _records(text, name, keys + TAIL):
        key = tuple(record[column] for column in keys)
        confirmed = tuple(
            _edition(name, part, key) for part in record["confirmed_editions"].split(";") if part
        )
        row = Row(
            key,
            _edition(name, record["from_edition"], key),
            _last_edition(name, record["to_edition"], key),
            confirmed,
            *(record[column] for column in TAIL[3:]),
        )
        sources = sum(1 for source in (row.source1, row.source2) if source)
        if row.status not in STATUSES:
            raise BrokenTable(
                f"{name}: {key}: status {row.status!r} is not one of {list(STATUSES)}"
            )
        if row.status == "two-sources" and (sources != 2 or row.source1 == row.source2):
            raise BrokenTable(
                f"{name}: {key}: says two-sources but names {sources}, or the same one twice"
            )
        if row.status == "one-source" and sources != 1:
            raise BrokenTable(f"{name}: {key}: says one-source but names {sources}")
        if row.status == "formula" and not row.note:
            raise BrokenTable(f"{name}: {key}: says formula but its note names none")
        if not row.unit:
            raise BrokenTable(f"{name}: {key}: no unit")
        if not row.value and not row.note:
            raise BrokenTable(f"{name}: {key}: empty value without a note that says why")
        if row.cite_id and row.cite_id not in cite_ids:
            raise BrokenTable(f"{name}: {key}: cite_id {row.cite_id!r} is not in sections.csv")
        rows.append(row)
    check_ranges(name, ((row.key, row.from_edition, row.to_edition) for row in rows))
    return tuple(rows)


def read_sections(text: str) -> tuple[SectionRow, ...]:
    """Rows of sections.csv from its text; raises BrokenTable with row and fault."""
    name = "sections"
    rows: list[SectionRow] = []
    for record in _records(text, name, SectionRow._fields):
        cite_id = record["cite_id"]
        row = SectionRow(
            cite_id,
            _edition(name, record["from_edition"], cite_id),
            _last_edition(name, record["to_edition"], cite_id),
            record["section"],
            record["title"],
            record["mark"],
            record["source_note"],
        )
        if row.mark not in MARKS:
            raise BrokenTable(f"{name}: {cite_id}: mark {row.mark!r} is not one of {list(MARKS)}")
        if bool(row.section) == (row.mark in ("not confirmed", "none")):
            raise BrokenTable(
                f"{name}: {cite_id}: mark {row.mark!r} does not fit section {row.section!r}"
            )
        if not row.title or not row.source_note:
            raise BrokenTable(f"{name}: {cite_id}: no title or no source note")
        rows.append(row)
    check_ranges(name, ((row.cite_id, row.from_edition, row.to_edition) for row in rows))
    return tuple(rows)


def read_choices(text: str) -> tuple[ChoiceRow, ...]:
    """Rows of choices.csv from its text; raises BrokenTable with row and fault."""
    name = "choices"
    rows: list[ChoiceRow] = []
    for record in _records(text, name, ChoiceRow._fields):
        choice_id = record["choice_id"]
        row = ChoiceRow(
            choice_id,
            _edition(name, record["from_edition"], choice_id),
            _last_edition(name, record["to_edition"], choice_id),
            record["choice"],
            record["mark"],
            record["note"],
        )
        if row.mark not in MARKS:
            raise BrokenTable(f"{name}: {choice_id}: mark {row.mark!r} is not one of {list(MARKS)}")
        if not row.choice or not row.note:
            raise BrokenTable(f"{name}: {choice_id}: no choice or no note")
        rows.append(row)
    check_ranges(name, ((row.choice_id, row.from_edition, row.to_edition) for row in rows))
    return tuple(rows)


@cache
def load_choices() -> dict[int, dict[str, str]]:
    """The choices that ship with the engine, by edition and id."""
    rows = read_choices((files("engine.code") / "choices.csv").read_text(encoding="utf-8"))
    return {
        edition: {
            row.choice_id: row.choice
            for row in rows
            if row.from_edition <= edition <= row.to_edition
        }
        for edition in EDITIONS
    }


@cache
def load_sections() -> tuple[SectionRow, ...]:
    """The citations that ship with the engine."""
    return read_sections((files("engine.code") / "sections.csv").read_text(encoding="utf-8"))


@cache
def load_tables() -> dict[str, tuple[Row, ...]]:
    """All tables that ship with the engine, by name."""
    cite_ids = frozenset(row.cite_id for row in load_sections())
    folder = tables_folder()
    return {
        name: read_table(name, (folder / f"{name}.csv").read_text(encoding="utf-8"), cite_ids)
        for name in TABLE_KEYS
    }
