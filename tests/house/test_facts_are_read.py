"""No recorded fact is ignored: each moves a check or runs into a contradiction somewhere, on every visit."""

from collections.abc import Iterator
from copy import deepcopy
from typing import Any

import pytest

from engine import Job, evaluate
from engine.code import code_for
from engine.evaluation.judge import judge
from engine.evaluation.order import RULES
from engine.files.refusals import Refusal, job_from_data
from engine.job.site import Site
from engine.judging.contradictions.found import contradictions
from engine.judging.contradictions.listed import CONTRADICTIONS
from tests.engine.jobs import BUILDERS, FACTS, Data, put, replaced
from tests.engine.strategies import values_to_try
from tests.engine.test_dangerous_jobs import DANGEROUS, LAWFUL, _base

PURPOSES = ("installation", "grounding", "replacement")
# Facts that move no check, and what they are for.
RECORD = {
    "primary.load.power_factor": "the voltage drop alone, a value and no requirement",
    "secondary.load.power_factor": "the voltage drop alone, a value and no requirement",
    "secondary.raceway.flexibility_needed": "on the supply side flexible metal never serves, however it is used",
    "replacement.old.primary_terminal_celsius": "shown beside the new mark, which is the one that is judged",
    "replacement.old.secondary_terminal_celsius": "shown beside the new mark, which is the one that is judged",
}
# Refused at the door where it is true: that is no job of this tool.
REFUSED = ("transformer.autotransformer",)
# Where a fact matters that matters beside others alone.
MATTERS_BESIDE: dict[str, Data] = {
    "transformer.coordinated_thermal_protection": {"primary.device.rating": 400},
    "transformer.supervised": {"transformer.primary_volts": 4160, "secondary.protection.rating": 500},
    "primary.device.rating_basis": {"primary.device.adjustable": True},
    "primary.device.highest_rating": {
        "primary.device.adjustable": True,
        "primary.device.rating_basis": "setting_restricted",
        "primary.device.arc_energy_reduction": False,
    },
    "secondary.protection.adjustable": {
        "secondary.protection.rating": 228,
        "secondary.protection.ratings": [228],
        "secondary.protection.rating_basis": "setting_open",
        "secondary.protection.highest_rating": 250,
    },
    "secondary.protection.rating_basis": {
        "secondary.protection.rating": 228,
        "secondary.protection.ratings": [228],
        "secondary.protection.adjustable": True,
        "secondary.protection.highest_rating": 250,
    },
    "secondary.protection.highest_rating": {
        "secondary.protection.rating": 228,
        "secondary.protection.ratings": [228],
        "secondary.protection.adjustable": True,
        "secondary.protection.rating_basis": "setting_open",
    },
    "primary.device.continuous_percent": {"primary.load.continuous_amperes": 110},
    "primary.conductors.outer_covering": {"primary.conductors.insulation": "RHW-2"},
    "primary.conductors.wet_location": {"primary.conductors.insulation": "THHN"},
    "observations.fire_resistant_room": {
        "transformer.kva": 150,
        "transformer.insulation_class_celsius": 150,
    },
    "observations.high_handle_beside_equipment_supplied": {
        "observations.device_height_within_reach": False
    },
    "observations.wire_leads_joined_and_bonded": {"observations.terminal_bar_used": False},
    "observations.short_circuit_rating_marked": {"edition": 2026},
    "primary.device.ground_fault_protection_tested": {
        "primary.device.rating": 1000,
        "primary.device.ground_fault_protection": True,
    },
    "secondary.protection.ground_fault_protection_tested": {
        "transformer.secondary_volts": 480,
        "secondary.protection.rating": 1000,
        "secondary.protection.ratings": [1000],
        "secondary.protection.ground_fault_protection": True,
    },
    "secondary.protection.held_down": {"secondary.protection.back_fed": True},
    "secondary.protection.device_kind": {
        "edition": 2014,
        "secondary.protection.rating": 1200,
        "secondary.protection.arc_energy_reduction": False,
    },
    "secondary.protection.continuous_percent": {"secondary.load.continuous_amperes": 170},
    "secondary.panelboard.at_most_42_poles": {
        "secondary.protection.kind": "grouped_devices",
        "secondary.protection.rating": None,
        "secondary.protection.ratings": [100, 100],
        "secondary.panelboard.fed_by_two_mains": True,
    },
    "secondary.raceway.flexible_length_feet": {
        "bonding.supply_side_bonding_jumper.kind": "raceway",
        "bonding.supply_side_bonding_jumper.size": None,
        "bonding.supply_side_bonding_jumper.material": None,
        "bonding.supply_side_bonding_jumper.insulation": None,
    },
    "secondary.raceway.fittings_listed_for_grounding": {
        "bonding.supply_side_bonding_jumper.kind": "raceway",
        "bonding.supply_side_bonding_jumper.size": None,
        "bonding.supply_side_bonding_jumper.material": None,
        "bonding.supply_side_bonding_jumper.insulation": None,
        "secondary.raceway.flexible_length_feet": 0,
    },
    "secondary.qualified_persons_only": {"secondary.rule": "industrial_25_ft"},
    "bonding.structural_steel_bond.to_common_conductor": {
        "bonding.structural_steel_bond.present": False,
        "bonding.structural_steel_bond.size": None,
        "bonding.structural_steel_bond.material": None,
        "electrode.common_conductor": True,
        "electrode.used": "water_pipe",
    },
    "observations.case_suits_air_space": {
        "observations.above_ceiling": True,
        "observations.ceiling_moves_air": True,
    },
    "observations.disconnect_lockable_and_marked": {"observations.disconnect_in_sight": False},
    "observations.aluminum_clear_of_earth": {"electrode.conductor.material": "aluminum"},
    "observations.no_parallel_neutral_path": {
        "transformer.location": "outdoors",
        "primary.conductors.wet_location": True,
        "secondary.conductors.wet_location": True,
        "bonding.system_bonding_jumper.location": "both",
    },
    "replacement.old.phases": {
        "replacement.old.primary_system": None,
        "replacement.old.secondary_system": None,
    },
    **{
        f"{side}.raceway.height_above_roof_inches": {
            "transformer.location": "outdoors",
            f"{side}.conductors.wet_location": True,
            f"{side}.raceway.on_sunny_rooftop": True,
        }
        for side in ("primary", "secondary")
    },
}  # fmt: skip


