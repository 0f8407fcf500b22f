"""Primary conductors: load, protection, equipment grounding."""

from engine.code import Kind, size_index
from engine.code.limits import METAL_RACEWAYS
from engine.derived import (
    conditions_of_use,
    conductor_ampacity,
    conductor_runs,
    conductor_sizes,
    currents,
    equipment_grounding,
    sides,
    ungrounded_area,
)
from engine.derived.primary_conductors import primary_conductor_minimum
from engine.derived.raceways import Piece
from engine.job.missing import Missing
from engine.job.site import Site
from engine.job.words import CONDUCTOR_NAMES
from engine.judging.verdicts import Finding, compare, confirm, every, undetermined
from engine.physics.quantities import amperes, at_most, size
from engine.rules.conditions.device_load import carried
from engine.rules.conditions.facts_read import DEVICE_RATING, INSULATIONS_BESIDE, conductor_asks
from engine.rules.conditions.grounding_path import (
    CORE_NOT_LOOKED_AT,
    flexible_serves,
    metal_to_metal,
)
from engine.rules.conditions.insulation import beside_other_insulation, no_ampacity
from engine.rules.conditions.large_enough import smallest_remedy
from engine.rules.conditions.parallel_conductors import parallel_sizes
from engine.rules.conditions.words import OVER_1000
from engine.rules.rule import rule

_LOAD = (
    "primary.load.continuous_amperes",
    "primary.load.noncontinuous_amperes",
    "primary.device.continuous_percent",
)


def _primary_remedy(site: Site, instead: str) -> str:
    sets = site.need(lambda job: job.primary.conductors.sets)
    material = site.need(lambda job: job.primary.conductors.material)
    try:
        return smallest_remedy(primary_conductor_minimum(site), sets, material, instead)
    except Missing:
        # The load is not known: the size whose ampacity reaches the device carries any load behind it.
        rating = currents.primary_device_rating(site)
        reference = conductor_sizes.reference_size(
            site, conditions_of_use.primary_conditions(site), rating, sets
        )
    if reference is None:
        return f"More sets in parallel, or {instead}."
    return f"{f'{sets} × ' if sets > 1 else ''}{size(reference, material)} or larger, or {instead}."


@rule(
    "primary_conductors",
    title="Primary conductors for the load",
    cite="feeder_conductor_size",
    severity="violation",
    group="primary_run",
    asks=(
        *conductor_asks("primary"),
        *DEVICE_RATING,
        *_LOAD,
        *INSULATIONS_BESIDE["primary"],
    ),
)
def primary_conductors(site: Site) -> Finding:
    """Whether the primary conductors carry the load [A] before and after correction.

    The device bounds the load: conductors that carry the device's whole rating carry any load it lets through.
    Section: 215.2(A)(1), Table 310.16, 110.14(C), 310.10(G), 310.14(A)(3). Raises Missing.
    """
    if currents.is_over_1000_volts(site):
        return undetermined(OVER_1000)
    return every(
        site,
        lambda s: parallel_sizes(s, sides.PRIMARY),
        _carries_primary_load,
        lambda s: beside_other_insulation(s, sides.PRIMARY, currents.primary_device_rating),
    )


def _carries_primary_load(site: Site) -> Finding:
    ampacity = conductor_ampacity.primary_conductor_ampacity(site)
    rating = currents.primary_device_rating(site)
    use = conditions_of_use.primary_conditions(site)
    size_ = site.need(lambda job: job.primary.conductors.size)
    sets = site.need(lambda job: job.primary.conductors.sets)
    at_terminals = conductor_ampacity.ampacity_before_correction(site, use, size_, sets)
    # In cool surroundings the corrected ampacity may exceed the one before correction, which must hold too.
    if at_most(rating, min(ampacity.amount, at_terminals)):
        return compare(
            site,
            found=ampacity.amount,
            at_least=rating,
            required=f"{amperes(rating)}, the most that the device lets through",
            found_shown=amperes(ampacity.amount),
            reason="Carries the full rating of the device, and so any load on it.",
            otherwise="",
            steps=ampacity.steps,
        )
    continuous = site.need(lambda job: job.primary.load.continuous_amperes)
    rest = site.need(lambda job: job.primary.load.noncontinuous_amperes)
    whole = min(continuous + rest, rating)
    percent, with_continuous = 125, conductor_sizes.load_before_correction(continuous, rest, rating)
    if not at_most(with_continuous, at_terminals) and (
        site.need(lambda job: job.primary.device.continuous_percent) == 100
    ):
        percent, with_continuous = 100, whole
    steps = (
        f"{amperes(continuous)} continuous × {percent} % + {amperes(rest)} = "
        f"{amperes(percent / 100 * continuous + rest)}, limited to the device's {amperes(rating)}",
        f"Before correction at the terminals: {amperes(at_terminals)}",
        *ampacity.steps,
    )
    # The half with less in hand decides; both must hold.
    terminal_half = at_terminals / with_continuous if with_continuous > 0 else float("inf")
    corrected_half = ampacity.amount / whole if whole > 0 else float("inf")
    found, least = (
        (at_terminals, with_continuous)
        if terminal_half <= corrected_half
        else (ampacity.amount, whole)
    )
    nothing = no_ampacity(site, sides.PRIMARY)
    return compare(
        site,
        found=found,
        at_least=least,
        required=f"{amperes(with_continuous)} before correction, {amperes(whole)} after it",
        found_shown=f"{amperes(at_terminals)} before, {amperes(ampacity.amount)} after",
        reason="Carries the load.",
        otherwise=nothing.why if nothing else "Too small for the load.",
        remedy=nothing.remedy if nothing else lambda: _primary_remedy(site, "a smaller load"),
        steps=steps,
    )


