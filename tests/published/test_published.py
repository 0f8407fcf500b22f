"""Every published example of fixtures/published, held against the engine. The sources are named in each example."""

from collections import Counter
from copy import deepcopy

import pytest

from engine import Job, evaluate
from engine.code import code_for

from .calls import CALLS
from .examples import FOLDER, TRUST, Case, cases, examples, line_holds, sources, told, worked_out

# What the work must show examples of; each topic counts by the `topic` of its examples.
TOPICS = {
    "full-load current": {"full_load_current"},
    "450.3(B)": {"transformer_protection_1000_volts_and_less"},
    "450.3(B) under 9 A": {"transformer_protection_under_9_amperes"},
    "450.3(B) under 2 A": {"transformer_protection_under_2_amperes"},
    "167 % with secondary protection": {"transformer_protection_167_percent_with_secondary"},
    "450.3(A)": {"transformer_protection_over_1000_volts"},
    "primary conductors": {"primary_conductors"},
    "ambient and adjustment": {"ampacity_ambient_and_adjustment"},
    "one third of a tap": {"tap_one_third"},
    "10 ft rule": {"ten_foot_rule"},
    "no tap ahead of the device": {"no_tap_on_secondary_conductors"},
    "25 ft rule": {"twenty_five_foot_rule"},
    "240.21(C)(1)": {"protected_by_primary_device"},
    "240.21(C)(3)": {"industrial_rule"},
    "240.21(C)(4)": {"outside_rule"},
    "240.21(B)(3) and (C)(5)": {"feeder_tapped_transformer"},
    "grounded conductor": {"grounded_conductor_minimum"},
    "supply-side bonding jumper": {"supply_side_bonding_jumper"},
    "system bonding jumper": {"system_bonding_jumper"},
    "12.5 % rule": {"bonding_12_5_percent"},
    "parallel sets": {"parallel_raceways", "equipment_grounding_parallel"},
    "electrode conductor": {"grounding_electrode_conductor"},
    "electrode caps": {"grounding_electrode_caps"},
    "common electrode conductor": {"common_electrode_conductor"},
    "ring electrode": {"ring_electrode"},
    "bonding of pipe and steel": {"area_bonding"},
    "ungrounded delta": {"ungrounded_delta"},
    "corner-grounded delta": {"corner_grounded_delta"},
    "high-leg delta": {"high_leg_delta"},
    "equipment grounding in proportion": {"equipment_grounding_proportional"},
    "equipment grounding in parallel": {"equipment_grounding_parallel"},
    "mixed raceway fill": {"raceway_mixed"},
    "nipple": {"raceway_nipple"},
    "note 7": {"raceway_note_7"},
    "voltage drop": {"voltage_drop"},
    "voltage drop by R cosθ + X sinθ": {"voltage_drop_r_cos_x_sin"},
    "fault current": {"fault_current"},
    "source impedance": {"source_impedance"},
    "inrush": {"inrush"},
    "Annex D": {"annex_d"},
}
LEAST_EXAMPLES = 60
ALL = examples()
HAS_JOB = [case for case in cases() if "job" in case.question]
HAS_CALLS = [case for case in cases() if "calls" in case.question]


def _named(example: dict) -> str:
    return example["id"]


def _deviation(wanted: dict, found: object) -> str:
    if "equals" in wanted:
        return "" if found == wanted["equals"] else f"expected {wanted['equals']!r}, got {found!r}"
    if not isinstance(found, int | float):
        return f"expected about {wanted['approximately']}, got {found!r}"
    away = abs(found - wanted["approximately"])
    if away <= wanted["tolerance"]:
        return ""
    return f"expected {wanted['approximately']} ± {wanted['tolerance']}, got {found}"


def _fill_in(job: dict) -> None:
    """What the prints leave out: they give one length of a run, and speak of the phases as if alone in the raceway."""
    for side in ("primary", "secondary"):
        run = job.get(side, {})
        length = run.get("conductors", {}).get("length_feet")
        if length is not None:
            run["raceway"] = {"length_feet": length, **run.get("raceway", {})}
    if "conductors" in job.get("primary", {}):
        grounding = {"kind": "raceway", **job["primary"].get("equipment_grounding", {})}
        job["primary"]["equipment_grounding"] = grounding


