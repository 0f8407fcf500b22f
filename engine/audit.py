"""A fleet of jobs: one a line, streamed, over all cores, with flat memory, resumable.

`audit_line` is a pure function of one line of text; an ordinary process pool runs it here, and any engine for
distributed work can run it elsewhere (tests/engine/test_fleet_on_dask.py shows one).
"""

import argparse
import csv
import gc
import io
import json
import os
import sys
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from contextlib import ExitStack
from functools import lru_cache
from itertools import islice
from operator import attrgetter
from pathlib import Path
from typing import IO, Any, NamedTuple, cast

from engine.base import PartRecord
from engine.code import code_for
from engine.contradictions import contradictions, doubted_by, without_doubted
from engine.evaluate import (
    RULES,
    Outcome,
    asked_ids,
    evaluate,
    outcome_of,
    overall_of,
    without_assumed,
)
from engine.job import NAMEPLATE, Job, Transformer
from engine.questions import question_at
from engine.refusals import Refusal, job_from_text, refuse
from engine.rules.rule import Rule
from engine.site import Site

LINES_A_BATCH = 200
BATCHES_AHEAD = 4
LONGEST_LINE = 2_000_000
SUMMARY = (
    *(
        "line",
        "name",
        "place",
        "overall",
        "does_not_meet",
        "cannot_tell",
        "meets",
        "contradictions",
    ),
)


# In a fleet the same facts come again and again: so many verdicts are kept, some 60 MB at most.
VERDICTS_KEPT = 65536
PLATES_KEPT = 4096
_NOTHING_READ = Job.model_construct(transformer=Transformer.model_construct())


class _Facts:
    """Some facts of a job: `read` as a row that can be looked up again, and `put` into a job that lacks them."""

    def __init__(self, asked: Sequence[str]) -> None:
        # With these two in front it is a row of facts, however few are asked for.
        paths = ("format", "edition", *asked)
        self._read: Callable[[Job], tuple[Any, ...]] = attrgetter(*paths)
        self._places = _Places(
            {number: tuple(path.split(".")) for number, path in enumerate(paths)}
        )
        # A list cannot be looked up: it is kept as a tuple, and given back as the list it was.
        self._lists = [
            number for number, path in enumerate(paths) if _kind(path) in ("many", "number_list")
        ]
        self.read = self._read_lists if self._lists else self._read

    def _read_lists(self, job: Job) -> tuple[Any, ...]:
        return self._exchanged(self._read(job), list, tuple)

    def put(self, job: Job, facts: tuple[Any, ...]) -> Job:
        """The job with the facts in their places. Unit: that of each fact. Section: none."""
        return self._places.filled(job, self._exchanged(facts, tuple, list))

    def _exchanged(
        self, facts: tuple[Any, ...], kind: type, other: Callable[[Any], Any]
    ) -> tuple[Any, ...]:
        exchanged = [*facts]
        for number in self._lists:
            if isinstance(exchanged[number], kind):
                exchanged[number] = other(exchanged[number])
        return tuple(exchanged)


class _Places:
    """Where facts belong below a record: which of a row of facts goes into which field."""

    def __init__(self, paths: Mapping[int, tuple[str, ...]]) -> None:
        self._here: list[tuple[str, int]] = []
        below: dict[str, dict[int, tuple[str, ...]]] = {}
        for number, (name, *rest) in paths.items():
            if rest:
                below.setdefault(name, {})[number] = tuple(rest)
            else:
                self._here.append((name, number))
        self._below = [(name, _Places(more)) for name, more in below.items()]

    def filled(self, record: PartRecord, facts: Sequence[Any]) -> PartRecord:
        """A copy of the record with the facts in their places. Unit: that of each fact. Section: none."""
        here = {name: facts[number] for name, number in self._here}
        for name, places in self._below:
            here[name] = places.filled(getattr(record, name), facts)
        return record.but(here)


@lru_cache(maxsize=1)
def _nameplate() -> _Facts:
    return _Facts(sorted(NAMEPLATE))


@lru_cache(maxsize=PLATES_KEPT)
def _plate(facts: tuple[Any, ...]) -> Site:
    job = _nameplate().put(_NOTHING_READ, facts)
    return Site(job, code_for(job.edition))


def _plate_of(job: Job) -> Site:
    """What every rule may read: the edition, and a job of which the nameplate is known and nothing else."""
    return _plate(_nameplate().read(job))


class _Asked:
    """A rule's verdicts, each worked out once for the nameplate and the facts it asks for.

    It is given those facts and no others, so that what is kept cannot hang on anything else: a fact that it reads and
    does not ask for is unknown to it.
    """

    def __init__(self, rule: Rule) -> None:
        self.rule = rule
        self._facts = _Facts([path for path in dict.fromkeys(rule.asks) if path not in NAMEPLATE])

    def outcome(self, plate: Site, job: Job) -> Outcome:
        """The verdict on a job with this nameplate. Unit: none. Section: the rule's own."""
        return _kept_outcome(self, plate, self._facts.read(job))

    def judged(self, plate: Site, facts: tuple[Any, ...]) -> Outcome:
        """The verdict on facts in the order of the paths. Unit: none. Section: the rule's own."""
        return outcome_of(self.rule, Site(self._facts.put(plate.job, facts), plate.code))


