"""Around the transformer: what a look settles. The section of each line is the one its check shows."""

import pytest

from engine.code import EDITIONS
from tests.engine.checked import found, verdict
from tests.engine.jobs import (
    corner_grounded,
    high_leg,
    nameplate,
    sound,
    ungrounded_delta,
    with_facts,
)

NO_DISTRIBUTION = {
    "secondary__panelboard__present": False,
    "observations__supplies_switchboard": False,
}

# Fed at its low-voltage side, the primary voltage is the lower one.
FED_AT_X = {
    "transformer__primary_volts": 208,
    "transformer__secondary_volts": 480,
    "observations__reverse_fed": True,
}

# check, observation, good answer, and the job to which the requirement applies
SEEN = [
    ("ventilation", "ventilation_clear", True, sound()),
    ("storage", "top_free_of_storage", True, sound()),
    ("enclosure_bonded", "enclosure_bonded", True, sound()),
    ("terminal_bar", "terminal_bar_used", True, sound()),
    ("terminal_bar_place", "terminal_bar_clear_of_vents", True, sound()),
    ("electrode_conductor_openings", "conductors_clear_of_vents", True, sound()),
    ("working_space", "working_space_clear", True, sound()),
    ("top_marking", "top_marked", True, sound()),
    (
        "guarding",
        "live_parts_guarded",
        True,
        with_facts(sound(), transformer__enclosure="open"),
    ),
    (
        "air_handling_space",
        "case_suits_air_space",
        True,
        with_facts(sound(), observations__above_ceiling=True, observations__ceiling_moves_air=True),
    ),
    ("dedicated_space", "dedicated_space_clear", True, sound()),
    ("device_height", "device_height_within_reach", True, sound()),
    ("voltage_ratings", "voltage_ratings_enough", True, sound()),
    (
        "supplied_neutral",
        "supplied_neutral_open",
        True,
        with_facts(
            ungrounded_delta(),
            transformer__primary_volts=208,
            transformer__secondary_volts=480,
            transformer__primary_system="wye_4_wire",
        ),
    ),
    ("anchoring", "anchored", True, sound()),
    ("shipping_parts", "shipping_parts_removed", True, sound()),
    ("torque", "torque_recorded", True, sound()),
    (
        "lugs_for_aluminum",
        "lugs_marked_for_metal",
        True,
        with_facts(sound(), primary__conductors__material="aluminum"),
    ),
    (
        "parallel_alike",
        "parallel_sets_alike",
        True,
        with_facts(sound(), secondary__conductors__sets=2),
    ),
    ("circuit_grouping", "circuit_grouped", True, sound()),
    ("no_taps", "tapped_ahead_of_device", False, sound()),
    (
        "secondary_end",
        "ends_at_equipment_supplied",
        True,
        with_facts(sound(), secondary__rule="10_ft"),
    ),
    (
        "industrial_supply",
        "supplies_switchboard",
        True,
        with_facts(sound(), secondary__rule="industrial_25_ft"),
    ),
    ("outside_run", "outdoors_all_the_way", True, with_facts(sound(), secondary__rule="outside")),
    (
        "outside_disconnect",
        "outside_disconnect_placed",
        True,
        with_facts(sound(), secondary__rule="outside"),
    ),
    ("conductor_identification", "grounded_conductor_identified", True, sound()),
    ("source_marking", "source_marked", True, sound()),
    ("fault_current_marking", "fault_current_marked", True, sound()),
    ("arc_flash_marking", "arc_flash_marked", True, sound()),
    # 110.16 and 408.6(2) of 2026 (Mike Holt forum 2589930; electricallicenserenewal.com 1934)
    ("arc_flash_label", "arc_flash_label_complete", True, with_facts(sound(), edition=2026)),
    (
        "short_circuit_rating_marking",
        "short_circuit_rating_marked",
        True,
        with_facts(sound(), edition=2026),
    ),
    # 215.15 (captaincode2023 node 317)
    ("line_side_barriers", "line_side_barriers", True, sound()),
    # 240.15, 240.22 (EC&M code Q&A of July 21, 2016; Mike Holt forum 43829)
    ("device_in_each_line", "device_in_each_line", True, sound()),
    # 312.2 (Mike Holt forum 111348)
    (
        "outdoor_enclosures",
        "outdoor_enclosures_weatherproof",
        True,
        with_facts(sound(), transformer__location="outdoors"),
    ),
    ("electrode_conductor_protection", "electrode_conductor_protected", True, sound()),
    ("insulating_bushings", "insulating_fittings", True, sound()),
    ("phase_arrangement", "phases_in_order", True, sound()),
    ("high_leg_phase", "high_leg_on_b", True, high_leg()),
    ("high_leg_label", "high_leg_labeled", True, high_leg()),
    ("bonding_connections", "grounding_connections_sound", True, sound()),
    (
        "small_electrode_conductor",
        "small_electrode_conductor_enclosed",
        True,
        with_facts(sound(), electrode__conductor__size="8"),
    ),
    (
        "water_pipe_entry",
        "water_pipe_near_entry",
        True,
        with_facts(sound(), electrode__used="water_pipe"),
    ),
    ("knockout_bonding", "knockouts_bonded", True, sound()),
    (
        "aluminum_electrode_conductor",
        "aluminum_clear_of_earth",
        True,
        with_facts(sound(), electrode__conductor__material="aluminum"),
    ),
    ("straight_rated_devices", "straight_rated_devices", True, high_leg()),
    ("ferrous_raceway", "ferrous_raceway_bonded", True, sound()),
    (
        "outdoor_electrode",
        "electrode_at_outdoor_source",
        True,
        with_facts(sound(), transformer__location="outdoors"),
    ),
    ("ungrounded_marking", "ungrounded_marked", True, ungrounded_delta()),
    ("high_leg_marking", "high_leg_orange", True, high_leg()),
    ("high_leg_loads", "high_leg_free_of_neutral_loads", True, high_leg()),
    ("grounded_phase_marking", "grounded_phase_identified", True, corner_grounded()),
    (
        "reverse_feed",
        "reverse_feed_marked",
        True,
        with_facts(sound(), **FED_AT_X),
    ),
]


