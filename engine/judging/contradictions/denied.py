"""A thing that one answer says is not there, and facts that describe it all the same."""

from collections.abc import Callable
from operator import attrgetter
from typing import Any, NamedTuple

from engine.code.limits import must_ground_by_voltage
from engine.job import Job
from engine.judging.contradictions.entry import SIDES, Contradiction


def _anywhere(_: Job) -> bool:
    return True


def _two_wires_free_of_ground(job: Job) -> bool:
    """Whether the secondary is a 2-wire circuit that may be ungrounded. Section: 250.20(A) and (B)(1)."""
    plate = job.transformer
    return plate.secondary_system == "single_phase_2_wire" and not must_ground_by_voltage(
        plate.secondary_system, plate.secondary_volts, plate.primary_volts
    )


def _not_an_ungrounded_delta(job: Job) -> bool:
    """Where the connection itself is ungrounded, a jumper on it is condemned, and its marking is right."""
    return job.transformer.secondary_system != "delta_3_wire_ungrounded"


class _Denied(NamedTuple):
    """A thing that an answer says is not there, and the facts that describe it all the same; `where` that is so."""

    id: str
    path: str
    answers: tuple[Any, ...]
    described_by: tuple[str, ...]
    why: str
    where: Callable[[Job], bool] = _anywhere


_UNGROUNDED_MARKS = ("observations.ungrounded_marked", "observations.ungrounded_labeled")


