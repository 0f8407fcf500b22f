"""Corners of the rules that ordinary installations do not reach. Sources as in the module of each rule."""

import pytest

from engine import Job
from engine.code import code_for
from engine.job.site import Site
from engine.judging.verdicts import compare
from engine.physics.ampacity import ambient_correction
from tests.engine.checked import checked, found, value_of, verdict
from tests.engine.jobs import (
    corner_grounded,
    high_leg,
    job,
    nameplate,
    parallel,
    single_phase,
    sound,
    with_facts,
)
from tests.engine.rules.test_secondary import TWO_WIRE
from tests.engine.rules.test_transformer_protection import OVER


def _two_wires(volts, jumper):
    """The single-phase job with a two-wire secondary."""
    return with_facts(
        single_phase(),
        transformer__secondary_volts=volts,
        transformer__secondary_system="single_phase_2_wire",
        bonding__system_bonding_jumper__location=jumper,
    )


def test_breaker_and_fuse_differ_at_601_amperes():
    # 240.6(A): 601 A is a standard rating of fuses alone. 173.2 kVA at 208 V: 480.8 A × 1.25 = 601.0 A
    data = nameplate(173.1, 3, 480, 208, secondary__protection__kind="main_device")
    # 480.48 × 1.25 = 600.6 A: the next fuse is 601 A, the next breaker 700 A
    fuse = with_facts(data, secondary__protection__device_kind="fuse")
    breaker = with_facts(data, secondary__protection__device_kind="breaker")
    assert value_of("secondary_device_maximum", fuse) == 601
    assert value_of("secondary_device_maximum", breaker) == 700


@pytest.mark.parametrize(
    ("kind", "expected"), [("breaker", "meets"), ("fuse", "does_not_meet"), (None, "cannot_tell")]
)
def test_breaker_and_fuse_differ_below_15_amperes(kind, expected):
    # 14 AWG THWN-2, more than 40 conductors: 25 × 0.35 = 8.75 A; next breaker 15 A, next fuse 10 A (240.6(A) to 2020;
    # from 2023 10 A is a rating of breakers too)
    data = with_facts(
        sound(),
        primary__conductors__size="14",
        primary__conductors__current_carrying=41,
        primary__device__rating=15,
        primary__device__kind=kind,
        edition=2020,
    )
    assert verdict("primary_conductor_protection", data) == expected


def test_above_10_percent_impedance_the_table_over_1000_volts_ends():
    data = with_facts(OVER, transformer__impedance_percent=10.1)
    for id_ in ("primary_device", "secondary_device"):
        check = found(id_, data)
        assert check.verdict == "cannot_tell"
        assert "engineer of record" in check.reason


def test_a_wye_without_neutral_and_jumper_is_ungrounded_where_that_is_allowed():
    data = with_facts(
        sound(),
        transformer__secondary_volts=480,
        transformer__secondary_system="wye_3_wire",
        bonding__system_bonding_jumper__location="none",
        # 250.20(B)(2): with a neutral that is used it must be grounded
        secondary__grounded_conductor__present=False,
    )
    assert verdict("system_grounding", data) == "does_not_apply"
    assert verdict("grounded_conductor", data) == "does_not_apply"
    # three wires and the jumper only
    assert value_of("secondary_raceway_fill", data) == pytest.approx(
        100 * (3 * 0.3237 + 0.1158) / 5.858, rel=1e-3
    )


def test_an_insulation_for_dry_places_carries_nothing_where_it_is_wet():
    # Table 310.4(1): THHN dry and damp only
    data = with_facts(
        sound(), primary__conductors__insulation="THHN", primary__conductors__wet_location=True
    )
    result = checked(job(data))
    assert result.values["primary_conductor_ampacity"].value == 0
    assert "primary_conductor_minimum" not in result.values
    assert verdict("primary_conductors", data) == "does_not_meet"


