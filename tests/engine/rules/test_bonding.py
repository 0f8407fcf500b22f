"""Grounded conductor, jumpers, and the one point where they meet.

Source of jumper sizes: Table 250.102(C)(1) (NECA-NEIS Code Question of the Day, 4 January 2017: equal to Table 250.66
except for its last row, 12.5 % above 1100 kcmil copper or 1750 kcmil aluminum).
"""

import pytest

from tests.engine.checked import found, value_of, verdict
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

JUMPER = "bonding__system_bonding_jumper__size"
SUPPLY = "bonding__supply_side_bonding_jumper__size"
PLACE = "bonding__system_bonding_jumper__location"


@pytest.mark.parametrize(
    ("phase", "least", "too_small"),
    [
        # copper, Table 250.102(C)(1): up to 2 AWG 8; 1 and 1/0 6; 2/0 and 3/0 4; 4/0 to 350 2; to 600 1/0; to 1100 2/0
        ("2", "8", "10"),
        ("1", "6", "8"),
        ("1/0", "6", "8"),
        ("3/0", "4", "6"),
        ("4/0", "2", "3"),
        ("350", "2", "3"),
        ("500", "1/0", "1"),
        ("600", "1/0", "1"),
        ("700", "2/0", "1/0"),
        ("1000", "2/0", "1/0"),
    ],
)
def test_jumpers_go_by_the_derived_ungrounded_conductors(phase, least, too_small):
    data = with_facts(
        sound(), secondary__conductors__size=phase, secondary__grounded_conductor__size=phase
    )
    for id_, name in (("system_bonding_jumper", JUMPER), ("supply_side_bonding_jumper", SUPPLY)):
        assert verdict(id_, data, **{name: least}) == "meets"
        assert verdict(id_, data, **{name: too_small}) == "does_not_meet"


@pytest.mark.parametrize(
    ("phase", "least"),
    # aluminum conductors and jumpers: up to 1/0 6; 2/0 and 3/0 4; 4/0 and 250 2; to 500 1/0; to 900 3/0; to 1750 4/0
    [("1/0", "6"), ("3/0", "4"), ("250", "2"), ("500", "1/0"), ("900", "3/0"), ("1750", "4/0")],
)
def test_aluminum_has_its_own_columns(phase, least):
    data = with_facts(
        sound(),
        secondary__conductors__size=phase,
        secondary__conductors__material="aluminum",
        bonding__system_bonding_jumper__material="aluminum",
    )
    assert value_of("system_bonding_jumper_minimum", data) == least


def test_500_kcmil_copper_asks_for_1_0_copper_jumpers():
    # Table 250.102(C)(1), over 350 to 600 kcmil copper
    data = with_facts(sound(), secondary__conductors__size="500")
    assert value_of("system_bonding_jumper_minimum", data) == "1/0"
    assert value_of("supply_side_bonding_jumper_minimum", data) == "1/0"


def test_four_sets_of_500_kcmil_ask_for_12_5_percent():
    # 4 × 500 kcmil = 2000 kcmil × 12.5 % = 250 kcmil (250.28(D)(1)), own arithmetic
    assert value_of("system_bonding_jumper_minimum", parallel()) == pytest.approx(250)
    assert verdict("system_bonding_jumper", parallel(), **{JUMPER: "250"}) == "meets"
    assert verdict("system_bonding_jumper", parallel(), **{JUMPER: "4/0"}) == "does_not_meet"


def test_a_supply_side_jumper_goes_by_what_each_raceway_holds():
    # one 500 kcmil in each of four raceways: 1/0 copper; two in each of two: 1000 kcmil, 2/0 copper; all four in one: 250 kcmil
    for raceways, least in ((4, "1/0"), (2, "2/0"), (1, 250.0)):
        value = value_of(
            "supply_side_bonding_jumper_minimum",
            parallel(),
            secondary__conductors__raceways=raceways,
        )
        assert value == (pytest.approx(least) if isinstance(least, float) else least)
    assert verdict("supply_side_bonding_jumper", parallel(), **{SUPPLY: "1"}) == "does_not_meet"


def test_with_the_number_of_raceways_unknown_a_jumper_must_suit_the_worst():
    check = found("supply_side_bonding_jumper", parallel(), secondary__conductors__raceways=None)
    assert check.verdict == "cannot_tell"
    assert check.missing == ["secondary.conductors.raceways"]
    assert (
        verdict(
            "supply_side_bonding_jumper",
            parallel(),
            secondary__conductors__raceways=None,
            **{SUPPLY: "250"},
        )
        == "meets"
    )


