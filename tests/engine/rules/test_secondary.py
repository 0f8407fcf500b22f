"""Secondary conductors under 240.21(C) and the panelboard they supply; nothing is ever rounded up.

Source of ampacities: Table 310.16 as extracted in 2018 IRC Table E3705.1: copper at 75 °C 3/0 AWG 200 A, 4/0 AWG 230 A,
250 kcmil 255 A, 2 AWG 115 A, 3 AWG 100 A. Conditions of 240.21(C): EC&M, "Transformer Secondary Conductors".
"""

import pytest

from engine.code import SIZES
from tests.engine.checked import checked, found, value_of, verdict
from tests.engine.jobs import job, nameplate, sound, with_facts

SIZE = "secondary__conductors__size"
FEET = "secondary__conductors__length_feet"


def test_a_225_ampere_main_needs_4_0_copper_and_not_3_0_rounded_up():
    # 4/0 AWG 230 A, 3/0 AWG 200 A (Table 310.16, 75 °C); 240.21(C) does not let 240.4(B) round 200 A up to 225 A
    assert value_of("secondary_conductor_minimum", sound()) == "4/0"
    assert verdict("secondary_conductors", sound(), **{SIZE: "4/0"}) == "meets"
    assert verdict("secondary_conductors", sound(), **{SIZE: "3/0"}) == "does_not_meet"


@pytest.mark.parametrize(("rating", "expected"), [(230, "meets"), (230.1, "does_not_meet")])
def test_the_ampacity_reaches_the_device_or_it_does_not(rating, expected):
    assert (
        verdict("secondary_conductors", sound(), secondary__protection__rating=rating) == expected
    )


@pytest.mark.parametrize(
    ("size", "metal", "device", "expected"),
    [
        # Encore Wire size table, footnote on 240.4(D): copper 14 AWG 15 A, 12 AWG 20 A, 10 AWG 30 A; aluminum 12 AWG
        # 15 A, 10 AWG 25 A, though their ampacities at 75 °C are 20, 25, 35, 20 and 30 A (Table 310.16).
        ("14", "copper", 15, "meets"),
        ("14", "copper", 20, "does_not_meet"),
        ("12", "copper", 20, "meets"),
        ("12", "copper", 25, "does_not_meet"),
        ("10", "copper", 30, "meets"),
        ("10", "copper", 35, "does_not_meet"),
        ("12", "aluminum", 15, "meets"),
        ("12", "aluminum", 20, "does_not_meet"),
        ("10", "aluminum", 25, "meets"),
        ("10", "aluminum", 30, "does_not_meet"),
    ],
)
def test_small_secondary_conductors_keep_their_own_limit(size, metal, device, expected):
    data = with_facts(
        sound(),
        transformer__kva=5,
        primary__device__rating=15,
        secondary__conductors__material=metal,
        secondary__protection__rating=device,
        **{SIZE: size},
    )
    assert verdict("secondary_conductors", data) == expected
    result = found("secondary_conductors", data)
    assert ("240.4(D)" in result.reason) == (expected == "does_not_meet")
    smallest = value_of("secondary_conductor_minimum", data)
    assert (SIZES.index(smallest) <= SIZES.index(size)) == (expected == "meets")


def test_a_small_secondary_keeps_its_limit_behind_the_primary_device_too():
    # 480 V to 120 V two-wire, 5 A: 5 × 4 = 20 A is above the 15 A of 14 AWG copper, not above the 20 A of 12 AWG
    # (Encore Wire size table, footnote on 240.4(D)).
    two_wire = with_facts(
        sound(),
        transformer__phases=1,
        transformer__kva=1.5,
        transformer__secondary_volts=120,
        transformer__primary_system="single_phase_2_wire",
        transformer__secondary_system="single_phase_2_wire",
        primary__device__rating=5,
        secondary__rule="primary_device",
    )
    assert verdict("secondary_rule", two_wire, **{SIZE: "14"}) == "does_not_meet"
    assert verdict("secondary_rule", two_wire, **{SIZE: "12"}) == "meets"
    assert value_of("secondary_conductor_minimum", two_wire) == "12"


@pytest.mark.parametrize(
    ("bus", "expected"), [(230, "meets"), (231, "does_not_meet"), (None, "cannot_tell")]
)
def test_main_lugs_count_by_the_equipment_supplied(bus, expected):
    data = with_facts(
        sound(), secondary__protection__kind="main_lugs_only", secondary__panelboard__rating=bus
    )
    assert verdict("secondary_conductors", data) == expected


