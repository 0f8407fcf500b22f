"""Area and metal of the derived ungrounded conductors, which the sizes of jumpers and electrode conductor go by."""

from operator import attrgetter

from engine.code import SIZES
from engine.derived import conductor_runs, sides
from engine.derived.derived import Derived
from engine.job.runs import job_of_runs, named_by_run
from engine.job.site import Site, once
from engine.physics.quantities import TOLERANCE, area_kcmil, size


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
    equal, each = carrying_as_much(run, size_, own, metal)
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


def carrying_as_much(site: Site, size_: str, metal: str, other: str) -> tuple[str, float]:
    """Smallest size of another metal with the ampacity of a conductor, and its area [kcmil].

    Beyond the largest size the area grows with the ampacity that is still missing. Section: note 2 of Table 250.102(C)(1).
    """
    carries = site.code.ampacity(size_, metal, 75) or 0.0
    equal = next(
        (s for s in SIZES if (site.code.ampacity(s, other, 75) or 0.0) >= carries), SIZES[-1]
    )
    reached = site.code.ampacity(equal, other, 75) or 0.0
    missing = carries / reached if 0 < reached < carries else 1.0
    return equal, area_of(site, equal) * missing
