"""Facts that cannot all be true: both are named, and no verdict rests on either. No source: what words and counting mean."""

from typing import Any

import pytest

from engine import evaluate
from engine.evaluation.evaluate import without_assumed
from engine.files.refusals import job_from_data
from engine.job import NAMEPLATE
from engine.job.missing import Missing
from engine.job.runs import FURTHER, OF_A_FURTHER_RUN
from engine.judging.contradictions.found import contradictions, doubted_by, without_doubted
from engine.judging.contradictions.listed import CONTRADICTIONS
from tests.engine.checked import checked
from tests.engine.jobs import (
    BUILDERS,
    FACTS,
    NEEDED,
    Data,
    corner_grounded,
    high_leg,
    job,
    replaced,
    single_phase,
    sound,
    two_runs,
    ungrounded_delta,
    with_facts,
)


def _case(**facts: Any) -> Data:
    return replaced(sound(), **facts)


_NO_NEUTRAL_RUN = _case(
    secondary__grounded_conductor=None,
    secondary__neutral_load_amperes=None,
    readings__neutral_to_ground_far_volts=None,
)


def _with(data: Data, facts: dict[str, Any]) -> Data:
    return replaced(data, **{path.replace(".", "__"): value for path, value in facts.items()})


# An answer that denies a thing, and each fact that tells of it all the same; the base has neither.
DENIALS: dict[str, tuple[Data, dict[str, Any], dict[str, Any]]] = {
    "no_grounded_conductor": (
        _NO_NEUTRAL_RUN,
        {"secondary.grounded_conductor.present": False},
        {
            "secondary.grounded_conductor.size": "4/0",
            "secondary.grounded_conductor.material": "copper",
            "secondary.grounded_conductor.insulation": "THWN-2",
            "secondary.grounded_conductor.sets": 1,
            "secondary.grounded_conductor.current_carrying": True,
            "secondary.neutral_load_amperes": 90,
            "readings.neutral_to_ground_far_volts": 1.4,
        },
    ),
    # 240.21(C)(2): a raceway that runs to it leaves the case of the transformer
    "built_in_at_the_end_of_a_raceway": (
        _case(secondary__raceway=None, secondary__conductors__length_feet=9),
        {"secondary.first_disconnect_separate": False},
        {
            "secondary.raceway.type": "EMT",
            "secondary.raceway.trade_size": "2-1/2",
            "secondary.raceway.length_feet": 7,
        },
    ),
    # 408.36(D): what plugs onto the bus and is fed through its load side is a breaker
    "secondary_fuse_that_is_back_fed": (
        _case(secondary__protection__adjustable=None),
        {"secondary.protection.device_kind": "fuse"},
        {"secondary.protection.back_fed": True, "secondary.protection.held_down": True},
    ),
    # 240.6(C), 408.36(D): what is set, back-fed or held down is a device
    "device_of_main_lugs_only": (
        _case(secondary__protection={"termination_celsius": 75}),
        {"secondary.protection.kind": "main_lugs_only"},
        {
            "secondary.protection.back_fed": True,
            "secondary.protection.held_down": True,
            "secondary.protection.adjustable": True,
            "secondary.protection.highest_rating": 400,
            "secondary.protection.ground_fault_protection": True,
            "secondary.protection.arc_energy_reduction": True,
        },
    ),
    # 250.20(B): a 2-wire circuit of 240 V may be grounded or not; it is one or the other
    "grounded_by_nothing": (
        replaced(
            single_phase(),
            transformer__secondary_system="single_phase_2_wire",
            secondary__grounded_conductor=None,
            secondary__neutral_load_amperes=None,
            readings__line_to_neutral_volts=None,
        ),
        {"bonding.system_bonding_jumper.location": "none"},
        {
            "secondary.grounded_conductor.present": True,
            "secondary.grounded_conductor.size": "2",
            "secondary.grounded_conductor.material": "copper",
            "secondary.grounded_conductor.insulation": "THWN-2",
            "secondary.grounded_conductor.sets": 1,
            "secondary.grounded_conductor.current_carrying": True,
            "observations.grounded_phase_identified": True,
        },
    ),
    # 250.26(4): only where one phase is grounded
    "no_grounded_phase": (
        sound(),
        {"transformer.secondary_system": "wye_4_wire"},
        {"observations.grounded_phase_identified": True},
    ),
    # 110.15: a delta whose midpoint is grounded
    "no_high_leg": (
        ungrounded_delta(),
        {"transformer.secondary_system": "delta_3_wire_ungrounded"},
        {
            "observations.high_leg_orange": True,
            "observations.high_leg_on_b": True,
            "observations.high_leg_labeled": True,
            "observations.high_leg_free_of_neutral_loads": False,
        },
    ),
    # 250.21(C) and 408.3(F)(2): the marks of an ungrounded system
    "grounded_and_marked_ungrounded": (
        sound(),
        {"bonding.system_bonding_jumper.location": "first_disconnect"},
        {"observations.ungrounded_marked": True, "observations.ungrounded_labeled": True},
    ),
    "grounded_phase_and_marked_ungrounded": (
        replaced(corner_grounded(), bonding__system_bonding_jumper=None),
        {"transformer.secondary_system": "delta_corner_grounded"},
        {"observations.ungrounded_marked": True, "observations.ungrounded_labeled": True},
    ),
    "no_equipment_grounding_wire": (
        _case(primary__equipment_grounding=None),
        {"primary.equipment_grounding.kind": "raceway"},
        {
            "primary.equipment_grounding.size": "6",
            "primary.equipment_grounding.material": "copper",
            "primary.equipment_grounding.insulation": "bare",
        },
    ),
    "no_supply_side_bonding_wire": (
        _case(bonding__supply_side_bonding_jumper=None),
        {"bonding.supply_side_bonding_jumper.kind": "none"},
        {
            "bonding.supply_side_bonding_jumper.size": "2",
            "bonding.supply_side_bonding_jumper.material": "copper",
            "bonding.supply_side_bonding_jumper.insulation": "bare",
        },
    ),
    "no_system_bonding_jumper": (
        _case(bonding__system_bonding_jumper=None),
        {"bonding.system_bonding_jumper.location": "none"},
        {
            "bonding.system_bonding_jumper.size": "2",
            "bonding.system_bonding_jumper.material": "copper",
            "bonding.system_bonding_jumper.factory_furnished": True,
        },
    ),
    "jumper_elsewhere_and_in_each": (
        _case(bonding__system_bonding_jumper=None),
        {"bonding.system_bonding_jumper.location": "source"},
        {"bonding.system_bonding_jumper.in_each_enclosure": True},
    ),
    "no_electrode": (
        _case(electrode=None, readings__electrode_conductor_amperes=None),
        {"electrode.used": "none"},
        {
            "electrode.conductor.size": "2",
            "electrode.conductor.material": "copper",
            "electrode.connected_at": "source",
            "electrode.sole_connection": True,
            "electrode.joined_to_building_system": True,
            "electrode.common_conductor": True,
            "readings.electrode_conductor_amperes": 0.4,
        },
    ),
    "no_common_conductor": (
        sound(),
        {"electrode.common_conductor": False},
        {
            "electrode.common_conductor_size": "3/0",
            "electrode.common_conductor_material": "copper",
        },
    ),
    "no_water_pipe_bond": (
        _case(bonding__water_pipe_bond=None),
        {"bonding.water_pipe_bond.present": False},
        {"bonding.water_pipe_bond.size": "2", "bonding.water_pipe_bond.material": "copper"},
    ),
    "no_structural_steel_bond": (
        _case(bonding__structural_steel_bond=None),
        {"bonding.structural_steel_bond.present": False},
        {
            "bonding.structural_steel_bond.size": "2",
            "bonding.structural_steel_bond.material": "copper",
        },
    ),
    "no_panelboard": (
        _case(
            secondary__panelboard=None,
            secondary__protection__kind="grouped_devices",
            secondary__protection__rating=None,
        ),
        {"secondary.panelboard.present": False},
        {
            "secondary.panelboard.rating": 225,
            "secondary.panelboard.fed_by_two_mains": True,
        },
    ),
    "panelboard_and_switchboard": (
        sound(),
        {"secondary.panelboard.present": True},
        {"observations.supplies_switchboard": True},
    ),
    "not_one_main": (
        _case(secondary__protection__rating=None),
        {"secondary.protection.kind": "main_lugs_only"},
        {"secondary.protection.rating": 225},
    ),
    "not_two_mains": (
        sound(),
        {"secondary.protection.kind": "main_device"},
        {"secondary.panelboard.fed_by_two_mains": True},
    ),
    "secondary_fuse_that_is_set": (
        _case(),
        {"secondary.protection.device_kind": "fuse"},
        {"secondary.protection.adjustable": True},
    ),
    "fuse_that_is_set": (
        _case(primary__device__instantaneous_multiple=None),
        {"primary.device.kind": "fuse"},
        {"primary.device.adjustable": True, "primary.device.instantaneous_multiple": 10},
    ),
    "no_neutral": (
        ungrounded_delta(),
        {"transformer.secondary_system": "delta_3_wire_ungrounded"},
        {
            "secondary.grounded_conductor.present": True,
            "secondary.neutral_load_amperes": 20,
            "bonding.neutral_bonded_downstream": True,
            "readings.line_to_neutral_volts": [139, 139, 139],
            "readings.neutral_to_ground_volts": 4,
            "readings.neutral_to_ground_far_volts": 1.4,
            "readings.neutral_insulation_megohms": 20,
            "observations.grounded_phase_identified": True,
        },
    ),
    # 450.13(B) is of hollow spaces of buildings
    "outdoors_above_a_ceiling": (
        _case(
            primary__conductors__wet_location=True,
            secondary__conductors__wet_location=True,
        ),
        {"transformer.location": "outdoors"},
        {"observations.above_ceiling": True},
    ),
    # 300.22(C) is of the space above a ceiling
    "air_space_above_no_ceiling": (
        sound(),
        {"observations.above_ceiling": False},
        {"observations.ceiling_moves_air": True},
    ),
    # Table 450.3(A) note 3: supervised is where only qualified persons monitor and service it
    "qualified_persons_and_others": (
        sound(),
        {"secondary.qualified_persons_only": False},
        {"transformer.supervised": True},
    ),
    "open_and_enclosed": (
        _case(observations__completely_enclosed_except_vents=None),
        {"transformer.enclosure": "open"},
        {"observations.completely_enclosed_except_vents": True},
    ),
    "open_and_weatherproof": (
        _case(
            transformer__location="outdoors",
            observations__completely_enclosed_except_vents=None,
            observations__weatherproof_enclosure=None,
            primary__conductors__wet_location=True,
            secondary__conductors__wet_location=True,
        ),
        {"transformer.enclosure": "open"},
        {"observations.weatherproof_enclosure": True},
    ),
    # 300.22(C)(3) asks for a metal enclosure, or one listed for the use
    "open_and_made_for_moving_air": (
        _case(
            observations__completely_enclosed_except_vents=None,
            observations__case_suits_air_space=None,
        ),
        {"transformer.enclosure": "open"},
        {"observations.case_suits_air_space": True},
    ),
    "outdoors_from_indoors": (
        _case(secondary__conductors__wet_location=True),
        {"transformer.location": "indoors"},
        {"observations.outdoors_all_the_way": True},
    ),
    "combustibles_near_and_far": (
        _case(observations__far_from_combustibles=None),
        {"observations.combustibles_clear": False},
        {"observations.far_from_combustibles": True},
    ),
    "dry_outdoors": (
        _case(transformer__location="outdoors"),
        {"secondary.conductors.wet_location": False},
        {"observations.outdoors_all_the_way": True},
    ),
}