def test_grouped_devices_count_together():
    data = with_facts(
        sound(),
        secondary__protection__kind="grouped_devices",
        secondary__protection__ratings=[115, 115],
    )
    assert verdict("secondary_conductors", data) == "meets"
    assert (
        verdict("secondary_conductors", data, secondary__protection__ratings=[115, 116])
        == "does_not_meet"
    )


@pytest.mark.parametrize(
    ("bus", "continuous", "expected"),
    [
        (230, 184, "meets"),
        (231, 100, "does_not_meet"),
        (230, 184.1, "does_not_meet"),
        (230, None, "cannot_tell"),
    ],
)
def test_under_the_10_ft_rule_the_equipment_that_holds_the_devices_counts_with_the_load(
    bus, continuous, expected
):
    # 240.21(C)(2)(1)a and b: not less than the calculated load and the equipment's rating; 184 × 125 % = 230 A
    data = with_facts(
        sound(),
        secondary__rule="10_ft",
        secondary__protection__kind="grouped_devices",
        secondary__protection__ratings=[125, 125],
        secondary__panelboard__rating=bus,
        secondary__load__continuous_amperes=continuous,
        secondary__load__noncontinuous_amperes=0,
    )
    assert verdict("secondary_conductors", data) == expected


def test_unknown_terminals_that_decide_can_not_be_told():
    # 4/0 copper: 195 A at 60 °C, 230 A at 75 °C
    check = found("secondary_conductors", sound(), secondary__protection__termination_celsius=None)
    assert check.verdict == "cannot_tell"
    assert check.missing == ["secondary.protection.termination_celsius"]


def test_unknown_terminals_that_can_not_decide_are_said():
    check = found(
        "secondary_conductors",
        sound(),
        secondary__protection__rating=195,
        secondary__conductors__termination_celsius=None,
    )
    assert check.verdict == "meets"
    assert "60" in check.even_if[0]


def test_a_90_degree_mark_does_not_open_the_90_degree_column():
    # 110.14(C)(1): equipment of 1000 V and less is judged at 75 °C at most; 4/0 at 90 °C would have 260 A
    data = with_facts(
        sound(),
        secondary__protection__termination_celsius=90,
        secondary__conductors__termination_celsius=90,
        secondary__protection__rating=250,
    )
    assert verdict("secondary_conductors", data) == "does_not_meet"


TWENTY_FIVE = with_facts(sound(), secondary__rule="25_ft")


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({FEET: 25}, "meets"),
        ({FEET: 25.1}, "does_not_meet"),
        ({FEET: None}, "cannot_tell"),
        ({"secondary__protected_from_damage": False}, "does_not_meet"),
        ({"secondary__protected_from_damage": None}, "cannot_tell"),
        ({"secondary__protection__kind": "main_lugs_only"}, "does_not_meet"),
        (
            {
                "secondary__protection__kind": "grouped_devices",
                "secondary__protection__ratings": [100, 125],
            },
            "does_not_meet",
        ),
        # 1/3 of the primary device × 480/208: 225 A → 173.1 A, within 230 A; 300 A → 230.8 A, above it (240.21(C)(6)(1))
        ({"primary__device__rating": 299}, "meets"),
        ({"primary__device__rating": 299.1}, "does_not_meet"),
        ({"secondary__protection__rating": 230.1}, "does_not_meet"),
    ],
)
def test_every_condition_of_the_25_ft_rule_counts(facts, expected):
    assert verdict("secondary_rule", TWENTY_FIVE, **facts) == expected


def test_a_broken_condition_decides_even_with_another_one_unknown():
    check = found(
        "secondary_rule", TWENTY_FIVE, **{FEET: 30}, secondary__protected_from_damage=None
    )
    assert check.verdict == "does_not_meet"
    assert "25 ft" in check.reason


LUGS = {"secondary__protection__kind": "main_lugs_only"}


def _load(continuous: float, rest: float) -> dict[str, float]:
    return {
        "secondary__load__continuous_amperes": continuous,
        "secondary__load__noncontinuous_amperes": rest,
    }


