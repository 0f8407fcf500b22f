"""A catalog of small changes that make a sound installation dangerous or unlawful, each with the section that says so.

A change returns the facts that it replaces, or None where it would not be wrong. Whether it would be is settled by
`second_calculation.py` and by what was drawn, never by the engine. Sections are those of 2023, from memory unless
`engine/code/sections.csv` confirms them. `checks` names who must speak of it: at least one of them condemns it or can't
tell any more, or the change itself is called a contradiction.
"""

from collections.abc import Callable
from typing import Any, NamedTuple

from tests.engine import second_calculation as second
from tests.engine.installations import Installation

Facts = dict[str, Any]


class Change(NamedTuple):
    """One way to be nearly right.

    `firm`: it is condemned, whatever else was drawn; else an answer of *can't tell* or a contradiction does too, because
    what is right can't be told from what is wrong. `advice`: the whole may still pass, but the line may not.
    """

    id: str
    sections: tuple[str, ...]
    checks: tuple[str, ...]
    facts: Callable[[Installation], Facts | None]
    firm: bool = True
    advice: bool = False


# What a change makes of an installation: the facts it replaces, None where it makes no sense.
Made = Callable[[Installation], Facts | None]

CATALOG: list[Change] = []


def _named(
    id_: str, sections: str, checks: str, *, firm: bool = True, advice: bool = False
) -> Callable[[Made], Made]:
    def add(facts: Made) -> Made:
        CATALOG.append(
            Change(id_, tuple(sections.split("; ")), tuple(checks.split()), facts, firm, advice)
        )
        return facts

    return add


def _steady(facts: Facts) -> Callable[[Installation], Facts]:
    return lambda _: facts


def _where(applies: Callable[[Installation], bool], facts: Facts) -> Made:
    return lambda i: facts if applies(i) else None


# ---------------------------------------------------------------- what a look settles


def _outdoors(i: Installation) -> bool:
    return i.get("transformer.location") == "outdoors"


def _indoors(i: Installation) -> bool:
    return not _outdoors(i)


def _kva(i: Installation) -> float:
    return i.get("transformer.kva")


def _panelboard(i: Installation) -> bool:
    return bool(i.get("secondary.panelboard.present"))


def _distribution(i: Installation) -> bool:
    return _panelboard(i) or bool(i.get("observations.supplies_switchboard"))


def _system(i: Installation) -> str:
    return i.connection.secondary_system


def _rule(*names: str) -> Callable[[Installation], bool]:
    return lambda i: i.get("secondary.rule") in names


def _is(system: str) -> Callable[[Installation], bool]:
    return lambda i: _system(i) == system


def _from(edition: int) -> Callable[[Installation], bool]:
    return lambda i: i.edition >= edition


def _grounded(i: Installation) -> bool:
    return i.connection.grounded


def _always(_: Installation) -> bool:
    return True


def _parallel(i: Installation) -> bool:
    return i.primary.sets > 1 or i.secondary.sets > 1


def _bushings(i: Installation) -> bool:
    sizes = (i.get("primary.conductors.size"), i.get("secondary.conductors.size"))
    return any(second.kcmil(size) >= second.kcmil("4") for size in sizes)


def _end_counts(i: Installation) -> bool:
    return i.get("secondary.rule") != "primary_device"


# A look: its name, the section, the check, where it matters, and the answer that is wrong.
_LOOKS: tuple[tuple[str, str, str, Callable[[Installation], bool], str, bool], ...] = (
    ("vents_blocked", "450.9", "ventilation", _always, "ventilation_clear", False),
    ("storage_on_top", "450.9; 110.3(B)", "storage", _always, "top_free_of_storage", False),
    ("case_not_bonded", "250.4(A)(5)", "enclosure_bonded", _always, "enclosure_bonded", False),
    ("grounds_on_vent_slots", "450.10(A)", "terminal_bar", _always, "terminal_bar_used", False),
    ("bar_over_the_vents", "450.10(A)", "terminal_bar_place", _always, "terminal_bar_clear_of_vents", False),
    ("electrode_conductor_through_a_vent", "250.64(G)", "electrode_conductor_openings", _from(2023), "conductors_clear_of_vents", False),
    ("top_without_a_mark", "450.9", "top_marking", _from(2020), "top_marked", False),
    ("not_fastened", "110.13(A)", "anchoring", _always, "anchored", False),
    ("not_torqued", "110.14(D)", "torque", _from(2017), "torque_recorded", False),
    ("working_space_full", "110.26(A)", "working_space", _always, "working_space_clear", False),
    ("out_of_reach", "450.13", "accessibility", _always, "readily_accessible", False),
    ("case_not_weatherproof", "450.22", "dry_type_outdoors", _outdoors, "weatherproof_enclosure", False),
    ("sets_that_differ", "310.10(G)(2)", "parallel_alike", _parallel, "parallel_sets_alike", False),
    ("circuit_in_two_raceways", "300.3(B)", "circuit_grouping", _always, "circuit_grouped", False),
    ("no_bushings", "300.4(G)", "insulating_bushings", _bushings, "insulating_fittings", False),
    ("tapped_ahead", "240.21", "no_taps", _always, "tapped_ahead_of_device", True),
    ("wires_go_on", "240.21(C)", "secondary_end secondary_rule", _end_counts, "ends_at_equipment_supplied", False),
    ("outside_rule_through_the_attic", "240.21(C)(4)", "outside_run", _rule("outside"), "outdoors_all_the_way", False),
    ("outside_disconnect_deep_inside", "240.21(C)(4)", "outside_disconnect", _rule("outside"), "outside_disconnect_placed", False),
    ("colors_mislead", "200.6; 210.5(C)", "conductor_identification", _grounded, "grounded_conductor_identified", False),
    ("source_not_marked", "408.4(B)", "source_marking", _distribution, "source_marked", False),
    ("fault_current_not_marked", "408.6", "fault_current_marking", lambda i: _distribution(i) and i.edition >= 2020, "fault_current_marked", False),
    ("phases_out_of_order", "408.3(E)", "phase_arrangement", lambda i: _distribution(i) and i.connection.phases == 3, "phases_in_order", False),
    ("no_arc_flash_warning", "110.16", "arc_flash_marking", _always, "arc_flash_marked", False),
    ("arc_flash_warning_without_its_label", "110.16", "arc_flash_label", _from(2026), "arc_flash_label_complete", False),
    ("short_circuit_rating_not_marked", "408.6", "short_circuit_rating_marking", lambda i: _distribution(i) and i.edition >= 2026, "short_circuit_rating_marked", False),
    ("live_lugs_behind_the_open_main", "215.15", "line_side_barriers", lambda i: _distribution(i) and i.edition >= 2023 and i.get("secondary.protection.kind") != "main_lugs_only", "line_side_barriers", False),
    ("indoor_panelboard_in_the_rain", "312.2; 408.37", "outdoor_enclosures", _outdoors, "outdoor_enclosures_weatherproof", False),
    ("line_without_a_pole", "240.15", "device_in_each_line", _always, "device_in_each_line", False),
    ("pipe_over_the_panelboard", "110.26(E)", "dedicated_space", _distribution, "dedicated_space_clear", False),
    ("handle_too_high", "240.24(A)", "device_height", _always, "device_height_within_reach", False),
    ("rated_for_less_voltage", "110.4", "voltage_ratings", _always, "voltage_ratings_enough", False),
    ("ungrounded_not_marked", "250.21(C)", "ungrounded_marking", lambda i: not _grounded(i), "ungrounded_marked", False),
    ("no_ground_detector", "250.21(B)", "ground_detection", lambda i: not _grounded(i), "ground_detector", False),
    ("slash_rated_on_a_delta", "240.85", "straight_rated_devices", lambda i: _system(i).startswith("delta"), "straight_rated_devices", False),
    ("fuse_in_the_grounded_phase", "240.22; 200.6", "grounded_phase_marking", _is("delta_corner_grounded"), "grounded_phase_identified", False),
    ("high_leg_on_another_phase", "408.3(E)", "high_leg_phase", lambda i: _is("delta_high_leg")(i) and _distribution(i), "high_leg_on_b", False),
    ("high_leg_without_a_label", "408.3(F)(1)", "high_leg_label", lambda i: _is("delta_high_leg")(i) and _distribution(i), "high_leg_labeled", False),
    ("high_leg_not_orange", "110.15", "high_leg_marking", _is("delta_high_leg"), "high_leg_orange", False),
    ("load_from_high_leg_to_neutral", "110.15", "high_leg_loads", _is("delta_high_leg"), "high_leg_free_of_neutral_loads", False),
    ("electrode_conductor_spliced", "250.64(B); 250.64(C)", "electrode_conductor_protection", _always, "electrode_conductor_protected", False),
    ("sheet_metal_screws", "250.8; 250.12", "bonding_connections", _always, "grounding_connections_sound", False),
    ("steel_sleeve_bonded_at_one_end", "250.64(E)", "ferrous_raceway", _always, "ferrous_raceway_bonded", False),
    ("no_electrode_outdoors", "250.30(C)", "outdoor_electrode", _outdoors, "electrode_at_outdoor_source", False),
    ("far_from_the_entry_of_the_pipe", "250.68(C)(1)", "water_pipe_entry", lambda i: i.get("electrode.used") == "water_pipe", "water_pipe_near_entry", False),
    ("aluminum_in_the_earth", "250.64(A)", "aluminum_electrode_conductor", lambda i: i.get("electrode.conductor.material") == "aluminum", "aluminum_clear_of_earth", False),
    ("reverse_fed_and_not_marked", "450.11(B)", "reverse_feed", lambda i: i.connection.reverse_fed, "reverse_feed_marked", False),
    ("supply_neutral_on_x0", "250.142(B); 450.11(B)", "supplied_neutral", lambda i: i.connection.reverse_fed, "supplied_neutral_open", False),
)  # fmt: skip

