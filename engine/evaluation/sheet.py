"""The limits on one page: what a journeyman holds against the gear, both metals and both terminals side by side."""

from collections.abc import Mapping

from engine.code import MATERIALS
from engine.derived.derived import Alternative, Derived
from engine.derived.minimums_in_metal import IN_METAL
from engine.evaluation.suppose import SupposingSite, read_or_supposed
from engine.evaluation.values import VALUES, ValueOf
from engine.job.missing import Missing
from engine.job.runs import run_name, value_of_run
from engine.job.site import Site
from engine.physics.quantities import shown, size
from engine.result import SheetRow, SheetTable, Value

_BY_ID = {item.id: item for item in VALUES}
# Once one of these is known to be in use, the limits of the others say nothing here.
NO_LIMIT_OF_THEIR_OWN = ("building_steel", "water_pipe")


def _currents(values: Mapping[str, Value], runs: int) -> SheetTable:
    return SheetTable(
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
            for item in VALUES
            if item.in_sheet == "currents"
            for at in range(runs)
            if (value := values.get(value_of_run(item.id, at))) is not None
        ],
    )


def _by_terminals(value: Value, alternatives: tuple[Alternative, ...], at: int) -> SheetTable:
    """The smallest conductor by metal and terminals."""
    sizes = {(each.metal, each.condition): each.shown for each in alternatives}
    columns = list(dict.fromkeys(each.condition for each in alternatives))
    return SheetTable(
        id=value_of_run(value.group, at),
        title=value.title,
        columns=columns,
        rows=[
            SheetRow(
                label=metal.capitalize(),
                cells=[sizes[metal, terminals] for terminals in columns],
                section=value.section,
                assumed=value.assumed,
            )
            for metal in MATERIALS
        ],
    )


def _smallest(minimum: Derived | None) -> str:
    """A minimum as a size: of an area the smallest size that has it, where there is one."""
    if minimum is None:
        return ""
    text = shown(minimum.value, minimum.unit)
    if minimum.unit == "kcmil":
        return size(minimum.size) if minimum.size else f"{text} in area"
    return text


def _in_metals(site: Site, supposing: SupposingSite, id_: str, title: str) -> list[SheetRow]:
    """A line with the minimum in each metal; below it what an electrode with a limit of its own makes of that."""
    work_out = IN_METAL[id_]
    found = [
        read_or_supposed(site, supposing, lambda at, metal=metal: work_out(at, metal))
        for metal in MATERIALS
    ]
    first = next(((minimum, taken) for minimum, taken in found if minimum), None)
    if first is None:
        return []
    minimum, taken = first
    section = site.section(minimum.cite)
    lines = [(title, [_smallest(each) for each, _ in found])]
    if site.job.electrode.used not in NO_LIMIT_OF_THEIR_OWN:
        sizes = {(each.metal, each.condition): each.shown for each in minimum.alternatives}
        for condition in dict.fromkeys(each.condition for each in minimum.alternatives):
            if condition:
                # Where an electrode sets no lower limit for a metal, the table's size holds.
                cells = [sizes.get((metal, condition), sizes[metal, ""]) for metal in MATERIALS]
                lines.append((f"Same, {condition}", cells))
    return [
        SheetRow(label=label, cells=cells, section=section, assumed=bool(taken))
        for label, cells in lines
    ]


def _phases(site: Site) -> str:
    """The secondary phases that the sizes follow from: larger ones want larger jumpers."""
    if site.has_further_runs:
        return f", for the secondary phases of {len(site.runs)} runs"
    try:
        size_ = site.need(lambda job: job.secondary.conductors.size)
        material = site.need(lambda job: job.secondary.conductors.material)
        sets = site.need(lambda job: job.secondary.conductors.sets)
    except Missing:
        return ""
    return f", for secondary phases of {f'{sets} × ' if sets > 1 else ''}{size(size_, material)}"


def sheet(site: Site, supposing: SupposingSite, values: Mapping[str, Value]) -> list[SheetTable]:
    """The tables of the page, those that the visit is for, from what was read or else supposed.

    Unit: each its own. Section: in each line.
    """
    grounding_only = site.job.purpose == "grounding"
    metals = SheetTable(
        id="jumpers",
        title=f"Smallest jumpers, bonds and electrode conductor{_phases(site)}",
        columns=[metal.capitalize() for metal in MATERIALS],
        rows=[
            row
            for item in (_BY_ID[id_] for id_ in IN_METAL)
            if not (grounding_only and item.group.startswith("primary"))
            for run, supposed, words in _runs(site, supposing, item)
            for row in _in_metals(run, supposed, item.id, f"{words}{item.title_in_metals}")
        ],
    )
    if grounding_only:
        tables = [metals]
    else:
        by_terminals = [
            _by_terminals(values[value_of_run(item.id, at)], minimum.alternatives, at)
            for item in VALUES
            if item.in_sheet == "terminals"
            for at, (run, supposed, _) in enumerate(_runs(site, supposing, item))
            if (minimum := read_or_supposed(run, supposed, item.work_out)[0]) is not None
        ]
        tables = [_currents(values, len(site.runs)), *by_terminals, metals]
    return [table for table in tables if table.rows]


def _runs(
    site: Site, supposing: SupposingSite, item: ValueOf
) -> list[tuple[Site, SupposingSite, str]]:
    """The sites that a limit is worked out at, with the run in front of its title where there are several."""
    if not (item.worked_out_for == "each_run" and site.has_further_runs):
        return [(site, supposing, "")]
    return [
        (run, supposed, f"{run_name(at)}: ")
        for at, (run, supposed) in enumerate(zip(site.runs, supposing.runs, strict=True))
    ]