def test_a_supply_side_jumper_is_not_sized_like_an_equipment_grounding_conductor():
    # 225 A device: Table 250.122 would say 4 AWG; 4/0 conductors ask for 2 AWG
    check = found("supply_side_bonding_jumper", sound(), **{SUPPLY: "4"})
    assert check.verdict == "does_not_meet"
    assert "ahead of the secondary device" in check.reason


@pytest.mark.parametrize(
    ("type_", "expected"),
    [
        ("EMT", "meets"),
        ("RMC", "meets"),
        ("IMC", "meets"),
        ("FMC", "does_not_meet"),
        ("LFMC", "does_not_meet"),
        ("PVC40", "does_not_meet"),
    ],
)
def test_only_a_nonflexible_metal_raceway_bonds_the_supply_side(type_, expected):
    # 250.30(A)(2): nonflexible metal raceway
    data = with_facts(
        sound(), bonding__supply_side_bonding_jumper__kind="raceway", secondary__raceway__type=type_
    )
    assert verdict("supply_side_bonding_jumper", data) == expected


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({"secondary__raceway__type": "PVC40"}, "does_not_meet"),
        ({"secondary__raceway__type": "EMT"}, "cannot_tell"),
        (
            {"secondary__raceway__type": None, "secondary__first_disconnect_separate": True},
            "does_not_meet",
        ),
        (
            {"secondary__raceway__type": None, "secondary__first_disconnect_separate": False},
            "does_not_apply",
        ),
        (
            {"secondary__raceway__type": None, "secondary__first_disconnect_separate": None},
            "cannot_tell",
        ),
    ],
)
def test_no_wire_found_is_a_conflict_only_where_nothing_else_bonds(facts, expected):
    data = with_facts(sound(), bonding__supply_side_bonding_jumper__kind="none", **facts)
    assert verdict("supply_side_bonding_jumper", data) == expected


def test_an_unknown_jumper_can_not_be_told():
    assert found(
        "supply_side_bonding_jumper", sound(), bonding__supply_side_bonding_jumper__kind=None
    ).missing == ["bonding.supply_side_bonding_jumper.kind"]
    assert found("system_bonding_jumper", sound(), **{PLACE: None}).missing == [
        "bonding.system_bonding_jumper.location"
    ]


def test_no_system_bonding_jumper_is_a_danger():
    check = found("system_bonding_jumper", sound(), **{PLACE: "none"})
    assert (check.verdict, check.severity) == ("does_not_meet", "danger")
    assert verdict("single_bonding_point", sound(), **{PLACE: "none"}) == "does_not_meet"
    assert verdict("system_grounding", sound(), **{PLACE: "none"}) == "does_not_meet"


def test_two_system_bonding_jumpers_are_one_too_many():
    assert verdict("system_bonding_jumper", sound(), **{PLACE: "both"}) == "does_not_meet"
    assert verdict("single_bonding_point", sound(), **{PLACE: "both"}) == "does_not_meet"


OUTDOORS = {
    PLACE: "both",
    "transformer__location": "outdoors",
    "observations__no_parallel_neutral_path": True,
    "bonding__supply_side_bonding_jumper__kind": "none",
    "secondary__raceway__type": "PVC40",
    "primary__equipment_grounding": {"kind": "none"},
    "primary__raceway__type": "PVC40",
}


@pytest.mark.parametrize(
    ("kind", "type_"),
    [("wire", "PVC40"), ("raceway", "EMT"), ("none", "EMT"), (None, "PVC40"), (None, "FMC")],
)
def test_outdoors_the_grounding_of_the_primary_may_be_a_path_between_two_jumpers(kind, type_):
    # 250.30(A)(1) exception 2: no parallel path for the grounded conductor
    facts = {
        **OUTDOORS,
        "primary__equipment_grounding": {"kind": kind},
        "primary__raceway__type": type_,
    }
    for id_ in ("system_bonding_jumper", "single_bonding_point"):
        check = found(id_, sound(), **facts)
        assert check.verdict == "cannot_tell"
        assert "another building" in check.reason


