"""The engine decides the shared cases of conditions as the screen does; both read the same file."""

import json

import pytest

from engine.questions import holds, questions
from web.build.tools import ROOT

CASES = json.loads((ROOT / "fixtures" / "conditions.json").read_text())
GRAMMAR = {"path", "is", "one_of", "known", "all", "any", "not"}


@pytest.mark.parametrize("case", CASES, ids=lambda case: json.dumps(case["when"])[:60])
def test_a_shared_case_is_decided_as_the_file_says(case: dict) -> None:
    assert holds(case["when"], case["job"]) is case["shown"]


def keys(condition: object) -> set[str]:
    """Every key of a condition, at any depth."""
    if isinstance(condition, list):
        return {key for each in condition for key in keys(each)}
    if not isinstance(condition, dict):
        return set()
    nested = [condition[name] for name in ("all", "any", "not") if name in condition]
    return set(condition) | keys(nested)


def test_no_condition_of_the_wizard_knows_an_order_or_a_sum() -> None:
    asked = questions()["questions"]
    conditions = [each["when"] for each in asked]
    conditions += [choice.get("when") for each in asked for choice in each["choices"]]
    assert len([each for each in conditions if each]) > 20
    for condition in conditions:
        assert keys(condition) <= GRAMMAR


def test_what_leads_a_purpose_are_questions_of_that_purpose() -> None:
    wizard = questions()
    for purpose in wizard["purposes"]:
        mine = {each["path"] for each in wizard["questions"] if purpose["id"] in each["purposes"]}
        required = {each["path"] for each in wizard["questions"] if each["required"]}
        assert set(purpose["first"]) <= mine
        assert required <= set(purpose["first"])
