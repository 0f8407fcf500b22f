"""Conditions and words that several rules share."""

from collections.abc import Callable

from engine.code import size_index
from engine.derived import conductors
from engine.derived.derived import Derived
from engine.job import Job
from engine.quantities import amperes, at_most, number, size
from engine.site import Site
from engine.verdicts import Finding, compare, confirm, undetermined

OVER_1000 = "Conductors above 1000 V are outside this tool. Ask the engineer of record."
# What the sizes of jumpers and electrode conductor follow from.
DERIVED_CONDUCTORS = (
    "secondary.conductors.size",
    "secondary.conductors.material",
    "secondary.conductors.sets",
)
# Nonflexible metal raceways that may bond by themselves (250.118, 250.30(A)(2)).
METAL_RACEWAYS = ("RMC", "IMC", "EMT")


def metal_to_metal(type_: str) -> Finding:
    """No wire was found, and a metal raceway is there that may serve. Unit: none. Section: 250.118, 250.30(A)(2)."""
    return undetermined(
        f"No wire was found, and {type_} may serve by itself. Look whether it runs metal to metal from case to case with "
        "tight fittings: then answer that the raceway serves.",
        required="a wire, or a metal raceway from case to case",
        found=f"no wire; {type_}",
    )


def conductor_asks(side: str) -> tuple[str, ...]:
    """The paths that an ampacity reads. Unit: none. Section: 310.15, 110.14(C)."""
    device = "primary.device" if side == "primary" else "secondary.protection"
    return (
        f"{side}.conductors.size",
        f"{side}.conductors.material",
        f"{side}.conductors.insulation",
        f"{side}.conductors.sets",
        f"{side}.conductors.raceways",
        f"{side}.conductors.current_carrying",
        f"{side}.conductors.ambient_celsius",
        f"{side}.conductors.termination_celsius",
        f"{device}.termination_celsius",
        f"{side}.conductors.wet_location",
        f"{side}.raceway.nipple",
        f"{side}.raceway.length_feet",
        f"{side}.conductors.length_feet",
        *(
            ("transformer.secondary_system", "secondary.grounded_conductor.current_carrying")
            if side == "secondary"
            else ()
        ),
    )


def parallel_sizes(site: Site, side: conductors.Side) -> Finding:
    """Whether parallel conductors are large enough to be run in parallel. Unit: AWG or kcmil. Section: 310.10(G)."""
    sets = site.need(lambda job: side.conductors(job).sets)
    size_ = site.need(lambda job: side.conductors(job).size)
    least = site.code.parallel_minimum_size
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


def smallest_remedy(minimum: Derived | None, sets: int, material: str) -> str:
    """The smallest size that would meet, in words. Unit: AWG or kcmil. Section: that of the minimum."""
    if minimum is None or minimum.size is None:
        return "No single size does: more sets in parallel, or a smaller device."
    return f"{f'{sets} × ' if sets > 1 else ''}{size(minimum.size, material)} or larger, or a smaller device."


def carried(
    site: Site,
    side: conductors.Side,
    *,
    rating: float,
    continuous_percent: Callable[[Job], int | None],
    remedy: str,
) -> Finding:
    """Whether a device [A] carries the load of its side: 125 % of what is continuous, unless it is rated for 100 %.

    Section: 215.3. Raises Missing.
    """
    continuous = site.need(lambda job: side.load(job).continuous_amperes)
    rest = site.need(lambda job: side.load(job).noncontinuous_amperes)
    factor = 1.25
    if not at_most(factor * continuous + rest, rating) and at_most(continuous + rest, rating):
        factor = 1.0 if site.need(continuous_percent) == 100 else 1.25
    wanted = factor * continuous + rest
    return compare(
        site,
        found=rating,
        at_least=wanted,
        required=f"at least {amperes(wanted)}",
        found_shown=amperes(rating),
        reason="The device carries the load.",
        otherwise="The load is more than the device may carry.",
        remedy=remedy,
        steps=(
            f"{amperes(continuous)} × {number(100 * factor)} % + {amperes(rest)} = {amperes(wanted)}",
        ),
    )
