"""Grounded conductor, bonding jumpers, electrode conductor, equipment grounding conductors: minimum sizes."""

from collections.abc import Callable, Collection
from operator import attrgetter
from typing import NamedTuple, TypeVar

from engine.code import MATERIALS, SIZES, size_index
from engine.code.choices import choice
from engine.code.electrodes import (
    has_limit,
    has_limits_alone,
    is_the_only_kind,
    others_ask_for_no_more,
)
from engine.derived import (
    circuits,
    conditions_of_use,
    conductor_ampacity,
    conductor_runs,
    conductor_sizes,
    currents,
    grounded_systems,
    primary_conductors,
    secondary_conductors,
    sides,
)
from engine.derived.derived import Alternative, Derived
from engine.job.missing import Missing
from engine.job.runs import job_of_runs, named_by_run
from engine.job.site import Site, once
from engine.physics.quantities import TOLERANCE, amperes, area_kcmil, number, shown, size

Minimum = TypeVar("Minimum", Derived, Derived | None)


def area_of(site: Site, size_: str) -> float:
    """Area of one conductor [kcmil]. Section: Chapter 9, Table 8."""
    return site.code.area_kcmil(size_)


def smallest_of_area(site: Site, area: float) -> str | None:
    """Smallest size of at least an area [kcmil]; None beyond the largest. Section: Chapter 9, Table 8."""
    for name in SIZES:
        if site.code.area_kcmil(name) >= area * (1 - TOLERANCE):
            return name
    return None


def area_wanted(site: Site, minimum: Derived) -> float:
    """Area [kcmil] of a minimum that may be a size or an area. Section: Chapter 9, Table 8."""
    value = minimum.value
    return area_of(site, value) if isinstance(value, str) else value


def is_large_enough(
    site: Site, found: str, required: Derived, sets: int = 1
) -> tuple[float, float]:
    """Found and required area [kcmil] of a minimum that may be a size or an area. Section: Chapter 9, Table 8."""
    return area_of(site, found) * sets, area_wanted(site, required)


@once
def derived_ungrounded_area(site: Site) -> Derived:
    """Total area of the largest derived ungrounded conductor, all its parallel sets and all runs [kcmil].

    Section: 250.66 and Table 250.102(C)(1): the equivalent area of parallel conductors; of several runs 250.28(D)(3)
    and the note to Table 250.66 on several sets: the largest sum of the areas. Where the runs have both metals, each
    counts as the copper that carries as much, as in note 2 of Table 250.102(C)(1). Raises Missing.
    """
    if site.has_further_runs:
        metal = derived_ungrounded_metal(site)
        areas = [_counted_as(run, metal) for run in site.runs]
        total = sum(area.amount for area in areas)
        steps = named_by_run(area.steps for area in areas)
        parts = " + ".join(area_kcmil(area.amount) for area in areas)
        steps.append(f"All runs together: {parts} = {area_kcmil(total)}")
        if len({*site.in_each_run(derived_ungrounded_metal)}) > 1:
            steps.append(
                f"The runs are both copper and aluminum: each counts as {metal} of the same ampacity, as in "
                f"{site.section('bonding_jumper_table')}, note 2, for sizes beyond the table (common practice, no "
                "source)"
            )
        return Derived(total, "kcmil", "conductor_properties", tuple(steps))
    size_ = site.need(lambda job: job.secondary.conductors.size)
    sets = site.need(lambda job: job.secondary.conductors.sets)
    area = area_of(site, size_) * sets
    if sets == 1:
        return Derived(
            area,
            "kcmil",
            "conductor_properties",
            (f"Largest derived ungrounded conductor: {size(size_)}",),
        )
    step = f"Derived ungrounded conductors: {sets} × {size(size_)} = {area_kcmil(area)} in total"
    return Derived(area, "kcmil", "conductor_properties", (step,))


def _counted_as(run: Site, metal: str) -> Derived:
    """The area of one run [kcmil], in the metal that all runs together are counted in."""
    area = derived_ungrounded_area(run)
    own = derived_ungrounded_metal(run)
    if own == metal:
        return area
    size_ = run.need(lambda job: job.secondary.conductors.size)
    sets = run.need(lambda job: job.secondary.conductors.sets)
    equal, each = _carrying_as_much(run, size_, own, metal)
    step = (
        f"{sets} × {size(equal, metal)} would carry as much as {sets} × {size(size_, own)}: "
        f"{area_kcmil(each * sets)}"
    )
    return area._replace(value=each * sets, steps=(*area.steps, step))


