"""What the transformer itself carries and draws: its load, harmonics, inrush on energizing."""

from engine.derived import currents, faults, secondary_conductors
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, not_applicable, undetermined
from engine.physics.quantities import amperes, at_most, number
from engine.rules.rule import rule


@rule(
    "k_factor_load",
    title="K-factor for electronic load",
    cite="listing_and_instructions",
    severity="advice",
    group="nameplate",
    asks=("observations.nonlinear_load", "transformer.k_factor"),
)
def k_factor_load(site: Site) -> Finding:
    """Whether a unit that feeds mostly electronic load is made for harmonics [K]: K-4 or higher.

    Section: 110.3(B). Source: common practice, no source. Raises Missing.
    """
    if not site.need(lambda job: job.observations.nonlinear_load):
        return not_applicable("Most of the load is not electronic.")
    factor = site.need(lambda job: job.transformer.k_factor)
    return compare(
        site,
        found=factor,
        at_least=4,
        required="K-4 or higher where most of the load is electronic (common practice)",
        found_shown=f"K-{number(factor)}",
        reason="Rated for harmonics.",
        otherwise="A standard transformer runs hotter under electronic load than its kVA suggests.",
        remedy="Have the harmonics evaluated: load it less, or get a K-rated unit.",
    )


@rule(
    "transformer_load",
    title="Load within the transformer's rating",
    cite="common_practice",
    severity="advice",
    group="nameplate",
    all_runs=(),
    asks=("secondary.load.continuous_amperes", "secondary.load.noncontinuous_amperes"),
)
def transformer_load(site: Site) -> Finding:
    """Whether the calculated load of all secondary runs together [A] is within the rated current.

    Not a code rule: common practice, no source. What is known of it may be too much by itself. Raises Missing.
    """
    loads = [run.job.secondary.load for run in site.runs]
    known = sum(
        (each.continuous_amperes or 0) + (each.noncontinuous_amperes or 0) for each in loads
    )
    current = currents.full_load_current_secondary(site)
    if at_most(known, current.amount):
        known = sum(load.whole for load in site.in_each_run(secondary_conductors.calculated_load))
    return compare(
        site,
        found=known,
        at_most=current.amount,
        required=f"at most {amperes(current.amount)}, the rated secondary current",
        found_shown=f"{amperes(known)} of calculated load",
        reason="Within the transformer's rating.",
        otherwise="The calculated load is above the transformer's rated current. No section limits it, but the transformer "
        "overheats and wears out early.",
        remedy="Reduce the load or install a larger transformer; see the question to the customer.",
        steps=current.steps,
    )


@rule(
    "inrush",
    title="Inrush against the primary device",
    cite="common_practice",
    severity="advice",
    group="primary_disconnect",
    asks=(
        "primary.device.rating",
        "primary.device.kind",
        "primary.device.instantaneous_multiple",
    ),
)
def inrush(site: Site) -> Finding:
    """How likely the primary device trips on energizing [A]. Not a code rule: common practice, no source.

    Usual inrush 8 to 12 times rated current at 0.1 s, up to about 25 times in the first half cycle; more where the
    low-voltage winding, the inner one, is fed (electricallicenserenewal.com section 85 on 450.11(B)). Raises Missing.
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
    if (
        multiple >= high
        and site.job.transformer.primary_volts < site.job.transformer.secondary_volts
    ):
        return undetermined(
            "The low-voltage winding is the one that is fed. It is nearer the core and draws more inrush than the "
            "usual range: ask the manufacturer for the figure.",
            required=f"more than {required.removeprefix('at least ')}",
            found=shown,
        )._replace(steps=steps)
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
        else "Likely to trip on energizing: within the usual range of inrush.",
        remedy="A higher instantaneous setting, a device with a higher trip, or a larger device within the limits.",
        steps=steps,
    )