for _id, _section, _check, _applies, _fact, _wrong in _LOOKS:
    _named(_id, _section, _check)(_where(_applies, {f"observations.{_fact}": _wrong}))


@_named("no_disconnect_in_sight", "450.14", "disconnecting_means")
def _no_disconnect(_: Installation) -> Facts:
    return {
        "observations.disconnect_in_sight": False,
        "observations.disconnect_lockable_and_marked": False,
    }


@_named("core_and_coils_open", "450.8; 110.27", "guarding")
def _open_core(i: Installation) -> Facts | None:
    return {
        "transformer.enclosure": "open",
        "observations.completely_enclosed_except_vents": False,
        "observations.live_parts_guarded": False,
    }


@_named("wood_beside_open_coils", "450.21(A)", "dry_type_indoors")
def _combustibles(i: Installation) -> Facts | None:
    if _outdoors(i) or _kva(i) > 112.5:
        return None
    return {
        "transformer.enclosure": "open",
        "observations.completely_enclosed_except_vents": False,
        "observations.combustibles_clear": False,
        "observations.far_from_combustibles": False,
    }


@_named("large_and_no_fire_resistant_room", "450.21(B)", "dry_type_indoors")
def _no_room(i: Installation) -> Facts | None:
    if _outdoors(i) or _kva(i) <= 112.5:
        return None
    return {
        "transformer.temperature_rise_celsius": 80,
        "transformer.insulation_class_celsius": 130,
        "observations.fire_resistant_room": False,
        "observations.far_from_combustibles": False,
    }


@_named("large_outdoors_beside_combustibles", "450.22", "dry_type_outdoors")
def _outdoors_combustibles(i: Installation) -> Facts | None:
    if _indoors(i) or _kva(i) <= 112.5:
        return None
    return {
        "transformer.temperature_rise_celsius": 80,
        "transformer.insulation_class_celsius": 130,
        "observations.combustibles_clear": False,
        "observations.far_from_combustibles": False,
    }


@_named("above_a_hard_lid", "450.13(B)", "hollow_space")
def _hard_lid(i: Installation) -> Facts | None:
    if _outdoors(i):
        return None
    return {"observations.above_ceiling": True, "observations.hollow_space_open": False}


@_named("above_a_ceiling_and_too_large", "450.13(B)", "hollow_space")
def _large_above_ceiling(i: Installation) -> Facts | None:
    if _outdoors(i) or _kva(i) <= 50:
        return None
    return {"observations.above_ceiling": True, "observations.hollow_space_open": True}


@_named("plastic_case_in_return_air", "300.22(C)", "air_handling_space")
def _plenum(i: Installation) -> Facts | None:
    if _outdoors(i):
        return None
    return {
        "observations.above_ceiling": True,
        "observations.hollow_space_open": True,
        "observations.ceiling_moves_air": True,
        "observations.case_suits_air_space": False,
    }


@_named("working_space_30_inches_deep", "Table 110.26(A)(1)", "working_space_depth")
def _shallow(_: Installation) -> Facts:
    return {"observations.working_space_depth_inches": 30}


@_named("working_space_36_inches_facing_live_parts", "Table 110.26(A)(1)", "working_space_depth")
def _facing_live(i: Installation) -> Facts | None:
    if max(i.connection.primary_volts, i.connection.secondary_volts) / 3**0.5 <= 150:
        return None
    return {
        "observations.working_space_depth_inches": 36,
        "observations.working_space_faces": "live",
    }


_METALS = {
    "phases_of_the_primary": "primary.conductors.material",
    "phases_of_the_secondary": "secondary.conductors.material",
    "neutral": "secondary.grounded_conductor.material",
    "equipment_grounding_conductor": "primary.equipment_grounding.material",
    "supply_side_jumper": "bonding.supply_side_bonding_jumper.material",
    "electrode_conductor": "electrode.conductor.material",
    "pipe_bond": "bonding.water_pipe_bond.material",
}


def _aluminum_on_copper_lugs(path: str) -> Callable[[Installation], Facts | None]:
    return lambda i: (
        {"observations.lugs_marked_for_metal": False} if i.get(path) == "aluminum" else None
    )


for _name, _path in _METALS.items():
    _named(f"aluminum_{_name}_on_copper_lugs", "110.14(A)", "lugs_for_aluminum")(
        _aluminum_on_copper_lugs(_path)
    )


@_named("concentric_rings_above_250_volts", "250.97", "knockout_bonding")
def _rings(i: Installation) -> Facts | None:
    if (_system(i), i.connection.secondary_volts) != ("wye_4_wire", 480):
        return None
    if i.get("secondary.raceway.type") == "PVC40":
        return None
    return {"observations.knockouts_bonded": False}


@_named("electronic_load_and_neutral_not_counted", "310.15(E)(3)", "neutral_counted")
def _not_counted(i: Installation) -> Facts | None:
    if _system(i) != "wye_4_wire":
        return None
    return {
        "observations.nonlinear_load": True,
        "secondary.grounded_conductor.current_carrying": False,
    }


@_named("bare_8_awg_electrode_conductor", "250.64(B)(3)", "small_electrode_conductor")
def _bare_8(i: Installation) -> Facts | None:
    if i.get("electrode.conductor.size") != "8":
        return None
    return {"observations.small_electrode_conductor_enclosed": False}


# ---------------------------------------------------------------- overcurrent devices


def _next_rating(rating: float, i: Installation, kind: str) -> float | None:
    return second.next_standard(rating + 0.5, i.edition, kind)


@_named("primary_device_above_125_percent_alone", "Table 450.3(B)", "primary_device")
def _above_125(i: Installation) -> Facts | None:
    if i.get("secondary.protection.kind") != "main_lugs_only":
        return None
    kind = i.get("primary.device.kind")
    most = second.primary_device_maximum(i.primary_current, i.edition, kind)
    rating = _next_rating(most, i, kind)
    return {"primary.device.rating": rating} if rating else None


@_named("primary_device_above_250_percent", "Table 450.3(B)", "primary_device")
def _above_250(i: Installation) -> Facts | None:
    if i.primary_current < 9:  # then 250 % is not the limit of the primary alone
        return None
    most = second.primary_device_maximum_with_secondary_protection(i.primary_current)
    rating = _next_rating(most, i, i.get("primary.device.kind"))
    return {"primary.device.rating": rating} if rating else None


@_named("secondary_device_above_125_percent", "Table 450.3(B)", "secondary_device primary_device")
def _secondary_above_125(i: Installation) -> Facts | None:
    if i.get("secondary.protection.kind") != "main_device":
        return None
    kind = i.get("secondary.protection.device_kind")
    alone = second.primary_device_maximum(
        i.primary_current, i.edition, i.get("primary.device.kind")
    )
    if i.get("primary.device.rating") <= alone:
        return None  # then 450.3 asks for none on the secondary
    most = second.secondary_device_maximum(i.secondary_current, i.edition, kind)
    rating = _next_rating(most, i, kind)
    if rating is None:
        return None
    return {"secondary.protection.rating": rating, "secondary.protection.ratings": [rating]}


@_named("main_one_rating_above_the_conductors", "240.21(C)", "secondary_conductors secondary_rule")
def _rounded_up(i: Installation) -> Facts | None:
    """Rounding up to the next standard rating, as 240.4(B) lets other conductors do."""
    if i.get("secondary.protection.kind") != "main_device":
        return None
    ampacity = i.secondary.ampacity(i.get("secondary.conductors.size"))
    rating = _next_rating(ampacity, i, i.get("secondary.protection.device_kind"))
    if rating is None:
        return None
    return {"secondary.protection.rating": rating, "secondary.protection.ratings": [rating]}


@_named("main_above_the_bus", "408.36", "panelboard_protection")
def _above_the_bus(i: Installation) -> Facts | None:
    rating = i.get("secondary.protection.rating")
    if not _panelboard(i) or not rating or rating <= 15:
        return None
    return {"secondary.panelboard.rating": rating - 5}