TEN = with_facts(sound(), secondary__rule="10_ft", secondary__raceway__length_feet=8, **{FEET: 10})


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({}, "meets"),
        ({FEET: 10.1}, "does_not_meet"),
        # conductors are never shorter than the raceway that they fill
        ({"secondary__raceway__length_feet": 10}, "meets"),
        ({"secondary__raceway__length_feet": 10.1}, "does_not_meet"),
        ({"secondary__raceway__length_feet": None}, "cannot_tell"),
        ({"secondary__enclosed_in_raceway": False}, "does_not_meet"),
        ({"secondary__enclosed_in_raceway": None}, "cannot_tell"),
        # primary device × 480/208 ≤ 10 × 230 A: at most 996.7 A (240.21(C)(2)(4))
        ({"primary__device__rating": 996}, "meets"),
        ({"primary__device__rating": 997}, "does_not_meet"),
        # a panelboard with main lugs only counts by its rating
        ({"secondary__protection__kind": "main_lugs_only"}, "meets"),
        (
            {"secondary__protection__kind": "main_lugs_only", "secondary__panelboard__rating": 231},
            "does_not_meet",
        ),
        # and no device holds the load to 230 A: it counts by itself, the continuous part at 125 % (215.2(A)(1))
        ({**LUGS, "secondary__load__continuous_amperes": None}, "cannot_tell"),
        ({**LUGS, **_load(160, 30)}, "meets"),
        ({**LUGS, **_load(160, 31)}, "does_not_meet"),
    ],
)
def test_every_condition_of_the_10_ft_rule_counts(facts, expected):
    assert verdict("secondary_rule", TEN, **facts) == expected


def test_another_rule_that_would_hold_is_named():
    check = found("secondary_rule", TEN, secondary__raceway__length_feet=18, **{FEET: 20})
    assert check.verdict == "does_not_meet"
    assert "not over 25 ft" in check.remedy


INDUSTRIAL = with_facts(
    sound(),
    secondary__rule="industrial_25_ft",
    secondary__qualified_persons_only=True,
    secondary__protection__kind="grouped_devices",
    secondary__protection__ratings=[110, 110],
)


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({}, "meets"),
        ({FEET: 25.1}, "does_not_meet"),
        ({"secondary__qualified_persons_only": False}, "does_not_meet"),
        ({"secondary__qualified_persons_only": None}, "cannot_tell"),
        ({"secondary__protected_from_damage": False}, "does_not_meet"),
        ({"secondary__protection__ratings": [115, 115]}, "meets"),
        ({"secondary__protection__ratings": [115, 116]}, "does_not_meet"),
        ({"secondary__protection__kind": "main_lugs_only"}, "does_not_meet"),
        # rated secondary current 208.2 A: 3/0 copper with 200 A is below it (240.21(C)(3)(2))
        ({SIZE: "3/0", "secondary__protection__ratings": [90, 90]}, "does_not_meet"),
    ],
)
def test_every_condition_of_the_industrial_rule_counts(facts, expected):
    assert verdict("secondary_rule", INDUSTRIAL, **facts) == expected


OUTSIDE = with_facts(
    sound(), secondary__rule="outside", transformer__location="outdoors", **{FEET: 300}
)


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({}, "meets"),
        ({"transformer__location": "indoors"}, "does_not_meet"),
        (
            {
                "secondary__protection__kind": "grouped_devices",
                "secondary__protection__ratings": [100, 125],
            },
            "does_not_meet",
        ),
        ({"secondary__protection__rating": 230.1}, "does_not_meet"),
        ({"secondary__protected_from_damage": False}, "does_not_meet"),
        ({"secondary__protected_from_damage": None}, "cannot_tell"),
    ],
)
def test_the_outside_rule_has_no_length_but_its_own_conditions(facts, expected):
    assert verdict("secondary_rule", OUTSIDE, **facts) == expected


TAP = with_facts(
    sound(),
    secondary__rule="feeder_tap_25_ft",
    primary__conductors__length_feet=10,
    primary__raceway__length_feet=9,
    secondary__raceway__length_feet=14,
    primary__conductors__size="3",
    primary__device__rating=299,
    **{FEET: 15},
)


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({}, "meets"),
        (
            {FEET: 15.1},
            "does_not_meet",
        ),  # primary and secondary together not over 25 ft (240.21(B)(3)(3))
        (
            {"primary__raceway__length_feet": 11, "secondary__raceway__length_feet": 15},
            "does_not_meet",
        ),  # raceways of 26 ft in all
        ({"primary__conductors__size": "4"}, "does_not_meet"),  # 85 A is below 299/3 A
        ({"primary__device__rating": 299.1}, "does_not_meet"),  # × 480/208 / 3 is above 230 A
        ({"secondary__protected_from_damage": False}, "does_not_meet"),
        ({"primary__conductors__length_feet": None}, "cannot_tell"),
    ],
)
def test_every_condition_of_a_tap_with_transformer_counts(facts, expected):
    assert verdict("secondary_rule", TAP, **facts) == expected