@pytest.mark.parametrize(("id_", "fact", "good", "data"), SEEN, ids=[line[0] for line in SEEN])
def test_what_was_seen_settles_it_and_not_looking_leaves_it_open(id_, fact, good, data):
    name = f"observations__{fact}"
    assert verdict(id_, data, **{name: good}) == "meets"
    assert verdict(id_, data, **{name: not good}) == "does_not_meet"
    check = found(id_, data, **{name: None})
    assert (check.verdict, check.missing) == ("cannot_tell", [f"observations.{fact}"])


@pytest.mark.parametrize(
    ("id_", "facts", "unknown"),
    [
        ("lugs_for_aluminum", {}, "secondary__conductors__material"),
        ("parallel_alike", {}, "secondary__conductors__sets"),
        ("secondary_end", {"secondary__rule": "primary_device"}, "secondary__rule"),
        ("industrial_supply", {}, "secondary__rule"),
        ("outside_run", {}, "secondary__rule"),
        ("outside_disconnect", {}, "secondary__rule"),
        ("outdoor_electrode", {}, "transformer__location"),
        ("aluminum_electrode_conductor", {}, "electrode__conductor__material"),
        ("straight_rated_devices", {}, "transformer__secondary_system"),
        ("ungrounded_marking", {}, "transformer__secondary_system"),
        ("high_leg_marking", {}, "transformer__secondary_system"),
        ("high_leg_loads", {}, "transformer__secondary_system"),
        ("grounded_phase_marking", {}, "transformer__secondary_system"),
        ("reverse_feed", {}, "observations__reverse_fed"),
        ("guarding", {}, "transformer__enclosure"),
        ("air_handling_space", {}, "observations__above_ceiling"),
        (
            "air_handling_space",
            {"observations__above_ceiling": True},
            "observations__ceiling_moves_air",
        ),
        (
            "dedicated_space",
            {
                "secondary__panelboard__present": False,
                "observations__supplies_switchboard": False,
            },
            "observations__supplies_switchboard",
        ),
        (
            "supplied_neutral",
            {"transformer__secondary_system": "delta_3_wire_ungrounded"},
            "transformer__primary_system",
        ),
    ],
)
def test_where_it_does_not_apply_and_where_that_is_unknown(id_, facts, unknown):
    check = found(id_, sound(), **facts)
    assert check.verdict == "does_not_apply"
    assert check.reason
    open_ = {f"observations__{fact}": None for line, fact, *_ in SEEN if line == id_}
    assert verdict(id_, sound(), **{**facts, **open_, unknown: None}) == "cannot_tell"


