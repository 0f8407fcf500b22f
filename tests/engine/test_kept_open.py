"""A visit that does not ask about a check tells it all the same where a bad answer on record keeps it open."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import pytest

from engine import evaluate
from engine.evaluation.kept_open import BAD_CHOICES, answers
from engine.evaluation.order import RULES
from engine.evaluation.visits import asked_ids
from engine.files.refusals import job_from_data
from engine.job import Size, TradeSize
from engine.job.missing import reader
from engine.judging.contradictions.found import contradictions
from engine.wizard.questions import catalogue, question_at
from tests.engine.jobs import BUILDERS, FACTS, Data, get, put, replaced, two_runs

UNASKED = [rule for rule in RULES if rule.grounding_visit is not True and rule.group != "readings"]
YES_NO = [question["path"] for question in catalogue() if question["kind"] == "yes_no"]
# Choices that tell what kind of thing it is, or whose bad answer the visit's own checks judge.
NO_BAD_CHOICE = {
    "bonding.structural_steel_bond.material",
    "bonding.supply_side_bonding_jumper.insulation",
    "bonding.supply_side_bonding_jumper.kind",
    "bonding.supply_side_bonding_jumper.material",
    "bonding.system_bonding_jumper.location",
    "bonding.system_bonding_jumper.material",
    "bonding.water_pipe_bond.material",
    "electrode.common_conductor_material",
    "electrode.conductor.material",
    "electrode.used",
    "primary.conductors.insulation",
    "primary.conductors.material",
    "primary.device.kind",
    "primary.equipment_grounding.insulation",
    "primary.equipment_grounding.material",
    "primary.raceway.flexible_type",
    "primary.raceway.type",
    "primary.supply_system",
    "replacement.old.enclosure",
    "replacement.old.primary_system",
    "replacement.old.secondary_system",
    "secondary.conductors.insulation",
    "secondary.conductors.material",
    "secondary.grounded_conductor.insulation",
    "secondary.grounded_conductor.material",
    "secondary.protection.device_kind",
    "secondary.protection.kind",
    "secondary.raceway.flexible_type",
    "secondary.raceway.type",
    "secondary.rule",
    "transformer.location",
    "transformer.primary_system",
    "transformer.secondary_system",
}
DEMO_JOBS = sorted((Path(__file__).resolve().parents[2] / "fixtures" / "jobs").glob("*.json"))
SIZES = {*get_args(Size), *get_args(TradeSize)}
# Refused at the door where it is true: that is no job of this tool.
REFUSED = "transformer.autotransformer"


def _is_choice(path: str) -> bool:
    """Whether it is one of a few words; sizes are amounts."""
    question = question_at(path)
    if question is None or question["kind"] != "choice":
        return False
    values = {choice["value"] for choice in question["choices"]}
    return all(isinstance(value, str) for value in values) and not values <= SIZES


def _without_readings(data: Data) -> Data:
    for path in FACTS:
        if path.startswith("readings."):
            put(data, path, None)
    return data


def _demo(path: Path) -> Data:
    return json.loads(path.read_text(encoding="utf-8"))


BASES = {
    name: _without_readings(build()) for name, build in {**BUILDERS, "two runs": two_runs}.items()
} | {path.stem: _demo(path) for path in DEMO_JOBS}


def _overall(data: Data, purpose: str, **facts: Any) -> str:
    made, _ = job_from_data(replaced({**data, "purpose": purpose}, **facts))
    return evaluate(made, compare_editions=False).overall.verdict


def _told_unasked(data: Data) -> set[str]:
    made, _ = job_from_data({**data, "purpose": "grounding"})
    result = evaluate(made, compare_editions=False)
    return {check.id for check in result.checks if check.asked} - asked_ids(made)


SOUND = [
    name for name, data in BASES.items() if _overall(data, "installation") == "no_conflict_found"
]


@pytest.mark.parametrize("name", SOUND)
def test_a_bad_answer_is_never_silenced_by_the_visit(name: str) -> None:
    """What opens or breaks an installation visit by one answer leaves no grounding visit without a conflict."""
    assert _overall(BASES[name], "grounding") == "no_conflict_found"
    silenced: list[str] = []
    for path in YES_NO:
        answer = get(BASES[name], path)
        if answer is None or path == REFUSED:
            continue
        other = {path.replace(".", "__"): not answer}
        if _overall(BASES[name], "installation", **other) == "no_conflict_found":
            continue
        if _overall(BASES[name], "grounding", **other) == "no_conflict_found":
            silenced.append(path)
    assert not silenced


def test_enough_sound_jobs_are_tried() -> None:
    assert len(SOUND) >= 10


@pytest.mark.parametrize("name", SOUND)
def test_good_answers_open_nothing_that_the_visit_does_not_ask(name: str) -> None:
    data = BASES[name]
    assert not _told_unasked(data)
    # Nor where only what the visit asks is on record: each of its answers alone stands for nothing bad.
    assert not _told_unasked(_with_what_the_visit_asks(data))


def _with_what_the_visit_asks(data: Data) -> Data:
    """The job as a grounding visit leaves it that answers its own questions and nothing else."""
    made, _ = job_from_data(data)
    sparse = json.loads(json.dumps(data))
    for question in catalogue():
        path = question["path"]
        unasked = "grounding" not in question["purposes"] and path in FACTS
        if unasked and reader(path)(made) is not None:
            put(sparse, path, None)
    sparse["secondary"].pop("further_runs", None)
    return sparse


# Kinds of things, of which neither answer is the bad one: they lead to other amounts, which have lines of their own.
KINDS = {
    "observations.outdoors_all_the_way",
    "observations.reverse_fed",
    "observations.supplies_switchboard",
    "primary.device.adjustable",
    "primary.raceway.nipple",
    "primary.raceway.on_sunny_rooftop",
    "secondary.conductors.wet_location",
    "secondary.first_disconnect_separate",
    "secondary.grounded_conductor.current_carrying",
    "secondary.panelboard.fed_by_two_mains",
    "secondary.panelboard.present",
    "secondary.protection.adjustable",
    "secondary.protection.one_enclosure",
    "secondary.raceway.nipple",
    "secondary.raceway.on_sunny_rooftop",
    "transformer.supervised",
}


def _bad_answers(data: Data) -> Iterator[tuple[str, bool | str]]:
    """The answers that the visit does not ask for and that break or open a visit that asks for everything."""
    unasked = {path for rule in UNASKED for path in rule.asks} - {*KINDS, REFUSED}
    for path in [*YES_NO, *BAD_CHOICES]:
        question, found = question_at(path), get(data, path)
        if found is None or path not in unasked or "grounding" in question["purposes"]:
            continue
        bad = BAD_CHOICES.get(path, not found)
        alone = {path.replace(".", "__"): bad}
        if bad == found or _overall(data, "installation", **alone) == "no_conflict_found":
            continue
        made, _ = job_from_data(replaced(data, **alone))
        # What only another answer contradicts says nothing where that one is not on record.
        if not contradictions(made):
            yield path, bad


@pytest.mark.parametrize("name", [name for name in SOUND if name in BUILDERS])
def test_an_answer_alone_is_told_if_it_is_bad_whatever_else_is_unknown(name: str) -> None:
    """What breaks or opens a check where all is known is never silent where the rest is unknown; a good answer is."""
    sparse = _with_what_the_visit_asks(BASES[name])
    silenced: list[str] = []
    told: list[str] = []
    for path, bad in _bad_answers(BASES[name]):
        at = path.replace(".", "__")
        if _overall(sparse, "grounding", **{at: bad}) == "no_conflict_found":
            silenced.append(path)
        good = replaced(sparse, **{at: get(BASES[name], path)})
        told += [f"{path}: {id_}" for id_ in _told_unasked(good)]
    assert (silenced, told) == ([], [])


# A grounding visit of 25 kVA with next to nothing on record but what it asks for.
NEXT_TO_NOTHING = _demo(DEMO_JOBS[0].with_name("12_grounding_only_single_phase.json"))


@pytest.mark.parametrize(
    ("check", "facts"),
    [
        # 250.118: rigid conduit with so much flexible fails here, any other raceway is no path or too long
        (
            "primary_flexible_section",
            {
                "primary.equipment_grounding.kind": "raceway",
                "primary.raceway.flexible_length_feet": 10,
            },
        ),
        # Table 250.122: 8 AWG copper behind 70 A, however its trip can be set
        (
            "primary_equipment_grounding",
            {
                "primary.equipment_grounding.kind": "wire",
                "primary.equipment_grounding.size": "14",
                "primary.equipment_grounding.material": "copper",
                "primary.device.rating": 70,
                "primary.conductors.size": "4",
                "primary.conductors.material": "copper",
            },
        ),
        # 110.27
        ("guarding", {"observations.completely_enclosed_except_vents": False}),
        # 408.36(D)
        (
            "back_fed_main",
            {"secondary.protection.back_fed": True, "secondary.protection.held_down": False},
        ),
        # 240.85
        ("primary_straight_rated", {"primary.device.straight_rated": False}),
        # 450.22, 110.28
        (
            "dry_type_outdoors",
            {
                "transformer.location": "outdoors",
                "observations.electrode_at_outdoor_source": True,
                "observations.weatherproof_enclosure": False,
            },
        ),
        # 250.97
        (
            "knockout_bonding",
            {"observations.knockouts_bonded": False, "primary.raceway.type": "EMT"},
        ),
        # 300.3(A)
        ("secondary_rule", {"secondary.enclosed_in_raceway": False}),
        # 310.16: 1 AWG copper has 145 A in its hottest column
        ("grounded_conductor_load", {"secondary.neutral_load_amperes": 300}),
    ],
)
def test_a_bad_answer_beside_next_to_nothing_is_told(check: str, facts: dict[str, Any]) -> None:
    made, _ = job_from_data(replaced(NEXT_TO_NOTHING, **facts))
    result = evaluate(made, compare_editions=False)
    assert result.overall.verdict != "no_conflict_found"
    judged = next(each for each in result.checks if each.id == check)
    assert judged.verdict == "does_not_meet" or (judged.verdict == "cannot_tell" and judged.asked)


def test_next_to_nothing_is_sound() -> None:
    assert _overall(NEXT_TO_NOTHING, "grounding") == "no_conflict_found"
    # as large as the table asks, and within the ampacity
    for path, value in (
        ("secondary.neutral_load_amperes", 145),
        ("primary.raceway.flexible_length_feet", 5),
    ):
        assert (
            _overall(NEXT_TO_NOTHING, "grounding", **{path.replace(".", "__"): value})
            == "no_conflict_found"
        )


@pytest.mark.parametrize("name", list(BUILDERS))
def test_sound_readings_that_prove_nothing_open_no_visit(name: str) -> None:
    assert not _told_unasked(BUILDERS[name]())


def test_every_yes_or_no_is_read_and_every_choice_is_placed() -> None:
    asked = {path for rule in UNASKED for path in rule.asks}
    assert all(answers(path) == (True, False) for path in asked & {*YES_NO})
    choices = {path for path in asked if _is_choice(path)}
    assert choices == NO_BAD_CHOICE | {*BAD_CHOICES}
    assert not NO_BAD_CHOICE & {*BAD_CHOICES}
    assert all(bad in answers(path) for path, bad in BAD_CHOICES.items())
    assert not any(map(answers, NO_BAD_CHOICE))


def test_an_installation_visit_is_told_nothing_more() -> None:
    for data in BASES.values():
        made, _ = job_from_data({**data, "purpose": "installation"})
        result = evaluate(made, compare_editions=False)
        assert {check.id for check in result.checks if check.asked} == asked_ids(made)
