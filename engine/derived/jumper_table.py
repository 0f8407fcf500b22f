"""A minimum by Table 250.102(C)(1): its share beyond the end, its notes, and the same in each metal."""

from collections.abc import Callable
from typing import TypeVar

from engine.code import MATERIALS
from engine.derived.derived import Alternative, Derived
from engine.derived.ungrounded_area import (
    area_of,
    area_wanted,
    carrying_as_much,
    derived_ungrounded_area,
    derived_ungrounded_metal,
    smallest_of_area,
)
from engine.job.runs import named_by_run
from engine.job.site import Site
from engine.physics.quantities import area_kcmil, number, shown, size

Minimum = TypeVar("Minimum", Derived, Derived | None)


def by_jumper_table(site: Site, area: Derived, material: str, *, cite: str) -> Derived:
    """The minimum by the table, and 12.5 % of the area [kcmil] above its end. Section: Table 250.102(C)(1). Raises Missing."""
    phase = derived_ungrounded_metal(site)
    table = site.section("bonding_jumper_table")
    in_table = site.code.bonding_jumper(area.amount, phase, material)
    if in_table is not None:
        step = f"{table}, {phase} ungrounded conductors of {area_kcmil(area.amount)}: {size(in_table, material)}"
        return Derived(in_table, "AWG or kcmil", cite, (*area.steps, step), size=in_table)
    share = site.code.bonding_jumper_percent
    base, words = _base_area(site, phase, material, area.amount)
    value = base * share / 100
    steps = [*area.steps, *words]
    steps.append(f"Beyond {table}: {number(share)} % of {area_kcmil(base)} = {area_kcmil(value)}")
    chosen = smallest_of_area(site, value)
    if chosen:
        steps.append(f"Smallest size: {size(chosen, material)}")
    return Derived(value, "kcmil", cite, tuple(steps), size=chosen)


def in_each_metal(
    site: Site, given: str | None, work_out: Callable[[Site, str], Minimum]
) -> Minimum:
    """The minimum in the metal given, else in copper; beside it what it is in each metal after every limit of that metal.

    Unit: that of the minimum. Section: that of the minimum. Raises Missing.
    """
    found = given or "copper"
    minimum = work_out(site, found)
    if minimum is None:
        return minimum
    in_metals = {metal: minimum if metal == found else work_out(site, metal) for metal in MATERIALS}
    others = tuple(
        Alternative(metal, "", shown(each.value, each.unit))
        for metal, each in in_metals.items()
        if each is not None
    )
    steps = (*minimum.steps, *in_other_metals(others, found))
    return minimum._replace(steps=steps, alternatives=others)


def _base_area(site: Site, phase: str, material: str, area: float) -> tuple[float, tuple[str, ...]]:
    """Area that the share is taken of [kcmil]: the phases' own, or of the jumper's metal carrying as much."""
    if phase == material:
        return area, ()
    base, words = _equivalent_area(site, phase, material, area)
    return base, (words,)


def in_other_metals(others: tuple[Alternative, ...], material: str) -> tuple[str, ...]:
    """What the minimum is in the other metals, in words. Unit: none. Section: none."""
    return tuple(
        f"In {each.label}: {each.shown}."
        for each in others
        if each.metal != material and not each.condition
    )


def _equivalent_area(site: Site, phase: str, material: str, area: float) -> tuple[float, str]:
    """Area of ungrounded conductors of the jumper's metal that would carry as much [kcmil].

    Section: note 2 of Table 250.102(C)(1).
    """
    if site.has_further_runs:
        each_run = [
            _equivalent_area(
                run, derived_ungrounded_metal(run), material, derived_ungrounded_area(run).amount
            )
            for run in site.runs
        ]
        words = "; ".join(named_by_run((step,) for _, step in each_run))
        return sum(amount for amount, _ in each_run), words
    if phase == material:
        return area, f"{material} already: {area_kcmil(area)}"
    size_ = site.need(lambda job: job.secondary.conductors.size)
    number_of = area / area_of(site, size_)
    equal, each = carrying_as_much(site, size_, phase, material)
    total = each * number_of
    return total, (
        f"The jumper is {material}: {number(number_of)} × {size(equal, material)} would carry as much as "
        f"{number(number_of)} × {size(size_, phase)} = {area_kcmil(total)}"
    )


def not_larger_than(site: Site, minimum: Derived, size_: str, phase: str, material: str) -> Derived:
    """A jumper or grounded conductor of the same metal need not be larger than the ungrounded conductor it goes with.

    Unit: AWG or kcmil. Section: note 1 of Table 250.102(C)(1).
    """
    if phase != material:
        return minimum
    if area_of(site, size_) >= area_wanted(site, minimum):
        return minimum
    step = (
        f"Not required larger than the ungrounded conductor ({site.section('bonding_jumper_table')}, note 1): "
        f"{size(size_, material)}"
    )
    return Derived(size_, "AWG or kcmil", minimum.cite, (*minimum.steps, step), size=size_)


def not_larger_than_phases(site: Site, minimum: Derived, material: str) -> Derived:
    """Note 1 of the table for a single set; parallel sets are 1/0 AWG and larger, where it never counts.

    Unit: AWG or kcmil. Section: note 1 of Table 250.102(C)(1). Raises Missing.
    """
    if site.need(lambda job: job.secondary.conductors.sets) > 1:
        return minimum
    size_ = site.need(lambda job: job.secondary.conductors.size)
    phase = site.need(lambda job: job.secondary.conductors.material)
    return not_larger_than(site, minimum, size_, phase, material)