# 2-wire to 2-wire: 25 kVA, 480 V to 240 V; 50 A × 480/240 = 100 A (240.21(C)(1), 240.4(F))
TWO_WIRE = with_facts(
    nameplate(25, 1, 480, 240),
    transformer__primary_system="single_phase_2_wire",
    transformer__secondary_system="single_phase_2_wire",
    primary__device__rating=50,
    primary__device__adjustable=False,
    secondary__rule="primary_device",
    secondary__enclosed_in_raceway=True,
    secondary__raceway__type="EMT",
    secondary__protection__kind="main_lugs_only",
    secondary__panelboard__present=True,
    secondary__panelboard__rating=100,
    secondary__conductors__size="3",
    secondary__conductors__material="copper",
    secondary__conductors__insulation="THWN-2",
    secondary__conductors__sets=1,
    secondary__conductors__current_carrying=2,
    secondary__conductors__ambient_celsius=30,
    secondary__conductors__termination_celsius=75,
    secondary__conductors__wet_location=False,
    secondary__protection__termination_celsius=75,
    secondary__grounded_conductor__insulation="THWN-2",
    bonding__supply_side_bonding_jumper__kind="raceway",
)


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({}, "meets"),
        ({"primary__device__rating": 50.1}, "does_not_meet"),
        ({"transformer__secondary_system": "single_phase_3_wire"}, "does_not_meet"),
        ({"transformer__primary_system": None}, "cannot_tell"),
    ],
)
def test_the_primary_device_protects_a_2_wire_secondary_through_the_ratio(facts, expected):
    assert verdict("secondary_rule", TWO_WIRE, **facts) == expected


def test_a_delta_wye_is_never_protected_by_the_primary_device_alone():
    data = with_facts(sound(), secondary__rule="primary_device", primary__device__rating=15)
    assert verdict("secondary_rule", data) == "does_not_meet"


@pytest.mark.parametrize("system", ["delta_3_wire_ungrounded", "delta_corner_grounded"])
def test_a_delta_delta_with_three_wires_may_be(system):
    data = with_facts(
        sound(),
        transformer__secondary_system=system,
        secondary__rule="primary_device",
        primary__device__rating=90,
    )
    assert verdict("secondary_rule", data) == "meets"  # 90 × 480/208 = 207.7 A, within 230 A


@pytest.mark.parametrize(
    ("main", "bus", "expected"),
    [
        (225, 225, "meets"),
        (225.1, 225, "does_not_meet"),
        (None, 225, "cannot_tell"),
        (225, None, "cannot_tell"),
    ],
)
def test_the_main_is_not_above_the_panelboards_rating(main, bus, expected):
    # 408.36
    data = with_facts(
        sound(), secondary__protection__rating=main, secondary__panelboard__rating=bus
    )
    assert verdict("panelboard_protection", data) == expected


def test_main_lugs_only_leave_a_delta_wye_panelboard_unprotected():
    # 408.36(B): the protection is on the secondary side
    check = found("panelboard_protection", sound(), secondary__protection__kind="main_lugs_only")
    assert check.verdict == "does_not_meet"
    assert "secondary side" in check.reason


@pytest.mark.parametrize(
    ("bus", "device", "expected"),
    [(100, 50, "meets"), (99.9, 50, "does_not_meet"), (100, 50.1, "does_not_meet")],
)
def test_main_lugs_only_hold_where_the_primary_device_protects_through_the_ratio(
    bus, device, expected
):
    data = with_facts(TWO_WIRE, secondary__panelboard__rating=bus, primary__device__rating=device)
    assert verdict("panelboard_protection", data) == expected


def test_without_a_panelboard_its_protection_does_not_apply():
    assert (
        verdict(
            "panelboard_protection",
            sound(),
            secondary__panelboard__present=False,
            secondary__panelboard__rating=None,
        )
        == "does_not_apply"
    )
    assert (
        verdict(
            "panelboard_protection",
            sound(),
            secondary__panelboard__present=None,
            secondary__panelboard__rating=None,
        )
        == "cannot_tell"
    )