@pytest.mark.parametrize(("edition", "least"), [(2023, "3/0"), (2026, "1/0")])
def test_2026_limits_a_parallel_equipment_grounding_conductor_by_its_raceway(edition, least):
    # 1200 A: Table 250.122 3/0 copper; eight sets of 1/0, one in each raceway (fasttraxsystem.com on 250.122, 2026)
    data = with_facts(
        parallel(),
        edition=edition,
        primary__device__rating=1200,
        primary__conductors__size="1/0",
        primary__conductors__sets=8,
        primary__conductors__raceways=8,
    )
    assert value_of("primary_equipment_grounding_minimum", data) == least
    # two sets in a raceway hold 211.2 kcmil a phase (Table 8): 4/0 is the first size that reaches it
    two = with_facts(
        data,
        primary__device__rating=4000,
        primary__conductors__sets=24,
        primary__conductors__raceways=12,
    )
    assert value_of("primary_equipment_grounding_minimum", two) == (
        "500" if edition == 2023 else "4/0"
    )


@pytest.mark.parametrize("bond", ["water_pipe_bond", "structural_steel_bond"])
def test_no_bond_and_no_word_on_metal_in_the_area(bond):
    data = with_facts(
        sound(),
        electrode__used="concrete_encased",
        electrode__available=["concrete_encased"],
        **{f"bonding__{bond}__present": False, f"bonding__{bond}__metal_in_area": None},
    )
    check = found(bond, data)
    assert check.verdict == "cannot_tell"
    assert f"bonding.{bond}.metal_in_area" in check.missing


def test_a_device_that_no_single_conductor_reaches_asks_for_sets():
    # 2000 kcmil copper, 75 °C: 665 A (Table 310.16)
    data = with_facts(sound(), primary__device__rating=900, primary__load__continuous_amperes=None)
    assert "More sets" in found("primary_conductor_protection", data).remedy


def test_an_overfilled_raceway_with_all_else_unknown_still_gets_a_remedy():
    data = with_facts(
        sound(),
        primary__raceway__trade_size="1/2",
        primary__raceway__nipple=None,
        primary__raceway__length_feet=None,
        primary__conductors__length_feet=None,
    )
    check = found("primary_raceway", data)
    assert check.verdict == "does_not_meet"
    assert "larger raceway" in check.remedy


def test_more_than_any_raceway_holds_asks_for_several():
    data = with_facts(
        parallel(),
        secondary__conductors__raceways=1,
        secondary__raceway__type="ENT",
        secondary__raceway__trade_size="2",
    )
    assert "More than one raceway" in found("secondary_raceway", data).remedy
    unknown = with_facts(data, secondary__raceway__trade_size=None)
    assert "secondary_raceway_minimum" not in checked(job(unknown)).values


def test_without_a_panelboard_its_short_circuit_rating_does_not_apply():
    data = with_facts(
        sound(),
        secondary__panelboard__present=False,
        secondary__panelboard__short_circuit_kiloamperes=None,
    )
    assert verdict("interrupting_ratings", data) == "does_not_apply"
    # 110.10 and, from 2020 on, 408.6: a switchboard has such a rating too
    switchboard = {"observations__supplies_switchboard": True}
    assert verdict("interrupting_ratings", data, **switchboard) == "cannot_tell"
    for rating, expected in ((10, "meets"), (0.5, "does_not_meet")):
        assert (
            verdict(
                "interrupting_ratings",
                data,
                **switchboard,
                secondary__panelboard__short_circuit_kiloamperes=rating,
            )
            == expected
        )
    unknown = {"observations__supplies_switchboard": None}
    assert verdict("interrupting_ratings", data, **unknown) == "cannot_tell"


@pytest.mark.parametrize(
    ("edition", "section"), [(2014, "110.10"), (2017, "110.10"), (2020, "408.6"), (2023, "408.6")]
)
def test_before_2020_the_general_section_carries_the_panelboards_rating(edition, section):
    # 408.6 is new in 2020 (electricallicenserenewal.com 915)
    assert section in found("interrupting_ratings", sound(), edition=edition).section


