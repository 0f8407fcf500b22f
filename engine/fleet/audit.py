"""A fleet of jobs: one per line, streamed, on all cores, with flat memory, resumable.

`audit_line` is a pure function of one line of text; an ordinary process pool runs it here, and any engine for
distributed work can run it elsewhere (tests/engine/test_fleet_on_dask.py shows one).
"""

import argparse
import csv
import gc
import io
import json
import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, closing
from functools import lru_cache
from itertools import chain, islice
from multiprocessing.connection import Connection
from operator import attrgetter, itemgetter
from pathlib import Path
from queue import SimpleQueue
from typing import IO, Any, NamedTuple, Protocol, cast

from engine.code import code_for
from engine.evaluation.evaluate import evaluate, without_assumed
from engine.evaluation.judge import outcome_of
from engine.evaluation.judged import ASKED_OF_ALL_RUNS, Outcome, is_judged_by_run, worst
from engine.evaluation.order import RULES
from engine.evaluation.overall import overall_of
from engine.evaluation.visits import asked_ids
from engine.files.outputs import (
    Printed,
    WholeLines,
    fault,
    one_line,
    refused_by,
    say,
    standard_input,
)
from engine.files.refusals import Refusal, job_from_text, refuse
from engine.fleet.lines import (
    LONGEST_LINE,
    Audited,
    Item,
    csv_rows,
    guarded,
    job_from_row,
    json_lines,
    said,
)
from engine.job import NAMEPLATE, Job, Transformer
from engine.job.base import PartRecord
from engine.job.runs import job_of_run, run_count
from engine.job.site import Site
from engine.judging.contradictions.found import contradictions, doubted_by, without_doubted
from engine.rules.rule import Rule
from engine.wizard.questions import question_at

__all__ = ["LONGEST_LINE", "Audited", "audit", "audit_line", "job_from_row", "summary"]

LINES_A_BATCH = 200
BATCHES_AHEAD = 4
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


def _kind(path: str) -> str | None:
    question = question_at(path)
    return question["kind"] if question else None


