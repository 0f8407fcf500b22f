"""The bonds of metal water piping and structural steel in the area served."""

from collections.abc import Callable

from engine.derived import bonding_jumpers, grounded_systems
from engine.derived.derived import Derived
from engine.job import AreaBond, Job
from engine.job.site import Site
from engine.job.words import CONDUCTOR_NAMES, ELECTRODES
from engine.judging.verdicts import Finding, confirm, not_applicable, undetermined
from engine.rules.conditions.facts_read import DERIVED_CONDUCTORS, GROUNDED_BY
from engine.rules.conditions.large_enough import by_known_runs, large_enough
from engine.rules.rule import rule


@rule(
    "water_pipe_bond",
    title=CONDUCTOR_NAMES["water_pipe_bond"],
    cite="area_water_piping_bonding",
    severity="danger",
    group="electrode",
    grounding_visit=True,
    all_runs=(),
    asks=(
        "bonding.water_pipe_bond.present",
        "bonding.water_pipe_bond.size",
        "bonding.water_pipe_bond.material",
        "bonding.water_pipe_bond.metal_in_area",
        "bonding.water_pipe_bond.to_common_conductor",
        "electrode.common_conductor",
        "electrode.used",
        "electrode.available",
        *DERIVED_CONDUCTORS,
        *GROUNDED_BY,
    ),
    changes_between_editions=True,
)
def water_pipe_bond(site: Site) -> Finding:
    """Whether metal water piping in the area served is bonded, and with enough (AWG or kcmil).

    Section: 250.104(D)(1) with its exceptions, Table 250.102(C)(1). Raises Missing.
    """
    return _area_bond(
        site,
        "water_pipe",
        lambda job: job.bonding.water_pipe_bond,
        bonding_jumpers.water_pipe_bond_minimum,
    )


@rule(
    "structural_steel_bond",
    title=CONDUCTOR_NAMES["structural_steel_bond"],
    cite="area_structural_steel_bonding",
    severity="danger",
    group="electrode",
    grounding_visit=True,
    all_runs=(),
    asks=(
        "bonding.structural_steel_bond.present",
        "bonding.structural_steel_bond.size",
        "bonding.structural_steel_bond.material",
        "bonding.structural_steel_bond.metal_in_area",
        "bonding.structural_steel_bond.to_common_conductor",
        "electrode.common_conductor",
        "electrode.used",
        "electrode.available",
        *DERIVED_CONDUCTORS,
        *GROUNDED_BY,
    ),
    changes_between_editions=True,
)
def structural_steel_bond(site: Site) -> Finding:
    """Whether exposed structural steel in the area served is bonded, and with enough (AWG or kcmil).

    Section: 250.104(D)(2) with its exceptions, Table 250.102(C)(1). Raises Missing.
    """
    return _area_bond(
        site,
        "building_steel",
        lambda job: job.bonding.structural_steel_bond,
        bonding_jumpers.structural_steel_bond_minimum,
    )


def _area_bond(
    site: Site,
    metal: str,
    bond: Callable[[Job], AreaBond],
    work_out_minimum: Callable[[Site], Derived],
) -> Finding:
    """The bond of one kind of metal in the area served; metal that is the electrode needs none of its own."""
    is_the_electrode = f"The {ELECTRODES[metal].said} is the grounding electrode here; no separate jumper is required."
    if not site.need(lambda job: bond(job).present):
        if site.need(lambda job: job.electrode.used) == metal:
            return _electrode_without_bond(site, metal, bond, is_the_electrode)
        return _no_bond(site, metal, bond)
    found = site.need(lambda job: bond(job).size)
    material = site.need(lambda job: bond(job).material)

    def by_the_phases(site: Site) -> Finding:
        return large_enough(
            site,
            found=found,
            material=material,
            minimum=work_out_minimum(site),
            reason=f"{ELECTRODES[metal].said.capitalize()} bonded, large enough by the derived ungrounded conductors.",
            otherwise=f"The jumper to the {ELECTRODES[metal].said} is too small by the derived ungrounded conductors.",
        )

    finding = by_known_runs(site, by_the_phases)
    if finding.verdict != "does_not_meet":
        return finding
    if site.need(lambda job: job.electrode.used) == metal:
        return not_applicable(is_the_electrode, found=finding.found)
    # 250.104(D) speaks of the metal in the area served: a jumper beyond that is more than it asks for.
    if bond(site.job).metal_in_area is False:
        return not_applicable(
            f"No {ELECTRODES[metal].said} in the area that this transformer serves.",
            found=finding.found,
        )
    return finding


def _electrode_without_bond(
    site: Site, metal: str, bond: Callable[[Job], AreaBond], is_the_electrode: str
) -> Finding:
    """The metal is the electrode. Reached by a shared conductor, it is bonded to that one in the area served too.

    Section: 250.104(D)(1) and (2), the exceptions; 250.104(D)(3).
    """
    if (
        bond(site.job).metal_in_area is False
        or not site.need(lambda job: job.electrode.common_conductor)
        or site.need(lambda job: bond(job).to_common_conductor)
    ):
        return not_applicable(is_the_electrode)
    if not site.need(lambda job: bond(job).metal_in_area):
        return not_applicable(is_the_electrode)
    name = ELECTRODES[metal].said
    return confirm(
        site,
        False,
        required=f"the {name} in the area served bonded to the shared electrode conductor there",
        found="the electrode itself; not bonded in the area served",
        reason="",
        otherwise=f"The {name} is the electrode, perhaps far away, but nothing in the area served bonds it to the "
        "shared electrode conductor.",
        remedy=f"Install a bonding jumper in this area from the {name} to the shared electrode conductor.",
        cite="area_common_conductor_bonding",
    )._replace(severity="violation")


def _no_bond(site: Site, metal: str, bond: Callable[[Job], AreaBond]) -> Finding:
    """No jumper was found: it is missing where there is such metal in the area served, wherever else it may be."""
    if not site.need(lambda job: bond(job).metal_in_area):
        return not_applicable(
            f"No {ELECTRODES[metal].said} in the area that this transformer serves."
        )
    if site.need(lambda job: job.electrode.common_conductor) and site.need(
        lambda job: bond(job).to_common_conductor
    ):
        return not_applicable(
            f"The {ELECTRODES[metal].said} is bonded to the shared electrode conductor in the area served: no jumper of this "
            "transformer's own is required.",
            cite="area_common_conductor_bonding",
        )
    required = f"a bonding jumper to the {ELECTRODES[metal].said} in the area served"
    if not grounded_systems.is_grounded(site):
        return undetermined(
            "The code bonds the grounded conductor of a system to this metal, and an ungrounded system has none. Whether "
            f"the {ELECTRODES[metal].said} is bonded to the building's own grounding instead is not looked at here: find out, "
            "and ask the inspector.",
            required=required,
            found="none found",
        )
    return confirm(
        site,
        False,
        required=required,
        found="none found",
        reason="",
        otherwise=f"The {ELECTRODES[metal].said} in the area served is not bonded: it can become live.",
        remedy="A bonding jumper from it to the point where the electrode conductor connects.",
    )
