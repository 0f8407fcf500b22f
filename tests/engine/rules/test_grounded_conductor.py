"""Every grounded conductor is held to the current it carries: a neutral, the return of two wires, a grounded phase."""

import pytest

from tests.engine.checked import found, value_of, verdict
from tests.engine.jobs import (
    corner_grounded,
    parallel,
    put,
    single_phase,
    sound,
    two_runs,
    with_facts,
)

LOAD = "grounded_conductor_load"
TWO_WIRE = with_facts(
    single_phase(),
    transformer__secondary_volts=120,
    transformer__secondary_system="single_phase_2_wire",
    secondary__protection__rating=225,
    secondary__conductors__size="4/0",
    secondary__grounded_conductor__size="4/0",
    secondary__neutral_load_amperes=None,
)


def one_neutral_for_two_sets(**facts):
    """Two sets of 500 kcmil in one raceway with a single neutral; 3 × 2 conductors count, 80 % (310.15(C)(1))."""
    return with_facts(
        parallel(),
        secondary__conductors__sets=2,
        secondary__conductors__raceways=1,
        secondary__conductors__current_carrying=6,
        secondary__grounded_conductor__sets=1,
        secondary__protection__rating=600,
        secondary__neutral_load_amperes=None,
        **facts,
    )


def test_one_neutral_beside_two_sets_has_half_their_ampacity():
    # 500 kcmil copper THWN-2, 430 A × 0.8 = 344 A, 380 A at 75 °C terminals (Table 310.16): 344 A against 600 A
    check = found(LOAD, one_neutral_for_two_sets())
    assert check.verdict == "cannot_tell"
    assert check.missing == ["secondary.neutral_load_amperes"]
    for load, expected in ((344, "meets"), (345, "does_not_meet")):
        data = with_facts(one_neutral_for_two_sets(), secondary__neutral_load_amperes=load)
        assert verdict(LOAD, data) == expected


def test_a_neutral_load_that_is_known_is_never_passed_by_size():
    # 4/0 copper has 230 A at 75 °C (Table 310.16), whatever the phases are
    data = with_facts(
        sound(), observations__nonlinear_load=True, secondary__neutral_load_amperes=300
    )
    assert verdict(LOAD, data) == "does_not_meet"
    assert value_of("grounded_conductor_minimum", data) == "350"  # 310 A; 300 kcmil has 285 A


def test_an_insulation_of_its_own_counts_beside_phases_of_the_same_size():
    # 4/0 TW has 195 A at 60 °C (Table 310.16), the main lets 225 A through
    data = with_facts(
        sound(),
        secondary__grounded_conductor__insulation="TW",
        secondary__neutral_load_amperes=None,
    )
    assert verdict(LOAD, data) == "cannot_tell"
    assert verdict(LOAD, data, secondary__neutral_load_amperes=195) == "meets"
    assert verdict(LOAD, data, secondary__neutral_load_amperes=196) == "does_not_meet"


def test_a_neutral_for_dry_places_has_no_ampacity_in_a_wet_run():
    # 300.9, 310.10(C): THHN is for dry and damp places
    data = with_facts(
        sound(),
        secondary__conductors__wet_location=True,
        secondary__grounded_conductor__insulation="THHN",
    )
    check = found(LOAD, data)
    assert check.verdict == "does_not_meet"
    assert "wet" in check.reason and "wet" in check.remedy


def test_an_unknown_neutral_load_has_no_bound_where_most_of_the_load_is_electronic():
    # 220.61(C), 310.15(E)(3): harmonics add up in the neutral. Advice is no open requirement.
    data = with_facts(sound(), secondary__neutral_load_amperes=None)
    for electronic, severity in ((False, "advice"), (True, "danger"), (None, "danger")):
        check = found(LOAD, data, observations__nonlinear_load=electronic)
        assert (check.verdict, check.severity) == ("cannot_tell", severity)
    for facts in (
        {"secondary__protection__kind": "main_lugs_only"},
        {"secondary__grounded_conductor__size": "3/0"},
        {"secondary__protection__rating": None},
    ):
        check = found(LOAD, data, **facts)
        assert (check.verdict, check.severity) == ("cannot_tell", "danger"), facts


