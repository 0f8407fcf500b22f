"""Several secondary runs of one transformer: each judged by itself, and what stands once by all of them together.

Sources, beside each figure: Table 310.16 and Table 8 as in tests/published; Table 250.66 with its note 1 on several sets
(the largest sum of the areas) and note a (derived conductors), as printed in public copies of the table; 250.28(D)(3) and
Table 450.3(B) note 2 from memory.
"""

import json
from copy import deepcopy
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine import evaluate
from engine.code import code_for
from engine.evaluation.facts import facts, label
from engine.evaluation.judge import judge, outcome_of
from engine.evaluation.judged import is_judged_by_run
from engine.evaluation.order import RULES
from engine.files.refusals import Refusal, job_from_data
from engine.fleet.audit_line import audit_line
from engine.job import Observations, RunFacts, RunObservations, Secondary
from engine.job.runs import FURTHER, first_path, is_of_run, job_of_run, path_in_run, run_count
from engine.job.site import Site
from engine.judging.contradictions.found import contradictions
from engine.report.page import html as report_html
from engine.wizard.questions import catalogue, of_further_runs, question_at
from tests.engine.checked import check_of, checked, verdicts
from tests.engine.examples import examples
from tests.engine.jobs import (
    BUILDERS,
    FACTS,
    RUN_FACTS,
    Data,
    job,
    put,
    replaced,
    run_of,
    sound,
    two_runs,
)
from tests.engine.strategies import jobs_of_several_runs

SECOND = f"{FURTHER}.0"
JOBS = Path(__file__).resolve().parents[2] / "fixtures" / "jobs"
BY_RUN = [rule for rule in RULES if is_judged_by_run(rule)]


def changed(**facts: object) -> Data:
    """The job of two runs with facts replaced; `r2__` stands for the second run."""
    data = two_runs()
    for name, value in facts.items():
        put(data, name.replace("r2__", f"{SECOND}.").replace("__", "."), value)
    return data


def check(id_: str, data: Data):
    return check_of(checked(job_from_data(data)[0]), id_)


# ---------------------------------------------------------------- names


@given(st.sampled_from(FACTS), st.integers(0, 5))
def test_a_path_of_a_run_leads_back_to_the_first(path: str, number: int) -> None:
    there = path_in_run(path, number)
    assert first_path(there) == (path, number if is_of_run(path) else 0)


@pytest.mark.parametrize(
    "path",
    [
        f"{FURTHER}",
        f"{FURTHER}.",
        f"{FURTHER}.x.conductors.size",
        f"{FURTHER}.01.conductors.size",
        f"{FURTHER}.²",
        f"{FURTHER}.0.kva",
        f"{FURTHER}.0",
    ],
)
def test_what_names_no_fact_of_a_run_is_left_as_it_is(path: str) -> None:
    assert first_path(path) == (path, 0)


def test_what_is_seen_of_a_run_is_what_is_seen_of_the_first() -> None:
    for name, field in RunObservations.model_fields.items():
        assert field.annotation == Observations.model_fields[name].annotation, name
    for name, field in RunFacts.model_fields.items():
        assert field.annotation == Secondary.model_fields[name].annotation, name


def test_every_fact_of_a_run_has_a_question_and_a_label_that_names_the_run() -> None:
    for question in catalogue():
        path = path_in_run(question["path"], 2)
        if path != question["path"]:
            assert question_at(path) is question
            assert label(path) == f"Run 3 · {question['label']}"
    for question in of_further_runs():
        assert question_at(question["path"].replace(".0.", ".3.")) is question


def test_at_most_six_runs() -> None:
    data = sound()
    data["secondary"]["further_runs"] = [{}] * 6
    with pytest.raises(Refusal) as refused:
        job_from_data(data)
    assert [problem.path for problem in refused.value.problems] == [FURTHER]


def test_an_unknown_key_of_a_run_is_refused_by_name() -> None:
    with pytest.raises(Refusal) as refused:
        job_from_data(changed(r2__conductors__colour="red"))
    assert [p.path for p in refused.value.problems] == [f"{SECOND}.conductors.colour"]


# ---------------------------------------------------------------- one run alone


@pytest.mark.parametrize("empty", [[], None])
@pytest.mark.parametrize("name", sorted(BUILDERS))
def test_no_further_runs_is_the_same_as_a_file_that_does_not_name_them(name: str, empty) -> None:
    data = BUILDERS[name]()
    plain = evaluate(job(data)).model_dump_json()
    put(data, "secondary", data["secondary"] | {"further_runs": empty})
    assert evaluate(job(data)).model_dump_json() == plain
    assert "run_2" not in plain and "Run 1" not in plain