def test_outdoors_two_jumpers_are_permitted_without_a_path_beside_the_neutral():
    # 250.30(A)(1) exception 2
    assert verdict("system_bonding_jumper", sound(), **OUTDOORS) == "meets"
    assert verdict("single_bonding_point", sound(), **OUTDOORS) == "meets"
    for less in (
        {"observations__no_parallel_neutral_path": False},
        {"transformer__location": "indoors"},
    ):
        assert verdict("system_bonding_jumper", sound(), **{**OUTDOORS, **less}) == "does_not_meet"
    for unknown in ("observations__no_parallel_neutral_path", "transformer__location"):
        assert (
            verdict("system_bonding_jumper", sound(), **{**OUTDOORS, unknown: None})
            == "cannot_tell"
        )


@pytest.mark.parametrize(
    ("place", "electrode", "expected"),
    [
        ("source", "source", "meets"),
        ("first_disconnect", "first_disconnect", "meets"),
        ("source", "first_disconnect", "does_not_meet"),
        ("first_disconnect", "source", "does_not_meet"),
        ("source", None, "cannot_tell"),
        (None, "source", "cannot_tell"),
    ],
)
def test_jumper_and_electrode_conductor_meet_at_one_point(place, electrode, expected):
    # 250.30(A)(5): connected at the same point as the system bonding jumper
    assert (
        verdict(
            "single_bonding_point", sound(), **{PLACE: place}, electrode__connected_at=electrode
        )
        == expected
    )


@pytest.mark.parametrize(
    ("joined", "expected"), [(False, "meets"), (True, "does_not_meet"), (None, "cannot_tell")]
)
def test_neutral_and_ground_stay_apart_downstream(joined, expected):
    # 250.142(B)
    assert (
        verdict("neutral_isolation", sound(), bonding__neutral_bonded_downstream=joined) == expected
    )


def test_an_ungrounded_system_has_no_jumper():
    for id_ in (
        "system_bonding_jumper",
        "single_bonding_point",
        "neutral_isolation",
        "grounded_conductor",
    ):
        assert verdict(id_, ungrounded_delta()) == "does_not_apply"
    jumped = with_facts(ungrounded_delta(), **{PLACE: "source"})
    assert verdict("system_bonding_jumper", jumped) == "does_not_meet"


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        # 250.20(B): at most 150 V to ground, a wye whose neutral is used, a delta with a midpoint neutral
        (sound(), "meets"),
        (single_phase(), "meets"),
        (high_leg(), "meets"),
        (corner_grounded(), "does_not_apply"),
        (ungrounded_delta(), "does_not_apply"),
        (
            with_facts(
                nameplate(5, 1, 480, 120), transformer__secondary_system="single_phase_2_wire"
            ),
            "cannot_tell",
        ),
        (
            with_facts(
                nameplate(5, 1, 480, 120),
                transformer__secondary_system="single_phase_2_wire",
                bonding__system_bonding_jumper__location="none",
            ),
            "does_not_meet",
        ),
        (
            with_facts(
                nameplate(5, 1, 480, 240), transformer__secondary_system="single_phase_2_wire"
            ),
            "does_not_apply",
        ),
        (nameplate(75, 3, 480, 208), "cannot_tell"),
    ],
)
def test_systems_that_must_be_grounded(data, expected):
    assert verdict("system_grounding", data) == expected


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({}, "meets"),
        # 4/0 phases: 2 AWG copper returns the fault (250.30(A)(3)(a)); as small as that it must carry its load
        (
            {"secondary__grounded_conductor__size": "2", "secondary__neutral_load_amperes": 115},
            "meets",
        ),
        (
            {"secondary__grounded_conductor__size": "3", "secondary__neutral_load_amperes": 10},
            "does_not_meet",
        ),
        (
            {
                "secondary__grounded_conductor__size": None,
                "secondary__grounded_conductor__present": False,
            },
            "does_not_meet",
        ),
        ({"secondary__grounded_conductor__size": None}, "cannot_tell"),
    ],
)
def test_the_grounded_conductor_returns_the_fault(facts, expected):
    assert verdict("grounded_conductor", sound(), **facts) == expected


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({}, "meets"),
        # 2 AWG copper 115 A at 75 °C (Table 310.16)
        ({"grounded_conductor__size": "2", "neutral_load_amperes": 115}, "meets"),
        ({"grounded_conductor__size": "2", "neutral_load_amperes": 116}, "does_not_meet"),
        ({"grounded_conductor__size": "2", "neutral_load_amperes": None}, "cannot_tell"),
        # 225 A main: 4/0 has 230 A, so any unbalance of the phases
        ({"neutral_load_amperes": None}, "cannot_tell"),
    ],
)
def test_a_neutral_carries_its_load(facts, expected):
    data = with_facts(sound(), **{f"secondary__{name}": value for name, value in facts.items()})
    assert verdict("grounded_conductor_load", data) == expected