@_named("main_lugs_only_behind_a_transformer", "408.36(B)", "panelboard_protection")
def _lugs_only(i: Installation) -> Facts | None:
    if not _panelboard(i) or i.get("secondary.protection.kind") != "main_device":
        return None
    # 408.36(B), exception: the primary device may protect it through two wires or a delta of three.
    ratio = i.get("transformer.primary_volts") / i.get("transformer.secondary_volts")
    if (
        i.get("transformer.secondary_system")
        in ("single_phase_2_wire", "delta_3_wire_ungrounded", "delta_corner_grounded")
        and i.get("primary.device.rating") * ratio <= i.get("secondary.panelboard.rating") * 1.001
    ):
        return None
    return {
        "secondary.protection.kind": "main_lugs_only",
        "secondary.protection.rating": None,
        "secondary.protection.ratings": None,
        "secondary.protection.device_kind": None,
        "secondary.protection.adjustable": None,
        "secondary.protection.highest_rating": None,
        "secondary.protection.interrupting_kiloamperes": None,
        "secondary.protection.ground_fault_protection": None,
        "secondary.protection.arc_energy_reduction": None,
    }


@_named("seven_grouped_devices", "Table 450.3(B) note 2", "secondary_device primary_device")
def _seven(i: Installation) -> Facts | None:
    if i.get("secondary.protection.kind") != "grouped_devices":
        return None
    alone = second.primary_device_maximum(
        i.primary_current, i.edition, i.get("primary.device.kind")
    )
    if i.get("primary.device.rating") <= alone:
        return None
    return {"secondary.protection.ratings": [15.0] * 7}


@_named("industrial_rule_to_no_switchboard", "240.21(C)(3)", "industrial_supply")
def _no_switchboard(i: Installation) -> Facts | None:
    if i.get("secondary.rule") != "industrial_25_ft":
        return None
    return {
        "observations.supplies_switchboard": False,
        "secondary.panelboard.short_circuit_kiloamperes": None,
    }


@_named(
    "grouped_devices_above_the_conductors",
    "240.21(C)(2); 240.21(C)(3)",
    "secondary_conductors secondary_rule",
)
def _grouped_above(i: Installation) -> Facts | None:
    if i.get("secondary.protection.kind") != "grouped_devices":
        return None
    ampacity = i.secondary.ampacity(i.get("secondary.conductors.size"))
    return {
        "secondary.protection.ratings": [ampacity / 2 + 1] * 2,
        "secondary.protection.highest_rating": None,
    }


@_named(
    "grouped_devices_that_are_none",
    "240.21(C)(2); 240.21(C)(3)",
    "secondary_conductors secondary_rule",
)
def _none_grouped(i: Installation) -> Facts | None:
    if i.get("secondary.protection.kind") != "grouped_devices":
        return None
    return {"secondary.protection.ratings": []}


@_named("load_above_the_primary_device", "215.3", "primary_load")
def _load_above_primary(i: Installation) -> Facts:
    rating = i.get("primary.device.rating")
    # 100 A continuous on a 100 A device that may carry 80 % of its rating; half of it was read on the secondary.
    ratio = i.connection.primary_volts / i.connection.secondary_volts
    return {
        "primary.load.continuous_amperes": rating,
        "primary.load.noncontinuous_amperes": 0,
        "secondary.load.continuous_amperes": round(rating * ratio / 2, 1),
    }


@_named("load_above_the_secondary_device", "215.3", "secondary_load")
def _load_above_secondary(i: Installation) -> Facts | None:
    if i.get("secondary.protection.kind") == "main_lugs_only":
        return None
    continuous = round(0.9 * i.ends_at, 1)
    ratio = i.connection.secondary_volts / i.connection.primary_volts
    return {
        "secondary.load.continuous_amperes": continuous,
        "secondary.load.noncontinuous_amperes": 0,
        # The primary carries what the secondary carries, whatever its device.
        "primary.load.continuous_amperes": round(continuous * ratio, 1),
        "primary.load.noncontinuous_amperes": 0,
    }


@_named("primary_device_that_bursts", "110.9", "primary_interrupting_rating")
def _bursts(i: Installation) -> Facts:
    return {"primary.device.interrupting_kiloamperes": 10}


@_named("slash_rated_on_an_ungrounded_supply", "240.85", "primary_straight_rated")
def _slash_primary(i: Installation) -> Facts | None:
    if i.get("primary.device.kind") != "breaker":
        return None
    return {"primary.device.straight_rated": False, "primary.supply_system": "ungrounded"}


@_named("dial_that_anyone_can_turn", "240.6(B); 240.6(C)", "adjustable_trip")
def _open_dial(i: Installation) -> Facts | None:
    if i.get("primary.device.kind") != "breaker":
        return None
    return {"primary.device.adjustable": True, "primary.device.rating_basis": "setting_open"}


@_named("primary_without_ground_fault_protection", "215.10", "primary_ground_fault_protection")
def _no_primary_gfp(i: Installation) -> Facts | None:
    if i.get("primary.device.rating") < 1000 or i.connection.primary_volts != 480:
        return None
    if i.connection.supply != "solidly_grounded_wye":
        return None
    return {"primary.device.ground_fault_protection": False}


@_named("secondary_without_ground_fault_protection", "215.10", "secondary_ground_fault_protection")
def _no_secondary_gfp(i: Installation) -> Facts | None:
    ratings = i.get("secondary.protection.ratings") or [0]
    if (_system(i), i.connection.secondary_volts) != ("wye_4_wire", 480) or max(ratings) < 1000:
        return None
    return {"secondary.protection.ground_fault_protection": False}


@_named("trip_that_can_be_set_to_1200", "215.10; 230.95", "primary_ground_fault_protection")
def _set_lower(i: Installation) -> Facts | None:
    """Set below 1000 A behind a sealed cover: it is what it can be set to that counts."""
    if i.get("primary.device.kind") != "breaker" or i.get("primary.device.rating") >= 1000:
        return None
    if (i.connection.primary_volts, i.connection.supply) != (480, "solidly_grounded_wye"):
        return None
    if i.connection.phases == 1:
        return None
    return {
        "primary.device.adjustable": True,
        "primary.device.rating_basis": "setting_restricted",
        "primary.device.highest_rating": 1200,
        "primary.device.ground_fault_protection": False,
    }


def _must_reduce_arc(kind: str | None, rating: float, edition: int) -> bool:
    """240.87 for breakers; 240.67 for fuses, in force from 2020 on."""
    return rating >= 1200 and (kind == "breaker" or edition >= 2020)


@_named("primary_without_arc_energy_reduction", "240.87; 240.67", "primary_arc_energy")
def _no_primary_arc(i: Installation) -> Facts | None:
    if not _must_reduce_arc(
        i.get("primary.device.kind"), i.get("primary.device.rating"), i.edition
    ):
        return None
    return {"primary.device.arc_energy_reduction": False}


@_named("secondary_without_arc_energy_reduction", "240.87; 240.67", "secondary_arc_energy")
def _no_secondary_arc(i: Installation) -> Facts | None:
    rating = max(i.get("secondary.protection.ratings") or [0])
    if not _must_reduce_arc(i.get("secondary.protection.device_kind"), rating, i.edition):
        return None
    return {"secondary.protection.arc_energy_reduction": False}


def _too_weak(i: Installation) -> float | None:
    """A rating [kA] below 60 % of the fault current of a source without impedance, or None: then nobody makes one."""
    at_terminals = second.fault_current(i.secondary_current, i.get("transformer.impedance_percent"))
    return 0.55 * at_terminals / 1000 if at_terminals > 5000 else None


def _near_a_stiff_source(i: Installation, rating_path: str) -> Facts | None:
    weak = _too_weak(i)
    if weak is None or i.get("secondary.rule") not in ("10_ft", "25_ft", "industrial_25_ft"):
        return None
    # With short runs and a stiff source little is left of what could hold it down.
    return {
        rating_path: weak,
        "primary.source_fault_kiloamperes": 200,
        "primary.device.interrupting_kiloamperes": 200,
        "secondary.conductors.length_feet": 3,
        "secondary.raceway.length_feet": 3,
        "primary.conductors.length_feet": 6,
        "primary.raceway.length_feet": 4,
    }


@_named("panelboard_below_the_fault_current", "110.10; 408.6", "interrupting_ratings")
def _weak_panelboard(i: Installation) -> Facts | None:
    if not _panelboard(i):
        return None
    return _near_a_stiff_source(i, "secondary.panelboard.short_circuit_kiloamperes")


@_named("main_below_the_fault_current", "110.9", "secondary_device_interrupting")
def _weak_main(i: Installation) -> Facts | None:
    if i.get("secondary.protection.kind") == "main_lugs_only":
        return None
    return _near_a_stiff_source(i, "secondary.protection.interrupting_kiloamperes")


@_named(
    "impedance_unknown_and_a_low_rating",
    "110.9; 110.10",
    "interrupting_ratings secondary_device_interrupting",
    firm=False,
)
def _no_impedance(i: Installation) -> Facts | None:
    if i.get("secondary.protection.kind") == "main_lugs_only" or _kva(i) < 75:
        return None
    return {
        "transformer.impedance_percent": None,
        "replacement.old.impedance_percent": None,
        "secondary.protection.interrupting_kiloamperes": 10,
    }


@_named("back_fed_main_not_held_down", "408.36(D)", "back_fed_main")
def _not_held(i: Installation) -> Facts | None:
    if not _panelboard(i) or i.get("secondary.protection.device_kind") != "breaker":
        return None
    return {"secondary.protection.back_fed": True, "secondary.protection.held_down": False}


