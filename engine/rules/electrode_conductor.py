"""The grounding electrode conductor, of this transformer alone and shared by several."""

from engine.code import size_index
from engine.derived import circuits, electrode_conductors, ungrounded_area
from engine.derived.derived import Derived
from engine.job.missing import Missing
from engine.job.site import Site
from engine.job.words import CONDUCTOR_NAMES
from engine.judging.verdicts import Finding, confirm, not_applicable, undetermined
from engine.physics.quantities import size
from engine.rules.conditions.control_circuits import needs_no_electrode
from engine.rules.conditions.facts_read import DERIVED_CONDUCTORS, NO_ELECTRODE
from engine.rules.conditions.large_enough import by_known_runs, large_enough
from engine.rules.conditions.words import NO_CONDUCTOR_WORDS, NO_ELECTRODE_WORDS
from engine.rules.rule import rule


@rule(
    "grounding_electrode_conductor",
    title=CONDUCTOR_NAMES["grounding_electrode_conductor"],
    cite="derived_grounding_electrode_conductor",
    severity="danger",
    group="electrode",
    grounding_visit=True,
    all_runs=(),
    asks=(
        "electrode.conductor.size",
        "electrode.conductor.material",
        "electrode.used",
        "electrode.sole_connection",
        "electrode.common_conductor",
        "electrode.available",
        "electrode.joined_to_building_system",
        "electrode.ring_size",
        "bonding.water_pipe_bond.to_common_conductor",
        "bonding.structural_steel_bond.to_common_conductor",
        *DERIVED_CONDUCTORS,
        *NO_ELECTRODE,
    ),
)
def grounding_electrode_conductor(site: Site) -> Finding:
    """Whether the grounding electrode conductor is large enough (AWG or kcmil).

    Section: 250.30(A)(5) or 250.30(B)(1), Table 250.66, 250.66(A) to (C). Raises Missing.
    """
    # A conductor that was found is judged by its size even where no electrode is said to be in use.
    if (
        site.job.electrode.conductor.size is None
        and site.need(lambda job: job.electrode.used) == "none"
    ):
        if needs_no_electrode(site):
            return not_applicable(NO_ELECTRODE_WORDS, cite="control_transformer_electrode")
        return confirm(
            site,
            False,
            required="a grounding electrode conductor",
            found="none",
            reason="",
            otherwise="No conductor goes to an electrode.",
            remedy="Install one to the building's grounding electrode system.",
        )
    found = site.need(lambda job: job.electrode.conductor.size)
    material = site.need(lambda job: job.electrode.conductor.material)

    def by_the_phases(site: Site) -> Finding:
        return large_enough(
            site,
            found=found,
            material=material,
            minimum=electrode_conductors.grounding_electrode_conductor_minimum(site),
            reason="Large enough by its size; no electrode is said to be in use, and that is checked separately."
            if site.job.electrode.used == "none"
            else "Large enough for this electrode.",
            otherwise="Too small: a tap to a shared conductor is sized for the system it serves, not for the "
            "electrode."
            if site.job.electrode.common_conductor
            else "Too small for this electrode.",
        )

    finding = by_known_runs(site, by_the_phases)
    if finding.verdict != "does_not_meet":
        return finding
    if needs_no_electrode(site):
        return not_applicable(NO_ELECTRODE_WORDS, cite="control_transformer_electrode")
    doubt = _limit_in_doubt(site, material)
    if doubt and size_index(found) >= size_index(doubt[0]):
        return undetermined(
            f"{doubt[1]} Ask the authority having jurisdiction, or install the table size.",
            required=finding.required,
            found=finding.found,
            cite=finding.cite,
        )._replace(steps=finding.steps)
    return finding


def _limit_in_doubt(site: Site, material: str) -> tuple[str, str] | None:
    try:
        return electrode_conductors.limit_in_doubt(site, material)
    except Missing:
        # What is not known of a run leaves what the others ask for.
        part = ungrounded_area.known_runs_alone(site)
        if part is None:
            raise
        return electrode_conductors.limit_in_doubt(part, material)


@rule(
    "common_grounding_electrode_conductor",
    title="Shared grounding electrode conductor",
    cite="common_grounding_electrode_conductor",
    severity="violation",
    group="electrode",
    grounding_visit=True,
    asks=(
        "electrode.common_conductor",
        "electrode.common_conductor_size",
        "electrode.common_conductor_material",
        "electrode.used",
    ),
)
def common_grounding_electrode_conductor(site: Site) -> Finding:
    """Whether a conductor shared by several transformers is large enough (AWG or kcmil); the tap has its own check.

    Section: 250.30(A)(6). Raises Missing.
    """
    if circuits.is_without_electrode_conductor(site):
        return not_applicable(NO_CONDUCTOR_WORDS)
    if not site.need(lambda job: job.electrode.common_conductor):
        return not_applicable("This transformer has a grounding electrode conductor of its own.")
    found = site.need(lambda job: job.electrode.common_conductor_size)
    material = site.need(lambda job: job.electrode.common_conductor_material)
    least = site.code.common_grounding_electrode_conductor(material)
    minimum = Derived(
        least,
        "AWG or kcmil",
        "common_grounding_electrode_conductor",
        (f"Shared conductor: {size(least, material)} or larger, whatever the systems",),
        size=least,
    )
    return large_enough(
        site,
        found=found,
        material=material,
        minimum=minimum,
        reason="Large enough to be shared; each tap is sized for its own system.",
        otherwise="Too small to be shared.",
    )
