"""What a contradiction is, and how its test reads one side of a job."""

from collections.abc import Callable
from typing import NamedTuple

from engine.job import Conductors, Job, Raceway

SIDES = ("primary", "secondary")


class Contradiction(NamedTuple):
    """Facts by their paths that cannot all be true, why in words, and the test for it on a job.

    Where several facts may run into the same answer, `among` picks those that do. `of_all_runs`: it holds several
    secondary runs against the rest together, so that it is not asked of each by itself.
    """

    id: str
    paths: tuple[str, ...]
    why: str
    found: Callable[[Job], bool]
    among: Callable[[Job], tuple[str, ...]] | None = None
    of_all_runs: bool = False


def any_of(among: Callable[[Job], tuple[str, ...]]) -> Callable[[Job], bool]:
    """The test of an entry whose facts are picked: whether any are. Unit: none. Section: none."""
    return lambda job: bool(among(job))


def conductors_of(job: Job, side: str) -> Conductors:
    """The conductors of the primary or of the secondary. Unit: none. Section: none."""
    return job.primary.conductors if side == "primary" else job.secondary.conductors


def raceway_of(job: Job, side: str) -> Raceway:
    """The raceway of the primary or of the secondary. Unit: none. Section: none."""
    return job.primary.raceway if side == "primary" else job.secondary.raceway
