"""The grounding electrode, the conductor to it, and the bonds of pipe and steel in the area served."""

from collections.abc import Callable

from engine.code import size_index
from engine.code.choices import choice
from engine.derived import (
    bonding_jumpers,
    circuits,
    electrode_conductors,
    grounded_systems,
    ungrounded_area,
)
from engine.derived.derived import Derived
from engine.job import AreaBond, Job
from engine.job.missing import Missing
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, every, not_applicable, undetermined
from engine.physics.quantities import number, size
from engine.rules.conditions.control_circuits import needs_no_electrode
from engine.rules.conditions.facts_read import DERIVED_CONDUCTORS, GROUNDED_BY, NO_ELECTRODE
from engine.rules.conditions.large_enough import by_known_runs, large_enough
from engine.rules.conditions.words import NO_CONDUCTOR_WORDS, NO_ELECTRODE_WORDS
from engine.rules.rule import rule

_SINGLE = ("rod", "pipe", "plate")
# A single rod, pipe or plate is tens of ohms even in good soil; less than this is a reading of something else: common
# practice, no source.
LEAST_PLAUSIBLE_OHMS = 1.0
_NAMES = {
    "building_steel": "building steel",
    "water_pipe": "metal water pipe",
    "concrete_encased": "concrete-encased electrode",
    "rod": "rod",
    "pipe": "pipe",
    "plate": "plate",
    "ring": "ground ring",
    "none": "none",
}


def _names(electrodes: list[str]) -> str:
    return ", ".join(_NAMES[e] for e in electrodes) or "none found"


@rule(
    "grounding_electrode",
    title="Which electrode is used",
    cite="derived_grounding_electrode",
    severity="danger",
    group="electrode",
    asks=(
        "electrode.available",
        "electrode.used",
        "electrode.ring_size",
        "electrode.joined_to_building_system",
        "electrode.nearest_of_steel_and_water",
        "electrode.connected_at",
        "transformer.location",
        "observations.electrode_at_outdoor_source",
        *NO_ELECTRODE,
    ),
    changes_between_editions=True,
)
def grounding_electrode(site: Site) -> Finding:
    """Whether the electrode is one that the edition accepts.

    Unit: AWG or kcmil for a ground ring. Section: 250.30(A)(4), 250.50, 250.52(A)(4). Raises Missing.
    """
    available = site.need(lambda job: job.electrode.available)
    used = site.need(lambda job: job.electrode.used)
    found = f"{_NAMES[used]}; at the building: {_names([*available])}"
    if used == "none":
        if needs_no_electrode(site):
            return not_applicable(NO_ELECTRODE_WORDS, cite="control_transformer_electrode")
        return confirm(
            site,
            False,
            required="a grounding electrode",
            found=found,
            reason="",
            otherwise="The system is connected to no electrode.",
            remedy="Connect it to the building's grounding electrode system; where none exists, install one.",
        )
    if used not in available:
        return undetermined(
            f"The {_NAMES[used]} is in use, yet it is not among the electrodes found at the building. "
            "One of the two answers is wrong.",
            required="an electrode that exists at the building",
            found=found,
        )
    if used == "ring":
        ring = site.need(lambda job: job.electrode.ring_size)
        least = site.code.ground_ring_minimum_size
        if size_index(ring) < size_index(least):
            return confirm(
                site,
                False,
                required=f"a ground ring of {size(least, 'copper')} or larger",
                found=f"a ring of {size(ring)}",
                reason="",
                otherwise="A conductor this small does not make a ground ring.",
                remedy="Use another electrode of the building, or lay a ring that is large enough.",
                cite="permitted_electrodes",
            )
    return every(site, _preferred, _one_system)