@once
def derived_ungrounded_metal(site: Site) -> str:
    """Metal that the derived ungrounded conductors are counted in; copper where the runs have both.

    Unit: none. Section: 250.66, Table 250.102(C)(1). Raises Missing.
    """
    if site.has_further_runs:
        metals = {*site.in_each_run(derived_ungrounded_metal)}
        return metals.pop() if len(metals) == 1 else "copper"
    return site.need(lambda job: job.secondary.conductors.material)


def known_runs_alone(site: Site) -> Site | None:
    """The site with those runs alone whose conductors are known; None where that is all of them, or none.

    What their sum asks for is the least that all runs ask for: a further run only adds to it. Unit: none. Section: 250.66,
    Table 250.102(C)(1).
    """
    known = [
        number
        for number, run in enumerate(site.runs)
        if None not in attrgetter("size", "sets", "material")(run.job.secondary.conductors)
    ]
    if not known or len(known) == len(site.runs):
        return None
    return Site(job_of_runs(site.job, known), site.code, site.doubted)


@once
def area_in_one_raceway(site: Site) -> Derived:
    """Area of the ungrounded conductors of one phase in each raceway [kcmil].

    Section: 250.102(C)(2): two or more raceways go by what each one holds. Raises Missing: raceways not known.
    """
    size_ = site.need(lambda job: job.secondary.conductors.size)
    sets = site.need(lambda job: job.secondary.conductors.sets)
    if sets == 1:
        return derived_ungrounded_area(site)
    raceways = site.need(lambda job: job.secondary.conductors.raceways)
    each = conductor_runs.sets_in_one_raceway(site, sides.SECONDARY)
    area = area_of(site, size_) * each
    step = f"{sets} sets over {raceways} raceway{'s' if raceways > 1 else ''}: {each} × {size(size_)} in each"
    return Derived(area, "kcmil", "supply_side_jumper_parallel_raceways", (step,))


def _by_table(site: Site, area: Derived, material: str, *, cite: str) -> Derived:
    """Table 250.102(C)(1), and 12.5 % of the area above its end."""
    phase = derived_ungrounded_metal(site)
    table = site.section("bonding_jumper_table")
    in_table = site.code.bonding_jumper(area.amount, phase, material)
    if in_table is not None:
        step = f"{table}, {phase} ungrounded conductors of {area_kcmil(area.amount)}: {size(in_table, material)}"
        return Derived(in_table, "AWG or kcmil", cite, (*area.steps, step), size=in_table)
    share = site.code.bonding_jumper_percent
    base, words = _base_area(site, phase, material, area.amount)
    value = base * share / 100
    steps = [*area.steps, *words]
    steps.append(f"Beyond {table}: {number(share)} % of {area_kcmil(base)} = {area_kcmil(value)}")
    chosen = smallest_of_area(site, value)
    if chosen:
        steps.append(f"Smallest size: {size(chosen, material)}")
    return Derived(value, "kcmil", cite, tuple(steps), size=chosen)


def _in_each_metal(
    site: Site, given: str | None, work_out: Callable[[Site, str], Minimum]
) -> Minimum:
    """The minimum in the metal given, else in copper; beside it what it is in each metal after every limit of that metal."""
    found = given or "copper"
    minimum = work_out(site, found)
    if minimum is None:
        return minimum
    in_metals = {metal: minimum if metal == found else work_out(site, metal) for metal in MATERIALS}
    others = tuple(
        Alternative(metal, "", shown(each.value, each.unit))
        for metal, each in in_metals.items()
        if each is not None
    )
    steps = (*minimum.steps, *_in_other_metals(others, found))
    return minimum._replace(steps=steps, alternatives=others)


def _base_area(site: Site, phase: str, material: str, area: float) -> tuple[float, tuple[str, ...]]:
    """Area that the share is taken of [kcmil]: the phases' own, or of the jumper's metal carrying as much."""
    if phase == material:
        return area, ()
    base, words = _equivalent_area(site, phase, material, area)
    return base, (words,)


def _in_other_metals(others: tuple[Alternative, ...], material: str) -> tuple[str, ...]:
    return tuple(
        f"In {each.label}: {each.shown}."
        for each in others
        if each.metal != material and not each.condition
    )


