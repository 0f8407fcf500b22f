"""Conductors in parallel: large enough for it, and alike in each raceway."""

from engine.code import size_index
from engine.derived import sides
from engine.job.site import Site
from engine.judging.verdicts import Finding, confirm
from engine.physics.quantities import size


def parallel_sizes(site: Site, side: sides.Side) -> Finding:
    """Whether parallel conductors are large enough to be run in parallel. Unit: AWG or kcmil. Section: 310.10(G)."""
    sets = site.need(lambda job: side.conductors(job).sets)
    size_ = site.need(lambda job: side.conductors(job).size)
    least = site.code.parallel_minimum_size
    if sets > 1 and size_index(size_) >= size_index(least):
        raceways = site.need(lambda job: side.conductors(job).raceways)
        return alike_in_each_raceway(site, sets, raceways, f"{sets} × {size(size_)}")
    return confirm(
        site,
        sets == 1 or size_index(size_) >= size_index(least),
        required="" if sets == 1 else f"parallel: {size(least)} or larger",
        found="" if sets == 1 else f"{sets} × {size(size_)}",
        reason="",
        otherwise=f"Conductors smaller than {size(least)} may not run in parallel "
        f"({site.section('parallel_conductors')}).",
        remedy=f"One conductor per phase, or sets of {size(least)} and larger.",
        cite="parallel_conductors",
    )


def alike_in_each_raceway(site: Site, number_of: int, raceways: int, shown: str) -> Finding:
    """Whether parallel conductors can be divided evenly among their raceways: then each holds as many as the others.

    Unit: conductors. Section: 310.10(G)(3); 310.10(H)(3) up to 2017.
    """
    least = size(site.code.parallel_minimum_size)
    even = number_of % raceways == 0
    return confirm(
        site,
        even,
        required=f"parallel: {least} or larger"
        + ("" if even else "; the same number of conductors in each raceway"),
        found=shown + ("" if even else f" in {raceways} raceways"),
        reason="",
        otherwise=f"{number_of} in parallel can't be divided evenly among {raceways} raceways: each raceway must hold "
        "the same number of conductors, or they will not share the current equally "
        f"({site.section('parallel_conductors')}).",
        remedy="Put the same number of sets in each raceway.",
        cite="parallel_conductors",
    )
