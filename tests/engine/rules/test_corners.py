"""More corners, each where a small change of a rule would otherwise go unnoticed. Sources as in the module of each rule."""

import pytest

from tests.engine.checked import found, verdict
from tests.engine.jobs import (
    corner_grounded,
    high_leg,
    nameplate,
    parallel,
    single_phase,
    sound,
    ungrounded_delta,
    with_facts,
)


@pytest.mark.parametrize(
    ("supply", "secondary", "expected"),
    [
        # 250.20(A): below 50 V where the supply exceeds 150 V to ground; three-phase above 260 V always does
        (480, 24, "does_not_meet"),
        (261, 24, "does_not_meet"),
        (260, 24, "cannot_tell"),
        (151, 24, "cannot_tell"),
        # item (2): an ungrounded supply asks for it at any voltage
        (150, 24, "cannot_tell"),
        (208, 49, "cannot_tell"),
        (208, 50, "does_not_meet"),  # 250.20(B)(1)
        (480, 150, "does_not_meet"),
        (480, 151, "does_not_apply"),
    ],
)
def test_small_voltages_are_grounded_by_their_supply(supply, secondary, expected):
    data = nameplate(
        5,
        3,
        supply,
        secondary,
        transformer__secondary_system="delta_3_wire_ungrounded",
        bonding__system_bonding_jumper__location="none",
    )
    assert verdict("system_grounding", data) == expected


@pytest.mark.parametrize(
    ("supply_volts", "supply", "expected"),
    [
        # 250.20(A)(1), (2): above 150 V to ground, or ungrounded (as printed in Electrical Contractor, "To ground or not to
        # ground", ecmag.com)
        (120, "single_phase_grounded", "does_not_apply"),
        (240, "single_phase_grounded", "does_not_apply"),
        (208, "solidly_grounded_wye", "does_not_apply"),
        (208, "impedance_grounded", "does_not_apply"),
        (240, "corner_grounded", "does_not_meet"),
        (120, "ungrounded", "does_not_meet"),
        (240, "ungrounded", "does_not_meet"),
        (480, "solidly_grounded_wye", "does_not_meet"),
        (120, None, "cannot_tell"),
        # two lines of 240Y/139, or one line of 416Y/240 and the neutral
        (240, "solidly_grounded_wye", "cannot_tell"),
        (277, "solidly_grounded_wye", "does_not_meet"),
        # the words are of the supply system, whose high leg has 208 V
        (120, "high_leg", "cannot_tell"),
        (240, "high_leg", "cannot_tell"),
        (208, "high_leg", "does_not_meet"),
    ],
)
def test_below_50_volts_the_supply_says_whether_it_is_grounded(supply_volts, supply, expected):
    data = nameplate(
        1,
        1,
        supply_volts,
        24,
        transformer__secondary_system="single_phase_2_wire",
        transformer__location="indoors",
        bonding__system_bonding_jumper__location="none",
        primary__supply_system=supply,
    )
    assert verdict("system_grounding", data) == expected


def test_what_was_found_of_the_grounding_is_said():
    assert found("system_grounding", sound()).found == "a system bonding jumper"
    none = found("system_grounding", sound(), bonding__system_bonding_jumper__location="none")
    assert none.found == "no system bonding jumper"


def test_one_set_needs_no_number_of_grounded_conductors():
    plain = with_facts(sound(), secondary__grounded_conductor__sets=None)
    assert verdict("grounded_conductor", plain) == "meets"
    assert (
        verdict("grounded_conductor", plain, secondary__grounded_conductor__size="3")
        == "does_not_meet"
    )
    small = with_facts(
        plain, secondary__grounded_conductor__size="2", secondary__neutral_load_amperes=100
    )
    assert verdict("grounded_conductor", small) == "meets"