# One job for each entry, with the facts that contradict each other.
CASES: dict[str, Data] = {
    "totally_enclosed_and_open": _case(
        transformer__enclosure="totally_enclosed",
        observations__completely_enclosed_except_vents=False,
    ),
    "highest_below_the_rating": _case(primary__device__highest_rating=100),
    "rating_of_no_board": _case(
        secondary__panelboard__present=False, secondary__panelboard__rating=None
    ),
    # 240.6(B): the highest setting is the rating
    "highest_setting_twice": _case(
        primary__device__adjustable=True, primary__device__highest_rating=250
    ),
    "fixed_trip_set_higher": _case(
        primary__device__rating_basis=None, primary__device__highest_rating=250
    ),
    "set_where_nothing_is_set": _case(primary__device__rating_basis="setting_open"),
    "fuse_with_a_setting": _case(
        primary__device__kind="fuse",
        primary__device__adjustable=None,
        primary__device__instantaneous_multiple=None,
        primary__device__rating_basis="setting_restricted",
    ),
    # 110.3(B): a switch takes the fuses that are on its label
    "fuse_larger_than_its_switch": _case(
        secondary__protection__device_kind="fuse", secondary__protection__highest_rating=200
    ),
    "fuses_larger_than_their_switches": _case(
        secondary__protection__kind="grouped_devices",
        secondary__protection__rating=None,
        secondary__protection__ratings=[100, 60],
        secondary__protection__device_kind="fuse",
        secondary__protection__highest_rating=60,
    ),
    "breaker_that_takes_a_fuse": _case(secondary__protection__highest_rating=400),
    "breakers_that_take_fuses": _case(
        secondary__protection__kind="grouped_devices",
        secondary__protection__rating=None,
        secondary__protection__ratings=[100, 60],
        secondary__protection__highest_rating=200,
    ),
    "primary_lugs_marked_for_less": _case(
        purpose="installation", transformer__primary_terminal_celsius=60
    ),
    "secondary_lugs_marked_for_less": _case(
        purpose="installation", transformer__secondary_terminal_celsius=60
    ),
    "three_phases_from_a_single_phase": _case(primary__supply_system="single_phase_grounded"),
    "several_grounded_beside_one_set": _case(
        secondary__conductors__sets=1,
        secondary__grounded_conductor__sets=2,
        secondary__grounded_conductor__size="2",
    ),
    "only_electrode_joined_to_others": _case(
        electrode__used="rod",
        electrode__available=["rod"],
        electrode__sole_connection=True,
        electrode__joined_to_building_system=True,
    ),
    # 250.50: the electrodes of a building are one system; a building that is supplied has one (250.24, 250.32)
    "only_electrode_apart": _case(
        electrode__used="rod",
        electrode__available=["rod"],
        electrode__joined_to_building_system=False,
    ),
    "goes_on_to_none": _case(
        electrode__used="rod",
        electrode__available=["rod"],
        electrode__sole_connection=False,
    ),
    # 250.30(A)(1), the exception: only the earth is no path beside the neutral; metal is one
    "both_jumpers_around_no_path": _case(
        transformer__location="outdoors",
        bonding__system_bonding_jumper__location="both",
        observations__no_parallel_neutral_path=True,
        electrode__connected_at="source",
    ),
    # 250.30(A)(1): without a disconnect or overcurrent device the jumper is at the source
    "no_device_for_the_jumper": _case(
        secondary__protection__kind="main_lugs_only",
        secondary__protection__rating=None,
        secondary__protection__ratings=None,
        secondary__panelboard={"present": False},
    ),
    "together_and_apart": _with(
        two_runs(),
        {
            "secondary.further_runs.0.in_first_enclosure": True,
            "secondary.further_runs.0.beside_first_run": False,
        },
    ),
    # 408.36: one enclosure has one bus, and one label
    "one_enclosure_of_two_bus_ratings": _with(
        two_runs(),
        {
            "secondary.further_runs.0.in_first_enclosure": True,
            "secondary.further_runs.0.panelboard.rating": 225,
        },
    ),
    "one_enclosure_of_two_short_circuit_ratings": _with(
        two_runs(),
        {
            "secondary.further_runs.0.in_first_enclosure": True,
            "secondary.further_runs.0.panelboard.short_circuit_kiloamperes": 65,
        },
    ),
    # 408.36, exception 1: one panelboard has 42 poles or fewer, or more
    "one_enclosure_of_two_counts_of_poles": _with(
        two_runs(),
        {
            "secondary.further_runs.0.in_first_enclosure": True,
            "secondary.panelboard.at_most_42_poles": True,
            "secondary.further_runs.0.panelboard.at_most_42_poles": False,
        },
    ),
    # 240.21(C)(2): one enclosure is in the transformer's case, or it is not
    "one_enclosure_of_two_places": _with(
        two_runs(),
        {
            "secondary.further_runs.0.in_first_enclosure": True,
            "secondary.further_runs.0.first_disconnect_separate": False,
            "secondary.further_runs.0.raceway": None,
            "secondary.further_runs.0.conductors.length_feet": 6,
        },
    ),
    "one_enclosure_of_two_boards": _with(
        two_runs(),
        {
            "secondary.further_runs.0.in_first_enclosure": True,
            "secondary.panelboard.present": False,
            "secondary.panelboard.rating": None,
            "observations.supplies_switchboard": True,
        },
    ),
    # 110.14(A): the transformer's lugs are lugs of both runs
    "lugs_marked_and_not": _with(
        two_runs(),
        {
            "observations.lugs_marked_for_metal": False,
            "secondary.further_runs.0.observations.lugs_marked_for_metal": True,
            "secondary.further_runs.0.conductors.material": "aluminum",
            "secondary.further_runs.0.conductors.size": "1",
        },
    ),
    # 250.118, 358.6: a raceway serves with its listed couplings and connectors
    "primary_unlisted_fittings_of_a_rigid_path": _case(
        primary__equipment_grounding=None,
        primary__equipment_grounding__kind="raceway",
        primary__raceway__flexible_length_feet=0,
        primary__raceway__fittings_listed_for_grounding=False,
    ),
    "secondary_unlisted_fittings_of_a_rigid_path": _case(
        bonding__supply_side_bonding_jumper=None,
        bonding__supply_side_bonding_jumper__kind="raceway",
        secondary__raceway__flexible_length_feet=0,
        secondary__raceway__fittings_listed_for_grounding=False,
    ),
    # 310.10(G): a single set has none beside it to be like
    "run_that_differs_from_itself": _with(
        two_runs(),
        {
            "primary.conductors.size": "1/0",
            "primary.conductors.sets": 2,
            "primary.conductors.raceways": 1,
            "secondary.further_runs.0.observations.parallel_sets_alike": False,
        },
    ),
    # 250.53(D)(2): any other kind of electrode supplements a water pipe
    # 250.30(A)(1): one enclosure, and the jumper in it
    "no_jumper_in_the_only_enclosure": _case(
        bonding__system_bonding_jumper__in_each_enclosure=False
    ),
    "supplemented_by_nothing": _case(
        electrode__available=["water_pipe"],
        electrode__used="water_pipe",
        electrode__joined_to_building_system=None,
        electrode__sole_connection=None,
        electrode__supplemented=True,
    ),
    "joined_and_not_supplemented": _case(
        electrode__used="water_pipe",
        electrode__available=["water_pipe", "concrete_encased"],
        electrode__supplemented=False,
    ),
    # 300.9: a raceway in a wet location above grade is wet inside
    "dry_primary_run_outdoors": _case(
        transformer__location="outdoors", primary__conductors__insulation="THHN"
    ),
    "dry_secondary_run_outdoors": _case(
        transformer__location="outdoors", secondary__grounded_conductor__insulation="XHHW"
    ),
    # 54.1 A are those of a 45 kVA unit at 480 V; 191 A those of 75 kVA at 227 V, which is no usual voltage
    "printed_primary_current": _case(transformer__nameplate_primary_amperes=54.1),
    "printed_secondary_current": _case(transformer__nameplate_secondary_amperes=191),
    # a rise of 150 °C goes with insulation of the 220 °C class (common practice, no source)
    "rise_above_insulation_class": _case(
        transformer__temperature_rise_celsius=150, transformer__insulation_class_celsius=185
    ),
    "reverse_fed_at_the_higher_voltage": _case(observations__reverse_fed=True),
    **{id_: _with(base, {**denial, **told}) for id_, (base, denial, told) in DENIALS.items()},
    "dry_by_the_outside_rule": _case(secondary__rule="outside"),
    "primary_more_raceways_than_sets": _case(
        primary__conductors__sets=2, primary__conductors__raceways=3
    ),
    "secondary_more_raceways_than_sets": _case(secondary__conductors__raceways=2),
    "primary_long_nipple": _case(
        primary__raceway__nipple=True,
        primary__raceway__length_feet=3,
        primary__conductors__length_feet=9,
    ),
    "secondary_long_nipple": _case(
        secondary__raceway__nipple=True,
        secondary__raceway__length_feet=2.5,
        secondary__conductors__length_feet=9,
    ),
    # Chapter 9, Table 1, note 4: not over 24 in. is a nipple
    "primary_short_and_no_nipple": _case(
        primary__raceway__length_feet=1.5,
        primary__conductors__length_feet=5,
        primary__raceway__flexible_length_feet=0,
    ),
    "secondary_short_and_no_nipple": _case(
        secondary__raceway__length_feet=1.5,
        secondary__conductors__length_feet=5,
        secondary__raceway__flexible_length_feet=0,
    ),
    # the contract: no flexible section has no kind and no size
    **{
        f"{side}_no_flexible_section": _case(**{f"{side}__raceway__flexible_type": "LFMC"})
        for side in ("primary", "secondary")
    },
    "primary_flexible_longer_than_nipple": _case(
        primary__raceway__flexible_length_feet=3,
        primary__raceway__nipple=True,
        primary__raceway__length_feet=1.5,
        primary__conductors__length_feet=5,
    ),
    "secondary_flexible_longer_than_nipple": _case(
        secondary__raceway__nipple=True,
        secondary__raceway__length_feet=1.5,
        secondary__conductors__length_feet=5,
        secondary__raceway__flexible_length_feet=3,
    ),
    # UL 83 and UL 44, from memory: 2000 V is for thermoset types
    "primary_insulation_not_made_for_2000_volts": _case(primary__conductors__insulation_volts=2000),
    "secondary_insulation_not_made_for_2000_volts": _case(
        secondary__conductors__insulation="RHW-2",
        secondary__conductors__insulation_volts=2000,
        secondary__grounded_conductor__insulation="TW",
        secondary__raceway__trade_size="4",
    ),
    "primary_nipple_around_long_wire": _case(
        primary__raceway__nipple=True,
        primary__raceway__length_feet=1.5,
        primary__raceway__flexible_length_feet=0,
    ),
    "secondary_nipple_around_long_wire": _case(
        secondary__raceway__nipple=True, secondary__raceway__length_feet=1.5
    ),
    "primary_raceway_longer_than_wire": _case(primary__raceway__length_feet=90),
    "secondary_raceway_longer_than_wire": _case(secondary__raceway__length_feet=60),
    "primary_raceway_far_shorter_than_wire": _case(
        primary__raceway__length_feet=20, primary__raceway__flexible_length_feet=None
    ),
    "secondary_raceway_far_shorter_than_wire": _case(
        secondary__raceway__length_feet=1, secondary__raceway__flexible_length_feet=None
    ),
    "primary_flexible_longer_than_raceway": _case(primary__raceway__flexible_length_feet=90),
    "secondary_flexible_longer_than_raceway": _case(secondary__raceway__flexible_length_feet=100),
    # 300.9: outdoors above grade it is wet inside
    "primary_dry_on_a_sunny_roof": _case(primary__raceway__on_sunny_rooftop=True),
    "secondary_dry_on_a_sunny_roof": _case(secondary__raceway__on_sunny_rooftop=True),
    "several_mains": _case(secondary__protection__ratings=[200, 200, 200]),
    "another_rating_of_the_main": _case(secondary__protection__ratings=[400]),
    "secondary_set_where_nothing_is_set": _case(
        secondary__protection__rating_basis="setting_restricted"
    ),
    "secondary_fuse_with_a_setting": _case(
        secondary__protection__device_kind="fuse",
        secondary__protection__adjustable=None,
        secondary__protection__rating_basis="setting_restricted",
    ),
    # what fits in large switches: common practice, no source
    "small_fuse_in_a_large_switch": _case(
        primary__device__kind="fuse",
        primary__device__adjustable=None,
        primary__device__rating_basis=None,
        primary__device__instantaneous_multiple=None,
        primary__device__highest_rating=1200,
    ),
    "secondary_small_fuse_in_a_large_switch": _case(
        secondary__protection__device_kind="fuse",
        secondary__protection__adjustable=None,
        secondary__protection__highest_rating=1200,
    ),
    "small_fuses_in_large_switches": _case(
        secondary__protection__kind="grouped_devices",
        secondary__protection__rating=None,
        secondary__protection__ratings=[100, 125],
        secondary__protection__device_kind="fuse",
        secondary__protection__adjustable=None,
        secondary__protection__highest_rating=1000,
    ),
    "group_of_one": _case(
        secondary__protection__kind="grouped_devices", secondary__protection__rating=None
    ),
    "more_than_two_mains": _case(
        secondary__protection__kind="grouped_devices",
        secondary__protection__rating=None,
        secondary__protection__ratings=[75, 75, 75],
        secondary__panelboard__fed_by_two_mains=True,
    ),
    "one_main_in_several_enclosures": _case(secondary__protection__one_enclosure=False),
    "sets_that_differ_from_themselves": _case(observations__parallel_sets_alike=False),
    # 208Y/120 V and 480Y/277 V: 208 and 480 over the root of three
    "secondary_volts_to_neutral": _case(transformer__secondary_volts=120),
    "primary_volts_to_neutral": _case(
        transformer__primary_volts=277, transformer__primary_system="wye_4_wire"
    ),
    # 180 A at 208 V are 78 A at 480 V
    "load_vanishes": _case(
        primary__load__continuous_amperes=10,
        primary__load__noncontinuous_amperes=0,
        secondary__load__continuous_amperes=160,
        secondary__load__noncontinuous_amperes=20,
    ),
    # 160 A at 208 V is 69 A at 480 V, own arithmetic
    "continuous_load_vanishes": _case(
        primary__load__continuous_amperes=0,
        primary__load__noncontinuous_amperes=84,
        secondary__load__continuous_amperes=160,
        secondary__load__noncontinuous_amperes=20,
    ),
    "continuous_on_the_primary_alone": _case(
        primary__load__continuous_amperes=70,
        primary__load__noncontinuous_amperes=10,
        secondary__load__continuous_amperes=0,
        secondary__load__noncontinuous_amperes=180,
    ),
    "electrode_used_and_not_there": _case(electrode__used="concrete_encased"),
    "ring_that_is_not_there": _case(electrode__ring_size="2"),
    "line_to_line_volts_more_than_places": replaced(
        single_phase(), readings__line_to_line_volts=[240, 240, 240]
    ),
    "line_to_neutral_volts_more_than_places": replaced(
        single_phase(), readings__line_to_neutral_volts=[120, 120, 120]
    ),
    "line_to_ground_volts_more_than_places": _case(
        readings__line_to_ground_volts=[120, 120, 120, 120]
    ),
    # 198 V between the lines leaves 114.3 V to a neutral that stands alike to all of them
    "no_place_for_the_neutral": _case(
        readings__line_to_line_volts=[198, 198, 198],
        readings__line_to_neutral_volts=[126, 126, 126],
    ),
    "built_in_with_a_long_run": _case(
        secondary__first_disconnect_separate=False,
        secondary__conductors__length_feet=18,
        secondary__raceway=None,
    ),
    # a line is as far from ground as from the neutral, give or take the way between these two (geometry)
    "neutral_elsewhere": _case(
        readings__neutral_to_ground_volts=0.1,
        readings__line_to_neutral_volts=[120, 120, 120],
        readings__line_to_ground_volts=[110, 131, 125],
    ),
    # 198 V between the lines leaves 114.3 V to a grounded neutral (geometry)
    "no_place_for_the_ground": _case(
        readings__line_to_line_volts=[198, 198, 198],
        readings__line_to_neutral_volts=None,
        readings__line_to_ground_volts=[126, 126, 126],
    ),
    # lines at one point have nothing between them (geometry)
    "lines_at_ground_and_apart": _case(
        readings__line_to_line_volts=[208, 208, 208],
        readings__line_to_ground_volts=[0, 0, 0],
        readings__line_to_neutral_volts=None,
    ),
    # the neutral is at ground, so that each line reads alike to both
    "high_leg_of_another_line": replaced(
        high_leg(),
        readings__line_to_neutral_volts=[120, 208, 120],
        readings__line_to_ground_volts=[208, 120, 120],
    ),
    # 408.3(E): the high leg is on B; the readings are in the order A, B, C
    "high_leg_on_a_to_neutral": replaced(
        high_leg(),
        observations__high_leg_on_b=True,
        readings__line_to_neutral_volts=[208, 120, 120],
        readings__line_to_ground_volts=None,
    ),
    "high_leg_on_a_to_ground": replaced(
        high_leg(),
        observations__high_leg_on_b=True,
        readings__line_to_neutral_volts=None,
        readings__line_to_ground_volts=[208, 120, 120],
    ),
    # 250.142(B): what lands on a neutral point lands on none of a delta
    "neutral_of_no_neutral": _case(observations__supplied_neutral_open=False),
}