def test_a_small_load_leaves_the_size_for_the_device():
    # 215.2(A)(2), 215.2(B) from 2020; Table 250.122: 225 A is in the row of 300 A, 4 AWG copper
    data = with_facts(
        sound(),
        bonding__system_bonding_jumper__location="source",
        secondary__neutral_load_amperes=3,
    )
    for edition in (2014, 2017, 2020, 2023):
        for size, expected in (("12", "does_not_meet"), ("6", "does_not_meet"), ("4", "meets")):
            made = with_facts(data, edition=edition, secondary__grounded_conductor__size=size)
            assert verdict(LOAD, made) == expected, (edition, size)
        assert value_of("grounded_conductor_minimum", made) == "4"
    assert verdict("grounded_conductor", made) == "does_not_apply"
    small = with_facts(made, secondary__grounded_conductor__size="6")
    assert found(LOAD, small).section == "215.2(B)"
    assert found(LOAD, with_facts(small, edition=2017)).section == "215.2(A)(2)"


def test_parallel_neutrals_meet_the_table_for_the_device_together():
    # 250.122(F) is left out by 215.2(B): 1500 A wants 4/0 copper (Table 250.122, row of 1600 A), four 1/0 have 422 kcmil
    data = with_facts(
        parallel(),
        bonding__system_bonding_jumper__location="source",
        secondary__grounded_conductor__size="1/0",
        secondary__neutral_load_amperes=10,
    )
    assert verdict(LOAD, data) == "meets"


@pytest.mark.parametrize("jumper", ["source", "first_disconnect"])
@pytest.mark.parametrize("size", ["14", "8", "2", "3/0", "4/0"])
def test_a_return_and_a_grounded_phase_carry_the_whole_current(jumper, size):
    # 225 A: 4/0 copper has 230 A, 3/0 has 200 A at 75 °C (Table 310.16). No neutral load is asked of them.
    for data in (with_facts(corner_grounded(), secondary__neutral_load_amperes=3), TWO_WIRE):
        made = with_facts(
            data,
            bonding__system_bonding_jumper__location=jumper,
            secondary__grounded_conductor__size=size,
        )
        check = found(LOAD, made)
        assert check.verdict == ("meets" if size == "4/0" else "does_not_meet")
        assert value_of("grounded_conductor_minimum", made) == "4/0"


def test_a_grounded_phase_has_the_ampacity_of_larger_phases_where_the_fault_returns_through_it():
    # 250.30(A)(3)(c); at the source only what they end at counts: 225 A, 4/0
    data = with_facts(corner_grounded(), secondary__conductors__size="350")
    assert verdict("grounded_conductor", data) == "does_not_meet"
    assert value_of("grounded_conductor_minimum", data) == "350"
    source = with_facts(data, bonding__system_bonding_jumper__location="source")
    assert verdict("grounded_conductor", source) == "does_not_apply"
    assert verdict(LOAD, source) == "meets"
    assert value_of("grounded_conductor_minimum", source) == "4/0"


def test_the_return_under_the_rule_of_the_primary_device_is_no_smaller_than_the_phase():
    data = with_facts(
        TWO_WIRE,
        transformer__primary_system="single_phase_2_wire",
        secondary__rule="primary_device",
        secondary__grounded_conductor__size="14",
    )
    assert verdict(LOAD, data) == "does_not_meet"


@pytest.mark.parametrize("jumper", ["source", "first_disconnect"])
def test_a_circuit_that_needs_its_grounded_conductor_has_it(jumper):
    # 250.6, 250.142(B): without it the load current returns through metal
    for data in (corner_grounded(), TWO_WIRE):
        made = with_facts(
            data,
            bonding__system_bonding_jumper__location=jumper,
            secondary__grounded_conductor__present=False,
            secondary__grounded_conductor__size=None,
        )
        assert verdict("grounded_conductor", made) == "does_not_meet"


