"""Written questions to the customer, where something is legal but unwise. Ready to copy, with the figures in them."""

from collections.abc import Callable

from engine.code import size_index
from engine.derived import (
    currents,
    equipment_grounding,
    faults,
    grounded_systems,
    primary_conductors,
    ungrounded_area,
)
from engine.job.missing import Missing
from engine.job.runs import run_name
from engine.job.site import Site
from engine.physics.quantities import amperes, at_most, number, percent, size, volts


def _small_device(site: Site) -> str | None:
    rating = site.need(lambda job: job.primary.device.rating)
    current = currents.full_load_current_primary(site)
    limit = currents.primary_device_maximum(site)
    kva = number(site.job.transformer.kva)
    # A maximum for the transformer alone; what the conductors allow is another matter.
    largest = (
        f" For the transformer alone the code would allow up to {amperes(limit.amount)}; the conductors have a limit of "
        "their own."
        if limit
        else ""
    )
    if rating < current.amount * (1 - 1e-9):
        return (
            f"The primary device is {amperes(rating)}; the full-load current of the {kva} kVA transformer is "
            f"{amperes(current.amount)}. The limits for the transformer permit this. The transformer's full capacity cannot be used, and the "
            f"device may trip under load or on energizing.{largest} Is the smaller device intended, and what load is "
            "planned? Please answer in writing."
        )
    if rating < 1.25 * current.amount * (1 - 1e-9):
        return (
            f"The primary device is {amperes(rating)}; the full-load current of the {kva} kVA transformer is "
            f"{amperes(current.amount)}, and 125 % of it is {amperes(1.25 * current.amount)}. A device below that is "
            "permitted for the transformer. It may trip on energizing, or when a load near the full-load current lasts."
            f"{largest} Is this device intended? Please answer in writing."
        )
    return None


def _inrush(site: Site) -> str | None:
    if site.need(lambda job: job.primary.device.kind) != "breaker":
        return None
    trip = faults.instantaneous_trip(site)
    current = currents.full_load_current_primary(site)
    low, high = faults.USUAL_INRUSH
    if trip.amount >= high * current.amount:
        return None
    return (
        f"The primary breaker trips instantaneously at {amperes(trip.amount)}. The usual inrush of this transformer is "
        f"{number(low)} to {number(high)} times its full-load current, {amperes(low * current.amount)} to "
        f"{amperes(high * current.amount)} (common practice). No section of the code requires more, but the breaker may "
        "trip on energizing. May a higher trip be set or installed, or are such trips acceptable? Please answer in writing."
    )


def _neutral(site: Site) -> str | None:
    # Only in a wye do the harmonics of the phases add up in the neutral.
    if not grounded_systems.has_four_wires_of_a_wye(site):
        return None
    if not site.need(lambda job: job.observations.nonlinear_load):
        return None
    neutral = site.need(lambda job: job.secondary.grounded_conductor.size)
    neutral_metal = site.need(lambda job: job.secondary.grounded_conductor.material)
    phase = site.need(lambda job: job.secondary.conductors.size)
    phase_metal = site.need(lambda job: job.secondary.conductors.material)
    carried, full = (
        site.code.ampacity(size_, metal, 75)
        for size_, metal in ((neutral, neutral_metal), (phase, phase_metal))
    )
    if carried is None or full is None or at_most(full, carried):
        return None
    return (
        f"The neutral is {size(neutral, neutral_metal)}, the phases are {size(phase, phase_metal)}, and most of the load is "
        "electronic. Harmonic currents add up in the neutral, and its current can exceed that of the phases. Has the "
        "neutral load been calculated, and is this size intended? Please answer in writing."
    )


def _protection(site: Site) -> str:
    return site.need(lambda job: job.secondary.protection.kind)


def _wasted(site: Site) -> str | None:
    kinds = [*site.in_each_run(_protection)]
    if "main_lugs_only" in kinds:
        return None
    rating = currents.secondary_devices_together(site)
    current = currents.full_load_current_secondary(site)
    if not rating.amount or at_most(current.amount, rating.amount):
        return None
    return (
        f"{'The secondary device is' if kinds == ['main_device'] else 'The secondary devices together are'} "
        f"{amperes(rating.amount)}; the transformer's full-load secondary current is {amperes(current.amount)}. The limits "
        f"for the transformer permit this; {amperes(current.amount - rating.amount)} of capacity cannot be used. Is that "
        "intended? Please answer in writing."
    )


def _large_secondary(site: Site) -> str | None:
    rating = site.need(lambda job: job.primary.device.rating)
    alone = currents.primary_device_maximum(site)
    together = currents.primary_device_maximum_with_secondary_protection(site)
    if alone is None or together is None or at_most(rating, alone.amount):
        return None
    if any(kind != "main_device" for kind in site.in_each_run(_protection)):
        return None
    limit = currents.secondary_device_maximum(site)
    secondary = currents.secondary_devices_together(site)
    devices = "devices together are" if site.has_further_runs else "device is"
    if (
        limit is None
        or not at_most(rating, together.amount)
        or not at_most(secondary.amount, limit.amount)
    ):
        return None
    return (
        f"The primary device is {amperes(rating)}, above the {amperes(alone.amount)} that would protect the transformer "
        f"alone. The limits permit this only as long as the secondary {devices} not above {amperes(limit.amount)}; now "
        f"{'they are' if site.has_further_runs else 'it is'} {amperes(secondary.amount)}. Does everyone who may change that "
        "device know? Please answer in writing."
    )


