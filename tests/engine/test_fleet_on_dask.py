"""A fleet on an existing distributed engine: the fleet's own unit, `audit_line`, given to Dask as it is.

The recipe is README's, run here as it is printed there. The machines of a cluster need nothing but the
engine installed (`pip install .`) and Dask.
"""

import json
import os
import re
import signal
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from dask.distributed import Client, LocalCluster

from engine.__main__ import main
from web.build.tools import ROOT

JOBS = sorted((ROOT / "fixtures" / "jobs").glob("*.json"))
RECIPE = re.compile(r"```python\n([^`]*dask\.distributed[^`]*)```")
REFUSED = '{"format": "platepath.job/1", "transformer": {}}'


@pytest.fixture(scope="module")
def cluster() -> Iterator[LocalCluster]:
    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as running:
        yield running


def fleet(folder: Path, copies: int) -> Path:
    """A file of jobs, one a line, with a line that is no job in the middle."""
    lines = [json.dumps(json.loads(path.read_text())) for path in JOBS] * copies
    lines.insert(len(lines) // 2, REFUSED)
    file = folder / "JOBS.jsonl"
    file.write_text("".join(f"{line}\n" for line in lines))
    return file


def recipe(cluster: LocalCluster, jobs: Path) -> str:
    """README's lines, with this cluster and these files."""
    (shown,) = RECIPE.findall((ROOT / "README.md").read_text())
    for printed, here in (
        ("SCHEDULER:8786", cluster.scheduler_address),
        ("JOBS.jsonl", str(jobs)),
        ("OUT.jsonl", str(jobs.with_name("OUT.jsonl"))),
    ):
        assert shown.count(f'"{printed}"') == 1
        shown = shown.replace(f'"{printed}"', repr(here))
    return shown


def run(lines: str) -> None:
    """Runs the recipe as a program of its own would run it."""
    exec(compile(lines, "README.md", "exec"), {"__name__": "__main__"})


def audited_here(jobs: Path) -> bytes:
    """What the command line writes for the same file."""
    out = jobs.with_name("here.jsonl")
    assert main(["audit", str(jobs), "-o", str(out), "--workers", "1"]) == 0
    return out.read_bytes()


def test_dask_writes_the_file_that_the_command_line_writes(cluster, tmp_path, capfd) -> None:
    jobs = fleet(tmp_path, 2)
    expected = audited_here(jobs)
    said_here = [line for line in capfd.readouterr().err.splitlines() if line.startswith("line ")]
    run(recipe(cluster, jobs))
    assert (tmp_path / "OUT.jsonl").read_bytes() == expected
    assert len(expected.splitlines()) == 2 * len(JOBS) > 20
    said = [line for line in capfd.readouterr().err.splitlines() if line.startswith("line ")]
    assert said == said_here
    assert len(said) == 1


def test_a_worker_that_is_killed_on_the_way_loses_nothing(cluster, tmp_path) -> None:
    jobs = fleet(tmp_path, 60)
    with Client(cluster) as watching:
        before = watching.run(os.getpid)
        audit = threading.Thread(target=run, args=(recipe(cluster, jobs),))
        audit.start()
        while not (busy := [name for name, tasks in watching.processing().items() if tasks]):
            assert audit.is_alive()
            time.sleep(0.01)
        os.kill(before[busy[0]], signal.SIGKILL)
        audit.join()
        # The one that was busy is gone, and another has taken its place.
        watching.wait_for_workers(2, timeout=60)
        assert before[busy[0]] not in watching.run(os.getpid).values()
    assert (tmp_path / "OUT.jsonl").read_bytes() == audited_here(jobs)
