"""Input that cannot be used: every problem at once, in plain words, and nothing changed.

A value that breaks the electrical code is a valid answer and gets a verdict. Refused is only what cannot be a reading.
"""

import json
import re
from collections import Counter
from typing import Any, cast, get_args

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from engine.files.migrations import CURRENT, UnknownFormat, migrate
from engine.job import NAMEPLATE, Job
from engine.job.base import Record
from engine.job.paths import is_fact_of

LARGEST_FILE = 40_000_000


class Problem(Record):
    """One thing wrong with an input: where, what, and what would be right."""

    path: str
    wrong: str
    right: str


class Refusal(ValueError):
    """The input is refused; `problems` holds every reason."""

    def __init__(self, problems: list[Problem]) -> None:
        super().__init__("; ".join(f"{p.path}: {p.wrong}" for p in problems))
        self.problems = problems


def refuse(path: str, wrong: str, right: str) -> Refusal:
    """A refusal with one problem. Unit: none. Section: none."""
    return Refusal([Problem(path=path, wrong=wrong, right=right)])


def _no_doubles(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        [(key, _)] = Counter(key for key, _ in pairs).most_common(1)
        raise refuse(key, "appears twice in the file", "one value for each key")
    return found


# In the browser a parser that goes too deep ends the interpreter instead of raising.
_DEEPEST = 100
_STRINGS_AND_BRACKETS = re.compile(r'"[^"\\]*(?:\\.[^"\\]*)*"?|[\[{]|[\]}]', re.DOTALL)


def _nests_too_deeply(text: str) -> bool:
    if text.count("[") + text.count("{") <= _DEEPEST:
        return False
    depth = 0
    for found in _STRINGS_AND_BRACKETS.finditer(text):
        mark = found.group()
        depth += (mark in "[{") - (mark in "]}")
        if depth > _DEEPEST:
            return True
    return False


def read_json(text: str | bytes) -> Any:
    """Text as JSON data. Raises Refusal when it is not JSON, too large, too deep, or holds a key twice.

    Unit: none. Section: none.
    """
    if len(text) > LARGEST_FILE:
        raise refuse("file", "larger than 40 MB", "one job file")
    try:
        if isinstance(text, bytes):
            text = text.decode("utf-8-sig")
        if _nests_too_deeply(text):
            raise RecursionError
        return json.loads(text, object_pairs_hook=_no_doubles)
    except json.JSONDecodeError as error:
        raise refuse(
            "file",
            f"not JSON: line {error.lineno}, column {error.colno}",
            "a job file as this tool writes it",
        ) from None
    except UnicodeDecodeError:
        raise refuse("file", "not text", "a job file as this tool writes it, in UTF-8") from None
    except RecursionError:
        raise refuse("file", "nested too deeply", "a job file as this tool writes it") from None
    except ValueError as error:
        if isinstance(error, Refusal):
            raise
        raise refuse(
            "file", "holds a number that is too long", "numbers as people write them"
        ) from None


def job_from_data(data: Any) -> tuple[Job, str | None]:
    """A job from plain data, brought to the current format; and the format it came from, if that was another.

    Raises Refusal with every problem. Unit: none. Section: the contract platepath.job/1.
    """
    if not isinstance(data, dict):
        raise refuse("file", "not a job", "an object with format, transformer and what was found")
    try:
        current, came_from = migrate(cast("dict[str, Any]", data))
    except UnknownFormat as error:
        raise refuse(
            "format",
            f"{error.found} is not a format this version knows",
            f"{CURRENT}, or an older one",
        ) from None
    try:
        job = Job.model_validate(current)
    except ValidationError as error:
        raise Refusal(
            [_problem(item) for item in error.errors(include_url=False, include_context=True)]
        ) from None
    problems = impossible(job)
    if problems:
        raise Refusal(problems)
    return job, came_from


def job_from_text(text: str | bytes) -> tuple[Job, str | None]:
    """A job from the text of a file. Raises Refusal with every problem. Unit: none. Section: the contract."""
    return job_from_data(read_json(text))


def impossible(job: Job) -> list[Problem]:
    """What no transformer of this scope can be. Unit: V. Section: 450.4, 450.5 for autotransformers."""
    problems: list[Problem] = []
    t = job.transformer
    if t.autotransformer:
        problems.append(
            Problem(
                path="transformer.autotransformer",
                wrong="an autotransformer is not a separately derived system",
                right="a transformer with two windings; for an autotransformer see 450.4 and 450.5 (2023)",
            )
        )
    old = job.replacement.old
    for path, system, count in (
        ("transformer.primary_system", t.primary_system, t.phases),
        ("transformer.secondary_system", t.secondary_system, t.phases),
        ("replacement.old.primary_system", old.primary_system, old.phases),
        ("replacement.old.secondary_system", old.secondary_system, old.phases),
    ):
        if (
            system is not None
            and count is not None
            and system.startswith("single_phase") != (count == 1)
        ):
            phases = "single-phase" if count == 1 else "three-phase"
            problems.append(
                Problem(
                    path=path,
                    wrong=f"{system.replace('_', ' ')} does not go with a {phases} transformer",
                    right="a connection of the same number of phases, or correct the phases",
                )
            )
    for path in NAMEPLATE:
        if job.provenance.get(path) == "assumed":
            problems.append(
                Problem(
                    path=f"provenance.{path}",
                    wrong="the nameplate is assumed; every result depends on it",
                    right="read, measured or told",
                )
            )
    for path in job.provenance:
        if not is_fact_of(job, path):
            problems.append(
                Problem(
                    path=f"provenance.{path}",
                    wrong="not a fact of a job",
                    right="the dotted path of a fact",
                )
            )
    return problems


def _problem(item: ErrorDetails) -> Problem:
    path = ".".join(str(part) for part in item["loc"]) or "file"
    kind, context, given = item["type"], item.get("ctx", {}), item.get("input")
    shown = _short(given)
    if kind == "extra_forbidden":
        return Problem(
            path=path,
            wrong="not a key of a job",
            right="a key that the contract lists; check the spelling",
        )
    if kind == "missing":
        return Problem(
            path=path,
            wrong="missing",
            right="needed: format, transformer.kva, phases and both voltages",
        )
    if kind == "literal_error":
        return Problem(
            path=path,
            wrong=f"{shown} is not one of the choices",
            right=f"one of {context.get('expected', '')}",
        )
    if kind in ("greater_than", "greater_than_equal", "less_than", "less_than_equal"):
        return Problem(
            path=path, wrong=f"{shown} cannot be a reading here", right=_range(path, context, kind)
        )
    if kind in ("float_type", "int_type", "int_from_float"):
        whole = kind != "float_type"
        return Problem(
            path=path,
            wrong=f"{shown} is not a {'whole ' if whole else ''}number",
            right=_number(path, whole),
        )
    if kind == "finite_number":
        return Problem(path=path, wrong="not a finite number", right=_number(path, False))
    if kind == "bool_type":
        return Problem(
            path=path,
            wrong=f"{shown} is neither true nor false",
            right="true, false, or null when not known",
        )
    if kind == "string_type":
        return Problem(
            path=path,
            wrong=f"{shown} is not text",
            right='text in quotes; sizes too, such as "1/0"',
        )
    if kind == "string_pattern_mismatch":
        return Problem(
            path=path, wrong=f"{shown} is not a date", right="year-month-day, such as 2026-05-04"
        )
    if kind in ("string_too_long", "too_long"):
        return Problem(
            path=path, wrong="too long", right=f"at most {context.get('max_length', '')} characters"
        )
    if kind == "list_type":
        return Problem(
            path=path,
            wrong=f"{shown} is not a list",
            right="a list; empty means looked and found none",
        )
    if kind in ("model_type", "dict_type", "model_attributes_type"):
        return Problem(
            path=path,
            wrong=f"{shown} is not an object",
            right="an object with the fields of this part",
        )
    return Problem(path=path, wrong=str(item["msg"]), right="a value that the contract allows")


def _short(given: Any) -> str:
    text = json.dumps(given, ensure_ascii=False, default=str)
    return text if len(text) <= 60 else f"{text[:57]}..."


def _number(path: str, whole: bool) -> str:
    otherwise = "it is needed" if path in NAMEPLATE else "or null when it is not known"
    return f"a {'whole ' if whole else ''}number without unit or quotes, {otherwise}"


def _range(path: str, context: dict[str, Any], kind: str) -> str:
    bounds = _bounds(path)
    if bounds:
        return bounds
    words = {
        "greater_than": "more than",
        "greater_than_equal": "at least",
        "less_than": "less than",
        "less_than_equal": "at most",
    }
    limit = next((context[key] for key in ("gt", "ge", "lt", "le") if key in context), "")
    return (
        f"{words[kind]} {limit:g}" if isinstance(limit, int | float) else f"{words[kind]} {limit}"
    )


def _bounds(path: str) -> str:
    """The whole range of a field in words, from the model, so that both ends are said."""
    model: Any = Job
    field = None
    for name in path.split("."):
        fields = getattr(model, "model_fields", None)
        if fields is None or name not in fields:
            return ""
        field = fields[name]
        model = _inner(field.annotation)
    low = high = None
    for mark in _marks(field):
        low = (
            getattr(mark, "gt", None)
            if getattr(mark, "gt", None) is not None
            else getattr(mark, "ge", low) or low
        )
        high = getattr(mark, "le", None) or getattr(mark, "lt", None) or high
    if low is None or high is None:
        return ""
    if path == "transformer.secondary_volts":
        return f"{low:g} to {high:g} V; above {high:g} V is outside this tool"
    return f"{'more than ' if low == 0 else ''}{low:g} to {high:g}"


def _inner(annotation: Any) -> Any:
    if hasattr(annotation, "model_fields"):
        return annotation
    for argument in get_args(annotation):
        found = _inner(argument)
        if hasattr(found, "model_fields"):
            return found
    return annotation


def _marks(field: Any) -> list[Any]:
    marks = [*getattr(field, "metadata", [])]

    def collect(annotation: Any) -> None:
        for mark in getattr(annotation, "__metadata__", ()):
            marks.extend(getattr(mark, "metadata", [mark]))
        for argument in get_args(annotation):
            collect(argument)

    collect(getattr(field, "annotation", None))
    return marks
