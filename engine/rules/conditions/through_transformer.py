"""Whether the primary device protects what the secondary feeds, through the transformer."""

from engine.derived import conductor_ampacity, currents
from engine.job.site import Site
from engine.job.words import CONNECTIONS
from engine.judging.verdicts import Finding, compare, confirm
from engine.physics.quantities import amperes, number

DELTAS_OF_THREE_WIRES = ("delta_3_wire_ungrounded", "delta_corner_grounded")


def two_wire_or_delta(site: Site) -> Finding:
    """Whether the connection is one whose secondary the primary device can protect.

    Unit: none. Section: 240.21(C)(1). Raises Missing.
    """
    phases = site.job.transformer.phases
    primary = site.need(lambda job: job.transformer.primary_system)
    secondary = site.need(lambda job: job.transformer.secondary_system)
    if phases == 1:
        holds = primary == "single_phase_2_wire" and secondary == "single_phase_2_wire"
    else:
        holds = primary == "delta_3_wire" and secondary in DELTAS_OF_THREE_WIRES
    return confirm(
        site,
        holds,
        required="single-phase 2-wire to 2-wire, or delta-delta 3-wire",
        found=f"{CONNECTIONS[primary].said} to {CONNECTIONS[secondary].said}",
        reason="A secondary that the primary device can protect.",
        otherwise="The primary device does not protect these secondary conductors: on this connection one secondary phase "
        "can be overloaded without the primary seeing it.",
        remedy="Protection at the end of the secondary conductors, under another rule.",
    )


def primary_device_covers(site: Site) -> Finding:
    """Whether the primary device [A] is small enough to protect the secondary conductors too.

    Section: 240.21(C)(1). Raises Missing.
    """
    ampacity = conductor_ampacity.secondary_protectable_ampacity(site)
    rating = currents.primary_device_rating(site)
    ratio = currents.voltage_ratio(site)
    limit = ampacity.amount / ratio
    return compare(
        site,
        found=rating,
        at_most=limit,
        required=f"primary device at most {amperes(ampacity.amount)} / {number(ratio)} = {amperes(limit)}",
        found_shown=amperes(rating),
        reason="Small enough to protect the secondary conductors too.",
        otherwise="Too large to protect the secondary conductors.",
        remedy="Larger secondary conductors or a smaller primary device.",
        steps=ampacity.steps,
    )