def test_a_transformer_too_small_for_any_standard_device_has_no_assumed_one():
    # 0.1 kVA, 480 V: 0.208 A × 300 % = 0.6 A, below every standard rating
    values = checked(job(nameplate(0.1, 1, 480, 120))).values
    assert values["primary_device_maximum"].standard_rating is None
    assert "primary_conductor_minimum" not in values


def test_no_ampacity_is_left_where_the_air_is_as_hot_as_the_conductor():
    assert ambient_correction(conductor_celsius=75, ambient_celsius=75) == 0
    assert (
        value_of("secondary_conductor_ampacity", sound(), secondary__conductors__ambient_celsius=90)
        == 0
    )


def test_a_comparison_has_one_limit():
    site = Site(job(sound()), code_for(2023))
    words = {"required": "x", "found_shown": "x", "reason": "x", "otherwise": "x"}
    with pytest.raises(TypeError):
        compare(site, found=1, **words)
    with pytest.raises(TypeError):
        compare(site, found=1, at_least=1, at_most=1, **words)


def test_what_is_no_object_is_no_job():
    with pytest.raises(ValueError, match="Job"):
        Job.model_validate("job")


def test_a_secondary_load_within_the_rating_hangs_on_the_share_the_device_may_carry():
    # 215.3 exception: a device listed for 100 %. 200 + 0 A on 225 A: 125 % is 250 A
    data = with_facts(
        sound(), secondary__load__continuous_amperes=200, secondary__load__noncontinuous_amperes=0
    )
    for percent, expected in ((80, "does_not_meet"), (100, "meets"), (None, "cannot_tell")):
        assert (
            verdict("secondary_load", data, secondary__protection__continuous_percent=percent)
            == expected
        )


def test_neutrals_that_do_not_share_out_evenly_count_by_the_emptiest_raceway():
    # two raceways, two 500 kcmil a phase in each: 2/0 copper, 133.1 kcmil (Table 250.102(C)(1), Table 8); 1/0 is 105.6
    data = with_facts(
        parallel(),
        secondary__conductors__raceways=2,
        secondary__grounded_conductor__size="1/0",
        secondary__neutral_load_amperes=50,
    )
    assert verdict("grounded_conductor", data, secondary__grounded_conductor__sets=4) == "meets"
    assert (
        verdict("grounded_conductor", data, secondary__grounded_conductor__sets=3)
        == "does_not_meet"
    )


def test_a_neutral_for_dry_places_is_not_taken_into_wet_ones():
    # the neutral's own insulation counts: THWN 75 °C wet, 230 A × 0.82 at 45 °C; neutral load 200 A
    data = with_facts(
        sound(),
        secondary__grounded_conductor__size="3/0",
        secondary__grounded_conductor__insulation="THWN",
        secondary__conductors__ambient_celsius=45,
    )
    # 3/0: 200 A × 0.82 = 164 A in the 75 °C column (Table 310.16, Table 310.15(B)(1))
    for load, expected in ((164, "meets"), (165, "does_not_meet")):
        data = with_facts(data, secondary__neutral_load_amperes=load)
        assert verdict("grounded_conductor_load", data) == expected


@pytest.mark.parametrize(
    ("type_", "celsius", "expected"),
    [
        # 350.12(2), 356.12(2): not hotter than listed, commonly 80 °C dry and 60 °C wet with the conductors' own heat
        ("LFMC", 50, "meets"),
        ("LFMC", 51, "cannot_tell"),
        ("LFNC", 50, "meets"),
        ("LFNC", 70, "cannot_tell"),
        ("FMC", 70, "meets"),
    ],
)
def test_liquidtight_conduit_in_the_heat(type_, celsius, expected):
    data = with_facts(
        sound(), primary__raceway__type=type_, primary__conductors__ambient_celsius=celsius
    )
    assert verdict("primary_raceway_use", data) == expected