@pytest.mark.parametrize(
    ("id_", "since"),
    [
        # 250.64(G) new in 2023 (Mike Holt forum 2577373); 110.14(D) in 2017 (captaincode2017 119); 408.6 in 2020 (915)
        ("electrode_conductor_openings", 2023),
        ("torque", 2017),
        ("fault_current_marking", 2020),
        # 450.9, the edition from memory
        ("top_marking", 2020),
    ],
)
def test_a_rule_of_a_later_edition_does_not_apply_before(id_, since):
    for edition in EDITIONS:
        expected = "meets" if edition >= since else "does_not_apply"
        assert verdict(id_, sound(), edition=edition) == expected


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        # 450.13(B): up to 50 kVA in a hollow space
        ({"readily_accessible": True}, "meets"),
        ({"readily_accessible": False, "above_ceiling": False}, "does_not_meet"),
        ({"readily_accessible": False, "above_ceiling": True}, "does_not_apply"),
        ({"readily_accessible": False, "above_ceiling": None}, "cannot_tell"),
        ({"readily_accessible": None}, "cannot_tell"),
    ],
)
def test_access_and_its_exception(facts, expected):
    data = with_facts(
        sound(), transformer__kva=50, **{f"observations__{n}": v for n, v in facts.items()}
    )
    assert verdict("accessibility", data) == expected


@pytest.mark.parametrize(
    ("kva", "above", "expected"),
    [
        (50, True, "meets"),
        (50.1, True, "does_not_meet"),
        (50, False, "does_not_apply"),
        (50, None, "cannot_tell"),
    ],
)
def test_a_hollow_space_takes_50_kva(kva, above, expected):
    # 450.13(B)
    data = with_facts(sound(), transformer__kva=kva, observations__above_ceiling=above)
    assert verdict("hollow_space", data) == expected
    if kva > 50:
        assert (
            verdict("accessibility", data, observations__readily_accessible=False)
            == "does_not_meet"
        )


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        # 450.13(B): dry-type transformers of 1000 V or less and not over 50 kVA
        ({"transformer__construction": "cast_resin"}, "meets"),
        ({"transformer__construction": "liquid"}, "does_not_meet"),
        ({"transformer__construction": None}, "cannot_tell"),
        ({"transformer__primary_volts": 1000}, "meets"),
        ({"transformer__primary_volts": 1001}, "does_not_meet"),
    ],
)
def test_a_hollow_space_takes_dry_types_of_1000_volts(facts, expected):
    data = with_facts(sound(), transformer__kva=45, observations__above_ceiling=True)
    assert verdict("hollow_space", data, **facts) == expected


@pytest.mark.parametrize(
    ("in_sight", "lockable", "expected"),
    [
        (True, None, "meets"),
        (False, True, "meets"),
        (False, False, "does_not_meet"),
        (False, None, "cannot_tell"),
        (None, True, "cannot_tell"),
    ],
)
def test_a_disconnect_in_sight_or_lockable_and_marked(in_sight, lockable, expected):
    # 450.14
    data = with_facts(
        sound(),
        observations__disconnect_in_sight=in_sight,
        observations__disconnect_lockable_and_marked=lockable,
    )
    assert verdict("disconnecting_means", data) == expected


INDOORS = {
    "combustibles_clear": False,
    "completely_enclosed_except_vents": False,
    "far_from_combustibles": False,
    "fire_resistant_room": False,
}