# What stands on real sites and must not be taken for a contradiction: common practice, no source.
LAWFUL: dict[str, Data] = {
    # 75 kVA over 1.732 × 120 V
    "a wye of 120 V between lines that prints its current": _case(
        transformer__secondary_volts=120, transformer__nameplate_secondary_amperes=361
    ),
    "a neutral load of nothing where no neutral is run": _case(
        readings__neutral_to_ground_far_volts=None,
        **{
            f"secondary__grounded_conductor__{name}": None
            for name in ("size", "material", "insulation", "sets", "current_carrying")
        },
        secondary__grounded_conductor__present=False,
        secondary__neutral_load_amperes=0,
    ),
    "a step-up fed at the low-voltage side": _case(
        transformer__primary_volts=208,
        transformer__secondary_volts=480,
        observations__reverse_fed=True,
        primary__load__continuous_amperes=150,
        secondary__load__continuous_amperes=60,
        secondary__load__noncontinuous_amperes=0,
    ),
    "a concrete-encased electrode that is all the building has": _case(
        electrode__used="concrete_encased",
        electrode__available=["concrete_encased"],
        **{
            f"bonding__{bond}": {"present": False, "metal_in_area": False}
            for bond in ("water_pipe_bond", "structural_steel_bond")
        },
    ),
    "an outdoor transformer whose runs go straight through the wall": _case(
        transformer__location="outdoors"
    ),
    # The rules themselves count no fewer than the circuit has, and the lower of two marks counts in a rule.
    "conductors counted for one set of two": _case(
        primary__conductors__size="1/0",
        primary__conductors__sets=2,
        primary__conductors__raceways=1,
    ),
    "terminals kept from before": _case(
        purpose="replacement", transformer__primary_terminal_celsius=60
    ),
    "other circuits in the raceway": _case(secondary__conductors__current_carrying=9),
    "a nipple between large enclosures": _case(
        secondary__raceway__nipple=True,
        secondary__raceway__length_feet=2,
        secondary__conductors__length_feet=14,
    ),
    # RHW-2 is sold for 2000 V, printed so: from memory
    "2000 volts on types made for it": _case(
        secondary__conductors__insulation="RHW-2",
        secondary__conductors__insulation_volts=2000,
        secondary__grounded_conductor__insulation="XHHW-2",
        secondary__raceway__trade_size="4",
    ),
    "bonding raceway between enclosures": _case(
        bonding__supply_side_bonding_jumper__kind="raceway",
        bonding__supply_side_bonding_jumper__size=None,
        bonding__supply_side_bonding_jumper__material=None,
        bonding__supply_side_bonding_jumper__insulation=None,
        secondary__raceway__flexible_length_feet=0,
        secondary__raceway__length_feet=8,
    ),
    "a paced raceway, a taped wire": _case(secondary__raceway__length_feet=20),
    # The rules count a flexible raceway over its whole length, and the longer of two lengths.
    "a flexible conduit of which a whip alone was counted": _case(
        primary__raceway__type="FMC", primary__raceway__flexible_length_feet=6
    ),
    "a flexible conduit paced once and taped once": _case(
        primary__raceway__type="FMC",
        primary__raceway__length_feet=58,
        primary__raceway__flexible_length_feet=52,
    ),
    "three whips of three raceways added up": _case(
        secondary__conductors__sets=3,
        secondary__conductors__raceways=3,
        secondary__grounded_conductor__sets=3,
        secondary__raceway__length_feet=4,
        secondary__raceway__flexible_length_feet=9,
    ),
    "no load yet": _case(
        primary__load__continuous_amperes=0,
        primary__load__noncontinuous_amperes=0,
        secondary__load__continuous_amperes=0,
        secondary__load__noncontinuous_amperes=0,
    ),
    # 180 A at 208 V are 78 A at 480 V
    "a primary load rounded down": _case(
        primary__load__continuous_amperes=75,
        primary__load__noncontinuous_amperes=0,
        secondary__load__continuous_amperes=180,
        secondary__load__noncontinuous_amperes=0,
    ),
    # 250.30(B): nothing holds these lines, so that the meter pulls each to ground in turn (common practice, no source)
    "an ungrounded delta of short runs and a meter of low impedance": replaced(
        ungrounded_delta(), readings__line_to_ground_volts=[1, 1, 1]
    ),
    "nothing to ground and nothing between the lines": _case(
        readings__line_to_line_volts=[0, 0, 0],
        readings__line_to_neutral_volts=[0, 0, 0],
        readings__line_to_ground_volts=[0, 0, 0],
    ),
    "an open neutral that a meter shifts": _case(readings__line_to_neutral_volts=[12, 31, 20]),
    "an open neutral of halves 60 V and 180 V": replaced(
        single_phase(), readings__line_to_neutral_volts=[60, 180]
    ),
    "a supply that sags between two readings": _case(
        readings__line_to_line_volts=[209, 208, 207],
        readings__line_to_neutral_volts=[118, 119, 118],
    ),
    # 80 °C goes with 150 °C, 115 °C with 185 °C, 55 °C with 105 °C (common practice, no source)
    **{
        f"a rise of {rise} °C in the {limit} °C class": _case(
            transformer__temperature_rise_celsius=rise, transformer__insulation_class_celsius=limit
        )
        for rise, limit in (
            (55, 105),
            (65, 105),
            (80, 150),
            (115, 185),
            (130, 185),
            (150, 220),
            (80, 220),
        )
    },
    "a disconnect ahead of the panelboard": _case(secondary__panelboard__present=True),
    "a switchboard and no panelboard": _case(
        secondary__panelboard__present=False,
        secondary__panelboard__rating=None,
        secondary__panelboard__short_circuit_kiloamperes=None,
        observations__supplies_switchboard=True,
    ),
    "lugs of the transformer above those of the run": _case(
        transformer__primary_terminal_celsius=90, primary__conductors__termination_celsius=60
    ),
    "a main lugs only panelboard with the list of its branches": _case(
        secondary__protection__kind="main_lugs_only",
        secondary__protection__rating=None,
        secondary__protection__ratings=[20, 30],
    ),
}


