"""Evaluate, and hold every result against what must be true of any result."""

import os
from typing import Any

from engine import Job, Result, evaluate
from engine.result import Check, Value

from .jobs import Data
from .jobs import job as make

# tests/mutation asks for the verdicts alone: it runs every sentence hundreds of times.
ONCE = "PLATEPATH_ONCE" in os.environ


def checked(job: Job, *, compare_editions: bool = True) -> Result:
    """The result of a job, after every invariant was asserted on it."""
    result = evaluate(job, compare_editions=compare_editions)
    for value in result.values.values():
        _value(value)
    for check in result.checks:
        _check(check)
    if ONCE:
        return result
    text = result.model_dump_json()
    assert Result.model_validate_json(text) == result, "the result changes on its way through JSON"
    assert evaluate(job, compare_editions=compare_editions).model_dump_json() == text, (
        "not deterministic"
    )
    _overall(result)
    return result


def _value(value: Value) -> None:
    assert value.section, f"{value.title}: no section"
    assert value.unit, f"{value.title}: a number without a unit"
    assert value.steps and all(value.steps), f"{value.title}: a number without steps"
    assert value.shown and value.group
    if isinstance(value.value, float):
        assert value.value == value.value and abs(value.value) != float("inf")
        assert value.value >= 0, f"{value.title}: {value.value}"
    if value.assumed:
        assert value.steps[0].startswith("Assumed: "), f"{value.title} hides what it assumed"


def _check(check: Check) -> None:
    assert check.section, f"{check.id}: a verdict without a section"
    assert check.reason, f"{check.id}: a verdict without a reason"
    assert check.title and check.group and check.questions
    if check.verdict == "meets":
        assert not check.missing, f"{check.id} meets with {check.missing} missing"
        assert not check.remedy, f"{check.id} meets and still asks for a remedy"
        assert check.found and check.required, f"{check.id} meets nothing"
    if check.verdict == "does_not_meet":
        assert check.remedy, f"{check.id} fails without a remedy"
        assert check.found and check.required, f"{check.id} fails without both sides"
        assert not check.missing
    if check.verdict == "cannot_tell":
        assert not check.even_if
    for path in check.missing:
        assert path in check.questions, f"{check.id} misses {path}, which it does not ask"
    for text in (check.reason, check.remedy, check.required, check.found):
        assert (
            "None" not in text and "nan" not in text.split() and "complies" not in text.lower()
        ), (check.id, text)


def _overall(result: Result) -> None:
    serious = [c for c in result.checks if c.severity != "advice"]
    expected = (
        "conflict_found"
        if any(c.verdict == "does_not_meet" for c in serious)
        else "not_determined"
        if any(c.verdict == "cannot_tell" and c.asked for c in serious) or result.contradictions
        else "no_conflict_found"
    )
    assert result.overall.verdict == expected
    assert "compl" not in result.overall.text.lower()


def verdicts(job: Job) -> dict[str, str]:
    """Verdict by check id, without the neighbouring editions (they cost time)."""
    return {check.id: check.verdict for check in evaluate(job, compare_editions=False).checks}


def check_of(result: Result, id_: str) -> Check:
    """The check with an id."""
    return next(check for check in result.checks if check.id == id_)


def found(id_: str, data: Data, **facts: Any) -> Check:
    """One check of a job with facts replaced; the whole result is held against the invariants on the way."""
    return check_of(checked(make(data, **facts)), id_)


def verdict(id_: str, data: Data, **facts: Any) -> str:
    """The verdict of one check of a job with facts replaced."""
    return found(id_, data, **facts).verdict


def value_of(id_: str, data: Data, **facts: Any) -> Any:
    """One value of a job with facts replaced, as number or size."""
    return checked(make(data, **facts)).values[id_].value