@pytest.mark.parametrize(
    ("kva", "class_", "facts", "expected"),
    [
        # 450.21(A): up to 112-1/2 kVA 12 in. from combustibles; 450.21(B): above, a room, or class 155 and an exception
        (112.5, 220, {"combustibles_clear": True}, "meets"),
        (112.5, 220, {}, "does_not_meet"),
        (112.5, 220, {"completely_enclosed_except_vents": True}, "does_not_apply"),
        (112.5, 220, {"combustibles_clear": None}, "cannot_tell"),
        (150, 220, {"fire_resistant_room": True}, "meets"),
        (150, 220, {}, "does_not_meet"),
        (150, 155, {"completely_enclosed_except_vents": True}, "meets"),
        (150, 155, {"far_from_combustibles": True, "combustibles_clear": True}, "meets"),
        (150, 150, {"completely_enclosed_except_vents": True}, "does_not_meet"),
        (150, None, {"completely_enclosed_except_vents": True}, "cannot_tell"),
        (150, 220, {"fire_resistant_room": None}, "cannot_tell"),
        # where an exception holds, the room makes no difference
        (
            150,
            155,
            {"fire_resistant_room": None, "completely_enclosed_except_vents": True},
            "meets",
        ),
        (
            150,
            155,
            {
                "fire_resistant_room": None,
                "completely_enclosed_except_vents": None,
                "far_from_combustibles": True,
                "combustibles_clear": True,
            },
            "meets",
        ),
        (
            150,
            150,
            {"fire_resistant_room": None, "completely_enclosed_except_vents": True},
            "cannot_tell",
        ),
    ],
)
def test_a_dry_type_indoors_keeps_its_distance_or_its_room(kva, class_, facts, expected):
    data = with_facts(
        sound(),
        transformer__kva=kva,
        transformer__insulation_class_celsius=class_,
        **{f"observations__{n}": v for n, v in {**INDOORS, **facts}.items()},
    )
    assert verdict("dry_type_indoors", data) == expected


@pytest.mark.parametrize(
    ("kva", "class_", "facts", "expected"),
    [
        # 450.22: weatherproof; above 112-1/2 kVA 12 in. from combustible parts of buildings or class 155, enclosed
        (
            112.5,
            220,
            {"weatherproof_enclosure": True, "completely_enclosed_except_vents": True},
            "meets",
        ),
        # 110.12(A): unused openings are closed; with a cover off, a case made for outdoors is not weatherproof
        (112.5, 220, {"weatherproof_enclosure": True}, "does_not_meet"),
        (
            112.5,
            220,
            {"weatherproof_enclosure": True, "completely_enclosed_except_vents": None},
            "cannot_tell",
        ),
        (112.5, 220, {"weatherproof_enclosure": False}, "does_not_meet"),
        (112.5, 220, {"weatherproof_enclosure": None}, "cannot_tell"),
        (150, 220, {"weatherproof_enclosure": True}, "does_not_meet"),
        (
            150,
            None,
            {
                "weatherproof_enclosure": True,
                "completely_enclosed_except_vents": True,
                "combustibles_clear": True,
            },
            "meets",
        ),
        (
            150,
            155,
            {"weatherproof_enclosure": True, "completely_enclosed_except_vents": True},
            "meets",
        ),
        (
            150,
            150,
            {"weatherproof_enclosure": True, "completely_enclosed_except_vents": True},
            "does_not_meet",
        ),
        (
            150,
            None,
            {"weatherproof_enclosure": True, "completely_enclosed_except_vents": True},
            "cannot_tell",
        ),
    ],
)
def test_a_dry_type_outdoors_is_weatherproof_and_keeps_its_distance(kva, class_, facts, expected):
    data = with_facts(
        sound(),
        transformer__kva=kva,
        transformer__location="outdoors",
        transformer__insulation_class_celsius=class_,
        **{f"observations__{n}": v for n, v in {**INDOORS, **facts}.items()},
    )
    assert verdict("dry_type_outdoors", data) == expected


def test_dry_type_rules_are_for_dry_types_in_their_place():
    assert verdict("dry_type_outdoors", sound()) == "does_not_apply"
    assert (
        verdict("dry_type_indoors", sound(), transformer__location="outdoors") == "does_not_apply"
    )
    for id_, place, section in (
        # 450.23 to 450.26 indoors, 450.27 outdoors: outside this tool, so never silently passed
        ("dry_type_indoors", "indoors", "450.23 to 450.26"),
        ("dry_type_outdoors", "outdoors", "450.27"),
    ):
        there = with_facts(sound(), transformer__location=place)
        liquid = found(id_, there, transformer__construction="liquid")
        assert (liquid.verdict, liquid.section) == ("cannot_tell", section)
        assert "outside this tool" in liquid.reason
        assert verdict(id_, there, transformer__construction=None) == "cannot_tell"
        assert (
            verdict(
                id_,
                sound(),
                transformer__location=None,
                transformer__kva=500,
                observations__fire_resistant_room=False,
            )
            == "cannot_tell"
        )


