"""Fill of the raceways.

Sources: Chapter 9 Table 1 and note 7 (NEC 2017 Chapter 9 text, thenecwiki.com); Table 5 THWN-2 areas (NEC 2008 Chapter 9
Table 5 print, buildmyowncabin.com): 1 AWG 0.1562, 2 AWG 0.1158, 6 AWG 0.0507, 4/0 AWG 0.3237, 500 kcmil 0.7073 in²;
Table 4 EMT, from the diameters of Steel Tube Institute conduit data: 1-1/4 in. 1.496, 1-1/2 in. 2.036, 2-1/2 in. 5.858 in².
"""

import pytest

from tests.engine.checked import found, value_of, verdict
from tests.engine.jobs import parallel, single_phase, sound, ungrounded_delta, with_facts

TRADE = "primary__raceway__trade_size"


def test_mixed_sizes_add_their_areas():
    # 3 × 0.1562 + 0.0507 = 0.5193 in²; / 2.036 in² = 25.5 %
    assert value_of("primary_raceway_fill", sound()) == pytest.approx(
        100 * 0.5193 / 2.036, rel=1e-3
    )
    # 4 × 0.3237 + 0.1158 = 1.4106 in²; / 5.858 in² = 24.1 %
    assert value_of("secondary_raceway_fill", sound()) == pytest.approx(
        100 * 1.4106 / 5.858, rel=1e-3
    )


@pytest.mark.parametrize(
    ("trade", "expected"),
    # 0.5193 in² of 40 %: 1-1/4 in. EMT holds 0.598, 1 in. (0.864 in²) 0.346 in²
    [("1-1/4", "meets"), ("1", "does_not_meet"), (None, "cannot_tell")],
)
def test_over_two_conductors_may_fill_40_percent(trade, expected):
    assert verdict("primary_raceway", sound(), **{TRADE: trade}) == expected


def test_the_smallest_raceway_is_named():
    assert value_of("primary_raceway_minimum", sound()) == "1-1/4"
    assert "1-1/4 in. EMT" in found("primary_raceway", sound(), **{TRADE: "1"}).remedy


@pytest.mark.parametrize(
    ("nipple", "expected"), [(True, "meets"), (False, "does_not_meet"), (None, "cannot_tell")]
)
def test_a_nipple_may_fill_60_percent(nipple, expected):
    # 0.5193 in² / 0.864 in² = 60.1 % with 6 AWG; 3 × 0.1562 + 0.0366 (8 AWG) = 0.5052 in² = 58.5 %
    data = with_facts(
        sound(),
        **{TRADE: "1"},
        primary__equipment_grounding__size="8",
        primary__raceway__nipple=nipple,
        primary__raceway__length_feet=None,
        primary__conductors__length_feet=None,
    )
    assert verdict("primary_raceway", data) == expected


def test_a_raceway_known_to_be_longer_than_a_nipple_is_none():
    data = with_facts(
        sound(),
        **{TRADE: "1"},
        primary__equipment_grounding__size="8",
        primary__raceway__nipple=None,
        primary__conductors__length_feet=4,
    )
    assert verdict("primary_raceway", data, primary__raceway__length_feet=2.1) == "does_not_meet"
    assert verdict("primary_raceway", data, primary__raceway__length_feet=2) == "cannot_tell"


def test_two_conductors_may_fill_31_percent():
    # single-phase, two 4 AWG (0.0824 in²) with the raceway as grounding: 0.1648 in²; 3/4 in. EMT 0.533 in² × 31 % = 0.165 in²
    data = with_facts(
        single_phase(), primary__equipment_grounding__kind="raceway", **{TRADE: "3/4"}
    )
    check = found("primary_raceway", data)
    assert "31 %" in check.required
    assert check.verdict == "meets"


def test_a_count_that_ends_in_8_tenths_rounds_up():
    # three 2 AWG THWN-2 (0.1158 in²) in 1 in. EMT (0.864 in²): 40 % holds 2.984 conductors, and note 7 makes that three
    data = with_facts(
        sound(),
        **{TRADE: "1"},
        primary__conductors__size="2",
        primary__equipment_grounding__kind="raceway",
    )
    check = found("primary_raceway", data)
    assert check.verdict == "meets"
    assert "rounds up" in check.reason
    # 1 AWG: 0.3456 / 0.1562 = 2.2 conductors
    assert verdict("primary_raceway", data, primary__conductors__size="1") == "does_not_meet"


