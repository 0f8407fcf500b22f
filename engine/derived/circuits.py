"""Every conductor of an installation by the part that it plays: one list, so that none escapes what the others are held to.

A conductor is named by its role, not by its color: the return of a two-wire circuit and the grounded phase of a delta
are grounded conductors that carry the whole line current, a neutral is one that carries the unbalance alone.
"""

from collections.abc import Callable, Iterable
from typing import Literal, NamedTuple

from engine.code import SideName
from engine.derived.grounded_systems import has_grounded_conductor, is_grounded
from engine.job.missing import Missing, need_at
from engine.job.site import Site
from engine.job.words import CONDUCTOR_NAMES

Role = Literal[
    "primary_phase",
    "primary_neutral",
    "primary_equipment_grounding",
    "secondary_phase",
    "neutral",
    "return",
    "grounded_phase",
    "supply_side_bonding_jumper",
    "system_bonding_jumper",
    "grounding_electrode_conductor",
    "common_grounding_electrode_conductor",
    "water_pipe_bond",
    "structural_steel_bond",
]


class Conductor(NamedTuple):
    """Where to read the facts of one conductor: dotted paths, empty where nothing is asked of it.

    `side`: the run in whose raceway it lies; empty where it has a way of its own. `ends`: the terminals it lands on.
    """

    title: str
    size: str = ""
    material: str = ""
    insulation: str = ""
    sets: str = ""
    side: SideName | Literal[""] = ""
    ends: tuple[str, ...] = ()


_GROUNDED = "secondary.grounded_conductor"
_PRIMARY_ENDS = ("primary.device.termination_celsius", "primary.conductors.termination_celsius")
_SECONDARY_ENDS = (
    "secondary.protection.termination_celsius",
    "secondary.conductors.termination_celsius",
)


def _phases(side: SideName, title: str, ends: tuple[str, ...]) -> Conductor:
    run = f"{side}.conductors"
    return Conductor(
        title, f"{run}.size", f"{run}.material", f"{run}.insulation", f"{run}.sets", side, ends
    )


def _grounded(title: str) -> Conductor:
    return Conductor(
        title,
        f"{_GROUNDED}.size",
        f"{_GROUNDED}.material",
        f"{_GROUNDED}.insulation",
        f"{_GROUNDED}.sets",
        "secondary",
        _SECONDARY_ENDS,
    )


def _wire(
    path: str, title: str, side: SideName | Literal[""] = "", insulation: bool = False
) -> Conductor:
    covering = f"{path}.insulation" if insulation else ""
    return Conductor(title, f"{path}.size", f"{path}.material", covering, side=side)


CONDUCTORS: dict[Role, Conductor] = {
    "primary_phase": _phases("primary", "Primary conductors", _PRIMARY_ENDS),
    # It is counted in the raceway with the size of the phases; no question asks for one of its own.
    "primary_neutral": _phases("primary", "Primary neutral", _PRIMARY_ENDS),
    "primary_equipment_grounding": _wire(
        "primary.equipment_grounding",
        CONDUCTOR_NAMES["primary_equipment_grounding"],
        "primary",
        True,
    ),
    "secondary_phase": _phases("secondary", "Secondary conductors", _SECONDARY_ENDS),
    "neutral": _grounded("Neutral"),
    "return": _grounded("Grounded conductor of the two-wire circuit"),
    "grounded_phase": _grounded("Grounded phase"),
    "supply_side_bonding_jumper": _wire(
        "bonding.supply_side_bonding_jumper",
        CONDUCTOR_NAMES["supply_side_bonding_jumper"],
        "secondary",
        True,
    ),
    "system_bonding_jumper": _wire(
        "bonding.system_bonding_jumper", CONDUCTOR_NAMES["system_bonding_jumper"]
    ),
    "grounding_electrode_conductor": _wire(
        "electrode.conductor", CONDUCTOR_NAMES["grounding_electrode_conductor"]
    ),
    "common_grounding_electrode_conductor": Conductor(
        "Common grounding electrode conductor",
        "electrode.common_conductor_size",
        "electrode.common_conductor_material",
    ),
    "water_pipe_bond": _wire("bonding.water_pipe_bond", CONDUCTOR_NAMES["water_pipe_bond"]),
    "structural_steel_bond": _wire(
        "bonding.structural_steel_bond", CONDUCTOR_NAMES["structural_steel_bond"]
    ),
}

PRIMARY_NEUTRAL_SYSTEMS = ("wye_4_wire", "single_phase_3_wire")
# By the systems of `grounded_systems.CARRY_LINE_CURRENT`.
LINE_CURRENT_ROLES: dict[str, Role] = {
    "delta_corner_grounded": "grounded_phase",
    "single_phase_2_wire": "return",
}