@examples(60)
@given(jobs_of_several_runs())
def test_each_run_is_judged_as_if_it_were_the_first_and_the_worst_stands(data: Data) -> None:
    try:
        made = job_from_data(data)[0]
    except Refusal:
        return
    code = code_for(made.edition)
    site = Site(made, code)
    worst_first = ("does_not_meet", "cannot_tell", "meets", "does_not_apply")
    for rule in BY_RUN:
        alone = [
            # 250.97, 300.4(G), 310.10(G): the first run's answer speaks of the primary too, a further run's of itself
            judge(rule.for_run(number), Site(job_of_run(made, number), code)).finding.verdict
            for number in range(run_count(made))
        ]
        together = judge(rule, site).finding.verdict
        assert together == min(alone, key=worst_first.index), rule.id
        assert outcome_of(rule, site).verdict == together


@examples(40)
@given(jobs_of_several_runs(), st.randoms(use_true_random=False))
def test_the_order_of_the_further_runs_does_not_matter(data: Data, seed) -> None:
    other = deepcopy(data)
    seed.shuffle(other["secondary"]["further_runs"])
    try:
        assert verdicts(job_from_data(data)[0]) == verdicts(job_from_data(other)[0])
    except Refusal:
        return


def test_rules_are_told_apart_by_what_they_ask() -> None:
    for rule in RULES:
        if is_judged_by_run(rule):
            assert any(is_of_run(path) for path in rule.asks)
        elif rule.all_runs is None:
            assert not any(is_of_run(path) for path in rule.asks), rule.id


# ---------------------------------------------------------------- words


def test_the_demo_job_of_two_runs_is_sound() -> None:
    data = json.loads((JOBS / "16_two_secondary_runs.json").read_text(encoding="utf-8"))
    result = checked(job_from_data(data)[0])
    assert result.overall.verdict == "no_conflict_found"
    assert result.job.transformer.endswith(", 2 secondary runs")


def test_a_conflict_names_its_run_and_what_would_mend_it() -> None:
    # Table 310.16, copper at 75 °C: 8 AWG 50 A, 3 AWG 100 A.
    found = check("secondary_conductors", changed(r2__conductors__size="8"))
    assert found.verdict == "does_not_meet"
    assert found.reason.startswith("Run 2: ") and "Run 1" not in found.reason
    assert found.found == "Run 1: 100 A; Run 2: 50 A"
    assert found.remedy.startswith("Run 2: ")


def test_a_missing_fact_is_named_by_its_path_and_its_run() -> None:
    result = checked(job_from_data(changed(r2__conductors__length_feet=None))[0])
    path = f"{SECOND}.conductors.length_feet"
    found = check_of(result, "secondary_rule")
    assert found.verdict == "cannot_tell" and found.missing == [path]
    assert found.reason.startswith("Run 2: ")
    item = next(item for item in result.open_items if item.path == path)
    assert item.label.startswith("Run 2 · ")


def test_the_facts_of_a_run_stand_under_its_name_in_the_walk() -> None:
    known = {fact.path: fact for fact in facts(job_from_data(two_runs())[0])}
    assert known["secondary.conductors.size"].label.startswith("Run 1 · ")
    assert known[f"{SECOND}.conductors.size"].label.startswith("Run 2 · ")
    assert known[f"{SECOND}.conductors.size"].shown == "3 AWG"
    assert known["transformer.kva"].label == "Rated power"
    assert {path_in_run(path, 1) for path in RUN_FACTS if path in known} <= {*known}


def test_values_of_each_run_and_of_all() -> None:
    values = evaluate(job_from_data(changed(r2__conductors__size="1/0"))[0]).values
    # Table 310.16, copper at 75 °C: 3 AWG 100 A, 1/0 AWG 150 A.
    assert values["secondary_conductor_ampacity"].value == 100
    assert values["run_2.secondary_conductor_ampacity"].value == 150
    assert values["run_2.secondary_conductor_ampacity"].title.startswith("Run 2: ")
    assert "run_2.system_bonding_jumper_minimum" not in values
    assert "run_2.full_load_current_secondary" not in values


