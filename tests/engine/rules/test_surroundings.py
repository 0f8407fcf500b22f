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

# check, observation, good answer, and the job to which the requirement applies
SEEN = [
    ("ventilation", "ventilation_clear", True, sound()),
    ("storage", "top_free_of_storage", True, sound()),
    ("enclosure_bonded", "enclosure_bonded", True, sound()),
    ("terminal_bar", "terminal_bar_used", True, sound()),
    ("terminal_bar_place", "terminal_bar_clear_of_vents", True, sound()),
    ("electrode_conductor_openings", "conductors_clear_of_vents", True, sound()),
    ("working_space", "working_space_clear", True, sound()),
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
    ("electrode_conductor_protection", "electrode_conductor_protected", True, sound()),
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
        with_facts(sound(), observations__reverse_fed=True),
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
        ("secondary_end", {}, "secondary__rule"),
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
    ],
)
def test_where_it_does_not_apply_and_where_that_is_unknown(id_, facts, unknown):
    check = found(id_, sound(), **facts)
    assert check.verdict == "does_not_apply"
    assert check.reason
    open_ = {f"observations__{fact}": None for line, fact, *_ in SEEN if line == id_}
    assert verdict(id_, sound(), **{**open_, unknown: None}) == "cannot_tell"


@pytest.mark.parametrize(
    ("id_", "since"),
    [
        # 250.64(G) new in 2023 (Mike Holt forum 2577373); 110.14(D) in 2017 (captaincode2017 119); 408.6 in 2020 (915)
        ("electrode_conductor_openings", 2023),
        ("torque", 2017),
        ("fault_current_marking", 2020),
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
        (150, 155, {"far_from_combustibles": True}, "meets"),
        (150, 150, {"completely_enclosed_except_vents": True}, "does_not_meet"),
        (150, None, {"completely_enclosed_except_vents": True}, "cannot_tell"),
        (150, 220, {"fire_resistant_room": None}, "cannot_tell"),
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
        (112.5, 220, {"weatherproof_enclosure": True}, "meets"),
        (112.5, 220, {"weatherproof_enclosure": False}, "does_not_meet"),
        (112.5, 220, {"weatherproof_enclosure": None}, "cannot_tell"),
        (150, 220, {"weatherproof_enclosure": True}, "does_not_meet"),
        (150, 220, {"weatherproof_enclosure": True, "combustibles_clear": True}, "meets"),
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
        (150, None, {"weatherproof_enclosure": True}, "cannot_tell"),
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
    for id_ in ("dry_type_indoors", "dry_type_outdoors"):
        assert verdict(id_, sound(), transformer__construction="liquid") == "does_not_apply"
        assert verdict(id_, sound(), transformer__construction=None) == "cannot_tell"
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