def test_a_copper_neutral_beside_aluminum_phases_needs_no_load():
    data = with_facts(
        sound(), secondary__conductors__material="aluminum", secondary__neutral_load_amperes=None
    )
    assert found("grounded_conductor_load", data).severity == "advice"
    other = with_facts(
        sound(),
        secondary__grounded_conductor__material="aluminum",
        secondary__neutral_load_amperes=None,
    )
    check = found("grounded_conductor_load", other)
    assert (check.verdict, check.severity) == ("cannot_tell", "danger")


def test_a_neutral_hotter_than_its_insulation_carries_nothing():
    data = with_facts(
        sound(),
        secondary__grounded_conductor__size="2",
        secondary__grounded_conductor__insulation="THWN",
        secondary__conductors__ambient_celsius=80,
        secondary__neutral_load_amperes=5,
    )
    assert verdict("grounded_conductor_load", data) == "does_not_meet"


def test_two_sets_are_parallel_and_say_why_they_fail():
    two = with_facts(
        parallel(),
        secondary__conductors__sets=2,
        secondary__conductors__raceways=2,
        secondary__grounded_conductor__sets=2,
    )
    assert verdict("grounded_conductor_sets", two) == "meets"
    small = found("grounded_conductor_sets", two, secondary__grounded_conductor__size="1")
    assert "may not run in parallel" in small.reason
    assert small.remedy == "1/0 AWG or larger in each set."
    assert small.section.startswith("310.10")
    few = found("grounded_conductor_sets", two, secondary__grounded_conductor__sets=1)
    assert "without their grounded conductor" in few.reason


def test_the_supply_side_jumper_of_an_ungrounded_system_has_its_own_section():
    # 250.30(B)(3) and 250.30(A)(2)
    assert "250.30(B)" in found("supply_side_bonding_jumper", ungrounded_delta()).section
    assert "250.30(A)" in found("supply_side_bonding_jumper", sound()).section


def test_between_two_permitted_jumpers_there_is_no_supply_side_one():
    data = with_facts(
        sound(),
        transformer__location="outdoors",
        bonding__system_bonding_jumper__location="both",
        bonding__supply_side_bonding_jumper__kind="none",
        observations__no_parallel_neutral_path=True,
        secondary__raceway__type="PVC40",
    )
    assert verdict("supply_side_bonding_jumper", data) == "does_not_apply"
    one = with_facts(data, bonding__system_bonding_jumper__location="source")
    assert verdict("supply_side_bonding_jumper", one) == "does_not_meet"


def test_parallel_conductors_that_are_too_small_say_how_many():
    data = with_facts(
        sound(),
        primary__conductors__sets=2,
        primary__conductors__raceways=2,
        primary__conductors__size="1",
    )
    check = found("primary_conductors", data)
    assert "2 × 1 AWG" in check.found
    assert "1/0 AWG or larger" in check.required
    assert "parallel" not in found("primary_conductors", sound()).required


def test_the_remedy_names_the_smallest_size_or_says_that_none_does():
    assert (
        "4/0 AWG copper or larger"
        in found("secondary_conductors", sound(), secondary__conductors__size="3/0").remedy
    )
    none = with_facts(sound(), secondary__protection__rating=900, secondary__panelboard__rating=900)
    assert "No single size" in found("secondary_conductors", none).remedy
    many = with_facts(parallel(), secondary__conductors__size="300")
    assert found("secondary_conductors", many).remedy.startswith("4 × 500 kcmil copper or larger")


@pytest.mark.parametrize(
    ("continuous", "rest", "expected"),
    # 125 A device: 60 × 125 % + 50 = 125 A needs no word; 100 + 50 A and 200 A are too much whatever the device may carry
    [(60, 50, "meets"), (100, 50, "does_not_meet"), (200, 0, "does_not_meet")],
)
def test_the_share_of_the_device_is_left_out_where_it_does_not_matter(continuous, rest, expected):
    check = found(
        "primary_load",
        sound(),
        primary__device__continuous_percent=None,
        primary__load__continuous_amperes=continuous,
        primary__load__noncontinuous_amperes=rest,
    )
    assert (check.verdict, check.even_if) == (expected, [])


