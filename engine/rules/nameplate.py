"""The nameplate: figures that agree, and a secondary winding of its own; what a look settles is in looks_enclosure.py."""

from engine.derived import currents
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm
from engine.physics.quantities import number
from engine.rules.rule import rule


@rule(
    "separate_windings",
    title="Two separate windings",
    cite="separately_derived_systems",
    severity="danger",
    group="nameplate",
    grounding_visit=True,
    asks=(
        "transformer.primary_system",
        "transformer.secondary_system",
        "transformer.autotransformer",
    ),
)
def separate_windings(site: Site) -> Finding:
    """Whether the secondary is a winding of its own, or nobody looked.

    Unit: none. Section: 250.30, Article 100 (separately derived system). Raises Missing.
    """
    t = site.job.transformer
    primary, secondary = t.primary_system, t.secondary_system
    # One winding serves both sides only where both are connected alike.
    are_unlike = (
        primary and secondary and primary.startswith("delta") != secondary.startswith("delta")
    )
    # A job with an autotransformer is refused whole, so what is known here is that it is none.
    if not are_unlike:
        site.need(lambda job: job.transformer.autotransformer)
    return confirm(
        site,
        True,
        required="a secondary winding of its own, with no connection to the primary",
        found="two windings",
        reason="Delta on one side and wye on the other: the windings are separate."
        if are_unlike
        else "The nameplate shows two separate windings.",
        otherwise="",
    )


@rule(
    "nameplate_agrees",
    title="Nameplate figures agree",
    cite="transformer_nameplate",
    severity="advice",
    group="nameplate",
    asks=("transformer.nameplate_primary_amperes", "transformer.nameplate_secondary_amperes"),
)
def nameplate_agrees(site: Site) -> Finding:
    """Whether kVA, voltages and printed currents fit together [A], within 3 % for rounding.

    Section: 450.11(A); the tolerance is common practice, no source. Raises Missing.
    """
    pairs = (
        (
            site.need(lambda job: job.transformer.nameplate_primary_amperes),
            currents.full_load_current_primary(site),
        ),
        (
            site.need(lambda job: job.transformer.nameplate_secondary_amperes),
            currents.full_load_current_secondary(site),
        ),
    )
    worst = max(abs(printed - worked.amount) / worked.amount for printed, worked in pairs)
    shown = "; ".join(
        f"{side} {number(printed)} A printed, {number(worked.amount)} A calculated"
        for side, (printed, worked) in zip(("primary", "secondary"), pairs, strict=True)
    )
    return compare(
        site,
        found=worst,
        at_most=0.03,
        required="printed currents within 3 % of those calculated",
        found_shown=shown,
        reason="kVA, voltages and currents agree.",
        otherwise="kVA, voltages and currents do not agree: one of them was misread.",
        remedy="Read the nameplate again.",
        steps=tuple(step for _, worked in pairs for step in worked.steps),
    )