def test_mixed_sizes_never_round_up():
    # the same three 2 AWG with a 10 AWG (0.0211 in²) are 0.3685 in², above 0.3456 in²
    data = with_facts(
        sound(),
        **{TRADE: "1"},
        primary__conductors__size="2",
        primary__equipment_grounding__size="10",
    )
    assert verdict("primary_raceway", data) == "does_not_meet"


def test_more_sets_in_one_raceway_fill_it():
    assert verdict("secondary_raceway", parallel()) == "meets"
    assert (
        verdict("secondary_raceway", parallel(), secondary__conductors__raceways=1)
        == "does_not_meet"
    )
    assert (
        verdict("secondary_raceway", parallel(), secondary__conductors__raceways=None)
        == "cannot_tell"
    )


def test_unknown_insulation_is_held_against_the_thickest():
    check = found(
        "secondary_raceway",
        sound(),
        secondary__conductors__insulation=None,
        secondary__conductors__outer_covering=True,
        secondary__raceway__trade_size="3",
    )
    assert check.verdict == "meets"
    assert any("RH" in note for note in check.even_if)


def test_a_wye_without_its_neutral_size_can_not_be_told():
    assert found(
        "secondary_raceway", sound(), secondary__grounded_conductor__size=None
    ).missing == ["secondary.grounded_conductor.size"]


def test_an_ungrounded_delta_has_three_wires_and_the_jumper():
    # 3 × 0.3237 + 0.1158 = 1.0869 in² / 5.858 in²
    assert value_of("secondary_raceway_fill", ungrounded_delta()) == pytest.approx(18.554, rel=1e-3)


def test_a_conductor_that_no_table_lists_is_not_guessed():
    data = with_facts(
        sound(), secondary__conductors__size="1250", secondary__conductors__insulation="THHN"
    )
    check = found("secondary_raceway", data)
    assert check.verdict == "cannot_tell"
    assert "manufacturer" in check.reason


@pytest.mark.parametrize(
    ("id_", "raceway", "serves"),
    [
        (
            "primary_flexible_section",
            "primary__raceway",
            {"primary__equipment_grounding__kind": "raceway"},
        ),
        (
            "secondary_flexible_section",
            "secondary__raceway",
            {"bonding__supply_side_bonding_jumper__kind": "raceway"},
        ),
    ],
)
def test_a_rigid_raceway_that_bonds_has_no_flexible_section(id_, raceway, serves):
    # 250.118, 250.30(A)(2): nonflexible metal raceway all the way
    flexible = f"{raceway}__flexible_length_feet"
    whip = {f"{raceway}__flexible_type": "FMC", f"{raceway}__flexible_trade_size": "1-1/2"}
    data = with_facts(sound(), **serves)
    assert verdict(id_, data, **{flexible: 0}) == "meets"
    data = with_facts(data, **whip)
    assert verdict(id_, data, **{flexible: 0.5}) == "does_not_meet"
    assert verdict(id_, data, **{flexible: None}) == "cannot_tell"
    # a flexible raceway on the primary has its own limits; on the supply side it never serves
    other = "does_not_apply" if id_.startswith("primary") else "does_not_meet"
    assert verdict(id_, data, **{f"{raceway}__type": "FMC", flexible: 0.5}) == other
    assert verdict(id_, sound(), **{flexible: 3}) == "does_not_apply"


# 250.97 quoted in Mike Holt forum, thread 2552217; that a wire in the raceway does not excuse the raceway:
# electrical-contractor.net forum, topic 93365.
@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        # 480 V of a three-phase supply: 277 V to ground at least
        ({}, "does_not_meet"),
        ({"primary__equipment_grounding__kind": "wire"}, "does_not_meet"),
        ({"primary__raceway__type": "PVC40"}, "does_not_apply"),
        ({"primary__raceway__type": None}, "cannot_tell"),
        ({"transformer__primary_volts": 240}, "does_not_apply"),
        # 415 V: 240 V to ground on a wye, 415 V on a system without ground
        (
            {"transformer__primary_volts": 415, "primary__supply_system": None},
            "cannot_tell",
        ),
        (
            {"transformer__primary_volts": 415, "primary__supply_system": "impedance_grounded"},
            "cannot_tell",
        ),
        ({"transformer__primary_volts": 415}, "does_not_apply"),
        (
            {"transformer__primary_volts": 415, "primary__supply_system": "ungrounded"},
            "does_not_meet",
        ),
        ({"transformer__primary_volts": 4160}, "cannot_tell"),
        # 480Y/277 secondary: 277 V to ground
        (
            {"transformer__primary_volts": 208, "transformer__secondary_volts": 480},
            "does_not_meet",
        ),
        # 416Y/240 secondary: 240 V to ground
        (
            {"transformer__primary_volts": 208, "transformer__secondary_volts": 416},
            "does_not_apply",
        ),
    ],
)
def test_knockouts_above_250_v_to_ground_are_bonded_around(facts, expected):
    data = with_facts(sound(), observations__knockouts_bonded=False)
    assert verdict("knockout_bonding", data, **facts) == expected
    if expected == "does_not_meet":
        good = {**facts, "observations__knockouts_bonded": True}
        assert verdict("knockout_bonding", data, **good) == "meets"
        unknown = {**facts, "observations__knockouts_bonded": None}
        assert verdict("knockout_bonding", data, **unknown) == "cannot_tell"