@pytest.mark.parametrize(
    ("ratings", "both", "expected"),
    [
        ([100, 125], True, "meets"),
        ([100, 126], True, "does_not_meet"),
        ([100, 125], False, "cannot_tell"),
        ([100, 125], None, "cannot_tell"),
        ([75, 75, 75], True, "cannot_tell"),
    ],
)
def test_two_mains_may_protect_a_panelboard_together(ratings, both, expected):
    # 408.36 exception 1
    data = with_facts(
        sound(),
        secondary__protection__kind="grouped_devices",
        secondary__protection__ratings=ratings,
        secondary__panelboard__fed_by_two_mains=both,
        secondary__panelboard__at_most_42_poles=True,
    )
    assert verdict("panelboard_protection", data) == expected


@pytest.mark.parametrize(
    ("continuous", "rest", "expected"),
    # 215.3: 160 × 125 % + 25 = 225 A
    [(160, 25, "meets"), (160, None, "cannot_tell"), (None, 25, "cannot_tell")],
)
def test_the_main_carries_its_load(continuous, rest, expected):
    data = with_facts(
        sound(),
        secondary__load__continuous_amperes=continuous,
        secondary__load__noncontinuous_amperes=rest,
    )
    assert verdict("secondary_load", data) == expected


def test_a_load_above_the_main_does_not_meet_and_main_lugs_have_none():
    loads = {
        "primary__load__noncontinuous_amperes": 100,
        "secondary__load__continuous_amperes": 120,
        "secondary__load__noncontinuous_amperes": 230,
    }
    data = with_facts(sound(), primary__load__continuous_amperes=90, **loads)
    assert verdict("secondary_load", data) == "does_not_meet"
    assert (
        verdict("secondary_load", sound(), secondary__protection__kind="main_lugs_only")
        == "does_not_apply"
    )


@pytest.mark.parametrize(
    ("insulation", "expected"),
    [("THWN-2", "meets"), ("XHHW-2", "meets"), ("THHN", "does_not_meet"), (None, "cannot_tell")],
)
def test_outdoors_the_insulation_may_be_wet(insulation, expected):
    # Table 310.4(1): THHN dry and damp only; 300.9: raceways outdoors are wet inside
    assert (
        verdict("wet_insulation", OUTSIDE, secondary__conductors__insulation=insulation) == expected
    )
    assert (
        verdict("wet_insulation", sound(), secondary__conductors__insulation=insulation)
        == "does_not_apply"
    )


@pytest.mark.parametrize(
    ("nonlinear", "counted", "expected"),
    [
        (True, True, "meets"),
        (True, False, "does_not_meet"),
        (True, None, "cannot_tell"),
        (None, True, "cannot_tell"),
        (False, False, "does_not_apply"),
    ],
)
def test_a_neutral_with_harmonics_counts(nonlinear, counted, expected):
    # 310.15(E)(3)
    data = with_facts(
        sound(),
        observations__nonlinear_load=nonlinear,
        secondary__grounded_conductor__current_carrying=counted,
    )
    assert verdict("neutral_counted", data) == expected
    other = with_facts(data, transformer__secondary_system="delta_high_leg")
    assert verdict("neutral_counted", other) == "does_not_apply"


def test_a_counted_neutral_makes_four_current_carrying_conductors():
    # four: 80 % of the 90 °C column (Table 310.15(C)(1)): 260 × 0.8 = 208 A, below the terminals' 230 A
    data = with_facts(sound(), secondary__grounded_conductor__current_carrying=True)
    assert value_of("secondary_conductor_ampacity", data) == pytest.approx(208)
    assert value_of("secondary_conductor_ampacity", sound()) == pytest.approx(230)


