"""Interrupting and short-circuit ratings against the fault current, and what running motors add to it."""

from engine.derived import currents, faults
from engine.derived.derived import Derived
from engine.job.missing import Missing
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, not_applicable, undetermined
from engine.physics.quantities import amperes, at_most, kiloamperes, number
from engine.rules.rule import rule

_SIDES = tuple(
    f"{side}.{fact}"
    for side in ("secondary", "primary")
    for fact in (
        "conductors.size",
        "conductors.material",
        "conductors.sets",
        "conductors.length_feet",
        "raceway.type",
    )
)
_CONDUCTORS = (
    "transformer.impedance_tested",
    *_SIDES,
    "primary.source_fault_kiloamperes",
    "transformer.secondary_system",
)


def _against_fault(site: Site, rating: float, what: str) -> Finding:
    """Hold a rating [kA] against the ceiling, and where that fails against what a known source leaves of it.

    A rating above the upper bound holds; one below the lower bound does not; between them the angles of the
    impedances decide, which nobody reads on site, or the tolerance of an impedance that was not tested.
    """
    highest = faults.secondary_fault_current_highest(site)
    if at_most(highest.amount, rating * 1000):
        at_the_tap = faults.CENTER_TAP_FACTOR * highest.amount
        if not at_most(at_the_tap, rating * 1000) and _has_center_tap(site):
            return undetermined(
                "From one line to the center tap the fault current is larger than from line to line, up to about "
                f"{number(faults.CENTER_TAP_FACTOR)} times. Between the two the manufacturer's figures decide.",
                required=f"{kiloamperes(highest.amount)} line to line, up to {kiloamperes(at_the_tap)} line to neutral",
                found=kiloamperes(rating * 1000),
            )._replace(steps=highest.steps)
        return _rated(site, rating, highest, what, "on an infinite bus")
    nominal = faults.secondary_fault_current(site)
    # Only the tolerance of the printed impedance stands between this rating and the ceiling.
    is_close = at_most(nominal.amount, rating * 1000)
    if site.job.primary.source_fault_kiloamperes is None:
        if is_close:
            return _within_tolerance(site, rating, highest)
        raise Missing(
            "primary.source_fault_kiloamperes",
            required=f"up to {kiloamperes(highest.amount)} on an infinite bus; less behind a real source",
            found=kiloamperes(rating * 1000),
        )
    try:
        most = faults.secondary_fault_current_at_most(site)
    except Missing:
        if is_close:
            return _within_tolerance(site, rating, highest)
        raise
    at_the_tap = most.amount * (faults.CENTER_TAP_FACTOR if _has_center_tap(site) else 1)
    if at_most(at_the_tap, rating * 1000):
        return _rated(site, rating, most, what, "with the known source")
    if is_close:
        return _within_tolerance(site, rating, most)
    try:
        least = faults.secondary_fault_current_at_least(site)
    except faults.NoLowerBound:
        return undetermined(
            "The primary run above 1000 V is outside this tool, so how low the fault current may be is not known "
            "here. It takes a study.",
            required=f"up to {kiloamperes(at_the_tap)} with the known source",
            found=kiloamperes(rating * 1000),
        )._replace(steps=most.steps)
    if at_most(least.amount, rating * 1000):
        return undetermined(
            "Close to the rating: the angles of the impedances decide. It takes a study.",
            required=f"{kiloamperes(least.amount)} to {kiloamperes(at_the_tap)} with the known source",
            found=kiloamperes(rating * 1000),
        )._replace(steps=(*most.steps, *least.steps))
    return _rated(site, rating, least, what, "with the known source")


def _within_tolerance(site: Site, rating: float, highest: Derived) -> Finding:
    """Above the fault current by the printed impedance, below the one that its tolerance allows [kA]."""
    required = f"up to {kiloamperes(highest.amount)}: the printed impedance may be off"
    if site.job.transformer.impedance_tested is None:
        raise Missing(
            "transformer.impedance_tested", required=required, found=kiloamperes(rating * 1000)
        )
    return undetermined(
        "The printed impedance is a design value; this unit's own may be lower, and the fault current then higher. Get "
        "the test report, equipment with a higher rating, or a study.",
        required=required,
        found=kiloamperes(rating * 1000),
    )._replace(steps=highest.steps)


def _has_center_tap(site: Site) -> bool:
    return site.need(lambda job: job.transformer.secondary_system) in (
        "single_phase_3_wire",
        "delta_high_leg",
    )


def _rated(site: Site, rating: float, available: Derived, what: str, words: str) -> Finding:
    return compare(
        site,
        found=rating * 1000,
        at_least=available.amount,
        required=f"at least {kiloamperes(available.amount)} ({words})",
        found_shown=kiloamperes(rating * 1000),
        reason=f"{what} is not below the fault current from this transformer, {words}.",
        otherwise=f"{what} is below the fault current from this transformer, {words}: it can burst.",
        remedy="Equipment with a higher rating, or a study that shows a lower fault current.",
        steps=available.steps,
    )


def _supplies_a_board(site: Site) -> bool:
    """Whether there is a panelboard, or a switchboard, with a short-circuit rating of its own. Raises Missing."""
    return site.need(lambda job: job.secondary.panelboard.present) or site.need(
        lambda job: job.observations.supplies_switchboard
    )


