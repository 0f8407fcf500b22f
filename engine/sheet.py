"""The limits on one page: what a journeyman holds against the gear, both metals and both terminals side by side."""

from collections.abc import Mapping

from engine.code import MATERIALS
from engine.job import Job
from engine.quantities import size
from engine.result import SheetRow, SheetTable, Value
from engine.site import with_fact

PLAIN = (
    "full_load_current_primary",
    "full_load_current_secondary",
    "primary_device_maximum",
    "primary_device_maximum_with_secondary_protection",
    "secondary_device_maximum",
    "primary_raceway_minimum",
    "secondary_raceway_minimum",
)
BY_METAL_AND_TERMINALS = ("primary_conductor_minimum", "secondary_conductor_minimum")
# What each is called on the sheet, and the field that says of which metal it is.
BY_METAL = {
    "system_bonding_jumper_minimum": (
        "System bonding jumper",
        "bonding.system_bonding_jumper.material",
    ),
    "supply_side_bonding_jumper_minimum": (
        "Supply-side bonding jumper, in each raceway",
        "bonding.supply_side_bonding_jumper.material",
    ),
    "grounded_conductor_minimum": (
        "Grounded conductor, for the fault current",
        "secondary.grounded_conductor.material",
    ),
    "grounding_electrode_conductor_minimum": (
        "Grounding electrode conductor",
        "electrode.conductor.material",
    ),
    "water_pipe_bond_minimum": (
        "Bond of the metal water pipe",
        "bonding.water_pipe_bond.material",
    ),
    "structural_steel_bond_minimum": (
        "Bond of the structural steel",
        "bonding.structural_steel_bond.material",
    ),
    "primary_equipment_grounding_minimum": (
        "Primary equipment grounding conductor",
        "primary.equipment_grounding.material",
    ),
}


# Once one of these is known to be in use, the limits of the others say nothing here.
NO_LIMIT_OF_THEIR_OWN = ("building_steel", "water_pipe")


def of_metal(job: Job, metal: str) -> Job:
    """The same job with every bonding and grounding conductor of one metal. Unit: none. Section: none."""
    for _, path in BY_METAL.values():
        job = with_fact(job, path, metal)
    return job


def _terminals(value: Value) -> SheetTable:
    """The smallest conductor by metal and terminals; the engine names each alternative `metal, terminals`."""
    sizes = {tuple(each.label.split(", ", 1)): each.shown for each in value.alternatives}
    metals = list(dict.fromkeys(metal for metal, _ in sizes))
    columns = list(dict.fromkeys(terminals for _, terminals in sizes))
    return SheetTable(
        id=value.group,
        title=value.title,
        columns=columns,
        rows=[
            SheetRow(
                label=metal.capitalize(),
                cells=[sizes[metal, terminals] for terminals in columns],
                section=value.section,
                assumed=value.assumed,
            )
            for metal in metals
        ],
    )


def _smallest(value: Value | None) -> str:
    """A minimum as a size: of an area the smallest size that has it, where there is one."""
    if value is None:
        return ""
    if value.unit == "kcmil":
        return size(value.size) if value.size else f"{value.shown} in area"
    return value.shown


def _metal_rows(id_: str, by_metal: Mapping[str, Mapping[str, Value]], job: Job) -> list[SheetRow]:
    found = {metal: by_metal[metal].get(id_) for metal in MATERIALS}
    first = next((value for value in found.values() if value), None)
    if first is None:
        return []
    title, _ = BY_METAL[id_]
    rows = [
        SheetRow(
            label=title,
            cells=[_smallest(found[metal]) for metal in MATERIALS],
            section=first.section,
            assumed=first.assumed,
        )
    ]
    if job.electrode.used in NO_LIMIT_OF_THEIR_OWN:
        return rows
    # Electrodes with a limit of their own have names of the form `metal, to such an electrode alone`.
    sizes = {tuple(each.label.split(", ", 1)): each.shown for each in first.alternatives}
    for condition in dict.fromkeys(key[1] for key in sizes if len(key) > 1):
        rows.append(
            SheetRow(
                label=f"Same, {condition}",
                # Where an electrode sets no lower limit for a metal, the table's size holds.
                cells=[sizes.get((metal, condition), sizes[(metal,)]) for metal in MATERIALS],
                section=first.section,
                assumed=first.assumed,
            )
        )
    return rows


def sheet(
    job: Job, values: Mapping[str, Value], by_metal: Mapping[str, Mapping[str, Value]]
) -> list[SheetTable]:
    """The tables of the page, those that the visit is for; `by_metal` has the values of `of_metal` for each metal.

    Unit: each its own. Section: in each line.
    """
    metals = SheetTable(
        id="jumpers",
        title="Smallest jumpers, bonds and electrode conductor",
        columns=[metal.capitalize() for metal in MATERIALS],
        rows=[
            row
            for id_ in BY_METAL
            if job.purpose != "grounding" or not id_.startswith("primary")
            for row in _metal_rows(id_, by_metal, job)
        ],
    )
    plain = SheetTable(
        id="currents",
        title="Currents, devices and raceways",
        columns=["Limit"],
        rows=[
            SheetRow(
                label=value.title,
                cells=[value.shown],
                section=value.section,
                assumed=value.assumed,
            )
            for id_ in PLAIN
            if (value := values.get(id_)) is not None
        ],
    )
    conductors = [_terminals(values[id_]) for id_ in BY_METAL_AND_TERMINALS if id_ in values]
    tables = [metals] if job.purpose == "grounding" else [plain, *conductors, metals]
    return [table for table in tables if table.rows]