@rule(
    "primary_conductor_protection",
    title="Primary conductors protected by the device",
    cite="conductor_protection",
    severity="violation",
    group="primary_run",
    asks=(
        *conductor_asks("primary"),
        *DEVICE_RATING,
        "secondary.rule",
        "primary.conductors.length_feet",
    ),
)
def primary_conductor_protection(site: Site) -> Finding:
    """Whether the device protects the primary conductors: at their ampacity, next rating up to 800 A, or as a tap [A].

    Section: 240.4(B), (C), (D); 240.21(B)(3). Raises Missing.
    """
    if currents.is_over_1000_volts(site):
        return undetermined(OVER_1000)
    ampacity = conductor_ampacity.primary_conductor_ampacity(site)
    rating = currents.primary_device_rating(site)
    size_ = site.need(lambda job: job.primary.conductors.size)
    material = site.need(lambda job: job.primary.conductors.material)
    sets = site.need(lambda job: job.primary.conductors.sets)

    def protects(kind: Kind) -> bool:
        return conductor_sizes.protected_by(
            site,
            rating=rating,
            ampacity=ampacity.amount,
            size_=size_,
            material=material,
            sets=sets,
            kind=kind,
        )

    by_either = protects("breaker")
    if by_either != protects("fuse"):
        by_either = protects(site.need(lambda job: job.primary.device.kind))
    small = site.code.small_conductor_limit(size_, material)
    steps = (*ampacity.steps, f"Device: {amperes(rating)}")
    required = f"an ampacity of at least {amperes(rating)}"
    if rating <= 800:
        required += ", or a device not above the next standard rating"
    if by_either:
        rounded = not at_most(rating, ampacity.amount)
        return confirm(
            site,
            True,
            required=required,
            found=f"ampacity {amperes(ampacity.amount)}",
            reason="The device is not above the next standard rating over the ampacity "
            f"({site.section('next_standard_size')})."
            if rounded
            else "The ampacity reaches the device's rating.",
            otherwise="",
            steps=steps,
            cite="next_standard_size" if rounded else "conductor_protection",
        )
    if (
        site.need(lambda job: job.secondary.rule) == "feeder_tap_25_ft"
        and conductor_runs.longest(site, sides.PRIMARY, 25) <= 25
    ):
        third = rating / 3
        return compare(
            site,
            found=ampacity.amount,
            at_least=third,
            required=f"a tap: at least 1/3 of {amperes(rating)} = {amperes(third)}",
            found_shown=amperes(ampacity.amount),
            reason="Large enough as a tap supplying a transformer; its other conditions are in the secondary rule.",
            otherwise="Too small even as a tap supplying a transformer.",
            remedy=f"Conductors of at least {amperes(third)}.",
            steps=steps,
            cite="feeder_tap_transformer",
        )
    nothing = no_ampacity(site, sides.PRIMARY)
    why = "The device is larger than the conductors allow."
    if nothing:
        why = nothing.why
    elif small is not None and rating > small:
        why = f"{size(size_, material)} may not be protected above {amperes(small)} ({site.section('small_conductors')})."
    elif rating > 800:
        why = f"Above 800 A the ampacity must reach the device's rating ({site.section('no_round_up_over_800')})."
    return confirm(
        site,
        False,
        required=required,
        found=f"ampacity {amperes(ampacity.amount)}",
        reason="",
        otherwise=why,
        remedy=nothing.remedy if nothing else lambda: _primary_remedy(site, "a smaller device"),
        steps=steps,
    )


@rule(
    "primary_load",
    title="Primary device for the load",
    cite="feeder_overcurrent",
    severity="violation",
    group="primary_disconnect",
    asks=("primary.device.rating", *_LOAD),
)
def primary_load(site: Site) -> Finding:
    """Whether the device carries the load it protects [A]: 125 % of what is continuous, unless rated for 100 %.

    Section: 215.3. Raises Missing.
    """
    return carried(
        site,
        sides.PRIMARY,
        rating=site.need(lambda job: job.primary.device.rating),
        continuous_percent=lambda job: job.primary.device.continuous_percent,
    )


