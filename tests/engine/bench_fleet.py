"""`python3 dev.py bench --fleet`: fleets of growing size through `python -m engine audit`, streamed.

Prints what a process needs to start, then for each size how many jobs a second of processor time went through on one
core, with that start and without it, how many a second of the clock on all cores, and the most memory that one process
used. Linear: the figure without the start does not fall. Flat: the memory does not grow.
The jobs are the demo jobs with their powers, devices and lengths varied; they come through a pipe, never as a file.
"""

import argparse
import json
import os
import random
import statistics
import subprocess
import sys
import time
from collections.abc import Iterable, Iterator
from itertools import chain, islice
from typing import IO

from web.build.tools import ROOT

SIZES = (1_000, 10_000, 100_000)
STARTS = 5
LEAST = 100
MADE_BEFOREHAND = 10_000
# Facts that differ from unit to unit in a fleet; our own scenario.
VARIED = {
    "transformer.kva": (15, 30, 45, 75, 112.5, 150),
    "primary.device.rating": (40, 70, 100, 125, 150, 225),
    "secondary.protection.rating": (100, 125, 150, 200, 225, 400),
    "secondary.conductors.length_feet": (6, 9, 12, 18, 24, 30),
    "electrode.conductor.size": ("6", "4", "2", "1/0"),
    "bonding.system_bonding_jumper.size": ("6", "4", "2", "1/0"),
}


def fleet() -> Iterator[bytes]:
    """Jobs without end, one a line, the same ones in every run."""
    demo = [path.read_text("utf-8") for path in sorted((ROOT / "fixtures/jobs").glob("*.json"))]
    chance = random.Random(450)
    while True:
        for text in demo:
            job = json.loads(text)
            for path, values in VARIED.items():
                *parts, last = path.split(".")
                place = job
                for part in parts:
                    place = place.setdefault(part, {})
                place[last] = chance.choice(values)
            yield json.dumps(job, separators=(",", ":")).encode() + b"\n"


def audited(size: int, workers: int) -> tuple[float, float, float]:
    """Seconds of the clock, seconds of processor time and peak memory [MB] of one audit."""
    jobs = fleet()
    # Made beforehand as far as memory does not mind: what makes jobs beside the audit takes processor time from it.
    made = list(islice(jobs, min(size, MADE_BEFOREHAND)))
    command = [sys.executable, "-m", "engine", "audit", "-", "-o", os.devnull]
    process = subprocess.Popen(
        [*command, "--workers", str(workers)],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
    )
    assert process.stdin is not None
    began = time.perf_counter()
    _pour(process.stdin, chain(made, islice(jobs, size - len(made))))
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise SystemExit(f"The audit of {size:,} jobs ended with {process.returncode}.")
    return time.perf_counter() - began, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def _pour(pipe: IO[bytes], lines: Iterable[bytes]) -> None:
    with pipe:
        pipe.writelines(lines)


def main() -> int:
    """Measures and prints."""
    parser = argparse.ArgumentParser(prog="python3 dev.py bench --fleet", description=__doc__)
    parser.add_argument("sizes", nargs="*", type=int, default=SIZES, help="numbers of jobs")
    chosen = parser.parse_args()
    if min(chosen.sizes) < LEAST:
        parser.error(f"below {LEAST} jobs the start of the process is all there is to measure")
    cores = os.cpu_count() or 1
    start = statistics.median(audited(1, 1)[1] for _ in range(STARTS))
    print(
        f"a process starts and audits one job in {start * 1000:.0f} ms of processor time",
        flush=True,
    )
    for size in chosen.sizes:
        for workers in dict.fromkeys((1, cores)):
            clock, processor, peak = audited(size, workers)
            print(
                f"{size:>9,} jobs, {workers} worker{'s' if workers > 1 else ''}: "
                f"{size / processor:6.0f} a second of processor time, "
                f"{(size - 1) / (processor - start):6.0f} without the start, {size / clock:6.0f} a second of the clock, "
                f"peak {peak:4.0f} MB a process",
                flush=True,
            )
    return 0


if __name__ == "__main__":
    sys.exit(main())