def _found(data: Data) -> dict[str, tuple[str, ...]]:
    """The contradictions of a job, each with the facts that it names."""
    return {clash.id: clash.paths for clash in contradictions(job_from_data(data)[0])}


def test_every_entry_has_a_case() -> None:
    assert {entry.id for entry in CONTRADICTIONS} == set(CASES)
    assert len({entry.id for entry in CONTRADICTIONS}) == len(CONTRADICTIONS)


@pytest.mark.parametrize("entry", CONTRADICTIONS, ids=lambda entry: entry.id)
def test_an_entry_names_facts_of_a_job(entry) -> None:
    assert len(entry.paths) > 1
    of_a_further_run = {f"{FURTHER}.0.{name}" for name in OF_A_FURTHER_RUN}
    assert set(entry.paths) <= {*FACTS, *NEEDED, *of_a_further_run}


@pytest.mark.parametrize("id_", sorted(CASES))
def test_a_contradiction_needs_all_its_facts(id_: str) -> None:
    """Half done, nothing is held against anything: one fact taken away, and it is gone."""
    named = _found(CASES[id_])[id_]
    for path in set(named) - {*NEEDED}:
        others = [other for other in named if other != path]
        less = _found(_with(CASES[id_], {path: None})).get(id_)
        # Of a thing that is denied, any one fact is enough.
        assert less is None or (id_ in DENIALS and set(less) == set(others)), path


