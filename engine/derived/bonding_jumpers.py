"""System bonding jumper, supply-side bonding jumper, and the bonds of water pipe and structural steel: minimum sizes."""

from engine.code.choices import choice
from engine.code.limits import must_ground_by_voltage
from engine.derived import grounded_systems
from engine.derived.derived import Derived
from engine.derived.jumper_table import (
    by_jumper_table,
    in_each_metal,
    not_larger_than,
    not_larger_than_phases,
)
from engine.derived.ungrounded_area import (
    area_in_one_raceway,
    area_of,
    area_wanted,
    derived_ungrounded_area,
    derived_ungrounded_metal,
)
from engine.job.site import Site, once
from engine.physics.quantities import size

# The exception for Class 1, 2 and 3 circuits is the lowest the code goes: 250.30(A)(1).
LEAST_SYSTEM_BONDING_JUMPER = {"copper": "14", "aluminum": "12"}


def stays_ungrounded(site: Site) -> bool:
    """Whether the secondary may stay ungrounded, and does. Unit: none. Section: 250.20(B), 250.21. Raises Missing."""
    plate = site.job.transformer
    system = plate.secondary_system
    if system == "delta_3_wire_ungrounded":
        return not grounded_systems.must_be_grounded(site)
    if system in (None, "delta_corner_grounded") or (
        site.job.bonding.system_bonding_jumper.location != "none"
        or must_ground_by_voltage(system, plate.secondary_volts, plate.primary_volts)
    ):
        return False
    return system == "single_phase_2_wire" or all(
        site.in_each_run(grounded_systems.is_without_neutral)
    )


@once
def system_bonding_jumper_minimum(site: Site) -> Derived | None:
    """Smallest system bonding jumper (AWG or kcmil; above the table an area [kcmil]); None on an ungrounded system.

    Section: 250.30(A)(1), 250.28(D), Table 250.102(C)(1). Raises Missing.
    """
    return in_each_metal(
        site, site.job.bonding.system_bonding_jumper.material, system_bonding_jumper_in
    )


def system_bonding_jumper_in(site: Site, material: str) -> Derived | None:
    """As `system_bonding_jumper_minimum`, in a metal that is named. Unit: AWG or kcmil. Section: 250.28(D). Raises Missing."""
    if stays_ungrounded(site):
        return None
    minimum = by_jumper_table(
        site, derived_ungrounded_area(site), material, cite="system_bonding_jumper_size"
    )
    if site.has_further_runs:
        # Note 1 speaks of the conductor or set that the jumper goes with; of several runs the sum stands.
        return minimum
    limited = not_larger_than_phases(site, minimum, material)
    least = LEAST_SYSTEM_BONDING_JUMPER[material]
    if area_wanted(site, limited) >= area_of(site, least):
        return limited
    step = (
        f"Never smaller than {size(least, material)}, the smallest permitted even for a control transformer "
        f"({site.section('control_transformer_jumper')})"
    )
    return Derived(least, "AWG or kcmil", limited.cite, (*limited.steps, step), size=least)


@once
def supply_side_bonding_jumper_minimum(site: Site) -> Derived:
    """Smallest supply-side bonding jumper of the wire type in each raceway (size; above the table an area [kcmil]).

    Section: 250.30(A)(2), 250.102(C)(1) and (C)(2). Raises Missing: raceways not known with more than one set.
    """
    return in_each_metal(
        site, site.job.bonding.supply_side_bonding_jumper.material, supply_side_bonding_jumper_in
    )


def supply_side_bonding_jumper_in(site: Site, material: str) -> Derived:
    """As `supply_side_bonding_jumper_minimum`, in a metal that is named. Unit: AWG or kcmil. Section: 250.102(C). Raises Missing."""
    minimum = by_jumper_table(
        site, area_in_one_raceway(site), material, cite="supply_side_bonding_jumper"
    )
    phase = site.need(lambda job: job.secondary.conductors.material)
    if site.need(lambda job: job.secondary.conductors.sets) > 1:
        return minimum
    return not_larger_than(
        site, minimum, site.need(lambda job: job.secondary.conductors.size), phase, material
    )


def _area_bond(site: Site, metal: str, cite: str) -> Derived:
    area = derived_ungrounded_area(site)
    phase = derived_ungrounded_metal(site)
    cap = site.code.common_grounding_electrode_conductor(metal)
    method = area_bond_method(site)
    if method == "electrode_table":
        value = site.code.grounding_electrode_conductor(area.amount, phase, metal)
        step = f"{site.section('grounding_electrode_conductor_table')} ({site.code.edition}): {size(value, metal)}"
        return Derived(value, "AWG or kcmil", cite, (*area.steps, step), size=value)
    minimum = by_jumper_table(site, area, metal, cite=cite)
    if method == "bonding_table":
        return minimum
    if area_wanted(site, minimum) <= area_of(site, cap):
        return minimum
    step = f"Not required larger than {size(cap, metal)} (this limit and its first edition are from memory)"
    return Derived(cap, "AWG or kcmil", cite, (*minimum.steps, step), size=cap)


def area_bond_method(site: Site) -> str:
    """How the edition sizes the bonds of 250.104(D): electrode_table, bonding_table, or bonding_table_with_cap.

    Unit: none. Section: 250.104(D); 2014 by 250.66, 2017 by Table 250.102(C)(1), from 2020 with an upper limit.
    """
    return choice(site.code.edition, "area_bond_method")


@once
def water_pipe_bond_minimum(site: Site) -> Derived:
    """Smallest bonding jumper to metal water piping in the area served. Unit: size or kcmil. Section: 250.104(D)(1)."""
    return in_each_metal(site, site.job.bonding.water_pipe_bond.material, water_pipe_bond_in)


def water_pipe_bond_in(site: Site, material: str) -> Derived:
    """As `water_pipe_bond_minimum`, in a metal that is named. Unit: AWG or kcmil. Section: 250.104(D)(1). Raises Missing."""
    return _area_bond(site, material, "area_water_piping_bonding")


@once
def structural_steel_bond_minimum(site: Site) -> Derived:
    """Smallest bonding jumper to structural steel in the area served. Unit: size or kcmil. Section: 250.104(D)(2)."""
    return in_each_metal(
        site, site.job.bonding.structural_steel_bond.material, structural_steel_bond_in
    )


def structural_steel_bond_in(site: Site, material: str) -> Derived:
    """As `structural_steel_bond_minimum`, in a metal that is named. Unit: AWG or kcmil. Section: 250.104(D)(2). Raises Missing."""
    return _area_bond(site, material, "area_structural_steel_bonding")
