"""What is worked out of a job: each value with its stop of the walk, from what was read or else supposed."""

from collections.abc import Callable, Collection, Iterable
from functools import lru_cache
from typing import Literal, NamedTuple

from engine.code import Code
from engine.derived import (
    bonding_jumpers,
    conductor_ampacity,
    currents,
    electrode_conductors,
    equipment_grounding,
    faults,
    grounded_conductors,
    primary_conductors,
    raceways,
    secondary_conductors,
)
from engine.derived.derived import Derived
from engine.evaluation.facts import label
from engine.evaluation.suppose import SupposingSite, read_or_supposed
from engine.job.runs import run_name, value_of_run
from engine.job.site import Site
from engine.job.words import CONDUCTOR_NAMES
from engine.physics.quantities import amperes, shown
from engine.result import Alternative, Value


class ValueOf(NamedTuple):
    """One value of the result: id, title, place on the walk, and how it is worked out.

    `worked_out_for`: once for the transformer or all runs together; for each secondary run; or of the primary run, which
    may differ by the rule that a secondary run relies on. `in_sheet`: the table of the limits at a glance that shows it;
    `title_in_metals`: its title in the table of jumpers and bonds, which has a column for each metal.
    """

    id: str
    title: str
    group: str
    work_out: Callable[[Site], Derived | None]
    worked_out_for: Literal["all", "each_run", "rule_of_a_run"] = "all"
    in_sheet: Literal["currents", "terminals"] | None = None
    title_in_metals: str = ""


VALUES: tuple[ValueOf, ...] = (
    ValueOf(
        "full_load_current_primary",
        "Full-load current, primary",
        "nameplate",
        currents.full_load_current_primary,
        in_sheet="currents",
    ),
    ValueOf(
        "full_load_current_secondary",
        "Full-load current, secondary",
        "nameplate",
        currents.full_load_current_secondary,
        in_sheet="currents",
    ),
    ValueOf(
        "primary_device_maximum",
        "Largest primary device, alone",
        "primary_disconnect",
        currents.primary_device_maximum,
        in_sheet="currents",
    ),
    ValueOf(
        "primary_device_maximum_with_secondary_protection",
        "Largest primary device, with secondary protection",
        "primary_disconnect",
        currents.primary_device_maximum_with_secondary_protection,
        in_sheet="currents",
    ),
    ValueOf(
        "secondary_device_maximum",
        "Largest secondary device",
        "first_disconnect",
        currents.secondary_device_maximum,
        in_sheet="currents",
    ),
    ValueOf(
        "primary_conductor_minimum",
        "Smallest primary conductor",
        "primary_run",
        primary_conductors.primary_conductor_minimum,
        worked_out_for="rule_of_a_run",
        in_sheet="terminals",
    ),
    ValueOf(
        "primary_conductor_ampacity",
        "Ampacity of the primary conductors",
        "primary_run",
        conductor_ampacity.primary_conductor_ampacity,
    ),
    ValueOf(
        "primary_equipment_grounding_minimum",
        "Smallest primary equipment grounding conductor",
        "primary_run",
        equipment_grounding.primary_equipment_grounding_minimum,
        worked_out_for="rule_of_a_run",
        title_in_metals=CONDUCTOR_NAMES["primary_equipment_grounding"],
    ),
    ValueOf(
        "primary_raceway_minimum",
        "Smallest primary raceway",
        "primary_run",
        raceways.primary_raceway_minimum,
        worked_out_for="rule_of_a_run",
        in_sheet="currents",
    ),
    ValueOf(
        "primary_raceway_fill",
        "Fill of the primary raceway",
        "primary_run",
        raceways.primary_raceway_fill,
    ),
    ValueOf(
        "primary_voltage_drop",
        "Voltage drop, primary (advice)",
        "primary_run",
        faults.primary_voltage_drop,
    ),
    ValueOf(
        "secondary_conductor_minimum",
        "Smallest secondary conductor",
        "secondary_run",
        secondary_conductors.secondary_conductor_minimum,
        worked_out_for="each_run",
        in_sheet="terminals",
    ),
    ValueOf(
        "secondary_conductor_ampacity",
        "Ampacity of the secondary conductors",
        "secondary_run",
        conductor_ampacity.secondary_conductor_ampacity,
        worked_out_for="each_run",
    ),
    ValueOf(
        "grounded_conductor_minimum",
        "Smallest grounded conductor",
        "secondary_run",
        grounded_conductors.grounded_conductor_minimum,
        worked_out_for="each_run",
        title_in_metals=CONDUCTOR_NAMES["grounded_conductor"],
    ),
    ValueOf(
        "supply_side_bonding_jumper_minimum",
        "Smallest supply-side bonding jumper, in each raceway",
        "secondary_run",
        bonding_jumpers.supply_side_bonding_jumper_minimum,
        worked_out_for="each_run",
        title_in_metals="Supply-side bonding jumper, in each raceway",
    ),
    ValueOf(
        "secondary_raceway_minimum",
        "Smallest secondary raceway",
        "secondary_run",
        raceways.secondary_raceway_minimum,
        worked_out_for="each_run",
        in_sheet="currents",
    ),
    ValueOf(
        "secondary_raceway_fill",
        "Fill of the secondary raceway",
        "secondary_run",
        raceways.secondary_raceway_fill,
        worked_out_for="each_run",
    ),
    ValueOf(
        "secondary_voltage_drop",
        "Voltage drop, secondary (advice)",
        "secondary_run",
        faults.secondary_voltage_drop,
        worked_out_for="each_run",
    ),
    ValueOf(
        "secondary_fault_current",
        "Fault current at the secondary terminals, infinite bus, by the printed impedance",
        "first_disconnect",
        faults.secondary_fault_current,
    ),
    ValueOf(
        "secondary_fault_current_highest",
        "Fault current at the secondary terminals, infinite bus, at most",
        "first_disconnect",
        faults.secondary_fault_current_within_tolerance,
    ),
    ValueOf(
        "secondary_fault_current_to_center_tap",
        "Fault current from one line to the center tap, infinite bus, at most",
        "first_disconnect",
        faults.secondary_fault_current_to_center_tap,
    ),
    ValueOf(
        "secondary_fault_current_at_first_disconnect",
        "Fault current at the first disconnect, at most",
        "first_disconnect",
        faults.secondary_fault_current_at_first_disconnect,
        worked_out_for="each_run",
    ),
    ValueOf(
        "secondary_equipment_grounding_minimum",
        "Equipment grounding conductor past the secondary device",
        "downstream",
        equipment_grounding.secondary_equipment_grounding_minimum,
        worked_out_for="each_run",
    ),
    ValueOf(
        "system_bonding_jumper_minimum",
        "Smallest system bonding jumper",
        "bonding",
        bonding_jumpers.system_bonding_jumper_minimum,
        title_in_metals=CONDUCTOR_NAMES["system_bonding_jumper"],
    ),
    ValueOf(
        "grounding_electrode_conductor_minimum",
        "Smallest grounding electrode conductor",
        "electrode",
        electrode_conductors.grounding_electrode_conductor_minimum,
        title_in_metals=CONDUCTOR_NAMES["grounding_electrode_conductor"],
    ),
    ValueOf(
        "water_pipe_bond_minimum",
        "Smallest bond of the metal water pipe",
        "electrode",
        bonding_jumpers.water_pipe_bond_minimum,
        title_in_metals=CONDUCTOR_NAMES["water_pipe_bond"],
    ),
    ValueOf(
        "structural_steel_bond_minimum",
        "Smallest bond of the structural steel",
        "electrode",
        bonding_jumpers.structural_steel_bond_minimum,
        title_in_metals=CONDUCTOR_NAMES["structural_steel_bond"],
    ),
)


