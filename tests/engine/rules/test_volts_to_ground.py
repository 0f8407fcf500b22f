"""Volts to ground of a single-phase primary: every rule that depends on them takes the same.

Article 100, voltage to ground: to the grounded point of the circuit. 240Y/139 and 416Y/240 are systems of the trade
(common practice, no source): 240 V is between lines of the one and from line to neutral of the other. On a high-leg
supply the two legs that are alike have half, the high leg 0.866 of the line voltage.
"""

import pytest

from engine.code import code_for
from engine.derived import volts_to_ground
from engine.job.site import Site
from tests.engine.checked import checked, found, verdict
from tests.engine.jobs import job, nameplate, single_phase, sound, with_facts


def _ranges(volts, supply, phases=1):
    site = Site(job(nameplate(10, phases, volts, 120)), code_for(2023))
    kept = volts_to_ground.of_primary(site, supply)
    return round(kept.least), round(kept.most), bool(kept.find_out)


@pytest.mark.parametrize(
    ("volts", "supply", "expected"),
    [
        (240, "solidly_grounded_wye", (139, 240, True)),
        (208, "solidly_grounded_wye", (120, 120, False)),
        (277, "solidly_grounded_wye", (277, 277, False)),
        (120, "solidly_grounded_wye", (120, 120, False)),
        (4160, "solidly_grounded_wye", (2402, 4160, True)),
        (240, "high_leg", (120, 208, True)),
        (480, "high_leg", (240, 416, True)),
        (120, "high_leg", (120, 120, False)),
        (208, "high_leg", (208, 208, False)),
        (240, "single_phase_grounded", (120, 120, False)),
        (480, "single_phase_grounded", (240, 240, False)),
        (240, "corner_grounded", (240, 240, False)),
        (240, "ungrounded", (240, 240, False)),
        (240, "impedance_grounded", (139, 240, True)),
        (240, None, (120, 240, True)),
    ],
)
def test_what_two_conductors_of_a_supply_have_to_ground(volts, supply, expected):
    assert _ranges(volts, supply) == expected


def test_three_lines_tell_more_than_two():
    assert _ranges(240, "solidly_grounded_wye", 3) == (139, 139, False)
    assert _ranges(240, "high_leg", 3) == (208, 208, False)
    assert _ranges(240, None, 3) == (139, 240, True)


# 10 kVA to 120 V of two wires, so that the primary alone decides.
TO_120 = with_facts(
    single_phase(),
    transformer__secondary_volts=120,
    transformer__secondary_system="single_phase_2_wire",
    observations__working_space_faces="grounded",
)


@pytest.mark.parametrize(
    ("volts", "supply", "inches", "expected"),
    # Table 110.26(A)(1), condition 2: 36 in. to 150 V to ground, 42 in. above it
    [
        (240, "solidly_grounded_wye", 36, "cannot_tell"),
        (240, "solidly_grounded_wye", 42, "meets"),
        (240, "solidly_grounded_wye", 35, "does_not_meet"),
        (240, "high_leg", 36, "cannot_tell"),
        (240, "single_phase_grounded", 36, "meets"),
        (208, "solidly_grounded_wye", 36, "meets"),
        (208, "high_leg", 36, "does_not_meet"),
        (240, "corner_grounded", 36, "does_not_meet"),
        (240, "impedance_grounded", 36, "does_not_meet"),
    ],
)
def test_the_depth_of_the_working_space(volts, supply, inches, expected):
    facts = {
        "transformer__primary_volts": volts,
        "primary__supply_system": supply,
        "observations__working_space_depth_inches": inches,
    }
    assert verdict("working_space_depth", TO_120, **facts) == expected


@pytest.mark.parametrize(
    ("supply", "expected"),
    # 250.97: above 250 V to ground; 480 V single-phase
    [
        ("solidly_grounded_wye", "does_not_meet"),
        ("single_phase_grounded", "does_not_apply"),
        ("high_leg", "cannot_tell"),
        ("corner_grounded", "does_not_meet"),
        ("ungrounded", "does_not_meet"),
        (None, "cannot_tell"),
    ],
)
def test_knockout_rings_before_480_volts_of_one_phase(supply, expected):
    facts = {"observations__knockouts_bonded": False, "primary__supply_system": supply}
    assert verdict("knockout_bonding", TO_120, **facts) == expected