def _equivalent_area(site: Site, phase: str, material: str, area: float) -> tuple[float, str]:
    """Area of ungrounded conductors of the jumper's metal that would carry as much [kcmil].

    Section: note 2 of Table 250.102(C)(1).
    """
    if site.has_further_runs:
        each_run = [
            _equivalent_area(
                run, derived_ungrounded_metal(run), material, derived_ungrounded_area(run).amount
            )
            for run in site.runs
        ]
        words = "; ".join(named_by_run((step,) for _, step in each_run))
        return sum(amount for amount, _ in each_run), words
    if phase == material:
        return area, f"{material} already: {area_kcmil(area)}"
    size_ = site.need(lambda job: job.secondary.conductors.size)
    number_of = area / area_of(site, size_)
    equal, each = _carrying_as_much(site, size_, phase, material)
    total = each * number_of
    return total, (
        f"The jumper is {material}: {number(number_of)} × {size(equal, material)} would carry as much as "
        f"{number(number_of)} × {size(size_, phase)} = {area_kcmil(total)}"
    )


def _carrying_as_much(site: Site, size_: str, metal: str, other: str) -> tuple[str, float]:
    """Smallest size of another metal with the ampacity of a conductor, and its area [kcmil].

    Beyond the largest size the area grows with the ampacity that is still missing.
    """
    carries = site.code.ampacity(size_, metal, 75) or 0.0
    equal = next(
        (s for s in SIZES if (site.code.ampacity(s, other, 75) or 0.0) >= carries), SIZES[-1]
    )
    reached = site.code.ampacity(equal, other, 75) or 0.0
    missing = carries / reached if 0 < reached < carries else 1.0
    return equal, area_of(site, equal) * missing


def _not_larger_than(
    site: Site, minimum: Derived, size_: str, phase: str, material: str
) -> Derived:
    """A jumper or grounded conductor of the same metal need not be larger than the ungrounded conductor it goes with.

    Section: note 1 of Table 250.102(C)(1).
    """
    if phase != material:
        return minimum
    if area_of(site, size_) >= area_wanted(site, minimum):
        return minimum
    step = (
        f"Not required larger than the ungrounded conductor ({site.section('bonding_jumper_table')}, note 1): "
        f"{size(size_, material)}"
    )
    return Derived(size_, "AWG or kcmil", minimum.cite, (*minimum.steps, step), size=size_)


# The exception for Class 1, 2 and 3 circuits is the lowest the code goes: 250.30(A)(1).
LEAST_SYSTEM_BONDING_JUMPER = {"copper": "14", "aluminum": "12"}


def _stays_ungrounded(site: Site) -> bool:
    system = site.job.transformer.secondary_system
    return system == "delta_3_wire_ungrounded" and not grounded_systems.must_be_grounded(site)


@once
def system_bonding_jumper_minimum(site: Site) -> Derived | None:
    """Smallest system bonding jumper (AWG or kcmil; above the table an area [kcmil]); None on an ungrounded system.

    Section: 250.30(A)(1), 250.28(D), Table 250.102(C)(1). Raises Missing.
    """
    return _in_each_metal(
        site, site.job.bonding.system_bonding_jumper.material, _system_bonding_jumper
    )


def _system_bonding_jumper(site: Site, material: str) -> Derived | None:
    if _stays_ungrounded(site):
        return None
    minimum = _by_table(
        site, derived_ungrounded_area(site), material, cite="system_bonding_jumper_size"
    )
    if site.has_further_runs:
        # Note 1 speaks of the conductor or set that the jumper goes with; of several runs the sum stands.
        return minimum
    limited = _not_larger_than_phases(site, minimum, material)
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
    return _in_each_metal(
        site, site.job.bonding.supply_side_bonding_jumper.material, _supply_side_bonding_jumper
    )


def _supply_side_bonding_jumper(site: Site, material: str) -> Derived:
    minimum = _by_table(
        site, area_in_one_raceway(site), material, cite="supply_side_bonding_jumper"
    )
    phase = site.need(lambda job: job.secondary.conductors.material)
    if site.need(lambda job: job.secondary.conductors.sets) > 1:
        return minimum
    return _not_larger_than(
        site, minimum, site.need(lambda job: job.secondary.conductors.size), phase, material
    )


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
    if _stays_ungrounded(site) or circuits.grounded_role(site) in (None, "grounded_phase"):
        return None
    if site.need(lambda job: job.bonding.system_bonding_jumper.location) == "source":
        return None
    minimum = _by_table(
        site, area_in_one_raceway(site), material, cite="derived_grounded_conductor"
    )
    return _not_larger_than_phases(site, minimum, material)