@rule(
    "interrupting_ratings",
    title="Short-circuit rating of the panelboard or switchboard",
    cite="panelboard_short_circuit_rating",
    severity="danger",
    group="first_disconnect",
    asks=(
        "transformer.impedance_percent",
        "secondary.panelboard.short_circuit_kiloamperes",
        "secondary.panelboard.present",
        "observations.supplies_switchboard",
        *_CONDUCTORS,
    ),
)
def interrupting_ratings(site: Site) -> Finding:
    """Whether the panelboard, or the switchboard, withstands the fault current from this transformer [kA]. Motors add to it.

    Section: 110.9, 110.10, 408.6 (2020 on). Raises Missing.
    """
    panelboard = site.job.secondary.panelboard
    if panelboard.short_circuit_kiloamperes is None and not _supplies_a_board(site):
        return not_applicable(
            "The secondary conductors supply no panelboard and no switchboard; see the secondary device."
        )
    rating = site.need(lambda job: job.secondary.panelboard.short_circuit_kiloamperes)
    finding = _against_fault(site, rating, "The short-circuit rating of the board")
    if not site.code.cite("panelboard_short_circuit_rating").exists:
        return finding._replace(cite="short_circuit_rating")
    return finding


@rule(
    "secondary_device_interrupting",
    title="Interrupting rating of the secondary device",
    cite="interrupting_rating",
    severity="danger",
    group="first_disconnect",
    asks=(
        "secondary.protection.kind",
        "transformer.impedance_percent",
        "secondary.protection.interrupting_kiloamperes",
        *_CONDUCTORS,
    ),
)
def secondary_device_interrupting(site: Site) -> Finding:
    """Whether the secondary device can interrupt the fault current from this transformer [kA].

    Section: 110.9. Raises Missing.
    """
    if site.need(lambda job: job.secondary.protection.kind) == "main_lugs_only":
        return not_applicable("Main lugs only: there is no secondary device here.")
    rating = site.need(lambda job: job.secondary.protection.interrupting_kiloamperes)
    return _against_fault(site, rating, "The interrupting rating")


@rule(
    "primary_interrupting_rating",
    title="Interrupting rating of the primary device",
    cite="interrupting_rating",
    severity="danger",
    group="primary_disconnect",
    asks=("primary.device.interrupting_kiloamperes", "primary.source_fault_kiloamperes"),
)
def primary_interrupting_rating(site: Site) -> Finding:
    """Whether the primary device can interrupt the fault current at its place [kA]; only a known source tells.

    Section: 110.9. Raises Missing.
    """
    rating = site.need(lambda job: job.primary.device.interrupting_kiloamperes)
    source = site.need(lambda job: job.primary.source_fault_kiloamperes)
    return compare(
        site,
        found=rating,
        at_least=source,
        required=f"at least {number(source)} kA",
        found_shown=f"{number(rating)} kA",
        reason="Not below the available fault current.",
        otherwise="Below the available fault current: it can burst when it opens.",
        remedy="A device with a higher interrupting rating, or a listed series combination.",
    )


@rule(
    "motor_contribution",
    title="Motors on this side add to the fault current",
    cite="short_circuit_rating",
    severity="advice",
    group="first_disconnect",
    asks=(
        "transformer.impedance_percent",
        "transformer.impedance_tested",
        "secondary.panelboard.present",
        "observations.supplies_switchboard",
        "secondary.panelboard.short_circuit_kiloamperes",
        "secondary.protection.kind",
        "secondary.protection.interrupting_kiloamperes",
    ),
)
def motor_contribution(site: Site) -> Finding:
    """Whether the ratings leave room for what running motors add [kA]: at most four times the full-load current.

    Section: 110.9, 110.10. Source: fuse manufacturer's handbook on the point-to-point method. Raises Missing.
    """
    ceiling = faults.secondary_fault_current_highest(site)
    full_load = currents.full_load_current_secondary(site)
    ratings: list[float] = []
    if _supplies_a_board(site):
        ratings.append(site.need(lambda job: job.secondary.panelboard.short_circuit_kiloamperes))
    if site.need(lambda job: job.secondary.protection.kind) != "main_lugs_only":
        ratings.append(site.need(lambda job: job.secondary.protection.interrupting_kiloamperes))
    if not ratings:
        return not_applicable("No panelboard, no switchboard and no secondary device here.")
    motors = faults.MOTOR_CONTRIBUTION * full_load.amount
    lowest, with_motors = min(ratings) * 1000, ceiling.amount + motors
    required = f"{kiloamperes(with_motors)} if all of the load were motors"
    steps = (
        *ceiling.steps,
        f"Motors: at most {number(faults.MOTOR_CONTRIBUTION)} × {amperes(full_load.amount)} = {amperes(motors)}",
    )
    if not at_most(with_motors, lowest):
        return undetermined(
            "Running motors feed a fault too, for the first cycles. The margin in the rating is less than the most "
            "they can add: find out how much of the load is motors.",
            required=required,
            found=kiloamperes(lowest),
        )._replace(steps=steps)
    return confirm(
        site,
        True,
        required=required,
        found=kiloamperes(lowest),
        reason="There is room for motors.",
        otherwise="",
        steps=steps,
    )
