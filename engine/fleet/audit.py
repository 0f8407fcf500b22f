"""A fleet of jobs: one per line, streamed, on all cores, with flat memory, resumable.

`audit_line` of the module of that name is a pure function of one line of text; ordinary processes run it here, and any
engine for distributed work can run it elsewhere (tests/engine/test_fleet_on_dask.py shows one).
"""

import argparse
import csv
import io
import json
import os
import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, closing
from itertools import chain
from pathlib import Path
from typing import IO, Any, Protocol, cast

from engine.files.outputs import Printed, WholeLines, one_line, refused_by, say, standard_input
from engine.files.refusals import Refusal, refuse
from engine.fleet.lines import Audited, Item, csv_rows, guarded, json_lines
from engine.fleet.resumed import SUMMARY, Done, done_before, left_to_do, refuse_foreign
from engine.fleet.workers import audited_in_order, batched


class _Takes(Protocol):
    """Where lines go."""

    def write(self, lines: str) -> None: ...


class _Bar:
    """A progress bar on stderr by bytes read, where stderr is a terminal; a last line of counts everywhere."""

    def __init__(self, total: int) -> None:
        self.total = total
        stream = cast("IO[str] | None", sys.stderr)
        self.shows = stream is not None and stream.isatty()

    def step(self, done: int, jobs: int) -> None:
        if self.shows:
            share = min(1.0, done / self.total) if self.total else 0.0
            filled = int(30 * share)
            say(f"\r[{'#' * filled}{'.' * (30 - filled)}] {share:4.0%}  {jobs:,} jobs", end="")

    def end(self) -> None:
        if self.shows:
            say("")


def _open_input(name: str, stack: ExitStack) -> tuple[IO[bytes], int]:
    if name == "-":
        return standard_input(), 0
    try:
        file = stack.enter_context(Path(name).open("rb"))  # noqa: SIM115  (the stack closes it)
    except (OSError, ValueError) as error:
        raise refused_by(name, error, "a file of jobs, one per line") from None
    return file, os.fstat(file.fileno()).st_size


def _items(file: IO[bytes], name: str) -> Iterator[Item]:
    try:
        yield from csv_rows(file) if name.endswith(".csv") else json_lines(file)
    except OSError as error:
        raise refused_by(name, error, "a file that can be read to its end") from None
    except Refusal as refusal:
        raise Refusal(
            [p.model_copy(update={"path": f"{name}, {p.path}"}) for p in refusal.problems]
        ) from None


class _Writer:
    """Writes outcomes as JSON lines, or as CSV where the output is called so."""

    def __init__(self, out: _Takes, as_csv: bool) -> None:
        self._out = out
        self._as_csv = as_csv

    def begin(self) -> None:
        if self._as_csv:
            self._out.write(_sheet([SUMMARY]))

    def write(self, texts: Sequence[str]) -> None:
        if not texts:
            return
        if self._as_csv:
            self._out.write(_sheet(_cells(json.loads(text)) for text in texts))
        else:
            self._out.write("\n".join(texts) + "\n")


def _cells(row: Mapping[str, Any]) -> list[Any]:
    return [_cell(row[name]) for name in SUMMARY]


def _cell(value: Any) -> Any:
    if isinstance(value, list):
        return " ".join(cast("list[str]", value))
    return guarded(value) if isinstance(value, str) else value


def _sheet(rows: Iterable[Iterable[Any]]) -> str:
    text = io.StringIO(newline="")
    csv.writer(text).writerows(rows)
    return text.getvalue()


def _workers(asked: int | None) -> int:
    """As many processes as were asked for, and never more than cores."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    most = cores or 1
    if asked is None:
        return most
    if asked < 1:
        raise refuse("--workers", f"{asked} cannot do the work", "1 or more")
    if asked > most:
        say(f"--workers: {most} of {asked} are used, as many as there are cores")
    return min(asked, most)


def _refuse_together(args: argparse.Namespace, as_csv: bool) -> None:
    if args.resume and not args.output:
        raise refuse("--resume", "goes on with a file", "-o and the output of the earlier run")
    if args.resume and (as_csv or args.full):
        raise refuse(
            "--resume",
            "goes with a summary in JSON lines only",
            "no --full and an output ending in .jsonl",
        )
    if as_csv and args.full:
        raise refuse("--full", "does not go with CSV", "an output ending in .jsonl")


def audit(args: argparse.Namespace) -> int:
    """Run `python -m engine audit`: 0 when the file was read to its end, whatever the lines held.

    Raises Refusal for an input or output that cannot be used. Unit: none. Section: none.
    """
    as_csv = bool(args.output) and args.output.endswith(".csv")
    _refuse_together(args, as_csv)
    workers = _workers(args.workers)
    with ExitStack() as stack:
        file, total = _open_input(args.jobs, stack)
        items, done = _items(file, args.jobs), Done()
        kept = None
        if args.output:
            kept = stack.enter_context(closing(WholeLines(args.output, args.jobs)))
            if args.resume:
                done = done_before(kept)
                items = left_to_do(items, done, args.output)
            else:
                refuse_foreign(kept)
        writer = _Writer(kept or Printed(args.jobs), as_csv)
        answered = stack.enter_context(
            closing(audited_in_order(batched(items), workers, args.full))
        )
        # An earlier output is replaced only when there is something to write.
        nothing: list[Audited] = []
        first = next(answered, nothing)
        if kept:
            kept.begin(done.size)
        writer.begin()
        bar, jobs, refused = _Bar(total), 0, 0
        stack.callback(bar.end)
        for outcomes in chain([first], answered):
            writer.write([audited.text for audited in outcomes if not audited.refused])
            for audited in outcomes:
                if audited.refused:
                    refused += 1
                    say(one_line(f"line {audited.line}: {audited.refused}"))
                else:
                    jobs += 1
            bar.step(file.tell() if total and args.jobs != "-" else 0, jobs)
    from_line = f", from line {done.line + 1}" if done.line else ""
    say(f"{jobs:,} jobs evaluated, {refused:,} lines refused{from_line}")
    return 0
