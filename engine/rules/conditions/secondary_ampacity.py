"""Whether the secondary conductors reach what they end at and what they carry. Never rounded up."""

from functools import partial

from engine.derived import conditions_of_use, conductor_ampacity
from engine.derived import secondary_conductors as of_secondary
from engine.derived.secondary_conductors import Wanted, secondary_conductor_minimum
from engine.derived.sides import SECONDARY
from engine.job.missing import Missing
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, every, not_applicable, undetermined
from engine.physics.quantities import amperes, at_most
from engine.rules.conditions.facts_read import SECONDARY_RATING
from engine.rules.conditions.insulation import no_ampacity
from engine.rules.conditions.large_enough import smallest_remedy

# How the secondary conductors are protected, and whether in one enclosure.
SECONDARY_PROTECTION = (*SECONDARY_RATING, "secondary.protection.one_enclosure")


def reaches_the_end(site: Site) -> Finding:
    """Whether the ampacity [A] is not less than what the conductors end at, with no rounding up.

    Section: 240.21(C). Raises Missing.
    """
    relied_on = site.need(lambda job: job.secondary.rule)
    if relied_on == "primary_device":
        return reaches_what_is_wanted(site, of_secondary.the_end(site))
    if of_secondary.nothing_protects(site):
        return no_device_at_the_end(site)
    end = of_secondary.the_end(site)
    if (
        relied_on == "10_ft"
        and site.need(lambda job: job.secondary.protection.kind) == "grouped_devices"
        and site.job.secondary.panelboard.present is not False
        and not at_most(end.amount, conductor_ampacity.secondary_protectable_ampacity(site).amount)
    ):
        # The rating of the equipment that holds the devices would do as well.
        site.need(lambda job: job.secondary.panelboard.rating)
    finding = reaches_what_is_wanted(site, end)
    if (
        finding.verdict == "meets"
        and site.need(lambda job: job.secondary.protection.kind) == "grouped_devices"
    ):
        return _beside_several_devices(site, relied_on, finding)
    return finding


def _beside_several_devices(site: Site, relied_on: str, finding: Finding) -> Finding:
    """What else counts where several devices together keep the ampacity [A]. Section: 240.21(C), (C)(2)(1)(b)."""
    if len(site.need(lambda job: job.secondary.protection.ratings)) < 2:
        return finding
    if not site.need(lambda job: job.secondary.protection.one_enclosure):
        return undetermined(
            "The devices are in several enclosures, but one set of conductors can end in only one of them. If each "
            "enclosure has its own set, enter each set as a separate run, with its own device.",
            required="each set of conductors to one enclosure",
            found="several enclosures",
        )
    if relied_on != "10_ft":
        return finding
    if site.job.secondary.panelboard.present is False:
        return undetermined(
            "The ampacity covers the sum of the devices. But as written, the 10 ft rule counts a single device at the "
            "end, or the rating of the equipment that holds the devices. This tool does not ask for the rating of a "
            "switchboard or other equipment: compare that rating with the ampacity, or ask the authority having "
            "jurisdiction.",
            required="at least the rating of the equipment that holds the devices",
            found=finding.found,
            cite="secondary_10_ft",
        )
    equipment = site.need(lambda job: job.secondary.panelboard.rating)
    ampacity = conductor_ampacity.secondary_protectable_ampacity(site).amount
    if at_most(equipment, ampacity):
        return finding
    return undetermined(
        "The ampacity covers the sum of the devices, but not the rating of the panelboard that holds them. As "
        "written, the 10 ft rule counts a single device at the end, or the rating of the equipment: ask the authority "
        "having jurisdiction.",
        required=f"at least {amperes(equipment)}, the rating of the equipment that holds the devices",
        found=amperes(ampacity),
        cite="secondary_10_ft",
    )


def no_device_at_the_end(site: Site) -> Finding:
    """The finding where no overcurrent device is at the end of the conductors. Unit: none. Section: 240.21(C)."""
    return confirm(
        site,
        False,
        required="an overcurrent device at the end of the conductors",
        found="none found",
        reason="",
        otherwise="No overcurrent device was found at their end: nothing protects these conductors.",
        remedy="One main breaker or one set of fuses at their end.",
    )


def reaches_the_load(site: Site) -> Finding:
    """Whether the ampacity [A] reaches the load, which counts by itself where no single device holds it to the ampacity.

    Section: 215.2(A)(1). Raises Missing.
    """
    parts = of_secondary.the_load(site)
    if not parts:
        return not_applicable(
            "One device limits the load; whether it carries it is checked separately."
        )
    return every(site, *(partial(reaches_what_is_wanted, wanted=each) for each in parts))


_OF = {
    "device": conductor_ampacity.secondary_protectable_ampacity,
    "ampacity": conductor_ampacity.secondary_conductor_ampacity,
    "before_correction": conductor_ampacity.secondary_conductor_ampacity,
}


def reaches_what_is_wanted(site: Site, wanted: Wanted) -> Finding:
    """Whether the conductors reach what is wanted of them [A]. Section: that of what is wanted. Raises Missing."""
    ampacity = _OF[wanted.of](site)
    found = ampacity.amount
    if wanted.of == "before_correction":
        found = conductor_ampacity.ampacity_before_correction(
            site,
            conditions_of_use.secondary_conditions(site),
            site.need(lambda job: job.secondary.conductors.size),
            site.need(lambda job: job.secondary.conductors.sets),
        )
    nothing = no_ampacity(site, SECONDARY)
    if nothing:
        why, remedy = nothing
    elif ampacity.cite == "small_conductors":
        why = f"Small conductors may not be protected above {amperes(ampacity.amount)} ({site.section('small_conductors')})."
        remedy = ""
    elif wanted.of == "device":
        why = "The ampacity is smaller, and rounding up to the next standard rating is not permitted here."
        remedy = ""
    else:
        why, remedy = f"Smaller than {wanted.words}.", ""
    before = " before correction" if wanted.of == "before_correction" else ""
    return compare(
        site,
        found=found,
        at_least=wanted.amount,
        required=f"at least {amperes(wanted.amount)}{before}: {wanted.words}",
        found_shown=f"{amperes(found)}{before}",
        reason="The ampacity reaches it without rounding up."
        if wanted.of == "device"
        else f"Reaches {wanted.words}.",
        otherwise=why,
        remedy=remedy or (lambda: larger_conductors(site, wanted.instead)),
        steps=(*ampacity.steps, wanted.step),
        cite=wanted.cite,
    )


def larger_conductors(site: Site, instead: str) -> str:
    """The smallest secondary conductors that would do, in words. Unit: AWG or kcmil. Section: 240.21(C)."""
    try:
        return smallest_remedy(
            secondary_conductor_minimum(site),
            site.need(lambda job: job.secondary.conductors.sets),
            site.need(lambda job: job.secondary.conductors.material),
            instead,
        )
    except Missing:
        return f"Larger conductors{f', or {instead}' if instead else ''}."