@pytest.mark.parametrize(
    ("id_", "path"), [(id_, path) for id_, (_, _, told) in DENIALS.items() for path in told]
)
def test_a_thing_that_is_denied_is_not_described(id_: str, path: str) -> None:
    base, denial, told = DENIALS[id_]
    [denied] = denial
    assert _found(_with(base, {**denial, path: told[path]}))[id_] == (denied, path)
    assert id_ not in _found(_with(base, denial))


@pytest.mark.parametrize("kind", ["none", "raceway"])
@pytest.mark.parametrize(
    "path", ["primary.equipment_grounding", "bonding.supply_side_bonding_jumper"]
)
def test_no_wire_has_a_size(path: str, kind: str) -> None:
    assert _found(_with(sound(), {f"{path}.kind": kind, f"{path}.size": "2"}))


def test_a_fact_that_agrees_with_the_absence_is_none_against_it() -> None:
    """No, none and 0 say nothing of a thing, so that they never run into the answer that it is not there."""
    for id_, (base, denial, told) in DENIALS.items():
        for path, value in told.items():
            nothing = {bool: not value, list: [], float: 0, int: 0}.get(type(value))
            if nothing is not None and not path.endswith(
                (".sets", "rating", "kiloamperes", "multiple", "megohms", "length_feet")
            ):
                assert id_ not in _found(_with(base, {**denial, path: nothing})), path


