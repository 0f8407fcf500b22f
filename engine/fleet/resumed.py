"""Going on with an earlier run: the last outcome that stands whole in the output, and the input after it."""

import json
from collections.abc import Iterator
from itertools import islice
from typing import Any, NamedTuple, cast

from engine.files.outputs import WholeLines
from engine.files.refusals import Refusal, job_from_text, refuse
from engine.fleet.lines import Audited, Item

# The columns of a summary.
SUMMARY = (
    "line",
    "name",
    "place",
    "overall",
    "does_not_meet",
    "cannot_tell",
    "meets",
    "contradictions",
)


class Done(NamedTuple):
    """How far an earlier run came: the last row that stands whole in the output, and where it ends."""

    line: int = 0
    name: str = ""
    place: str = ""
    size: int = 0


_FIRST_OF_ROW = b'{"line":'
_FIRST_OF_RESULT = b'{"format":"platepath.result/'
_FIRST_OF_SHEET = b"line,name,place,overall,"
# Earlier versions wrote these; what came later may be missing.
_IN_EVERY_ROW = {"line", "name", "place", "overall", "does_not_meet", "cannot_tell", "meets"}
_LONGEST_ROW = 50_000_000


def _row_of_summary(line: bytes) -> Done | None:
    try:
        row: Any = json.loads(line)
    except ValueError:
        return None
    if not isinstance(row, dict):
        return None
    cells = cast("dict[str, Any]", row)
    if not _IN_EVERY_ROW <= cells.keys() <= {*SUMMARY} or type(cells["line"]) is not int:
        return None
    return Done(cells["line"], str(cells["name"]), str(cells["place"]))


def done_before(out: WholeLines) -> Done:
    """The last row whose outcome stands whole in the output; a half-written last line does not count.

    Raises Refusal where the output holds anything else: it is not ours to cut.
    """
    done, size = Done(), 0
    for number, line in enumerate(out.written(_LONGEST_ROW), 1):
        if not line.endswith(b"\n"):
            # After a loss of power a file may end in zeros.
            left = line.rstrip(b"\0")[: len(_FIRST_OF_ROW)]
            if _FIRST_OF_ROW.startswith(left):
                break
        row = _row_of_summary(line)
        if row is None or row.line <= done.line:
            raise refuse(
                out.name,
                f"line {number} is not a row of this audit's summary; nothing was changed",
                "the output of the run to go on with, or a new file without --resume",
            )
        size += len(line)
        done = row._replace(size=size)
    return done


def refuse_foreign(out: WholeLines) -> None:
    """Raises Refusal where the output holds what no audit wrote: it is not ours to replace."""
    for line in islice(out.written(_LONGEST_ROW), 1):
        row = line.startswith(_FIRST_OF_ROW) and (b'"overall":' in line or not line.endswith(b"\n"))
        if row or line.startswith(_FIRST_OF_RESULT) or line.startswith(_FIRST_OF_SHEET):
            return
        raise refuse(
            out.name,
            "holds something that is not the output of an audit; nothing was changed",
            "a new file, or an earlier output of this call",
        )


def left_to_do(items: Iterator[Item], done: Done, name: str) -> Iterator[Item]:
    """What comes after the last line done. Raises Refusal where that is not the outcome of this input."""
    if not done.line:
        return items
    for item in items:
        if item[0] >= done.line:
            if item[0] == done.line and _names(item) == (done.name, done.place):
                return items
            break
    raise refuse(
        name,
        f"line {done.line} is not the outcome of line {done.line} of this input; nothing was changed",
        "the output of a run over the same input",
    )


def _names(item: Item) -> tuple[str, str] | None:
    if isinstance(item, Audited):
        return None
    try:
        job, _ = job_from_text(item[1])
    except Refusal:
        return None
    return job.name, job.place
