"""The system bonding jumper, one bonding point for all, and neutral kept apart from ground past it."""

from engine.code import SIZES, size_index
from engine.derived import bonding_jumpers, grounded_systems, ungrounded_area
from engine.derived.derived import Derived
from engine.job.site import Site
from engine.job.words import CONDUCTOR_NAMES, JUMPER_PLACES
from engine.judging.verdicts import Finding, confirm, not_applicable, undetermined
from engine.physics.quantities import size
from engine.rules.conditions.control_circuits import feeds_control_circuits_only, needs_no_electrode
from engine.rules.conditions.facts_read import DERIVED_CONDUCTORS, GROUNDED_BY, NO_ELECTRODE
from engine.rules.conditions.large_enough import by_known_runs, large_enough, of_grounded_system
from engine.rules.conditions.two_jumpers import TWO_JUMPERS, both_permitted, primary_in_doubt
from engine.rules.conditions.words import NO_ELECTRODE_WORDS
from engine.rules.rule import rule


@rule(
    "system_bonding_jumper",
    title=CONDUCTOR_NAMES["system_bonding_jumper"],
    cite="system_bonding_jumper",
    severity="danger",
    group="bonding",
    grounding_visit=True,
    all_runs=(),
    asks=(
        *GROUNDED_BY,
        "bonding.system_bonding_jumper.factory_furnished",
        "bonding.system_bonding_jumper.in_each_enclosure",
        "bonding.system_bonding_jumper.size",
        "bonding.system_bonding_jumper.material",
        *DERIVED_CONDUCTORS,
        *TWO_JUMPERS,
        "secondary.class_1_2_3_circuits_only",
    ),
)
def system_bonding_jumper(site: Site) -> Finding:
    """Whether there is one system bonding jumper, and large enough (AWG or kcmil).

    Section: 250.30(A)(1), 250.28(D), Table 250.102(C)(1). Raises Missing.
    """
    location = site.need(lambda job: job.bonding.system_bonding_jumper.location)
    grounded = grounded_systems.is_grounded(site)
    if not grounded:
        if location == "none":
            return not_applicable("An ungrounded system has no system bonding jumper.")
        return confirm(
            site,
            False,
            required="no system bonding jumper on an ungrounded system",
            found=JUMPER_PLACES[location].said,
            reason="",
            otherwise="The system is called ungrounded, yet a jumper grounds it. One of the two is wrong.",
            remedy="Find out how the system is meant to be grounded; identify a grounded phase as such.",
        )
    if location == "none":
        return confirm(
            site,
            False,
            required="one system bonding jumper",
            found="none",
            reason="",
            otherwise="No system bonding jumper: a ground fault will not trip anything, and metal stays live.",
            remedy="One jumper at the transformer or at the first disconnect, unspliced, where the electrode conductor "
            "connects.",
        )
    if location == "both" and not both_permitted(site):
        return confirm(
            site,
            False,
            required="one system bonding jumper",
            found=JUMPER_PLACES[location].said,
            reason="",
            otherwise="Two jumpers: neutral current runs on raceways and steel.",
            remedy="De-energize and take one out. Keep the one where the electrode conductor connects, and make "
            "sure the grounded conductor reaches it.",
        )
    doubt = primary_in_doubt(site) if location == "both" else None
    if doubt:
        return undetermined(
            doubt, required="one system bonding jumper", found=JUMPER_PLACES[location].said
        )
    count = "One jumper at each end, as permitted here" if location == "both" else "One jumper"
    if site.job.bonding.system_bonding_jumper.factory_furnished:
        return confirm(
            site,
            True,
            required="one system bonding jumper",
            found=f"the identified strap or screw that came with the equipment, {JUMPER_PLACES[location].said}",
            reason=f"{count}, furnished with the equipment and covered by its listing; check that it is fastened.",
            otherwise="",
            cite="listing_and_instructions",
        )
    found = site.need(lambda job: job.bonding.system_bonding_jumper.size)
    material = site.need(lambda job: job.bonding.system_bonding_jumper.material)

    def by_the_phases(site: Site) -> Finding:
        return large_enough(
            site,
            found=found,
            material=material,
            minimum=of_grounded_system(bonding_jumpers.system_bonding_jumper_minimum(site)),
            reason=f"{count}, large enough by the derived ungrounded conductors.",
            otherwise="Too small by the derived ungrounded conductors.",
        )

    finding = by_known_runs(site, by_the_phases)
    if finding.verdict == "does_not_meet" and feeds_control_circuits_only(site):
        return large_enough(
            site,
            found=found,
            material=material,
            minimum=_control_transformer_jumper(site, material),
            reason=f"{count}, large enough for a control transformer.",
            otherwise="Too small even for a control transformer.",
        )
    if (
        finding.verdict == "does_not_meet"
        and site.has_further_runs
        and location == "first_disconnect"
        and site.need(lambda job: job.bonding.system_bonding_jumper.in_each_enclosure)
    ):
        return undetermined(
            "Too small for all conductors together. But each enclosure has its own jumper, sized by the conductors to "
            "that enclosure: read the size of each jumper.",
            required=finding.required,
            found=finding.found,
            cite="system_bonding_jumper_size",
        )
    return finding


