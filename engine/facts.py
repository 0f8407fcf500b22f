"""What was read and seen, in words: labels for paths, and the list of known facts for paper."""

from collections.abc import Iterable, Iterator
from functools import cache, lru_cache
from operator import attrgetter
from typing import Any, cast

from engine.base import Record
from engine.job import Job
from engine.quantities import number, size
from engine.questions import ANSWER_WORDS, catalogue, labels, question_at
from engine.result import Check, Contradiction, Fact, Heading, OpenItem

PURPOSE_WORDS = {
    "installation": "Check of an installation",
    "grounding": "Confirmation of the grounding",
    "replacement": "Verification of a replacement",
}


def label(path: str) -> str:
    """The short label of a path, or the path itself where no question asks for it. Unit: none. Section: none."""
    return labels().get(path, path)


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


@cache
def fact_paths() -> frozenset[str]:
    """Paths of everything that is read on site, without names, dates and settings. Unit: none. Section: none."""
    return frozenset(_paths(Job, ""))


def _paths(model: type[Record], prefix: str) -> Iterator[str]:
    for name, field in model.model_fields.items():
        inner = field.annotation
        if isinstance(inner, type) and issubclass(inner, Record):
            yield from _paths(inner, f"{prefix}{name}.")
        elif prefix:
            yield f"{prefix}{name}"


def facts(job: Job) -> list[Fact]:
    """Every fact that is known, in walking order. Unit: each its own. Section: none."""
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


# Most facts are the same from one answer to the next.
@lru_cache(maxsize=1024, typed=True)
def _fact(path: str, value: Any, known: str) -> Fact:
    question = question_at(path)
    assert question is not None
    shown = shown_answer(question, [*value] if isinstance(value, tuple) else value)
    return Fact(
        path=path, label=question["label"], shown=shown, known=known, group=question["group"]
    )


def contradicted(job: Job, id_: str, why: str, paths: Iterable[str]) -> Contradiction:
    """Facts that cannot all be true, side by side as they were answered. Unit: each its own. Section: none."""
    wanted = set(paths)
    return Contradiction(
        id=id_, why=why, facts=[fact for fact in facts(job) if fact.path in wanted]
    )


def open_items(checks: list[Check]) -> list[OpenItem]:
    """What is still to be read, in walking order, and which checks of this visit wait for it. Unit: none. Section: none."""
    waiting: dict[str, list[str]] = {}
    for check in checks:
        if check.asked and check.verdict == "cannot_tell":
            for path in check.missing:
                waiting.setdefault(path, []).append(check.id)
    items = [
        OpenItem(
            path=question["path"],
            label=question["label"],
            where=question["help"],
            group=question["group"],
            checks=waiting.pop(question["path"]),
        )
        for question in catalogue()
        if question["path"] in waiting
    ]
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
    return Heading(
        name=job.name,
        place=job.place,
        date=job.date,
        person=job.person,
        licence=job.licence,
        permit=job.permit,
        purpose=PURPOSE_WORDS[job.purpose],
        transformer=f"{number(t.kva)} kVA, {phases}, {number(t.primary_volts)} V to {number(t.secondary_volts)} V",
        notes=job.notes,
    )
