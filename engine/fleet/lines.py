"""A fleet as it comes in: one job a line of JSON, or one a row of CSV, each with the number of its first line.

A line that is no job is an `Audited` with the reason, and the next one is read; nothing is skipped in silence.
"""

import csv
import io
import json
import re
from collections import Counter, deque
from collections.abc import Iterator, Mapping, Sequence
from typing import IO, Any, NamedTuple, cast

from engine.files.refusals import Refusal, refuse
from engine.job import NAMEPLATE
from engine.wizard.questions import question_at

LONGEST_LINE = 2_000_000
# More lines than a note of the greatest length is ever broken into.
MOST_LINES_A_ROW = 200
_LONGEST_COLUMN = 100


class Audited(NamedTuple):
    """The outcome of one line: text to write, or what is wrong with it."""

    line: int
    text: str
    refused: str = ""


Item = tuple[int, bytes] | Audited


def said(refusal: Refusal) -> str:
    """Every problem of a refusal on one line. Unit: none. Section: none."""
    return "; ".join(f"{p.path}: {p.wrong}; expected: {p.right}" for p in refusal.problems)


def _bad(line: int, path: str, wrong: str, right: str) -> Audited:
    return Audited(line, "", said(refuse(path, wrong, right)))


def json_lines(file: IO[bytes]) -> Iterator[Item]:
    """Lines of JSON with their numbers; empty ones are counted only. Unit: none. Section: none."""
    number = 0
    while True:
        line = file.readline(LONGEST_LINE + 1)
        if not line:
            return
        number += 1
        if len(line) > LONGEST_LINE and not line.endswith(b"\n"):
            while rest := file.readline(LONGEST_LINE):
                if rest.endswith(b"\n"):
                    break
            yield _bad(number, "file", *_TOO_LONG)
        elif line.strip():
            yield number, line


_TOO_LONG = (f"a line longer than {LONGEST_LINE:,} characters", "one job a line")


# ---------------------------------------------------------------- one row of CSV

# OWASP, CSV Injection: a spreadsheet takes a cell that begins so for a formula. The wide forms are the same signs.
_FORMULA = re.compile(r"'*\s*[=+\-@\t\r\n＝＋－＠]")


def guarded(text: str) -> str:
    """A text as a cell that no spreadsheet takes for a formula: with an apostrophe in front. Unit: none. Section: none."""
    return f"'{text}" if _FORMULA.match(text) else text


def _unguarded(cell: str) -> str:
    return cell[1:] if cell.startswith("'") and _FORMULA.match(cell[1:]) else cell


def job_from_row(row: Mapping[str, str | None]) -> dict[str, Any]:
    """A job from a row of CSV: each column is a dotted path, an empty cell is unknown, lists are separated by `;`.

    Raises nothing; what is wrong is found when the job is read. Unit: that of each field. Section: the contract.
    """
    job: dict[str, Any] = {"format": "platepath.job/1"}
    for path, text in row.items():
        if not text or not text.strip():
            continue
        place = job
        *parts, last = path.strip().split(".")
        for name in parts:
            inner: Any = place.setdefault(name, {})
            if not isinstance(inner, dict):
                break
            place = cast("dict[str, Any]", inner)
        else:
            place[last] = _cell(path.strip(), text.strip())
    return job


def kind_of(path: str) -> str | None:
    """How the fact at a path is asked for; None where no question asks for it. Unit: none. Section: none."""
    question = question_at(path)
    return question["kind"] if question else None


def _cell(path: str, text: str) -> Any:
    kind = kind_of(path)
    if kind in ("many", "number_list"):
        items = [
            part.strip() for part in text.split(";") if part.strip() and part.strip() != "none"
        ]
        return [_plain(item) for item in items]
    if kind == "choice" and not text.replace(".", "", 1).isdigit():
        return text
    if kind in ("text", "text_long", "date") or path.endswith(("size", "trade_size")):
        return _unguarded(text)
    return _plain(text)


def _plain(text: str) -> Any:
    if text.lower() in ("true", "yes"):
        return True
    if text.lower() in ("false", "no"):
        return False
    # Python reads 1_0 as ten; nobody who fills in a sheet does.
    if "_" in text:
        return text
    try:
        number = float(text)
    except ValueError:
        return text
    return int(number) if number.is_integer() and abs(number) < 1e15 else number


# ---------------------------------------------------------------- rows of CSV


class _Lines:
    """Lines of text with their numbers, which can be given back and read again."""

    def __init__(self, text: io.TextIOWrapper) -> None:
        self._text = text
        self._given_back: deque[tuple[int, str]] = deque()
        self._number = 0

    def __iter__(self) -> Iterator[tuple[int, str]]:
        return self

    def __next__(self) -> tuple[int, str]:
        if self._given_back:
            return self._given_back.popleft()
        line = self._text.readline(LONGEST_LINE + 1)
        if not line:
            raise StopIteration
        self._number += 1
        if len(line) > LONGEST_LINE and not line.endswith(("\n", "\r")):
            while rest := self._text.readline(LONGEST_LINE):
                if rest.endswith(("\n", "\r")):
                    break
        return self._number, line

    def give_back(self, lines: Sequence[tuple[int, str]]) -> None:
        self._given_back.extendleft(reversed(lines))