@pytest.mark.parametrize(
    ("type_", "expected"),
    # 300.22(C)(1): metal raceways without a nonmetallic covering; EC&M code Q&A 20897351 names liquidtight among the others
    [("EMT", "meets"), ("FMC", "meets"), ("LFMC", "does_not_meet"), ("LFNC", "does_not_meet")],
)
def test_what_may_run_where_the_buildings_air_moves(type_, expected):
    data = with_facts(
        sound(),
        observations__above_ceiling=True,
        observations__ceiling_moves_air=True,
        secondary__raceway__type=type_,
        secondary__raceway__flexible_length_feet=0,
    )
    assert verdict("secondary_raceway_use", data) == expected


@pytest.mark.parametrize(
    ("volts", "expected"),
    # 240.85 goes by the circuit's own conductors: 240 V is between any two lines of a high-leg supply, 120 V from one of the
    # two that are alike to the neutral, 208 V from the high leg to the neutral
    [(240, "cannot_tell"), (120, "meets"), (208, "does_not_meet")],
)
def test_a_single_phase_primary_on_two_legs_of_a_high_leg_supply(volts, expected):
    data = with_facts(
        single_phase(),
        transformer__primary_volts=volts,
        primary__device__straight_rated=False,
        primary__supply_system="high_leg",
    )
    assert verdict("primary_straight_rated", data) == expected
    three = with_facts(
        sound(),
        transformer__primary_volts=240,
        primary__device__straight_rated=False,
        primary__supply_system="high_leg",
    )
    assert verdict("primary_straight_rated", three) == "does_not_meet"


@pytest.mark.parametrize(
    ("id_", "fact", "excuse", "expected"),
    [
        # 404.8(A) exception 2 is of switches, 240.24(A)(4) of utilization equipment
        (
            "device_height",
            "device_height_within_reach",
            "high_handle_beside_equipment_supplied",
            "cannot_tell",
        ),
        # 450.10(A) exception: with wire leads any connection of 250.8, bonded to the enclosure
        ("terminal_bar", "terminal_bar_used", "wire_leads_joined_and_bonded", "meets"),
    ],
)
def test_what_excuses_another_answer_is_asked_only_then(id_, fact, excuse, expected):
    for seen, excused, said in (
        (True, None, "meets"),
        (False, True, expected),
        (False, False, "does_not_meet"),
        (False, None, "cannot_tell"),
        (None, True, "cannot_tell"),
    ):
        facts = {f"observations__{fact}": seen, f"observations__{excuse}": excused}
        assert verdict(id_, sound(), **facts) == said


@pytest.mark.parametrize(
    ("kva", "control_circuits", "expected"),
    # 450.1 exceptions, 450.14: not Class 2 and Class 3 transformers, of at most 100 VA (Chapter 9 Table 11(A), from memory)
    [
        (0.05, True, "cannot_tell"),
        (0.1, True, "cannot_tell"),
        (0.1, False, "does_not_meet"),
        (0.1, None, "cannot_tell"),
        (0.15, True, "does_not_meet"),
    ],
)
def test_what_may_be_a_class_2_transformer_is_not_condemned(kva, control_circuits, expected):
    data = with_facts(
        single_phase(),
        transformer__kva=kva,
        transformer__secondary_volts=24,
        transformer__secondary_system="single_phase_2_wire",
        secondary__class_1_2_3_circuits_only=control_circuits,
        observations__disconnect_in_sight=False,
        observations__disconnect_lockable_and_marked=False,
    )
    assert verdict("disconnecting_means", data) == expected
    assert verdict("primary_device", data) == expected


def test_a_strap_that_came_with_the_equipment_needs_no_size():
    data = with_facts(
        sound(),
        bonding__system_bonding_jumper__factory_furnished=True,
        bonding__system_bonding_jumper__size=None,
    )
    assert verdict("system_bonding_jumper", data) == "meets"


