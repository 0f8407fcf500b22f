"""Which contradictions a job runs into, and the job without the facts that they doubt."""

from collections.abc import Collection, Sequence
from typing import Any

from pydantic import ConfigDict

from engine.job import NAMEPLATE, Job, Transformer
from engine.job.missing import Missing
from engine.job.runs import is_of_run, job_of_run, path_in_run, run_count, run_name
from engine.job.site import with_fact
from engine.judging.contradictions.entry import Contradiction
from engine.judging.contradictions.listed import CONTRADICTIONS


def contradictions(job: Job) -> tuple[Contradiction, ...]:
    """The entries that this job runs into, each with the facts that do; in a further run those of that run.

    Unit: none. Section: none; geometry, counting, and what words mean.
    """
    found = _found_in(job, CONTRADICTIONS)
    for number in range(1, run_count(job)):
        alone = job_of_run(job, number)
        for entry in _found_in(alone, _OF_A_RUN):
            if any(is_of_run(path) for path in entry.paths):
                paths = tuple(path_in_run(path, number) for path in entry.paths)
                why = f"{run_name(number)}: {entry.why}"
                found.append(
                    entry._replace(id=f"run_{number + 1}.{entry.id}", paths=paths, why=why)
                )
    return tuple(found)


def _found_in(job: Job, entries: Sequence[Contradiction]) -> list[Contradiction]:
    return [
        entry._replace(paths=entry.among(job)) if entry.among else entry
        for entry in entries
        if entry.found(job)
    ]


_OF_A_RUN = tuple(
    entry
    for entry in CONTRADICTIONS
    if not entry.of_all_runs and any(is_of_run(path) for path in entry.paths)
)


def doubted_by(found: Collection[Contradiction]) -> frozenset[str]:
    """The paths of all facts that are contradicted. Unit: none. Section: none."""
    return frozenset(path for entry in found for path in entry.paths)


class DoubtfulNameplate(Transformer):
    """A nameplate of which a figure that no job lacks is contradicted: reading that figure raises Missing."""

    # It has no fields of its own whose texts would have to be read from the source.
    model_config = ConfigDict(use_attribute_docstrings=False)

    def __getattr__(self, name: str) -> Any:
        path = f"transformer.{name}"
        if path in NAMEPLATE:
            raise Missing(path)
        raise AttributeError(name)


def without_doubted(job: Job, paths: Collection[str]) -> Job:
    """The job without the facts at these paths: to a rule they are as unknown as what nobody read.

    Unit: none. Section: the contract, what is unknown never passes.
    """
    for path in paths:
        if path not in NAMEPLATE:
            job = with_fact(job, path, None)
    doubted = {path.partition(".")[2] for path in paths if path in NAMEPLATE}
    if not doubted:
        return job
    kept = {name: value for name, value in job.transformer.__dict__.items() if name not in doubted}
    return job.model_copy(update={"transformer": DoubtfulNameplate.model_construct(**kept)})