# ---------------------------------------------------------------- primary conductors


def _primary_holds(run: second.Run, size: str, i: Installation) -> bool:
    try:
        return second.carries(
            run,
            size,
            i.get("primary.load.continuous_amperes"),
            i.get("primary.load.noncontinuous_amperes"),
        ) and second.protected_with_rounding(run, size, i.get("primary.device.rating"))
    except AssertionError:
        return False


_PRIMARY = "primary_conductors primary_conductor_protection"


def _smaller(size: str, by: int = 1) -> str | None:
    sizes = second.sizes()
    at = sizes.index(size) - by
    return sizes[at] if at >= 0 else None


def _other(run: second.Run, **attributes: Any) -> second.Run:
    copy = run.other(attributes.pop("metal", run.metal), attributes.pop("terminals", run.terminals))
    copy.__dict__.update(attributes)
    return copy


def _tapped(i: Installation) -> bool:
    """Primary tap conductors need not be protected at the rating of the feeder's device."""
    return i.get("secondary.rule") == "feeder_tap_25_ft"


@_named("primary_one_size_too_small", "215.2(A)(1); 240.4", _PRIMARY)
def _primary_small(i: Installation) -> Facts | None:
    size = _smaller(i.get("primary.conductors.size"), 1)
    size = size if size and not _primary_holds(i.primary, size, i) else _smaller(size or "14", 1)
    if size is None or _tapped(i) or _primary_holds(i.primary, size, i):
        return None
    return {"primary.conductors.size": size}


@_named("primary_of_aluminum_by_the_copper_size", "Table 310.16", _PRIMARY)
def _primary_aluminum(i: Installation) -> Facts | None:
    if i.primary.metal == "aluminum" or _tapped(i):
        return None
    if _primary_holds(_other(i.primary, metal="aluminum"), i.get("primary.conductors.size"), i):
        return None
    return {"primary.conductors.material": "aluminum"}


@_named("primary_through_a_boiler_room", "310.15(B)", _PRIMARY)
def _primary_hot(i: Installation) -> Facts | None:
    run = _other(i.primary, ambient=60)
    if _tapped(i) or _primary_holds(run, i.get("primary.conductors.size"), i):
        return None
    return {"primary.conductors.ambient_celsius": 60}


@_named("primary_beside_other_circuits", "310.15(C)(1)", _PRIMARY)
def _primary_crowded(i: Installation) -> Facts | None:
    run = _other(i.primary, current_carrying=30)
    if _tapped(i) or _primary_holds(run, i.get("primary.conductors.size"), i):
        return None
    return {"primary.conductors.current_carrying": 30}


@_named("primary_on_60_degree_terminals", "110.14(C)(1)", _PRIMARY)
def _primary_60(i: Installation) -> Facts | None:
    run = _other(i.primary, terminals=60)
    if _tapped(i) or _primary_holds(run, i.get("primary.conductors.size"), i):
        return None
    return {"primary.conductors.termination_celsius": 60}


@_named("primary_of_tw", "Table 310.16", _PRIMARY)
def _primary_tw(i: Installation) -> Facts | None:
    run = _other(i.primary, insulation=60)
    if _tapped(i) or _primary_holds(run, i.get("primary.conductors.size"), i):
        return None
    return {"primary.conductors.insulation": "TW"}


@_named("primary_in_parallel_below_1_0", "310.10(G)", "primary_conductors")
def _primary_small_sets(i: Installation) -> Facts | None:
    if i.primary.sets < 2:
        return None
    return {"primary.conductors.size": "1"}


@_named("primary_sets_short_of_one", "310.10(G); 240.4", _PRIMARY)
def _primary_set_missing(i: Installation) -> Facts | None:
    if i.primary.sets < 2 or i.get("primary.conductors.raceways") != i.primary.sets or _tapped(i):
        return None
    run = _other(i.primary, sets=i.primary.sets - 1)
    if _primary_holds(run, i.get("primary.conductors.size"), i):
        return None
    return {"primary.conductors.sets": run.sets, "primary.conductors.raceways": run.sets}


@_named("dry_insulation_in_a_wet_primary_run", "300.9; 310.10(C)", f"{_PRIMARY} wet_run_insulation")
def _primary_thhn(i: Installation) -> Facts | None:
    if not i.get("primary.conductors.wet_location"):
        return None
    return {"primary.conductors.insulation": "THHN"}


@_named("dry_insulation_on_the_ground_of_a_wet_run", "300.9; 310.10(C)", "wet_run_insulation")
def _ground_thhn(i: Installation) -> Facts | None:
    if not i.get("primary.conductors.wet_location") or not _has_ground_wire(i):
        return None
    return {"primary.equipment_grounding.insulation": "THHN"}


def _has_ground_wire(i: Installation) -> bool:
    return i.get("primary.equipment_grounding.kind") == "wire"


_NO_GROUND_WIRE = {
    f"primary.equipment_grounding.{part}": None for part in ("size", "material", "insulation")
}
_GROUND = "primary_equipment_grounding"


@_named("no_equipment_ground", "250.110; 250.122", _GROUND)
def _no_ground(i: Installation) -> Facts | None:
    facts: Facts = {**_NO_GROUND_WIRE, "primary.equipment_grounding.kind": "none"}
    facts["primary.raceway.type"] = "PVC40"
    return facts


def _table_ground(i: Installation, metal: str) -> str:
    """Table 250.122 by the device, not larger than circuit conductors of the same metal (250.122(A)); no increase."""
    device = i.get("primary.device.rating")
    least = next(
        row["value"]
        for row in second.rows("equipment_grounding_conductor", i.edition)
        if row["material"] == metal and device <= float(row["rating_up_to"])
    )
    if i.primary.metal == metal and i.primary.sets == 1:
        least = min(least, i.get("primary.conductors.size"), key=second.kcmil)
    return least


@_named("equipment_ground_one_size_too_small", "Table 250.122", _GROUND)
def _ground_small(i: Installation) -> Facts | None:
    if not _has_ground_wire(i):
        return None
    smaller = _smaller(_table_ground(i, i.get("primary.equipment_grounding.material")))
    return {"primary.equipment_grounding.size": smaller} if smaller else None


@_named("equipment_ground_of_aluminum_by_the_copper_size", "Table 250.122", _GROUND)
def _ground_aluminum(i: Installation) -> Facts | None:
    if i.get("primary.equipment_grounding.material") != "copper":
        return None
    least = _table_ground(i, "aluminum")
    if second.kcmil(i.get("primary.equipment_grounding.size")) >= second.kcmil(least):
        return None
    return {"primary.equipment_grounding.material": "aluminum"}


@_named("equipment_ground_not_increased_with_the_circuit", "250.122(B)", _GROUND)
def _not_increased(i: Installation) -> Facts | None:
    """Conductors three sizes above those whose ampacity reaches the device, and the table's own grounding conductor."""
    if not _has_ground_wire(i) or _tapped(i):
        return None
    device, candidates = i.get("primary.device.rating"), i.primary.candidates()
    at = next((n for n, s in enumerate(candidates) if i.primary.ampacity(s) >= device), None)
    metal = i.get("primary.equipment_grounding.material")
    if at is None or at + 3 >= len(candidates):
        return None
    size, before = candidates[at + 3], candidates[at]
    table = _table_ground(i, metal)
    wanted = second.kcmil(table) * second.kcmil(size) / second.kcmil(before)
    smallest = second.size_of_area(wanted)
    # 250.122(A) may end the increase; the next size may be the same one.
    if not smallest or second.kcmil(smallest) >= second.kcmil(size) or smallest == table:
        return None
    return {
        "primary.conductors.size": size,
        "primary.equipment_grounding.size": _smaller(smallest),
    }


@_named("plastic_conduit_as_the_ground", "250.118", _GROUND)
def _plastic_ground(_: Installation) -> Facts:
    return {
        **_NO_GROUND_WIRE,
        "primary.equipment_grounding.kind": "raceway",
        "primary.raceway.type": "PVC40",
    }


@_named(
    "long_flexible_conduit_as_the_ground", "250.118(A)(5)", f"{_GROUND} primary_flexible_section"
)
def _flexible_ground(i: Installation) -> Facts:
    return {
        **_NO_GROUND_WIRE,
        "primary.equipment_grounding.kind": "raceway",
        "primary.raceway.type": "FMC",
        "primary.raceway.flexible_length_feet": i.get("primary.raceway.length_feet"),
        "primary.raceway.length_feet": max(7, i.get("primary.raceway.length_feet")),
    }


@_named("flexible_whip_above_60_amperes", "250.118(A)(6)", f"{_GROUND} primary_flexible_section")
def _whip(i: Installation) -> Facts | None:
    if i.get("primary.device.rating") <= 60:
        return None
    return {
        **_NO_GROUND_WIRE,
        "primary.equipment_grounding.kind": "raceway",
        "primary.raceway.type": "EMT",
        "primary.raceway.flexible_length_feet": 3,
    }