def test_the_report_holds_the_facts_and_limits_of_every_run() -> None:
    html = report_html(evaluate(job_from_data(two_runs())[0]), photos=[], signature_data_url=None)
    assert "Run 2: Smallest secondary conductor" in html
    assert "Run 2 · " in html and "2 secondary runs" in html
    table = html.split('aria-label="Secondary runs"')[1].split("</table>")[0]
    assert table.count("3\N{NO-BREAK SPACE}AWG") == 4 and "Run 2" in table
    alone = report_html(evaluate(job(sound())))
    assert "Secondary runs" not in alone


def test_the_report_says_of_an_empty_run_that_nothing_is_known() -> None:
    data = two_runs()
    data["secondary"]["further_runs"].append({})
    html = report_html(evaluate(job_from_data(data)[0]))
    table = html.split('aria-label="Secondary runs"')[1].split("</table>")[0]
    assert "Run 3" in table and table.count("not known") >= 10


# ---------------------------------------------------------------- unknown never passes


def test_a_run_of_which_nothing_is_known_passes_nothing_that_reads_it() -> None:
    data = two_runs()
    before = verdicts(job_from_data(data)[0])
    data["secondary"]["further_runs"].append({})
    after = verdicts(job_from_data(data)[0])
    of_all_runs = [rule.id for rule in RULES if rule.all_runs is not None]
    assert len(of_all_runs) > 10
    for id_ in (*(rule.id for rule in BY_RUN), *of_all_runs):
        # What does not apply to this transformer at all, and the primary alone, is known without the run.
        if before[id_] == "meets" and after[id_] == "meets":
            assert id_ in KNOWN_WITHOUT_THE_RUN, id_
    for id_ in ("grounding_electrode_conductor", "system_bonding_jumper", "secondary_rule"):
        assert after[id_] == "cannot_tell"


KNOWN_WITHOUT_THE_RUN = {
    "primary_device",
    "primary_conductor_protection",
    "primary_equipment_grounding",
    "system_grounding",
    "single_bonding_point",
    "jumper_of_several_enclosures",
    # 250.97 begins above 250 V to ground, and 208 V between lines is less; the primary is answered for with the first run.
    "knockout_bonding",
    # The transformer's terminals are marked for the hottest column that is used at all.
    "replacement_terminals",
    # Which runs have a grounded conductor matters on single-phase 480/240 V alone.
    "line_to_ground_reading",
    # What was read to the neutral is judged by the connection; a run only tells whether there is a neutral to read to.
    "line_to_neutral_reading",
}


@pytest.mark.parametrize("path", [path for path in RUN_FACTS if path != "secondary.rule"])
def test_forgetting_a_fact_of_the_second_run_moves_nothing_to_meets(path: str) -> None:
    data = two_runs()
    before = verdicts(job_from_data(data)[0])
    put(data, path_in_run(path, 1), None)
    after = verdicts(job_from_data(data)[0])
    assert not {id_ for id_ in after if after[id_] == "meets" != before[id_]}


def test_what_is_only_assumed_of_a_run_is_not_judged() -> None:
    data = two_runs()
    path = f"{SECOND}.conductors.length_feet"
    data["provenance"] = {path: "assumed"}
    found = check("secondary_rule", data)
    assert found.verdict == "cannot_tell" and found.missing == [path]
    data["provenance"] = {f"{FURTHER}.4.conductors.size": "assumed"}
    with pytest.raises(Refusal):
        job_from_data(data)


# ---------------------------------------------------------------- once for all runs


def test_the_sum_of_all_runs_sizes_what_stands_once() -> None:
    # Chapter 9, Table 8: 3 AWG 52,620 circular mils; two of them 105.24 kcmil, no more than 1/0 AWG (105.6).
    # Table 250.66 with note 1, and Table 250.102(C)(1): over 2 AWG and up to 1/0 AWG copper: 6 AWG copper.
    values = checked(job_from_data(two_runs())[0]).values
    for id_ in (
        "system_bonding_jumper_minimum",
        "grounding_electrode_conductor_minimum",
        "water_pipe_bond_minimum",
        "structural_steel_bond_minimum",
    ):
        assert values[id_].value == "6", id_
        assert any("105.2 kcmil" in step for step in values[id_].steps), id_
    # Each run's own by its own phases: 3 AWG copper, 8 AWG.
    assert values["supply_side_bonding_jumper_minimum"].value == "8"
    assert values["run_2.supply_side_bonding_jumper_minimum"].value == "8"