@pytest.mark.parametrize(
    ("primary", "secondary", "expected"),
    [
        # 75 kVA: 90.21 A and 208.18 A; 3 % (common practice, no source)
        (90.2, 208, "meets"),
        (92.9, 208, "meets"),
        (93.0, 208, "does_not_meet"),
        (90.2, 201.9, "does_not_meet"),
        (90.2, None, "cannot_tell"),
    ],
)
def test_the_nameplate_agrees_with_itself(primary, secondary, expected):
    data = with_facts(
        nameplate(75, 3, 480, 208),
        transformer__nameplate_primary_amperes=primary,
        transformer__nameplate_secondary_amperes=secondary,
    )
    assert verdict("nameplate_agrees", data) == expected


@pytest.mark.parametrize(
    ("primary", "secondary", "autotransformer", "expected"),
    [
        # Article 100: no direct connection between a separately derived system and its supply
        ("wye_4_wire", "wye_4_wire", False, "meets"),
        ("wye_4_wire", "wye_4_wire", None, "cannot_tell"),
        ("delta_3_wire", "delta_high_leg", None, "cannot_tell"),
        (None, "wye_4_wire", None, "cannot_tell"),
        # common practice, no source: a delta and a wye have no winding in common
        ("delta_3_wire", "wye_4_wire", None, "meets"),
        ("wye_3_wire", "delta_high_leg", None, "meets"),
    ],
)
def test_the_secondary_is_a_winding_of_its_own(primary, secondary, autotransformer, expected):
    data = with_facts(
        nameplate(75, 3, 480, 208),
        transformer__primary_system=primary,
        transformer__secondary_system=secondary,
        transformer__autotransformer=autotransformer,
    )
    assert verdict("separate_windings", data) == expected


def test_above_1000_volts_a_closed_case_does_not_excuse_the_distance():
    # 450.21(A): the exception for a completely enclosed unit is for 1000 V and less
    data = with_facts(
        sound(),
        transformer__kva=112.5,
        observations__combustibles_clear=False,
        observations__completely_enclosed_except_vents=True,
    )
    assert verdict("dry_type_indoors", data) == "does_not_apply"
    assert verdict("dry_type_indoors", data, transformer__primary_volts=1000) == "does_not_apply"
    assert verdict("dry_type_indoors", data, transformer__primary_volts=4160) == "does_not_meet"


@pytest.mark.parametrize(
    ("open_", "expected"), [(True, "meets"), (False, "does_not_meet"), (None, "cannot_tell")]
)
def test_a_hollow_space_is_not_closed_in_for_good(open_, expected):
    # 450.13(B): hollow spaces of buildings not permanently closed in by structure
    data = with_facts(
        sound(),
        transformer__kva=50,
        observations__above_ceiling=True,
        observations__hollow_space_open=open_,
    )
    assert verdict("hollow_space", data) == expected
    # What is too large for any hollow space needs no such look.
    assert verdict("hollow_space", data, transformer__kva=75) == "does_not_meet"


def test_open_core_and_coils_are_guarded_by_place_or_not_at_all():
    # 450.8, 110.27: energized parts guarded
    check = found(
        "guarding", sound(), transformer__enclosure="open", observations__live_parts_guarded=False
    )
    assert (check.verdict, check.severity) == ("does_not_meet", "danger")


STEP_UP = {
    "transformer__kva": 75,
    "transformer__primary_volts": 208,
    "transformer__secondary_volts": 480,
    "transformer__primary_system": "wye_4_wire",
    "transformer__secondary_system": "delta_3_wire_ungrounded",
}


def test_the_supplys_neutral_stays_off_the_winding_that_is_fed():
    # Electrical Contractor magazine, as quoted in Mike Holt forum thread 2566235: not connected to X0, X0 not bonded
    data = with_facts(sound(), **STEP_UP)
    check = found("supplied_neutral", data, observations__supplied_neutral_open=False)
    assert (check.verdict, check.severity) == ("does_not_meet", "danger")
    assert verdict("supplied_neutral", data) == "meets"
    for system in ("delta_corner_grounded", "delta_high_leg"):
        there = with_facts(data, transformer__secondary_system=system)
        assert (
            verdict("supplied_neutral", there, observations__supplied_neutral_open=None)
            == "cannot_tell"
        )
    assert (
        verdict("supplied_neutral", data, transformer__primary_system="delta_3_wire")
        == "does_not_apply"
    )
    # wye on both sides: manufacturers differ (Mike Holt forum 2551544), so that what lands there is not judged
    both = with_facts(data, transformer__secondary_system="wye_4_wire")
    assert verdict("supplied_neutral", both) == "meets"
    for answer in (False, None):
        assert (
            verdict("supplied_neutral", both, observations__supplied_neutral_open=answer)
            == "cannot_tell"
        )