@pytest.mark.parametrize("name", sorted(LAWFUL))
def test_what_stands_on_real_sites_is_no_contradiction(name: str) -> None:
    assert not _found(LAWFUL[name])


@pytest.mark.parametrize("name", sorted(BUILDERS))
def test_the_jobs_of_the_tests_contradict_nothing(name: str) -> None:
    assert not _found(BUILDERS[name]())


@pytest.mark.parametrize("id_", sorted(CASES))
def test_both_facts_are_named_and_no_verdict_rests_on_either(id_: str) -> None:
    made = job_from_data(CASES[id_])[0]
    result = checked(made)
    (clash,) = (c for c in result.contradictions if c.id == id_)
    assert {fact.path for fact in clash.facts} == set(_found(CASES[id_])[id_])
    assert clash.why
    assert result.overall.verdict != "no_conflict_found"
    assert "contradict" in result.overall.text
    # The verdicts are those of the job in which nobody read these facts.
    doubted = doubted_by(contradictions(without_assumed(made)))
    unread = _with(CASES[id_], dict.fromkeys(doubted - NAMEPLATE))
    verdicts = {c.id: c.verdict for c in evaluate(job_from_data(unread)[0]).checks}
    for check in result.checks:
        if doubted & NAMEPLATE:
            # Less is known than that: of what the nameplate carries nothing is judged.
            assert check.verdict in (verdicts[check.id], "cannot_tell"), check.id
        else:
            assert check.verdict == verdicts[check.id], check.id


