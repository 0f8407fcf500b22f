"""Arc energy reduction at large devices."""

from collections.abc import Callable

from engine.code.choices import choice
from engine.derived import currents
from engine.job import Job
from engine.job.site import Site
from engine.judging.verdicts import Finding, confirm, not_applicable, undetermined
from engine.physics.quantities import amperes
from engine.rules.conditions.facts_read import SECONDARY_RATING
from engine.rules.conditions.first_disconnect import secondary_ratings
from engine.rules.rule import rule

# Smallest device that needs it, by its rating or its highest setting [A]: 240.67, 240.87.
ARC_ENERGY_REDUCTION_FROM = 1200.0


def _arc_energy(site: Site, rating: float, kind: str, has: Callable[[Job], bool | None]) -> Finding:
    """Hold a device of 1200 A and more against the rule for its kind [A]. Raises Missing."""
    if rating < ARC_ENERGY_REDUCTION_FROM:
        return not_applicable("Below 1200 A.")
    cite = "arc_energy_fuses" if kind == "fuse" else "arc_energy_breakers"
    fuses = choice(site.code.edition, "arc_energy_fuses")
    if kind == "fuse" and fuses == "none":
        return not_applicable("This edition requires it for breakers only.")
    reduced = site.need(has)
    found = f"{amperes(rating)}, {'with' if reduced else 'without'} it"
    required = "a means of arc-energy reduction at 1200 A and above"
    if not reduced and kind == "fuse" and fuses == "from_2020":
        return undetermined(
            "Under this edition fuses need it from January 1, 2020: the date of the work decides.",
            required=required,
            found=found,
            cite=cite,
        )
    return confirm(
        site,
        reduced,
        required=required,
        found=found,
        reason="It has a means of arc-energy reduction. Its documentation, its setting against the arcing current and its "
        "test are not looked at here: ask for the engineer's papers.",
        otherwise="Anyone who works here energized is exposed to an arc for as long as the device takes to clear it.",
        remedy="A maintenance switch, zone interlocking, differential or arc-flash relaying, or a trip or fuse that clears as "
        "fast as the rule asks.",
        cite=cite,
    )


@rule(
    "primary_arc_energy",
    title="Arc energy at the primary device",
    cite="arc_energy_breakers",
    severity="violation",
    group="primary_disconnect",
    asks=(
        "primary.device.rating",
        "primary.device.kind",
        "primary.device.adjustable",
        "primary.device.rating_basis",
        "primary.device.highest_rating",
        "primary.device.arc_energy_reduction",
    ),
    changes_between_editions=True,
)
def primary_arc_energy(site: Site) -> Finding:
    """Whether a primary device of 1200 A and more reduces arc energy [A]. Section: 240.87, 240.67. Raises Missing."""
    rating = site.need(lambda job: job.primary.device.rating)
    if rating < ARC_ENERGY_REDUCTION_FROM:
        rating = currents.primary_rating_as_set(site, rating)
    if rating < ARC_ENERGY_REDUCTION_FROM:
        return not_applicable("Below 1200 A.")
    kind = site.need(lambda job: job.primary.device.kind)
    return _arc_energy(site, rating, kind, lambda job: job.primary.device.arc_energy_reduction)


@rule(
    "secondary_arc_energy",
    title="Arc energy at the secondary device",
    cite="arc_energy_breakers",
    severity="violation",
    group="first_disconnect",
    asks=(*SECONDARY_RATING, "secondary.protection.arc_energy_reduction"),
    changes_between_editions=True,
)
def secondary_arc_energy(site: Site) -> Finding:
    """Whether a secondary device of 1200 A and more reduces arc energy [A]. Section: 240.87, 240.67. Raises Missing."""
    ratings = secondary_ratings(site)
    if not ratings:
        return not_applicable("Main lugs only: there is no secondary device here.")
    rating = max(ratings)
    if rating < ARC_ENERGY_REDUCTION_FROM and currents.secondary_may_be_set_higher(site):
        rating = max(rating, site.need(lambda job: job.secondary.protection.highest_rating))
    if rating < ARC_ENERGY_REDUCTION_FROM:
        return not_applicable("Below 1200 A.")
    kind = site.need(lambda job: job.secondary.protection.device_kind)
    return _arc_energy(
        site, rating, kind, lambda job: job.secondary.protection.arc_energy_reduction
    )
