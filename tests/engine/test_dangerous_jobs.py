"""A standing adversary: jobs that kill, or that rest on a mistake, and must never end in "no conflict found".

`fixtures/dangerous` holds one job a file: facts that stand in place of those of a job that is sound, why that job may
not pass, the sections that say so, and which check must say it. `fixtures/lawful` holds what looks wrong and is lawful:
no check may condemn it. `judged_by` without an entry means any requirement of the job; `must` and `never` name verdicts,
beside them `contradiction` and `caution`.
"""

import json
from pathlib import Path

import pytest

from engine.code import EDITIONS
from engine.evaluation.order import RULES
from engine.files.refusals import job_from_data
from engine.job.runs import FURTHER, OF_A_FURTHER_RUN, first_path
from engine.result import Check, Result
from tests.engine.checked import checked
from tests.engine.jobs import (
    BUILDERS,
    FACTS,
    NEEDED,
    SETTINGS,
    Data,
    job,
    put,
    replaced,
    two_runs,
)

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
ALL_READINGS = tuple(path for path in FACTS if path.startswith("readings."))
OUTCOMES = {"cannot_tell", "does_not_meet", "contradiction", "caution"}


def _cases(folder: str) -> dict[str, Data]:
    return {
        path.stem: json.loads(path.read_text(encoding="utf-8"))
        for path in sorted((FIXTURES / folder).glob("*.json"))
    }


DANGEROUS, LAWFUL = _cases("dangerous"), _cases("lawful")


def _named(cases: dict[str, Data]) -> list:
    return [pytest.param(case, id=name) for name, case in cases.items()]


STARTS = {**BUILDERS, "two runs": two_runs}
OF_A_RUN_ALONE = {f"{FURTHER}.0.{name}" for name in OF_A_FURTHER_RUN}


def _base(name: str) -> Data:
    """A sound job of an installation visit without meter readings: of those some never pass."""
    data = STARTS[name]()
    data["purpose"] = "installation"
    for path in ALL_READINGS:
        put(data, path, None)
    return data


def _result(case: Data) -> Result:
    facts = {path.replace(".", "__"): value for path, value in case["facts"].items()}
    return checked(job_from_data(replaced(_base(case["from"]), **facts))[0])


def _judges(result: Result, case: Data) -> list[Check]:
    named = [check for check in result.checks if check.id in case["judged_by"]]
    if named:
        return named
    return [
        check
        for check in result.checks
        if (check.asked or check.verdict == "does_not_meet")
        and (case.get("advice") or check.severity != "advice")
    ]


@pytest.mark.parametrize("name", sorted(STARTS))
def test_the_jobs_they_start_from_pass(name: str) -> None:
    assert checked(job(_base(name))).overall.verdict == "no_conflict_found"


@pytest.mark.parametrize("case", _named(DANGEROUS))
def test_a_dangerous_job_never_passes(case: Data) -> None:
    result = _result(case)
    must = set(case["must"])
    said = {check.verdict for check in _judges(result, case)}
    if result.contradictions:
        said.add("contradiction")
    if set(result.cautions) - set(checked(job(_base(case["from"]))).cautions):
        said.add("caution")
    assert must & said, f"{case['why']} Said: {said}"
    if case.get("contradiction"):
        assert result.contradictions, case["why"]
    if not case.get("advice"):
        assert result.overall.verdict != "no_conflict_found", case["why"]


@pytest.mark.parametrize("case", _named(LAWFUL))
def test_a_lawful_job_is_not_condemned(case: Data) -> None:
    condemned = {
        check.id for check in _judges(_result(case), case) if check.verdict in case["never"]
    }
    assert not condemned, case["why"]


def test_every_case_names_what_it_rests_on() -> None:
    assert len(DANGEROUS) >= 50
    assert len(LAWFUL) >= 5
    ids = {rule.id for rule in RULES}
    for name, case in {**DANGEROUS, **LAWFUL}.items():
        assert case["why"] and case["sections"], name
        named = {first_path(path)[0] for path in case["facts"]}
        assert named <= {*FACTS, *NEEDED, *SETTINGS, *OF_A_RUN_ALONE}, name
        assert set(case["judged_by"]) <= ids, name
        assert set(case.get("must", case.get("never"))) <= OUTCOMES, name
        assert case["from"] in STARTS and case["facts"].get("edition", 2023) in EDITIONS, name
    for name, case in LAWFUL.items():
        assert case["judged_by"], name