def test_the_required_rating_is_125_percent():
    check = found(
        "primary_load",
        sound(),
        primary__load__continuous_amperes=104,
        primary__load__noncontinuous_amperes=0,
    )
    assert check.required == "at least 130 A"


def test_the_preferred_electrode_of_2014_is_named():
    data = with_facts(
        sound(), edition=2014, electrode__used="rod", electrode__available=["rod", "building_steel"]
    )
    check = found("grounding_electrode", data)
    assert check.verdict == "does_not_meet"
    assert "building steel" in check.remedy
    joined = with_facts(
        data, electrode__joined_to_building_system=True, electrode__sole_connection=False
    )
    assert "2017: meets" in found("grounding_electrode", joined).editions_differ


@pytest.mark.parametrize(
    ("bond", "metal"),
    [("water_pipe_bond", "water_pipe"), ("structural_steel_bond", "building_steel")],
)
def test_metal_that_exists_at_the_building_need_not_be_in_the_area_served(bond, metal):
    # 250.104(D)(1) and (2): in the area served
    data = with_facts(
        sound(),
        electrode__used="concrete_encased",
        electrode__available=["concrete_encased", metal],
        **{f"bonding__{bond}__present": False, f"bonding__{bond}__metal_in_area": None},
    )
    assert verdict(bond, data) == "cannot_tell"
    assert verdict(bond, data, **{f"bonding__{bond}__metal_in_area": True}) == "does_not_meet"
    assert verdict(bond, data, **{f"bonding__{bond}__metal_in_area": False}) == "does_not_apply"


def test_how_a_device_protects_is_cited():
    at = found("primary_conductor_protection", sound())
    rounded = found("primary_conductor_protection", sound(), primary__device__rating=150)
    assert "reaches" in at.reason
    assert "240.4(B)" in rounded.section
    assert "next standard rating" in rounded.reason
    over = found("primary_conductor_protection", parallel(), primary__device__rating=1000)
    assert "240.4(C)" in over.reason
    for rating in (800, 800.5):
        below = found("primary_conductor_protection", sound(), primary__device__rating=rating)
        assert ("240.4(C)" in below.reason) == (rating > 800)


def test_a_tap_of_exactly_25_ft_is_one():
    data = with_facts(
        sound(),
        primary__device__rating=300,
        primary__conductors__size="3",
        primary__conductors__length_feet=25,
        primary__raceway__length_feet=25,
        secondary__rule="feeder_tap_25_ft",
    )
    assert verdict("primary_conductor_protection", data) == "meets"
    for length in (25.1, 26):
        longer = with_facts(data, primary__raceway__length_feet=length)
        assert verdict("primary_conductor_protection", longer) == "does_not_meet"


def test_2026_tells_the_parallel_equipment_grounding_conductor_apart():
    data = with_facts(
        parallel(),
        primary__device__rating=1200,
        primary__conductors__size="1/0",
        primary__conductors__sets=8,
        primary__conductors__raceways=8,
        primary__equipment_grounding__size="1/0",
    )
    assert "2026: meets" in found("primary_equipment_grounding", data).editions_differ


@pytest.mark.parametrize("trade", ["3/4", "1", "1-1/4"])
def test_middle_sizes_of_liquidtight_conduit_serve_to_60_amperes(trade):
    data = with_facts(
        nameplate(5, 1, 480, 240),
        primary__device__rating=60,
        primary__device__adjustable=False,
        primary__equipment_grounding__kind="raceway",
        primary__raceway__type="LFMC",
        primary__raceway__trade_size=trade,
        primary__raceway__length_feet=6,
        primary__raceway__flexible_length_feet=6,
        primary__raceway__flexibility_needed=False,
        primary__raceway__fittings_listed_for_grounding=True,
    )
    assert verdict("primary_equipment_grounding", data) == "meets"
    large = with_facts(data, primary__raceway__trade_size="1-1/2", primary__device__rating=0.5)
    assert verdict("primary_equipment_grounding", large) == "does_not_meet"