def grounded_role(site: Site) -> Role | None:
    """The part that the grounded conductor of the secondary plays; None where the system is not grounded.

    Unit: none. Section: 200.2, 250.26. Raises Missing.
    """
    if not is_grounded(site):
        return None
    system = site.need(lambda job: job.transformer.secondary_system)
    return LINE_CURRENT_ROLES.get(system, "neutral")


def _grounded_as(role: Role) -> Callable[[Site], bool]:
    return lambda site: grounded_role(site) == role and has_grounded_conductor(site)


def is_without_electrode_conductor(site: Site) -> bool:
    """Whether no electrode is in use, and no conductor to one is described. Unit: none. Section: none."""
    electrode = site.job.electrode
    return (
        electrode.used == "none"
        and electrode.conductor.size is None
        and not electrode.common_conductor
    )


# Whether a conductor is there as a wire. What is not listed always is.
_THERE: dict[Role, Callable[[Site], bool]] = {
    "primary_neutral": lambda site: (
        site.need(lambda job: job.transformer.primary_system) in PRIMARY_NEUTRAL_SYSTEMS
    ),
    "primary_equipment_grounding": lambda site: (
        site.need(lambda job: job.primary.equipment_grounding.kind) == "wire"
    ),
    "neutral": _grounded_as("neutral"),
    "return": _grounded_as("return"),
    "grounded_phase": _grounded_as("grounded_phase"),
    "supply_side_bonding_jumper": lambda site: (
        site.need(lambda job: job.bonding.supply_side_bonding_jumper.kind) == "wire"
    ),
    # A strap or screw that came with the equipment is covered by its listing.
    "system_bonding_jumper": lambda site: (
        not site.job.bonding.system_bonding_jumper.factory_furnished
        and site.need(lambda job: job.bonding.system_bonding_jumper.location) != "none"
    ),
    "grounding_electrode_conductor": lambda site: (
        site.need(lambda job: job.electrode.used) != "none"
    ),
    "common_grounding_electrode_conductor": lambda site: (
        not is_without_electrode_conductor(site)
        and site.need(lambda job: job.electrode.common_conductor)
    ),
    "water_pipe_bond": lambda site: site.need(lambda job: job.bonding.water_pipe_bond.present),
    "structural_steel_bond": lambda site: site.need(
        lambda job: job.bonding.structural_steel_bond.present
    ),
}
_GROUNDED_PRESENCE = (
    "transformer.secondary_system",
    "bonding.system_bonding_jumper.location",
    f"{_GROUNDED}.present",
    f"{_GROUNDED}.size",
)
# What tells whether a conductor is there.
PRESENCE: dict[Role, tuple[str, ...]] = {
    "primary_neutral": ("transformer.primary_system",),
    "primary_equipment_grounding": ("primary.equipment_grounding.kind",),
    "neutral": _GROUNDED_PRESENCE,
    "return": _GROUNDED_PRESENCE,
    "grounded_phase": _GROUNDED_PRESENCE,
    "supply_side_bonding_jumper": ("bonding.supply_side_bonding_jumper.kind",),
    "system_bonding_jumper": (
        "bonding.system_bonding_jumper.factory_furnished",
        "bonding.system_bonding_jumper.location",
    ),
    "grounding_electrode_conductor": ("electrode.used",),
    "common_grounding_electrode_conductor": ("electrode.used", "electrode.common_conductor"),
    "water_pipe_bond": ("bonding.water_pipe_bond.present",),
    "structural_steel_bond": ("bonding.structural_steel_bond.present",),
}


def is_there(site: Site, role: Role) -> bool:
    """Whether a conductor of this role is there as a wire. Unit: none. Section: none. Raises Missing."""
    there = _THERE.get(role)
    return there is None or there(site)


def any_of_aluminum(site: Site, roles: Iterable[Role]) -> bool:
    """Whether a conductor of any of these roles is there and aluminum: one that is known decides before what is not known.

    Unit: none. Section: none. Raises Missing.
    """
    unknown: Missing | None = None
    for role in roles:
        try:
            if is_there(site, role) and need_at(site.job, CONDUCTORS[role].material) == "aluminum":
                return True
        except Missing as missing:
            unknown = unknown or missing
    if unknown:
        raise unknown
    return False


def with_fact_of(part: Literal["material", "insulation"]) -> tuple[Role, ...]:
    """The roles of which a metal or a covering is asked. Unit: none. Section: none."""
    return tuple(role for role, each in CONDUCTORS.items() if getattr(each, part))


def asks_of(*roles: Role, parts: tuple[str, ...]) -> tuple[str, ...]:
    """The paths that tell whether conductors are there, and those of their parts, for a rule's `asks`.

    Unit: none. Section: none.
    """
    paths: list[str] = []
    for role in roles:
        paths += PRESENCE.get(role, ())
        paths += [path for part in parts if (path := getattr(CONDUCTORS[role], part))]
    return tuple(dict.fromkeys(paths))