class _Row(NamedTuple):
    """One row as it was read: its lines, its cells, or why it is none."""

    lines: list[tuple[int, str]]
    cells: list[str]
    wrong: tuple[str, str] | None = None


_QUOTE = ("a quote that is not closed", "a quote at both ends of a cell, doubled inside it")
_LONG_CELL = (f"a cell of more than {csv.field_size_limit():,} characters", "shorter text")
_NOT_UTF_8 = ("not text in UTF-8", "the sheet saved as CSV in UTF-8")


def _row(lines: _Lines) -> _Row | None:
    taken: list[tuple[int, str]] = []

    def more() -> Iterator[str]:
        for each in lines:
            taken.append(each)
            yield each[1]
            if len(taken) == MOST_LINES_A_ROW:
                return

    try:
        cells = next(csv.reader(more(), strict=True), None)
    except csv.Error as error:
        return _Row(taken, [], _LONG_CELL if "field limit" in str(error) else _QUOTE)
    if cells is None:
        return None
    return _Row(taken, cells, _TOO_LONG if len(taken[0][1]) > LONGEST_LINE else None)


class _Sheet:
    """The columns of a CSV file, and what each row must be to fit them."""

    def __init__(self, columns: list[str]) -> None:
        self.columns = [column.strip() for column in columns]
        self._lines_allowed = {
            number
            for number, column in enumerate(self.columns)
            if kind_of(column) in ("text", "text_long")
        }
        self._needed = [self.columns.index(path) for path in NAMEPLATE if path in self.columns]

    def wrong(self) -> tuple[str, str] | None:
        """What makes every row unreadable, and what would be right."""
        named = [column for column in self.columns if column]
        for column, times in Counter(named).items():
            if times > 1:
                return f"column {column} appears {times} times", "each column once"
            if len(column) > _LONGEST_COLUMN:
                return (
                    f"{column[:_LONGEST_COLUMN]}… is not a column",
                    "the dotted path of a fact, separated by commas",
                )
        for column in named:
            for part in named:
                if part.startswith(f"{column}."):
                    return (
                        f"column {column} is the whole that column {part} is a part of",
                        f"no column {column}",
                    )
        if not _is_utf_8("".join(named)):
            return _NOT_UTF_8
        return None

    def runs_on(self, row: _Row) -> bool:
        """Whether several lines became one row because a quote was not closed."""
        if len(row.lines) == 1:
            return False
        cells = row.cells
        broken = [n for n, cell in enumerate(cells) if "\n" in cell or "\r" in cell]
        if any(number not in self._lines_allowed for number in broken):
            return True
        if any(number >= len(cells) or not cells[number].strip() for number in self._needed):
            return True
        # A note in the last column may begin on a line that has a cell for each column; nothing else may.
        last_only = broken == [len(self.columns) - 1]
        return any(self._like_a_row(text) for _, text in row.lines[last_only:-1])

    def _like_a_row(self, line: str) -> bool:
        parts = line.replace('"', "").split(",")
        return len(parts) == len(self.columns) and all(
            isinstance(_plain(parts[number].strip()), int | float) for number in self._needed
        )

    def item(self, row: _Row) -> Item:
        """The row as a job, or what is wrong with it."""
        line, cells = row.lines[0][0], row.cells
        spare = [cell for cell in cells[len(self.columns) :] if cell.strip()]
        if spare:
            count = f"{len(cells)} cells for {len(self.columns)} columns"
            return _bad(line, "row", count, "a cell for each column, text with commas in quotes")
        named = dict(zip(self.columns, cells, strict=False))
        for column, cell in zip(self.columns, cells, strict=False):
            if not _is_utf_8(cell):
                return _bad(line, column or "row", *_NOT_UTF_8)
            if not column and cell.strip():
                return _bad(line, "row", "a cell without a column name", "a name for its column")
        named.pop("", None)
        return line, json.dumps(job_from_row(named)).encode()


def _is_utf_8(text: str) -> bool:
    # What could not be decoded stands there as halves of letters, which cannot be encoded.
    if text.isascii():
        return True
    try:
        text.encode()
    except UnicodeEncodeError:
        return False
    return True


def csv_rows(file: IO[bytes]) -> Iterator[Item]:
    """Rows of CSV as jobs, with the number of the line on which each begins.

    A quote that is not closed costs its own line only. Raises Refusal for columns that no row can fit.
    Unit: none. Section: none.
    """
    text = io.TextIOWrapper(file, encoding="utf-8-sig", errors="surrogateescape", newline="")
    try:
        lines = _Lines(text)
        sheet = None
        while row := _row(lines):
            if row.wrong is None and not any(row.cells):
                continue
            if sheet is None:
                sheet = _Sheet(row.cells)
                if wrong := row.wrong or sheet.wrong():
                    raise refuse(f"line {row.lines[0][0]}", *wrong)
            elif row.wrong or sheet.runs_on(row):
                lines.give_back(row.lines[1:])
                yield _bad(row.lines[0][0], "row", *(row.wrong or _QUOTE))
            else:
                yield sheet.item(row)
    finally:
        # The file is the caller's, who asks how far it was read.
        text.detach()
