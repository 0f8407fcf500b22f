"""The names of facts: every path of the job that is read on site."""

from collections.abc import Iterator
from functools import cache

from engine.job.base import Record
from engine.job.record import Job
from engine.job.runs import FURTHER, OF_A_FURTHER_RUN, first_path, run_count


@cache
def fact_paths() -> frozenset[str]:
    """Paths of everything that is read on site, without names, dates and settings. Unit: none. Section: none."""
    return frozenset(_paths(Job, ""))


def _paths(model: type[Record], prefix: str) -> Iterator[str]:
    for name, field in model.model_fields.items():
        inner = field.annotation
        if isinstance(inner, type) and issubclass(inner, Record):
            yield from _paths(inner, f"{prefix}{name}.")
        elif prefix and f"{prefix}{name}" != FURTHER:
            yield f"{prefix}{name}"


def is_fact_of(job: Job, path: str) -> bool:
    """Whether a path names something that is read on site, of one of the job's runs. Unit: none. Section: none."""
    first, number = first_path(path)
    return number < run_count(job) and (first in fact_paths() or first in _OF_A_FURTHER_RUN)


_OF_A_FURTHER_RUN = frozenset(f"{FURTHER}.0.{name}" for name in OF_A_FURTHER_RUN)