@lru_cache(maxsize=VERDICTS_KEPT)
def _kept_outcome(asked: _Asked, plate: Site, facts: tuple[Any, ...]) -> Outcome:
    return asked.judged(plate, facts)


class Audited(NamedTuple):
    """The outcome of one line: text to write, or what is wrong with it."""

    line: int
    text: str
    refused: str = ""


@lru_cache(maxsize=1)
def _asked() -> list[_Asked]:
    return [_Asked(rule) for rule in RULES]


def _outcomes(read: Job, doubted: frozenset[str]) -> Iterator[tuple[Rule, Outcome]]:
    """Each rule's outcome; where facts contradict each other nothing kept from other jobs is used."""
    if doubted:
        site = Site(without_doubted(read, doubted), code_for(read.edition), doubted)
        yield from ((rule, outcome_of(rule, site)) for rule in RULES)
        return
    plate = _plate_of(read)
    yield from ((each.rule, each.outcome(plate, read)) for each in _asked())


def summary(text: str | bytes, line: int) -> dict[str, Any]:
    """The verdicts of one job in short: overall, and the ids of the checks by verdict.

    Raises Refusal. Unit: none. Section: each check's own.
    """
    job, _ = job_from_text(text)
    read = without_assumed(job)
    by_verdict: dict[str, list[str]] = {"does_not_meet": [], "cannot_tell": [], "meets": []}
    asked = asked_ids(job)
    clashes = contradictions(read)
    severe: dict[str, int] = {"does_not_meet": 0, "cannot_tell": 0}
    for rule, (verdict, severity) in _outcomes(read, doubted_by(clashes)):
        counts = verdict == "does_not_meet" or rule.id in asked
        if counts and verdict in by_verdict:
            by_verdict[verdict].append(rule.id)
            if verdict in severe and severity != "advice":
                severe[verdict] += 1
    return {
        "line": line,
        "name": job.name,
        "place": job.place,
        "overall": overall_of(severe["does_not_meet"], severe["cannot_tell"], len(clashes)),
        **by_verdict,
        "contradictions": [clash.id for clash in clashes],
    }


def audit_line(text: str | bytes, line: int, *, full: bool = False) -> Audited:
    """One line to one line; a bad one comes back with the reason. Never raises. Unit: none. Section: none."""
    try:
        if full:
            job, _ = job_from_text(text)
            return Audited(line, evaluate(job).model_dump_json())
        return Audited(
            line, json.dumps(summary(text, line), ensure_ascii=False, separators=(",", ":"))
        )
    except Refusal as refusal:
        said = "; ".join(
            f"{p.path}: {p.wrong}; would be right: {p.right}" for p in refusal.problems
        )
        return Audited(line, "", said)


def _audit_batch(batch: list[tuple[int, bytes]], full: bool) -> list[Audited]:
    return [audit_line(text, line, full=full) for line, text in batch]


def _lines(file: IO[bytes]) -> Iterator[tuple[int, bytes]]:
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
            line = line[:100]
        if line.strip():
            yield number, line


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
        place[last] = _cell(path.strip(), text.strip())
    return job


def _kind(path: str) -> str | None:
    question = question_at(path)
    return question["kind"] if question else None


def _cell(path: str, text: str) -> Any:
    kind = _kind(path)
    if kind in ("many", "number_list"):
        items = [
            part.strip() for part in text.split(";") if part.strip() and part.strip() != "none"
        ]
        return [_plain(item) for item in items]
    if kind == "choice" and not text.replace(".", "", 1).isdigit():
        return text
    if kind in ("text", "text_long", "date") or path.endswith(("size", "trade_size")):
        return text
    return _plain(text)


def _plain(text: str) -> Any:
    if text.lower() in ("true", "yes"):
        return True
    if text.lower() in ("false", "no"):
        return False
    try:
        number = float(text)
    except ValueError:
        return text
    return int(number) if number.is_integer() and abs(number) < 1e15 else number


def _rows(file: IO[bytes]) -> Iterator[tuple[int, bytes]]:
    text = io.TextIOWrapper(file, encoding="utf-8-sig", errors="replace", newline="")
    reader = csv.DictReader(text)
    for row in reader:
        cells = {k: v for k, v in row.items() if k is not None and not isinstance(v, list)}
        yield reader.line_num, json.dumps(job_from_row(cells)).encode()


def _batches(lines: Iterable[tuple[int, bytes]]) -> Iterator[list[tuple[int, bytes]]]:
    """The first line by itself, then so many at a time."""
    lines = iter(lines)
    yield from ([line] for line in islice(lines, 1))
    while batch := list(islice(lines, LINES_A_BATCH)):
        yield batch