def _overload(site: Site) -> str | None:
    # What is known of the load may be too much by itself.
    loads = [run.job.secondary.load for run in site.runs]
    load = sum((each.continuous_amperes or 0) + (each.noncontinuous_amperes or 0) for each in loads)
    current = currents.full_load_current_secondary(site)
    if at_most(load, current.amount):
        return None
    return (
        f"The calculated secondary load is {amperes(load)}; the transformer's full-load secondary current is "
        f"{amperes(current.amount)}. The code limits the devices and conductors, not the load on the transformer; at "
        "this load the transformer would run overloaded (common practice). Is the calculated load right? If it is, do "
        "you accept the overload? Please answer in writing."
    )


# The informational notes to 210.19(A) and 215.2(A): 3 % for a feeder, 5 % in all. Advice, and no limit of the code.
_ADVISED_DROP = 3.0
_ADVISED_DROP_IN_ALL = 5.0


def _voltage_drop(site: Site) -> str | None:
    drops: list[tuple[str, float]] = []
    for side, work in (
        ("primary", faults.primary_voltage_drop),
        ("secondary", faults.secondary_voltage_drop),
    ):
        try:
            drops.append((side, work(site).amount))
        except Missing:
            continue
    together = sum(drop for _, drop in drops)
    if all(drop <= _ADVISED_DROP for _, drop in drops) and together <= _ADVISED_DROP_IN_ALL:
        return None
    shown = " and ".join(f"{percent(drop)} on the {side} run" for side, drop in drops)
    return (
        f"The calculated load drops {shown}. The code advises at most {number(_ADVISED_DROP)} % for a feeder and "
        f"{number(_ADVISED_DROP_IN_ALL)} % in all; that is advice and not a limit, but equipment may not start or run as it should. Is that "
        "drop acceptable, or will larger conductors be run? Please answer in writing."
    )


def _low_voltage_winding_fed(site: Site) -> str | None:
    transformer = site.job.transformer
    if transformer.primary_volts >= transformer.secondary_volts:
        return None
    neutral = ""
    if grounded_systems.fed_on_low_voltage_wye(site):
        neutral = (
            " A wye is fed and the output is a delta, as in a backfed step-down unit: the supply's neutral must not land on "
            "X0, and X0 must not be bonded."
        )
    return (
        f"The transformer steps up from {volts(transformer.primary_volts)} to {volts(transformer.secondary_volts)}.{neutral} "
        "The low-voltage winding then draws more inrush than usual. Does the manufacturer allow it to be fed on this side, "
        "with what largest primary device, and how will the secondary be grounded? Please answer in writing."
    )


def _equipment_grounding(site: Site) -> str | None:
    if currents.is_over_1000_volts(site):
        return None
    if site.need(lambda job: job.primary.equipment_grounding.kind) != "wire":
        return None
    load = site.need(lambda job: job.primary.load.continuous_amperes) + site.need(
        lambda job: job.primary.load.noncontinuous_amperes
    )
    rating = site.need(lambda job: job.primary.device.rating)
    # What is in conflict has its own line; this is a question about what is not.
    if not at_most(load, rating):
        return None
    found = site.need(lambda job: job.primary.equipment_grounding.size)
    sets = site.need(lambda job: job.primary.conductors.sets)
    installed = site.need(lambda job: job.primary.conductors.size)
    minimum = equipment_grounding.primary_equipment_grounding_minimum(site)
    smallest = primary_conductors.primary_conductor_minimum(site)
    if minimum is None or smallest is None or size_index(smallest.name) >= size_index(installed):
        return None
    area, least = ungrounded_area.is_large_enough(site, found, minimum)
    if not at_most(least, area):
        return None
    base = site.code.equipment_grounding(
        rating, site.need(lambda job: job.primary.equipment_grounding.material)
    )
    if base is None:
        return None
    ratio = ungrounded_area.area_of(site, installed) / ungrounded_area.area_of(site, smallest.name)
    wanted = ungrounded_area.smallest_of_area(site, ungrounded_area.area_of(site, base) * ratio)
    if wanted is None or size_index(found) >= min(size_index(wanted), size_index(installed)):
        return None
    section = site.section("equipment_grounding_increased")
    atof = f"{sets} × " if sets > 1 else ""
    return (
        f"The primary load is {amperes(load)}. With this device {atof}{size(smallest.name)} would be enough for it, and "
        f"{atof}{size(installed)} is installed. Measured from there, the equipment grounding conductor would have to be "
        f"{size(wanted)} ({section}); it is {size(found)}, which is enough when measured from the device's rating. Which of "
        "the two does the authority having jurisdiction follow? Please answer in writing."
    )


_QUESTIONS: tuple[Callable[[Site], str | None], ...] = (
    _small_device,
    _inrush,
    _wasted,
    _overload,
    _neutral,
    _large_secondary,
    _voltage_drop,
    _low_voltage_winding_fed,
    _equipment_grounding,
)

_OF_A_RUN = (_neutral, _voltage_drop)


def written_questions(site: Site) -> list[str]:
    """The questions that the facts call for; a missing fact raises none.

    Unit: A in the texts. Section: 450.3(B) is a maximum; the rest common practice, no source.
    """
    texts: list[str] = []
    for question in _QUESTIONS:
        by_run = site.has_further_runs and question in _OF_A_RUN
        for at, run in enumerate(site.runs if by_run else (site,)):
            try:
                text = question(run)
            except Missing:
                continue
            if text:
                texts.append(f"{run_name(at)}: {text}" if by_run else text)
    return texts