def _control_transformer_jumper(site: Site, material: str) -> Derived:
    """As large as the derived ungrounded conductors, and 14 AWG copper or 12 AWG aluminum at least."""
    least = bonding_jumpers.LEAST_SYSTEM_BONDING_JUMPER[material]
    if site.has_further_runs:
        together = ungrounded_area.derived_ungrounded_area(site).amount
        phase = ungrounded_area.smallest_of_area(site, together) or SIZES[-1]
    else:
        phase = site.need(lambda job: job.secondary.conductors.size)
    largest = max(least, phase, key=size_index)
    steps = (
        f"Control transformer: as large as the ungrounded conductors, {size(phase)}, and {size(least, material)} at least",
    )
    return Derived(largest, "AWG or kcmil", "control_transformer_jumper", steps, size=largest)


def _disconnect_elsewhere(site: Site) -> bool:
    """Whether the first disconnect has a case of its own; a raceway or several runs lead to one elsewhere."""
    return (
        site.has_further_runs
        or site.job.secondary.raceway.type is not None
        or site.need(lambda job: job.secondary.first_disconnect_separate)
    )


@rule(
    "single_bonding_point",
    title="One bonding point for all",
    cite="system_bonding_jumper",
    severity="danger",
    group="bonding",
    grounding_visit=True,
    asks=(
        *GROUNDED_BY,
        "secondary.first_disconnect_separate",
        *TWO_JUMPERS,
        *NO_ELECTRODE,
    ),
)
def single_bonding_point(site: Site) -> Finding:
    """Whether the jumper and the electrode conductor meet at one point.

    Unit: none. Section: 250.30(A)(1) and (A)(5). Raises Missing.
    """
    location = site.need(lambda job: job.bonding.system_bonding_jumper.location)
    if not grounded_systems.is_grounded(site):
        return not_applicable("An ungrounded system has no bonding point of the neutral.")
    required = "system bonding jumper and electrode conductor at one point"
    if location == "none":
        return confirm(
            site,
            False,
            required=required,
            found="no system bonding jumper",
            reason="",
            otherwise="There is no bonding point.",
            remedy="Install the system bonding jumper.",
        )
    if location == "both":
        permitted = both_permitted(site)
        doubt = primary_in_doubt(site) if permitted else None
        if doubt:
            return undetermined(doubt, required=required, found="two system bonding jumpers")
        return confirm(
            site,
            permitted,
            required=required,
            found="two system bonding jumpers",
            reason="Two jumpers are permitted for this outdoor source with no path beside the neutral.",
            otherwise="Two bonding points: neutral current has a second path back through metal.",
            remedy="De-energize and take one jumper out.",
        )
    # Without an electrode conductor there is no second thing to meet the jumper.
    if (
        site.job.electrode.connected_at is None
        and site.job.electrode.used == "none"
        and needs_no_electrode(site)
    ):
        return not_applicable(NO_ELECTRODE_WORDS, cite="control_transformer_electrode")
    at = site.need(lambda job: job.electrode.connected_at)
    names = {"source": "transformer", "first_disconnect": "first disconnect"}
    if at != location and not _disconnect_elsewhere(site):
        return undetermined(
            "The transformer and the first disconnect share one case: check whether the jumper and the electrode "
            "conductor land on the same terminal or bar in it.",
            required=required,
            found=f"jumper at the {names[location]}, electrode conductor at the {names[at]}, in one case",
            cite="derived_grounding_electrode_conductor",
        )
    return confirm(
        site,
        at == location,
        required=required,
        found=f"jumper at the {names[location]}, electrode conductor at the {names[at]}",
        reason=f"Both at the {names[location]}.",
        otherwise="Jumper and electrode conductor are at different places.",
        remedy=f"Connect the electrode conductor at the {names[location]}, where the jumper is.",
        cite="derived_grounding_electrode_conductor",
    )


@rule(
    "neutral_isolation",
    title="Neutral and ground kept apart downstream",
    cite="grounded_conductor_not_for_grounding",
    severity="danger",
    group="downstream",
    grounding_visit=True,
    asks=("bonding.neutral_bonded_downstream", *GROUNDED_BY),
)
def neutral_isolation(site: Site) -> Finding:
    """Whether neutral and ground stay apart past the bonding point.

    Unit: none. Section: 250.142(B), 250.24 (no load-side connection). Raises Missing.
    """
    if _has_no_neutral(site):
        return not_applicable("An ungrounded system without a neutral has nothing to keep apart.")
    joined = site.need(lambda job: job.bonding.neutral_bonded_downstream)
    if not grounded_systems.is_grounded(site):
        if not joined:
            return not_applicable("An ungrounded system has no grounded conductor to keep apart.")
        return confirm(
            site,
            False,
            required="no conductor of an ungrounded system joined to ground",
            found="a conductor joined to ground downstream",
            reason="",
            otherwise="The system is called ungrounded, yet a conductor is joined to ground downstream. One of the "
            "two is wrong.",
            remedy="Find out how the system is meant to be grounded; de-energize and take out the downstream connection.",
            cite="systems_to_be_grounded",
        )
    return confirm(
        site,
        not joined,
        required="neutral and ground joined nowhere past the bonding point",
        found="joined again downstream" if joined else "apart",
        reason="Separate downstream, as far as was checked.",
        otherwise="Joined again downstream: neutral current runs on grounding conductors and metal.",
        remedy="De-energize and take out the strap or screw in the downstream panel.",
    )


def _has_no_neutral(site: Site) -> bool:
    """Whether nobody saw a joint downstream of an ungrounded system, and there is no neutral to be joined. Raises Missing."""
    if site.job.bonding.neutral_bonded_downstream is not None:
        return False
    if "bonding.neutral_bonded_downstream" in site.doubted:
        return False
    if site.job.transformer.secondary_system == "delta_3_wire_ungrounded":
        return True
    return grounded_systems.is_without_neutral(site) and not grounded_systems.is_grounded(site)
