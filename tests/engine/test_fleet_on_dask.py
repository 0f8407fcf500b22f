"""A fleet on an existing distributed engine: the same pure function, given to Dask as it is.

This is the whole recipe. On a real cluster, `Client("scheduler-address:8786")` takes the place of the
local one; the machines need nothing but the engine installed (`pip install .`).
"""

import json

from dask.distributed import Client, LocalCluster

from engine.interfaces.handle import handle
from web.build.tools import ROOT

JOBS = sorted((ROOT / "fixtures" / "jobs").glob("*.json"))


def requests() -> list[str]:
    """One request a job, as text, which any engine can send around."""
    return [json.dumps({"op": "evaluate", "job": json.loads(path.read_text())}) for path in JOBS]


def test_dask_gives_every_job_the_reply_that_a_plain_loop_gives() -> None:
    asked = requests()
    with (
        LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster,
        Client(cluster) as client,
    ):
        replies = client.gather(client.map(handle, asked, pure=True, batch_size=4))
    assert len(replies) == len(JOBS) > 8
    assert replies == [handle(request) for request in asked]