@pytest.mark.parametrize(
    ("primary_volts", "system", "expected"),
    [
        # 277 V between lines of 480Y/277, 240 V on the outer pair of 480/240 V
        (480, "single_phase_2_wire", "cannot_tell"),
        (480, "single_phase_3_wire", "does_not_apply"),
        (277, "single_phase_2_wire", "does_not_meet"),
        (240, "single_phase_2_wire", "does_not_apply"),
    ],
)
def test_a_three_wire_supply_has_half_its_voltage_to_ground(primary_volts, system, expected):
    data = with_facts(
        single_phase(),
        transformer__primary_volts=primary_volts,
        transformer__primary_system=system,
        primary__supply_system=None,
        observations__knockouts_bonded=False,
    )
    assert verdict("knockout_bonding", data) == expected


WHIP = with_facts(
    sound(),
    primary__equipment_grounding__kind="raceway",
    primary__device__rating=20,
    primary__raceway__trade_size="3/4",
    primary__raceway__flexible_length_feet=3,
    primary__raceway__flexible_type="FMC",
    primary__raceway__flexible_trade_size="3/4",
)
_UNKNOWN_WHIP = {"primary__raceway__flexible_type": None}
_LIQUIDTIGHT_WHIP = {"primary__raceway__flexible_type": "LFMC"}


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        # 250.118(5) and (6): up to 6 ft in all, 20 A, listed fittings, no movement (Mike Holt forum 2583498;
        # electriciantalk.com thread 61286)
        ({}, "meets"),
        ({"primary__raceway__flexible_length_feet": 6}, "meets"),
        ({"primary__raceway__flexible_length_feet": 6.5}, "does_not_meet"),
        # FMC up to 20 A, LFMC of 3/4 to 1-1/4 in. up to 60 A
        ({"primary__device__rating": 25}, "does_not_meet"),
        ({"primary__device__rating": 60, **_LIQUIDTIGHT_WHIP}, "meets"),
        ({"primary__device__rating": 25, **_UNKNOWN_WHIP}, "cannot_tell"),
        ({"primary__device__rating": 60, **_UNKNOWN_WHIP}, "cannot_tell"),
        ({"primary__device__rating": 70, **_UNKNOWN_WHIP}, "does_not_meet"),
        (
            {
                "primary__device__rating": 25,
                "primary__raceway__flexible_trade_size": "1/2",
                **_LIQUIDTIGHT_WHIP,
            },
            "does_not_meet",
        ),
        # what is not metal carries no fault current, however short
        ({"primary__raceway__flexible_type": "LFNC"}, "does_not_meet"),
        (_UNKNOWN_WHIP, "cannot_tell"),
        # above 60 A none serves, whatever its kind and size
        (
            {
                "primary__device__rating": 70,
                "primary__raceway__flexible_trade_size": None,
                **_UNKNOWN_WHIP,
            },
            "does_not_meet",
        ),
        (
            {
                "primary__device__rating": 60,
                "primary__raceway__fittings_listed_for_grounding": False,
            },
            "does_not_meet",
        ),
        ({"primary__raceway__fittings_listed_for_grounding": False}, "does_not_meet"),
        ({"primary__raceway__flexibility_needed": True}, "does_not_meet"),
        ({"primary__raceway__flexible_trade_size": "1-1/2"}, "does_not_meet"),
        ({"primary__raceway__trade_size": "1-1/2"}, "meets"),
        ({"primary__raceway__flexible_trade_size": None}, "cannot_tell"),
        ({"primary__raceway__fittings_listed_for_grounding": None}, "cannot_tell"),
        ({"primary__raceway__flexible_length_feet": None}, "cannot_tell"),
    ],
)
def test_a_short_listed_whip_on_20_a_may_be_part_of_the_path(facts, expected):
    assert verdict("primary_flexible_section", WHIP, **facts) == expected


