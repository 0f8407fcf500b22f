"""The work on all cores: batches of lines to processes, and their outcomes in order."""

import gc
import multiprocessing
import os
import signal
import threading
from collections.abc import Generator, Iterable, Iterator
from itertools import islice
from multiprocessing.connection import Connection
from queue import SimpleQueue

from engine.files.outputs import refused_by
from engine.files.refusals import Refusal, refuse
from engine.fleet.audit_line import audit_line
from engine.fleet.lines import Audited, Item

LINES_A_BATCH = 200
BATCHES_AHEAD = 4


def _audit_batch(batch: list[Item], full: bool) -> list[Audited]:
    return [
        item if isinstance(item, Audited) else audit_line(item[1], item[0], full=full)
        for item in batch
    ]


def batched(items: Iterable[Item]) -> Iterator[list[Item]]:
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


def audited_in_order(
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
