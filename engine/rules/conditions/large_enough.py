"""A found size held against its minimum, and the size that would meet it."""

from collections.abc import Callable

from engine.derived import ungrounded_area
from engine.derived.derived import Derived
from engine.job.missing import Missing
from engine.job.site import Site
from engine.judging.verdicts import Finding, Remedy, compare
from engine.physics.quantities import area_kcmil, size


def large_enough(
    site: Site,
    *,
    found: str,
    material: str,
    minimum: Derived,
    reason: str,
    otherwise: str,
    sets: int = 1,
    remedy: Remedy | None = None,
) -> Finding:
    """Hold a found size against a minimum that is a size or an area [kcmil]. Section: that of the minimum."""
    area, wanted = ungrounded_area.is_large_enough(site, found, minimum, sets)
    named = size(minimum.size, material) if minimum.size else ""
    if isinstance(minimum.value, str):
        needed = size(minimum.value, material)
    elif named.startswith(f"{area_kcmil(minimum.value)} "):
        needed = named
    else:
        needed = f"{area_kcmil(minimum.value)}{f' ({named})' if named else ''}"
    return compare(
        site,
        found=area,
        at_least=wanted,
        required=f"{needed} or larger",
        found_shown=f"{f'{sets} × ' if sets > 1 else ''}{size(found, material)}",
        reason=reason,
        otherwise=otherwise,
        remedy=remedy or f"{named or needed} or larger.",
        steps=minimum.steps,
        cite=minimum.cite,
    )


def by_known_runs(site: Site, judge: Callable[[Site], Finding]) -> Finding:
    """What is too small for the runs that are known is too small, whatever the others turn out to be.

    Unit: AWG or kcmil. Section: that of the minimum. Raises Missing.
    """
    try:
        return judge(site)
    except Missing:
        part = ungrounded_area.known_runs_alone(site)
        finding = judge(part) if part else None
        if finding is None or finding.verdict != "does_not_meet":
            raise
        return finding._replace(
            reason=f"{finding.reason} The known runs alone require more than this.",
            remedy="Find the conductor sizes of the other runs too: the required size comes from all runs together.",
        )


def of_grounded_system(minimum: Derived | None) -> Derived:
    """A minimum that exists because the system is grounded. Unit: that of the minimum. Section: that of the minimum.

    Raises LookupError where there is none.
    """
    if minimum is None:
        raise LookupError("an ungrounded system has no such minimum")
    return minimum


def smallest_remedy(minimum: Derived | None, sets: int, material: str, instead: str) -> str:
    """The smallest size that would meet, in words, or what else would. Unit: AWG or kcmil. Section: that of the minimum."""
    otherwise = f", or {instead}" if instead else ""
    if minimum is None or minimum.size is None:
        return f"No single size is enough: more sets in parallel{otherwise}."
    return f"{f'{sets} × ' if sets > 1 else ''}{size(minimum.size, material)} or larger{otherwise}."