def test_a_wye_without_a_neutral_and_the_jumper_at_the_source_asks_for_no_neutral():
    data = with_facts(
        sound(),
        bonding__system_bonding_jumper__location="source",
        secondary__conductors__raceways=1,
    )
    data["secondary"]["grounded_conductor"] = {"present": False}
    data["secondary"]["neutral_load_amperes"] = None
    # A loaded outlet with a neutral would contradict that none is run.
    data["readings"]["neutral_to_ground_far_volts"] = None
    for id_ in ("grounded_conductor", LOAD, "grounded_conductor_sets"):
        assert verdict(id_, data) == "does_not_apply", id_
    assert verdict("secondary_raceway", data) == "meets"
    assert verdict("secondary_conductors", data) == "meets"
    # three phases and the jumper: 3 × 0.3237 + 0.1158 in² (Table 5), 5.858 in² (Table 4, 2-1/2 EMT)
    assert value_of("secondary_raceway_fill", data) == pytest.approx(18.55, abs=0.01)


def test_the_remedy_names_what_would_meet():
    data = with_facts(
        sound(), secondary__grounded_conductor__size="6", secondary__neutral_load_amperes=150
    )
    # 150 A: 1/0 copper (Table 310.16, 75 °C)
    assert found(LOAD, data).remedy == "1/0 AWG copper or larger."
    assert value_of("grounded_conductor_minimum", data) == "1/0"


def test_two_neutrals_in_one_raceway_are_each_1_0_or_larger():
    # 310.10(G): 1/0 and larger in parallel, in one raceway as in two
    data = with_facts(
        one_neutral_for_two_sets(),
        secondary__grounded_conductor__sets=2,
        secondary__grounded_conductor__size="1",
        secondary__neutral_load_amperes=100,
    )
    assert verdict("grounded_conductor", data) == "does_not_meet"
    assert value_of("grounded_conductor_minimum", data) == "1/0"
    assert verdict("grounded_conductor", data, secondary__grounded_conductor__size="1/0") == "meets"


ELECTRONIC = with_facts(
    sound(),
    observations__nonlinear_load=True,
    secondary__grounded_conductor__current_carrying=True,
    secondary__conductors__current_carrying=4,
    secondary__conductors__size="300",
    secondary__grounded_conductor__size="2",
    secondary__raceway__trade_size="3",
)


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        # 220.61(C)(2): nothing of the nonlinear part of the neutral load may be left out; 475 A beside 775 A in EC&M Code
        # Quiz 69. Here the phases carry 170 A, most of it electronic: less than half of it in the neutral is doubtful.
        ({"secondary__neutral_load_amperes": 0}, "cannot_tell"),
        ({"secondary__neutral_load_amperes": 1}, "cannot_tell"),
        ({"secondary__neutral_load_amperes": 84}, "cannot_tell"),
        ({"secondary__neutral_load_amperes": 86}, "meets"),
        # a load above the ampacity is a conflict, and no doubt: 2 AWG in four current-carrying, 130 A x 80 % = 104 A
        ({"secondary__neutral_load_amperes": 106}, "does_not_meet"),
        # without electronic load a small neutral load contradicts nothing
        (
            {"secondary__neutral_load_amperes": 1, "observations__nonlinear_load": False},
            "meets",
        ),
        (
            {"secondary__neutral_load_amperes": 1, "secondary__load__continuous_amperes": None},
            "cannot_tell",
        ),
        # a neutral that carries all that the phases do is large enough whatever was left out
        (
            {"secondary__neutral_load_amperes": 1, "secondary__grounded_conductor__size": "300"},
            "meets",
        ),
    ],
)
def test_a_small_neutral_load_beside_electronic_phases_is_doubted(facts, expected):
    assert verdict(LOAD, ELECTRONIC, **facts) == expected


def test_a_small_neutral_load_of_a_run_beside_the_first_is_doubted_too():
    facts = {
        "observations.nonlinear_load": True,
        "grounded_conductor.current_carrying": True,
        "conductors.current_carrying": 4,
        "neutral_load_amperes": 1,
        "grounded_conductor.size": "6",
    }
    data = two_runs()
    for path, value in facts.items():
        put(data, f"secondary.further_runs.0.{path}", value)
    assert verdict(LOAD, data) == "cannot_tell"