@pytest.mark.parametrize("type_", ["PVC40", "PVC80", "LFNC", "ENT"])
def test_outdoors_every_nonmetallic_raceway_is_no_path_beside_the_neutral(type_):
    data = with_facts(
        sound(),
        transformer__location="outdoors",
        bonding__system_bonding_jumper__location="both",
        bonding__supply_side_bonding_jumper__kind="none",
        observations__no_parallel_neutral_path=True,
        primary__equipment_grounding={"kind": "none"},
        primary__raceway__type="PVC40",
        secondary__raceway__type=type_,
    )
    assert verdict("system_bonding_jumper", data) == "meets"
    for type_beside in ("EMT", "FMC"):
        assert (
            verdict("system_bonding_jumper", data, secondary__raceway__type=type_beside)
            == "does_not_meet"
        )
    assert (
        verdict("system_bonding_jumper", data, bonding__supply_side_bonding_jumper__kind="wire")
        == "does_not_meet"
    )


def test_a_lone_rod_is_cited_by_the_electrode_system_and_a_joined_one_by_its_own_section():
    data = with_facts(
        sound(),
        electrode__used="rod",
        electrode__available=["rod", "building_steel"],
        electrode__sole_connection=False,
    )
    joined = found("grounding_electrode", data, electrode__joined_to_building_system=True)
    lone = found("grounding_electrode", data, electrode__joined_to_building_system=False)
    assert "250.30(A)(4)" in joined.section
    assert "250.50" in lone.section
    assert "rod" in joined.found
    # an electrode in use that is not at the building: one of the two answers is wrong
    there = found("grounding_electrode", data, electrode__available=[], electrode__used="rod")
    assert there.verdict == "cannot_tell"


@pytest.mark.parametrize(
    ("bond", "metal"),
    [("water_pipe_bond", "water_pipe"), ("structural_steel_bond", "building_steel")],
)
def test_a_small_jumper_to_the_electrode_itself_is_no_conflict(bond, metal):
    data = with_facts(sound(), electrode__used=metal, **{f"bonding__{bond}__size": "8"})
    assert verdict(bond, data) == "does_not_apply"
    other = "building_steel" if metal == "water_pipe" else "water_pipe"
    assert verdict(bond, data, electrode__used=other) == "does_not_meet"


@pytest.mark.parametrize("bond", ["water_pipe_bond", "structural_steel_bond"])
def test_bonds_name_the_edition_that_differs(bond):
    assert found(bond, parallel(), edition=2020).editions_differ


def test_below_120_volts_an_ungrounded_system_needs_no_detector():
    # 250.21(B): ac systems of not less than 120 V; from 50 V to 150 V a system must be grounded anyway
    data = nameplate(
        5,
        3,
        120,
        24,
        transformer__secondary_system="delta_3_wire_ungrounded",
        observations__ground_detector=False,
    )
    assert verdict("ground_detection", data) == "does_not_apply"
    assert verdict("ground_detection", data, transformer__secondary_volts=240) == "does_not_meet"


def test_no_load_is_carried_by_anything():
    data = with_facts(
        sound(),
        primary__conductors__size="6",
        primary__load__continuous_amperes=0,
        primary__load__noncontinuous_amperes=0,
    )
    assert verdict("primary_conductors", data) == "meets"
    small = with_facts(data, primary__load__noncontinuous_amperes=0.5)
    assert verdict("primary_conductors", small) == "meets"


def test_the_percentage_of_the_device_is_not_asked_for_where_the_load_is_too_large_anyway():
    data = with_facts(
        sound(),
        primary__device__continuous_percent=None,
        primary__load__continuous_amperes=200,
        primary__load__noncontinuous_amperes=0,
    )
    assert verdict("primary_load", data) == "does_not_meet"