# 3/0 copper: 200 A at 75 °C (Table 310.16)
GROUPED = with_facts(
    sound(),
    secondary__protection__kind="grouped_devices",
    secondary__protection__ratings=[100, 100],
    secondary__panelboard__rating=200,
    secondary__rule="10_ft",
    secondary__raceway__length_feet=8,
    **{FEET: 10, SIZE: "3/0"},
)


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        (_load(160, 0), "meets"),
        (_load(160.1, 0), "does_not_meet"),
        (_load(120, 50), "meets"),
        (_load(120, 50.1), "does_not_meet"),
        ({"secondary__load__continuous_amperes": None}, "cannot_tell"),
    ],
)
@pytest.mark.parametrize("relied_on", ["10_ft", "industrial_25_ft"])
def test_behind_grouped_devices_the_load_counts_by_itself(relied_on, facts, expected):
    # 215.2(A)(1): 160 A × 125 % = 200 A; 240.21(C)(2)(1)a names the combined calculated load
    data = with_facts(
        GROUPED,
        secondary__rule=relied_on,
        secondary__qualified_persons_only=True,
        transformer__kva=60,
        **facts,
    )
    assert verdict("secondary_rule", data) == expected
    assert verdict("secondary_conductors", data) == expected


def test_behind_grouped_devices_125_percent_counts_before_correction_and_the_load_after_it():
    # 215.2(A)(1): four conductors count 80 %: 3/0 THWN-2 225 A × 0.8 = 180 A (Tables 310.16, 310.15(C)(1)); before
    # correction at the terminals' 75 °C 200 A
    counted = with_facts(
        GROUPED,
        secondary__conductors__current_carrying=4,
        secondary__protection__ratings=[90, 90],
        secondary__panelboard__rating=180,
    )
    assert verdict("secondary_conductors", counted, **_load(160, 0)) == "meets"
    assert verdict("secondary_conductors", counted, **_load(0, 180)) == "meets"
    assert verdict("secondary_conductors", counted, **_load(0, 180.1)) == "does_not_meet"
    assert verdict("secondary_conductors", counted, **_load(161, 0)) == "does_not_meet"


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        # 215.3: 160 × 125 % = 200 A behind 2 × 100 A
        (_load(160, 0), "does_not_apply"),
        (_load(160, 0.1), "does_not_meet"),
        ({"secondary__load__continuous_amperes": None}, "cannot_tell"),
        ({"secondary__protection__ratings": []}, "does_not_meet"),
    ],
)
def test_grouped_devices_together_carry_the_load(facts, expected):
    assert verdict("secondary_load", GROUPED, **facts) == expected


@pytest.mark.parametrize(
    "check", ["secondary_rule", "secondary_conductors", "panelboard_protection", "secondary_load"]
)
@pytest.mark.parametrize(
    "relied_on", ["10_ft", "industrial_25_ft", "25_ft", "outside", "feeder_tap_25_ft"]
)
def test_an_empty_list_of_devices_protects_nothing(check, relied_on):
    data = with_facts(
        sound(),
        secondary__rule=relied_on,
        secondary__protection__kind="grouped_devices",
        secondary__protection__ratings=[],
    )
    line = found(check, data)
    assert line.verdict == "does_not_meet"
    assert " 0 A" not in f"{line.required} {line.remedy}"
    assert "secondary_conductor_minimum" not in checked(job(data)).values


# 5 kVA, 480 V to 120 V: 15 A × 480/120 = 60 A; 4 copper at 60 °C 70 A, 6 copper 55 A (Table 310.16)
SMALL = with_facts(
    TWO_WIRE,
    transformer__kva=5,
    transformer__secondary_volts=120,
    primary__device__rating=15,
    secondary__protection__kind="main_device",
    secondary__protection__rating=100,
    secondary__protection__termination_celsius=60,
    secondary__conductors__size="4",
)


def test_under_c_1_a_main_behind_them_does_not_size_the_conductors():
    assert verdict("secondary_rule", SMALL) == "meets"
    assert verdict("secondary_conductors", SMALL) == "meets"
    assert value_of("secondary_conductor_minimum", SMALL) == "4"
    smaller = found("secondary_conductors", SMALL, **{SIZE: "6"})
    assert smaller.verdict == "does_not_meet"
    assert smaller.remedy.startswith("4 AWG copper or larger")


