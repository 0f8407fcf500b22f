"""Insulation of conductors where they run: for the place, and beside insulation for a lower temperature."""

from collections.abc import Callable
from typing import NamedTuple

from engine.derived import (
    conditions_of_use,
    conductor_ampacity,
    grounded_systems,
    insulation_beside,
    sides,
)
from engine.job.site import Site
from engine.judging.verdicts import Finding, confirm, not_applicable, undetermined
from engine.physics.quantities import amperes, at_most, number


def _insulations_beside(site: Site, side: sides.Side) -> dict[str, str]:
    """Insulation of what lies beside the phase conductors of a side, by its name. Raises Missing."""
    beside: dict[str, str] = {}
    if side is sides.PRIMARY:
        if site.need(lambda job: job.primary.equipment_grounding.kind) == "wire":
            beside["equipment grounding conductor"] = site.need(
                lambda job: job.primary.equipment_grounding.insulation
            )
        return beside
    if grounded_systems.has_grounded_conductor(site):
        beside["grounded conductor"] = site.need(
            lambda job: job.secondary.grounded_conductor.insulation
        )
    if site.need(lambda job: job.bonding.supply_side_bonding_jumper.kind) == "wire":
        beside["supply-side bonding jumper"] = site.need(
            lambda job: job.bonding.supply_side_bonding_jumper.insulation
        )
    return beside


def beside_other_insulation(
    site: Site, side: sides.Side, device: Callable[[Site], float]
) -> Finding:
    """Whether the phase conductors stay cool enough [A, °C] for the lowest insulation in their raceway.

    Their ampacity is taken again at the temperature of that insulation, and held against the device that limits their
    current and against their load. Section: 310.14(A)(3), to 2017 310.15(A)(3). Raises Missing.
    """
    use = conditions_of_use.conditions(site, side)
    beside = insulation_beside.lowest(site, side, _insulations_beside(site, side), use)
    if beside is None:
        return not_applicable("No insulation in the raceway is rated lower than theirs.")
    size_ = site.need(lambda job: side.conductors(job).size)
    sets = site.need(lambda job: side.conductors(job).sets)
    name, insulation, column = beside
    cooler = insulation_beside.at_its_temperature(site, side, beside, use)
    most = conductor_ampacity.ampacity_of(site, cooler, size_, sets)
    shown = f"{insulation} {name}, {column} °C"
    remedy = f"A {name} with an insulation for {use.column} °C, or larger phase conductors."
    cite = "insulation_beside_others"
    if most == 0:
        return confirm(
            site,
            False,
            required="every insulation in the raceway rated for the heat around it",
            found=f"{shown}; {number(cooler.ambient)} °C around it",
            reason="",
            otherwise=f"It is {number(cooler.ambient)} °C around the {name}, too hot for {insulation}.",
            remedy=f"A {name} with an insulation for {use.column} °C.",
            cite=cite,
        )
    required = f"at most {amperes(most)}, so that the {insulation} {name} stays at {column} °C"
    rating = device(site)
    if at_most(rating, most):
        return confirm(
            site,
            True,
            required=required,
            found=amperes(rating),
            reason="No insulation in the raceway gets hotter than it is rated for.",
            otherwise="",
            cite=cite,
        )
    load = side.load(site.job)
    whole = (load.continuous_amperes or 0.0) + (load.noncontinuous_amperes or 0.0)
    if not at_most(min(whole, rating), most):
        return confirm(
            site,
            False,
            required=required,
            found=f"{amperes(whole)} load; {shown}",
            reason="",
            otherwise=f"At this load the phase conductors run hotter than {column} °C, the limit of the {insulation} "
            f"{name} beside them ({site.section(cite)}).",
            remedy=remedy,
            cite=cite,
        )
    return undetermined(
        f"The device lets {amperes(rating)} through, and above {amperes(most)} the phase conductors get hotter than the "
        f"{insulation} {name} beside them may: {column} °C. {remedy}",
        required=required,
        found=f"{amperes(rating)} device; {shown}",
        cite=cite,
    )


class NoAmpacity(NamedTuple):
    """Why no size of these conductors carries anything here, and what would mend it."""

    why: str
    remedy: str


def no_ampacity(site: Site, side: sides.Side) -> NoAmpacity | None:
    """Whether the insulation may not be used here at all: a larger size would not mend that.

    Unit: °C. Section: Table 310.4(1), 310.15(B). Raises Missing.
    """
    return no_ampacity_of(site, conditions_of_use.conditions(site, side))


def no_ampacity_of(site: Site, use: conditions_of_use.Conditions) -> NoAmpacity | None:
    """As `no_ampacity`, for any conductors by their conditions of use. Unit: °C. Section: Table 310.4(1), 310.15(B)."""
    if use.column == conditions_of_use.NOT_FOR_HERE:
        return NoAmpacity(
            f"{use.insulation} may not be used in a wet location ({site.section('insulation_temperature')}): no "
            "ampacity is counted for it here.",
            "Conductors with an insulation for wet locations.",
        )
    if use.ambient_factor == 0:
        return NoAmpacity(
            f"At {number(use.ambient)} °C ambient no ampacity is left for {use.insulation} "
            f"({site.section('ambient_correction')}).",
            "A cooler route, or an insulation for a higher temperature.",
        )
    return None