@pytest.mark.parametrize(("data", "kiloamperes"), [(single_phase(), 4.17), (high_leg(), 4.01)])
def test_a_center_tap_counts_with_a_known_source_too(data, kiloamperes):
    # line to line on an infinite bus: 25 kVA, 240 V, 2.5 %: 4.17 kA; 75 kVA, 240 V, 4.5 %: 4.01 kA; to the tap up to 1.67 times
    rating = "secondary__panelboard__short_circuit_kiloamperes"
    for source in (None, 65):
        facts = {rating: kiloamperes * 1.67 + 0.05, "primary__source_fault_kiloamperes": source}
        assert verdict("interrupting_ratings", data, **facts) == "meets"
        facts[rating] = kiloamperes * 1.6
        assert verdict("interrupting_ratings", data, **facts) == "cannot_tell"
    # the tap is far below even what a weak source leaves
    assert (
        verdict(
            "interrupting_ratings", data, **{rating: 0.2, "primary__source_fault_kiloamperes": 2}
        )
        == "does_not_meet"
    )


def test_the_numbers_beside_a_rating_are_kiloamperes():
    check = found("interrupting_ratings", sound())
    assert check.found == "10.00 kA"
    assert "4.63 kA" in check.required
    device = found(
        "secondary_device_interrupting",
        sound(),
        secondary__protection__interrupting_kiloamperes=0.5,
    )
    assert device.verdict == "does_not_meet"
    assert device.found == "0.50 kA"
    between = found(
        "interrupting_ratings",
        sound(),
        secondary__panelboard__short_circuit_kiloamperes=6.5,
        primary__source_fault_kiloamperes=5,
        transformer__impedance_percent=2,
    )
    # 10.41 kA of the transformer and 11.54 kA of the source: 5.47 kA in series, 7.73 kA at right angles
    assert between.verdict == "cannot_tell"
    assert between.found == "6.50 kA"
    center = found(
        "interrupting_ratings", single_phase(), secondary__panelboard__short_circuit_kiloamperes=5
    )
    assert center.found == "5.00 kA"


@pytest.mark.parametrize(
    ("jumper", "electrode", "expected"),
    [
        (1, None, "cannot_tell"),
        (None, 1, "cannot_tell"),
        (None, None, "cannot_tell"),
        (1.01, None, "does_not_meet"),
    ],
)
def test_1_ampere_is_still_about_nothing(jumper, electrode, expected):
    check = found(
        "bonding_current_reading",
        sound(),
        readings__bonding_conductor_amperes=jumper,
        readings__electrode_conductor_amperes=electrode,
    )
    assert check.verdict == expected
    if None in (jumper, electrode) and expected == "cannot_tell":
        assert check.missing


