"""How far an unknown can go: the possibilities that a verdict must survive to hold in spite of it.

A path that is not listed has no bound: while it is unknown, no verdict that reads it can be given. For an amount the
two ends stand for all between them, because every rule that reads it moves one way with it.
"""

from collections.abc import Sequence
from typing import Any, get_args

from engine.code import INSULATIONS, RACEWAY_TYPES
from engine.code.sizes import FlexibleType, Material
from engine.job import MOST_SETS, Electrode, Job, RatingBasis, SecondaryRule
from engine.job.kinds import (
    Celsius,
    DeviceKind,
    InsulationVolts,
    PrimarySystem,
    SecondarySystem,
)
from engine.job.runs import FURTHER, OF_A_FURTHER_RUN, first_path, job_of_run

_METALS = get_args(Material)
_YES_NO = (True, False)
_TEMPERATURES = get_args(Celsius)
# The largest standard rating of a device [A], 240.6(A): no trip is set higher.
LARGEST_DEVICE = 6000.0
_COVERINGS = ("bare", *INSULATIONS)

_FIXED: dict[str, Sequence[Any]] = {
    "transformer.coordinated_thermal_protection": _YES_NO,
    "transformer.supervised": _YES_NO,
    "transformer.location": ("indoors", "outdoors"),
    "transformer.primary_terminal_celsius": _TEMPERATURES,
    "transformer.secondary_terminal_celsius": _TEMPERATURES,
    "primary.device.kind": get_args(DeviceKind),
    "primary.device.adjustable": _YES_NO,
    "primary.device.rating_basis": get_args(RatingBasis),
    "primary.device.termination_celsius": _TEMPERATURES,
    "primary.equipment_grounding.material": _METALS,
    "primary.equipment_grounding.insulation": _COVERINGS,
    "primary.raceway.type": RACEWAY_TYPES,
    "secondary.rule": get_args(SecondaryRule),
    "secondary.protection.device_kind": get_args(DeviceKind),
    "secondary.protection.adjustable": _YES_NO,
    "secondary.protection.rating_basis": get_args(RatingBasis),
    "primary.device.continuous_percent": (80, 100),
    "secondary.protection.continuous_percent": (80, 100),
    "secondary.protection.termination_celsius": _TEMPERATURES,
    "secondary.grounded_conductor.material": _METALS,
    "secondary.grounded_conductor.insulation": INSULATIONS,
    "secondary.grounded_conductor.current_carrying": _YES_NO,
    # More than one to a set is lawful, so the phases do not bound it.
    "secondary.grounded_conductor.sets": (1, MOST_SETS),
    "secondary.raceway.type": RACEWAY_TYPES,
    "secondary.first_disconnect_separate": _YES_NO,
    "bonding.system_bonding_jumper.material": _METALS,
    "bonding.supply_side_bonding_jumper.material": _METALS,
    "bonding.supply_side_bonding_jumper.insulation": _COVERINGS,
    "bonding.water_pipe_bond.material": _METALS,
    "bonding.structural_steel_bond.material": _METALS,
    "replacement.old.phases": (1, 3),
    "secondary.class_1_2_3_circuits_only": _YES_NO,
    "electrode.used": (*get_args(Electrode), "none"),
    "electrode.sole_connection": _YES_NO,
    "electrode.joined_to_building_system": _YES_NO,
    "electrode.conductor.material": _METALS,
    "electrode.common_conductor": _YES_NO,
    "electrode.common_conductor_material": _METALS,
    "electrode.ring_size": ("4", "2", "1", "1/0", "2/0", "3/0", "4/0", "250", "500", "2000"),
}
_EACH_SIDE: dict[str, Sequence[Any]] = {
    "conductors.material": _METALS,
    "conductors.insulation": INSULATIONS,
    "conductors.insulation_volts": get_args(InsulationVolts),
    "conductors.ambient_celsius": (-60.0, 150.0),
    "conductors.current_carrying": (1, 100),
    "conductors.termination_celsius": _TEMPERATURES,
    "conductors.wet_location": _YES_NO,
    "conductors.outer_covering": _YES_NO,
    "raceway.nipple": _YES_NO,
    "raceway.flexible_type": get_args(FlexibleType),
    "raceway.on_sunny_rooftop": _YES_NO,
    "raceway.height_above_roof_inches": (0.0, 500.0),
}
_FIXED.update({f"{FURTHER}.0.{name}": _YES_NO for name in OF_A_FURTHER_RUN})
for _side in ("primary", "secondary"):
    _FIXED.update({f"{_side}.{path}": values for path, values in _EACH_SIDE.items()})

_SYSTEMS: dict[str, dict[int, Sequence[Any]]] = {
    path: {
        1: tuple(system for system in systems if system.startswith("single_phase")),
        3: tuple(system for system in systems if not system.startswith("single_phase")),
    }
    for path, systems in (
        ("transformer.primary_system", get_args(PrimarySystem)),
        ("transformer.secondary_system", get_args(SecondarySystem)),
    )
}


def possibilities(path: str, job: Job) -> Sequence[Any] | None:
    """Everything that the unknown at a path may turn out to be; None when it has no bound.

    Unit: that of the field. Section: none; the contract's rule that a bound decides only in its worst direction.
    """
    path, number = first_path(path)
    if number:
        job = job_of_run(job, number)
    if path.endswith("conductors.raceways"):
        side = job.primary if path.startswith("primary") else job.secondary
        return tuple(range(1, (side.conductors.sets or 1) + 1))
    if path == "primary.device.highest_rating":
        rating = job.primary.device.rating or LARGEST_DEVICE
        return (rating, max(rating, LARGEST_DEVICE))
    if path == "secondary.protection.highest_rating":
        protection = job.secondary.protection
        known = [*(protection.ratings or ()), protection.rating or 0.0]
        rating = max(known) or LARGEST_DEVICE
        return (rating, max(rating, LARGEST_DEVICE))
    if path in _SYSTEMS:
        return _SYSTEMS[path][job.transformer.phases]
    return _FIXED.get(path)
