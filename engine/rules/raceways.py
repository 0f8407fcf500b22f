"""Fill of the raceways of both sides."""

from engine.derived import raceways
from engine.derived.conductors import PRIMARY, SECONDARY, Side, is_nipple
from engine.derived.currents import is_over_1000_volts
from engine.missing import Missing
from engine.quantities import number, percent, trade_size
from engine.rules.conditions import OVER_1000
from engine.rules.rule import rule
from engine.site import Site
from engine.verdicts import Finding, confirm, undetermined


def _fill(site: Site, side: Side) -> Finding:
    if side is PRIMARY and is_over_1000_volts(site):
        return undetermined(OVER_1000)
    try:
        held = raceways.contents(site, side)
        filled = (
            raceways.primary_raceway_fill(site)
            if side is PRIMARY
            else raceways.secondary_raceway_fill(site)
        )
    except raceways.NoArea as unlisted:
        return undetermined(
            f"No table here gives the dimensions of {unlisted}. Take them from the manufacturer.",
            cite="raceway_fill",
        )
    type_ = site.need(lambda job: side.raceway(job).type)
    trade = site.need(lambda job: side.raceway(job).trade_size)
    area = site.code.raceway_area(type_, trade)
    assert area is not None
    count = sum(content.number for content in held)
    plain, short = raceways.permitted_percent(site, side, count)
    allowed, holds, words = plain, raceways.fits(site, held, area, plain), ""
    if holds and filled.amount > plain * (1 + 1e-9):
        words = f" All of one size: the count rounds up ({site.section('raceway_fill_round_up')})."
    if not holds and raceways.fits(site, held, area, short) and is_nipple(site, side):
        allowed, holds = short, True
        words = f" A nipple ({site.section('raceway_fill_nipple')})."
    return confirm(
        site,
        holds,
        required=f"at most {number(allowed)} % for {count} conductors",
        found=f"{percent(filled.amount)} of {trade_size(trade, type_)}",
        reason=f"The conductors fit.{words}",
        otherwise="Overfilled.",
        remedy=lambda: _remedy(site, side),
        steps=filled.steps,
    )._replace(margin=allowed / filled.amount if filled.amount else float("inf"))


def _remedy(site: Site, side: Side) -> str:
    try:
        minimum = (
            raceways.primary_raceway_minimum(site)
            if side is PRIMARY
            else raceways.secondary_raceway_minimum(site)
        )
    except (Missing, raceways.NoArea):
        return "A larger raceway."
    if minimum is None:
        return "More than one raceway, or another type."
    return f"{trade_size(minimum.name, site.need(lambda job: side.raceway(job).type))} or larger."


@rule(
    "primary_raceway",
    title="Fill of the primary raceway",
    cite="raceway_fill",
    severity="violation",
    group="primary_run",
    asks=(
        "primary.raceway.type",
        "primary.raceway.trade_size",
        "primary.raceway.nipple",
        "primary.conductors.size",
        "primary.conductors.insulation",
        "primary.conductors.sets",
        "primary.conductors.raceways",
        "primary.equipment_grounding.kind",
        "primary.equipment_grounding.size",
        "primary.equipment_grounding.insulation",
        "transformer.primary_system",
    ),
)
def primary_raceway(site: Site) -> Finding:
    """Whether all conductors of one primary raceway fit [%]. Section: Chapter 9, Tables 1, 4, 5, 8. Raises Missing."""
    return _fill(site, PRIMARY)


@rule(
    "secondary_raceway",
    title="Fill of the secondary raceway",
    cite="raceway_fill",
    severity="violation",
    group="secondary_run",
    asks=(
        "secondary.raceway.type",
        "secondary.raceway.trade_size",
        "secondary.raceway.nipple",
        "secondary.conductors.size",
        "secondary.conductors.insulation",
        "secondary.conductors.sets",
        "secondary.conductors.raceways",
        "transformer.secondary_system",
        "secondary.grounded_conductor.present",
        "secondary.grounded_conductor.size",
        "secondary.grounded_conductor.insulation",
        "secondary.grounded_conductor.sets",
        "bonding.supply_side_bonding_jumper.kind",
        "bonding.supply_side_bonding_jumper.size",
        "bonding.supply_side_bonding_jumper.insulation",
        "bonding.system_bonding_jumper.location",
    ),
)
def secondary_raceway(site: Site) -> Finding:
    """Whether all conductors of one secondary raceway fit [%]. Section: Chapter 9, Tables 1, 4, 5, 8. Raises Missing."""
    return _fill(site, SECONDARY)