@pytest.mark.parametrize(
    ("continuous", "expected"), [(48, "meets"), (48.1, "does_not_meet"), (None, "cannot_tell")]
)
def test_under_c_1_the_primary_device_lets_the_load_through(continuous, expected):
    # 48 × 125 % = 60 A = 15 A × 480/120 (215.3)
    facts = {"secondary__load__continuous_amperes": continuous}
    facts["secondary__load__noncontinuous_amperes"] = 0
    assert verdict("secondary_load", SMALL, **facts) == expected
    lugs = with_facts(SMALL, secondary__protection__kind="main_lugs_only")
    assert verdict("secondary_load", lugs, **facts) == expected


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        # 1 AWG copper 130 A at 75 °C: a 125 A device protects it at its ampacity, so 60 ft do not count
        ({"primary__device__rating": 125, "primary__conductors__size": "1"}, "meets"),
        ({"primary__device__rating": 131, "primary__conductors__size": "1"}, "does_not_meet"),
        (
            {
                "primary__device__rating": 125,
                "primary__conductors__size": "1",
                "primary__conductors__length_feet": None,
            },
            "meets",
        ),
        (
            {"primary__device__rating": 125, "primary__conductors__size": None},
            "cannot_tell",
        ),
        (
            {"primary__device__rating": 125, "primary__conductors__size": "1", FEET: 25.1},
            "does_not_meet",
        ),
        ({"primary__protected_from_damage": False, FEET: 15}, "does_not_meet"),
        ({"primary__protected_from_damage": None, FEET: 15}, "cannot_tell"),
    ],
)
def test_a_primary_protected_at_its_ampacity_does_not_count_in_the_25_ft(facts, expected):
    # 240.21(B)(3)(3): without any portion of the primary that is protected at its ampacity; (4): both protected
    data = with_facts(TAP, primary__conductors__length_feet=60, **{FEET: 25})
    if "primary__device__rating" not in facts:
        data = TAP
    assert verdict("secondary_rule", data, **facts) == expected


@pytest.mark.parametrize(
    ("separate", "expected"),
    [(True, "does_not_meet"), (None, "cannot_tell"), (False, "meets")],
)
def test_the_tenth_counts_where_the_conductors_leave_the_enclosure(separate, expected):
    # 240.21(C)(2)(4): 225 A × 480/208 / 10 = 51.9 A; 8 AWG copper has 50 A at 75 °C
    data = with_facts(
        TEN,
        secondary__first_disconnect_separate=separate,
        secondary__protection__rating=40,
        secondary__conductors__size="8",
        primary__device__rating=225,
        **_load(20, 5),
    )
    if separate is False:
        # a raceway that runs to it would leave the case
        data = with_facts(data, secondary__raceway=None)
    assert verdict("secondary_rule", data) == expected
    least = "8" if separate is False else "6"
    assert value_of("secondary_conductor_minimum", data) == least


@pytest.mark.parametrize(
    ("relied_on", "expected"),
    [
        *((rule, "does_not_meet") for rule in ("10_ft", "industrial_25_ft", "outside")),
        *((rule, "does_not_meet") for rule in ("feeder_tap_25_ft", "25_ft")),
        ("primary_device", "does_not_apply"),
    ],
)
def test_conductors_that_go_on_end_nowhere(relied_on, expected):
    data = with_facts(
        sound(), secondary__rule=relied_on, observations__ends_at_equipment_supplied=False
    )
    assert verdict("secondary_end", data) == expected


@pytest.mark.parametrize(
    ("few", "expected"), [(True, "meets"), (False, "does_not_meet"), (None, "cannot_tell")]
)
def test_behind_two_mains_a_panelboard_holds_42_poles_at_most(few, expected):
    # 408.36, exception for two mains (from memory)
    data = with_facts(
        sound(),
        secondary__protection__kind="grouped_devices",
        secondary__protection__ratings=[100, 125],
        secondary__panelboard__fed_by_two_mains=True,
        secondary__panelboard__at_most_42_poles=few,
    )
    assert verdict("panelboard_protection", data) == expected


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({}, "does_not_apply"),
        ({"secondary__protection__back_fed": None}, "cannot_tell"),
        ({"secondary__protection__back_fed": True}, "does_not_meet"),
        (
            {"secondary__protection__back_fed": True, "secondary__protection__held_down": None},
            "cannot_tell",
        ),
        (
            {"secondary__protection__back_fed": True, "secondary__protection__held_down": True},
            "meets",
        ),
        ({"secondary__protection__device_kind": "fuse"}, "does_not_apply"),
        ({"secondary__protection__kind": "main_lugs_only"}, "does_not_apply"),
    ],
)
def test_a_back_fed_main_is_held_by_more_than_its_spring(facts, expected):
    # 408.36(D), as printed in a public forum thread on back-fed breakers
    assert verdict("back_fed_main", sound(), **facts) == expected


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({}, "does_not_apply"),
        (
            {
                "secondary__protection__kind": "grouped_devices",
                "secondary__protection__one_enclosure": False,
                "bonding__system_bonding_jumper__in_each_enclosure": False,
            },
            "does_not_meet",
        ),
        (
            {
                "secondary__protection__kind": "grouped_devices",
                "secondary__protection__one_enclosure": None,
            },
            "cannot_tell",
        ),
        (
            {
                "secondary__protection__kind": "grouped_devices",
                "secondary__protection__one_enclosure": True,
            },
            "meets",
        ),
        ({"secondary__protection__kind": None}, "cannot_tell"),
        (
            {
                "secondary__protection__kind": "grouped_devices",
                "bonding__system_bonding_jumper__location": "source",
            },
            "does_not_apply",
        ),
        (
            {
                "transformer__secondary_system": "delta_3_wire_ungrounded",
                "transformer__secondary_volts": 240,
            },
            "does_not_apply",
        ),
    ],
)
def test_one_jumper_at_a_first_disconnect_serves_one_enclosure(facts, expected):
    # 250.30(A)(1): one point; 250.28(D)(3) (from memory): with several enclosures one in each or a single one at the source
    assert verdict("jumper_of_several_enclosures", sound(), **facts) == expected


