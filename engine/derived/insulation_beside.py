"""Insulation in a raceway that is rated for less heat than that of the phase conductors beside it."""

from collections.abc import Mapping
from typing import NamedTuple

from engine.derived.conditions_of_use import NOT_FOR_HERE, Conditions, column_of, heat_of
from engine.derived.sides import PRIMARY, Side
from engine.job.site import Site


class Beside(NamedTuple):
    """The insulation for the lowest temperature in a raceway: of which conductor, its letters, and its column [°C]."""

    name: str
    insulation: str
    column: int


def on_record(site: Site, side: Side) -> dict[str, str]:
    """Insulation of what is recorded beside the phase conductors of a side, by its name; what is not known is left out.

    Unit: none. Section: 310.14(A)(3).
    """
    job = site.job
    if side is PRIMARY:
        known = {
            "equipment grounding conductor": job.primary.equipment_grounding.insulation
            if job.primary.equipment_grounding.kind == "wire"
            else None
        }
    else:
        jumper = job.bonding.supply_side_bonding_jumper
        known = {
            "grounded conductor": job.secondary.grounded_conductor.insulation,
            "supply-side bonding jumper": jumper.insulation if jumper.kind == "wire" else None,
        }
    return {name: insulation for name, insulation in known.items() if insulation is not None}


def lowest(site: Site, side: Side, beside: Mapping[str, str], use: Conditions) -> Beside | None:
    """The lowest of the insulations beside phase conductors [°C]; None where none is lower than theirs.

    Section: 310.14(A)(3), to 2017 310.15(A)(3). Raises Missing.
    """
    lower = [
        Beside(name, insulation, column)
        for name, insulation in beside.items()
        if insulation != "bare"
        # What may not be used in a wet place at all is another matter than its temperature.
        and NOT_FOR_HERE < (column := column_of(site, side, insulation)) < use.column
    ]
    return min(lower, key=lambda each: each.column) if lower else None


def at_its_temperature(site: Site, side: Side, beside: Beside, use: Conditions) -> Conditions:
    """The conditions of use at which the phase conductors get no hotter than what lies beside them may [°C].

    Section: 310.14(A)(3). Raises Missing.
    """
    heat = heat_of(site, side, beside.insulation, beside.column)
    return use._replace(
        column=beside.column,
        ambient=heat.ambient,
        ambient_factor=heat.factor,
        rooftop=heat.rooftop,
    )