def test_with_the_jumper_at_the_source_only_its_load_counts():
    data = with_facts(sound(), **{PLACE: "source"}, secondary__grounded_conductor__size="3")
    assert verdict("grounded_conductor", data) == "does_not_apply"
    for load, expected in ((100, "meets"), (101, "does_not_meet")):
        data = with_facts(data, secondary__neutral_load_amperes=load)
        assert verdict("grounded_conductor_load", data) == expected


def test_parallel_grounded_conductors_are_1_0_or_larger_in_each_raceway():
    # 250.30(A)(3)(b): not smaller than 1/0 in each raceway
    small = with_facts(
        parallel(), secondary__grounded_conductor__size="1", secondary__neutral_load_amperes=100
    )
    assert verdict("grounded_conductor", small) == "does_not_meet"
    assert (
        verdict("grounded_conductor", small, secondary__grounded_conductor__size="1/0") == "meets"
    )


def test_how_many_grounded_conductors_there_are_matters_where_one_alone_does_not_do():
    # Table 310.16, 2 AWG copper, 75 °C: 115 A; one set has one grounded conductor, counted or not
    data = with_facts(
        sound(),
        secondary__grounded_conductor__size="2",
        secondary__neutral_load_amperes=100,
        secondary__grounded_conductor__sets=None,
    )
    check = found("grounded_conductor", data)
    assert (check.verdict, check.even_if) == ("meets", [])
    # as large as the phases in each raceway: large enough whatever their number, which is not asked
    check = found("grounded_conductor", parallel(), secondary__grounded_conductor__sets=None)
    assert (check.verdict, check.even_if) == ("meets", [])


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({}, "meets"),
        # 300.3(B): the grounded conductor in each of the four raceways; 310.10(G): parallel ones 1/0 AWG or larger
        ({"sets": 3}, "does_not_meet"),
        ({"sets": None}, "cannot_tell"),
        ({"size": "1/0"}, "meets"),
        ({"size": "1"}, "does_not_meet"),
    ],
)
def test_each_raceway_holds_its_grounded_conductor(facts, expected):
    data = with_facts(
        parallel(),
        **{f"secondary__grounded_conductor__{name}": value for name, value in facts.items()},
    )
    assert verdict("grounded_conductor_sets", data) == expected
    assert verdict("grounded_conductor_sets", sound()) == "does_not_apply"


def test_a_grounded_phase_is_as_large_as_the_others():
    # 250.30(A)(3)(c): not less than the ungrounded conductors
    assert value_of("grounded_conductor_minimum", corner_grounded()) == "4/0"
    assert verdict("grounded_conductor", corner_grounded()) == "meets"
    assert (
        verdict("grounded_conductor", corner_grounded(), secondary__grounded_conductor__size="3/0")
        == "does_not_meet"
    )


@pytest.mark.parametrize(
    ("joined", "expected"),
    # no neutral is there whose joint somebody would have to look for
    [(True, "does_not_meet"), (False, "does_not_apply"), (None, "does_not_apply")],
)
def test_an_ungrounded_system_joined_to_ground_downstream_is_not_ungrounded(joined, expected):
    # 250.20 and 250.30(B): no conductor of an ungrounded system is connected to ground
    data = with_facts(ungrounded_delta(), bonding__neutral_bonded_downstream=joined)
    assert verdict("neutral_isolation", data) == expected


@pytest.mark.parametrize(
    ("run", "expected"), [(True, "does_not_meet"), (False, "does_not_apply"), (None, "cannot_tell")]
)
def test_a_wye_whose_neutral_is_run_must_be_grounded(run, expected):
    # 250.20(B)(2): three-phase wye with the neutral used as a circuit conductor
    data = with_facts(
        sound(),
        transformer__secondary_volts=480,
        transformer__secondary_system="wye_3_wire",
        bonding__system_bonding_jumper__location="none",
        secondary__grounded_conductor__present=run,
    )
    assert verdict("system_grounding", data) == expected


# --- control transformers -----------------------------------------------------------------------------------------------