def _not_larger_than_phases(site: Site, minimum: Derived, material: str) -> Derived:
    """Note 1 of Table 250.102(C)(1) for a single set; parallel sets are 1/0 and larger, where it never counts."""
    if site.need(lambda job: job.secondary.conductors.sets) > 1:
        return minimum
    size_ = site.need(lambda job: job.secondary.conductors.size)
    phase = site.need(lambda job: job.secondary.conductors.material)
    return _not_larger_than(site, minimum, size_, phase, material)


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
    return _in_each_metal(site, site.job.secondary.grounded_conductor.material, _grounded_conductor)


def _grounded_conductor(site: Site, material: str) -> Derived | None:
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


@once
def grounding_electrode_conductor_minimum(site: Site) -> Derived:
    """Smallest grounding electrode conductor for the electrode in use (AWG or kcmil).

    Section: 250.30(A)(5), Table 250.66 and the sole-connection limits 250.66(A) to (C). Raises Missing: conductors, or
    electrode not known; whether the connection is the only one, where a limit depends on it.
    """
    return _grounding_electrode_conductor(site, site.job.electrode.conductor.material or "copper")


def _grounding_electrode_conductor(site: Site, material: str) -> Derived:
    phase = derived_ungrounded_metal(site)
    area = derived_ungrounded_area(site)
    by_table = site.code.grounding_electrode_conductor(area.amount, phase, material)
    steps = [
        *area.steps,
        f"{site.section('grounding_electrode_conductor_table')}, {phase} ungrounded conductors of "
        f"{area_kcmil(area.amount)}: {size(by_table, material)}",
    ]
    alternatives = _electrode_alternatives(site, area.amount, phase)
    steps += _in_other_metals(alternatives, material)
    chosen, cite = by_table, "grounding_electrode_conductor_table"
    electrode = site.need(lambda job: job.electrode.used)
    if has_limit(electrode):
        limits, cap = electrode, _electrode_cap(site, electrode, material, by_table)
        if cap is not None and size_index(cap) < size_index(by_table):
            reached = _electrodes_reached(site, electrode)
            cap, limits = _limit_of_all(site, reached, material, by_table)
        else:
            reached = frozenset({electrode})
        words = limits.replace("_", "-")
        if not reached:
            steps.append(
                f"Goes on to another electrode: the limit for a {electrode.replace('_', '-')} alone does not apply."
            )
        elif cap is None:
            steps.append(f"No limit for {material} to a {words} electrode: the table applies.")
        elif size_index(cap) >= size_index(by_table):
            steps.append(
                f"The limit for a {words} electrode, {size(cap, material)}, is not below the table."
            )
        elif site.need(lambda job: job.electrode.common_conductor):
            steps.append(
                "A tap ends at the shared conductor, not at the electrode: use the table size "
                f"({site.section('common_grounding_electrode_conductor')})"
            )
        else:
            cite = {
                "concrete_encased": "electrode_conductor_concrete_encased",
                "ring": "electrode_conductor_ground_ring",
            }.get(limits, "electrode_conductor_rod_pipe_plate")
            steps.append(
                f"Connects to a {words} electrode and does not go on to one that requires a larger conductor: not "
                f"required larger than "
                f"{size(cap, material)} ({site.section(cite)})"
            )
            chosen = cap
    elif electrode != "none":
        steps.append(
            f"To {electrode.replace('_', ' ')}: the size of the table; no smaller one is accepted for this electrode."
        )
    return Derived(
        chosen,
        "AWG or kcmil",
        cite,
        tuple(steps),
        size=chosen,
        alternatives=alternatives,
    )


def _electrode_cap(site: Site, electrode: str, material: str, by_table: str) -> str | None:
    """The limit of a conductor that ends at this electrode; None where there is none for its metal.

    A ground ring is a bare copper conductor, and the limit is that conductor: none is taken for aluminum, which carries
    less in the same size. Section: 250.66(A) to (C), 250.52(A)(4). Raises Missing.
    """
    if electrode == "ring":
        return _ring_cap(site, by_table) if material == "copper" else None
    return site.code.electrode_cap(electrode, material)


