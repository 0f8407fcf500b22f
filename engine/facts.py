"""What was read and seen, in words: labels for paths, and the list of known facts for paper."""

from typing import Any

from engine.job import Job
from engine.quantities import number, size
from engine.questions import _WORDS, catalogue, labels
from engine.result import Fact, Heading

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
        return ", ".join(shown_answer(question, item) for item in value) or "none found"
    unit = question["unit"] or ""
    if isinstance(value, str):
        if question["path"].endswith("size") and not question["path"].endswith("trade_size"):
            return size(value)
        return f"{_WORDS.get(value, value)}{' ' + unit if unit else ''}"
    return f"{number(value)} {unit}".strip()


def facts(job: Job) -> list[Fact]:
    """Every fact that is known, in walking order. Unit: each its own. Section: none."""
    known = []
    for question in catalogue():
        if question["group"] == "job":
            continue
        value: Any = job
        for name in question["path"].split("."):
            value = getattr(value, name)
        if value is None:
            continue
        known.append(
            Fact(
                path=question["path"],
                label=question["label"],
                shown=shown_answer(question, value),
                known=job.provenance.get(question["path"], "read"),
                group=question["group"],
            )
        )
    return known


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
