"""The grounding electrode: accepted, one system with the building's others, supplemented where one alone is not enough."""

from engine.code import size_index
from engine.code.choices import choice
from engine.code.electrodes import SINGLE, beside_water_pipe
from engine.job.site import Site
from engine.job.words import ELECTRODES
from engine.judging.verdicts import Finding, compare, confirm, every, not_applicable, undetermined
from engine.physics.quantities import number, size
from engine.rules.conditions.control_circuits import needs_no_electrode
from engine.rules.conditions.facts_read import NO_ELECTRODE
from engine.rules.conditions.words import NO_ELECTRODE_WORDS
from engine.rules.rule import rule

# A single rod, pipe or plate is tens of ohms even in good soil; less than this is a reading of something else: common
# practice, no source.
LEAST_PLAUSIBLE_OHMS = 1.0


def _names(electrodes: list[str]) -> str:
    return ", ".join(ELECTRODES[e].said for e in electrodes) or "none found"


@rule(
    "grounding_electrode",
    title="Which electrode is used",
    cite="derived_grounding_electrode",
    severity="danger",
    group="electrode",
    grounding_visit=True,
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
    found = f"{ELECTRODES[used].said}; at the building: {_names([*available])}"
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
            f"The {ELECTRODES[used].said} is in use, yet it is not among the electrodes found at the building. "
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
    here = " and ".join(ELECTRODES[e].said for e in preferred)
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
        found=f"{ELECTRODES[used].said}{', not the nearer one' if is_one and not nearest else ''}",
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
    name = ELECTRODES[used].said
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
    grounding_visit=True,
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
    beside = beside_water_pipe(kinds)
    if beside:
        return _beside_the_water_pipe(site, beside)
    if len(kinds) > 1 or not kinds & {*SINGLE, "water_pipe"}:
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
            found=f"{ELECTRODES[only].said} and a supplemental electrode",
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


def _beside_the_water_pipe(site: Site, only: str) -> Finding:
    """A single rod, pipe or plate that supplements a water pipe has to hold by itself [ohm].

    Section: 250.53(D)(2), which refers to 250.53(A). Inspectors differ on the second electrode, so that none is condemned
    for its absence. Raises Missing.
    """
    required = (
        f"beside the water pipe a second electrode in addition to the {only}, or {number(site.code.single_electrode_ohms)} "
        "ohm at most"
    )
    cite = "water_pipe_supplement"
    if site.need(lambda job: job.electrode.supplemented):
        return confirm(
            site,
            True,
            required=required,
            found=f"the water pipe, the {only} and a second one",
            reason="The electrode that supplements the water pipe has a second one beside it.",
            otherwise="",
            cite=cite,
        )
    ohms = site.need(lambda job: job.electrode.resistance_ohms)
    found = f"the water pipe and a single {only}, {number(ohms)} ohm"
    if LEAST_PLAUSIBLE_OHMS <= ohms <= site.code.single_electrode_ohms:
        return confirm(
            site,
            True,
            required=required,
            found=found,
            reason="Its resistance to earth is low enough without a second electrode.",
            otherwise="",
            cite=cite,
        )
    why = (
        f"A single {only} can't have so little resistance to earth. Measure again with the electrode disconnected from the "
        "system."
        if ohms < LEAST_PLAUSIBLE_OHMS
        else f"The {only} that supplements the water pipe has too much resistance to earth to stand alone. Some "
        "authorities accept it beside a water pipe: ask, or drive a second rod."
    )
    return undetermined(why, required=required, found=found, cite=cite)