def _raceway_too_small(side: str) -> Callable[[Installation], Facts | None]:
    def facts(i: Installation) -> Facts | None:
        type_ = i.get(f"{side}.raceway.type")
        trade_sizes = [*second.raceway_areas(type_, i.edition)]
        at = trade_sizes.index(i.get(f"{side}.raceway.trade_size")) - 1
        return {f"{side}.raceway.trade_size": trade_sizes[at]} if at >= 0 else None

    return facts


for _side in ("primary", "secondary"):
    # Compact aluminum may fit where ordinary stranding does not: then the print is asked for.
    _named(
        f"{_side}_raceway_one_size_too_small", "Chapter 9, Table 1", f"{_side}_raceway", firm=False
    )(_raceway_too_small(_side))


# ---------------------------------------------------------------- secondary conductors

_SECONDARY = "secondary_conductors secondary_rule"


def _secondary_holds(run: second.Run, size: str, i: Installation) -> bool:
    ends_at = i.least_ampacity if i.get("secondary.rule") == "primary_device" else i.ends_at
    try:
        return (
            second.protected_without_rounding(run, size, ends_at)
            and run.ampacity(size) >= i.least_ampacity - second.HAIR
        )
    except AssertionError:
        return False


@_named("secondary_one_size_too_small", "240.21(C)", _SECONDARY)
def _secondary_small(i: Installation) -> Facts | None:
    size = _smaller(i.get("secondary.conductors.size"))
    if size is None or _secondary_holds(i.secondary, size, i):
        return None
    return {"secondary.conductors.size": size}


@_named("secondary_of_aluminum_by_the_copper_size", "Table 310.16", _SECONDARY)
def _secondary_aluminum(i: Installation) -> Facts | None:
    run = _other(i.secondary, metal="aluminum")
    if i.secondary.metal == "aluminum" or _secondary_holds(
        run, i.get("secondary.conductors.size"), i
    ):
        return None
    return {"secondary.conductors.material": "aluminum"}


def _secondary_changed(facts: Facts, **attributes: Any) -> Callable[[Installation], Facts | None]:
    def change(i: Installation) -> Facts | None:
        run = _other(i.secondary, **attributes)
        return None if _secondary_holds(run, i.get("secondary.conductors.size"), i) else facts

    return change


for _id, _section, _facts, _attributes in (
    ("secondary_through_a_boiler_room", "310.15(B)", {"ambient_celsius": 60}, {"ambient": 60}),
    ("secondary_beside_other_circuits", "310.15(C)(1)", {"current_carrying": 30}, {"current_carrying": 30}),
    ("secondary_on_60_degree_terminals", "110.14(C)(1)", {"termination_celsius": 60}, {"terminals": 60}),
    ("secondary_of_tw", "Table 310.16", {"insulation": "TW"}, {"insulation": 60}),
):  # fmt: skip
    _named(_id, _section, _SECONDARY)(
        _secondary_changed(
            {f"secondary.conductors.{name}": value for name, value in _facts.items()},
            **_attributes,
        )
    )


@_named("secondary_on_60_degree_lugs_of_the_main", "110.14(C)(1)", _SECONDARY)
def _main_60(i: Installation) -> Facts | None:
    run = _other(i.secondary, terminals=60)
    if _secondary_holds(run, i.get("secondary.conductors.size"), i):
        return None
    return {"secondary.protection.termination_celsius": 60}


@_named("secondary_in_parallel_below_1_0", "310.10(G)", "secondary_conductors")
def _secondary_small_sets(i: Installation) -> Facts | None:
    return {"secondary.conductors.size": "1"} if i.secondary.sets > 1 else None


@_named(
    "secondary_sets_in_one_raceway_not_counted_together",
    "310.15(C)(1)",
    f"{_SECONDARY} secondary_raceway",
)
def _sets_together(i: Installation) -> Facts | None:
    if i.secondary.sets < 3:
        return None
    return {
        "secondary.conductors.raceways": 1,
        "secondary.conductors.current_carrying": i.secondary.current_carrying,
    }


@_named(
    "dry_insulation_in_a_wet_secondary_run",
    "300.9; 310.10(C)",
    f"{_SECONDARY} wet_insulation wet_run_insulation",
)
def _secondary_thhn(i: Installation) -> Facts | None:
    if not i.get("secondary.conductors.wet_location"):
        return None
    return {"secondary.conductors.insulation": "THHN"}


@_named("dry_insulation_on_the_jumper_of_a_wet_run", "300.9; 310.10(C)", "wet_run_insulation")
def _jumper_thhn(i: Installation) -> Facts | None:
    if not i.get("secondary.conductors.wet_location") or not _has_jumper_wire(i):
        return None
    return {"bonding.supply_side_bonding_jumper.insulation": "THHN"}


@_named("secondary_longer_than_its_rule", "240.21(C)", "secondary_rule")
def _too_long(i: Installation) -> Facts | None:
    rule = i.get("secondary.rule")
    if rule not in ("10_ft", "25_ft", "industrial_25_ft"):
        return None
    return {"secondary.conductors.length_feet": 10.5 if rule == "10_ft" else 26}


@_named("tap_and_secondary_longer_than_25_ft", "240.21(B)(3)", "secondary_rule")
def _tap_too_long(i: Installation) -> Facts | None:
    return {"secondary.conductors.length_feet": 26} if _tapped(i) else None


@_named("primary_tap_below_one_third", "240.21(B)(3)", "secondary_rule")
def _small_tap(i: Installation) -> Facts | None:
    third = i.get("primary.device.rating") / 3
    if not _tapped(i) or i.primary.sets > 1:
        return None
    size = next(
        (s for s in reversed(i.primary.candidates()) if i.primary.ampacity(s) < third), None
    )
    return {"primary.conductors.size": size} if size else None


@_named("tapped_primary_exposed", "240.21(B)(3)", "secondary_rule")
def _exposed_tap(i: Installation) -> Facts | None:
    return {"primary.protected_from_damage": False} if _tapped(i) else None


@_named("ten_foot_rule_without_a_raceway", "240.21(C)(2)(3)", "secondary_rule")
def _no_raceway(i: Installation) -> Facts | None:
    return {"secondary.enclosed_in_raceway": False} if _rule("10_ft")(i) else None


@_named("secondary_exposed_to_damage", "240.21(C)", "secondary_rule")
def _exposed(i: Installation) -> Facts | None:
    if i.get("secondary.rule") in ("10_ft", "primary_device"):
        return None
    return {"secondary.protected_from_damage": False}


@_named("industrial_rule_and_anyone_services_it", "240.21(C)(3)", "secondary_rule")
def _unqualified(i: Installation) -> Facts | None:
    return {"secondary.qualified_persons_only": False} if _rule("industrial_25_ft")(i) else None


@_named("outside_rule_indoors", "240.21(C)(4)", "secondary_rule", firm=False)
def _outside_indoors(i: Installation) -> Facts | None:
    return {"secondary.rule": "outside"} if _indoors(i) else None


@_named("primary_device_said_to_protect_a_delta_wye", "240.21(C)(1)", "secondary_rule")
def _by_primary(i: Installation) -> Facts | None:
    if i.connection.seen_by_primary:
        return None
    return {"secondary.rule": "primary_device"}


@_named(
    "primary_device_too_large_for_the_secondary",
    "240.21(C)(1)",
    "secondary_rule secondary_conductors",
)
def _primary_too_large(i: Installation) -> Facts | None:
    if not _rule("primary_device")(i):
        return None
    ratio = i.connection.primary_volts / i.connection.secondary_volts
    most = i.secondary.ampacity(i.get("secondary.conductors.size")) / ratio
    rating = _next_rating(most, i, i.get("primary.device.kind"))
    return {"primary.device.rating": rating} if rating else None


@_named("grouped_devices_under_the_25_ft_rule", "240.21(C)(6)", "secondary_rule")
def _grouped_25(i: Installation) -> Facts | None:
    if not _rule("25_ft")(i):
        return None
    half = i.ends_at / 2
    return {
        "secondary.protection.kind": "grouped_devices",
        "secondary.protection.rating": None,
        "secondary.protection.ratings": [half, half],
        "secondary.panelboard.present": False,
        "secondary.panelboard.rating": None,
        "secondary.panelboard.short_circuit_kiloamperes": None,
    }


@_named("one_third_of_the_primary_device_not_reached", "240.21(C)(6)(1)", _SECONDARY)
def _one_third(i: Installation) -> Facts | None:
    if not _rule("25_ft")(i):
        return None
    ratio = i.connection.primary_volts / i.connection.secondary_volts
    ampacity = i.secondary.ampacity(i.get("secondary.conductors.size"))
    rating = _next_rating(3 * ampacity / ratio, i, i.get("primary.device.kind"))
    return {"primary.device.rating": rating} if rating else None


@_named("one_tenth_of_the_primary_device_not_reached", "240.21(C)(2)(4)", _SECONDARY)
def _one_tenth(i: Installation) -> Facts | None:
    if not _rule("10_ft")(i):
        return None
    ratio = i.connection.primary_volts / i.connection.secondary_volts
    ampacity = i.secondary.ampacity(i.get("secondary.conductors.size"))
    rating = _next_rating(10 * ampacity / ratio, i, i.get("primary.device.kind"))
    return {"primary.device.rating": rating} if rating else None


