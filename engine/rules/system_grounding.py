"""Whether a system that must be grounded is grounded, and one that is not has ground detectors."""

from engine.code.limits import GROUNDED_UP_TO_VOLTS, PERHAPS_UP_TO_VOLTS
from engine.derived import grounded_systems, volts_to_ground
from engine.job.site import Site
from engine.judging.verdicts import Finding, confirm, not_applicable, undetermined
from engine.physics.quantities import volts
from engine.rules.conditions.facts_read import GROUNDED_BY
from engine.rules.rule import rule


@rule(
    "system_grounding",
    title="Grounding of the secondary",
    cite="systems_to_be_grounded",
    severity="danger",
    group="bonding",
    grounding_visit=True,
    asks=(
        *GROUNDED_BY,
        "primary.supply_system",
        "transformer.location",
        "secondary.rule",
        "secondary.raceway.type",
        "secondary.enclosed_in_raceway",
    ),
)
def system_grounding(site: Site) -> Finding:
    """Whether a system that must be grounded is grounded.

    Unit: V. Section: 250.20(B). Raises Missing.
    """
    line = volts(site.job.transformer.secondary_volts)
    supply = site.job.transformer.primary_volts
    if (
        site.job.transformer.secondary_volts < 50
        and site.job.bonding.system_bonding_jumper.location == "none"
    ):
        return _ungrounded_below_50_volts(site, line)
    # 250.20(B) begins at 50 V; below it 250.20(A) has conditions of its own.
    cite = "systems_below_50_volts" if site.job.transformer.secondary_volts < 50 else None
    if (
        site.job.transformer.secondary_volts < 50
        and GROUNDED_UP_TO_VOLTS < supply <= PERHAPS_UP_TO_VOLTS
    ):
        return undetermined(
            "Below 50 V it must be grounded where the supply exceeds 150 V to ground or is ungrounded: find out which "
            "supply this is.",
            cite=cite,
        )
    neutral_used = _neutral_of_a_wye(site)
    if not (grounded_systems.must_be_grounded(site) or neutral_used):
        return not_applicable(
            f"At {line} and with this connection grounding is optional.", cite=cite
        )
    location = site.need(lambda job: job.bonding.system_bonding_jumper.location)
    return confirm(
        site,
        location != "none",
        required="a grounded system",
        found="no system bonding jumper" if location == "none" else "a system bonding jumper",
        reason="Grounded, as this system must be.",
        otherwise="This system must be grounded and nothing grounds it: metal can become live and no device will trip.",
        remedy="Install the system bonding jumper and the grounding electrode conductor.",
        cite=cite,
    )


def _ungrounded_below_50_volts(site: Site, line: str) -> Finding:
    """Whether the supply leaves the choice: grounded, and at 150 V to ground or less.

    Section: 250.20(A)(1) and (2), the list as printed in Electrical Contractor, "To ground or not to ground" (ecmag.com).
    """
    cite = "systems_below_50_volts"
    supply = site.job.primary.supply_system
    to_ground = volts_to_ground.of_primary(site, supply)
    # A wye of 260 V is at 150 V to ground, rounding aside.
    perhaps = to_ground.least <= PERHAPS_UP_TO_VOLTS / 3**0.5
    if perhaps:
        supply = site.need(lambda job: job.primary.supply_system)
    # An impedance holds the neutral to ground, so that the lines have what those of a wye have.
    most = to_ground.least if supply == "impedance_grounded" else to_ground.most
    if supply != "ungrounded" and perhaps:
        if supply == "high_leg":
            return undetermined(
                "Below 50 V, the system must be grounded where its supply system exceeds 150 V to ground. This "
                "circuit might not exceed it, but the high leg of the same supply does. Ask the authority having "
                "jurisdiction, or ground the system.",
                required="a grounded system",
                found="no system bonding jumper",
                cite=cite,
            )
        if most > GROUNDED_UP_TO_VOLTS:
            return undetermined(
                "Below 50 V it must be grounded where its supply exceeds 150 V to ground, and whether this one does is "
                f"not known. {to_ground.find_out}",
                required="a grounded system",
                found="no system bonding jumper",
                cite=cite,
            )
        if any(site.in_each_run(_perhaps_overhead)):
            return undetermined(
                "Below 50 V it must be grounded where its conductors run outside as overhead conductors: find out whether "
                "these do.",
                required="a grounded system",
                found="no system bonding jumper",
                cite=cite,
            )
        return not_applicable(
            f"At {line}, from a grounded supply at {volts(most)} to ground, grounding is optional.",
            cite=cite,
        )
    return confirm(
        site,
        False,
        required="a grounded system",
        found="no system bonding jumper",
        reason="",
        otherwise="Below 50 V the secondary must be grounded where its supply "
        f"{'is ungrounded' if supply == 'ungrounded' else 'exceeds 150 V to ground'}, and nothing grounds "
        "it: if the windings break down, the supply voltage gets onto the secondary and stays there.",
        remedy="Install the system bonding jumper and the grounding electrode conductor.",
        cite=cite,
    )


def _perhaps_overhead(site: Site) -> bool:
    """Whether a run may be overhead conductors outside: what is in a raceway or stays indoors is not. 250.20(A)(3)."""
    secondary = site.job.secondary
    if secondary.raceway.type is not None or secondary.enclosed_in_raceway:
        return False
    outside = secondary.rule == "outside" or (
        site.need(lambda job: job.transformer.location) == "outdoors"
    )
    return outside and not site.need(lambda job: job.secondary.enclosed_in_raceway)


def _neutral_of_a_wye(site: Site) -> bool:
    """Whether the neutral of a wye is run as a circuit conductor: it must then be grounded. Section: 250.20(B)(2)."""
    if site.need(lambda job: job.transformer.secondary_system) != "wye_3_wire":
        return False
    return grounded_systems.must_be_grounded(site) or site.need(
        lambda job: job.secondary.grounded_conductor.present
    )


@rule(
    "ground_detection",
    title="Ground detectors on an ungrounded system",
    cite="ground_detection",
    severity="danger",
    group="bonding",
    grounding_visit=True,
    all_runs=(),
    asks=(*GROUNDED_BY, "observations.ground_detector"),
)
def ground_detection(site: Site) -> Finding:
    """Whether an ungrounded system has ground detectors.

    Unit: none. Section: 250.21(B). Raises Missing.
    """
    if grounded_systems.is_grounded(site):
        return not_applicable("The system is grounded.")
    if site.job.transformer.secondary_volts < 120:
        return not_applicable("Below 120 V no ground detector is required.")
    there = site.need(lambda job: job.observations.ground_detector)
    return confirm(
        site,
        there,
        required="ground detectors, as close as practicable to the source",
        found="installed" if there else "none found",
        reason="A first ground fault will be seen.",
        otherwise="A first ground fault will go unnoticed, and the second one is a short circuit.",
        remedy="Install ground detectors.",
    )
