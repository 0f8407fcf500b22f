"""Whether what protects the secondary carries its load."""

from engine.derived import currents
from engine.derived import secondary_conductors as of_secondary
from engine.derived.sides import SECONDARY
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, every, not_applicable
from engine.physics.quantities import amperes, at_most
from engine.rules.conditions.device_load import carried
from engine.rules.conditions.facts_read import DEVICE_RATING
from engine.rules.conditions.secondary_ampacity import SECONDARY_PROTECTION, no_device_at_the_end
from engine.rules.rule import rule


@rule(
    "secondary_load",
    title="Secondary device for the load",
    cite="feeder_overcurrent",
    severity="violation",
    group="first_disconnect",
    asks=(
        *SECONDARY_PROTECTION,
        "secondary.load.continuous_amperes",
        "secondary.protection.continuous_percent",
        "secondary.load.noncontinuous_amperes",
        "secondary.rule",
        *DEVICE_RATING,
    ),
)
def secondary_load(site: Site) -> Finding:
    """Whether what protects the secondary carries its load [A]: 125 % of what is continuous, plus the rest.

    Grouped devices count together, which says nothing of each by itself. Section: 215.3. Raises Missing.
    """
    kind = site.need(lambda job: job.secondary.protection.kind)
    if kind == "grouped_devices":
        return _grouped_load(site)
    if kind == "main_lugs_only":
        if site.need(lambda job: job.secondary.rule) != "primary_device":
            return not_applicable("No device on the secondary carries its load.")
        return _through_transformer(site)
    if site.need(lambda job: job.secondary.rule) == "primary_device":
        return every(site, _main_load, _through_transformer)
    return _main_load(site)


def _through_transformer(site: Site) -> Finding:
    """Under (C)(1) the primary device is what lets the load through."""
    # What the trip is set to now carries the load, however far it can be turned up.
    seen = of_secondary.through_ratio(site, site.need(lambda job: job.primary.device.rating))
    load = of_secondary.calculated_load(site).with_continuous
    return compare(
        site,
        found=seen.amount,
        at_least=load,
        required=f"at least {amperes(load)} of primary device × voltage ratio",
        found_shown=amperes(seen.amount),
        reason="The primary device, multiplied by the voltage ratio, carries the load.",
        otherwise="The load is more than the primary device lets through.",
        remedy="A smaller load, or protection on the secondary side under another rule.",
        steps=(seen.step,),
    )


def _grouped_load(site: Site) -> Finding:
    if of_secondary.nothing_protects(site):
        return no_device_at_the_end(site)
    total = currents.secondary_device_rating(site)
    load = of_secondary.calculated_load(site)
    required = f"together at least {load.sum}"
    if at_most(load.with_continuous, total.amount):
        return not_applicable(
            "The devices together are not below the load. How it is divided among them was not recorded: compare "
            "each with its own part.",
            required=required,
            found=amperes(total.amount),
        )
    return confirm(
        site,
        False,
        required=required,
        found=amperes(total.amount),
        reason="",
        otherwise="The load is more than the devices together may carry.",
        remedy="A smaller load, or larger devices within the other limits.",
        steps=total.steps,
    )


def _main_load(site: Site) -> Finding:
    return carried(
        site,
        SECONDARY,
        rating=site.need(lambda job: job.secondary.protection.rating),
        continuous_percent=lambda job: job.secondary.protection.continuous_percent,
    )
