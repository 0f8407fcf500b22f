"""What the bonding drawing shows: every jumper with its size and its state, from the facts and the checks."""

from engine.job import Job
from engine.job.site import Site
from engine.job.words import CONDUCTOR_NAMES
from engine.judging.verdicts import Verdict
from engine.physics.quantities import RACEWAY_NAMES, size
from engine.result import Check, Drawing, Drawn


def _sized(name: str | None, material: str | None) -> str:
    return size(name, material) if name else "size not known"


def _raceway(type_: str | None) -> str:
    return RACEWAY_NAMES.get(type_, type_) if type_ else "type not known"


def _supply_side(job: Job) -> str:
    supply = job.bonding.supply_side_bonding_jumper
    return {
        "raceway": f"the raceway, {_raceway(job.secondary.raceway.type)}",
        "none": "none found",
    }.get(supply.kind or "wire", _sized(supply.size, supply.material))


def _grounded_conductor(job: Job) -> str:
    grounded = job.secondary.grounded_conductor
    if grounded.present is False:
        return "none found"
    return _sized(grounded.size, grounded.material)


def _of_all(sizes: list[str]) -> str:
    """What one part is in every run; the drawing has room for one of them, so runs that differ are named in the lists."""
    if len(sizes) == 1:
        return sizes[0]
    if len({*sizes}) == 1:
        return f"{sizes[0]}, in each of {len(sizes)} runs"
    return f"differs in the {len(sizes)} runs"


def _of_any(bonded: list[bool | None]) -> bool | None:
    """Whether it is so in any run; not known while it is not known of one and of the others it is not so."""
    if True in bonded:
        return True
    return None if None in bonded else False


def drawing(site: Site, checks: list[Check]) -> Drawing:
    """The parts of the drawing. Unit: AWG or kcmil. Section: 250.30(A)."""
    job: Job = site.job
    state: dict[str, Verdict] = {check.id: check.verdict for check in checks}
    bonding, electrode = job.bonding, job.electrode
    jumper = bonding.system_bonding_jumper
    supply_size, grounded_size = (
        _of_all([describe(run.job) for run in site.runs])
        for describe in (_supply_side, _grounded_conductor)
    )
    parts = [
        Drawn(
            id="system_bonding_jumper",
            label=CONDUCTOR_NAMES["system_bonding_jumper"],
            size=_sized(jumper.size, jumper.material),
            state=state["system_bonding_jumper"],
            where=jumper.location or "not known",
        ),
        Drawn(
            id="supply_side_bonding_jumper",
            label=CONDUCTOR_NAMES["supply_side_bonding_jumper"],
            size=supply_size,
            state=state["supply_side_bonding_jumper"],
            where="between",
        ),
        Drawn(
            id="grounded_conductor",
            label=CONDUCTOR_NAMES["grounded_conductor"],
            size=grounded_size,
            state=state["grounded_conductor"],
            where="between",
        ),
        Drawn(
            id="grounding_electrode_conductor",
            label=CONDUCTOR_NAMES["grounding_electrode_conductor"],
            size=_sized(electrode.conductor.size, electrode.conductor.material),
            state=state["grounding_electrode_conductor"],
            where=electrode.connected_at or "not known",
        ),
        Drawn(
            id="water_pipe_bond",
            label=CONDUCTOR_NAMES["water_pipe_bond"],
            size=_sized(bonding.water_pipe_bond.size, bonding.water_pipe_bond.material)
            if bonding.water_pipe_bond.present is not False
            else "none found",
            state=state["water_pipe_bond"],
            where="electrode",
        ),
        Drawn(
            id="structural_steel_bond",
            label=CONDUCTOR_NAMES["structural_steel_bond"],
            size=_sized(bonding.structural_steel_bond.size, bonding.structural_steel_bond.material)
            if bonding.structural_steel_bond.present is not False
            else "none found",
            state=state["structural_steel_bond"],
            where="electrode",
        ),
        Drawn(
            id="primary_equipment_grounding",
            label=CONDUCTOR_NAMES["primary_equipment_grounding"],
            size={
                "raceway": f"the raceway, {_raceway(job.primary.raceway.type)}",
                "none": "none found",
            }.get(
                job.primary.equipment_grounding.kind or "wire",
                _sized(
                    job.primary.equipment_grounding.size, job.primary.equipment_grounding.material
                ),
            ),
            state=state["primary_equipment_grounding"],
            where="primary",
        ),
        Drawn(
            id="neutral_isolation",
            label="Neutral and ground downstream",
            size="",
            state=state["neutral_isolation"],
            where="downstream",
        ),
        Drawn(
            id="single_bonding_point",
            label="One bonding point",
            size="",
            state=state["single_bonding_point"],
            where=jumper.location or "not known",
        ),
    ]
    system = job.transformer.secondary_system
    is_grounded = {
        None: None,
        "delta_3_wire_ungrounded": False,
        "wye_3_wire": None,
        "single_phase_2_wire": None,
    }.get(system, True)
    # As it is found: one that should be grounded and has no jumper is not.
    if jumper.location == "none":
        is_grounded = False
    elif is_grounded is None and jumper.location is not None:
        is_grounded = True
    return Drawing(
        system=(system or "not known").replace("_", " "),
        grounded=is_grounded,
        jumper=jumper.location or "not known",
        electrode=(electrode.used or "not known").replace("_", " "),
        electrode_at=electrode.connected_at or "not known",
        downstream_bond=_of_any([run.job.bonding.neutral_bonded_downstream for run in site.runs]),
        parts=parts,
    )