def test_a_device_of_unknown_kind_is_not_given_a_rating_that_only_fuses_have():
    # 240.6(A): 601 A is a rating of fuses; a 200 kVA unit at 480 V: 240.6 A × 250 % = 601.4 A
    data = with_facts(sound(), transformer__kva=200, primary__device__kind=None)
    value = checked(job(data)).values["primary_device_maximum_with_secondary_protection"]
    assert value.standard_rating == 600
    fuses = checked(job(with_facts(data, primary__device__kind="fuse"))).values
    assert fuses["primary_device_maximum_with_secondary_protection"].standard_rating == 601


def test_above_1000_v_no_limit_is_named_that_the_table_does_not_have():
    # Table 450.3(A): in a location that is not supervised there is no row for the primary alone
    data = with_facts(sound(), transformer__primary_volts=4160, primary__device__rating=40)
    for facts in ({}, {"secondary__protection__rating": 400, "primary__device__rating": 25}):
        for id_ in ("primary_device", "secondary_device"):
            line = found(id_, data, **facts)
            assert (
                "limit alone" not in line.reason
                and "the limit for the primary alone" not in line.reason
            )
    assert "no primary device" in found("primary_device", data, primary__device__rating=25).reason


def test_a_load_above_the_transformer_is_asked_about_as_soon_as_a_part_of_it_is_known():
    # 75 kVA at 208 V: 208.2 A
    for facts in (
        {
            "secondary__load__continuous_amperes": None,
            "secondary__load__noncontinuous_amperes": 209,
        },
        {
            "secondary__load__continuous_amperes": 209,
            "secondary__load__noncontinuous_amperes": None,
        },
    ):
        asked = checked(job(with_facts(sound(), **facts))).written_questions
        assert any("run overloaded" in text for text in asked)


@pytest.mark.parametrize("feet", [5, 60])
def test_a_tap_above_1000_v_is_not_judged_by_the_low_voltage_table(feet):
    # Table 310.16 is for conductors of 2000 V and less, this tool's for 1000 V
    data = with_facts(
        TAP,
        transformer__primary_volts=4160,
        primary__conductors__length_feet=feet,
        primary__device__rating=30,
    )
    assert verdict("secondary_rule", data) == "cannot_tell"


@pytest.mark.parametrize(
    ("facts", "expected"),
    # 408.36(B), exception: 240.21(C)(1) holds or not, whichever rule was named (as printed in EC&M code Q&A 89)
    [
        ({}, "meets"),
        ({"secondary__rule": "primary_device"}, "meets"),
        ({"primary__device__rating": 80}, "does_not_meet"),
        ({"transformer__primary_system": None}, "cannot_tell"),
        ({"transformer__secondary_system": "single_phase_3_wire"}, "does_not_meet"),
    ],
)
def test_main_lugs_behind_two_wires_whatever_rule_was_named(facts, expected):
    # 3 AWG copper: 100 A at 75 °C; 50 A × 480 / 240 = 100 A, the rating of the panelboard
    named = with_facts(TWO_WIRE, secondary__rule="10_ft")
    assert verdict("panelboard_protection", named, **facts) == expected