@pytest.mark.parametrize(
    ("first", "second", "wanted"),
    [
        # Table 250.66, copper: sum of areas 2/0 + 2/0 = 266.2 kcmil, over 3/0 through 350: 2 AWG.
        ("2/0", "2/0", "2"),
        # 250 + 350 = 600 kcmil, over 350 through 600: 1/0 AWG.
        ("250", "350", "1/0"),
        # 250 + 400 = 650, over 600 through 1100: 2/0 AWG.
        ("250", "400", "2/0"),
        # 600 + 600 = 1200, over 1100: 3/0 AWG.
        ("600", "600", "3/0"),
    ],
)
def test_electrode_conductor_by_the_sum_of_the_areas(first: str, second: str, wanted: str) -> None:
    data = changed(secondary__conductors__size=first, r2__conductors__size=second)
    values = evaluate(job_from_data(data)[0]).values
    assert values["grounding_electrode_conductor_minimum"].value == wanted


def test_beyond_the_table_the_jumper_is_a_share_of_the_sum() -> None:
    # 250.102(C)(1), note on areas over 1100 kcmil copper: 12.5 %; 750 + 750 = 1500 kcmil, 187.5 kcmil, so 4/0 AWG (211.6).
    data = changed(secondary__conductors__size="750", r2__conductors__size="750")
    value = evaluate(job_from_data(data)[0]).values["system_bonding_jumper_minimum"]
    assert value.value == pytest.approx(187.5)
    assert value.size == "4/0"


@pytest.mark.parametrize(
    ("copper", "aluminum", "wanted"),
    [
        # Table 310.16, 75 °C: 350 aluminum 250 A, and so 250 copper, 255 A; 350 + 250 = 600 kcmil: 1/0 AWG (Table 250.66).
        ("350", "350", "1/0"),
        # 1 AWG aluminum 100 A, and so 3 AWG copper, 100 A; 52.62 + 52.62 = 105.24 kcmil, 1/0 at most: 6 AWG.
        ("3", "1", "6"),
        # 500 aluminum 310 A, and so 350 copper, 310 A; 600 + 350 = 950 kcmil, over 600 through 1100: 2/0 AWG.
        ("600", "500", "2/0"),
    ],
)
def test_runs_of_both_metals_are_counted_as_copper_of_the_same_ampacity(
    copper: str, aluminum: str, wanted: str
) -> None:
    # Table 250.102(C)(1), note 2, for what is beyond it; within the tables common practice, no source.
    data = changed(
        secondary__conductors__size=copper,
        r2__conductors__size=aluminum,
        r2__conductors__material="aluminum",
    )
    value = evaluate(job_from_data(data)[0]).values["grounding_electrode_conductor_minimum"]
    assert value.value == wanted
    assert any("both copper and aluminum" in step for step in value.steps)


def test_beyond_the_table_runs_of_both_metals_are_counted_in_the_metal_of_the_jumper() -> None:
    # Table 310.16, 75 °C: 750 aluminum 385 A, and so 500 copper, 380 A, is too little, 600 copper, 420 A; 600 + 600 = 1200,
    # 12.5 %: 150 kcmil of copper. In aluminum: 600 copper 420 A, and so 900 aluminum, 425 A; 900 + 750 = 1650: 206.25 kcmil.
    data = changed(
        secondary__conductors__size="600",
        r2__conductors__size="750",
        r2__conductors__material="aluminum",
    )
    value = evaluate(job_from_data(data)[0]).values["system_bonding_jumper_minimum"]
    assert value.value == pytest.approx(150)
    data["bonding"]["system_bonding_jumper"]["material"] = "aluminum"
    value = evaluate(job_from_data(data)[0]).values["system_bonding_jumper_minimum"]
    assert value.value == pytest.approx(206.25)


def test_devices_of_all_runs_are_added_up_for_the_transformer() -> None:
    # 75 kVA at 208 V: 208.2 A; 125 % is 260.2 A, the next standard rating 300 A (Table 450.3(B) note 1, 240.6(A)).
    # Note 2 (from memory): several devices together not above what one may have.
    held = changed(
        primary__device__rating=200, r2__protection__rating=200, r2__protection__ratings=[200]
    )
    assert check("primary_device", held).verdict == "meets"
    over = changed(
        primary__device__rating=200, r2__protection__rating=225, r2__protection__ratings=[225]
    )
    assert check("primary_device", over).verdict == "does_not_meet"
    assert "325 A" in check("secondary_device", over).found