def test_the_rest_of_the_load_counts_before_correction_too():
    # 3 AWG, 75 °C: 100 A (Table 310.16). 60 × 125 % + 30 = 105 A, 60 × 125 % − 30 would be 45 A
    data = with_facts(
        sound(),
        primary__conductors__size="3",
        primary__load__continuous_amperes=60,
        primary__load__noncontinuous_amperes=30,
    )
    assert verdict("primary_conductors", data) == "does_not_meet"
    assert verdict("primary_conductors", data, primary__device__continuous_percent=100) == "meets"


def test_a_small_conductor_is_refused_by_its_own_limit_and_a_large_device_by_its_own():
    small = found(
        "primary_conductor_protection",
        sound(),
        primary__conductors__size="12",
        primary__device__rating=25,
    )
    assert "240.4(D)" in small.reason
    equal = found(
        "primary_conductor_protection",
        sound(),
        primary__conductors__size="12",
        primary__device__rating=20,
        primary__conductors__current_carrying=41,
    )
    # 12 AWG: 30 × 0.35 = 10.5 A, next rating 15 A: the 20 A device is within 240.4(D) and above the ampacity
    assert equal.verdict == "does_not_meet"
    assert "240.4(D)" not in equal.reason


def test_a_full_raceway_does_not_round_up_and_says_nothing_of_it():
    assert "rounds up" not in found("primary_raceway", sound()).reason


def test_the_rating_stands_beside_an_unknown_source():
    check = found(
        "interrupting_ratings",
        sound(),
        secondary__panelboard__short_circuit_kiloamperes=4,
        primary__source_fault_kiloamperes=None,
    )
    assert check.found == "4.00 kA"
    assert "4.63 kA" in check.required


def test_at_12_times_rated_current_tripping_is_not_expected():
    # 12 × 48 kVA single-phase at 480 V (100 A) = 1200 A = 12 × a 100 A device
    data = nameplate(48, 1, 480, 240, primary__device__rating=100, primary__device__kind="breaker")
    assert verdict("inrush", data, primary__device__instantaneous_multiple=12) == "meets"
    assert "often" not in found("inrush", data, primary__device__instantaneous_multiple=8).reason
    assert (
        "not expected" in found("inrush", data, primary__device__instantaneous_multiple=25).reason
    )


def test_one_reading_to_ground_is_no_pattern():
    data = with_facts(sound(), readings__neutral_to_ground_volts=120)
    assert (
        "faulted"
        not in found("neutral_to_ground_reading", data, readings__line_to_ground_volts=[0]).reason
    )
    assert (
        "faulted"
        in found("neutral_to_ground_reading", data, readings__line_to_ground_volts=[0, 208]).reason
    )
    assert (
        "faulted"
        not in found(
            "neutral_to_ground_reading", data, readings__line_to_ground_volts=[5, 208]
        ).reason
    )


def test_one_class_of_windings_reaches_to_600_volts():
    # ANSI/NETA, Table 100.5 (1000 V dc up to 600 V: forum.testguy.net thread 9436; 500 megohm for a dry type from memory)
    data = nameplate(
        5,
        1,
        240,
        120,
        transformer__construction="dry",
        readings__winding_insulation_megohms=500,
        readings__insulation_test_volts=1000,
    )
    for volts, expected in ((240, "meets"), (600, "meets"), (601, "cannot_tell")):
        assert (
            verdict("winding_insulation_reading", data, transformer__primary_volts=volts)
            == expected
        )
    assert verdict("winding_insulation_reading", data, readings__insulation_test_volts=500) == (
        "cannot_tell"
    )