@_named(
    "load_above_the_conductors_of_grouped_devices",
    "240.21(C)(2)(1); 215.2(A)(1)",
    f"{_SECONDARY} secondary_load",
)
def _load_above(i: Installation) -> Facts | None:
    if i.get("secondary.protection.kind") != "grouped_devices":
        return None
    load = round(i.secondary.ampacity(i.get("secondary.conductors.size")) + 1, 1)
    return {
        "secondary.load.continuous_amperes": load,
        "secondary.load.noncontinuous_amperes": 0,
        "primary.load.continuous_amperes": load
        * i.connection.secondary_volts
        / i.connection.primary_volts,
    }


# ---------------------------------------------------------------- grounded conductor

_NEUTRAL = "grounded_conductor grounded_conductor_load grounded_conductor_sets"
_NONE_RUN = {
    "secondary.grounded_conductor.present": False,
    "secondary.neutral_load_amperes": None,
    "readings.neutral_to_ground_far_volts": None,
    **{
        f"secondary.grounded_conductor.{part}": None
        for part in ("size", "material", "insulation", "sets", "current_carrying")
    },
}


def _jumper_at(i: Installation) -> str | None:
    return i.get("bonding.system_bonding_jumper.location")


@_named("no_grounded_conductor_to_the_jumper", "250.30(A)(3)", _NEUTRAL)
def _not_run(i: Installation) -> Facts | None:
    return dict(_NONE_RUN) if _jumper_at(i) == "first_disconnect" else None


@_named("return_of_the_circuit_not_run", "250.6; 250.142(B)", _NEUTRAL)
def _no_return(i: Installation) -> Facts | None:
    if _system(i) not in ("single_phase_2_wire", "delta_corner_grounded"):
        return None
    return dict(_NONE_RUN)


@_named("neutral_below_the_grounding_table", "250.30(A)(3)(a)", _NEUTRAL)
def _neutral_small(i: Installation) -> Facts | None:
    if _jumper_at(i) != "first_disconnect":
        return None
    size, run = i.get("secondary.conductors.size"), i.secondary
    here = run.sets // i.get("secondary.conductors.raceways")
    least = second.not_larger_than(
        second.bonding_jumper(size, here, run.metal, run.metal, i.edition), size, run.sets, True
    )
    smaller = next(
        (s for s in reversed(second.sizes()) if second.kcmil(s) * here < second.kcmil_of(least)),
        None,
    )
    if smaller is None or (run.metal == "aluminum" and smaller == "14"):
        return None
    return {"secondary.grounded_conductor.size": smaller, "secondary.neutral_load_amperes": 0}


@_named("neutral_load_above_its_ampacity", "220.61", _NEUTRAL)
def _neutral_load(i: Installation) -> Facts | None:
    if not i.connection.has_neutral:
        return None
    ampacity = i.secondary.ampacity(i.get("secondary.grounded_conductor.size"))
    return {"secondary.neutral_load_amperes": round(ampacity * 1.02 + 1, 1)}


@_named("grounded_phase_smaller_than_the_others", "250.30(A)(3)(c)", _NEUTRAL)
def _phase_small(i: Installation) -> Facts | None:
    if _system(i) not in ("single_phase_2_wire", "delta_corner_grounded"):
        return None
    ends_at = i.least_ampacity if _rule("primary_device")(i) else i.ends_at
    size = next(
        (s for s in reversed(i.secondary.candidates()) if i.secondary.ampacity(s) < ends_at), None
    )
    return {"secondary.grounded_conductor.size": size} if size else None


@_named("neutral_for_dry_places_in_a_wet_run", "300.9; 310.10(C)", f"{_NEUTRAL} wet_run_insulation")
def _neutral_thhn(i: Installation) -> Facts | None:
    if not i.get("secondary.conductors.wet_location") or not _grounded(i):
        return None
    return {"secondary.grounded_conductor.insulation": "THHN"}


@_named("neutral_missing_in_one_raceway", "300.3(B); 310.10(G)", _NEUTRAL)
def _neutral_sets(i: Installation) -> Facts | None:
    if not _grounded(i) or i.secondary.sets < 2:
        return None
    if i.get("secondary.conductors.raceways") != i.secondary.sets:
        return None
    return {"secondary.grounded_conductor.sets": i.secondary.sets - 1}


@_named("parallel_neutrals_below_1_0", "310.10(G)(1)", _NEUTRAL)
def _neutral_parallel(i: Installation) -> Facts | None:
    if not i.connection.has_neutral or i.secondary.sets < 2:
        return None
    return {"secondary.grounded_conductor.size": "2", "secondary.neutral_load_amperes": 0}


@_named("neutral_of_aluminum_by_the_copper_size", "220.61; 250.30(A)(3)", _NEUTRAL)
def _neutral_aluminum(i: Installation) -> Facts | None:
    if not _grounded(i) or i.secondary.metal != "copper":
        return None
    size = i.get("secondary.grounded_conductor.size")
    run = _other(i.secondary, metal="aluminum")
    load = i.get("secondary.neutral_load_amperes")
    if load is None:
        load = i.least_ampacity if _rule("primary_device")(i) else i.ends_at
    try:
        if run.ampacity(size) >= load:
            return None
    except AssertionError:
        return None
    return {"secondary.grounded_conductor.material": "aluminum"}


@_named("neutral_of_ring_hot_insulation", "Table 310.16", _NEUTRAL)
def _neutral_tw(i: Installation) -> Facts | None:
    if not i.connection.has_neutral:
        return None
    run = _other(i.secondary, insulation=60)
    size = i.get("secondary.grounded_conductor.size")
    if run.ampacity(size) >= i.get("secondary.neutral_load_amperes"):
        return {
            "secondary.grounded_conductor.insulation": "TW",
            "secondary.neutral_load_amperes": round(run.ampacity(size) + 1, 1),
        }
    return {"secondary.grounded_conductor.insulation": "TW"}


# ---------------------------------------------------------------- bonding

_JUMPER = "bonding.system_bonding_jumper"
_SUPPLY_SIDE = "bonding.supply_side_bonding_jumper"
_NO_JUMPER = {f"{_JUMPER}.{part}": None for part in ("size", "material", "factory_furnished")}


def _has_jumper_wire(i: Installation) -> bool:
    return i.get(f"{_SUPPLY_SIDE}.kind") == "wire"


@_named("no_system_bonding_jumper", "250.30(A)(1)", "system_bonding_jumper system_grounding")
def _no_jumper(i: Installation) -> Facts | None:
    return {**_NO_JUMPER, f"{_JUMPER}.location": "none"} if _grounded(i) else None


@_named(
    "two_system_bonding_jumpers",
    "250.30(A)(1); 250.142(B)",
    "system_bonding_jumper single_bonding_point",
)
def _two_jumpers(i: Installation) -> Facts | None:
    # Outdoors two are lawful where no other path joins the two ends.
    return {f"{_JUMPER}.location": "both"} if _grounded(i) and _indoors(i) else None


@_named(
    "two_jumpers_outdoors_beside_a_metal_path",
    "250.30(A)(1) Ex. 2",
    "system_bonding_jumper single_bonding_point",
)
def _two_outdoors(i: Installation) -> Facts | None:
    if not _grounded(i) or _indoors(i):
        return None
    return {f"{_JUMPER}.location": "both", "observations.no_parallel_neutral_path": False}


@_named(
    "system_bonding_jumper_one_size_too_small",
    "250.28(D); Table 250.102(C)(1)",
    "system_bonding_jumper",
)
def _jumper_small(i: Installation) -> Facts | None:
    smaller = _grounded(i) and _smaller(i.get(f"{_JUMPER}.size"))
    return {f"{_JUMPER}.size": smaller} if smaller else None


@_named(
    "system_bonding_jumper_of_aluminum_by_the_copper_size",
    "Table 250.102(C)(1)",
    "system_bonding_jumper",
)
def _jumper_aluminum(i: Installation) -> Facts | None:
    if i.get(f"{_JUMPER}.material") != "copper":
        return None
    least = second.system_bonding_jumper(
        i.get("secondary.conductors.size"),
        i.secondary.sets,
        i.secondary.metal,
        "aluminum",
        i.edition,
    )
    if second.kcmil(i.get(f"{_JUMPER}.size")) >= second.kcmil_of(least):
        return None
    return {f"{_JUMPER}.material": "aluminum"}


@_named("jumper_and_electrode_conductor_apart", "250.30(A)(5)", "single_bonding_point")
def _apart(i: Installation) -> Facts | None:
    if not _grounded(i):
        return None
    other = "source" if _jumper_at(i) == "first_disconnect" else "first_disconnect"
    return {"electrode.connected_at": other}


@_named("one_jumper_for_several_enclosures", "250.30(A)(1)(b)", "jumper_of_several_enclosures")
def _several(i: Installation) -> Facts | None:
    if (
        i.get("secondary.protection.kind") != "grouped_devices"
        or _jumper_at(i) != "first_disconnect"
    ):
        return None
    return {
        "secondary.protection.one_enclosure": False,
        "bonding.system_bonding_jumper.in_each_enclosure": False,
    }