def as_entered(path: str) -> str:
    """A contradicted fact as what a value rests on. Unit: none. Section: none."""
    return f"{label(path).lower()} as entered, though another answer contradicts it"


def _shown(derived: Derived) -> str:
    """The value for people; a limit between standard ratings with the device that keeps it."""
    text = shown(derived.value, derived.unit)
    if not derived.has_standard_rating or derived.standard_rating == derived.value:
        return text
    if derived.standard_rating is None:
        return f"{text} (no standard rating)"
    return f"{text} ({amperes(derived.standard_rating)} device)"


# Most values and checks are the same from one answer to the next, so they are put into words once.
@lru_cache(maxsize=512)
def _value(item: ValueOf, code: Code, derived: Derived, taken: tuple[str, ...]) -> Value:
    citation = code.cite(derived.cite)
    steps = [*derived.steps]
    if taken:
        steps.insert(0, f"Assumed: {'; '.join(taken)}.")
    return Value(
        value=derived.value,
        unit=derived.unit,
        shown=_shown(derived),
        title=item.title,
        section=citation.section,
        section_confirmed=citation.confirmed,
        steps=steps,
        assumed=bool(taken),
        group=item.group,
        standard_rating=derived.standard_rating,
        size=derived.size,
        alternatives=[
            Alternative(label=each.label, shown=each.shown) for each in derived.alternatives
        ],
    )


def values_of_job(
    site: Site, supposing: SupposingSite, doubted: Collection[str]
) -> dict[str, Value]:
    """Every value that can be worked out, in walking order.

    `doubted`: what of the nameplate itself is contradicted, which every value rests on. Unit: in each. Section: in each.
    """
    on_nameplate = tuple(as_entered(path) for path in sorted(doubted))
    if not site.has_further_runs:
        return _values_of(VALUES, site, supposing, on_nameplate)
    shared_by_all = [item for item in VALUES if item.worked_out_for == "all"]
    of_a_run = [item for item in VALUES if item.worked_out_for != "all"]
    by_rule = {item.id for item in VALUES if item.worked_out_for == "rule_of_a_run"}
    values = _values_of(shared_by_all, site, supposing, on_nameplate)
    of_first: dict[str, Value] = {}
    for number, (run, supposed) in enumerate(zip(site.runs, supposing.runs, strict=True)):
        for id_, value in _values_of(of_a_run, run, supposed, on_nameplate).items():
            if number == 0:
                of_first[id_] = value
            elif id_ in by_rule and value == of_first.get(id_):
                continue
            shared = number == 0 and id_ in by_rule
            title = value.title if shared else f"{run_name(number)}: {value.title}"
            values[value_of_run(id_, number)] = value.model_copy(update={"title": title})
    order = [value_of_run(item.id, number) for item in VALUES for number in range(len(site.runs))]
    return {id_: values[id_] for id_ in order if id_ in values}


def _values_of(
    items: Iterable[ValueOf], site: Site, supposing: SupposingSite, on_nameplate: tuple[str, ...]
) -> dict[str, Value]:
    values: dict[str, Value] = {}
    for item in items:
        derived, taken = read_or_supposed(site, supposing, item.work_out)
        taken = (*on_nameplate, *taken)
        if derived is not None:
            values[item.id] = _value(item, site.code, derived, taken)
    return values