@pytest.mark.parametrize("type_", ["FMC", "LFMC"])
@pytest.mark.parametrize(
    ("whole", "pieces", "expected"),
    [
        (6, 0, "meets"),
        (60, 6, "does_not_meet"),
        (None, 6, "cannot_tell"),
        (60, None, "does_not_meet"),
        (5, 7, "does_not_meet"),
    ],
)
def test_a_raceway_that_is_flexible_counts_with_its_whole_length(type_, whole, pieces, expected):
    # 250.118(5) and (6): the combined length in the path
    data = with_facts(
        WHIP,
        primary__raceway__type=type_,
        primary__raceway__length_feet=whole,
        primary__raceway__flexible_length_feet=pieces,
    )
    assert verdict("primary_equipment_grounding", data) == expected


def test_flexible_metal_conduit_over_1_1_4_in_may_not_serve_from_2017_on():
    # 250.118(5)c, new in 2017 (electricallicenserenewal.com, sectionID=269)
    data = with_facts(
        WHIP,
        primary__raceway__type="FMC",
        primary__raceway__length_feet=5,
        primary__raceway__trade_size="1-1/2",
    )
    assert verdict("primary_equipment_grounding", data) == "does_not_meet"
    assert verdict("primary_equipment_grounding", data, edition=2014) == "meets"


WET = "secondary__conductors__wet_location"


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({}, "meets"),
        # 300.9: a raceway outdoors is a wet location inside, whoever calls it dry
        ({"transformer__location": "outdoors", WET: None}, "does_not_meet"),
        ({"secondary__rule": "outside", WET: None}, "does_not_meet"),
        ({WET: None}, "cannot_tell"),
        ({WET: True}, "does_not_meet"),
        # called dry and outdoors: one of the two is wrong
        ({"transformer__location": "outdoors", WET: False}, "cannot_tell"),
    ],
)
def test_a_raceway_outdoors_counts_as_wet_inside(facts, expected):
    data = with_facts(
        sound(), secondary__conductors__insulation="THHN", secondary__conductors__length_feet=18
    )
    assert verdict("secondary_conductors", data, **facts) == expected


def test_wire_with_an_outer_covering_is_thicker():
    # Table 5, 250 kcmil RHW-2: 0.6291 in² with, 0.4596 in² without outer covering; 2 AWG THWN-2 0.1158; 2-1/2 EMT 5.858 × 40 %
    data = with_facts(
        sound(),
        secondary__conductors__insulation="RHW-2",
        secondary__conductors__size="250",
        secondary__grounded_conductor__insulation="RHW-2",
        secondary__grounded_conductor__size="250",
    )
    with_, without = (4 * area + 0.1158 for area in (0.6291, 0.4596))
    for covered, area, expected in ((True, with_, "does_not_meet"), (False, without, "meets")):
        made = with_facts(data, secondary__conductors__outer_covering=covered)
        assert verdict("secondary_raceway", made) == expected
        assert value_of("secondary_raceway_fill", made) == pytest.approx(
            100 * area / 5.858, rel=1e-3
        )
    unknown = found("secondary_raceway", data, secondary__conductors__outer_covering=None)
    assert unknown.verdict == "cannot_tell"
    assert unknown.missing == ["secondary.conductors.outer_covering"]
    large = with_facts(data, secondary__raceway__trade_size="4")
    assert (
        verdict("secondary_raceway", large, secondary__conductors__outer_covering=None) == "meets"
    )


def _with_section(side, length, type_, trade, data=None, **facts):
    """A job with a flexible section in the rigid raceway of one side."""
    section = {"flexible_length_feet": length, "flexible_type": type_, "flexible_trade_size": trade}
    return with_facts(
        data or sound(),
        **{f"{side}__raceway__{name}": value for name, value in section.items()},
        **facts,
    )


