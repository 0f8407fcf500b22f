"""Conditions of use of the conductors of a side: insulation, terminals, heat around them, current-carrying conductors."""

from typing import NamedTuple

from engine.derived.conductor_runs import current_carrying, is_nipple, is_wet
from engine.derived.sides import PRIMARY, SECONDARY, Side
from engine.derived.terminals import primary_termination, secondary_termination
from engine.job.site import Site, once

# The column of an insulation where it may not be used at all: no ampacity is taken.
NOT_FOR_HERE = 0


def insulation_column(site: Site, side: Side) -> tuple[int, str]:
    """Temperature column of the insulation [°C] and its type letters. Section: Table 310.4(1). Raises Missing."""
    insulation = site.need(lambda job: side.conductors(job).insulation)
    return column_of(site, side, insulation), insulation


def column_of(site: Site, side: Side, insulation: str) -> int:
    """Temperature column [°C] of an insulation on one side; 0 where it may not be used. Section: Table 310.4(1).

    Raises Missing where wet and dry differ and nobody said whether it is wet.
    """
    dry, wet = (
        site.code.insulation_column(insulation, False),
        site.code.insulation_column(insulation, True),
    )
    if dry == wet:
        return dry or NOT_FOR_HERE
    return (wet if is_wet(site, side) else dry) or NOT_FOR_HERE


class Conditions(NamedTuple):
    """The conditions of use of one side's conductors, all that the ampacity depends on but the size."""

    material: str
    column: int
    insulation: str
    termination: int
    ambient: float
    ambient_factor: float
    current_carrying: int
    adjustment_factor: float
    nipple: bool
    rooftop: float = 0.0


class Heat(NamedTuple):
    """Highest temperature around conductors [°C], the factor for it, and what of it the sun on a roof adds [°C]."""

    ambient: float
    factor: float
    rooftop: float


def heat_of(site: Site, side: Side, insulation: str, column: int) -> Heat:
    """The heat around the conductors of a side that have this insulation and its column [°C].

    Section: 310.15(B), 310.15(B)(2) (310.15(B)(3)(c) to 2017). Raises Missing.
    """
    ambient = site.need(lambda job: side.conductors(job).ambient_celsius)
    rooftop = _rooftop_adder(site, side, insulation)
    ambient += rooftop
    factor = site.code.ambient_factor(ambient, column) if column != NOT_FOR_HERE else None
    return Heat(ambient, factor or 0.0, rooftop)


def _rooftop_adder(site: Site, side: Side, insulation: str) -> float:
    """What direct sun on a roof adds to the ambient temperature of a run [°C]; a run that is dry lies in no sun.

    A height above a roof that somebody wrote down tells of a roof, whatever was said of the run.

    Section: 310.15(B)(2), 310.15(B)(3)(c) to 2017, where XHHW-2 is excepted. Raises Missing.
    """
    raceway = side.raceway(site.job)
    tells_of_a_roof = raceway.on_sunny_rooftop or raceway.height_above_roof_inches is not None
    if not tells_of_a_roof and not is_wet(site, side):
        return 0.0
    if not site.need(lambda job: side.raceway(job).on_sunny_rooftop):
        return 0.0
    # Excepted since 2014, 310.15(B)(3)(c) then (Mike Holt forum: NECA analysis of the 2014 exception; thread 111616).
    if insulation == "XHHW-2":
        return 0.0
    return site.code.rooftop_adder(
        site.need(lambda job: side.raceway(job).height_above_roof_inches)
    )


def _conditions(site: Site, side: Side) -> Conditions:
    """Raises Missing: material, insulation, termination, ambient, count or nipple not known."""
    material = site.need(lambda job: side.conductors(job).material)
    column, insulation = insulation_column(site, side)
    termination = primary_termination(site) if side is PRIMARY else secondary_termination(site)
    heat = heat_of(site, side, insulation, column)
    count = current_carrying(site, side)
    adjustment = site.code.adjustment_factor(count)
    nipple = adjustment < 1 and is_nipple(site, side)
    return Conditions(
        material,
        column,
        insulation,
        int(termination.amount),
        heat.ambient,
        heat.factor,
        count,
        1.0 if nipple else adjustment,
        nipple,
        heat.rooftop,
    )


@once
def primary_conditions(site: Site) -> Conditions:
    """Conditions of use of the primary conductors [°C]. Section: 310.15, 110.14(C). Raises Missing."""
    return _conditions(site, PRIMARY)


@once
def secondary_conditions(site: Site) -> Conditions:
    """Conditions of use of the secondary conductors [°C]. Section: 310.15, 110.14(C). Raises Missing."""
    return _conditions(site, SECONDARY)


def conditions(site: Site, side: Side) -> Conditions:
    """The conditions of use of a side's conductors [°C]. Section: 310.15, 110.14(C). Raises Missing."""
    return primary_conditions(site) if side is PRIMARY else secondary_conditions(site)
