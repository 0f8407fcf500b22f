"""Every rule in every edition: a section, or the words that it is not confirmed; and facts it asks for that someone asks."""

import ast
import re
from pathlib import Path

import pytest

from engine.code import EDITIONS, code_for
from engine.evaluation.evaluate import evaluate
from engine.evaluation.judge import judge
from engine.evaluation.order import GROUPS, OBSERVED, RULES
from engine.evaluation.suppose import SupposingSite
from engine.evaluation.values import VALUES
from engine.job.runs import FURTHER
from engine.job.site import Site
from engine.judging.verdicts import Assumed
from engine.wizard.questions import catalogue
from tests.engine.jobs import BUILDERS, FACTS, NEEDED, get, job, with_facts

ENGINE = Path(__file__).resolve().parents[2] / "engine"
CHECK_IDS = (
    *(
        "primary_device",
        "primary_conductors",
        "primary_conductor_protection",
        "primary_equipment_grounding",
    ),
    *(
        "primary_raceway",
        "secondary_device",
        "panelboard_protection",
        "secondary_rule",
        "secondary_conductors",
    ),
    *(
        "secondary_raceway",
        "grounded_conductor",
        "supply_side_bonding_jumper",
        "system_bonding_jumper",
    ),
    *(
        "single_bonding_point",
        "neutral_isolation",
        "grounding_electrode",
        "grounding_electrode_conductor",
    ),
    *("water_pipe_bond", "structural_steel_bond", "interrupting_ratings", "inrush"),
)
VALUE_IDS = (
    *("full_load_current_primary", "full_load_current_secondary", "primary_device_maximum"),
    *("primary_device_maximum_with_secondary_protection", "secondary_device_maximum"),
    *("primary_conductor_ampacity", "secondary_conductor_ampacity"),
    *("primary_conductor_minimum", "secondary_conductor_minimum"),
    *("primary_equipment_grounding_minimum", "secondary_equipment_grounding_minimum"),
    *(
        "grounded_conductor_minimum",
        "supply_side_bonding_jumper_minimum",
        "system_bonding_jumper_minimum",
    ),
    *(
        "grounding_electrode_conductor_minimum",
        "water_pipe_bond_minimum",
        "structural_steel_bond_minimum",
    ),
    *(
        "primary_raceway_fill",
        "secondary_raceway_fill",
        "primary_raceway_minimum",
        "secondary_raceway_minimum",
    ),
    *("secondary_fault_current", "primary_voltage_drop", "secondary_voltage_drop"),
)


def _cite_ids() -> set[str]:
    """Every cite id that stands as text in the engine: cite="…", section("…"), cites in tables of rules."""
    known = {
        row.split(",")[0]
        for row in (ENGINE / "code" / "sections.csv").read_text(encoding="utf-8").splitlines()
    }
    used: set[str] = set()
    for folder in ("rules", "rules/conditions", "derived", "."):
        for path in (ENGINE / folder).glob("*.py"):
            text = path.read_text(encoding="utf-8")
            used |= set(re.findall(r'(?:cite=|\.section\(|\.cite\()"(\w+)"', text))
            for node in ast.walk(ast.parse(text)):
                if (
                    isinstance(node, ast.Constant)
                    and isinstance(node.value, str)
                    and node.value in known
                ):
                    used.add(node.value)
    return used


def test_every_look_has_its_place_in_the_order() -> None:
    left_out = [f"{rule.id} ({rule.group})" for rule in OBSERVED if rule not in RULES]
    assert not left_out, (
        f"RULES in engine/evaluation/order.py takes no looks of these stops yet; add a line for them: {left_out}"
    )


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_citation_in_use_exists_in_every_edition(edition: int) -> None:
    code = code_for(edition)
    for cite_id in sorted(_cite_ids()):
        citation = code.cite(cite_id)
        assert citation.section, f"{cite_id} has no section in {edition}"
        assert citation.title


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("name", sorted(BUILDERS))
def test_every_rule_names_its_section_or_says_that_it_is_not_confirmed(
    name: str, edition: int
) -> None:
    result = evaluate(job(BUILDERS[name](), edition=edition), compare_editions=False)
    for line in (*result.checks, *result.values.values()):
        assert line.section.strip(), line
        assert line.section_confirmed is not ("not confirmed" in line.section), line


def test_a_section_that_is_not_confirmed_says_so() -> None:
    code = code_for(2026)
    unsure = [i for i in _cite_ids() if not code.cite(i).confirmed and code.cite(i).exists]
    assert unsure, "the 2026 edition has numbers that could not be confirmed"
    for cite_id in unsure:
        section = code.cite(cite_id).section
        assert "not confirmed" in section, f"{cite_id}: {section}"


def test_the_contract_ids_are_all_there() -> None:
    assert set(CHECK_IDS) <= {rule.id for rule in RULES}
    assert set(VALUE_IDS) <= {value.id for value in VALUES}
    assert len({rule.id for rule in RULES}) == len(RULES)
    assert len({value.id for value in VALUES}) == len(VALUES)