# Chapter 9, Tables 1, 4 and 5 (Cerrowire "conduit fill tables", Southwire): 3 x 0.1562 + 0.0507 = 0.5193 in2; 40 % of a
# 1-1/4 in. EMT (1.496) is 0.598, of FMC (1.277) 0.511, of LFMC (1.528) 0.611, of LFNC (1.528) 0.611, of ENT (1.448) 0.579.
@pytest.mark.parametrize(
    ("type_", "trade", "expected"),
    [
        ("FMC", "1-1/4", "does_not_meet"),
        ("LFMC", "1-1/4", "meets"),
        ("LFNC", "1-1/4", "meets"),
        ("ENT", "1-1/4", "meets"),
        (None, "1-1/4", "cannot_tell"),
        # in every kind
        (None, "1-1/2", "meets"),
        (None, "1", "does_not_meet"),
        ("LFMC", None, "cannot_tell"),
        # a smaller whip than the rest
        ("LFMC", "1", "does_not_meet"),
    ],
)
def test_the_conductors_must_fit_the_flexible_section_too(type_, trade, expected):
    data = _with_section("primary", 3, type_, trade, primary__raceway__trade_size="1-1/4")
    assert verdict("primary_raceway", data) == expected


def test_whether_a_rigid_raceway_has_a_flexible_section_must_be_known():
    for side in ("primary", "secondary"):
        data = _with_section(side, None, None, None)
        assert verdict(f"{side}_raceway", data) == "cannot_tell"
        # a raceway that is flexible itself has no other section to be asked for
        data = with_facts(data, **{f"{side}__raceway__type": "FMC"})
        assert verdict(f"{side}_raceway", data) == "meets"


def test_the_smallest_raceway_and_the_fill_are_those_of_the_tighter_part():
    data = _with_section("primary", 3, "FMC", "1-1/4", primary__raceway__trade_size="1-1/4")
    # 0.5193 / 1.277 = 40.7 %; 40 % of FMC 1-1/2 in. (1.858) is 0.743
    assert value_of("primary_raceway_fill", data) == pytest.approx(100 * 0.5193 / 1.277, rel=1e-3)
    assert value_of("primary_raceway_minimum", data) == "1-1/2"
    # LFMC of 1-1/4 in. has more room than EMT: 0.5193 / 1.496 = 34.7 %
    data = with_facts(data, primary__raceway__flexible_type="LFMC")
    assert value_of("primary_raceway_fill", data) == pytest.approx(100 * 0.5193 / 1.496, rel=1e-3)
    assert value_of("primary_raceway_minimum", data) == "1-1/4"


def test_flexible_raceway_ends_at_trade_size_4():
    # 348.20(B), 350.20(B): no table gives a larger one
    data = _with_section("secondary", 1, "FMC", "6", secondary__raceway__trade_size="6")
    assert verdict("secondary_raceway", data) == "cannot_tell"


@pytest.mark.parametrize(
    ("type_", "facts", "expected"),
    [
        # 348.12, 350.12, 356.12: not where subject to physical damage, whatever the rest of the run is
        ("FMC", {"secondary__protected_from_damage": False}, "does_not_meet"),
        ("LFMC", {"secondary__protected_from_damage": False}, "does_not_meet"),
        (None, {"secondary__protected_from_damage": False}, "does_not_meet"),
        ("LFMC", {"secondary__protected_from_damage": None}, "cannot_tell"),
        ("LFMC", {}, "meets"),
        (None, {}, "meets"),
        # 350.10 permits LFMC where it is wet, 348.12(1) no FMC
        ("LFMC", {"secondary__conductors__wet_location": True}, "meets"),
        ("FMC", {"secondary__conductors__wet_location": True}, "cannot_tell"),
        (None, {"secondary__conductors__wet_location": True}, "cannot_tell"),
        # 300.9: outdoors it is wet, whoever calls it dry
        ("FMC", {"transformer__location": None}, "cannot_tell"),
        ("FMC", {}, "meets"),
    ],
)
def test_a_flexible_section_is_held_to_its_own_article(type_, facts, expected):
    data = _with_section("secondary", 6, type_, "2-1/2", secondary__raceway__type="RMC")
    assert verdict("secondary_raceway_use", data, **facts) == expected


def test_a_small_flexible_section_is_short_or_not_permitted():
    # 348.20(A), 350.20(A): trade size 3/8 in lengths up to 6 ft, in listed assemblies
    data = _with_section("secondary", 7, "LFMC", "3/8")
    assert verdict("secondary_raceway_use", data) == "does_not_meet"
    assert (
        verdict("secondary_raceway_use", data, secondary__raceway__flexible_length_feet=6)
        == "cannot_tell"
    )