def limit_in_doubt(site: Site, material: str) -> tuple[str, str] | None:
    """The smaller size that a limit allows by some readings, and why it is not taken here; None where none is in doubt.

    Unit: AWG or kcmil. Section: 250.66(A) to (C), 250.30(A)(6). No print was found that settles either. Raises Missing.
    """
    electrode = site.need(lambda job: job.electrode.used)
    if not has_limit(electrode) or not site.need(lambda job: job.electrode.sole_connection):
        return None
    area, phase = derived_ungrounded_area(site), derived_ungrounded_metal(site)
    by_table = site.code.grounding_electrode_conductor(area.amount, phase, material)
    if electrode == "ring" and material == "aluminum":
        return _ring_cap(site, by_table), (
            "For a ground ring the limit is the size of the ring's own conductor, which is copper. It is not settled "
            "whether aluminum of that size is enough."
        )
    if not site.need(lambda job: job.electrode.common_conductor):
        cap = _electrode_cap(site, electrode, material, by_table)
        if cap is None or not _is_joined_by_some_wire(site):
            return None
        return cap, (
            "The grounding electrode conductor is recorded as ending at this electrode, but the electrode is bonded "
            "to others that require a larger conductor. If the jumper to them starts at this electrode, use the "
            "table size; if they are bonded elsewhere, the smaller limit applies."
        )
    bonds = (site.job.bonding.water_pipe_bond, site.job.bonding.structural_steel_bond)
    if any(bond.to_common_conductor for bond in bonds):
        # The shared conductor carries the bonds of pipe and steel too, and reaches them through the tap alone.
        return None
    cap = _electrode_cap(site, electrode, material, by_table)
    if cap is None:
        return None
    return cap, (
        "A tap is sized by the table. Some apply the limit for the electrode at the end of the shared conductor."
    )


def _electrode_alternatives(site: Site, area: float, phase: str) -> tuple[Alternative, ...]:
    """The table in both metals, and what the limits of a sole connection make of it."""
    found: list[Alternative] = []
    for metal in MATERIALS:
        by_table = site.code.grounding_electrode_conductor(area, phase, metal)
        found.append(Alternative(metal, "", size(by_table)))
        for electrode, words in (
            ("rod", "a rod, pipe or plate"),
            ("concrete_encased", "a concrete-encased electrode"),
        ):
            cap = site.code.electrode_cap(electrode, metal)
            if cap is not None and size_index(cap) < size_index(by_table):
                found.append(Alternative(metal, f"to {words} alone", size(cap)))
    return tuple(found)


def _electrodes_reached(site: Site, used: str) -> frozenset[str]:
    """The kinds of electrodes that the conductor reaches, or may reach; empty where one may ask for the table's size.

    Before 2017 the limits were those of a sole connection. Section: 250.66(A) to (C). Raises Missing.
    """
    electrode = site.job.electrode
    if electrode.sole_connection is False or _is_joined_by_some_wire(site):
        others = frozenset(electrode.available or ()) - {used}
        both = choice(site.code.edition, "limit_of_electrodes") == "none_requires_more"
        return others | {used} if both and others and has_limits_alone(others) else frozenset()
    return frozenset({used} if site.need(lambda job: job.electrode.sole_connection) else ())


def _limit_of_all(
    site: Site, kinds: Collection[str], material: str, by_table: str
) -> tuple[str | None, str]:
    """The largest of the limits of these electrodes and which of them has it; None where one has no limit."""
    largest, which = None, ""
    for kind in sorted(kinds):
        cap = _electrode_cap(site, kind, material, by_table)
        if cap is None:
            return None, kind
        if largest is None or size_index(cap) > size_index(largest):
            largest, which = cap, kind
    return largest, which


def _is_joined_by_some_wire(site: Site) -> bool:
    """Whether a wire that may start at this electrode joins it to one that asks for more. Raises Missing.

    An electrode of the only kind that the building has is joined by the service's own conductor alone.
    """
    electrode = site.job.electrode
    if is_the_only_kind(electrode.used, electrode.available) or others_ask_for_no_more(
        electrode.used, electrode.available
    ):
        return False
    return site.need(lambda job: job.electrode.joined_to_building_system)


