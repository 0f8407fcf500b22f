"""The grounded conductors of the secondary: how many run, what they carry and return, and their minimum size."""

from typing import NamedTuple

from engine.code import SIZES, size_index
from engine.derived import (
    circuits,
    conditions_of_use,
    conductor_ampacity,
    conductor_runs,
    grounded_systems,
    secondary_conductors,
    sides,
)
from engine.derived.bonding_jumpers import stays_ungrounded
from engine.derived.derived import Derived
from engine.derived.jumper_table import by_jumper_table, in_each_metal, not_larger_than_phases
from engine.derived.ungrounded_area import (
    area_in_one_raceway,
    area_of,
    area_wanted,
    smallest_of_area,
)
from engine.job.site import Site, once
from engine.physics.quantities import TOLERANCE, amperes, area_kcmil, size


class Parallel(NamedTuple):
    """How the grounded conductors run: all of them, the raceways, and how many the emptiest raceway holds."""

    all: int
    raceways: int
    in_each: int


def grounded_in_parallel(site: Site) -> Parallel:
    """How many grounded conductors run, and where. Unit: conductors. Section: 300.3(B), 310.10(G). Raises Missing."""
    if site.need(lambda job: job.secondary.conductors.sets) == 1:
        # Several beside one set are contradicted; a value shows what follows from the number entered.
        beside_one = conductor_runs.grounded_in_one_raceway(site)
        return Parallel(beside_one, 1, beside_one)
    number_of = site.need(lambda job: job.secondary.grounded_conductor.sets)
    raceways = site.need(lambda job: job.secondary.conductors.raceways)
    return Parallel(number_of, raceways, max(1, number_of // raceways))


def grounded_conditions(site: Site, material: str) -> conditions_of_use.Conditions:
    """Conditions of use of the grounded conductor: its own insulation, and the run of the phases [°C].

    Section: 310.15, 110.14(C). Raises Missing.
    """
    insulation = site.need(lambda job: job.secondary.grounded_conductor.insulation)
    column = conditions_of_use.column_of(site, sides.SECONDARY, insulation)
    use = conditions_of_use.conditions(site, sides.SECONDARY)
    heat = conditions_of_use.heat_of(site, sides.SECONDARY, insulation, column)
    return use._replace(
        material=material,
        column=column,
        insulation=insulation,
        ambient=heat.ambient,
        ambient_factor=heat.factor,
        rooftop=heat.rooftop,
    )


def fault_return_minimum(site: Site, material: str) -> Derived | None:
    """What the grounded conductors of each raceway have together to return a fault (size or area [kcmil]).

    None where none returns: no grounded system, a jumper at the source, or a grounded phase, which goes by its ampacity.
    Section: 250.30(A)(3)(a) and (b), Table 250.102(C)(1) with note 1. Raises Missing.
    """
    if stays_ungrounded(site) or circuits.grounded_role(site) in (None, "grounded_phase"):
        return None
    if site.need(lambda job: job.bonding.system_bonding_jumper.location) == "source":
        return None
    minimum = by_jumper_table(
        site, area_in_one_raceway(site), material, cite="derived_grounded_conductor"
    )
    return not_larger_than_phases(site, minimum, material)


def feeder_grounded_area(site: Site, material: str) -> Derived:
    """What all grounded conductors of the secondary have together by the device they end at [kcmil].

    It goes for a jumper at the source too, where no table of bonding jumpers does. Not required larger than the phases.
    Section: 215.2(A)(2), 215.2(B) from 2020, Table 250.122, 250.122(A). Raises Missing.
    """
    size_ = site.need(lambda job: job.secondary.conductors.size)
    sets = site.need(lambda job: job.secondary.conductors.sets)
    phase = site.need(lambda job: job.secondary.conductors.material)
    rating = secondary_conductors.the_end(site).amount
    cite = "feeder_grounded_conductor"
    table = site.code.equipment_grounding(rating, material)
    phases = area_of(site, size_) * sets
    if table is None:
        step = f"{site.section('equipment_grounding_table')} ends below {amperes(rating)}: as large as the phases"
        return Derived(phases, "kcmil", cite, (step,))
    step = f"{site.section('equipment_grounding_table')}, {amperes(rating)}: {size(table, material)} in all"
    if phase == material and phases < area_of(site, table):
        note = f"Not required larger than the phases, {area_kcmil(phases)}"
        return Derived(phases, "kcmil", cite, (step, note))
    return Derived(area_of(site, table), "kcmil", cite, (step,), size=table)


def as_large_as_phases(site: Site, material: str, area: float) -> bool:
    """Whether grounded conductors have the area [kcmil] and the metal of the phases: no device asks for more.

    Section: 215.2(A)(2), 250.122(A). Raises Missing.
    """
    size_ = site.need(lambda job: job.secondary.conductors.size)
    sets = site.need(lambda job: job.secondary.conductors.sets)
    phase = site.need(lambda job: job.secondary.conductors.material)
    return phase == material and area >= area_of(site, size_) * sets * (1 - TOLERANCE)


def feeder_grounded_enough(site: Site, material: str, area: float) -> bool:
    """Whether grounded conductors of an area [kcmil] in all are enough for the device; it is not asked where none could ask more.

    Section: 215.2(A)(2), 215.2(B) from 2020, 250.122(A). Raises Missing.
    """
    if as_large_as_phases(site, material, area):
        return True
    return area >= feeder_grounded_area(site, material).amount * (1 - TOLERANCE)


class GroundedLoad(NamedTuple):
    """The current that the grounded conductors carry [A], the device they must be protected by [A], and the words."""

    current: float
    device: float
    words: str


def grounded_load(site: Site) -> GroundedLoad:
    """Current of the grounded conductors: a neutral's calculated load, the whole requirement of the phases for the others.

    Unit: A. Section: 220.61 for a neutral; 240.21(C), 215.2(A)(1) for what carries the line current. Raises Missing.
    """
    if circuits.grounded_role(site) == "neutral":
        load = site.need(lambda job: job.secondary.neutral_load_amperes)
        return GroundedLoad(load, 0.0, f"the calculated neutral load, {amperes(load)}")
    required = secondary_conductors.ampacity_wanted(site)
    return GroundedLoad(
        required,
        secondary_conductors.the_end(site).amount,
        f"the whole current of the phases, {amperes(required)}",
    )


def grounded_ampacity(
    site: Site, use: conditions_of_use.Conditions, size_: str, number_of: int
) -> tuple[float, float]:
    """Ampacity [A] of the grounded conductors, and the largest device it permits [A]. Section: 310.16, 240.4(D)."""
    ampacity = conductor_ampacity.ampacity_of(site, use, size_, number_of)
    return ampacity, conductor_ampacity.largest_device(
        site, ampacity, size_, use.material, number_of
    )


def phases_ampacity(site: Site) -> float:
    """Ampacity of the phases as installed, where the grounded phase must have as much [A]; else 0.

    Section: 250.30(A)(3)(c). Raises Missing.
    """
    if circuits.grounded_role(site) != "grounded_phase":
        return 0.0
    if site.need(lambda job: job.bonding.system_bonding_jumper.location) == "source":
        return 0.0
    return conductor_ampacity.secondary_conductor_ampacity(site).amount


@once
def grounded_conductor_minimum(site: Site) -> Derived | None:
    """Smallest of each grounded conductor to the first disconnect (size; above the table an area [kcmil]).

    It returns the fault, meets the table by the device, carries its load or, as a grounded phase or a return, the whole
    line current. Section: 250.30(A)(3), 215.2(A)(2), 220.61, 310.10(G). Raises Missing.
    """
    return in_each_metal(
        site, site.job.secondary.grounded_conductor.material, grounded_conductor_in
    )


def grounded_conductor_in(site: Site, material: str) -> Derived | None:
    """As `grounded_conductor_minimum`, in a metal that is named. Unit: AWG or kcmil. Section: 250.30(A)(3). Raises Missing."""
    if not grounded_systems.has_grounded_conductor(site) or secondary_conductors.end_at_nothing(
        site
    ):
        return None
    run = grounded_in_parallel(site)
    fault = fault_return_minimum(site, material)
    as_phases = phases_ampacity(site)
    load = grounded_load(site)
    use = grounded_conditions(site, material)
    if use.column == conditions_of_use.NOT_FOR_HERE or use.ambient_factor == 0:
        return None
    fault_area = area_wanted(site, fault) if fault else 0.0

    def enough(size_: str) -> bool:
        ampacity, device = grounded_ampacity(site, use, size_, run.all)
        area = area_of(site, size_)
        return (
            area * run.in_each >= fault_area * (1 - TOLERANCE)
            and ampacity >= max(load.current, as_phases) * (1 - TOLERANCE)
            and device >= load.device * (1 - TOLERANCE)
            and feeder_grounded_enough(site, material, area * run.all)
        )

    least = size_index(site.code.parallel_minimum_size) if run.all > 1 else 0
    chosen = next((name for name in SIZES[least:] if enough(name)), None)
    if chosen is None:
        return None
    steps, cite = _grounded_steps(site, material, chosen, run, fault, load, use, as_phases)
    exact = fault_area / run.in_each
    if fault is not None and fault.unit == "kcmil" and chosen == smallest_of_area(site, exact):
        return Derived(exact, "kcmil", cite, steps, size=chosen)
    return Derived(chosen, "AWG or kcmil", cite, steps, size=chosen)


def _grounded_steps(
    site: Site,
    material: str,
    chosen: str,
    run: Parallel,
    fault: Derived | None,
    load: GroundedLoad,
    use: conditions_of_use.Conditions,
    as_phases: float,
) -> tuple[tuple[str, ...], str]:
    """What led to the size, and the section of what asked for the most."""
    steps: list[str] = []
    cite = "derived_grounded_conductor"
    if fault is not None:
        steps += fault.steps
        if run.in_each > 1:
            steps.append(f"{run.in_each} in each raceway together")
    elif circuits.grounded_role(site) != "grounded_phase":
        steps.append("The jumper is at the source: no fault current returns through it.")
    fault_area = area_wanted(site, fault) if fault else 0.0
    by_fault = smallest_of_area(site, fault_area / run.in_each) if fault else SIZES[0]
    floor = site.code.parallel_minimum_size
    if run.all > 1 and (by_fault is None or size_index(by_fault) < size_index(floor)):
        steps.append(
            f"{run.all} in parallel: not smaller than {size(floor, material)} ({site.section('parallel_conductors')})"
        )
    if by_fault is None or size_index(by_fault) < size_index(chosen):
        if not feeder_grounded_enough(
            site, material, area_of(site, by_fault or SIZES[-1]) * run.all
        ):
            steps += feeder_grounded_area(site, material).steps
            cite = "feeder_grounded_conductor"
        steps.append(f"It carries {load.words}")
        if as_phases:
            steps.append(f"As much as the phases as installed: {amperes(as_phases)}")
        if load.current > 0 or as_phases:
            steps += conductor_ampacity.ampacity_steps(site, use, chosen, run.all)
            smaller = SIZES[max(0, size_index(chosen) - 1)]
            if grounded_ampacity(site, use, smaller, run.all)[0] < load.current:
                cite = "neutral_load" if not load.device else "secondary_conductors"
    steps.append(f"Smallest size: {size(chosen, material)}")
    return tuple(steps), cite