@rule(
    "primary_equipment_grounding",
    title=CONDUCTOR_NAMES["primary_equipment_grounding"],
    cite="equipment_grounding_conductor",
    severity="danger",
    group="primary_run",
    asks=(
        "primary.equipment_grounding.kind",
        "primary.equipment_grounding.size",
        "primary.equipment_grounding.material",
        *DEVICE_RATING,
        *conductor_asks("primary"),
        *_LOAD,
        "secondary.rule",
        "primary.conductors.raceways",
        "primary.raceway.type",
        "primary.raceway.trade_size",
        "primary.raceway.length_feet",
        "primary.raceway.flexible_length_feet",
        "primary.raceway.flexibility_needed",
        "primary.raceway.fittings_listed_for_grounding",
    ),
    changes_between_editions=True,
)
def primary_equipment_grounding(site: Site) -> Finding:
    """Whether an equipment grounding conductor reaches the transformer, and is large enough.

    Unit: AWG or kcmil; A and ft for flexible raceways. Section: 250.110, 250.118, 250.122. Raises Missing.
    """
    if currents.is_over_1000_volts(site):
        return undetermined(OVER_1000)
    kind = site.need(lambda job: job.primary.equipment_grounding.kind)
    if kind == "none" and site.job.primary.raceway.type in METAL_RACEWAYS:
        return metal_to_metal(site.job.primary.raceway.type)
    if kind == "none":
        return confirm(
            site,
            False,
            required="an equipment grounding conductor",
            found="none found",
            reason="",
            otherwise="Nothing carries a ground fault on the primary back to the device.",
            remedy="A wire in the raceway, or a raceway that may serve.",
            cite="equipment_to_be_grounded",
        )
    if kind == "raceway":
        return _raceway_serves(site)
    found = site.need(lambda job: job.primary.equipment_grounding.size)
    material = site.need(lambda job: job.primary.equipment_grounding.material)
    try:
        minimum = equipment_grounding.primary_equipment_grounding_minimum(site)
    except Missing:
        too_small = _too_small_in_any_case(site, found, material)
        if too_small is None:
            raise
        return too_small
    if minimum is None:
        return undetermined(
            "The device, or the increase for larger conductors, is beyond the tables here.",
            found=size(found, material),
        )
    area, wanted = ungrounded_area.is_large_enough(site, found, minimum)
    return compare(
        site,
        found=area,
        at_least=wanted,
        required=f"{size(minimum.name, material)} or larger",
        found_shown=size(found, material),
        reason="Large enough for the device ahead of it.",
        otherwise="Too small for the device ahead of it.",
        remedy=f"{size(minimum.name, material)} or larger.",
        steps=minimum.steps,
    )


def _too_small_in_any_case(site: Site, found: str, material: str) -> Finding | None:
    """What is below the table and below the phases is too small, however far the trip can be set or many sets run.

    None where that is not so or not known. Unit: AWG or kcmil. Section: Table 250.122, 250.122(A).
    """
    rating, phases = site.job.primary.device.rating, site.job.primary.conductors.size
    least = None if rating is None else site.code.equipment_grounding(rating, material)
    if rating is None or least is None or phases is None:
        return None
    if size_index(found) >= min(size_index(least), size_index(phases)):
        return None
    return confirm(
        site,
        False,
        required=f"{size(least, material)} or larger",
        found=size(found, material),
        reason="",
        otherwise="Too small for the device ahead of it.",
        remedy=f"{size(least, material)} or larger.",
        steps=(
            f"{site.section('equipment_grounding_table')}, device {amperes(rating)}: {size(least, material)}",
        ),
    )


def _raceway_serves(site: Site) -> Finding:
    type_ = site.need(lambda job: job.primary.raceway.type)
    cite = {
        "FMC": "equipment_grounding_flexible_metal_conduit",
        "LFMC": "equipment_grounding_liquidtight_conduit",
    }.get(type_, "equipment_grounding_types")
    # Fittings of rigid raceways have to be listed (358.6), not listed for grounding; that is asked of flexible pieces alone
    # (Mike Holt forum 2555677).
    if type_ in METAL_RACEWAYS:
        return confirm(
            site,
            True,
            required="a raceway that may serve as the equipment grounding conductor",
            found=type_,
            reason=f"{type_} may serve; its couplings and connectors must be tight.",
            otherwise="",
            cite=cite,
        )
    finding = flexible_serves(site, Piece(type_))
    if type_ == "LFMC" and finding.verdict == "meets":
        finding = finding._replace(reason=f"{finding.reason} {CORE_NOT_LOOKED_AT}")
    return finding._replace(cite=cite)
