"""Conductors in the raceways of both sides: what is in them, how full they are, the smallest that would do."""

from typing import NamedTuple

from engine.code import TRADE_SIZES
from engine.code.lookups import UNCOVERED
from engine.code.sizes import FLEXIBLE_RACEWAYS
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


class Piece(NamedTuple):
    """A raceway from end to end, or the flexible section of a rigid one: its type, and whether it is that section."""

    type: str
    flexible_section: bool = False

    def trade(self, site: Site, side: Side) -> str:
        """Its trade size [in.]. Section: none. Raises Missing."""
        if self.flexible_section:
            return site.need(lambda job: side.raceway(job).flexible_trade_size)
        return site.need(lambda job: side.raceway(job).trade_size)


def pieces(site: Site, side: Side) -> tuple[Piece, ...]:
    """What the conductors of a side run through: all of them must fit each, and each must be permitted there.

    Unit: none. Section: Chapter 9, Table 1. Raises Missing.
    """
    run = Piece(site.need(lambda job: side.raceway(job).type))
    section = flexible_section(site, side)
    return (run,) if section is None else (run, section)


def flexible_section(site: Site, side: Side) -> Piece | None:
    """The flexible section of a rigid raceway; None where it has none, or is flexible itself.

    Unit: none. Section: none. Raises Missing.
    """
    if site.need(lambda job: side.raceway(job).type) in FLEXIBLE_RACEWAYS:
        return None
    if site.need(lambda job: side.raceway(job).flexible_length_feet) == 0:
        return None
    return Piece(site.need(lambda job: side.raceway(job).flexible_type), flexible_section=True)


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


class ForeignConductors(NotInTables):
    """Conductors of other circuits in the raceway: their size is not on record, so that no fill can be given."""


def is_more_than_the_circuit(site: Site, side: Side, counted: int) -> bool:
    """Whether more current-carrying conductors were counted in a raceway than the circuit itself has there.

    A neutral that does not count is none of those counted. Unit: conductors. Section: Chapter 9, Table 1, note 3;
    310.15(E). Raises Missing, NoArea.
    """
    held = contents(site, side)
    most = sum(content.number for content in held) - grounding_wires(site, side)
    if counted > most:
        return True
    # A primary is not asked whether its neutral counts.
    if side is PRIMARY or counted <= held[0].number:
        return False
    if not grounded_systems.has_grounded_conductor(site) or (
        site.need(lambda job: job.transformer.secondary_system)
        in grounded_systems.CARRY_LINE_CURRENT
    ):
        return False
    return not site.need(lambda job: job.secondary.grounded_conductor.current_carrying)


def _refuse_foreign(site: Site, side: Side) -> None:
    """Raise ForeignConductors where a value would leave out what others take up in the raceway. Raises Missing."""
    counted = site.need(lambda job: side.conductors(job).current_carrying)
    if is_more_than_the_circuit(site, side, counted):
        raise ForeignConductors(f"{counted} current-carrying conductors")


def _area_steps(held: tuple[Content, ...]) -> tuple[str, ...]:
    lines = [
        f"{c.number} × {size(c.size)} {c.covering}: {c.number} × {square_inches(c.area)} = {square_inches(c.number * c.area)}"
        for c in held
    ]
    total = total_area((c.number, c.area) for c in held)
    return (*lines, f"Total {square_inches(total)}")


def fill_of(site: Site, side: Side, piece: Piece) -> Derived:
    """Fill of one piece as installed [%]. Section: Chapter 9, Tables 1, 4, 5 and 8. Raises Missing, NoArea."""
    held = contents(site, side)
    trade = piece.trade(site, side)
    area = site.code.raceway_area(piece.type, trade)
    if area is None:
        raise NoArea(trade_size(trade, piece.type))
    total = total_area((c.number, c.area) for c in held)
    value = fill_percent(conductors_area=total, raceway_area=area)
    steps = (
        *_area_steps(held),
        f"{trade_size(trade, piece.type)}: {square_inches(area)} ({site.section('raceway_dimensions')})",
        f"{square_inches(total)} / {square_inches(area)} = {percent(value)}",
    )
    return Derived(value, "%", "raceway_fill", steps)


def _fill(site: Site, side: Side) -> Derived:
    """That of the fullest piece: what fits the rigid part may be too much for its flexible section."""
    _refuse_foreign(site, side)
    fills = [fill_of(site, side, piece) for piece in pieces(site, side)]
    fullest = max(fills, key=lambda fill: fill.amount)
    return fullest._replace(
        steps=tuple(dict.fromkeys(step for fill in fills for step in fill.steps))
    )


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


def minimum_of(site: Site, side: Side, piece: Piece) -> Derived | None:
    """Smallest trade size [in.] of the type of one piece; None when none is. Section: Chapter 9, Table 1.

    Raises Missing, NoArea.
    """
    held = contents(site, side)
    nipple = conductor_runs.is_nipple(site, side)
    count = sum(c.number for c in held)
    plain, short = permitted_percent(site, count)
    allowed = short if nipple else plain
    steps = [
        *_area_steps(held),
        f"{count} conductors: {number(allowed)} % permitted ({site.section('raceway_fill')})",
    ]
    for trade in site.code.raceway_trade_sizes(piece.type):
        area = site.code.raceway_area(piece.type, trade)
        if area is not None and fits(site, held, area, allowed):
            steps.append(
                f"Smallest: {trade_size(trade, piece.type)}, {square_inches(area)} × {number(allowed)} % = "
                f"{square_inches(area * allowed / 100)}"
            )
            return Derived(trade, "trade size", "raceway_fill", tuple(steps), size=trade)
    return None


def _minimum(site: Site, side: Side) -> Derived | None:
    """One trade size for all of the run: the larger one where its flexible section needs more than the rigid part."""
    _refuse_foreign(site, side)
    minimums: list[Derived] = []
    for piece in pieces(site, side):
        minimum = minimum_of(site, side, piece)
        if minimum is None:
            return None
        minimums.append(minimum)
    largest = max(minimums, key=lambda minimum: TRADE_SIZES.index(minimum.name))
    return largest._replace(
        steps=tuple(dict.fromkeys(step for minimum in minimums for step in minimum.steps))
    )


@once
def primary_raceway_minimum(site: Site) -> Derived | None:
    """Smallest trade size [in.] of the installed types for the primary; None when none is. Section: Chapter 9, Table 1."""
    return _minimum(site, PRIMARY)


@once
def secondary_raceway_minimum(site: Site) -> Derived | None:
    """Smallest trade size [in.] of the installed types for the secondary; None when none is. Section: Chapter 9, Table 1."""
    return _minimum(site, SECONDARY)
