"""Every question, looked up by its path or in its order: written down by the build, or else made by the walk."""

from functools import cache
from importlib import import_module
from typing import Any

from engine.job.runs import first_path


@cache
def catalogue() -> tuple[dict[str, Any], ...]:
    """All questions in walking order. Unit: each its own. Section: none."""
    try:
        # The phone need not read the job model for them: the build has written them down. It gets neither the walk
        # nor its stops, which the build would take along if they were imported in the usual way.
        return import_module("engine.wizard._compiled_questions").CATALOGUE
    except ImportError:
        return import_module("engine.wizard.walk").made_catalogue()


@cache
def of_further_runs() -> tuple[dict[str, Any], ...]:
    """What is asked of a further secondary run alone, by the paths of the first of them. Unit: none. Section: none."""
    try:
        return import_module("engine.wizard._compiled_questions").OF_FURTHER_RUNS
    except ImportError:
        return import_module("engine.wizard.walk").made_of_further_runs()


@cache
def labels() -> dict[str, str]:
    """The short label of every path. Unit: none. Section: none."""
    return {question["path"]: question["label"] for question in _by_path().values()}


@cache
def _by_path() -> dict[str, dict[str, Any]]:
    return {question["path"]: question for question in (*catalogue(), *of_further_runs())}


def question_at(path: str) -> dict[str, Any] | None:
    """The question that asks for a path, None where none does; all secondary runs are asked the same.

    Unit: its own. Section: none.
    """
    return _by_path().get(path) or _by_path().get(first_path(path)[0])
