"""Below 50 V: how small a conductor may be, and when a secondary may stay ungrounded.

720.4 and 720.2 as printed at thenecwiki.com, "Article 720"; 250.20(A) as printed at electrician2.com, lesson 131.
"""

import pytest

from tests.engine.checked import found, verdict
from tests.engine.jobs import nameplate, single_phase, with_facts

# 300 VA from 120 V to 24 V of two wires, behind a panelboard.
POWER = with_facts(
    single_phase(),
    transformer__kva=0.3,
    transformer__primary_volts=120,
    transformer__secondary_volts=24,
    transformer__secondary_system="single_phase_2_wire",
    primary__device__rating=3,
    primary__load__continuous_amperes=1.5,
    primary__load__noncontinuous_amperes=0,
    secondary__protection__rating=15,
    secondary__protection__ratings=[15],
    secondary__load__continuous_amperes=8,
    secondary__load__noncontinuous_amperes=0,
    secondary__class_1_2_3_circuits_only=False,
)


def _size(size, metal="copper", **facts):
    both = {
        "secondary__conductors__size": size,
        "secondary__conductors__material": metal,
        "secondary__grounded_conductor__size": size,
        "secondary__grounded_conductor__material": metal,
    }
    return with_facts(POWER, **both, **facts)


@pytest.mark.parametrize("id_", ["secondary_conductors", "grounded_conductor_load"])
@pytest.mark.parametrize(
    ("size", "metal", "facts", "expected"),
    [
        ("14", "copper", {}, "does_not_meet"),
        ("12", "copper", {}, "meets"),
        ("12", "aluminum", {}, "does_not_meet"),
        ("10", "aluminum", {}, "meets"),
        ("14", "copper", {"secondary__class_1_2_3_circuits_only": True}, "meets"),
        ("14", "copper", {"secondary__class_1_2_3_circuits_only": None}, "cannot_tell"),
        (
            "14",
            "copper",
            {"secondary__panelboard__present": False, "secondary__panelboard__rating": None},
            "cannot_tell",
        ),
        # from 50 V on 14 AWG copper carries 15 A, 240.4(D)(3)
        ("14", "copper", {"transformer__secondary_volts": 60}, "meets"),
    ],
)
def test_conductors_below_50_volts_are_not_smaller_than_12_awg(id_, size, metal, facts, expected):
    check = found(id_, _size(size, metal, **facts))
    assert check.verdict == expected, check.reason
    if expected == "does_not_meet":
        assert "720.4" in check.section


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({"transformer__location": "indoors"}, "does_not_apply"),
        ({}, "cannot_tell"),
        ({"transformer__location": "outdoors"}, "cannot_tell"),
        (
            {"transformer__location": "outdoors", "secondary__enclosed_in_raceway": False},
            "cannot_tell",
        ),
        (
            {"transformer__location": "outdoors", "secondary__enclosed_in_raceway": True},
            "does_not_apply",
        ),
        (
            {"transformer__location": "outdoors", "secondary__raceway__type": "PVC80"},
            "does_not_apply",
        ),
        (
            {
                "transformer__location": "indoors",
                "secondary__rule": "outside",
                "secondary__enclosed_in_raceway": False,
            },
            "cannot_tell",
        ),
    ],
)
def test_overhead_conductors_outside_have_to_be_grounded(facts, expected):
    data = nameplate(
        1,
        1,
        120,
        24,
        transformer__secondary_system="single_phase_2_wire",
        bonding__system_bonding_jumper__location="none",
        primary__supply_system="single_phase_grounded",
        **facts,
    )
    assert verdict("system_grounding", data) == expected