def _in_order(
    batches: Iterable[list[tuple[int, bytes]]], workers: int, full: bool
) -> Iterator[list[Audited]]:
    """The batches' outcomes in the order of the lines, with a bounded number of them under way.

    The first batch is done before the work is shared out: where processes are forked, schema, tables and rules are
    then made once for all.
    """
    batches = iter(batches)
    for batch in islice(batches, 1):
        yield _audit_batch(batch, full)
    gc.freeze()
    if workers == 1:
        for batch in batches:
            yield _audit_batch(batch, full)
        return
    with ProcessPoolExecutor(workers) as pool:
        under_way: deque[Future[list[Audited]]] = deque()
        for batch in batches:
            under_way.append(pool.submit(_audit_batch, batch, full))
            if len(under_way) >= workers * BATCHES_AHEAD:
                yield under_way.popleft().result()
        while under_way:
            yield under_way.popleft().result()


def _done_before(path: Path) -> int:
    """The last line whose outcome stands whole in the output; a half-written last line is cut off."""
    if not path.exists():
        return 0
    last, good = 0, 0
    with path.open("rb+") as file:
        for line in file:
            if not line.endswith(b"\n"):
                break
            try:
                last = int(json.loads(line)["line"])
            except (ValueError, KeyError, TypeError):
                break
            good += len(line)
        file.truncate(good)
    return last


class _Bar:
    """A progress bar on stderr by bytes read, where stderr is a terminal; a last line of counts everywhere."""

    def __init__(self, total: int) -> None:
        self.total = total
        self.shows = sys.stderr.isatty()

    def step(self, done: int, jobs: int) -> None:
        if self.shows:
            share = min(1.0, done / self.total) if self.total else 0.0
            filled = int(30 * share)
            print(
                f"\r[{'#' * filled}{'.' * (30 - filled)}] {share:4.0%}  {jobs:,} jobs",
                end="",
                file=sys.stderr,
            )

    def end(self) -> None:
        if self.shows:
            print(file=sys.stderr)


def _open_input(name: str, stack: ExitStack) -> tuple[IO[bytes], int]:
    if name == "-":
        return sys.stdin.buffer, 0
    try:
        file = stack.enter_context(Path(name).open("rb"))  # noqa: SIM115  (the stack closes it)
    except OSError as error:
        raise refuse(
            name, (error.strerror or "cannot be read").lower(), "a file of jobs, one a line"
        ) from None
    return file, os.fstat(file.fileno()).st_size


class _Writer:
    """Writes outcomes as JSON lines, or as CSV where the output is called so."""

    def __init__(self, out: IO[str], as_csv: bool) -> None:
        self.out = out
        self.rows = csv.writer(out) if as_csv else None
        if self.rows:
            self.rows.writerow(SUMMARY)

    def write(self, audited: Audited) -> None:
        if self.rows is None:
            self.out.write(audited.text + "\n")
            return
        data = json.loads(audited.text)
        self.rows.writerow(
            [" ".join(data[k]) if isinstance(data[k], list) else data[k] for k in SUMMARY]
        )


def audit(args: argparse.Namespace) -> int:
    """Run `python -m engine audit`: 0 when the file was read to its end, whatever the lines held.

    Raises Refusal for an input or output that cannot be opened. Unit: none. Section: none.
    """
    workers = max(1, args.workers or os.cpu_count() or 1)
    with ExitStack() as stack:
        file, total = _open_input(args.jobs, stack)
        as_csv = bool(args.output) and args.output.endswith(".csv")
        done = 0
        if args.output:
            if args.resume and (as_csv or args.full):
                raise refuse(
                    "--resume",
                    "goes with a summary in JSON lines only",
                    "no --full and an output ending in .jsonl",
                )
            path = Path(args.output)
            done = _done_before(path) if args.resume else 0
            try:
                out = stack.enter_context(
                    path.open("a" if done else "w", encoding="utf-8", newline="")
                )
            except OSError as error:
                raise refuse(
                    args.output, (error.strerror or "cannot be written").lower(), "a path to write"
                ) from None
        else:
            out = sys.stdout
        if as_csv and args.full:
            raise refuse("--full", "does not go with CSV", "an output ending in .jsonl")
        writer = _Writer(out, as_csv)
        numbered = _rows(file) if args.jobs.endswith(".csv") else _lines(file)
        left = ((number, line) for number, line in numbered if number > done)
        bar, jobs, refused = _Bar(total), 0, 0
        for outcomes in _in_order(_batches(left), workers, args.full):
            for audited in outcomes:
                if audited.refused:
                    refused += 1
                    print(f"line {audited.line}: {audited.refused}", file=sys.stderr)
                else:
                    jobs += 1
                    writer.write(audited)
            bar.step(file.tell() if total and not file.closed and args.jobs != "-" else 0, jobs)
        bar.end()
        print(
            f"{jobs:,} jobs evaluated, {refused:,} lines refused{f', from line {done + 1}' if done else ''}",
            file=sys.stderr,
        )
    return 0
