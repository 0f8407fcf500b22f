"""The grounded conductor as it was found, for the rules that judge its size and its load."""

from engine.derived import grounded_conductors
from engine.job.missing import Missing
from engine.job.site import Site
from engine.physics.quantities import size
from engine.rules.conditions.facts_read import GROUNDED_BY, conductor_asks
from engine.rules.conditions.insulation import no_ampacity_of

GROUNDED = (
    *GROUNDED_BY,
    "secondary.grounded_conductor.material",
    "secondary.grounded_conductor.sets",
    "secondary.grounded_conductor.insulation",
    *conductor_asks("secondary"),
    "secondary.conductors.raceways",
)


def times(number: int) -> str:
    """How many, where there is more than one. Unit: none. Section: none."""
    return f"{number} × " if number > 1 else ""


def grounded_found(site: Site) -> tuple[str, str, int]:
    """Size (AWG or kcmil) and metal of each grounded conductor, and how many there are. Section: none. Raises Missing."""
    return (
        site.need(lambda job: job.secondary.grounded_conductor.size),
        site.need(lambda job: job.secondary.grounded_conductor.material),
        grounded_conductors.grounded_in_parallel(site).all,
    )


def grounded_remedy(site: Site) -> str:
    """What would put a grounded conductor right, in words (AWG or kcmil). Section: 250.30(A)(3)."""
    try:
        material = site.need(lambda job: job.secondary.grounded_conductor.material)
        run = grounded_conductors.grounded_in_parallel(site)
        use = grounded_conductors.grounded_conditions(site, material)
        minimum = grounded_conductors.grounded_conductor_minimum(site)
    except Missing:
        return "A larger grounded conductor."
    nothing = no_ampacity_of(site, use)
    if nothing:
        return nothing.remedy
    if minimum is None or minimum.size is None:
        return "More grounded conductors in parallel, or a smaller load."
    return f"{times(run.all)}{size(minimum.size, material)} or larger."
