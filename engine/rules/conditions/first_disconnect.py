"""The first disconnect: whether it is in the transformer's case, its devices, and a panelboard with two mains."""

from engine.job.missing import Missing
from engine.job.site import Site
from engine.judging.verdicts import Finding, confirm


def is_in_one_case(site: Site) -> bool:
    """Whether the first disconnect is built into the case, and no raceway to it is recorded. Unit: none. Section: none."""
    secondary = site.job.secondary
    return (
        secondary.first_disconnect_separate is False
        and secondary.raceway.type is None
        and secondary.raceway.trade_size is None
        and not site.has_further_runs
    )


def poles_of_two_mains(site: Site) -> Finding:
    """Whether a panelboard with two mains has at most 42 poles. Unit: poles. Section: 408.36, exception 1. Raises Missing."""
    holds = site.need(lambda job: job.secondary.panelboard.at_most_42_poles)
    most = "at most 42 poles of overcurrent devices fed by two mains"
    return confirm(
        site,
        holds,
        required=most,
        found="42 or fewer" if holds else "more than 42",
        reason="Not more than 42 poles.",
        otherwise="A panelboard with two mains may have at most 42 poles.",
        remedy="One main device, or fewer branch devices.",
    )


def secondary_ratings(site: Site) -> list[float]:
    """Ratings of the devices at the end of the secondary conductors [A]; none with main lugs only. Section: none. Raises Missing."""
    kind = site.need(lambda job: job.secondary.protection.kind)
    if kind == "main_lugs_only":
        return []
    if kind == "main_device":
        return [site.need(lambda job: job.secondary.protection.rating)]
    ratings = site.need(lambda job: job.secondary.protection.ratings)
    if not ratings:
        raise Missing("secondary.protection.ratings")
    return ratings
