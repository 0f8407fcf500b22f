"""Which checks a visit looks at, by its purpose."""

from functools import cache

from engine.code import code_for
from engine.evaluation.order import RULES
from engine.job import Job, Readings
from engine.job.base import unread
from engine.rules import grounded_conductor, supply_side_bonding_jumper

GROUNDING_CHECKS = frozenset(
    {
        "separate_windings",
        "system_grounding",
        "supply_side_bonding_jumper",
        "system_bonding_jumper",
        "secondary_flexible_section",
        "jumper_of_several_enclosures",
        "single_bonding_point",
        "grounding_electrode",
        "supplemental_electrode",
        "outdoor_electrode",
        "grounding_electrode_conductor",
        "water_pipe_bond",
        "structural_steel_bond",
        "grounded_conductor",
        "grounded_conductor_sets",
        "ground_detection",
        "ungrounded_marking",
        "neutral_isolation",
        "supplied_neutral",
        "common_grounding_electrode_conductor",
        "water_pipe_entry",
    }
)
# What a grounding visit looks at besides, once an answer says that it is there.
GROUPING_CHECKS = frozenset({"circuit_grouping"})
GROUNDED_CONDUCTOR_CHECKS = frozenset({"grounded_conductor_load"})
ALUMINUM_CHECKS = frozenset({"aluminum_electrode_conductor"})
NO_READINGS = unread(Readings)


def asked_ids(job: Job) -> frozenset[str]:
    """The ids of the checks that the purpose of this visit looks at. Unit: none. Section: none."""
    ids = _asked_ids(job.purpose, job.readings != NO_READINGS)
    if job.purpose == "grounding":
        electrode = job.electrode
        # How many raceways hold a supply-side bonding wire, only a look at each of them tells.
        if supply_side_bonding_jumper.is_wire_in_several_raceways(job):
            ids |= GROUPING_CHECKS
        if grounded_conductor.is_grounded_conductor_thin(job, code_for(job.edition)):
            ids |= GROUNDED_CONDUCTOR_CHECKS
        if "aluminum" in (electrode.conductor.material, electrode.common_conductor_material):
            ids |= ALUMINUM_CHECKS
    return ids


@cache
def _asked_ids(purpose: str, has_readings: bool) -> frozenset[str]:
    if purpose == "grounding":
        return GROUNDING_CHECKS
    left_out: set[str] = set() if purpose == "replacement" else {"replacement"}
    if purpose != "replacement" and not has_readings:
        left_out.add("readings")
    return frozenset(rule.id for rule in RULES if rule.group not in left_out)
