"""The minimum sizes of grounding and bonding conductors by their value ids, each for a metal that is named."""

from collections.abc import Callable

from engine.derived.bonding_jumpers import (
    structural_steel_bond_in,
    supply_side_bonding_jumper_in,
    system_bonding_jumper_in,
    water_pipe_bond_in,
)
from engine.derived.derived import Derived
from engine.derived.electrode_conductors import grounding_electrode_conductor_in
from engine.derived.equipment_grounding import primary_equipment_grounding_in
from engine.derived.grounded_conductors import grounded_conductor_in
from engine.job.site import Site

# The same minimums for a metal that is named, whatever is installed.
IN_METAL: dict[str, Callable[[Site, str], Derived | None]] = {
    "system_bonding_jumper_minimum": system_bonding_jumper_in,
    "supply_side_bonding_jumper_minimum": supply_side_bonding_jumper_in,
    "grounded_conductor_minimum": grounded_conductor_in,
    "grounding_electrode_conductor_minimum": grounding_electrode_conductor_in,
    "water_pipe_bond_minimum": water_pipe_bond_in,
    "structural_steel_bond_minimum": structural_steel_bond_in,
    "primary_equipment_grounding_minimum": primary_equipment_grounding_in,
}
