"""Interrupting ratings and inrush."""

from engine.derived import currents, faults
from engine.derived.derived import Derived
from engine.missing import Missing
from engine.quantities import amperes, at_most, kiloamperes, number
from engine.rules.rule import rule
from engine.site import Site
from engine.verdicts import Finding, compare, confirm, not_applicable, undetermined

_CONDUCTORS = (
    "secondary.conductors.size",
    "secondary.conductors.material",
    "secondary.conductors.sets",
    "secondary.conductors.length_feet",
    "secondary.raceway.type",
    "primary.source_fault_kiloamperes",
    "transformer.secondary_system",
)


def _against_fault(site: Site, rating: float, what: str) -> Finding:
    """Hold a rating [kA] against the ceiling, and where that fails against what a known source leaves of it.

    A rating above the upper bound holds; one below the lower bound does not; between them the angles of the
    impedances decide, which nobody reads on site.
    """
    ceiling = faults.secondary_fault_current(site)
    highest = faults.CENTER_TAP_FACTOR * ceiling.amount
    if at_most(ceiling.amount, rating * 1000):
        if not at_most(highest, rating * 1000) and _has_center_tap(site):
            return undetermined(
                "From one line to the center tap the fault current is larger than from line to line, up to about "
                f"{number(faults.CENTER_TAP_FACTOR)} times. Between the two the manufacturer's figures decide.",
                required=f"{kiloamperes(ceiling.amount)} line to line, up to {kiloamperes(highest)} line to neutral",
                found=kiloamperes(rating * 1000),
            )._replace(steps=ceiling.steps)
        return _rated(site, rating, ceiling, what, "on an infinite bus")
    if site.job.primary.source_fault_kiloamperes is None:
        raise Missing(
            "primary.source_fault_kiloamperes",
            required=f"up to {kiloamperes(ceiling.amount)} on an infinite bus; less behind a real source",
            found=kiloamperes(rating * 1000),
        )
    most = faults.secondary_fault_current_at_most(site)
    highest = most.amount * (faults.CENTER_TAP_FACTOR if _has_center_tap(site) else 1)
    if at_most(highest, rating * 1000):
        return _rated(site, rating, most, what, "with the known source")
    least = faults.secondary_fault_current_at_least(site)
    if at_most(least.amount, rating * 1000):
        return undetermined(
            "Close to the rating: the angles of the impedances decide. It takes a study.",
            required=f"{kiloamperes(least.amount)} to {kiloamperes(highest)} with the known source",
            found=kiloamperes(rating * 1000),
        )._replace(steps=(*most.steps, *least.steps))
    return _rated(site, rating, least, what, "with the known source")


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


@rule(
    "interrupting_ratings",
    title="Short-circuit rating of the panelboard",
    cite="panelboard_short_circuit_rating",
    severity="danger",
    group="first_disconnect",
    asks=(
        "transformer.impedance_percent",
        "secondary.panelboard.short_circuit_kiloamperes",
        "secondary.panelboard.present",
        *_CONDUCTORS,
    ),
)
def interrupting_ratings(site: Site) -> Finding:
    """Whether the panelboard withstands the fault current from this transformer [kA]. Motors add to it.

    Section: 110.9, 110.10, 408.6 (2020 on). Raises Missing.
    """
    panelboard = site.job.secondary.panelboard
    if panelboard.short_circuit_kiloamperes is None and (
        site.need(lambda job: job.secondary.panelboard.present) is False
    ):
        return not_applicable(
            "The secondary conductors supply no panelboard; see the secondary device."
        )
    rating = site.need(lambda job: job.secondary.panelboard.short_circuit_kiloamperes)
    finding = _against_fault(site, rating, "The panelboard's short-circuit rating")
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
    "inrush",
    title="Inrush against the primary device",
    cite="common_practice",
    severity="advice",
    group="primary_disconnect",
    asks=("primary.device.rating", "primary.device.kind", "primary.device.instantaneous_multiple"),
)
def inrush(site: Site) -> Finding:
    """How likely the primary device trips on energizing [A]. Not a code rule: common practice, no source.

    Usual inrush 8 to 12 times rated current at 0.1 s, up to about 25 times in the first half cycle. Raises Missing.
    Section: none; Table 450.3(B) only limits the device upward.
    """
    low, high = faults.USUAL_INRUSH
    peak = faults.FIRST_HALF_CYCLE_INRUSH
    current = currents.full_load_current_primary(site)
    required = (
        f"at least {number(high)} × {amperes(current.amount)} = {amperes(high * current.amount)}"
    )
    if site.need(lambda job: job.primary.device.kind) == "fuse":
        return undetermined(
            "Fuses: whether they open on inrush depends on their curve. Compare "
            f"{amperes(high * current.amount)} at 0.1 s and {amperes(peak * current.amount)} at 0.01 s with it.",
            required="the fuse curve above both points",
        )
    trip = faults.instantaneous_trip(site)
    multiple = trip.amount / current.amount
    shown = f"{amperes(trip.amount)}, {number(multiple)} × full-load current"
    steps = (
        *current.steps,
        *trip.steps,
        f"Usual inrush at 0.1 s: {number(low)} to {number(high)} × = {amperes(low * current.amount)} to "
        f"{amperes(high * current.amount)}; first half cycle up to about {number(peak)} × = "
        f"{amperes(peak * current.amount)} (common practice, no source)",
    )
    return confirm(
        site,
        multiple >= high,
        required=required,
        found=shown,
        reason="Tripping on energizing is not expected."
        if multiple >= peak
        else "Above the usual inrush; the worst first half cycle may still trip it now and then.",
        otherwise="Will often trip on energizing."
        if multiple < low
        else "Likely to trip on energizing: inside the band of the usual inrush.",
        remedy="A higher instantaneous setting, a device with a higher trip, or a larger device within the limits.",
        steps=steps,
    )