CONTROL = {
    "transformer__kva": 0.5,
    "secondary__conductors__size": "14",
    "bonding__system_bonding_jumper__location": "source",
    "electrode__connected_at": "source",
}


@pytest.mark.parametrize(
    ("facts", "jumper", "expected"),
    [
        # 250.30(A)(1), exception (from memory): as the ungrounded conductors, 14 AWG copper or 12 AWG aluminum at least,
        # for Class 1, 2 or 3 circuits from a unit of not over 1000 VA
        ({}, ("14", "copper"), "meets"),
        ({}, ("16", "copper"), "does_not_meet"),
        ({}, ("12", "aluminum"), "meets"),
        ({}, ("14", "aluminum"), "does_not_meet"),
        ({"secondary__conductors__size": "10"}, ("12", "copper"), "does_not_meet"),
        ({"secondary__conductors__size": "10"}, ("10", "copper"), "meets"),
        ({"transformer__kva": 1}, ("12", "aluminum"), "meets"),
        ({"transformer__kva": 1.1}, ("12", "aluminum"), "does_not_meet"),
        ({"secondary__class_1_2_3_circuits_only": False}, ("12", "aluminum"), "does_not_meet"),
        ({"secondary__class_1_2_3_circuits_only": None}, ("12", "aluminum"), "cannot_tell"),
        # note 1 of Table 250.102(C)(1): never larger than the ungrounded conductors, whatever it feeds
        ({"secondary__class_1_2_3_circuits_only": False}, ("14", "copper"), "meets"),
        ({"secondary__class_1_2_3_circuits_only": None}, ("8", "copper"), "meets"),
        ({"secondary__class_1_2_3_circuits_only": None}, ("16", "copper"), "does_not_meet"),
    ],
)
def test_a_control_transformer_needs_a_smaller_jumper(facts, jumper, expected):
    size, metal = jumper
    data = with_facts(
        with_facts(single_phase(), **CONTROL, secondary__class_1_2_3_circuits_only=True),
        bonding__system_bonding_jumper__size=size,
        bonding__system_bonding_jumper__material=metal,
    )
    assert verdict("system_bonding_jumper", data, **facts) == expected


@pytest.mark.parametrize(
    "id_", ["grounding_electrode", "grounding_electrode_conductor", "single_bonding_point"]
)
def test_a_control_transformer_bonded_to_its_grounded_frame_needs_no_electrode(id_):
    # 250.30(A)(5), exception (from memory): the grounded conductor bonded to the frame, the frame grounded
    none = {
        "electrode__used": "none",
        "electrode__connected_at": None,
        "electrode__conductor__size": None,
        "electrode__conductor__material": None,
    }
    data = with_facts(single_phase(), **{**CONTROL, **none})

    def judged(**facts):
        return verdict(id_, data, **facts)

    only = {"secondary__class_1_2_3_circuits_only": True}
    assert judged(**only) == "does_not_apply"
    broken = ("cannot_tell",) if id_ == "single_bonding_point" else ("does_not_meet",)
    for facts in (
        {"secondary__class_1_2_3_circuits_only": False},
        {**only, "transformer__kva": 1.1},
        {**only, "primary__equipment_grounding__kind": "none"},
        {**only, "bonding__system_bonding_jumper__location": "first_disconnect"},
    ):
        assert judged(**facts) in broken, facts
    assert judged(secondary__class_1_2_3_circuits_only=None) == "cannot_tell"


def test_an_electrode_conductor_too_small_is_none_that_a_control_transformer_needs():
    data = with_facts(single_phase(), **CONTROL, electrode__conductor__size="14")
    only = {"secondary__class_1_2_3_circuits_only": True}
    assert verdict("grounding_electrode_conductor", data, **only) == "does_not_apply"
    assert verdict("grounding_electrode_conductor", data) == "does_not_meet"


def test_below_50_volts_another_subsection_asks():
    # 250.20(A) below 50 V, 250.20(B) from 50 V on
    low = nameplate(1, 1, 480, 24, transformer__secondary_system="single_phase_2_wire")
    here = {PLACE: "source"}
    assert found("system_grounding", low, **here).section == "250.20(A)"
    assert found("system_grounding", low, **here, transformer__primary_volts=240).section == (
        "250.20(A)"
    )
    assert found("system_grounding", low, **here, transformer__primary_volts=120).section == (
        "250.20(A)"
    )
    assert found("system_grounding", sound()).section == "250.20(B)"