@_named("neutral_bonded_again", "250.142(B); 250.24(B)", "neutral_isolation")
def _bonded_again(i: Installation) -> Facts | None:
    return {"bonding.neutral_bonded_downstream": True} if _grounded(i) else None


@_named(
    "ungrounded_and_bonded_downstream",
    "250.20(B); 250.142(B)",
    "neutral_isolation system_grounding",
    firm=False,
)
def _ungrounded_bonded(i: Installation) -> Facts | None:
    return None if _grounded(i) else {"bonding.neutral_bonded_downstream": True}


@_named("wye_left_ungrounded_with_a_neutral", "250.20(B)(2)", "system_grounding")
def _wye_ungrounded(i: Installation) -> Facts | None:
    if _system(i) != "wye_4_wire":
        return None
    return {
        **_NO_JUMPER,
        f"{_JUMPER}.location": "none",
        "transformer.secondary_system": "wye_3_wire",
    }


_NO_SUPPLY_SIDE_WIRE = {
    f"{_SUPPLY_SIDE}.{part}": None for part in ("size", "material", "insulation")
}


@_named("no_supply_side_bonding_jumper", "250.30(A)(2)", "supply_side_bonding_jumper")
def _no_supply_side(_: Installation) -> Facts:
    return {
        **_NO_SUPPLY_SIDE_WIRE,
        f"{_SUPPLY_SIDE}.kind": "none",
        "secondary.raceway.type": "PVC40",
    }


@_named("supply_side_bonding_jumper_one_size_too_small", "250.102(C)", "supply_side_bonding_jumper")
def _supply_side_small(i: Installation) -> Facts | None:
    smaller = _has_jumper_wire(i) and _smaller(i.get(f"{_SUPPLY_SIDE}.size"))
    return {f"{_SUPPLY_SIDE}.size": smaller} if smaller else None


@_named(
    "supply_side_bonding_jumper_by_table_250_122",
    "250.30(A)(2); 250.102(C)",
    "supply_side_bonding_jumper",
)
def _by_122(i: Installation) -> Facts | None:
    if not _has_jumper_wire(i):
        return None
    metal = i.get(f"{_SUPPLY_SIDE}.material")
    by_device = next(
        (
            row["value"]
            for row in second.rows("equipment_grounding_conductor", i.edition)
            if row["material"] == metal and i.ends_at <= float(row["rating_up_to"])
        ),
        None,
    )
    if by_device is None or second.kcmil(by_device) >= second.kcmil(i.get(f"{_SUPPLY_SIDE}.size")):
        return None
    return {f"{_SUPPLY_SIDE}.size": by_device}


@_named("supply_side_bonding_by_plastic_conduit", "250.30(A)(2)", "supply_side_bonding_jumper")
def _plastic_path(_: Installation) -> Facts:
    return {
        **_NO_SUPPLY_SIDE_WIRE,
        f"{_SUPPLY_SIDE}.kind": "raceway",
        "secondary.raceway.type": "PVC40",
    }


@_named(
    "supply_side_bonding_by_flexible_conduit",
    "250.30(A)(2)",
    "supply_side_bonding_jumper secondary_flexible_section",
)
def _flexible_path(_: Installation) -> Facts:
    return {
        **_NO_SUPPLY_SIDE_WIRE,
        f"{_SUPPLY_SIDE}.kind": "raceway",
        "secondary.raceway.type": "LFMC",
    }


@_named(
    "flexible_piece_in_the_bonding_raceway",
    "250.30(A)(2)",
    "supply_side_bonding_jumper secondary_flexible_section",
)
def _flexible_piece(i: Installation) -> Facts | None:
    if _has_jumper_wire(i):
        return None
    return {"secondary.raceway.flexible_length_feet": 3}


# ---------------------------------------------------------------- electrode, pipe and steel


@_named("no_electrode", "250.30(A)(4)", "grounding_electrode grounding_electrode_conductor")
def _no_electrode(_: Installation) -> Facts:
    return {
        "electrode.used": "none",
        "electrode.conductor.size": None,
        "electrode.conductor.material": None,
        "electrode.connected_at": None,
        "electrode.sole_connection": None,
        "electrode.joined_to_building_system": None,
        "electrode.common_conductor": False,
        "electrode.common_conductor_size": None,
        "electrode.common_conductor_material": None,
        "electrode.ring_size": None,
        "readings.electrode_conductor_amperes": None,
    }


@_named("electrode_conductor_one_size_too_small", "Table 250.66", "grounding_electrode_conductor")
def _electrode_small(i: Installation) -> Facts | None:
    smaller = _smaller(i.get("electrode.conductor.size"))
    return {"electrode.conductor.size": smaller} if smaller else None


# Outdoors a source may have an electrode of its own, 250.30(C): whether this is it can't be told.
@_named("electrode_apart_from_the_building", "250.50", "grounding_electrode", firm=False)
def _electrode_apart(_: Installation) -> Facts:
    return {"electrode.joined_to_building_system": False}


@_named("lone_rod", "250.53(A)(2)", "supplemental_electrode")
def _lone_rod(_: Installation) -> Facts:
    return {
        **_NO_RING,
        "electrode.available": ["rod"],
        "electrode.used": "rod",
        "electrode.sole_connection": None,
        "electrode.supplemented": False,
        "electrode.resistance_ohms": 40,
    }


_NO_RING = {"electrode.ring_size": None}


@_named("lone_rod_never_measured", "250.53(A)(2)", "supplemental_electrode", firm=False)
def _rod_unmeasured(_: Installation) -> Facts:
    return {
        **_NO_RING,
        "electrode.available": ["rod"],
        "electrode.used": "rod",
        "electrode.supplemented": False,
    }


@_named("water_pipe_alone", "250.53(D)(2)", "supplemental_electrode")
def _pipe_alone(_: Installation) -> Facts:
    return {
        **_NO_RING,
        "electrode.available": ["water_pipe"],
        "electrode.used": "water_pipe",
        "electrode.supplemented": False,
    }


@_named("rod_conductor_to_a_joined_rod", "250.66(A)", "grounding_electrode_conductor", firm=False)
def _rod_cap(i: Installation) -> Facts | None:
    metal = i.secondary.metal
    least = second.grounding_electrode_conductor(
        i.get("secondary.conductors.size"), i.secondary.sets, metal, "copper", i.edition
    )
    if second.kcmil(least) <= second.kcmil("6"):
        return None
    return {
        **_NO_RING,
        "electrode.available": ["rod", "water_pipe", "building_steel"],
        "electrode.used": "rod",
        "electrode.sole_connection": True,
        "electrode.conductor.size": "6",
        "electrode.conductor.material": "copper",
    }


@_named("not_the_nearer_of_steel_and_pipe", "250.30(A)(4) of 2014", "grounding_electrode")
def _not_nearest(i: Installation) -> Facts | None:
    return {"electrode.nearest_of_steel_and_water": False} if i.edition == 2014 else None


@_named("rod_although_steel_is_there", "250.30(A)(4) of 2014", "grounding_electrode")
def _rod_2014(i: Installation) -> Facts | None:
    if i.edition != 2014:
        return None
    return {"electrode.available": ["rod", "building_steel", "water_pipe"], "electrode.used": "rod"}


@_named("ring_too_small_to_be_one", "250.52(A)(4)", "grounding_electrode")
def _thin_ring(i: Installation) -> Facts | None:
    return {"electrode.ring_size": "4"} if i.get("electrode.used") == "ring" else None


@_named("shared_conductor_too_small", "250.30(A)(6)", "common_grounding_electrode_conductor")
def _shared_small(i: Installation) -> Facts | None:
    return (
        {"electrode.common_conductor_size": "2/0"} if i.get("electrode.common_conductor") else None
    )


def _bond(name: str, metal: str, section: str) -> None:
    path = f"bonding.{name}"

    def none(i: Installation) -> Facts | None:
        # An ungrounded system has no grounded conductor to bond to it: can't be told, and is no conflict.
        if i.get("electrode.used") == metal or not i.connection.grounded:
            return None
        return {f"{path}.present": False, f"{path}.size": None, f"{path}.material": None}

    def small(i: Installation) -> Facts | None:
        if i.get("electrode.used") == metal:
            return None
        # Below 8 AWG no edition has a bond but that of phases which are as small.
        if second.kcmil(i.get("secondary.conductors.size")) < second.kcmil("8"):
            return None
        return {f"{path}.size": "10", f"{path}.material": "copper"}

    _named(f"no_{name}", section, name)(none)
    _named(f"{name}_of_10_awg", section, name)(small)


_bond("water_pipe_bond", "water_pipe", "250.104(D)(1)")
_bond("structural_steel_bond", "building_steel", "250.104(D)(2)")


# ---------------------------------------------------------------- readings


@_named("phase_at_ground", "250.4(A)(5)", "line_to_ground_reading")
def _phase_at_ground(i: Installation) -> Facts | None:
    if _system(i) != "wye_4_wire":
        return None
    line = i.connection.secondary_volts
    return {"readings.line_to_ground_volts": [0, line, line]}


