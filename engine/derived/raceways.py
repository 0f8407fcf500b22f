"""Conductors in the raceways of both sides: what is in them, how full they are, the smallest that would do."""

from typing import NamedTuple

from engine.code.lookups import UNCOVERED
from engine.derived import conductor_runs, currents, grounded_systems
from engine.derived.derived import Derived, NotInTables
from engine.derived.sides import PRIMARY, SECONDARY, Side
from engine.job.site import Site, once
from engine.physics.quantities import number, percent, size, square_inches, trade_size
from engine.physics.raceway_fill import fill_percent, number_that_fits, total_area


class Content(NamedTuple):
    """Conductors of one kind in one raceway: how many, size, covering, area of one [in²]."""

    number: int
    size: str
    covering: str
    area: float


class NoArea(NotInTables):
    """A conductor whose dimensions no table here gives."""


def _content(site: Site, side: Side, count: int, size_: str, insulation: str) -> Content:
    covering = insulation
    if insulation in UNCOVERED and not site.need(lambda job: side.conductors(job).outer_covering):
        covering = f"{insulation} without covering"
    area = (
        site.code.bare_area(size_)
        if covering == "bare"
        else site.code.conductor_area(size_, covering)
    )
    if area is None:
        raise NoArea(f"{size(size_)} {covering}")
    return Content(count, size_, covering, area)


@once
def primary_contents(site: Site) -> tuple[Content, ...]:
    """What one primary raceway holds. Unit: in². Section: Chapter 9, Table 1, notes 3 and 6. Raises Missing, NoArea."""
    if currents.is_over_1000_volts(site):
        raise NoArea("conductors above 1000 V")
    size_ = site.need(lambda job: job.primary.conductors.size)
    insulation = site.need(lambda job: job.primary.conductors.insulation)
    each = conductor_runs.sets_in_one_raceway(site, PRIMARY)
    phases = 3 if site.job.transformer.phases == 3 else 2
    # No neutral is run to a winding whose neutral point is left open.
    if site.need(lambda job: job.transformer.primary_system) in (
        "wye_4_wire",
        "single_phase_3_wire",
    ) and not site.need(lambda job: job.observations.supplied_neutral_open):
        phases += 1
    contents = [_content(site, PRIMARY, phases * each, size_, insulation)]
    kind = site.need(lambda job: job.primary.equipment_grounding.kind)
    if kind == "wire":
        ground = site.need(lambda job: job.primary.equipment_grounding.size)
        covering = site.need(lambda job: job.primary.equipment_grounding.insulation)
        contents.append(_content(site, PRIMARY, 1, ground, covering))
    return tuple(contents)


@once
def secondary_contents(site: Site) -> tuple[Content, ...]:
    """What one secondary raceway holds. Unit: in². Section: Chapter 9, Table 1, notes 3 and 6. Raises Missing, NoArea."""
    size_ = site.need(lambda job: job.secondary.conductors.size)
    insulation = site.need(lambda job: job.secondary.conductors.insulation)
    each = conductor_runs.sets_in_one_raceway(site, SECONDARY)
    contents = [
        _content(site, SECONDARY, grounded_systems.ungrounded_count(site) * each, size_, insulation)
    ]
    if grounded_systems.has_grounded_conductor(site):
        neutral = site.need(lambda job: job.secondary.grounded_conductor.size)
        covering = site.need(lambda job: job.secondary.grounded_conductor.insulation)
        contents.append(
            _content(
                site, SECONDARY, conductor_runs.grounded_in_one_raceway(site), neutral, covering
            )
        )
    kind = site.need(lambda job: job.bonding.supply_side_bonding_jumper.kind)
    if kind == "wire":
        jumper = site.need(lambda job: job.bonding.supply_side_bonding_jumper.size)
        covering = site.need(lambda job: job.bonding.supply_side_bonding_jumper.insulation)
        contents.append(_content(site, SECONDARY, 1, jumper, covering))
    return tuple(contents)


def contents(site: Site, side: Side) -> tuple[Content, ...]:
    """What one raceway of a side holds. Unit: in². Section: Chapter 9, Table 1. Raises Missing, NoArea."""
    return primary_contents(site) if side is PRIMARY else secondary_contents(site)


