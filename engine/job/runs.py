"""Secondary runs beside the first: how a fact of one is named, and a job with that run in the place of the first.

A rule that speaks of one run is written for the first one. A further run is judged by the same rule, on a job that has
that run where the first one was; only the names of its facts differ, and they are put back here.
"""

from collections.abc import Iterable, Sequence
from functools import cache

from engine.job import Job, RunFacts, RunObservations, SecondaryRun

FURTHER = "secondary.further_runs"
# What only a further run has is asked for at the first of them; the others have it at their own number.
OF_A_FURTHER_RUN = ("in_first_enclosure", "beside_first_run")
# Where the parts of a further run stand in the job of which it is the first run.
PLACES = {
    **{f"secondary.{name}": name for name in RunFacts.model_fields},
    "bonding.supply_side_bonding_jumper": "supply_side_bonding_jumper",
    "bonding.neutral_bonded_downstream": "neutral_bonded_downstream",
    **{f"observations.{name}": f"observations.{name}" for name in RunObservations.model_fields},
}
_PARTS = {
    **{there: here for here, there in PLACES.items()},
    **{name: f"{FURTHER}.0.{name}" for name in OF_A_FURTHER_RUN},
}


def _part_of(path: str) -> tuple[str, str]:
    """The part of a job that a path begins with, and what is left of it."""
    names = path.split(".")
    return ".".join(names[:2]), ".".join(names[2:])


@cache
def is_of_run(path: str) -> bool:
    """Whether each run has a fact of its own at this path of the first run. Unit: none. Section: none."""
    return _part_of(path)[0] in PLACES


@cache
def path_in_run(path: str, number: int) -> str:
    """The path of a run's fact, by that of the first run; runs count from 0, and the first keeps its own paths.

    Of a fact that all runs share it is the path itself. Unit: none. Section: none.
    """
    part, rest = _part_of(path)
    if number == 0 or part not in PLACES:
        return path
    return ".".join(filter(None, (FURTHER, str(number - 1), PLACES[part], rest)))


@cache
def first_path(path: str) -> tuple[str, int]:
    """The path of the same fact in the first run, and the number of the run it is of, counted from 0.

    A path that names nothing of a further run comes back as it is. Unit: none. Section: none.
    """
    if not path.startswith(f"{FURTHER}."):
        return path, 0
    index, *names = path.removeprefix(f"{FURTHER}.").split(".")
    if not (index.isascii() and index.isdecimal()) or str(int(index)) != index:
        return path, 0
    count = 2 if ".".join(names[:2]) in _PARTS else 1
    part = ".".join(names[:count])
    if part not in _PARTS:
        return path, 0
    return ".".join((_PARTS[part], *names[count:])), int(index) + 1


def in_run(paths: Iterable[str], number: int) -> dict[str, str]:
    """Of paths in a job, those that one run has, counted from 0, and the shared ones: each by what it is called there.

    Unit: none. Section: none.
    """
    named = ((path, *first_path(path)) for path in paths)
    return {
        path: here for path, here, of in named if of == number or (of == 0 and not is_of_run(path))
    }


def run_name(number: int) -> str:
    """What people call a run, counted from 0: the first is `Run 1`. Unit: none. Section: none."""
    return f"Run {number + 1}"


def named_by_run(words_of_runs: Iterable[Iterable[str]]) -> list[str]:
    """What is said of each run in turn, every line under the name of its run. Unit: none. Section: none."""
    return [
        f"{run_name(number)}: {line}"
        for number, words in enumerate(words_of_runs)
        for line in words
    ]


def job_of_run(job: Job, number: int) -> Job:
    """The job with one of its runs alone, in the place of the first: its jumper and what was seen of it too.

    Runs count from 0. Unit: none. Section: none.
    """
    if number == 0:
        return job.model_copy(
            update={"secondary": job.secondary.model_copy(update={"further_runs": []})}
        )
    run: SecondaryRun = job.secondary.further_runs[number - 1]
    facts = {name: getattr(run, name) for name in RunFacts.model_fields}
    seen = {name: getattr(run.observations, name) for name in RunObservations.model_fields}
    return job.model_copy(
        update={
            "secondary": job.secondary.model_copy(update={**facts, "further_runs": []}),
            "bonding": job.bonding.model_copy(
                update={
                    "supply_side_bonding_jumper": run.supply_side_bonding_jumper,
                    "neutral_bonded_downstream": run.neutral_bonded_downstream,
                }
            ),
            "observations": job.observations.model_copy(update=seen),
        }
    )


def job_of_runs(job: Job, numbers: Sequence[int]) -> Job:
    """The job with some of its runs alone, the first of them in the place of the first; counted from 0, in order.

    Unit: none. Section: none.
    """
    first, *others = numbers
    made = job_of_run(job, first)
    runs = [job.secondary.further_runs[number - 1] for number in others]
    return made.model_copy(
        update={"secondary": made.secondary.model_copy(update={"further_runs": runs})}
    )


def run_count(job: Job) -> int:
    """How many runs a job has. Unit: runs. Section: none."""
    return 1 + len(job.secondary.further_runs)


def value_of_run(id_: str, number: int) -> str:
    """The id of a value of one run, counted from 0: the first keeps the plain one. Unit: none. Section: none."""
    return f"run_{number + 1}.{id_}" if number else id_
