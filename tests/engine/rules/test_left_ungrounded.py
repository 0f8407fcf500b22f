"""What may stay ungrounded, what bonds an ungrounded system, and circuits that their own source limits.

250.20(B), 250.21(A)(3) and 240.4(G) from memory; 250.104(D)(1) bonds the grounded conductor (its older wording as quoted
in an electrical-contractor.net forum thread of 2002 on 250.104(A)(4)).
"""

import pytest

from tests.engine.checked import found, verdict
from tests.engine.jobs import high_leg, single_phase, ungrounded_delta, with_facts

BARE = {
    "bonding__system_bonding_jumper__location": "none",
    "bonding__system_bonding_jumper__size": None,
    "bonding__system_bonding_jumper__material": None,
}
NO_NEUTRAL = {
    "secondary__grounded_conductor__present": False,
    "secondary__grounded_conductor__size": None,
}


@pytest.mark.parametrize(
    ("facts", "expected"),
    # 250.20(B)(3): the midpoint of one phase is used as a circuit conductor
    [
        ({**BARE, **NO_NEUTRAL}, "does_not_apply"),
        (BARE, "does_not_meet"),
        ({**BARE, **NO_NEUTRAL, "secondary__grounded_conductor__present": None}, "cannot_tell"),
        ({**NO_NEUTRAL, "bonding__system_bonding_jumper__location": None}, "cannot_tell"),
        ({}, "meets"),
    ],
)
def test_the_tap_of_a_delta_that_is_not_used_may_stay_ungrounded(facts, expected):
    assert verdict("system_grounding", high_leg(), **facts) == expected


def test_a_delta_whose_tap_is_not_used_needs_detectors():
    data = with_facts(high_leg(), **BARE, **NO_NEUTRAL, observations__ground_detector=False)
    assert verdict("ground_detection", data) == "does_not_meet"


CONTROL = with_facts(
    single_phase(),
    transformer__kva=1,
    transformer__secondary_volts=120,
    transformer__secondary_system="single_phase_2_wire",
    secondary__class_1_2_3_circuits_only=True,
    secondary__qualified_persons_only=True,
    **BARE,
    **NO_NEUTRAL,
)


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({}, "cannot_tell"),
        ({"secondary__qualified_persons_only": False}, "does_not_meet"),
        ({"secondary__qualified_persons_only": None}, "does_not_meet"),
        ({"secondary__class_1_2_3_circuits_only": False}, "does_not_meet"),
        ({"transformer__primary_volts": 4160}, "does_not_meet"),
    ],
)
@pytest.mark.parametrize(
    "id_", ["system_grounding", "system_bonding_jumper", "single_bonding_point"]
)
def test_control_circuits_that_may_stay_ungrounded_are_not_condemned(id_, facts, expected):
    assert verdict(id_, CONTROL, **facts) == expected


CLASS_2 = with_facts(
    single_phase(),
    transformer__kva=0.04,
    transformer__primary_volts=120,
    transformer__secondary_volts=24,
    transformer__secondary_system="single_phase_2_wire",
    primary__device__rating=20,
    secondary__conductors__size="18",
    secondary__grounded_conductor__size="18",
    secondary__class_1_2_3_circuits_only=True,
)


@pytest.mark.parametrize(
    "id_", ["secondary_rule", "secondary_conductors", "grounded_conductor_load"]
)
def test_conductors_of_what_may_be_a_class_2_circuit_are_not_condemned(id_):
    assert verdict(id_, CLASS_2) == "cannot_tell"
    assert "limits a Class 2" in found(id_, CLASS_2).reason
    assert verdict(id_, CLASS_2, secondary__class_1_2_3_circuits_only=None) == "cannot_tell"
    assert verdict(id_, CLASS_2, secondary__class_1_2_3_circuits_only=False) == "does_not_meet"
    # 150 VA is more than a Class 2 source: Chapter 9, Table 11(A), from memory
    assert verdict(id_, CLASS_2, transformer__kva=0.15) == "does_not_meet"


@pytest.mark.parametrize(
    ("id_", "bond"),
    [
        ("water_pipe_bond", "bonding__water_pipe_bond"),
        ("structural_steel_bond", "bonding__structural_steel_bond"),
    ],
)
def test_an_ungrounded_system_has_no_grounded_conductor_to_bond_metal_to(id_, bond):
    none = {
        f"{bond}__present": False,
        f"{bond}__metal_in_area": True,
        f"{bond}__size": None,
        f"{bond}__material": None,
        "electrode__common_conductor": False,
        "electrode__used": "rod",
    }
    ungrounded = found(id_, ungrounded_delta(), **none)
    assert ungrounded.verdict == "cannot_tell"
    assert "ungrounded" in ungrounded.reason
    assert verdict(id_, high_leg(), **none) == "does_not_meet"
    assert verdict(id_, ungrounded_delta(), **{**none, f"{bond}__metal_in_area": False}) == (
        "does_not_apply"
    )


@pytest.mark.parametrize(
    ("supply", "identified", "expected"),
    # 215.12(C), 210.5(C): more than one nominal voltage system (EC&M, "NEC Requirements for Identifying Circuit
    # Conductors", ecmweb.com); 480Y/277 and 480 V are two
    [
        ("solidly_grounded_wye", False, "does_not_meet"),
        ("corner_grounded", False, "does_not_meet"),
        ("ungrounded", False, "does_not_apply"),
        (None, False, "cannot_tell"),
        (None, None, "cannot_tell"),
        (None, True, "meets"),
    ],
)
def test_an_ungrounded_system_beside_a_grounded_one_of_the_same_voltage(
    supply, identified, expected
):
    data = with_facts(
        ungrounded_delta(),
        transformer__primary_volts=480,
        transformer__secondary_volts=480,
        primary__supply_system=supply,
        observations__grounded_conductor_identified=identified,
    )
    assert verdict("conductor_identification", data) == expected