@_named("standing_fault_of_an_ungrounded_delta", "250.21(B)", "line_to_ground_reading")
def _standing_fault(i: Installation) -> Facts | None:
    line = i.connection.secondary_volts
    return None if _grounded(i) else {"readings.line_to_ground_volts": [0, line, line]}


@_named("corner_that_is_not_grounded", "250.4(A)(5)", "line_to_ground_reading")
def _no_corner(i: Installation) -> Facts | None:
    if _system(i) != "delta_corner_grounded":
        return None
    return {"readings.line_to_ground_volts": [round(i.connection.secondary_volts / 3**0.5)] * 3}


@_named("neutral_not_clear_of_ground", "250.142(B)", "neutral_insulation_reading")
def _neutral_grounded(i: Installation) -> Facts | None:
    return {"readings.neutral_insulation_megohms": 0} if _grounded(i) else None


@_named("neutral_far_above_ground", "250.30(A)(1)", "neutral_to_ground_reading")
def _neutral_floats(i: Installation) -> Facts | None:
    return {"readings.neutral_to_ground_volts": 54} if _grounded(i) else None


@_named("neutral_above_ground_at_the_jumper", "250.30(A)(1)", "neutral_to_ground_reading")
def _neutral_9_volts(i: Installation) -> Facts | None:
    return {"readings.neutral_to_ground_volts": 9.5} if _jumper_at(i) == "source" else None


@_named("outlet_neutral_at_118_volts", "250.142(B)", "far_neutral_to_ground_reading")
def _far_neutral(i: Installation) -> Facts | None:
    return {"readings.neutral_to_ground_far_volts": 118} if _grounded(i) else None


for _id, _section, _check, _path, _value in (
    ("current_on_the_bonding_jumper", "250.6", "bonding_current_reading", "bonding_conductor_amperes", 22),
    ("current_on_the_electrode_conductor", "250.6", "bonding_current_reading", "electrode_conductor_amperes", 9),
    ("winding_to_ground_at_nothing", "110.7", "winding_insulation_reading", "winding_insulation_megohms", 0),
    ("bonding_path_of_5000_ohms", "250.4(A)(5)", "bonding_path_reading", "bonding_path_ohms", 5000),
):  # fmt: skip
    _named(_id, _section, _check)(_steady({f"readings.{_path}": _value}))


@_named("rotation_reversed", "110.3(B)", "rotation_reading")
def _rotation(i: Installation) -> Facts | None:
    return {"readings.rotation_matches_record": False} if i.connection.phases == 3 else None


@_named("turns_ratio_off", "110.3(B)", "turns_ratio_reading", advice=True)
def _turns(_: Installation) -> Facts:
    return {"readings.turns_ratio_deviation_percent": 3, "readings.turns_ratio_taps_read": True}


@_named("another_voltage_than_the_nameplate", "110.4", "line_to_line_reading")
def _other_voltage(i: Installation) -> Facts:
    places = 3 if i.connection.phases == 3 else 1
    return {"readings.line_to_line_volts": [round(i.connection.secondary_volts * 1.5)] * places}


@_named("halves_of_60_and_180_volts", "110.4", "line_to_neutral_reading")
def _open_neutral(i: Installation) -> Facts | None:
    if _system(i) != "single_phase_3_wire":
        return None
    return {"readings.line_to_neutral_volts": [60, 180]}


@_named("displaced_neutral_of_a_wye", "110.4", "line_to_neutral_reading")
def _displaced(i: Installation) -> Facts | None:
    if _system(i) != "wye_4_wire":
        return None
    to_neutral = i.connection.secondary_volts / 3**0.5
    return {
        "readings.line_to_neutral_volts": [
            round(to_neutral * 1.3), round(to_neutral * 0.8), round(to_neutral)
        ]
    }  # fmt: skip


@_named("one_phase_lost", "110.4", "line_to_line_reading voltage_balance_reading")
def _lost_phase(i: Installation) -> Facts | None:
    if i.connection.phases == 1:
        return None
    line = i.connection.secondary_volts
    return {"readings.line_to_line_volts": [line, line / 2, line / 2]}


# ---------------------------------------------------------------- facts that cannot all be true


@_named(
    "currents_of_another_nameplate", "450.11", "primary_device secondary_conductors", firm=False
)
def _another_plate(i: Installation) -> Facts:
    return {"transformer.nameplate_secondary_amperes": round(i.secondary_current * 0.6, 1)}


@_named(
    "nipple_around_a_long_wire",
    "Chapter 9, Table 1 note 4",
    "secondary_raceway secondary_conductors",
    firm=False,
)
def _nipple(i: Installation) -> Facts | None:
    if i.get("secondary.conductors.length_feet") <= 15:
        return None
    return {"secondary.raceway.nipple": True}


@_named("raceway_far_longer_than_its_wire", "240.21(C)", "secondary_rule", firm=False)
def _long_raceway(i: Installation) -> Facts | None:
    if i.get("secondary.rule") not in ("10_ft", "25_ft", "industrial_25_ft", "feeder_tap_25_ft"):
        return None
    return {"secondary.raceway.length_feet": 60}


@_named(
    "supply_called_single_phase", "215.10; 110.26(A)", "primary_ground_fault_protection", firm=False
)
def _single_phase_supply(i: Installation) -> Facts | None:
    """It would excuse the primary from ground-fault protection, and halve the voltage to ground of the working space."""
    if i.connection.phases == 1:
        return None
    return {
        "primary.supply_system": "single_phase_grounded",
        "primary.device.ground_fault_protection": False,
    }


@_named("hotter_than_its_insulation", "450.21", "dry_type_indoors dry_type_outdoors", firm=False)
def _too_hot(_: Installation) -> Facts:
    return {
        "transformer.temperature_rise_celsius": 150,
        "transformer.insulation_class_celsius": 155,
    }


@_named("electrode_that_was_not_found", "250.50", "grounding_electrode", firm=False)
def _not_found(i: Installation) -> Facts | None:
    if i.get("electrode.used") == "ring":
        return None
    return {"electrode.available": ["rod"]}


@_named("more_raceways_than_sets", "310.10(G)", "secondary_conductors", firm=False)
def _empty_raceway(i: Installation) -> Facts:
    return {"secondary.conductors.raceways": i.secondary.sets + 1}


@_named("outdoors_and_said_to_be_dry", "300.9", "primary_conductors", firm=False)
def _dry_outdoors(i: Installation) -> Facts | None:
    if _indoors(i):
        return None
    return {"primary.conductors.wet_location": False, "primary.conductors.insulation": "THHN"}


@_named("panelboard_rated_and_not_there", "408.36", "panelboard_protection", firm=False)
def _ghost_panelboard(i: Installation) -> Facts | None:
    return {"secondary.panelboard.present": False} if _panelboard(i) else None


@_named("secondary_load_that_vanishes", "215.3", "primary_load", firm=False)
def _vanishing(i: Installation) -> Facts:
    return {"primary.load.continuous_amperes": 0, "primary.load.noncontinuous_amperes": 0}


@_named("liquid_filled_indoors", "450.23; 450.26", "dry_type_indoors hollow_space", firm=False)
def _liquid(i: Installation) -> Facts | None:
    return {"transformer.construction": "liquid"} if _indoors(i) else None


@_named(
    "ungrounded_delta_with_a_neutral", "250.20", "system_grounding grounded_conductor", firm=False
)
def _delta_neutral(i: Installation) -> Facts | None:
    if _grounded(i):
        return None
    return {"secondary.grounded_conductor.present": True, "secondary.neutral_load_amperes": 10}


# ---------------------------------------------------------------- replacement visits


def _replacement(i: Installation) -> bool:
    return i.data["purpose"] == "replacement"


for _id, _section, _check, _path, _value in (
    ("not_isolated_on_both_sides", "NFPA 70E 120.5", "replacement_isolation", "isolated_both_sides", False),
    ("taps_unlike", "110.3(B)", "replacement_taps", "taps_alike_on_all_phases", False),
    ("made_for_another_frequency", "110.3(B)", "replacement_frequency", "frequency_matches", False),
    ("bonds_not_refitted", "250.30(A)", "replacement_bonds", "bonds_refitted", False),
    ("old_unit_of_another_voltage", "110.3(B)", "replacement_voltages", "old.secondary_volts", 575),
    ("old_unit_of_another_primary_voltage", "110.3(B)", "replacement_voltages", "old.primary_volts", 575),
):  # fmt: skip
    _named(_id, _section, _check)(_where(_replacement, {f"replacement.{_path}": _value}))


@_named("old_unit_of_another_connection", "110.3(B); 250.30", "replacement_voltages")
def _old_connection(i: Installation) -> Facts | None:
    if not _replacement(i):
        return None
    other = {
        "wye_4_wire": "delta_high_leg",
        "single_phase_3_wire": "single_phase_2_wire",
        "single_phase_2_wire": "single_phase_3_wire",
    }.get(_system(i), "wye_4_wire")
    return {"replacement.old.secondary_system": other}


@_named("kept_conductors_hotter_than_the_new_terminals", "110.14(C)(1)", "replacement_terminals")
def _new_terminals(i: Installation) -> Facts | None:
    return {"transformer.secondary_terminal_celsius": 60} if _replacement(i) else None