def test_main_lugs_behind_a_primary_device_count_by_that_device():
    # 50 A × 480/240 = 100 A, what 3 AWG carries at 75 °C; the panelboard's 200 A does not count under 240.21(C)(1)
    data = with_facts(
        TWO_WIRE,
        secondary__panelboard__rating=200,
        bonding__system_bonding_jumper__location="source",
    )
    assert verdict("secondary_conductors", data) == "meets"
    assert verdict("secondary_conductors", data, primary__device__rating=50.1) == "does_not_meet"
    assert verdict("secondary_conductors", data, secondary__rule="25_ft") == "does_not_meet"


def test_one_rating_of_two_mains_leaves_the_panelboard_open():
    # 408.36, exception: the two mains together are held to the rating of the panelboard
    data = with_facts(
        sound(),
        secondary__protection__kind="grouped_devices",
        secondary__protection__ratings=[225],
        secondary__panelboard__fed_by_two_mains=True,
    )
    assert verdict("panelboard_protection", data) == "cannot_tell"
    assert (
        verdict("panelboard_protection", data, secondary__protection__ratings=[]) == "does_not_meet"
    )


def test_a_load_at_125_percent_needs_no_word_on_the_device():
    # 215.3: 160 × 125 % + 25 = 225 A
    data = with_facts(
        sound(),
        secondary__load__continuous_amperes=160,
        secondary__load__noncontinuous_amperes=25,
        secondary__protection__continuous_percent=None,
    )
    assert verdict("secondary_load", data) == "meets"
    # 160 + 70 A is above 225 A whatever the device may carry; 160 × 125 % + 60 = 260 A depends on it
    assert (
        verdict("secondary_load", data, secondary__load__noncontinuous_amperes=70)
        == "does_not_meet"
    )
    assert (
        verdict("secondary_load", data, secondary__load__noncontinuous_amperes=60) == "cannot_tell"
    )


@pytest.mark.parametrize(
    ("data", "area"),
    [
        # Table 5 areas as in test_raceway_fill.py: 1 AWG 0.1562, 6 AWG 0.0507, 4/0 AWG 0.3237, 2 AWG 0.1158 in²
        (single_phase(), 3 * 0.1562 + 0.0507),
        (corner_grounded(), 3 * 0.3237 + 0.1158),
        (high_leg(), 4 * 0.3237 + 0.1158),
        # two wires: 120 V is grounded (one phase and the grounded one), 240 V with no jumper is not (two phases)
        (_two_wires(120, "first_disconnect"), 2 * 0.1562 + 0.0507),
        (_two_wires(240, "none"), 2 * 0.1562 + 0.0507),
    ],
)
def test_each_system_puts_its_own_wires_into_the_raceway(data, area):
    trade = {"2": 3.356, "2-1/2": 5.858}[
        data["secondary"]["raceway"]["trade_size"]
    ]  # EMT, Table 4, in²
    assert value_of("secondary_raceway_fill", data) == pytest.approx(100 * area / trade, rel=1e-3)


def test_two_wires_without_their_grounded_conductor_can_not_be_told():
    grounded = with_facts(
        _two_wires(120, "first_disconnect"), secondary__grounded_conductor__size=None
    )
    assert verdict("secondary_raceway", grounded) == "cannot_tell"
    ungrounded = with_facts(_two_wires(240, "none"), secondary__grounded_conductor__size=None)
    assert verdict("secondary_raceway", ungrounded) == "meets"


def test_a_device_too_large_over_1000_volts_is_told_the_largest():
    check = found("primary_device", OVER, primary__device__rating=226)
    assert "225 A" in check.remedy
    assert check.section.startswith("Table 450.3(A)") or "450.3" in check.section
    both = found("secondary_device", OVER, secondary__protection__rating=1600)
    assert "800 A" in both.remedy


@pytest.mark.parametrize(
    ("id_", "edition"),
    [("electrode_conductor_openings", 2020), ("torque", 2014), ("fault_current_marking", 2017)],
)
def test_the_edition_that_brings_a_rule_is_named_before(id_, edition):
    assert found(id_, sound(), edition=edition).editions_differ


# --- cool surroundings ------------------------------------------------------------------------------------------------