def test_a_wye_fed_up_to_a_delta_is_a_step_down_unit_turned_around():
    # 450.11(B): fed at its marked secondary voltage only as the manufacturer's instructions say
    data = with_facts(sound(), **STEP_UP, observations__reverse_fed=False)
    assert verdict("reverse_feed", data, observations__reverse_feed_marked=False) == "does_not_meet"
    assert verdict("reverse_feed", data, observations__reverse_feed_marked=None) == "cannot_tell"
    # by its voltages it is fed on the low-voltage side, whatever was answered; a plate that says so allows it
    step_up = with_facts(data, transformer__primary_system="delta_3_wire")
    assert verdict("reverse_feed", step_up) == "meets"
    assert verdict("reverse_feed", step_up, observations__reverse_feed_marked=None) == "cannot_tell"


def test_a_full_arc_flash_label_by_edition_and_rating():
    # 110.16(B): service equipment alone in 2020; from 1000 A in 2023 (electricallicenserenewal.com 1408); all in 2026
    data = with_facts(sound(), observations__arc_flash_label_complete=None)
    id_ = "arc_flash_label"
    for edition, expected in (
        (2020, "does_not_apply"),
        (2023, "does_not_apply"),
        (2026, "cannot_tell"),
    ):
        assert verdict(id_, data, edition=edition) == expected
    assert verdict(id_, data, secondary__panelboard__rating=1000) == "cannot_tell"
    assert verdict(id_, data, secondary__protection__rating=1000) == "cannot_tell"
    assert verdict(id_, data, secondary__panelboard__rating=None) == "cannot_tell"
    may_be_set = with_facts(
        data,
        secondary__protection__rating=800,
        secondary__protection__adjustable=True,
        secondary__protection__rating_basis="setting_open",
        secondary__protection__highest_rating=1200,
    )
    assert verdict(id_, may_be_set) == "cannot_tell"
    assert (
        found(id_, may_be_set, observations__arc_flash_label_complete=True).section == "110.16(B)"
    )


def test_line_side_barriers_by_edition_and_end():
    # 215.15 is new in 2023, for panelboards, switchboards and the like (captaincode2023 node 317)
    data = with_facts(sound(), observations__line_side_barriers=False)
    id_ = "line_side_barriers"
    assert verdict(id_, data, edition=2020) == "does_not_apply"
    assert verdict(id_, data, edition=2026) == "does_not_meet"
    assert verdict(id_, data, secondary__protection__kind="main_lugs_only") == "does_not_apply"
    no_board = with_facts(
        data,
        secondary__panelboard__present=False,
        secondary__panelboard__rating=None,
        secondary__panelboard__short_circuit_kiloamperes=None,
    )
    assert verdict(id_, no_board) == "does_not_apply"


def test_enclosures_count_where_a_run_is_wet():
    # 312.2 (Mike Holt forum 111348)
    id_ = "outdoor_enclosures"
    data = with_facts(sound(), observations__outdoor_enclosures_weatherproof=False)
    assert verdict(id_, data) == "does_not_apply"
    for side in ("primary", "secondary"):
        wet = f"{side}__conductors__wet_location"
        assert verdict(id_, data, **{wet: True}) == "does_not_meet"
        assert verdict(id_, data, **{wet: None}) == "cannot_tell"
    assert verdict(id_, data, secondary__rule="outside") == "does_not_meet"


def test_the_working_space_names_its_figures():
    # 29 CFR 1910.303 Table S-1: 151 V to 600 V to ground 3 ft, 3-1/2 ft, 4 ft; up to 150 V 3 ft; 30 in. wide; 6-1/2 ft high
    required = found("working_space", sound()).required
    for figure in ("30 in. wide", "6-1/2 ft high", "36 in.", "42 in.", "48 in."):
        assert figure in required
    low = with_facts(
        sound(), transformer__primary_volts=240, primary__supply_system="solidly_grounded_wye"
    )
    assert "42 in." not in found("working_space", low).required