# What describes a thing is a fact that says something of it: no, none and 0 agree with its absence.
_DENIED: tuple[_Denied, ...] = (
    _Denied(
        "built_in_at_the_end_of_a_raceway",
        "secondary.first_disconnect_separate",
        (False,),
        (
            "secondary.raceway.type",
            "secondary.raceway.trade_size",
            "secondary.raceway.length_feet",
        ),
        "One answer says that the first disconnect is built into the transformer's own case; the other describes a "
        "raceway that runs to it. If a raceway runs to it, it is separate.",
    ),
    _Denied(
        "no_grounded_conductor",
        "secondary.grounded_conductor.present",
        (False,),
        (
            "secondary.grounded_conductor.size",
            "secondary.grounded_conductor.material",
            "secondary.grounded_conductor.insulation",
            "secondary.grounded_conductor.sets",
            "secondary.grounded_conductor.current_carrying",
            "secondary.neutral_load_amperes",
            "readings.neutral_to_ground_far_volts",
        ),
        "One answer says that no grounded conductor is run; the other describes one.",
    ),
    _Denied(
        "grounded_by_nothing",
        "bonding.system_bonding_jumper.location",
        ("none",),
        (
            "secondary.grounded_conductor.present",
            "secondary.grounded_conductor.size",
            "secondary.grounded_conductor.material",
            "secondary.grounded_conductor.insulation",
            "secondary.grounded_conductor.sets",
            "secondary.grounded_conductor.current_carrying",
            "observations.grounded_phase_identified",
        ),
        "A conductor is entered as grounded, but no system bonding jumper grounds it. Either there is a jumper, or "
        "neither conductor is grounded.",
        _two_wires_free_of_ground,
    ),
    _Denied(
        "no_equipment_grounding_wire",
        "primary.equipment_grounding.kind",
        ("none", "raceway"),
        (
            "primary.equipment_grounding.size",
            "primary.equipment_grounding.material",
            "primary.equipment_grounding.insulation",
        ),
        "One answer says that there is no equipment grounding wire; the other describes one.",
    ),
    *(
        _Denied(
            f"{side}_no_flexible_section",
            f"{side}.raceway.flexible_length_feet",
            (0,),
            (f"{side}.raceway.flexible_type", f"{side}.raceway.flexible_trade_size"),
            "One answer says that no part of the raceway is flexible; the other describes a flexible section.",
        )
        for side in SIDES
    ),
    _Denied(
        "no_supply_side_bonding_wire",
        "bonding.supply_side_bonding_jumper.kind",
        ("none", "raceway"),
        (
            "bonding.supply_side_bonding_jumper.size",
            "bonding.supply_side_bonding_jumper.material",
            "bonding.supply_side_bonding_jumper.insulation",
        ),
        "One answer says that there is no supply-side bonding wire; the other describes one.",
    ),
    _Denied(
        "no_system_bonding_jumper",
        "bonding.system_bonding_jumper.location",
        ("none",),
        (
            "bonding.system_bonding_jumper.size",
            "bonding.system_bonding_jumper.material",
            "bonding.system_bonding_jumper.factory_furnished",
        ),
        "One answer says that there is no system bonding jumper; the other describes one.",
    ),
    _Denied(
        "jumper_elsewhere_and_in_each",
        "bonding.system_bonding_jumper.location",
        ("source", "none"),
        ("bonding.system_bonding_jumper.in_each_enclosure",),
        "One answer says that there is no jumper at the first disconnects; the other says that each of them has one.",
    ),
    _Denied(
        "no_electrode",
        "electrode.used",
        ("none",),
        (
            "electrode.conductor.size",
            "electrode.conductor.material",
            "electrode.connected_at",
            "electrode.sole_connection",
            "electrode.joined_to_building_system",
            "electrode.common_conductor",
            "readings.electrode_conductor_amperes",
        ),
        "One answer says that no electrode is in use; the other describes the conductor to one.",
    ),
    _Denied(
        "no_common_conductor",
        "electrode.common_conductor",
        (False,),
        ("electrode.common_conductor_size", "electrode.common_conductor_material"),
        "One answer says that there is no shared electrode conductor; the other describes one.",
    ),
    *(
        _Denied(
            f"no_{name}",
            f"bonding.{name}.present",
            (False,),
            (f"bonding.{name}.size", f"bonding.{name}.material"),
            "One answer says that there is no such bond; the other describes one.",
        )
        for name in ("water_pipe_bond", "structural_steel_bond")
    ),
    _Denied(
        "no_panelboard",
        "secondary.panelboard.present",
        (False,),
        (
            "secondary.panelboard.rating",
            "secondary.panelboard.fed_by_two_mains",
        ),
        "One answer says that no panelboard is supplied; the other describes one.",
    ),
    _Denied(
        "panelboard_and_switchboard",
        "secondary.panelboard.present",
        (True,),
        ("observations.supplies_switchboard",),
        "The conductors end at a panelboard or at a switchboard, not at both.",
    ),
    _Denied(
        "not_one_main",
        "secondary.protection.kind",
        ("grouped_devices", "main_lugs_only"),
        ("secondary.protection.rating",),
        "One answer says that there is no single main; the other gives its rating.",
    ),
    _Denied(
        "not_two_mains",
        "secondary.protection.kind",
        ("main_device", "main_lugs_only"),
        ("secondary.panelboard.fed_by_two_mains",),
        "Two mains ahead of one bus are grouped devices, not one main device and not main lugs only.",
    ),
    _Denied(
        "fuse_that_is_set",
        "primary.device.kind",
        ("fuse",),
        ("primary.device.adjustable", "primary.device.instantaneous_multiple"),
        "A fuse has no adjustable trip.",
    ),
    _Denied(
        "secondary_fuse_that_is_set",
        "secondary.protection.device_kind",
        ("fuse",),
        ("secondary.protection.adjustable",),
        "A fuse has no adjustable trip.",
    ),
    _Denied(
        "secondary_fuse_that_is_back_fed",
        "secondary.protection.device_kind",
        ("fuse",),
        ("secondary.protection.back_fed", "secondary.protection.held_down"),
        "One answer says fuses; the other says that the main is a breaker that plugs onto the bus.",
    ),
    _Denied(
        "device_of_main_lugs_only",
        "secondary.protection.kind",
        ("main_lugs_only",),
        (
            "secondary.protection.back_fed",
            "secondary.protection.held_down",
            "secondary.protection.adjustable",
            "secondary.protection.highest_rating",
            "secondary.protection.ground_fault_protection",
            "secondary.protection.arc_energy_reduction",
        ),
        "One answer says main lugs only; the other describes a device at the end of these conductors. The list "
        "of branch breakers doesn't count here.",
    ),
    _Denied(
        "no_neutral",
        "transformer.secondary_system",
        ("delta_3_wire_ungrounded",),
        (
            "secondary.grounded_conductor.present",
            "secondary.neutral_load_amperes",
            "bonding.neutral_bonded_downstream",
            "readings.line_to_neutral_volts",
            "readings.neutral_to_ground_volts",
            "readings.neutral_to_ground_far_volts",
            "readings.neutral_insulation_megohms",
            "observations.grounded_phase_identified",
        ),
        "An ungrounded delta has no neutral and no grounded conductor; the other answer describes one.",
    ),
    _Denied(
        "no_grounded_phase",
        "transformer.secondary_system",
        ("wye_4_wire", "wye_3_wire", "delta_high_leg", "single_phase_3_wire"),
        ("observations.grounded_phase_identified",),
        "Only a corner-grounded delta has a grounded phase; the other answer says that one was seen. If it is the "
        "neutral that you saw, clear that answer.",
    ),
    _Denied(
        "no_high_leg",
        "transformer.secondary_system",
        (
            *("wye_4_wire", "wye_3_wire", "delta_3_wire_ungrounded", "delta_corner_grounded"),
            *("single_phase_2_wire", "single_phase_3_wire"),
        ),
        (
            "observations.high_leg_orange",
            "observations.high_leg_on_b",
            "observations.high_leg_labeled",
            "observations.high_leg_free_of_neutral_loads",
        ),
        "Only a high-leg delta has a high leg; the other answer describes one. Read the connection on the nameplate "
        "again.",
    ),
    _Denied(
        "grounded_and_marked_ungrounded",
        "bonding.system_bonding_jumper.location",
        ("source", "first_disconnect", "both"),
        _UNGROUNDED_MARKS,
        "One answer says that a jumper grounds the system; the other says that it is marked as ungrounded.",
        _not_an_ungrounded_delta,
    ),
    _Denied(
        "grounded_phase_and_marked_ungrounded",
        "transformer.secondary_system",
        ("delta_corner_grounded",),
        _UNGROUNDED_MARKS,
        "A corner-grounded delta is grounded; the other answer says that it is marked as ungrounded.",
    ),
    _Denied(
        "outdoors_above_a_ceiling",
        "transformer.location",
        ("outdoors",),
        ("observations.above_ceiling",),
        "The transformer is either outdoors or above a ceiling in the building, not both.",
    ),
    _Denied(
        "air_space_above_no_ceiling",
        "observations.above_ceiling",
        (False,),
        ("observations.ceiling_moves_air",),
        "One answer says that the transformer is not above a ceiling; the other says that the ceiling space around it "
        "moves the building's air.",
    ),
    _Denied(
        "qualified_persons_and_others",
        "secondary.qualified_persons_only",
        (False,),
        ("transformer.supervised",),
        "One answer says that only qualified persons monitor and service the transformer; the other says that others "
        "service it too.",
    ),
    _Denied(
        "open_and_enclosed",
        "transformer.enclosure",
        ("open",),
        ("observations.completely_enclosed_except_vents",),
        "The core and coils have no case, or they are completely enclosed, not both.",
    ),
    _Denied(
        "open_and_weatherproof",
        "transformer.enclosure",
        ("open",),
        ("observations.weatherproof_enclosure",),
        "The core and coils either have no case or have an enclosure made for outdoors, not both.",
    ),
    _Denied(
        "open_and_made_for_moving_air",
        "transformer.enclosure",
        ("open",),
        ("observations.case_suits_air_space",),
        "The core and coils have no case, so no case can suit a space that moves air.",
    ),
    _Denied(
        "outdoors_from_indoors",
        "transformer.location",
        ("indoors",),
        ("observations.outdoors_all_the_way",),
        "The conductors start at the transformer. If it is indoors, they are not outdoors all the way.",
    ),
    _Denied(
        "combustibles_near_and_far",
        "observations.combustibles_clear",
        (False,),
        ("observations.far_from_combustibles",),
        "Combustible material is close, or all of it is far away or behind a barrier, not both.",
    ),
    _Denied(
        "dry_outdoors",
        "secondary.conductors.wet_location",
        (False,),
        ("observations.outdoors_all_the_way",),
        "An outdoor run is in a wet location, even inside its raceways.",
    ),
)


def _describes(path: str) -> Callable[[Job], bool]:
    """Whether the fact at a path says something of a thing. An insulation of 0 megohm does: it was measured."""
    read = attrgetter(path)
    # That nothing is connected to a leg agrees with its absence; that something is does not.
    if path.endswith("_free_of_neutral_loads"):
        return lambda job: read(job) is False
    if path.endswith("_megohms"):
        return lambda job: read(job) is not None
    return lambda job: bool(read(job))


def _denial(denied: _Denied) -> Contradiction:
    read = attrgetter(denied.path)
    readers = tuple((path, _describes(path)) for path in denied.described_by)

    def among(job: Job) -> tuple[str, ...]:
        return (denied.path, *(path for path, described in readers if described(job)))

    def found(job: Job) -> bool:
        return (
            read(job) in denied.answers
            and any(described(job) for _, described in readers)
            and denied.where(job)
        )

    return Contradiction(denied.id, (denied.path, *denied.described_by), denied.why, found, among)


DENIALS = tuple(_denial(denied) for denied in _DENIED)