def grounding_wires(site: Site, side: Side) -> int:
    """Equipment grounding or bonding wires in one raceway, which never count as current-carrying.

    Unit: conductors. Section: 310.15(F) of 2023. Raises Missing.
    """
    if side is PRIMARY:
        return int(site.need(lambda job: job.primary.equipment_grounding.kind) == "wire")
    return int(site.need(lambda job: job.bonding.supply_side_bonding_jumper.kind) == "wire")


def _area_steps(held: tuple[Content, ...]) -> tuple[str, ...]:
    lines = [
        f"{c.number} × {size(c.size)} {c.covering}: {c.number} × {square_inches(c.area)} = {square_inches(c.number * c.area)}"
        for c in held
    ]
    total = total_area((c.number, c.area) for c in held)
    return (*lines, f"Total {square_inches(total)}")


def _fill(site: Site, side: Side) -> Derived:
    held = contents(site, side)
    type_ = site.need(lambda job: side.raceway(job).type)
    trade = site.need(lambda job: side.raceway(job).trade_size)
    area = site.code.raceway_area(type_, trade)
    if area is None:
        raise NoArea(trade_size(trade, type_))
    total = total_area((c.number, c.area) for c in held)
    value = fill_percent(conductors_area=total, raceway_area=area)
    steps = (
        *_area_steps(held),
        f"{trade_size(trade, type_)}: {square_inches(area)} ({site.section('raceway_dimensions')})",
        f"{square_inches(total)} / {square_inches(area)} = {percent(value)}",
    )
    return Derived(value, "%", "raceway_fill", steps)


@once
def primary_raceway_fill(site: Site) -> Derived:
    """Fill of the primary raceway as installed [%]. Section: Chapter 9, Tables 1, 4, 5 and 8. Raises Missing, NoArea."""
    return _fill(site, PRIMARY)


@once
def secondary_raceway_fill(site: Site) -> Derived:
    """Fill of the secondary raceway as installed [%]. Section: Chapter 9, Tables 1, 4, 5 and 8. Raises Missing, NoArea."""
    return _fill(site, SECONDARY)


def permitted_percent(site: Site, count: int) -> tuple[float, float]:
    """Permitted fill of a raceway and of a nipple [%] for a number of conductors. Section: Chapter 9, Table 1, note 4."""
    return site.code.fill_percent(count), max(
        site.code.nipple_fill_percent, site.code.fill_percent(count)
    )


def fits(site: Site, held: tuple[Content, ...], area: float, allowed: float) -> bool:
    """Whether conductors fit at a permitted share [%] of an area [in²], with note 7 where all are of one size.

    Section: Chapter 9, Table 1, notes 6 and 7.
    """
    total = total_area((c.number, c.area) for c in held)
    if fill_percent(conductors_area=total, raceway_area=area) <= allowed * (1 + 1e-9):
        return True
    if len({(c.size, c.covering) for c in held}) != 1:
        return False
    count = sum(c.number for c in held)
    return count <= number_that_fits(
        raceway_area=area,
        percent=allowed,
        conductor_area=held[0].area,
        round_up_decimal=site.code.fill_round_up_decimal,
    )


def _minimum(site: Site, side: Side) -> Derived | None:
    held = contents(site, side)
    type_ = site.need(lambda job: side.raceway(job).type)
    nipple = conductor_runs.is_nipple(site, side)
    count = sum(c.number for c in held)
    plain, short = permitted_percent(site, count)
    allowed = short if nipple else plain
    steps = [
        *_area_steps(held),
        f"{count} conductors: {number(allowed)} % permitted ({site.section('raceway_fill')})",
    ]
    for trade in site.code.raceway_trade_sizes(type_):
        area = site.code.raceway_area(type_, trade)
        if area is not None and fits(site, held, area, allowed):
            steps.append(
                f"Smallest: {trade_size(trade, type_)}, {square_inches(area)} × {number(allowed)} % = "
                f"{square_inches(area * allowed / 100)}"
            )
            return Derived(trade, "trade size", "raceway_fill", tuple(steps), size=trade)
    return None


@once
def primary_raceway_minimum(site: Site) -> Derived | None:
    """Smallest trade size [in.] of the installed type for the primary; None when none is. Section: Chapter 9, Table 1."""
    return _minimum(site, PRIMARY)


@once
def secondary_raceway_minimum(site: Site) -> Derived | None:
    """Smallest trade size [in.] of the installed type for the secondary; None when none is. Section: Chapter 9, Table 1."""
    return _minimum(site, SECONDARY)