def _ring_cap(site: Site, by_table: str) -> str:
    """A ground ring's own conductor, at least the smallest that makes a ring, limits its electrode conductor. Section: 250.66(C)."""
    least_ring = site.code.ground_ring_minimum_size
    if size_index(by_table) <= size_index(least_ring):
        return least_ring
    ring = site.need(lambda job: job.electrode.ring_size)
    return ring if size_index(ring) > size_index(least_ring) else least_ring


def _area_bond(site: Site, metal: str, cite: str) -> Derived:
    area = derived_ungrounded_area(site)
    phase = derived_ungrounded_metal(site)
    cap = site.code.common_grounding_electrode_conductor(metal)
    method = area_bond_method(site)
    if method == "electrode_table":
        value = site.code.grounding_electrode_conductor(area.amount, phase, metal)
        step = f"{site.section('grounding_electrode_conductor_table')} ({site.code.edition}): {size(value, metal)}"
        return Derived(value, "AWG or kcmil", cite, (*area.steps, step), size=value)
    minimum = _by_table(site, area, metal, cite=cite)
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
    return _in_each_metal(site, site.job.bonding.water_pipe_bond.material, _water_pipe_bond)


def _water_pipe_bond(site: Site, material: str) -> Derived:
    return _area_bond(site, material, "area_water_piping_bonding")


@once
def structural_steel_bond_minimum(site: Site) -> Derived:
    """Smallest bonding jumper to structural steel in the area served. Unit: size or kcmil. Section: 250.104(D)(2)."""
    return _in_each_metal(
        site, site.job.bonding.structural_steel_bond.material, _structural_steel_bond
    )


def _structural_steel_bond(site: Site, material: str) -> Derived:
    return _area_bond(site, material, "area_structural_steel_bonding")


def _equipment_grounding(site: Site, rating: float, material: str) -> tuple[str | None, str]:
    chosen = site.code.equipment_grounding(rating, material)
    table = site.section("equipment_grounding_table")
    if chosen is None:
        return None, f"{table} ends below {amperes(rating)}."
    other = next(m for m in MATERIALS if m != material)
    alternative = site.code.equipment_grounding(rating, other)
    return chosen, (
        f"{table}, device {amperes(rating)}: {size(chosen, material)} (in {other}: "
        f"{size(alternative) if alternative else 'none'})"
    )


@once
def primary_equipment_grounding_minimum(site: Site) -> Derived | None:
    """Smallest equipment grounding conductor of the wire type, in each primary raceway (AWG or kcmil).

    Conductors no larger than those whose ampacity reaches the device's rating are not counted as increased. Larger ones
    are measured from the smallest that would do here: for the load and under the device, or, with the load unknown, the
    smallest that the device may protect. Raises NotInTables above 1000 V.
    None where the table ends below the device, or where no size has the increased area.
    Section: Table 250.122, 250.122(A), (B) and (F). Raises Missing: device, or conductors (for the increase).
    """
    return _primary_equipment_grounding(
        site, site.job.primary.equipment_grounding.material or "copper"
    )


def _before_increase(site: Site) -> tuple[str | None, str]:
    """The smallest circuit conductor that would do here, and by what: for load and device, or for the device alone.

    Section: 250.122(B), 240.4(B), 215.2(A)(1). Raises Missing: device or conductors not known.
    """
    try:
        percent = primary_conductors.continuous_share(site)
        return primary_conductors.smallest_primary(site, percent), "for the load and the device"
    except Missing as missing:
        if not missing.path.startswith(("primary.load.", "primary.device.continuous_percent")):
            raise
    # Without a load the smallest that the device may protect counts, rounding up included: the strict side.
    return primary_conductors.smallest_primary(site, None), "for the device; the load is not known"


