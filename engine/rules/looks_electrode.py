"""Electrode, its conductor, and downstream: what a look settles."""

from engine.code import Code, size_index
from engine.derived import circuits, grounded_systems
from engine.job import Job
from engine.job.missing import Missing, need_at
from engine.job.site import Site
from engine.rules.conditions.words import NO_CONDUCTOR_WORDS
from engine.rules.look import Seen, high_leg

_ELECTRODE_CONDUCTORS: tuple[circuits.Role, ...] = (
    "grounding_electrode_conductor",
    "common_grounding_electrode_conductor",
    # 250.104(A) has their jumpers installed as electrode conductors are, 250.64(A) among it.
    "water_pipe_bond",
    "structural_steel_bond",
)


def _has_exposed_jumper(site: Site) -> bool:
    """Whether the supply-side bonding jumper is aluminum where earth may touch it: bare, or ending outdoors.

    250.102(E)(3) has it installed by 250.64(A); indoors, insulated and in its raceway it touches neither.
    """
    if not circuits.any_of_aluminum(site, ("supply_side_bonding_jumper",)):
        return False
    if site.job.transformer.location == "outdoors":
        return True
    covering = site.need(lambda job: job.bonding.supply_side_bonding_jumper.insulation)
    return covering == "bare" or site.need(lambda job: job.transformer.location) == "outdoors"


def _has_aluminum_to_an_electrode(site: Site) -> bool:
    return circuits.any_of_aluminum(site, _ELECTRODE_CONDUCTORS)


def _aluminum_electrode_conductor(site: Site) -> str | None:
    """Whether the electrode conductor, the shared one, a bond or an exposed jumper is aluminum: what is known decides first."""
    unknown: Missing | None = None
    for is_aluminum in (_has_aluminum_to_an_electrode, _has_exposed_jumper):
        try:
            if is_aluminum(site):
                return None
        except Missing as missing:
            unknown = unknown or missing
    if unknown:
        raise unknown
    return (
        "The electrode conductor and the bonds of pipe and steel are copper, and no aluminum bonding jumper is bare or "
        "outdoors."
    )


def _outdoors(site: Site) -> str | None:
    outdoors = site.need(lambda job: job.transformer.location) == "outdoors"
    return None if outdoors else "The transformer is indoors."


def _high_leg_beside_a_neutral(site: Site) -> str | None:
    reason = high_leg(site)
    # A load that was found is judged, wherever its neutral comes from.
    found = site.job.observations.high_leg_free_of_neutral_loads is False
    if reason is None and not found and grounded_systems.is_without_neutral(site):
        return "No neutral is run, so nothing can be connected to it."
    return reason


# 250.102(E)(3) sends bonding jumpers to 250.64(B) too (quoted in Mike Holt forum thread 120358).
_MAY_BE_SMALL: tuple[circuits.Role, ...] = (
    "grounding_electrode_conductor",
    "water_pipe_bond",
    "structural_steel_bond",
)


def _smaller_than_6(site: Site) -> str | None:
    """Whether the electrode conductor or a bond is smaller than 6 AWG: one that is known decides before what is not."""
    unknown: Missing | None = None
    without = circuits.is_without_electrode_conductor(site)
    for role in _MAY_BE_SMALL:
        try:
            if role == "grounding_electrode_conductor":
                there = not without
            else:
                there = circuits.is_there(site, role)
            if there and size_index(need_at(site.job, circuits.CONDUCTORS[role].size)) < size_index(
                "6"
            ):
                return None
        except Missing as missing:
            unknown = unknown or missing
    if unknown:
        raise unknown
    return (
        NO_CONDUCTOR_WORDS
        if without
        else "The electrode conductor and the bonds are 6 AWG or larger."
    )


def _to_water_pipe(site: Site) -> str | None:
    used = site.need(lambda job: job.electrode.used)
    return None if used == "water_pipe" else "The electrode is not a water pipe."


def _has_aluminum_electrode_conductor(job: Job, _: Code) -> bool:
    """Whether an electrode conductor or a bare jumper is recorded as aluminum, so that any visit looks where it runs."""
    electrode = job.electrode
    jumpers = (
        job.bonding.supply_side_bonding_jumper,
        *(run.supply_side_bonding_jumper for run in job.secondary.further_runs or ()),
    )
    return "aluminum" in (electrode.conductor.material, electrode.common_conductor_material) or any(
        jumper.material == "aluminum" and jumper.insulation == "bare" for jumper in jumpers
    )


