"""Ground-fault protection of equipment at large devices."""

from engine.code.limits import FUSES_OF_SMALL_SWITCHES, GROUND_FAULT_PROTECTION_FROM
from engine.derived import currents, grounded_systems, volts_to_ground
from engine.job.site import Site
from engine.judging.verdicts import Finding, confirm, not_applicable, undetermined
from engine.physics.quantities import amperes, volts
from engine.rules.conditions.facts_read import GROUNDED_BY, SECONDARY_RATING
from engine.rules.conditions.first_disconnect import secondary_ratings
from engine.rules.rule import rule

# Up to this voltage to ground [V] a wye needs none: 215.10, 230.95.
_NO_GROUND_FAULT_PROTECTION_UP_TO = 150.0
_GROUND_FAULT_PROTECTION = "ground-fault protection of equipment at 1000 A and above, on a solidly grounded wye above 150 V to ground"


def _wye_above_150_volts(line_volts: float, to_ground: float) -> Finding | None:
    """Why a wye of this voltage [V] needs no ground-fault protection, or why that can't be told; None where it does."""
    if to_ground <= _NO_GROUND_FAULT_PROTECTION_UP_TO:
        return not_applicable(f"At {volts(line_volts)} a wye is not above 150 V to ground.")
    if line_volts > 1000:
        return not_applicable("Above 1000 V other rules hold.")
    if line_volts > 600:
        return undetermined(
            "Between 600 V and 1000 V the editions differ on ground-fault protection, and this tool does not hold their text."
        )
    return None


def _protects_ground_faults(site: Site, has: bool, tested: bool, rating: float) -> Finding:
    """Source: EC&M quiz on 230.95(C) for the test and its record; ecmag.com on 230.95(A) for 1200 A and 1 s at 3000 A."""
    return confirm(
        site,
        has and tested,
        required=f"{_GROUND_FAULT_PROTECTION}; set at 1200 A or less and 1 s at 3000 A, its test on record",
        found=f"{amperes(rating)}, {_WITH_IT[has, tested]}",
        reason="It has ground-fault protection of equipment, set as required, with its test on record.",
        otherwise="It has ground-fault protection, but it is set too high or too slow, or nothing shows that it was tested."
        if has
        else "An arcing ground fault here may keep burning without tripping the device. Only fire pumps and "
        "continuous industrial processes are exempt.",
        remedy="Ground-fault protection, set and performance-tested where it is installed.",
    )


_WITH_IT = {
    (True, True): "with it",
    (True, False): "with it, not set or tested as required",
    (False, False): "without it",
}


@rule(
    "primary_ground_fault_protection",
    title="Ground-fault protection of the primary feeder",
    cite="feeder_ground_fault_protection",
    severity="violation",
    group="primary_disconnect",
    asks=(
        "primary.device.rating",
        "primary.device.kind",
        "primary.device.adjustable",
        "primary.device.rating_basis",
        "primary.device.highest_rating",
        "primary.device.ground_fault_protection",
        "primary.device.ground_fault_protection_tested",
        "primary.supply_system",
    ),
)
def primary_ground_fault_protection(site: Site) -> Finding:
    """Whether a primary device of 1000 A and more has ground-fault protection of equipment [A, V].

    Section: 215.10, 230.95, 240.13. Raises Missing.
    """
    to_ground = volts_to_ground.of_primary(site, "solidly_grounded_wye")
    other = _wye_above_150_volts(site.job.transformer.primary_volts, to_ground.most)
    if other is not None and other.verdict == "does_not_apply":
        return other
    rating = site.need(lambda job: job.primary.device.rating)
    if rating < GROUND_FAULT_PROTECTION_FROM:
        if site.job.primary.supply_system not in (None, "solidly_grounded_wye"):
            return not_applicable("The supply is not a solidly grounded wye.")
        if site.need(lambda job: job.primary.device.kind) != "fuse":
            rating = currents.primary_rating_as_set(site, rating)
        elif rating > FUSES_OF_SMALL_SWITCHES:
            rating = max(rating, site.need(lambda job: job.primary.device.highest_rating))
    if rating < GROUND_FAULT_PROTECTION_FROM:
        return not_applicable("Below 1000 A.")
    if other is not None:
        return other
    has = site.need(lambda job: job.primary.device.ground_fault_protection)
    tested = has and site.need(lambda job: job.primary.device.ground_fault_protection_tested)
    if not tested and site.need(lambda job: job.primary.supply_system) != "solidly_grounded_wye":
        return not_applicable("The supply is not a solidly grounded wye.")
    if not tested and to_ground.least <= _NO_GROUND_FAULT_PROTECTION_UP_TO:
        return undetermined(
            f"Whether this circuit is above 150 V to ground is not known. {to_ground.find_out}",
            required=_GROUND_FAULT_PROTECTION,
            found=f"{amperes(rating)}, {_WITH_IT[has, tested]}",
        )
    return _protects_ground_faults(site, has, tested, rating)


@rule(
    "secondary_ground_fault_protection",
    title="Ground-fault protection of the secondary",
    cite="feeder_ground_fault_protection",
    severity="violation",
    group="first_disconnect",
    asks=(
        *GROUNDED_BY,
        *SECONDARY_RATING,
        "secondary.protection.ground_fault_protection",
        "secondary.protection.ground_fault_protection_tested",
    ),
)
def secondary_ground_fault_protection(site: Site) -> Finding:
    """Whether a secondary device of 1000 A and more has ground-fault protection of equipment [A, V].

    Section: 215.10, 230.95, 240.13. Raises Missing.
    """
    if site.job.transformer.phases == 1:
        return not_applicable("Single-phase: not a wye.")
    line = site.job.transformer.secondary_volts
    other = _wye_above_150_volts(line, line / 3**0.5)
    if other is not None and other.verdict == "does_not_apply":
        return other
    ratings = secondary_ratings(site)
    if not ratings:
        return not_applicable("Main lugs only: there is no secondary device here.")
    rating = largest = max(ratings)
    if rating < GROUND_FAULT_PROTECTION_FROM and (
        rating > FUSES_OF_SMALL_SWITCHES
        if site.need(lambda job: job.secondary.protection.device_kind) == "fuse"
        else currents.secondary_may_be_set_higher(site)
    ):
        largest = site.job.secondary.protection.highest_rating or GROUND_FAULT_PROTECTION_FROM
    if max(rating, largest) < GROUND_FAULT_PROTECTION_FROM:
        return not_applicable("Below 1000 A.")
    is_wye = site.need(lambda job: job.transformer.secondary_system).startswith("wye")
    if not is_wye or not grounded_systems.is_grounded(site):
        return not_applicable("The secondary is not a solidly grounded wye.")
    if other is not None:
        return other
    if rating < largest:
        rating = site.need(lambda job: job.secondary.protection.highest_rating)
    has = site.need(lambda job: job.secondary.protection.ground_fault_protection)
    tested = has and site.need(lambda job: job.secondary.protection.ground_fault_protection_tested)
    return _protects_ground_faults(site, has, tested, rating)
