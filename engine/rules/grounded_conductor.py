"""The grounded conductor of the secondary: there, returning a fault, carrying its current, in each raceway."""

from engine.code import size_index
from engine.derived import (
    circuits,
    conditions_of_use,
    conductor_ampacity,
    grounded_conductors,
    grounded_systems,
)
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, not_applicable
from engine.physics.quantities import amperes, size
from engine.rules.conditions.facts_read import GROUNDED_BY
from engine.rules.conditions.grounded_conductor_found import (
    GROUNDED,
    grounded_found,
    grounded_remedy,
    times,
)
from engine.rules.conditions.insulation import no_ampacity_of
from engine.rules.conditions.large_enough import large_enough, of_grounded_system
from engine.rules.conditions.parallel_conductors import alike_in_each_raceway
from engine.rules.rule import rule


@rule(
    "grounded_conductor",
    title="Grounded conductor to the first disconnect",
    cite="derived_grounded_conductor",
    severity="danger",
    group="secondary_run",
    grounding_visit=True,
    asks=GROUNDED,
)
def grounded_conductor(site: Site) -> Finding:
    """Whether the grounded conductor is there and can carry a ground fault back to the source (AWG or kcmil, A).

    The fault returns through it where the system bonding jumper is not at the source. What it carries in daily use has
    a check of its own. Section: 250.30(A)(3), 310.10(G). Raises Missing.
    """
    role = circuits.grounded_role(site)
    if role is None:
        return not_applicable("An ungrounded system has no grounded conductor.")
    if site.job.secondary.grounded_conductor.size is None and (
        site.need(lambda job: job.secondary.grounded_conductor.present) is False
    ):
        return _no_grounded_conductor(site, role)
    if site.need(lambda job: job.bonding.system_bonding_jumper.location) == "source":
        return not_applicable(
            "The system bonding jumper is at the source: no fault current returns through the grounded conductor. "
            "What it carries in normal use is checked separately."
        )
    return _as_much_as_phases(site) if role == "grounded_phase" else _returns_fault(site)


def _no_grounded_conductor(site: Site, role: circuits.Role) -> Finding:
    if role != "neutral":
        return confirm(
            site,
            False,
            required="a grounded conductor",
            found="none",
            reason="",
            otherwise="This circuit needs its grounded conductor: without it the load current returns through metal.",
            remedy="Run the grounded conductor with the phases from the transformer to the first disconnect.",
            cite="objectionable_current",
        )
    if site.need(lambda job: job.bonding.system_bonding_jumper.location) == "source":
        return not_applicable(
            "No grounded conductor is run, and none is needed for the fault current: the system bonding jumper is at the "
            "source. Without it no line-to-neutral load can be fed."
        )
    return confirm(
        site,
        False,
        required="a grounded conductor",
        found="none",
        reason="",
        otherwise="No grounded conductor runs to the bonding point: a fault has no way back to the source.",
        remedy="Run the grounded conductor with the phases to the first disconnect.",
    )


def _returns_fault(site: Site) -> Finding:
    """The size is the one in each raceway, as the minimum is; several in one raceway are added where they are known."""
    found = site.need(lambda job: job.secondary.grounded_conductor.size)
    material = site.need(lambda job: job.secondary.grounded_conductor.material)
    minimum = of_grounded_system(grounded_conductors.fault_return_minimum(site, material))

    def judged(number: int) -> Finding:
        return large_enough(
            site,
            found=found,
            material=material,
            minimum=minimum,
            sets=number,
            reason="Can carry the fault current back to the source.",
            otherwise="Too small to carry the fault current back to the source.",
            remedy=lambda: grounded_remedy(site),
        )

    if site.need(lambda job: job.secondary.conductors.sets) == 1:
        return judged(1)
    # Parallel ones must be 1/0 or larger, however many lie together.
    floor = site.code.parallel_minimum_size
    alone = judged(1)
    if alone.verdict == "meets" and size_index(found) >= size_index(floor):
        return alone
    run = grounded_conductors.grounded_in_parallel(site)
    if run.all > 1 and size_index(found) < size_index(floor):
        return confirm(
            site,
            False,
            required=f"parallel: {size(floor)} or larger",
            found=f"{run.all} × {size(found, material)}",
            reason="",
            otherwise=f"Conductors smaller than {size(floor)} may not run in parallel "
            f"({site.section('parallel_conductors')}).",
            remedy=lambda: grounded_remedy(site),
            steps=minimum.steps,
            cite="parallel_conductors",
        )
    return judged(run.in_each)


def _as_much_as_phases(site: Site) -> Finding:
    """A grounded phase has the ampacity of the others, whatever they end at."""
    found, material, number = grounded_found(site)
    use = grounded_conductors.grounded_conditions(site, material)
    wanted = grounded_conductors.phases_ampacity(site)
    ampacity, _ = grounded_conductors.grounded_ampacity(site, use, found, number)
    return compare(
        site,
        found=ampacity,
        at_least=wanted,
        required=f"at least {amperes(wanted)}, as the phases have",
        found_shown=f"{times(number)}{size(found, material)}: {amperes(ampacity)}",
        reason="Has the ampacity of the other phases.",
        otherwise=_not_here(site, use) or "The grounded phase has less ampacity than the others.",
        remedy=lambda: grounded_remedy(site),
        steps=conductor_ampacity.ampacity_steps(site, use, found, number),
    )


def _not_here(site: Site, use: conditions_of_use.Conditions) -> str:
    """Why these conductors carry nothing where they are; empty where they do."""
    nothing = no_ampacity_of(site, use)
    return nothing.why if nothing else ""


@rule(
    "grounded_conductor_sets",
    title="Grounded conductor in every raceway",
    cite="conductors_of_one_circuit_together",
    severity="danger",
    group="secondary_run",
    grounding_visit=True,
    asks=(
        "secondary.conductors.sets",
        "secondary.conductors.raceways",
        "secondary.grounded_conductor.sets",
        "secondary.grounded_conductor.size",
        "secondary.grounded_conductor.present",
        *GROUNDED_BY,
    ),
)
def grounded_conductor_sets(site: Site) -> Finding:
    """Whether each raceway holds its grounded conductor, none in parallel smaller than allowed (AWG or kcmil).

    Section: 300.3(B), 310.10(G). Raises Missing.
    """
    if site.need(lambda job: job.secondary.conductors.sets) == 1:
        return not_applicable("One set of conductors.")
    if not grounded_systems.has_grounded_conductor(site):
        return not_applicable("No grounded conductor is run.")
    run = grounded_conductors.grounded_in_parallel(site)
    sets, raceways = run.all, run.raceways
    found = site.need(lambda job: job.secondary.grounded_conductor.size)
    least = site.code.parallel_minimum_size
    large = sets == 1 or size_index(found) >= size_index(least)
    if large and sets > raceways and sets % raceways:
        return alike_in_each_raceway(site, sets, raceways, f"{sets} × {size(found)}")
    return confirm(
        site,
        sets >= raceways and large,
        required=f"{'one in the raceway' if raceways == 1 else f'one in each of {raceways} raceways'}; in parallel "
        f"{size(least)} or larger",
        found=f"{sets} × {size(found)}",
        reason="Each raceway holds its grounded conductor.",
        otherwise="A raceway holds phases without their grounded conductor."
        if sets < raceways
        else f"Conductors smaller than {size(least)} may not run in parallel.",
        remedy="One in each raceway."
        if sets < raceways
        else f"{size(least)} or larger in each set.",
        cite="conductors_of_one_circuit_together" if sets < raceways else "parallel_conductors",
    )