ELECTRODE: tuple[Seen, ...] = (
    Seen(
        "electrode_conductor_protection",
        "Electrode conductor fastened, unspliced, protected",
        "electrode_conductor_protection",
        "violation",
        "electrode",
        "fastened, one length, protected where exposed to damage",
        "It can be damaged, or is spliced.",
        "Protect it; run it in one length.",
        fact="electrode_conductor_protected",
    ),
    Seen(
        "small_electrode_conductor",
        "Small electrode conductor enclosed",
        "electrode_conductor_small",
        "violation",
        "electrode",
        "smaller than 6 AWG: in RMC, IMC, PVC, RTRC, EMT or cable armor all the way",
        "A conductor this small breaks where nothing protects it.",
        "Enclose it, or run 6 AWG or larger.",
        fact="small_electrode_conductor_enclosed",
        applies=_smaller_than_6,
        asks=(
            *circuits.asks_of(*_MAY_BE_SMALL, parts=("size",)),
            "electrode.common_conductor",
        ),
    ),
    Seen(
        "water_pipe_entry",
        "Connection near the entry of the water pipe",
        "water_pipe_connection",
        "violation",
        "electrode",
        "within 5 ft of where the pipe enters, measured along it, or all of it in sight and serviced by qualified persons only",
        "Farther in, a plastic repair in the pipe cuts off the electrode.",
        "Connect within the first 5 ft.",
        fact="water_pipe_near_entry",
        applies=_to_water_pipe,
        asks=("electrode.used",),
        grounding_visit=True,
    ),
    Seen(
        "bonding_connections",
        "Grounding connections listed, on clean metal",
        "grounding_connections",
        "violation",
        "electrode",
        "lugs, clamps or bars made for the purpose; no sheet-metal screws, no solder alone; paint removed where they touch",
        "A connection that comes loose, or sits on paint, leaves metal unbonded.",
        "Use a listed connector on bare metal.",
        fact="grounding_connections_sound",
    ),
    Seen(
        "aluminum_electrode_conductor",
        "Aluminum electrode conductor clear of earth",
        "electrode_conductor_aluminum",
        "violation",
        "electrode",
        "outdoors terminated 18 in. or more above the earth; not bare against earth or masonry",
        "Aluminum corrodes where it touches earth or masonry.",
        "Use copper there.",
        fact="aluminum_clear_of_earth",
        applies=_aluminum_electrode_conductor,
        asks=(
            *circuits.asks_of(
                *_ELECTRODE_CONDUCTORS, "supply_side_bonding_jumper", parts=("material",)
            ),
            "bonding.supply_side_bonding_jumper.insulation",
            "transformer.location",
        ),
        grounding_visit=_has_aluminum_electrode_conductor,
    ),
    Seen(
        "ferrous_raceway",
        "Steel raceway of the electrode conductor bonded",
        "electrode_conductor_ferrous_raceway",
        "violation",
        "electrode",
        "any steel raceway around it bonded at both ends",
        "A steel raceway not bonded at both ends chokes the conductor.",
        "Bond both ends.",
        fact="ferrous_raceway_bonded",
    ),
    Seen(
        "outdoor_electrode",
        "Electrode at an outdoor source",
        "outdoor_source",
        "danger",
        "electrode",
        "an electrode connection at the transformer outdoors",
        "No electrode at the outdoor transformer.",
        "Connect one there.",
        fact="electrode_at_outdoor_source",
        applies=_outdoors,
        asks=("transformer.location",),
        grounding_visit=True,
    ),
    Seen(
        "high_leg_loads",
        "No load from high leg to neutral",
        "high_leg_identification",
        "danger",
        "downstream",
        "nothing between the high leg and the neutral",
        "A load is connected between the high leg and the neutral: too much voltage.",
        "Move the load.",
        fact="high_leg_free_of_neutral_loads",
        applies=_high_leg_beside_a_neutral,
        asks=(
            "transformer.secondary_system",
            "secondary.grounded_conductor.present",
            "secondary.grounded_conductor.size",
        ),
    ),
)
