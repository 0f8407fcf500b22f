"""Along the secondary run: what a look settles."""

from engine.code import Code, size_index
from engine.derived import grounded_systems
from engine.job import Job
from engine.job.site import Site
from engine.rules.conditions.facts_read import GROUNDED_BY
from engine.rules.look import Seen

_ONE_SET = "No parallel conductors."


def _parallel(site: Site) -> str | None:
    sets = max(
        site.need(lambda job: job.primary.conductors.sets),
        site.need(lambda job: job.secondary.conductors.sets),
    )
    return None if sets > 1 else _ONE_SET


def _parallel_in_the_run(site: Site) -> str | None:
    sets = site.need(lambda job: job.secondary.conductors.sets)
    return None if sets > 1 else _ONE_SET


def _end_counts(site: Site) -> str | None:
    relied_on = site.need(lambda job: job.secondary.rule)
    if relied_on == "primary_device":
        return "The primary device protects the conductors wherever they end."
    return None


def _outside_rule(site: Site) -> str | None:
    relied_on = site.need(lambda job: job.secondary.rule)
    return None if relied_on == "outside" else "The outside rule is not relied on."


def _industrial_rule(site: Site) -> str | None:
    relied_on = site.need(lambda job: job.secondary.rule)
    return None if relied_on == "industrial_25_ft" else "The industrial rule is not relied on."


def _large_conductors(site: Site) -> str | None:
    """Whether circuit conductors of 4 AWG and larger, the grounded one too, enter an enclosure on either side."""
    primary = site.job.primary.conductors.size
    if primary is not None and size_index(primary) >= _BUSHINGS_FROM:
        return None
    own = _large_conductors_of_the_run(site)
    if own is not None:
        site.need(lambda job: job.primary.conductors.size)
    return own


def _large_conductors_of_the_run(site: Site) -> str | None:
    known = (site.job.secondary.conductors.size, site.job.secondary.grounded_conductor.size)
    if any(size and size_index(size) >= _BUSHINGS_FROM for size in known):
        return None
    site.need(lambda job: job.secondary.conductors.size)
    if grounded_systems.has_grounded_conductor(site):
        site.need(lambda job: job.secondary.grounded_conductor.size)
    return "All conductors are smaller than 4 AWG."


_BUSHINGS_FROM = size_index("4")


def is_wire_in_several_raceways(job: Job, _: Code) -> bool:
    """Whether a supply-side bonding wire belongs in each of several raceways, or may: who counts them is not asked.

    Unit: none. Section: 250.30(A)(2), 250.102(C)(2), 300.3(B).
    """
    return job.bonding.supply_side_bonding_jumper.kind == "wire" and any(
        (run.conductors.raceways or run.conductors.sets or 1) > 1
        for run in (job.secondary, *job.secondary.further_runs)
    )


RUNS: tuple[Seen, ...] = (
    Seen(
        "parallel_alike",
        "Parallel conductors alike",
        "parallel_conductors",
        "violation",
        "secondary_run",
        "same length, metal, size, insulation and terminations in each set",
        "The sets differ: one carries more than its share.",
        "Make them alike.",
        fact="parallel_sets_alike",
        applies=_parallel,
        asks=("primary.conductors.sets", "secondary.conductors.sets"),
        applies_beside=_parallel_in_the_run,
    ),
    Seen(
        "circuit_grouping",
        "All conductors of the circuit together",
        "conductors_of_one_circuit_together",
        "violation",
        "secondary_run",
        "phases, neutral and grounding or bonding wire in each raceway",
        "Conductors of one circuit run apart: heat, and a fault path that is too long.",
        "Regroup them.",
        fact="circuit_grouped",
        grounding_visit=is_wire_in_several_raceways,
    ),
    Seen(
        "insulating_bushings",
        "Bushings for 4 AWG and larger",
        "raceway_bushings",
        "violation",
        "secondary_run",
        "a smooth, rounded, insulating fitting at each raceway end, on both runs",
        "Edges of a raceway can cut into the insulation.",
        "De-energize and install bushings; split ones go on without taking wires off.",
        fact="insulating_fittings",
        applies=_large_conductors,
        applies_beside=_large_conductors_of_the_run,
        asks=("primary.conductors.size", "secondary.conductors.size", *GROUNDED_BY),
    ),
    Seen(
        "no_taps",
        "Nothing tapped ahead of the first device",
        "secondary_conductors",
        "violation",
        "secondary_run",
        "no taps from the secondary conductors ahead of a device",
        "A tap from a tap: nothing protects it.",
        "Feed it from the load side of a device.",
        good=False,
        fact="tapped_ahead_of_device",
    ),
    Seen(
        "secondary_end",
        "Secondary conductors end where they supply",
        "secondary_conductors",
        "violation",
        "secondary_run",
        "they do not go on past the equipment they supply",
        "They go on past the equipment they supply.",
        "End them there.",
        fact="ends_at_equipment_supplied",
        applies=_end_counts,
        asks=("secondary.rule",),
    ),
    Seen(
        "industrial_supply",
        "Industrial rule supplies a switchboard",
        "secondary_industrial_25_ft",
        "violation",
        "secondary_run",
        "switchgear or a switchboard at the end, in an industrial installation",
        "The industrial rule is written for switchgear and switchboards, not for a panelboard.",
        "Rely on another rule.",
        fact="supplies_switchboard",
        applies=_industrial_rule,
        asks=("secondary.rule",),
    ),
    Seen(
        "outside_run",
        "Outside rule: outdoors all the way",
        "secondary_outside",
        "violation",
        "secondary_run",
        "outdoors all the way except the point where they end",
        "Part of the run is indoors.",
        "Rely on another rule, or protect them where they enter.",
        fact="outdoors_all_the_way",
        applies=_outside_rule,
        asks=("secondary.rule",),
    ),
    Seen(
        "outside_disconnect",
        "Disconnect of the outside rule",
        "secondary_outside",
        "violation",
        "secondary_run",
        "outside, or inside nearest the point of entry",
        "The disconnect is too far inside.",
        "Move the disconnect.",
        fact="outside_disconnect_placed",
        applies=_outside_rule,
        asks=("secondary.rule",),
    ),
)