def test_a_complete_job_has_every_value_of_the_contract() -> None:
    values = evaluate(job(BUILDERS["sound"]()), compare_editions=False).values
    assert set(VALUE_IDS) <= set(values)
    assert not [id_ for id_, value in values.items() if value.assumed], (
        "nothing is assumed where all is known"
    )


def test_a_nameplate_with_its_primary_device_gives_every_value_that_follows() -> None:
    from tests.engine.jobs import nameplate

    result = evaluate(
        job(
            nameplate(75, 3, 480, 208),
            primary__device__rating=125,
            primary__device__adjustable=False,
        ),
        compare_editions=False,
    )
    # without %Z there is no fault current, without a length no voltage drop
    needs_more = {"secondary_fault_current", "primary_voltage_drop", "secondary_voltage_drop"}
    assert set(VALUE_IDS) - needs_more <= set(result.values)
    # 125 A on 90.2 A keeps the limit of the primary alone (Table 450.3(B)); whatever else meets has looked at nothing.
    assert [c.id for c in result.checks if c.verdict == "meets"] == ["primary_device"]


def test_groups_are_those_of_the_walk() -> None:
    groups = {id_ for id_, _ in GROUPS}
    assert {rule.group for rule in RULES} <= groups
    assert {value.group for value in VALUES} <= groups


@pytest.mark.parametrize("name", sorted(BUILDERS))
def test_every_fact_that_a_rule_misses_is_one_that_it_asks_for(name: str) -> None:
    whole = BUILDERS[name]()
    for path in (path for path in FACTS if get(whole, path) is not None):
        made = job(with_facts(whole, **{path.replace(".", "__"): None}))
        site = Site(made, code_for(made.edition))
        for rule in RULES:
            missing = judge(rule, site).missing
            assert set(missing) <= set(rule.asks), (rule.id, path, missing)
            if missing:
                assert path in rule.asks, f"{rule.id} depends on {path} and does not ask for it"


ASKED = {question["path"] for question in catalogue()}


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_every_fact_that_a_rule_asks_for_is_a_question(rule) -> None:
    assert set(rule.asks) <= ASKED


# Facts that the wizard does not ask one by one, and why.
NOT_ASKED = {
    "transformer.autotransformer": "refused when true; the wizard starts from a transformer with two windings",
    "primary.raceway.length_feet": "the conductors' length is asked; a raceway's own length only rules a nipple out",
    "secondary.raceway.length_feet": "as on the primary",
    "secondary.raceway.flexibility_needed": "matters on the primary, where flex may serve; never on the supply side",
    "secondary.raceway.flexible_length_feet": "as above",
}


def test_every_field_of_the_job_is_asked_or_said_why_not() -> None:
    fields = {*FACTS, *NEEDED}
    missing = sorted(fields - ASKED - set(NOT_ASKED))
    assert not missing, "ask for them in engine/wizard/stops, or say here why not"


def test_every_question_is_a_field_of_the_job() -> None:
    from tests.engine.jobs import fields

    assert {path for path, _ in fields()} >= ASKED, "give each a field in engine/job/"


def test_no_rule_branches_on_the_edition() -> None:
    for folder in ("rules", "derived", "physics"):
        for path in (ENGINE / folder).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Compare):
                    sides = (node.left, *node.comparators)
                    names = {getattr(side, "attr", getattr(side, "id", None)) for side in sides}
                    assert "edition" not in names, (
                        f"{path.name}:{node.lineno}: put the difference in the data"
                    )


def test_only_two_functions_can_say_meets() -> None:
    """`compare` and `confirm` alone; everything else passes their finding on."""
    for path in (
        *(ENGINE / "rules").rglob("*.py"),
        *(ENGINE / "derived").rglob("*.py"),
        *(ENGINE / "evaluation").rglob("*.py"),
    ):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Name)
                and node.func.id == "Finding"
            ):
                raise AssertionError(f"{path.name}:{node.lineno} makes a finding by itself")
            if (
                isinstance(node, ast.keyword)
                and node.arg == "verdict"
                and isinstance(node.value, ast.Constant)
            ):
                raise AssertionError(f"{path.name}:{node.lineno} sets a verdict by itself")


def test_conditions_of_questions_know_equality_only() -> None:
    def check(condition) -> None:
        if condition is None:
            return
        for key, value in condition.items():
            assert key in ("path", "is", "one_of", "known", "all", "any", "not"), key
            if key in ("all", "any"):
                for part in value:
                    check(part)
            elif key == "not":
                check(value)
            elif key == "path":
                # The list of further runs is no question: the person adds a run, or does not. The purpose is chosen
                # before the first question.
                assert value in {*ASKED, FURTHER, "purpose"}, value

    for question in catalogue():
        check(question["when"])
        for choice in question["choices"]:
            check(choice.get("when"))


def test_a_verdict_on_a_supposed_fact_is_an_error_of_ours() -> None:
    site = SupposingSite(job(BUILDERS["sound"]()), code_for(2023))
    for rule in RULES:
        try:
            verdict = rule.judge(site).verdict
        except Assumed:
            continue
        assert verdict in ("does_not_apply", "cannot_tell"), rule.id