@pytest.mark.parametrize(
    ("volts", "supply", "expected"),
    # 215.10: a solidly grounded wye above 150 V to ground
    [
        (240, "solidly_grounded_wye", "cannot_tell"),
        (240, None, "cannot_tell"),
        (240, "single_phase_grounded", "does_not_apply"),
        (208, "solidly_grounded_wye", "does_not_apply"),
        (480, "solidly_grounded_wye", "does_not_meet"),
    ],
)
def test_ground_fault_protection_of_a_feeder_of_one_phase(volts, supply, expected):
    facts = {
        "transformer__kva": 250,
        "transformer__primary_volts": volts,
        "primary__device__rating": 1200,
        "primary__device__ground_fault_protection": False,
        "primary__supply_system": supply,
    }
    assert verdict("primary_ground_fault_protection", TO_120, **facts) == expected


@pytest.mark.parametrize(
    ("volts", "supply", "expected"),
    # 240.85: by the voltage to ground of the conductors of the circuit
    [
        (400, "solidly_grounded_wye", "cannot_tell"),
        (240, "solidly_grounded_wye", "cannot_tell"),
        (480, "solidly_grounded_wye", "meets"),
        (120, "high_leg", "meets"),
        (480, "high_leg", "cannot_tell"),
        (240, "corner_grounded", "does_not_meet"),
    ],
)
def test_a_slash_rated_primary_breaker_of_two_poles(volts, supply, expected):
    facts = {
        "transformer__primary_volts": volts,
        "primary__device__straight_rated": False,
        "primary__supply_system": supply,
    }
    assert verdict("primary_straight_rated", TO_120, **facts) == expected


def test_what_is_to_be_found_out_is_said():
    legs = found(
        "knockout_bonding",
        TO_120,
        observations__knockouts_bonded=False,
        primary__supply_system="high_leg",
    )
    assert "which two legs" in legs.reason
    lines = found(
        "working_space_depth",
        TO_120,
        transformer__primary_volts=240,
        primary__supply_system="solidly_grounded_wye",
        observations__working_space_depth_inches=36,
    )
    assert "line to neutral" in lines.reason


def test_above_1000_volts_a_fuse_is_supposed_where_nobody_knows():
    # Table 450.3(A): at most 300 % for fuses where 600 % holds for breakers; 69.4 A × 3 = 208 A, 225 A the next size up
    data = with_facts(
        sound(),
        transformer__kva=1500,
        transformer__primary_volts=12470,
        primary__device__kind=None,
        primary__device__rating=None,
    )
    value = checked(job(data)).values["primary_device_maximum_with_secondary_protection"]
    assert value.assumed
    assert float(value.value) == 225


# --- the secondary, by what grounds its winding -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("volts", "system", "place", "expected"),
    [
        # Article 100: to the grounded point, or, ungrounded, the greatest voltage between conductors
        (208, "wye_4_wire", "source", (120, 120, False)),
        (690, "wye_3_wire", "source", (398, 398, False)),
        (690, "wye_4_wire", "none", (690, 690, False)),
        (690, "wye_4_wire", None, (398, 690, True)),
        (240, "delta_high_leg", "first_disconnect", (208, 208, False)),
        (480, "delta_high_leg", "none", (480, 480, False)),
        (480, "delta_corner_grounded", "source", (480, 480, False)),
        (480, "delta_3_wire_ungrounded", None, (480, 480, False)),
        (208, None, "source", (120, 208, True)),
    ],
)
def test_what_the_conductors_of_a_secondary_have_to_ground(volts, system, place, expected):
    data = with_facts(
        nameplate(75, 3, 480, volts),
        transformer__secondary_system=system,
        bonding__system_bonding_jumper__location=place,
    )
    kept = volts_to_ground.of_secondary(Site(job(data), code_for(2023)))
    assert (round(kept.least), round(kept.most), bool(kept.find_out)) == expected