def _primary_equipment_grounding(site: Site, material: str) -> Derived | None:
    conductor_ampacity.within_1000_volts(site)
    rating = currents.primary_device_rating(site)
    base, step = _equipment_grounding(site, rating, material)
    if base is None:
        return None
    installed = site.need(lambda job: job.primary.conductors.size)
    sets = site.need(lambda job: job.primary.conductors.sets)
    use = conditions_of_use.primary_conditions(site)
    by_rating = conductor_sizes.reference_size(site, use, rating, sets)
    steps, chosen, beyond = [step], base, False
    reference, words = _before_increase(site)
    if sets > 1:
        # 250.122(B) measures from the smallest size with enough ampacity "for the intended installation" (as quoted by
        # mepanet.com 287): so many sets, of which none may be smaller than 310.10(G) has it.
        steps.append(
            f"Compared with {sets} sets, as installed; fewer, larger sets would be a different installation."
        )
    if by_rating is not None and size_index(installed) <= size_index(by_rating):
        steps.append(
            f"Not counted as increased: {size(installed)} is no larger than the {size(by_rating)} whose ampacity reaches "
            "the device's rating. Measured from the smallest size that the load alone allows, some would require more."
        )
    elif reference is not None and size_index(reference) < size_index(installed):
        ratio = area_of(site, installed) / area_of(site, reference)
        wanted = area_of(site, base) * ratio
        steps.append(
            f"Ungrounded conductors {size(installed)} where {size(reference)} would be enough ({words}): increased in proportion, "
            f"{area_kcmil(area_of(site, base))} × {number(ratio)} = {area_kcmil(wanted)} "
            f"({site.section('equipment_grounding_increased')})"
        )
        if by_rating is not None and size_index(by_rating) > size_index(reference):
            steps.append(
                f"Some measure from {size(by_rating)}, whose ampacity reaches the device's rating, and require "
                "less. The stricter reading is taken."
            )
        grown = smallest_of_area(site, wanted)
        # Beyond the largest size only the limits below leave one to name.
        chosen, beyond = grown or SIZES[-1], grown is None
    larger = beyond or area_of(site, chosen) > area_of(site, installed)
    if larger and material == use.material and sets == 1:
        steps.append(
            f"Not required larger than the circuit conductors: {size(installed, material)}"
        )
        chosen, beyond = installed, False
    if sets > 1:
        steps.append(
            f"Full size in each parallel raceway ({site.section('equipment_grounding_parallel')})"
        )
        if (
            choice(site.code.edition, "parallel_equipment_grounding") == "limited_by_raceway"
            and material == use.material
        ):
            together = conductor_runs.sets_in_one_raceway(site, sides.PRIMARY)
            each = area_of(site, installed) * together
            limited = smallest_of_area(site, each)
            if limited and (beyond or area_of(site, chosen) > each):
                steps.append(
                    f"Not required larger than the ungrounded conductors of a phase there: {area_kcmil(each)}"
                )
                chosen, beyond = limited, False
    if beyond:
        return None
    steps.append(f"Smallest size: {size(chosen, material)}")
    return Derived(
        chosen, "AWG or kcmil", "equipment_grounding_conductor", tuple(steps), size=chosen
    )


@once
def secondary_equipment_grounding_minimum(site: Site) -> Derived | None:
    """Smallest equipment grounding conductor of a feeder that leaves the first disconnect (AWG or kcmil).

    It is not the conductor between the transformer and the first disconnect: that one is the supply-side bonding
    jumper. Section: Table 250.122 by the secondary device. Raises Missing; None for main lugs only.
    """
    kind = site.need(lambda job: job.secondary.protection.kind)
    if kind == "main_lugs_only":
        return None
    if kind == "grouped_devices":
        ratings = site.need(lambda job: job.secondary.protection.ratings)
        if not ratings:
            return None
        rating = max(ratings)
    else:
        rating = currents.secondary_device_rating(site).amount
    base, step = _equipment_grounding(site, rating, "copper")
    if base is None:
        return None
    note = (
        "For feeders past this device only. Between transformer and first disconnect the supply-side bonding jumper "
        f"counts ({site.section('supply_side_bonding_jumper')})."
    )
    return Derived(base, "AWG or kcmil", "equipment_grounding_table", (step, note), size=base)


# The same minimums for a metal that is named, whatever is installed.
IN_METAL: dict[str, Callable[[Site, str], Derived | None]] = {
    "system_bonding_jumper_minimum": _system_bonding_jumper,
    "supply_side_bonding_jumper_minimum": _supply_side_bonding_jumper,
    "grounded_conductor_minimum": _grounded_conductor,
    "grounding_electrode_conductor_minimum": _grounding_electrode_conductor,
    "water_pipe_bond_minimum": _water_pipe_bond,
    "structural_steel_bond_minimum": _structural_steel_bond,
    "primary_equipment_grounding_minimum": _primary_equipment_grounding,
}