class _Facts:
    """Some facts of a job: `read` as a row that can be looked up again, and `put` into a job that lacks them."""

    def __init__(self, asked: Sequence[str]) -> None:
        # A visit and an edition are of every job; with these two in front it is a row, however few facts are asked for.
        self.paths = ("purpose", "edition", *asked)
        self._read: Callable[[Job], tuple[Any, ...]] = attrgetter(*self.paths)
        self._places = _Places(
            {number: tuple(path.split(".")) for number, path in enumerate(self.paths)}
        )
        # A list cannot be looked up: it is kept as a tuple, and given back as the list it was.
        self._lists = [
            number
            for number, path in enumerate(self.paths)
            if _kind(path) in ("many", "number_list")
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
def _plate(facts: tuple[Any, ...], doubted: frozenset[str]) -> Site:
    job = without_doubted(_nameplate().put(_NOTHING_READ, facts), doubted)
    return Site(job, code_for(job.edition))


def _plate_of(job: Job, doubted: frozenset[str]) -> Site:
    """What every rule may read: the edition, and a job of which the nameplate is known, but for what is doubted."""
    return _plate(_nameplate().read(job), doubted)


class _Asked:
    """A rule's verdicts, each worked out once for the nameplate and the facts it asks for.

    It is given those facts and no others, so that what is kept cannot hang on anything else: a fact that it reads and
    does not ask for is unknown to it.
    """

    def __init__(self, rule: Rule) -> None:
        self.rule = rule
        paths = [path for path in dict.fromkeys(rule.asks) if path not in NAMEPLATE]
        self._facts = _Facts(paths)
        numbers = {path: number for number, path in enumerate(_row().paths)}
        self._among = itemgetter(*(numbers[path] for path in self._facts.paths))
        beside = rule.for_run(1)
        # Of a run beside the first another verdict is kept where the rule judges it by other facts.
        self.beside: _Asked = self if beside is rule else _Asked(beside._replace(judge_beside=None))

    def outcome(self, plate: Site, row: tuple[Any, ...]) -> Outcome:
        """The verdict on a job with this nameplate and row of facts. Unit: none. Section: the rule's own."""
        return _kept_outcome(self, plate, self._among(row))

    def judged(self, plate: Site, facts: tuple[Any, ...]) -> Outcome:
        """The verdict on facts in the order of the paths. Unit: none. Section: the rule's own."""
        return outcome_of(self.rule, Site(self._facts.put(plate.job, facts), plate.code))


@lru_cache(maxsize=1)
def _row() -> _Facts:
    """All facts that rules ask for, read once a job."""
    return _Facts(sorted({path for rule in RULES for path in rule.asks} - NAMEPLATE))


@lru_cache(maxsize=VERDICTS_KEPT)
def _kept_outcome(asked: _Asked, plate: Site, facts: tuple[Any, ...]) -> Outcome:
    return asked.judged(plate, facts)


@lru_cache(maxsize=1)
def _asked() -> list[_Asked]:
    return [_Asked(rule) for rule in RULES]


def _outcomes(read: Job, doubted: frozenset[str]) -> Iterator[tuple[Rule, Outcome]]:
    """Each rule's outcome. What is doubted is as unknown as what nobody read; that it is doubted changes words alone."""
    on_nameplate = doubted & NAMEPLATE
    plate = _plate_of(read, on_nameplate)
    known = without_doubted(read, doubted - on_nameplate)
    if known.secondary.further_runs:
        site = Site(without_doubted(known, on_nameplate), plate.code)
        yield from _outcomes_of_runs(known, plate, site)
        return
    row = _row().read(known)
    yield from ((each.rule, each.outcome(plate, row)) for each in _asked())


def _outcomes_of_runs(read: Job, plate: Site, site: Site) -> Iterator[tuple[Rule, Outcome]]:
    """Each rule's outcome where several secondary runs are fed: what is kept of one run holds for the same run elsewhere."""
    row = _row().read(read)
    runs = [_row().read(job_of_run(read, number)) for number in range(run_count(read))]
    for each in _asked():
        if is_judged_by_run(each.rule):
            yield (
                each.rule,
                worst(
                    [
                        (each.beside if number else each).outcome(plate, run)
                        for number, run in enumerate(runs)
                    ]
                ),
            )
        elif each.rule.id in ASKED_OF_ALL_RUNS:
            yield each.rule, outcome_of(each.rule, site)
        else:
            yield each.rule, each.outcome(plate, row)


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
    for rule, (verdict, severity, told_unasked) in _outcomes(read, doubted_by(clashes)):
        counts = verdict == "does_not_meet" or rule.id in asked or told_unasked
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
            whole = evaluate(job).model_dump_json()
            return Audited(line, f'{{"line":{line},{whole[1:]}')
        return Audited(
            line, json.dumps(summary(text, line), ensure_ascii=False, separators=(",", ":"))
        )
    except Refusal as refusal:
        return Audited(line, "", said(refusal))
    except Exception as error:  # one line must not cost the others theirs
        return Audited(line, "", fault(error))


def _audit_batch(batch: list[Item], full: bool) -> list[Audited]:
    return [
        item if isinstance(item, Audited) else audit_line(item[1], item[0], full=full)
        for item in batch
    ]


def _batches(items: Iterable[Item]) -> Iterator[list[Item]]:
    """The first line by itself, then so many at a time."""
    items = iter(items)
    yield from ([item] for item in islice(items, 1))
    while batch := list(islice(items, LINES_A_BATCH)):
        yield batch


def _work(batches: Connection, other_end: Connection, full: bool) -> None:
    """A worker: batches in, outcomes out, until the other end is closed, by whatever ended the parent."""
    # Ctrl-C reaches every process of a terminal; the parent answers it.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    other_end.close()
    waiting: SimpleQueue[list[Item]] = SimpleQueue()
    threading.Thread(target=_take, args=(batches, waiting), daemon=True).start()
    while True:
        batches.send(_audit_batch(waiting.get(), full))


def _take(batches: Connection, waiting: "SimpleQueue[list[Item]]") -> None:
    # Always reading, so that the parent never waits for a worker that waits for the parent.
    try:
        while True:
            waiting.put(batches.recv())
    except (EOFError, OSError):
        os._exit(0)


class _Workers:
    """Processes that each have a pipe of their own.

    A pool of the standard library shares one queue, and can wait for ever when a worker is killed while it is written.
    """

    def __init__(self, count: int, full: bool) -> None:
        self._processes: list[multiprocessing.Process] = []
        self._pipes: list[Connection] = []
        try:
            for _ in range(count):
                ours, theirs = multiprocessing.Pipe()
                self._pipes.append(ours)
                worker = multiprocessing.Process(
                    target=_work, args=(theirs, ours, full), daemon=True
                )
                worker.start()
                self._processes.append(worker)
                theirs.close()
        except OSError as error:
            self.end()
            raise refused_by("--workers", error, "1, or what the system allows") from None

    def give(self, number: int, batch: list[Item]) -> None:
        try:
            self._pipes[number % len(self._pipes)].send(batch)
        except OSError:
            raise _ended_from_outside() from None

    def take(self, number: int) -> list[Audited]:
        try:
            return self._pipes[number % len(self._pipes)].recv()
        except (EOFError, OSError):
            raise _ended_from_outside() from None

    def end(self) -> None:
        for worker in self._processes:
            worker.kill()
        for worker in self._processes:
            worker.join()
        for pipe in self._pipes:
            pipe.close()


def _ended_from_outside() -> Refusal:
    return refuse(
        "--workers",
        "a worker was ended from outside, perhaps out of memory",
        "fewer workers; --resume goes on after the last line written",
    )


def _in_order(
    batches: Iterable[list[Item]], count: int, full: bool
) -> Generator[list[Audited], None, None]:
    """The batches' outcomes in the order of the lines, with a bounded number of them under way.

    The first batch is done before the work is split up: where processes are forked, schema, tables and rules are
    then made once for all.
    """
    batches = iter(batches)
    for batch in islice(batches, 1):
        yield _audit_batch(batch, full)
    gc.freeze()
    if count == 1:
        for batch in batches:
            yield _audit_batch(batch, full)
        return
    workers, taken, given = _Workers(count, full), 0, 0
    try:
        for batch in batches:
            workers.give(given, batch)
            given += 1
            if given - taken == count * BATCHES_AHEAD:
                yield workers.take(taken)
                taken += 1
        while taken < given:
            yield workers.take(taken)
            taken += 1
    finally:
        workers.end()


# ---------------------------------------------------------------- output


class _Takes(Protocol):
    """Where lines go."""

    def write(self, lines: str) -> None: ...


class _Done(NamedTuple):
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


def _row_of_summary(line: bytes) -> _Done | None:
    try:
        row: Any = json.loads(line)
    except ValueError:
        return None
    if not isinstance(row, dict):
        return None
    cells = cast("dict[str, Any]", row)
    if not _IN_EVERY_ROW <= cells.keys() <= {*SUMMARY} or type(cells["line"]) is not int:
        return None
    return _Done(cells["line"], str(cells["name"]), str(cells["place"]))


def _done_before(out: WholeLines) -> _Done:
    """The last row whose outcome stands whole in the output; a half-written last line does not count.

    Raises Refusal where the output holds anything else: it is not ours to cut.
    """
    done, size = _Done(), 0
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


def _refuse_foreign(out: WholeLines) -> None:
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


def _left(items: Iterator[Item], done: _Done, name: str) -> Iterator[Item]:
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
        items, done = _items(file, args.jobs), _Done()
        kept = None
        if args.output:
            kept = stack.enter_context(closing(WholeLines(args.output, args.jobs)))
            if args.resume:
                done = _done_before(kept)
                items = _left(items, done, args.output)
            else:
                _refuse_foreign(kept)
        writer = _Writer(kept or Printed(args.jobs), as_csv)
        answered = stack.enter_context(closing(_in_order(_batches(items), workers, args.full)))
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
