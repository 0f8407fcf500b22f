"""What was read and seen, in words: labels for paths, and the list of known facts for paper."""

from collections.abc import Iterable
from functools import cache, lru_cache
from operator import attrgetter
from typing import Any, cast

from engine.job import Job
from engine.job.missing import reader
from engine.job.runs import (
    FURTHER,
    OF_A_FURTHER_RUN,
    first_path,
    is_of_run,
    path_in_run,
    run_count,
    run_name,
)
from engine.job.words import PURPOSES
from engine.physics.quantities import number, size
from engine.result import Check, Contradiction, Fact, Heading, OpenItem
from engine.wizard.answers import ANSWER_WORDS
from engine.wizard.purposes import GROUPS
from engine.wizard.questions import catalogue, labels, of_further_runs, question_at


def label(path: str) -> str:
    """The short label of a path, or the path itself where no question asks for it. Unit: none. Section: none."""
    first, number = first_path(path)
    if number and first in labels():
        return of_run(labels()[first], number)
    return labels().get(path, path)


def of_run(words: str, number: int) -> str:
    """The label of a fact with the run that it is of, counted from 0. Unit: none. Section: none."""
    return f"{run_name(number)} · {words}"


def shown_answer(question: dict[str, Any], value: Any) -> str:
    """An answer as people write it. Unit: that of the question. Section: none."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        items = cast("list[Any]", value)
        return ", ".join(shown_answer(question, item) for item in items) or "none found"
    unit = question["unit"] or ""
    if isinstance(value, str):
        if question["path"].endswith("size") and not question["path"].endswith("trade_size"):
            return size(value)
        return f"{ANSWER_WORDS.get(value, value)}{' ' + unit if unit else ''}"
    return f"{number(value)} {unit}".strip()


@cache
def _readers() -> tuple[tuple[dict[str, Any], Any], ...]:
    return tuple((q, attrgetter(q["path"])) for q in catalogue() if q["group"] != "job")


def shown_at(path: str, value: Any) -> str:
    """A possible answer at a path as people write it. Unit: that of the question. Section: none."""
    question = question_at(path)
    text = shown_answer(question, value) if question else str(value)
    # What begins with two capitals is an abbreviation, such as PVC.
    if value in ANSWER_WORDS and not text[1:2].isupper():
        return text[:1].lower() + text[1:]
    return text


def in_metric(path: str, value: float) -> float:
    """A value in the metric unit that the question at its path shows beside its own [kg, mm, m]. Section: none."""
    question = question_at(path)
    assert question and question["metric"], f"{path} has no metric unit"
    return value * question["metric"]["per_unit"]


def facts(job: Job) -> list[Fact]:
    """Every fact that is known, in walking order. Unit: each its own. Section: none."""
    if job.secondary.further_runs:
        return _facts_of_runs(job)
    known: list[Fact] = []
    for question, read in _readers():
        value = read(job)
        if value is not None:
            path = question["path"]
            how = job.provenance.get(path, "read")
            if isinstance(value, list):
                value = tuple(cast("list[Any]", value))
            known.append(_fact(path, value, how))
    return known


def _facts_of_runs(job: Job) -> list[Fact]:
    """Every fact of a job with several runs; what each run has of its own stands run by run within its stop of the walk."""
    known: list[Fact] = []
    for first, at, path in _paths_of_runs(run_count(job)):
        value = reader(path)(job)
        if value is None:
            continue
        if isinstance(value, list):
            value = tuple(cast("list[Any]", value))
        fact = _fact(path, value, job.provenance.get(path, "read"))
        if at == 0 and is_of_run(first):
            fact = fact.model_copy(update={"label": of_run(fact.label, 0)})
        known.append(fact)
    order = [group["id"] for group in GROUPS]
    known.sort(key=lambda fact: (order.index(fact.group), first_path(fact.path)[1]))
    return known


@cache
def _paths_of_runs(count: int) -> tuple[tuple[str, int, str], ...]:
    """Each fact of so many runs: its path in the first, the run counted from 0, and its own path."""
    paths: list[tuple[str, int, str]] = []
    for question, _ in _readers():
        first = question["path"]
        paths += [
            (first, at, path_in_run(first, at)) for at in range(count if is_of_run(first) else 1)
        ]
    for name in OF_A_FURTHER_RUN:
        first = f"{FURTHER}.0.{name}"
        paths += [(first, at, f"{FURTHER}.{at - 1}.{name}") for at in range(1, count)]
    return tuple(paths)


# Most facts are the same from one answer to the next.
@lru_cache(maxsize=1024, typed=True)
def _fact(path: str, value: Any, known: str) -> Fact:
    question = question_at(path)
    assert question is not None
    shown = shown_answer(question, [*value] if isinstance(value, tuple) else value)
    return Fact(path=path, label=label(path), shown=shown, known=known, group=question["group"])


def contradicted(job: Job, id_: str, why: str, paths: Iterable[str]) -> Contradiction:
    """Facts that cannot all be true, side by side as they were answered. Unit: each its own. Section: none."""
    wanted = set(paths)
    return Contradiction(
        id=id_, why=why, facts=[fact for fact in facts(job) if fact.path in wanted]
    )


@cache
def _places() -> dict[str, int]:
    """Where each question stands in the walk, by its path."""
    asked = catalogue()
    places = {question["path"]: place for place, question in enumerate(asked)}
    for question in of_further_runs():
        places[question["path"]] = max(
            places[each["path"]] for each in asked if each["group"] == question["group"]
        )
    return places


def open_items(checks: list[Check], runs: int = 1) -> list[OpenItem]:
    """What is still to be read, in walking order, and which checks of this visit wait for it. Unit: none. Section: none."""
    waiting: dict[str, list[str]] = {}
    for check in checks:
        if check.asked and check.verdict == "cannot_tell":
            for path in check.missing:
                waiting.setdefault(path, []).append(check.id)
    order = _places()
    asked = [path for path in waiting if first_path(path)[0] in order]
    items: list[OpenItem] = []
    for path in sorted(asked, key=lambda path: (order[first_path(path)[0]], first_path(path)[1])):
        question = question_at(path)
        assert question is not None
        words = label(path)
        if runs > 1 and is_of_run(path):
            words = of_run(words, 0)
        items.append(
            OpenItem(
                path=path,
                label=words,
                where=question["help"],
                group=question["group"],
                checks=waiting.pop(path),
            )
        )
    by_id = {check.id: check for check in checks}
    # A fact without a question of its own must not fall off the list.
    items += [
        OpenItem(path=path, label=path, where="", group=by_id[ids[0]].group, checks=ids)
        for path, ids in waiting.items()
    ]
    return items


def heading(job: Job) -> Heading:
    """What identifies the job. Unit: kVA, V. Section: none."""
    t = job.transformer
    phases = "single-phase" if t.phases == 1 else "three-phase"
    count = run_count(job)
    runs = f", {count} secondary runs" if count > 1 else ""
    return Heading(
        name=job.name,
        place=job.place,
        date=job.date,
        person=job.person,
        licence=job.licence,
        permit=job.permit,
        purpose=PURPOSES[job.purpose].said,
        transformer=f"{number(t.kva)} kVA, {phases}, {number(t.primary_volts)} V to {number(t.secondary_volts)} V"
        f"{runs}",
        notes=job.notes,
    )