@pytest.mark.parametrize(
    ("faces", "depth", "expected"),
    [
        # 480 V: 277 V to ground on a grounded wye, 480 V at most; both in one row of the table
        ("nothing_grounded", 36, "meets"),
        ("nothing_grounded", 35.9, "does_not_meet"),
        ("grounded", 42, "meets"),
        ("grounded", 41.9, "does_not_meet"),
        ("live", 48, "meets"),
        ("live", 47, "does_not_meet"),
        (None, 48, "meets"),
        (None, 42, "cannot_tell"),
        (None, 35, "does_not_meet"),
        ("grounded", None, "cannot_tell"),
    ],
)
def test_a_taped_depth_is_held_against_the_table(faces, depth, expected):
    data = with_facts(
        sound(),
        observations__working_space_faces=faces,
        observations__working_space_depth_inches=depth,
    )
    check = found("working_space_depth", data)
    assert check.verdict == expected
    assert check.severity == ("violation" if expected == "does_not_meet" else "advice")


@pytest.mark.parametrize(
    ("supply", "system", "expected"),
    [
        # 240 V: 139 V to ground on a grounded wye, 120 V from a grounded midpoint, else up to 240 V
        ("solidly_grounded_wye", "wye_4_wire", "meets"),
        ("solidly_grounded_wye", "delta_corner_grounded", "does_not_meet"),
        ("ungrounded", "wye_4_wire", "does_not_meet"),
        ("high_leg", "wye_4_wire", "does_not_meet"),
        (None, "wye_4_wire", "cannot_tell"),
        ("solidly_grounded_wye", None, "cannot_tell"),
    ],
)
def test_the_depth_depends_on_the_voltage_to_ground(supply, system, expected):
    data = with_facts(
        sound(),
        transformer__primary_volts=240,
        transformer__secondary_system=system,
        primary__supply_system=supply,
        observations__working_space_depth_inches=40,
    )
    assert verdict("working_space_depth", data) == expected


def test_a_switchboard_has_a_dedicated_space_too():
    data = with_facts(sound(), secondary__panelboard__present=False)
    assert verdict("dedicated_space", data, observations__supplies_switchboard=True) == "meets"
    assert (
        verdict("dedicated_space", data, observations__supplies_switchboard=False)
        == "does_not_apply"
    )
    assert (
        verdict("dedicated_space", data, observations__supplies_switchboard=None) == "cannot_tell"
    )


@pytest.mark.parametrize(
    ("check", "facts"),
    [
        ("high_leg_phase", {}),
        ("high_leg_label", {}),
        # 250.64(B): 6 AWG and larger may run in the open where nothing hits it (EC&M code quiz, 2014 NEC)
        ("small_electrode_conductor", {"electrode__conductor__size": "6"}),
        ("water_pipe_entry", {"electrode__used": "building_steel"}),
        # 300.4(G): 4 AWG and larger
        (
            "insulating_bushings",
            {
                "primary__conductors__size": "6",
                "secondary__conductors__size": "6",
                "secondary__grounded_conductor__size": "6",
            },
        ),
        # 408.4(B) and 408.6: panelboards, switchboards and switchgear
        ("source_marking", NO_DISTRIBUTION),
        ("fault_current_marking", NO_DISTRIBUTION),
        ("phase_arrangement", NO_DISTRIBUTION),
    ],
)
def test_a_look_is_asked_only_where_there_is_something_to_look_at(check, facts):
    assert verdict(check, sound(), **facts) == "does_not_apply"
    for path in facts:
        if verdict(check, sound(), **{**facts, path: None}) != "does_not_apply":
            assert verdict(check, sound(), **{**facts, path: None}) == "cannot_tell"


@pytest.mark.parametrize("check", ["source_marking", "fault_current_marking"])
def test_a_switchboard_is_marked_as_a_panelboard_is(check):
    data = with_facts(
        sound(),
        secondary__panelboard__present=False,
        observations__supplies_switchboard=True,
        observations__source_marked=False,
        observations__fault_current_marked=False,
    )
    assert verdict(check, data) == "does_not_meet"