@pytest.mark.parametrize("case", HAS_JOB, ids=lambda case: case.name)
def test_job(case: Case) -> None:
    given = deepcopy(case.question["job"])
    job = {"format": "platepath.job/1", "edition": case.edition, **given}
    primary = job.get("primary", {})
    if "device" in primary:
        # The prints give one rating and speak of no setting: that of a trip that can't be adjusted.
        device = {"adjustable": False, **primary["device"]}
        job["primary"] = {**primary, "device": device}
    secondary = job.get("secondary", {})
    if "protection" in secondary:
        protection = {"adjustable": False, **secondary["protection"]}
        job["secondary"] = {**secondary, "protection": protection}
    _fill_in(job)
    result = evaluate(Job.model_validate(job), compare_editions=False)
    checks = {check.id: check for check in result.checks}
    wrong = []
    for wanted in case.question["expect"]:
        if "check" in wanted:
            check = checks.get(wanted["check"])
            if check is None:
                wrong.append(f"no check {wanted['check']}")
            elif check.verdict != wanted["verdict"]:
                wrong.append(
                    f"check {check.id}: expected {wanted['verdict']}, got {check.verdict}; required {check.required}; "
                    f"found {check.found}; {check.reason} missing {check.missing}"
                )
            continue
        if "written_question" in wanted:
            if not any(wanted["written_question"] in text for text in result.written_questions):
                wrong.append(
                    f"no written question holds {wanted['written_question']!r}: {result.written_questions}"
                )
            continue
        value = result.values.get(wanted["value"])
        if value is None:
            wrong.append(f"no value {wanted['value']}")
            continue
        deviation = _deviation(wanted, value.value)
        if deviation:
            wrong.append(f"value {wanted['value']}: {deviation}; steps {value.steps}")
        if "standard_rating" in wanted and value.standard_rating != wanted["standard_rating"]:
            wrong.append(
                f"value {wanted['value']}: expected the standard rating {wanted['standard_rating']}, "
                f"got {value.standard_rating}; steps {value.steps}"
            )
    assert not wrong, "\n".join([told(case.example), f"  edition {case.edition}", *wrong])


@pytest.mark.parametrize("case", HAS_CALLS, ids=lambda case: case.name)
def test_table_or_formula(case: Case) -> None:
    wrong = []
    for wanted in case.question["calls"]:
        found = CALLS[wanted["call"]](code_for(case.edition), **wanted["with"])
        deviation = _deviation(wanted, found)
        if deviation:
            wrong.append(f"{wanted['call']}({wanted['with']}): {deviation}")
    assert not wrong, "\n".join([told(case.example), f"  edition {case.edition}", *wrong])


@pytest.mark.parametrize("example", ALL, ids=_named)
def test_recomputed_by_hand(example: dict) -> None:
    wrong = [line for line in example.get("arithmetic", []) if not line_holds(line)]
    assert not wrong, f"{told(example)}\n  does not hold: {wrong}"


@pytest.mark.parametrize("example", ALL, ids=_named)
def test_is_complete(example: dict) -> None:
    source = sources()[example["source"]]
    for key in ("title", "author", "publisher", "where", "edition"):
        assert source.get(key), f"{example['source']} has no {key}"
    for key in ("id", "topic", "problem", "inputs", "published", "note"):
        assert example.get(key), f"{example['id']} has no {key}"
    assert "sections" in example
    assert example["trust"] in TRUST
    assert ("expected_per_code" in example) == (example["trust"] == "C"), told(example)
    if example["trust"] == "C":
        assert len(example["note"]) >= 40, "a disagreement needs an explanation"
        assert example["expected_per_code"] != example["published"]
    assert example["cases"]
    for question in example["cases"]:
        assert ("job" in question) != ("calls" in question)
        wanted = question.get("expect") or question.get("calls")
        assert wanted, f"{example['id']} asks and expects nothing"


def test_there_are_enough() -> None:
    assert len(ALL) >= LEAST_EXAMPLES
    assert [name for name, count in Counter(map(_named, ALL)).items() if count > 1] == []
    assert {example["source"] for example in ALL} == set(sources()), (
        "a source without an example, or the reverse"
    )


def test_examples_that_agree_and_that_differ_are_counted_apart() -> None:
    """What differs from its print proves our own reading alone; the README gives both numbers."""
    differ = [example["id"] for example in ALL if example["trust"] == "C"]
    agree = len(ALL) - len(differ)
    assert agree >= LEAST_EXAMPLES
    readme = (FOLDER.parents[1] / "README.md").read_text(encoding="utf-8")
    assert f"{agree} agree with the print, {len(differ)} differ from it" in readme, (agree, differ)


@pytest.mark.parametrize("topic", TOPICS)
def test_topic_has_an_example(topic: str) -> None:
    assert [example["id"] for example in ALL if example["topic"] in TOPICS[topic]]


def test_every_topic_is_listed() -> None:
    assert {example["topic"] for example in ALL} == set().union(*TOPICS.values())


def test_arithmetic_refuses_anything_but_arithmetic() -> None:
    assert worked_out("2*sqrt(9)-1") == 5
    for trick in ("__import__('os')", "(1).real", "x", "[1][0]", "min(1, key=2)"):
        with pytest.raises(ValueError, match="not hand arithmetic"):
            worked_out(trick)
    assert line_holds("1/3 = 0.33")
    assert not line_holds("1/3 = 0.34")
