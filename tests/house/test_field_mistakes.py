"""Every mistake of the field survey has a check that finds it, a refusal, or a limit that is said."""

import csv
from pathlib import Path

import pytest

from engine.evaluation.order import RULES
from engine.files.refusals import Refusal, job_from_data
from tests.engine.checked import verdict
from tests.engine.jobs import parallel, sound, ungrounded_delta, with_facts

FILE = Path(__file__).with_name("field_mistakes.csv")
ROWS = list(
    csv.DictReader(
        line for line in FILE.read_text(encoding="utf-8").splitlines() if not line.startswith("#")
    )
)
CHECKS = {rule.id for rule in RULES}


def test_all_42_are_there_once() -> None:
    assert [int(row["number"]) for row in ROWS] == list(range(1, 43))


@pytest.mark.parametrize("row", ROWS, ids=[row["number"] for row in ROWS])
def test_something_finds_it_or_the_limit_is_said(row) -> None:
    named = [id_ for id_ in row["checks"].split(";") if id_]
    assert named or row["refused"] or row["limit"]
    assert not set(named) - CHECKS


def test_an_autotransformer_is_refused_with_its_sections() -> None:
    with pytest.raises(Refusal) as refused:
        job_from_data(with_facts(sound(), transformer__autotransformer=True))
    assert refused.value.problems[0].path == "transformer.autotransformer"
    assert "450.4" in refused.value.problems[0].right


# The mistake in the facts, and the check that must say so. By the number of the survey.
MISTAKES = [
    (1, "system_bonding_jumper", sound(), {"bonding__system_bonding_jumper__location": "none"}),
    (2, "system_bonding_jumper", sound(), {"bonding__system_bonding_jumper__location": "both"}),
    (2, "neutral_isolation", sound(), {"bonding__neutral_bonded_downstream": True}),
    (3, "supply_side_bonding_jumper", sound(), {"bonding__supply_side_bonding_jumper__kind": "none", "secondary__raceway__type": "PVC40"}),
    (3, "supply_side_bonding_jumper", sound(), {"bonding__supply_side_bonding_jumper__size": "4"}),
    (4, "supply_side_bonding_jumper", sound(), {"bonding__supply_side_bonding_jumper__kind": "raceway", "secondary__raceway__type": "FMC"}),
    (5, "secondary_rule", sound(), {"secondary__rule": "primary_device", "secondary__protection__kind": "main_lugs_only"}),
    (6, "secondary_rule", sound(), {"secondary__conductors__length_feet": 26}),
    (7, "secondary_conductors", sound(), {"secondary__conductors__size": "3/0"}),
    (8, "panelboard_protection", sound(), {"secondary__panelboard__rating": 200}),
    (9, "grounding_electrode_conductor", sound(), {"electrode__conductor__size": "6"}),
    (9, "grounding_electrode", sound(), {"electrode__used": "rod", "electrode__available": ["rod", "building_steel"], "electrode__joined_to_building_system": False}),
    (10, "single_bonding_point", sound(), {"electrode__connected_at": "source"}),
    (11, "water_pipe_bond", sound(), {"bonding__water_pipe_bond__present": False}),
    (12, "torque", sound(), {"observations__torque_recorded": False}),
    (13, "interrupting_ratings", sound(), {"secondary__panelboard__short_circuit_kiloamperes": 0.5}),
    (14, "primary_device", sound(), {"primary__device__rating": 300}),
    (15, "inrush", sound(), {"primary__device__instantaneous_multiple": 5}),
    (16, "reverse_feed", with_facts(sound(), transformer__primary_volts=208, transformer__secondary_volts=480),
     {"observations__reverse_fed": True, "observations__reverse_feed_marked": False}),
    (17, "system_grounding", sound(), {"bonding__system_bonding_jumper__location": "none"}),
    (18, "enclosure_bonded", sound(), {"observations__enclosure_bonded": False}),
    (19, "ventilation", sound(), {"observations__ventilation_clear": False}),
    (20, "working_space", sound(), {"observations__working_space_clear": False}),
    (21, "hollow_space", sound(), {"observations__above_ceiling": True}),
    (22, "dry_type_indoors", sound(), {"observations__combustibles_clear": False, "observations__completely_enclosed_except_vents": False}),
    (23, "disconnecting_means", sound(), {"observations__disconnect_in_sight": False, "observations__disconnect_lockable_and_marked": False}),
    (24, "terminal_bar", sound(), {"observations__terminal_bar_used": False}),
    (25, "secondary_conductors", sound(), {"secondary__conductors__termination_celsius": 60}),
    (25, "replacement_terminals", sound(), {"transformer__secondary_terminal_celsius": 60}),
    (26, "lugs_for_aluminum", sound(), {"primary__conductors__material": "aluminum", "observations__lugs_marked_for_metal": False}),
    (27, "parallel_alike", parallel(), {"observations__parallel_sets_alike": False}),
    (28, "grounded_conductor_load", sound(), {"secondary__grounded_conductor__size": "2", "secondary__neutral_load_amperes": 150}),
    (29, "secondary_conductors", sound(), {"secondary__conductors__current_carrying": 9}),
    (30, "secondary_raceway", sound(), {"secondary__raceway__trade_size": "2"}),
    (31, "system_bonding_jumper", parallel(), {"bonding__system_bonding_jumper__size": "3/0"}),
    (32, "outdoor_electrode", sound(), {"transformer__location": "outdoors", "observations__electrode_at_outdoor_source": False}),
    (33, "rotation_reading", sound(), {"readings__rotation_matches_record": False}),
    (34, "replacement_taps", sound(), {"replacement__taps_alike_on_all_phases": False}),
    (34, "replacement_tap_range", sound(), {"transformer__taps_below_percent": 5}),
    (35, "replacement_voltages", sound(), {"replacement__old__secondary_system": "delta_high_leg"}),
    (36, "replacement_k_factor", sound(), {"replacement__old__temperature_rise_celsius": 115}),
    (37, "shipping_parts", sound(), {"observations__shipping_parts_removed": False}),
    (38, "anchoring", sound(), {"observations__anchored": False}),
    (39, "source_marking", sound(), {"observations__source_marked": False}),
    (39, "ungrounded_marking", ungrounded_delta(), {"observations__ungrounded_marked": False}),
    (41, "no_taps", sound(), {"observations__tapped_ahead_of_device": True}),
    (42, "primary_equipment_grounding", sound(), {"primary__equipment_grounding__kind": "none", "primary__raceway__type": "PVC40"}),
]  # fmt: skip


@pytest.mark.parametrize(
    ("number", "id_", "data", "facts"), MISTAKES, ids=[f"{m[0]}-{m[1]}" for m in MISTAKES]
)
def test_the_mistake_is_found(number, id_, data, facts) -> None:
    assert verdict(id_, data) != "does_not_meet", "sound before"
    assert verdict(id_, data, **facts) == "does_not_meet"


def test_every_mistake_but_the_refused_one_is_played_through() -> None:
    assert {number for number, *_ in MISTAKES} == set(range(1, 43)) - {40}
