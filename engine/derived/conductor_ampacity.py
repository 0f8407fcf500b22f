"""Ampacity of conductors as installed, and the largest device that it allows."""

from engine.derived import currents
from engine.derived.conditions_of_use import NOT_FOR_HERE, Conditions, conditions
from engine.derived.derived import Derived, NotInTables
from engine.derived.sides import PRIMARY, SECONDARY, Side
from engine.job.site import Site, once
from engine.physics.ampacity import ampacity_as_installed
from engine.physics.quantities import TOLERANCE, amperes, number, size


def ampacity_of(site: Site, use: Conditions, size_: str, sets: int) -> float:
    """Ampacity [A] of a size under conditions of use; 0 where the table has no such conductor.

    Section: Table 310.16, 310.15(B), 310.15(C)(1), 110.14(C).
    """
    if use.column == NOT_FOR_HERE:
        return 0.0
    table = site.code.ampacity(size_, use.material, use.column)
    at_terminals = site.code.ampacity(size_, use.material, use.termination)
    if table is None or at_terminals is None:
        return 0.0
    return ampacity_as_installed(
        table_amperes=table,
        ambient_factor=use.ambient_factor,
        adjustment_factor=use.adjustment_factor,
        termination_amperes=at_terminals,
        sets=sets,
    )


def ampacity_steps(site: Site, use: Conditions, size_: str, sets: int) -> tuple[str, ...]:
    """The arithmetic of `ampacity_of` in words. Unit: A. Section: as there."""
    if use.column == NOT_FOR_HERE:
        return (
            f"{use.insulation} may not be used in a wet location ({site.section('insulation_temperature')}): 0 A",
        )
    table = site.code.ampacity(size_, use.material, use.column)
    at_terminals = site.code.ampacity(size_, use.material, use.termination)
    if table is None or at_terminals is None:
        return (
            f"{site.section('ampacity_table')} has no {size(size_, use.material)}: no ampacity is counted.",
        )
    derated = table * use.ambient_factor * use.adjustment_factor
    steps = [
        f"{size(size_, use.material)} {use.insulation}: {amperes(table)} in the {use.column} °C column of "
        f"{site.section('ampacity_table')}",
        f"× {number(use.ambient_factor)} for {number(use.ambient)} °C ambient ({site.section('ambient_correction')})",
    ]
    if use.rooftop:
        steps.append(
            f"of which {number(use.rooftop)} °C by direct sun on the roof ({site.section('rooftop_adder')})"
        )
    if use.nipple:
        steps.append(f"no adjustment in a nipple ({site.section('raceway_fill_nipple')})")
    else:
        steps.append(
            f"× {number(use.adjustment_factor)} for {use.current_carrying} current-carrying conductors "
            f"({site.section('conductor_count_adjustment')}) = {amperes(derated)}"
        )
    steps.append(
        f"Terminals: {amperes(at_terminals)} in the {use.termination} °C column "
        f"({site.section('terminal_temperature_general')}); the lower counts: {amperes(min(derated, at_terminals))}"
    )
    if sets > 1:
        steps.append(f"× {sets} in parallel = {amperes(min(derated, at_terminals) * sets)}")
    return tuple(steps)


def ampacity_before_correction(site: Site, use: Conditions, size_: str, sets: int) -> float:
    """Ampacity [A] before correction and adjustment, at the terminals or the insulation, whichever is the lower column.

    0 where the table has no such conductor. Section: 215.2(A)(1), 110.14(C).
    """
    if use.column == NOT_FOR_HERE:
        return 0.0
    return (site.code.ampacity(size_, use.material, min(use.column, use.termination)) or 0.0) * sets


def _ampacity(site: Site, side: Side) -> Derived:
    size_ = site.need(lambda job: side.conductors(job).size)
    use = conditions(site, side)
    sets = site.need(lambda job: side.conductors(job).sets)
    value = ampacity_of(site, use, size_, sets)
    return Derived(value, "A", "ampacity_table", ampacity_steps(site, use, size_, sets))


def largest_device(site: Site, ampacity: float, size_: str, material: str, sets: int) -> float:
    """Ampacity [A], held to the limit of small conductors. Section: 240.4(D)."""
    small = site.code.small_conductor_limit(size_, material)
    return ampacity if small is None else min(ampacity, small * sets)


@once
def secondary_protectable_ampacity(site: Site) -> Derived:
    """Largest device [A] that the secondary conductors allow: their ampacity, less where they are small conductors.

    Section: 240.4(D), which lets only 240.4(E) and (G) pass, not transformer secondary conductors. Raises Missing.
    """
    ampacity = secondary_conductor_ampacity(site)
    limit = largest_device(
        site,
        ampacity.amount,
        site.need(lambda job: job.secondary.conductors.size),
        site.need(lambda job: job.secondary.conductors.material),
        site.need(lambda job: job.secondary.conductors.sets),
    )
    if limit == ampacity.amount:
        return ampacity
    step = f"Small conductors: protected at no more than {amperes(limit)} ({site.section('small_conductors')})"
    return Derived(limit, "A", "small_conductors", (*ampacity.steps, step))


@once
def primary_conductor_ampacity(site: Site) -> Derived:
    """Ampacity of the primary conductors as installed [A]. Section: Table 310.16, 310.15, 110.14(C).

    Raises Missing; NotInTables above 1000 V.
    """
    within_1000_volts(site)
    return _ampacity(site, PRIMARY)


def within_1000_volts(site: Site) -> None:
    """Raises NotInTables where the primary conductors are above 1000 V, which no table here reaches. Section: 310.

    Unit: V. Their ampacity, grounding and raceway are then outside this tool.
    """
    if currents.is_over_1000_volts(site):
        raise NotInTables("conductors above 1000 V")


@once
def secondary_conductor_ampacity(site: Site) -> Derived:
    """Ampacity of the secondary conductors as installed [A]. Section: Table 310.16, 310.15, 110.14(C). Raises Missing."""
    return _ampacity(site, SECONDARY)


def reaches(found: float, wanted: float) -> bool:
    """Whether an ampacity reaches what is wanted, rounding aside. Unit: A, both. Section: none."""
    return found >= wanted * (1 - TOLERANCE)