COOL = {
    "conductors__insulation": "TW",
    "conductors__ambient_celsius": 25,
    "conductors__termination_celsius": 75,
}


@pytest.mark.parametrize(
    ("size", "continuous", "expected"),
    [
        # Table 310.16, 60 °C: 145 A, × 1.08 at 25 °C = 156.6 A; before correction 145 A must hold 125 % of 116 A, not of 117 A
        ("2/0", 116, "meets"),
        ("2/0", 117, "does_not_meet"),
        ("2/0", None, "cannot_tell"),
        # 165 A: more than the device before correction too, so no load matters
        ("3/0", None, "meets"),
    ],
)
def test_a_cool_place_does_not_spare_the_primary_conductors_125_percent(size, continuous, expected):
    # 215.2(A)(1): 125 % of the continuous load before correction
    cool = {f"primary__{name}": value for name, value in COOL.items()}
    check = found(
        "primary_conductors",
        sound(),
        **cool,
        primary__conductors__size=size,
        primary__device__rating=150,
        primary__device__termination_celsius=75,
        primary__load__continuous_amperes=continuous,
        primary__load__noncontinuous_amperes=0,
    )
    assert check.verdict == expected


@pytest.mark.parametrize(
    ("size", "continuous", "rest", "expected", "smallest"),
    [
        # Table 310.16, 60 °C: 215 A, × 1.08 at 25 °C = 232.2 A; before correction 215 A must hold 125 % of 172 A, not of 173 A
        ("250", 172, 0, "meets", "250"),
        ("250", 173, 0, "does_not_meet", "300"),
        ("250", 160, 20, "does_not_meet", "300"),
        ("250", None, 0, "cannot_tell", "300"),
        ("250", 100, None, "cannot_tell", "300"),
        # 240 A: more than the device before correction too
        ("300", None, None, "meets", "300"),
        # the device bounds the load: 125 % of 200 A is more than the 225 A that it lets through
        ("300", 200, 0, "meets", "300"),
    ],
)
def test_a_cool_place_does_not_spare_the_secondary_conductors_125_percent(
    size, continuous, rest, expected, smallest
):
    cool = {f"secondary__{name}": value for name, value in COOL.items()}
    data = with_facts(
        sound(),
        **cool,
        secondary__conductors__size=size,
        secondary__protection__termination_celsius=75,
        secondary__load__continuous_amperes=continuous,
        secondary__load__noncontinuous_amperes=rest,
    )
    check = found("secondary_conductors", data)
    assert check.verdict == expected
    if expected == "cannot_tell":
        assert check.missing[0].startswith("secondary.load.")
    if expected == "does_not_meet":
        assert "before correction" in check.required and "300 kcmil" in check.remedy
    assert value_of("secondary_conductor_minimum", data) == smallest


@pytest.mark.parametrize(
    ("material", "nipple", "expected", "limit"),
    [
        # Chapter 9, note 4 of Table 1: 60 % in a nipple; 61 % is too much. Compact aluminum (Table 5A) would fit.
        ("copper", True, "does_not_meet", "60 %"),
        ("aluminum", True, "cannot_tell", "60 %"),
        ("copper", False, "does_not_meet", "40 %"),
        ("copper", None, "does_not_meet", "40 %"),
    ],
)
def test_a_nipple_that_is_too_full_is_held_against_its_own_limit(material, nipple, expected, limit):
    check = found(
        "secondary_raceway",
        sound(),
        secondary__conductors__size="600",
        secondary__conductors__material=material,
        secondary__grounded_conductor__size="600",
        secondary__raceway__trade_size="2-1/2",
        secondary__raceway__length_feet=2 if nipple else None,
        secondary__conductors__length_feet=4 if nipple else None,
        secondary__raceway__nipple=nipple,
    )
    assert (check.verdict, check.required[:12]) == (expected, f"at most {limit}")