def test_a_misread_nameplate_leaves_no_verdict_that_its_figures_carry() -> None:
    result = checked(job(CASES["printed_primary_current"]))
    verdicts = {check.id: check.verdict for check in result.checks}
    for id_ in ("primary_device", "secondary_device", "secondary_rule", "interrupting_ratings"):
        assert verdicts[id_] == "cannot_tell", id_
    # What a look settles stays settled.
    assert verdicts["storage"] == "meets"
    assert all(value.assumed for value in result.values.values())


def test_a_doubted_figure_of_the_nameplate_cannot_be_read() -> None:
    made = without_doubted(job(sound()), {"transformer.kva"})
    assert made.transformer.primary_volts == 480
    with pytest.raises(Missing) as missing:
        _ = made.transformer.kva
    assert missing.value.path == "transformer.kva"


def test_rounding_on_a_nameplate_is_no_contradiction() -> None:
    # 75 kVA: 90.2 A at 480 V (fixtures/published/full_load_current.yaml); plates print 90 or 90.21
    for printed in (90, 90.2, 90.21, 91):
        made = job(with_facts(sound(), transformer__nameplate_primary_amperes=printed))
        assert not contradictions(made)


@pytest.mark.parametrize(
    ("kva", "volts", "printed", "clash"),
    [
        # worked out by hand: 1000 x kVA over volts; a plate rounds to the digit that it prints, or cuts it off
        (3, 480, 6.25, False),
        (3, 480, 6.3, False),
        (3, 480, 6, False),
        (3, 480, 7, False),
        (3, 480, 7.5, True),
        (0.05, 120, 0.4, False),
        (0.05, 120, 0.42, False),
        (0.05, 120, 0.5, False),
        (0.05, 120, 0.48, True),
        # 25 kVA: 52.1 A at 480 V; 56.8 A at 440 V, 54.3 A at 460 V
        (25, 480, 52, False),
        (25, 480, 56.8, True),
        (25, 480, 48, True),
        (25, 480, 50, False),
    ],
)
def test_a_printed_current_is_rounded_to_its_last_digit(kva, volts, printed, clash) -> None:
    made = replaced(single_phase(), transformer__kva=kva, transformer__primary_volts=volts)
    made["transformer"]["nameplate_primary_amperes"] = printed
    assert ("printed_primary_current" in _found(made)) is clash