def test_the_same_kva_is_neither_smaller_nor_larger():
    assert found("replacement_capacity", sound()).reason == "Same kVA."
    assert "Smaller" in found("replacement_capacity", sound(), replacement__old__kva=75.1).reason
    assert "Larger" in found("replacement_capacity", sound(), replacement__old__kva=74.9).reason


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        # 2 in. EMT 3.356 in² × 40 % = 1.342 in² (Table 4); 4 × 0.3237 + 0.1158 = 1.4106 in² (Table 5) is too much, with
        # compact aluminum, 4/0 THHN 0.2780 in² (Table 5A), the four phases take 1.112 in² and all of it fits
        ({"secondary__conductors__material": "copper"}, "does_not_meet"),
        ({"secondary__conductors__material": "aluminum"}, "cannot_tell"),
        (
            {
                "secondary__conductors__material": "aluminum",
                "secondary__raceway__trade_size": "1-1/2",
            },
            "does_not_meet",
        ),
        (
            {
                "secondary__conductors__material": "aluminum",
                "secondary__raceway__trade_size": "2-1/2",
            },
            "meets",
        ),
        (
            {
                "secondary__conductors__material": "aluminum",
                "bonding__supply_side_bonding_jumper__insulation": "bare",
                "bonding__supply_side_bonding_jumper__size": "1000",
            },
            "does_not_meet",
        ),
    ],
)
def test_compact_aluminum_may_fit_where_the_usual_stranding_does_not(facts, expected):
    data = with_facts(
        sound(),
        secondary__conductors__insulation="THHN",
        secondary__grounded_conductor__insulation="THHN",
        bonding__supply_side_bonding_jumper__insulation="THHN",
        secondary__raceway__trade_size="2",
        secondary__raceway__length_feet=16,
    )
    assert verdict("secondary_raceway", data, **facts) == expected


def test_another_rule_that_would_hold_is_judged_as_that_rule():
    # two devices of 125 A are above 230 A together; under the 10-ft rule the 225 A panelboard and the load count
    data = with_facts(
        sound(),
        secondary__rule="25_ft",
        secondary__conductors__length_feet=9,
        secondary__raceway__length_feet=8,
        secondary__protection__kind="grouped_devices",
        secondary__protection__ratings=[125, 125],
    )
    check = found("secondary_rule", data)
    assert check.verdict == "does_not_meet"
    assert "not over 10 ft" in check.remedy
    assert "several grouped devices" in check.found
    lugs = found("secondary_rule", sound(), secondary__protection__kind="main_lugs_only")
    assert "main lugs only" in lugs.found


def test_the_rest_of_a_calculated_load_adds_up():
    # 160 × 125 % + 30 = 230 A, what 4/0 copper carries; + 31 A is more
    data = with_facts(
        sound(),
        secondary__rule="10_ft",
        secondary__protection__kind="grouped_devices",
        secondary__protection__ratings=[125, 125],
        secondary__load__continuous_amperes=160,
    )
    assert (
        verdict("secondary_conductors", data, secondary__load__noncontinuous_amperes=30) == "meets"
    )
    assert (
        verdict("secondary_conductors", data, secondary__load__noncontinuous_amperes=31)
        == "does_not_meet"
    )


def test_slash_rated_breakers_matter_where_phases_differ_to_ground_or_nothing_is_grounded():
    # 240.85: a slash rating is for solidly grounded systems
    floating = with_facts(
        nameplate(75, 3, 480, 480),
        transformer__secondary_system="wye_3_wire",
        bonding__system_bonding_jumper__location="none",
    )
    for data in (high_leg(), corner_grounded(), ungrounded_delta(), floating):
        assert (
            verdict("straight_rated_devices", data, observations__straight_rated_devices=True)
            == "meets"
        )
        assert (
            verdict("straight_rated_devices", data, observations__straight_rated_devices=False)
            == "does_not_meet"
        )
    for data in (sound(), single_phase()):
        assert verdict("straight_rated_devices", data) == "does_not_apply"
    unknown = with_facts(floating, bonding__system_bonding_jumper__location=None)
    assert verdict("straight_rated_devices", unknown) == "cannot_tell"


def test_a_reading_that_would_fail_alone_needs_no_second_one():
    for facts in (
        {"readings__bonding_conductor_amperes": 1.5, "readings__electrode_conductor_amperes": None},
        {"readings__bonding_conductor_amperes": None, "readings__electrode_conductor_amperes": 1.5},
    ):
        assert verdict("bonding_current_reading", sound(), **facts) == "does_not_meet"
    neither = {
        "readings__bonding_conductor_amperes": 0.5,
        "readings__electrode_conductor_amperes": None,
    }
    assert found("bonding_current_reading", sound(), **neither).missing == [
        "readings.electrode_conductor_amperes"
    ]
