"""Whether a system bonding jumper at both ends is permitted."""

from engine.code.limits import METAL_RACEWAYS_AND_FLEX
from engine.job.site import Site

# What `both_permitted` and `primary_in_doubt` read.
TWO_JUMPERS = (
    "transformer.location",
    "observations.no_parallel_neutral_path",
    "bonding.supply_side_bonding_jumper.kind",
    "secondary.raceway.type",
    "electrode.used",
    "electrode.connected_at",
    "electrode.joined_to_building_system",
    "primary.equipment_grounding.kind",
    "primary.raceway.type",
)


def both_permitted(site: Site) -> bool:
    """Whether two jumpers are permitted: outdoors, with no path beside the neutral, wire and raceway included.

    Unit: none. Section: 250.30(A)(1), the exception for an outdoor source. Raises Missing.
    """
    if site.has_further_runs:
        return all(site.in_each_run(both_permitted))
    return (
        site.need(lambda job: job.transformer.location) == "outdoors"
        and site.need(lambda job: job.observations.no_parallel_neutral_path)
        and site.need(lambda job: job.bonding.supply_side_bonding_jumper.kind) == "none"
        and site.need(lambda job: job.secondary.raceway.type) in ("PVC40", "PVC80", "LFNC", "ENT")
        and not _electrode_is_a_path(site)
    )


def _electrode_is_a_path(site: Site) -> bool:
    """Whether metal from an electrode at the transformer leads to the building, where the other jumper is.

    Earth alone is no path. Section: 250.30(A)(1), the exception for an outdoor source.
    """
    if site.need(lambda job: job.electrode.used) == "none" or (
        site.need(lambda job: job.electrode.connected_at) != "source"
    ):
        return False
    if site.job.electrode.used in ("building_steel", "water_pipe"):
        return True
    return site.need(lambda job: job.electrode.joined_to_building_system)


def primary_in_doubt(site: Site) -> str | None:
    """Why two jumpers that nothing else forbids can't be judged: what grounds the case leads to a building too.

    Unit: none. Section: 250.30(A)(1), the exception for an outdoor source. Raises Missing.
    """
    if (
        site.job.primary.equipment_grounding.kind == "none"
        and site.need(lambda job: job.primary.raceway.type) not in METAL_RACEWAYS_AND_FLEX
    ):
        return None
    return (
        "The primary's equipment grounding conductor or metal raceway bonds the transformer's case to the building "
        "that feeds it. If the secondary serves that same building, neutral current has a parallel path: de-energize "
        "and remove one system bonding jumper, never both. Two are permitted only if the primary comes from another "
        "building, with no metal path between the buildings. Show it to the authority having jurisdiction."
    )