@pytest.mark.parametrize(
    ("between", "to_neutral", "clash"),
    [
        # geometry: halves add up; three lines and their neutral are points of a plane
        ([240], [114.5, 114.5], True),
        ([240], [118, 121], False),
        ([240], [60, 180], False),
        ([240], [240, 240], False),
    ],
)
def test_halves_add_up_and_what_is_far_off_speaks_for_itself(between, to_neutral, clash) -> None:
    made = job(
        with_facts(
            single_phase(),
            readings__line_to_line_volts=between,
            readings__line_to_neutral_volts=to_neutral,
        )
    )
    assert bool(contradictions(made)) is clash


def test_a_displaced_neutral_and_a_danger_between_the_lines_are_no_contradiction() -> None:
    for between, to_neutral in (
        ([208, 208, 208], [126, 114.2, 120]),
        ([480, 480, 480], [120, 120, 120]),
        ([208, 120, 120], [120, 120, 120]),
        ([209, 208, 207], [120, 121, 120]),
        ([208, 208], [126, 126, 126]),
    ):
        made = job(
            with_facts(
                sound(),
                readings__line_to_line_volts=between,
                readings__line_to_neutral_volts=to_neutral,
                readings__line_to_ground_volts=None,
            )
        )
        assert not contradictions(made), (between, to_neutral)