@pytest.mark.parametrize(
    ("place", "expected"), [("source", (240, 240)), ("none", (480, 480)), (None, (240, 480))]
)
def test_a_midpoint_that_nothing_grounds_halves_nothing(place, expected):
    data = with_facts(
        nameplate(25, 1, 240, 480),
        transformer__secondary_system="single_phase_3_wire",
        bonding__system_bonding_jumper__location=place,
    )
    kept = volts_to_ground.of_secondary(Site(job(data), code_for(2023)))
    assert (kept.least, kept.most) == expected


# Three wires of a wye, without a neutral, on a supply that is at 139 V to ground.
WYE = with_facts(
    sound(),
    transformer__primary_volts=240,
    primary__supply_system="solidly_grounded_wye",
    secondary__grounded_conductor__present=False,
)


@pytest.mark.parametrize(
    ("volts", "place", "faces", "inches", "expected"),
    # Table 110.26(A)(1): to 150 V to ground 36 in. in each condition; to 600 V 42 in. before grounded parts and 48 in.
    # before live ones; from 601 V to 1000 V 48 in. and 60 in.
    [
        (208, "source", "grounded", 36, "meets"),
        (690, "source", "grounded", 42, "meets"),
        (690, "none", "grounded", 42, "does_not_meet"),
        (690, "none", "grounded", 48, "meets"),
        (690, "none", "live", 48, "does_not_meet"),
        (690, None, "grounded", 42, "cannot_tell"),
        (690, None, "grounded", 48, "meets"),
        (690, None, "grounded", 41, "does_not_meet"),
        (1000, "none", "grounded", 42, "does_not_meet"),
        (1000, "source", "grounded", 42, "meets"),
    ],
)
@pytest.mark.parametrize("system", ["wye_4_wire", "wye_3_wire"])
def test_the_depth_goes_by_what_grounds_the_wye(system, volts, place, faces, inches, expected):
    facts = {
        "transformer__secondary_volts": volts,
        "transformer__secondary_system": system,
        "bonding__system_bonding_jumper__location": place,
        "observations__working_space_faces": faces,
        "observations__working_space_depth_inches": inches,
    }
    assert verdict("working_space_depth", WYE, **facts) == expected


@pytest.mark.parametrize("faces", ["grounded", "live"])
def test_three_wires_of_one_phase_have_half_to_ground(faces):
    # Table 110.26(A)(1): 120 V to ground on both sides, 36 in. in each condition
    data = with_facts(
        single_phase(),
        transformer__primary_volts=208,
        primary__supply_system="solidly_grounded_wye",
        observations__working_space_depth_inches=36,
        observations__working_space_faces=faces,
    )
    assert verdict("working_space_depth", data) == "meets"


@pytest.mark.parametrize(
    ("place", "rings_bonded", "expected"),
    # 250.97: above 250 V to ground; the outer pair of 480/240 V has 240 V only where its midpoint is grounded
    [
        ("source", False, "does_not_apply"),
        ("none", False, "does_not_meet"),
        ("none", True, "meets"),
        (None, False, "cannot_tell"),
        (None, True, "meets"),
    ],
)
def test_knockout_rings_behind_a_midpoint(place, rings_bonded, expected):
    data = with_facts(
        single_phase(),
        transformer__primary_volts=240,
        transformer__secondary_volts=480,
        secondary__grounded_conductor__present=None if place else False,
        bonding__system_bonding_jumper__location=place,
        observations__knockouts_bonded=rings_bonded,
    )
    assert verdict("knockout_bonding", data) == expected


def test_rings_that_are_bonded_around_need_no_voltage():
    # 250.97 asks for no more, whatever the supply
    facts = {"observations__knockouts_bonded": True, "primary__supply_system": None}
    assert verdict("knockout_bonding", TO_120, **facts) == "meets"