@pytest.mark.parametrize(("same", "beside", "verdict"), [
    (True, None, "meets"),
    (False, True, "meets"),
    (False, False, "does_not_meet"),
    (False, None, "cannot_tell"),
    (None, True, "meets"),
    (None, None, "cannot_tell"),
])  # fmt: skip
def test_devices_count_together_only_in_one_location(same, beside, verdict: str) -> None:
    # Table 450.3(B) note 2: grouped in one location.
    data = changed(
        primary__device__rating=200,
        r2__in_first_enclosure=same,
        r2__beside_first_run=beside,
    )
    assert check("primary_device", data).verdict == verdict


@pytest.mark.parametrize(("same", "verdict"), [
    (True, "meets"), (False, "does_not_meet"), (None, "cannot_tell"),
])  # fmt: skip
def test_a_jumper_at_the_first_disconnect_serves_one_enclosure(same, verdict: str) -> None:
    # 250.28(D)(3), from memory: one jumper at the source where several enclosures are supplied.
    data = changed(
        bonding__system_bonding_jumper__location="first_disconnect",
        electrode__connected_at="first_disconnect",
        # Only of several enclosures is it asked.
        bonding__system_bonding_jumper__in_each_enclosure=False if same is False else None,
        r2__in_first_enclosure=same,
    )
    assert check("jumper_of_several_enclosures", data).verdict == verdict


# ---------------------------------------------------------------- contradictions


def test_facts_of_the_second_run_that_cannot_all_be_true_are_named_and_believed_by_no_rule() -> (
    None
):
    data = changed(r2__raceway__nipple=True)
    result = checked(job_from_data(data)[0])
    clash = next(each for each in result.contradictions if "nipple" in each.id)
    assert clash.id.startswith("run_2.") and clash.why.startswith("Run 2: ")
    assert all(fact.path.startswith(SECOND) for fact in clash.facts)
    assert result.overall.verdict == "not_determined"


def test_a_contradiction_of_shared_facts_is_named_once() -> None:
    data = replaced(two_runs(), electrode__available=["rod"])
    found = [entry.id for entry in contradictions(job_from_data(data)[0])]
    assert found == ["electrode_used_and_not_there"]


def test_loads_of_all_runs_are_held_against_that_of_the_primary() -> None:
    # 80 A on each of two runs is 160 A at 208 V, 69.3 A at 480 V: 40 A is less than that, and
    # more than the 34.7 A of one run.
    one = replaced(two_runs(), primary__load__continuous_amperes=40)
    one["primary"]["load"]["noncontinuous_amperes"] = 0
    found = [entry.id for entry in contradictions(job_from_data(one)[0])]
    assert found == ["load_vanishes", "continuous_load_vanishes"]
    one["secondary"]["further_runs"] = []
    assert not contradictions(job_from_data(one)[0])


# ---------------------------------------------------------------- a fleet


@examples(40)
@given(jobs_of_several_runs())
def test_a_fleet_says_of_each_job_what_evaluate_says(data: Data) -> None:
    try:
        result = evaluate(job_from_data(data)[0], compare_editions=False)
    except Refusal:
        return
    row = json.loads(audit_line(json.dumps(data), 1).text)
    assert row["overall"] == result.overall.verdict
    wanted = [c.id for c in result.checks if c.verdict == "cannot_tell" and c.asked]
    assert row["cannot_tell"] == wanted
    assert row["does_not_meet"] == [c.id for c in result.checks if c.verdict == "does_not_meet"]


def test_a_fleet_does_not_take_one_job_for_another_that_differs_in_a_further_run() -> None:
    bad = changed(r2__conductors__size="8")
    rows = [json.loads(audit_line(json.dumps(d), 1).text) for d in (two_runs(), bad, two_runs())]
    assert ["secondary_conductors" in row["does_not_meet"] for row in rows] == [False, True, False]


def test_a_second_run_alike_asks_for_what_the_first_asks_for() -> None:
    # Two runs of 170 A at 208 V are 147 A at 480 V.
    alone = replaced(sound(), primary__load__continuous_amperes=140)
    data = replaced(alone)
    data["secondary"]["further_runs"] = [run_of(data)]
    one, both = verdicts(job_from_data(alone)[0]), verdicts(job_from_data(data)[0])
    for rule in BY_RUN:
        assert both[rule.id] == one[rule.id], rule.id