def _with(data: Data, facts: Data) -> Data:
    copy = deepcopy(data)
    for path, value in facts.items():
        put(copy, path, value)
    return copy


def _jobs() -> Iterator[Data]:
    yield from (build() for build in BUILDERS.values())
    for case in (*DANGEROUS.values(), *LAWFUL.values()):
        facts = {path.replace(".", "__"): value for path, value in case["facts"].items()}
        yield replaced(_base(case["from"]), **facts)


JOBS = [*_jobs()]


def _said(made: Job, path: str) -> tuple[Any, ...]:
    site = Site(made, code_for(made.edition))
    checks = tuple(judge(rule, site).finding.verdict for rule in RULES if path in rule.asks)
    return (*checks, *(clash.id for clash in contradictions(made)))


def _moves(data: Data, path: str) -> bool:
    before = _said(job_from_data(data)[0], path)
    for value in (None, *values_to_try(path)):
        try:
            made = job_from_data(_with(data, {path: value}))[0]
        except Refusal:
            continue
        if _said(made, path) != before:
            return True
    return False


@pytest.mark.parametrize("path", [p for p in FACTS if p not in (*RECORD, *REFUSED)])
def test_every_fact_moves_a_check_or_contradicts_another(path: str) -> None:
    if path in MATTERS_BESIDE:
        assert _moves(_with(BUILDERS["sound"](), MATTERS_BESIDE[path]), path)
        return
    assert any(_moves(data, path) for data in JOBS), (
        f"no check reads {path}: judge it, or say in RECORD what it is for"
    )


def test_what_is_for_the_record_alone_is_asked_by_no_check() -> None:
    read = {path for rule in RULES for path in rule.asks}
    read |= {path for entry in CONTRADICTIONS for path in entry.paths}
    assert set(RECORD) <= set(FACTS) - read


@pytest.mark.parametrize("side", ["primary", "secondary"])
def test_a_power_factor_moves_the_voltage_drop(side: str) -> None:
    drops = {
        evaluate(
            job_from_data(_with(BUILDERS["sound"](), {f"{side}.load.power_factor": factor}))[0],
            compare_editions=False,
        )
        .values[f"{side}_voltage_drop"]
        .value
        for factor in (0.5, 1.0)
    }
    assert len(drops) == 2


@pytest.mark.parametrize("purpose", PURPOSES)
@pytest.mark.parametrize("name", sorted(DANGEROUS))
def test_what_a_fact_condemns_is_condemned_on_every_visit(name: str, purpose: str) -> None:
    case = DANGEROUS[name]
    facts = {path.replace(".", "__"): value for path, value in case["facts"].items()}
    data = replaced(_base(case["from"]), **facts)
    broken = []
    for visit in (data["purpose"], purpose):
        result = evaluate(job_from_data({**data, "purpose": visit})[0], compare_editions=False)
        broken.append(
            [
                check.id
                for check in result.checks
                if check.verdict == "does_not_meet" and check.severity != "advice"
            ]
        )
        assert not broken[-1] or result.overall.verdict == "conflict_found"
        assert not result.contradictions or result.overall.verdict != "no_conflict_found"
    assert broken[0] == broken[1]