def _preferred(site: Site) -> Finding:
    """Whether it is the electrode that an edition with an order of preference asks for."""
    available = site.need(lambda job: job.electrode.available)
    used = site.need(lambda job: job.electrode.used)
    preferred = [e for e in ("building_steel", "water_pipe") if e in available]
    in_order = choice(site.code.edition, "electrode_preference") == "nearest_steel_or_water"
    if not in_order or not preferred:
        return not_applicable("")
    here = " and ".join(_NAMES[e] for e in preferred)
    several = len(preferred) > 1
    is_one = used in preferred
    nearest = (
        site.need(lambda job: job.electrode.nearest_of_steel_and_water)
        if is_one and several
        else is_one
    )
    return confirm(
        site,
        nearest,
        required="the nearest of structural steel and metal water pipe; others only where neither exists",
        found=f"{_NAMES[used]}{', not the nearer one' if is_one and not nearest else ''}",
        reason="The electrode that this edition prefers.",
        otherwise="This edition requires the nearer of the two."
        if is_one
        else f"This edition prefers {here}, which {'exist' if several else 'exists'} here.",
        remedy=f"Connect to {'the nearer of ' if several else ''}{here}.",
    )


def _one_system(site: Site) -> Finding:
    """Whether the electrode is one system with all others of the building. Section: 250.50."""
    available = site.need(lambda job: job.electrode.available)
    used = site.need(lambda job: job.electrode.used)
    name = _NAMES[used]
    found = f"{name}; at the building: {_names([*available])}"
    required = "an electrode of the building's grounding electrode system"
    if not [e for e in available if e != used]:
        return confirm(
            site,
            True,
            required=required,
            found=found,
            reason=f"No other electrode exists; the {name} is the building's.",
            otherwise="",
        )
    joined = site.need(lambda job: job.electrode.joined_to_building_system)
    if not joined and _stands_at_outdoor_source(site):
        return undetermined(
            f"An outdoor transformer has its electrode at the transformer ({site.section('outdoor_source')}). The "
            "supply-side bonding jumper to the building's disconnect joins it to the building's electrodes. Check "
            "that this jumper and the conductor to the building's electrodes both end in that disconnect, or ask the "
            "authority having jurisdiction.",
            required=required,
            found=f"{found}; outdoors at the transformer, no wire from it to the building's electrodes",
        )
    return confirm(
        site,
        joined,
        required=required,
        found=f"{found}; {'joined' if joined else 'not joined'} to them",
        reason="Joined to the building's other electrodes.",
        otherwise=f"The {name} is not joined to the building's other electrodes.",
        remedy="Bond it to the building's grounding electrode system, or connect there.",
        cite=None if joined else "grounding_electrode_system",
    )


def _stands_at_outdoor_source(site: Site) -> bool:
    """Whether the electrode in use is the one at a transformer that stands outdoors. Section: 250.30(A)(4), 250.30(C)."""
    return (
        site.need(lambda job: job.transformer.location) == "outdoors"
        and site.need(lambda job: job.electrode.used) not in ("building_steel", "water_pipe")
        and site.need(lambda job: job.electrode.connected_at) == "source"
        and site.need(lambda job: job.observations.electrode_at_outdoor_source)
    )


