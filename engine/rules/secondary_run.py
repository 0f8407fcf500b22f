"""The secondary conductors for what they end at, their insulation outdoors, and a neutral that counts."""

from engine.derived import conditions_of_use, conductor_ampacity, conductor_sizes, grounded_systems
from engine.derived import secondary_conductors as of_secondary
from engine.derived.sides import SECONDARY
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, every, not_applicable
from engine.physics.quantities import amperes, at_most
from engine.rules.conditions.control_circuits import large_enough_below_50_volts
from engine.rules.conditions.facts_read import DEVICE_RATING, INSULATIONS_BESIDE, conductor_asks
from engine.rules.conditions.insulation import beside_other_insulation
from engine.rules.conditions.parallel_conductors import parallel_sizes
from engine.rules.conditions.secondary_ampacity import (
    SECONDARY_PROTECTION,
    larger_conductors,
    reaches_the_end,
    reaches_the_load,
)
from engine.rules.rule import rule


@rule(
    "secondary_conductors",
    title="Secondary conductors for what they end at",
    cite="secondary_conductors",
    severity="violation",
    group="secondary_run",
    asks=(
        *conductor_asks("secondary"),
        *SECONDARY_PROTECTION,
        "secondary.panelboard.rating",
        "secondary.panelboard.present",
        "secondary.rule",
        *DEVICE_RATING,
        "secondary.load.continuous_amperes",
        "secondary.load.noncontinuous_amperes",
        *INSULATIONS_BESIDE["secondary"],
        "secondary.class_1_2_3_circuits_only",
    ),
)
def secondary_conductors(site: Site) -> Finding:
    """Whether the ampacity [A] reaches the device or equipment at the end of the secondary conductors.

    Section: 240.21(C) lead text (no 240.4(B)), Table 310.16, 310.10(G), 310.14(A)(3). Raises Missing.
    """
    return every(
        site,
        lambda s: parallel_sizes(s, SECONDARY),
        reaches_the_end,
        reaches_the_load,
        _before_correction,
        _below_50_volts,
        _beside_other_insulation,
    )


def _beside_other_insulation(site: Site) -> Finding:
    if of_secondary.end_at_nothing(site):
        return not_applicable("No device limits the current; that is said elsewhere.")
    return beside_other_insulation(site, SECONDARY, lambda s: of_secondary.the_end(s).amount)


def _below_50_volts(site: Site) -> Finding:
    return large_enough_below_50_volts(site, lambda job: job.secondary.conductors)


def _before_correction(site: Site) -> Finding:
    """In cool surroundings the ampacity may exceed the one before correction, which must hold 125 % of the load too."""
    if not of_secondary.held_by_one_device(site):
        return not_applicable(
            "The load is not limited by one device; it is compared with the ampacity itself."
        )
    corrected = conductor_ampacity.secondary_conductor_ampacity(site)
    before = conductor_ampacity.ampacity_before_correction(
        site,
        conditions_of_use.secondary_conditions(site),
        site.need(lambda job: job.secondary.conductors.size),
        site.need(lambda job: job.secondary.conductors.sets),
    )
    end = of_secondary.the_end(site)
    if at_most(corrected.amount, before) or at_most(end.amount, before):
        return not_applicable("Correction does not raise the ampacity above what they end at.")
    load = conductor_sizes.load_before_correction(
        site.need(lambda job: job.secondary.load.continuous_amperes),
        site.need(lambda job: job.secondary.load.noncontinuous_amperes),
        end.amount,
    )
    return compare(
        site,
        found=before,
        at_least=load,
        required=f"{amperes(load)} before correction",
        found_shown=f"{amperes(before)} before correction",
        reason="Carries the load before correction too.",
        otherwise="Too small before correction for the continuous load at 125 %.",
        remedy=lambda: larger_conductors(site, "a smaller load"),
        steps=corrected.steps,
        cite="feeder_conductor_size",
    )


@rule(
    "wet_insulation",
    title="Insulation fit for outdoors",
    cite="insulation_temperature",
    severity="violation",
    group="secondary_run",
    asks=("secondary.rule", "secondary.conductors.insulation"),
)
def wet_insulation(site: Site) -> Finding:
    """Whether conductors under the outside rule may be wet: raceways outdoors count as wet inside.

    Unit: °C. Section: Table 310.4(1) and 300.9. Raises Missing.
    """
    if site.need(lambda job: job.secondary.rule) != "outside":
        return not_applicable("The outside rule is not relied on.")
    insulation = site.need(lambda job: job.secondary.conductors.insulation)
    return confirm(
        site,
        site.code.insulation_column(insulation, True) is not None,
        required="an insulation for wet locations",
        found=insulation,
        reason="May be wet.",
        otherwise=f"{insulation} is for dry and damp locations only; a raceway outdoors counts as wet inside.",
        remedy="THWN-2, XHHW-2 or another insulation for wet locations.",
    )


@rule(
    "neutral_counted",
    title="Neutral counted as current-carrying",
    cite="neutral_as_current_carrying",
    severity="violation",
    group="secondary_run",
    asks=(
        "transformer.secondary_system",
        "observations.nonlinear_load",
        "secondary.grounded_conductor.present",
        "secondary.grounded_conductor.size",
        "secondary.grounded_conductor.current_carrying",
    ),
)
def neutral_counted(site: Site) -> Finding:
    """Whether the neutral of a wye counts where most of the load is electronic.

    Unit: conductors. Section: 310.15(E)(3). Raises Missing.
    """
    if not site.need(lambda job: job.transformer.secondary_system).startswith("wye"):
        return not_applicable("Not a four-wire wye secondary.")
    if not site.need(lambda job: job.observations.nonlinear_load):
        return not_applicable("Most of the load is not electronic.")
    if not grounded_systems.has_four_wires_of_a_wye(site):
        return not_applicable("Not a four-wire wye secondary.")
    if grounded_systems.is_without_neutral(site):
        return not_applicable("No neutral is run.")
    counted = site.need(lambda job: job.secondary.grounded_conductor.current_carrying)
    return confirm(
        site,
        counted,
        required="the neutral counted as current-carrying",
        found="counted" if counted else "not counted",
        reason="Counted.",
        otherwise="Most of the load is electronic, so the neutral carries harmonic current and counts.",
        remedy="Count it; the ampacity of the conductors follows.",
    )
