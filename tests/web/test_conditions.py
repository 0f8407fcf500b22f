"""The engine decides the shared cases of conditions as the screen does; both read the same file."""

import json
from operator import attrgetter

import pytest

from engine.files.refusals import job_from_data
from engine.wizard.answers import ANSWER_WORDS
from engine.wizard.conditions import holds
from engine.wizard.walk import questions
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
        together = {each["id"]: each["paths"] for each in wizard["together"]}
        first = {path for id_ in purpose["first"] for path in together.get(id_, [id_])}
        every = {each["path"] for each in wizard["questions"]}
        assert first <= every
        assert all(set(together.get(id_, [id_])) & mine for id_ in purpose["first"])
        assert required <= first


def test_a_button_for_several_facts_says_facts_that_can_be_readings_and_no_others() -> None:
    wizard = questions()
    for several in wizard["together"]:
        for choice in several["choices"]:
            assert set(choice["values"]) <= set(several["paths"])
            facts = {
                "format": "platepath.job/1",
                "transformer": {
                    "kva": 75,
                    "phases": 3,
                    "primary_volts": 480,
                    "secondary_volts": 208,
                },
            }
            for path, value in choice["values"].items():
                *parts, last = path.split(".")
                place = facts
                for part in parts:
                    place = place.setdefault(part, {})
                place[last] = value
            job, _ = job_from_data(facts)
            for path, value in choice["values"].items():
                assert attrgetter(path)(job) == value
                said = choice["label"].lower()
                words = str(ANSWER_WORDS.get(value, value)).lower()
                names = {"1": ("one", "single"), "3": ("3", "three"), "wye_4_wire": ("y/",)}
                expected = names.get(str(value), (words.split(",")[0],))
                assert any(word in said for word in expected) or value == "single_phase_3_wire", (
                    said,
                    path,
                )