def test_one_large_conductor_is_enough_to_ask_for_bushings():
    data = with_facts(
        sound(),
        primary__conductors__size="6",
        secondary__conductors__size="4",
        observations__insulating_fittings=False,
    )
    assert verdict("insulating_bushings", data) == "does_not_meet"
    assert verdict("insulating_bushings", data, primary__conductors__size=None) == "does_not_meet"


def test_a_delta_that_is_fed_has_no_neutral_point_whatever_it_gives_out():
    for data in (sound(), corner_grounded()):
        check = found("supplied_neutral", data, transformer__primary_system="delta_3_wire")
        assert check.verdict == "does_not_apply"
        assert check.reason == "The winding that is fed has no neutral point."
    both = found(
        "supplied_neutral",
        sound(),
        transformer__primary_system="wye_4_wire",
        observations__supplied_neutral_open=False,
    )
    assert both.reason.startswith("Wye on both sides")


@pytest.mark.parametrize(
    ("kva", "volts", "room", "expected"),
    # 450.21(C) as printed in Mike Holt forum thread 69052
    [
        (500, 38000, True, "cannot_tell"),
        (500, 38000, False, "does_not_meet"),
        (500, 38000, None, "cannot_tell"),
        (100, 38000, True, "cannot_tell"),
        (500, 34500, True, "meets"),
    ],
)
def test_a_dry_type_above_35000_volts_belongs_in_a_vault(kva, volts, room, expected):
    data = with_facts(
        sound(),
        transformer__kva=kva,
        transformer__primary_volts=volts,
        observations__fire_resistant_room=room,
        observations__combustibles_clear=True,
    )
    assert verdict("dry_type_indoors", data) == expected


SHARED_ALUMINUM = with_facts(
    sound(),
    electrode__common_conductor=True,
    electrode__common_conductor_size="250",
    electrode__common_conductor_material="aluminum",
    observations__aluminum_clear_of_earth=True,
)


def test_a_connector_on_an_aluminum_shared_conductor_is_made_for_aluminum():
    # 110.14(A), 250.70: the connector of the tap lands on aluminum
    lugs = {"observations__lugs_marked_for_metal": False}
    assert verdict("lugs_for_aluminum", SHARED_ALUMINUM, **lugs) == "does_not_meet"
    assert verdict("lugs_for_aluminum", SHARED_ALUMINUM) == "meets"
    copper = with_facts(SHARED_ALUMINUM, electrode__common_conductor_material="copper")
    assert verdict("lugs_for_aluminum", copper, **lugs) == "does_not_apply"


# 250.102(E)(3), quoted in Mike Holt forum thread 120358: bonding jumpers are installed by 250.64(A) and (B).
@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({"bonding__supply_side_bonding_jumper__insulation": "bare"}, "does_not_meet"),
        ({"transformer__location": "outdoors"}, "does_not_meet"),
        # insulated, indoors and in its raceway it touches neither earth nor masonry
        ({}, "does_not_apply"),
        ({"bonding__supply_side_bonding_jumper__insulation": None}, "cannot_tell"),
        ({"transformer__location": None}, "cannot_tell"),
        (
            {
                "bonding__supply_side_bonding_jumper__insulation": "bare",
                "bonding__supply_side_bonding_jumper__material": "copper",
            },
            "does_not_apply",
        ),
    ],
)
def test_an_aluminum_bonding_jumper_is_clear_of_earth(facts, expected):
    data = with_facts(
        sound(),
        bonding__supply_side_bonding_jumper__material="aluminum",
        bonding__supply_side_bonding_jumper__size="1/0",
        observations__aluminum_clear_of_earth=False,
    )
    assert verdict("aluminum_electrode_conductor", data, **facts) == expected


@pytest.mark.parametrize("bond", ["water_pipe_bond", "structural_steel_bond"])
def test_a_bond_smaller_than_6_awg_is_enclosed(bond):
    # 250.102(E)(3) and 250.64(B)(3), both quoted in Mike Holt forum thread 120358
    data = with_facts(sound(), observations__small_electrode_conductor_enclosed=False)
    assert verdict("small_electrode_conductor", data) == "does_not_apply"
    small = {f"bonding__{bond}__size": "8"}
    assert verdict("small_electrode_conductor", data, **small) == "does_not_meet"
    assert (
        verdict("small_electrode_conductor", data, **{f"bonding__{bond}__size": None})
        == "cannot_tell"
    )