@rule(
    "supplemental_electrode",
    title="Supplement to a single rod or water pipe",
    cite="supplemental_electrode",
    severity="violation",
    group="electrode",
    asks=(
        "electrode.available",
        "electrode.used",
        "electrode.supplemented",
        "electrode.resistance_ohms",
    ),
)
def supplemental_electrode(site: Site) -> Finding:
    """Whether a lone rod, pipe or plate, or a lone water pipe, has another electrode beside it [ohm].

    Section: 250.53(A)(2) and its exception, 250.53(D)(2). Raises Missing.
    """
    used = site.need(lambda job: job.electrode.used)
    kinds = {*site.need(lambda job: job.electrode.available), used} - {"none"}
    if not kinds:
        return not_applicable("No electrode was found; that is checked separately.")
    if len(kinds) > 1 or not kinds & {*_SINGLE, "water_pipe"}:
        return not_applicable("Neither a water pipe alone nor a single rod, pipe or plate.")
    (only,) = kinds
    water = only == "water_pipe"
    required = (
        "another electrode in addition to the water pipe"
        if water
        else f"a second electrode in addition to the {only}, or {number(site.code.single_electrode_ohms)} ohm at most"
    )
    cite = "water_pipe_supplement" if water else None
    if site.need(lambda job: job.electrode.supplemented):
        return confirm(
            site,
            True,
            required=required,
            found=f"{_NAMES[only]} and a supplemental electrode",
            reason="Supplemented.",
            otherwise="",
            cite=cite,
        )
    remedy = "Drive a rod 8 ft into the earth, 6 ft or more away, and bond the two."
    if water:
        return confirm(
            site,
            False,
            required=required,
            found="the water pipe alone",
            reason="",
            otherwise="A water pipe may be replaced with plastic: then no electrode is left.",
            remedy=remedy,
            cite=cite,
        )
    ohms = site.need(lambda job: job.electrode.resistance_ohms)
    if ohms < LEAST_PLAUSIBLE_OHMS:
        return undetermined(
            f"A single {only} can't have so little resistance to earth: the tester read a loop of metal, or nothing "
            "was measured. Measure again with the electrode disconnected from the system.",
            required=required,
            found=f"a single {only}, {number(ohms)} ohm",
        )
    return compare(
        site,
        found=ohms,
        at_most=site.code.single_electrode_ohms,
        required=required,
        found_shown=f"a single {only}, {number(ohms)} ohm",
        reason="Its resistance to earth is low enough without a second electrode.",
        otherwise="Its resistance to earth is too high without a second electrode.",
        remedy=remedy,
    )


@rule(
    "grounding_electrode_conductor",
    title="Grounding electrode conductor",
    cite="derived_grounding_electrode_conductor",
    severity="danger",
    group="electrode",
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


@rule(
    "water_pipe_bond",
    title="Bond of the metal water pipe",
    cite="area_water_piping_bonding",
    severity="danger",
    group="electrode",
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
    title="Bond of the structural steel",
    cite="area_structural_steel_bonding",
    severity="danger",
    group="electrode",
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
    is_the_electrode = (
        f"The {_NAMES[metal]} is the grounding electrode here; no separate jumper is required."
    )
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
            reason=f"{_NAMES[metal].capitalize()} bonded, large enough by the derived ungrounded conductors.",
            otherwise=f"The jumper to the {_NAMES[metal]} is too small by the derived ungrounded conductors.",
        )

    finding = by_known_runs(site, by_the_phases)
    if finding.verdict != "does_not_meet":
        return finding
    if site.need(lambda job: job.electrode.used) == metal:
        return not_applicable(is_the_electrode, found=finding.found)
    # 250.104(D) speaks of the metal in the area served: a jumper beyond that is more than it asks for.
    if bond(site.job).metal_in_area is False:
        return not_applicable(
            f"No {_NAMES[metal]} in the area that this transformer serves.", found=finding.found
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
    name = _NAMES[metal]
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
        return not_applicable(f"No {_NAMES[metal]} in the area that this transformer serves.")
    if site.need(lambda job: job.electrode.common_conductor) and site.need(
        lambda job: bond(job).to_common_conductor
    ):
        return not_applicable(
            f"The {_NAMES[metal]} is bonded to the shared electrode conductor in the area served: no jumper of this "
            "transformer's own is required.",
            cite="area_common_conductor_bonding",
        )
    required = f"a bonding jumper to the {_NAMES[metal]} in the area served"
    if not grounded_systems.is_grounded(site):
        return undetermined(
            "The code bonds the grounded conductor of a system to this metal, and an ungrounded system has none. Whether "
            f"the {_NAMES[metal]} is bonded to the building's own grounding instead is not looked at here: find out, "
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
        otherwise=f"The {_NAMES[metal]} in the area served is not bonded: it can become live.",
        remedy="A bonding jumper from it to the point where the electrode conductor connects.",
    )


@rule(
    "ground_detection",
    title="Ground detectors on an ungrounded system",
    cite="ground_detection",
    severity="danger",
    group="bonding",
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
