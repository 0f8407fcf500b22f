"""Conditions and words that several rules share."""

from collections.abc import Callable
from typing import NamedTuple

from engine.code import size_index
from engine.code.choices import choice
from engine.derived import conditions_of_use, conductor_ampacity, grounded_systems, sides
from engine.derived.currents import primary_device_rating
from engine.derived.derived import Derived
from engine.job import Conductors, GroundedConductor, Job
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, every, not_applicable, undetermined
from engine.physics.quantities import amperes, at_most, feet, number, size, trade_size
from engine.rules.rule import Rule

OVER_1000 = "Conductors above 1000 V are outside this tool. Ask the engineer of record."
# What the sizes of jumpers and electrode conductor follow from.
DERIVED_CONDUCTORS = (
    "secondary.conductors.size",
    "secondary.conductors.material",
    "secondary.conductors.sets",
)
# What tells a step-down unit that is fed on its low-voltage wye.
FED_ON_LOW_VOLTAGE_WYE = ("transformer.secondary_system", "transformer.primary_system")
# The connections of a winding, in words.
CONNECTIONS = {
    "single_phase_2_wire": "single-phase 2-wire",
    "single_phase_3_wire": "single-phase 3-wire",
    "delta_3_wire": "delta 3-wire",
    "delta_3_wire_ungrounded": "ungrounded delta 3-wire",
    "delta_corner_grounded": "corner-grounded delta",
    "delta_high_leg": "high-leg delta 4-wire",
    "wye_3_wire": "wye 3-wire",
    "wye_4_wire": "wye 4-wire",
}
CONTROL_TRANSFORMER_KVA = 1.0


# What `grounded_systems.is_grounded` reads: above 150 V to ground it is the conductor that is run that decides.
GROUNDED_BY = (
    "transformer.secondary_system",
    "bonding.system_bonding_jumper.location",
    "secondary.grounded_conductor.present",
    "secondary.grounded_conductor.size",
)


def feeds_control_circuits_only(site: Site) -> bool:
    """Whether a unit of at most 1000 VA feeds Class 1, 2 or 3 circuits alone, which need less grounding.

    Unit: kVA. Section: 250.30(A)(1) and (A)(5), the exceptions for such circuits. Raises Missing up to 1 kVA.
    """
    return site.job.transformer.kva <= CONTROL_TRANSFORMER_KVA and site.need(
        lambda job: job.secondary.class_1_2_3_circuits_only
    )


def large_enough_below_50_volts(
    site: Site, conductor: Callable[[Job], Conductors | GroundedConductor]
) -> Finding:
    """Whether a conductor of a secondary below 50 V is at least as large as 12 AWG copper (AWG).

    Section: 720.4; circuits with rules of their own are left out by 720.2 (Article 720 as printed at thenecwiki.com).
    Raises Missing.
    """
    if site.job.transformer.secondary_volts >= 50:
        return not_applicable("Not below 50 V.")
    size_ = site.need(lambda job: conductor(job).size)
    material = site.need(lambda job: conductor(job).material)
    least = "12" if material == "copper" else "10"
    if size_index(size_) >= size_index(least):
        return not_applicable("No rule for circuits below 50 V requires a larger size.")
    if feeds_control_circuits_only(site):
        return not_applicable("Class 1, 2 and 3 circuits have rules of their own.")
    required = f"{size(least, material)} or larger, below 50 V"
    board = site.job.secondary.panelboard
    if board.rating is None and not site.need(lambda job: job.secondary.panelboard.present):
        return undetermined(
            f"Below 50 V and smaller than {size(least, material)}. Only circuits with their own rules may be that "
            f"small, such as low-voltage lighting and fire alarm circuits. Find out what it feeds.",
            required=required,
            found=size(size_, material),
            cite="conductors_below_50_volts",
        )
    return confirm(
        site,
        False,
        required=required,
        found=size(size_, material),
        reason="",
        otherwise="Too small for a power circuit below 50 V.",
        remedy=f"{size(least, material)} or larger.",
        cite="conductors_below_50_volts",
    )


# The most that a transformer for Class 2 or 3 circuits is rated for: Chapter 9, Table 11(A), from memory.
CLASS_2_OR_3_KVA = 0.1
CLASS_2_OR_3 = "secondary.class_1_2_3_circuits_only"


# Of Article 450, by the exceptions of 450.1; of the conductors, by 240.4(G), from memory.
ARTICLE_LEAVES_OUT = "This article does not apply to a Class 2 or Class 3 transformer"
LIMITED_BY_ITS_SOURCE = (
    "What limits a Class 2 or Class 3 circuit is its transformer, not the size of these conductors"
)


def but_class_2_or_3(rule: Rule, why: str = ARTICLE_LEAVES_OUT) -> Rule:
    """A rule that does not condemn what may be a Class 2 or 3 transformer or circuit, which it leaves out.

    Unit: kVA. Section: 450.1 exceptions, 450.14; 240.4(G). Raises Missing up to 0.1 kVA.
    """

    def doubt(site: Site) -> str:
        left_out = site.job.transformer.kva <= CLASS_2_OR_3_KVA and site.need(
            lambda job: job.secondary.class_1_2_3_circuits_only
        )
        return (
            f"{why}, and this may be one: read the nameplate. If it says neither:"
            if left_out
            else ""
        )

    return _in_doubt(rule, (CLASS_2_OR_3,), doubt)


def _in_doubt(rule: Rule, paths: tuple[str, ...], doubt: Callable[[Site], str]) -> Rule:
    """A rule that does not condemn where there is a doubt, which reads these paths and stands before the reason."""

    def judge(site: Site) -> Finding:
        finding = rule.judge(site)
        why = doubt(site) if finding.verdict == "does_not_meet" else ""
        if not why:
            return finding
        return undetermined(
            f"{why} {finding.reason}",
            required=finding.required,
            found=finding.found,
            cite=finding.cite,
        )

    asks = (*rule.asks, *(path for path in paths if path not in rule.asks))
    return rule._replace(asks=asks, judge=judge)


# What `but_control_circuits` reads.
_MAY_STAY_UNGROUNDED = (
    "bonding.system_bonding_jumper.location",
    "secondary.class_1_2_3_circuits_only",
    "secondary.qualified_persons_only",
)


def but_control_circuits(rule: Rule) -> Rule:
    """A rule that does not condemn for its missing ground what 250.21(A)(3) may leave ungrounded.

    A system for control circuits alone that only qualified persons service may do without where continuity of control
    power is required, which nobody is asked. Unit: V. Section: 250.21(A)(3), from memory. Raises Missing.
    """

    def doubt(site: Site) -> str:
        job = site.job
        may_stay_ungrounded = (
            job.bonding.system_bonding_jumper.location == "none"
            and job.secondary.class_1_2_3_circuits_only
            and all(run.job.secondary.qualified_persons_only for run in site.runs)
            and job.transformer.secondary_volts >= 50
            and job.transformer.primary_volts <= 1000
        )
        if not may_stay_ungrounded:
            return ""
        return (
            "A system for control circuits alone that only qualified persons service may stay ungrounded where control "
            "power must not be interrupted: find out whether it must not. If it may:"
        )

    return _in_doubt(rule, _MAY_STAY_UNGROUNDED, doubt)


def needs_no_electrode(site: Site) -> bool:
    """Whether a control transformer is grounded well enough without an electrode conductor of its own.

    Its neutral is bonded to its own frame, and the frame is grounded by the primary's equipment grounding conductor.
    Unit: none. Section: 250.30(A)(5), the exception for Class 1, 2 and 3 circuits. Raises Missing.
    """
    return (
        feeds_control_circuits_only(site)
        and site.need(lambda job: job.bonding.system_bonding_jumper.location) == "source"
        and site.need(lambda job: job.primary.equipment_grounding.kind) != "none"
    )


ONE_CASE_WORDS = "The first disconnect is built into the transformer's case: no raceway runs to it."


def is_in_one_case(site: Site) -> bool:
    """Whether the first disconnect is built into the case, and no raceway to it is recorded. Unit: none. Section: none."""
    secondary = site.job.secondary
    return (
        secondary.first_disconnect_separate is False
        and secondary.raceway.type is None
        and secondary.raceway.trade_size is None
        and not site.has_further_runs
    )


# What `needs_no_electrode` may read.
NO_ELECTRODE = (
    "secondary.class_1_2_3_circuits_only",
    "bonding.system_bonding_jumper.location",
    "primary.equipment_grounding.kind",
)
NO_CONDUCTOR_WORDS = "No conductor goes to an electrode; that is checked separately."
NO_ELECTRODE_WORDS = (
    "Not over 1000 VA, for Class 1, 2 or 3 circuits only, its neutral bonded to its grounded frame: no electrode "
    "conductor is required."
)


def metal_to_metal(type_: str) -> Finding:
    """No wire was found, and a metal raceway is there that may serve. Unit: none. Section: 250.118, 250.30(A)(2)."""
    return undetermined(
        f"No wire was found, and {type_} may serve by itself. If it runs metal to metal from case to case with "
        "tight fittings, answer that the metal raceway serves.",
        required="a wire, or a metal raceway from case to case",
        found=f"no wire; {type_}",
    )


# What the primary device counts as, by `currents.primary_device_rating`.
DEVICE_RATING = (
    "primary.device.rating",
    "primary.device.kind",
    "primary.device.adjustable",
    "primary.device.rating_basis",
    "primary.device.highest_rating",
)


# How the secondary devices are rated, and what those ratings are based on.
SECONDARY_BASIS = (
    "secondary.protection.kind",
    "secondary.protection.rating",
    "secondary.protection.ratings",
    "secondary.protection.device_kind",
    "secondary.protection.adjustable",
    "secondary.protection.rating_basis",
)
# What they count as, by `currents.secondary_device_rating`.
SECONDARY_RATING = (*SECONDARY_BASIS, "secondary.protection.highest_rating")


def conductor_asks(side: str) -> tuple[str, ...]:
    """The paths that an ampacity reads. Unit: none. Section: 310.15, 110.14(C)."""
    device = "primary.device" if side == "primary" else "secondary.protection"
    return (
        f"{side}.conductors.size",
        f"{side}.conductors.material",
        f"{side}.conductors.insulation",
        f"{side}.conductors.sets",
        f"{side}.conductors.raceways",
        f"{side}.conductors.current_carrying",
        f"{side}.conductors.ambient_celsius",
        f"{side}.conductors.termination_celsius",
        f"{device}.termination_celsius",
        f"transformer.{side}_terminal_celsius",
        f"{side}.conductors.wet_location",
        "transformer.location",
        f"{side}.raceway.on_sunny_rooftop",
        f"{side}.raceway.height_above_roof_inches",
        f"{side}.raceway.nipple",
        f"{side}.raceway.length_feet",
        f"{side}.conductors.length_feet",
        *(
            (
                "transformer.secondary_system",
                "secondary.grounded_conductor.present",
                "secondary.grounded_conductor.size",
                "secondary.grounded_conductor.sets",
                "secondary.grounded_conductor.current_carrying",
                "bonding.system_bonding_jumper.location",
                "secondary.rule",
            )
            if side == "secondary"
            else ()
        ),
    )


def poles_of_two_mains(site: Site) -> Finding:
    """Whether a panelboard with two mains has at most 42 poles. Unit: poles. Section: 408.36, exception 1. Raises Missing."""
    holds = site.need(lambda job: job.secondary.panelboard.at_most_42_poles)
    most = "at most 42 poles of overcurrent devices fed by two mains"
    return confirm(
        site,
        holds,
        required=most,
        found="42 or fewer" if holds else "more than 42",
        reason="Not more than 42 poles.",
        otherwise="A panelboard with two mains may have at most 42 poles.",
        remedy="One main device, or fewer branch devices.",
    )


def parallel_sizes(site: Site, side: sides.Side) -> Finding:
    """Whether parallel conductors are large enough to be run in parallel. Unit: AWG or kcmil. Section: 310.10(G)."""
    sets = site.need(lambda job: side.conductors(job).sets)
    size_ = site.need(lambda job: side.conductors(job).size)
    least = site.code.parallel_minimum_size
    if sets > 1 and size_index(size_) >= size_index(least):
        raceways = site.need(lambda job: side.conductors(job).raceways)
        return alike_in_each_raceway(site, sets, raceways, f"{sets} × {size(size_)}")
    return confirm(
        site,
        sets == 1 or size_index(size_) >= size_index(least),
        required="" if sets == 1 else f"parallel: {size(least)} or larger",
        found="" if sets == 1 else f"{sets} × {size(size_)}",
        reason="",
        otherwise=f"Conductors smaller than {size(least)} may not run in parallel "
        f"({site.section('parallel_conductors')}).",
        remedy=f"One conductor per phase, or sets of {size(least)} and larger.",
        cite="parallel_conductors",
    )


def alike_in_each_raceway(site: Site, number_of: int, raceways: int, shown: str) -> Finding:
    """Whether parallel conductors can be divided evenly among their raceways: then each holds as many as the others.

    Unit: conductors. Section: 310.10(G)(3); 310.10(H)(3) up to 2017.
    """
    least = size(site.code.parallel_minimum_size)
    even = number_of % raceways == 0
    return confirm(
        site,
        even,
        required=f"parallel: {least} or larger"
        + ("" if even else "; the same number of conductors in each raceway"),
        found=shown + ("" if even else f" in {raceways} raceways"),
        reason="",
        otherwise=f"{number_of} in parallel can't be divided evenly among {raceways} raceways: each raceway must hold "
        "the same number of conductors, or they will not share the current equally "
        f"({site.section('parallel_conductors')}).",
        remedy="Put the same number of sets in each raceway.",
        cite="parallel_conductors",
    )


def smallest_remedy(minimum: Derived | None, sets: int, material: str, instead: str) -> str:
    """The smallest size that would meet, in words, or what else would. Unit: AWG or kcmil. Section: that of the minimum."""
    otherwise = f", or {instead}" if instead else ""
    if minimum is None or minimum.size is None:
        return f"No single size is enough: more sets in parallel{otherwise}."
    return f"{f'{sets} × ' if sets > 1 else ''}{size(minimum.size, material)} or larger{otherwise}."


def _insulations_beside(site: Site, side: sides.Side) -> dict[str, str]:
    """Insulation of what lies beside the phase conductors of a side, by its name. Raises Missing."""
    beside: dict[str, str] = {}
    if side is sides.PRIMARY:
        if site.need(lambda job: job.primary.equipment_grounding.kind) == "wire":
            beside["equipment grounding conductor"] = site.need(
                lambda job: job.primary.equipment_grounding.insulation
            )
        return beside
    if grounded_systems.has_grounded_conductor(site):
        beside["grounded conductor"] = site.need(
            lambda job: job.secondary.grounded_conductor.insulation
        )
    if site.need(lambda job: job.bonding.supply_side_bonding_jumper.kind) == "wire":
        beside["supply-side bonding jumper"] = site.need(
            lambda job: job.bonding.supply_side_bonding_jumper.insulation
        )
    return beside


# What `beside_other_insulation` reads beyond an ampacity.
INSULATIONS_BESIDE = {
    "primary": ("primary.equipment_grounding.kind", "primary.equipment_grounding.insulation"),
    "secondary": (
        "secondary.grounded_conductor.insulation",
        "bonding.supply_side_bonding_jumper.kind",
        "bonding.supply_side_bonding_jumper.insulation",
        "bonding.system_bonding_jumper.location",
    ),
}


def beside_other_insulation(
    site: Site, side: sides.Side, device: Callable[[Site], float]
) -> Finding:
    """Whether the phase conductors stay cool enough [A, °C] for the lowest insulation in their raceway.

    Their ampacity is taken again at the temperature of that insulation, and held against the device that limits their
    current and against their load. Section: 310.14(A)(3), to 2017 310.15(A)(3). Raises Missing.
    """
    use = conditions_of_use.conditions(site, side)
    lower = {
        name: (insulation, column)
        for name, insulation in _insulations_beside(site, side).items()
        if insulation != "bare"
        # What may not be used in a wet place at all is another matter than its temperature.
        and conditions_of_use.NOT_FOR_HERE
        < (column := conditions_of_use.column_of(site, side, insulation))
        < use.column
    }
    if not lower:
        return not_applicable("No insulation in the raceway is rated lower than theirs.")
    size_ = site.need(lambda job: side.conductors(job).size)
    sets = site.need(lambda job: side.conductors(job).sets)
    name, (insulation, column) = min(lower.items(), key=lambda item: item[1][1])
    heat = conditions_of_use.heat_of(site, side, insulation, column)
    most = conductor_ampacity.ampacity_of(
        site,
        use._replace(
            column=column, ambient=heat.ambient, ambient_factor=heat.factor, rooftop=heat.rooftop
        ),
        size_,
        sets,
    )
    shown = f"{insulation} {name}, {column} °C"
    remedy = f"A {name} with an insulation for {use.column} °C, or larger phase conductors."
    cite = "insulation_beside_others"
    if most == 0:
        return confirm(
            site,
            False,
            required="every insulation in the raceway rated for the heat around it",
            found=f"{shown}; {number(heat.ambient)} °C around it",
            reason="",
            otherwise=f"It is {number(heat.ambient)} °C around the {name}, too hot for {insulation}.",
            remedy=f"A {name} with an insulation for {use.column} °C.",
            cite=cite,
        )
    required = f"at most {amperes(most)}, so that the {insulation} {name} stays at {column} °C"
    rating = device(site)
    if at_most(rating, most):
        return confirm(
            site,
            True,
            required=required,
            found=amperes(rating),
            reason="No insulation in the raceway gets hotter than it is rated for.",
            otherwise="",
            cite=cite,
        )
    load = side.load(site.job)
    whole = (load.continuous_amperes or 0.0) + (load.noncontinuous_amperes or 0.0)
    if not at_most(min(whole, rating), most):
        return confirm(
            site,
            False,
            required=required,
            found=f"{amperes(whole)} load; {shown}",
            reason="",
            otherwise=f"At this load the phase conductors run hotter than {column} °C, the limit of the {insulation} "
            f"{name} beside them ({site.section(cite)}).",
            remedy=remedy,
            cite=cite,
        )
    return undetermined(
        f"The device lets {amperes(rating)} through, and above {amperes(most)} the phase conductors get hotter than the "
        f"{insulation} {name} beside them may: {column} °C. {remedy}",
        required=required,
        found=f"{amperes(rating)} device; {shown}",
        cite=cite,
    )


class NoAmpacity(NamedTuple):
    """Why no size of these conductors carries anything here, and what would mend it."""

    why: str
    remedy: str


def no_ampacity(site: Site, side: sides.Side) -> NoAmpacity | None:
    """Whether the insulation may not be used here at all: a larger size would not mend that.

    Unit: °C. Section: Table 310.4(1), 310.15(B). Raises Missing.
    """
    return no_ampacity_of(site, conditions_of_use.conditions(site, side))


def no_ampacity_of(site: Site, use: conditions_of_use.Conditions) -> NoAmpacity | None:
    """As `no_ampacity`, for any conductors by their conditions of use. Unit: °C. Section: Table 310.4(1), 310.15(B)."""
    if use.column == conditions_of_use.NOT_FOR_HERE:
        return NoAmpacity(
            f"{use.insulation} may not be used in a wet location ({site.section('insulation_temperature')}): no "
            "ampacity is counted for it here.",
            "Conductors with an insulation for wet locations.",
        )
    if use.ambient_factor == 0:
        return NoAmpacity(
            f"At {number(use.ambient)} °C ambient no ampacity is left for {use.insulation} "
            f"({site.section('ambient_correction')}).",
            "A cooler route, or an insulation for a higher temperature.",
        )
    return None


def carried(
    site: Site,
    side: sides.Side,
    *,
    rating: float,
    continuous_percent: Callable[[Job], int | None],
) -> Finding:
    """Whether a device [A] carries the load of its side: 125 % of what is continuous, unless it is rated for 100 %.

    Section: 215.3. Raises Missing.
    """
    continuous = site.need(lambda job: side.load(job).continuous_amperes)
    rest = site.need(lambda job: side.load(job).noncontinuous_amperes)
    factor = 1.25
    if not at_most(factor * continuous + rest, rating) and at_most(continuous + rest, rating):
        factor = 1.0 if site.need(continuous_percent) == 100 else 1.25
    wanted = factor * continuous + rest
    full_rating = (
        " a device rated to carry 100 % continuously," if at_most(continuous + rest, rating) else ""
    )
    return compare(
        site,
        found=rating,
        at_least=wanted,
        required=f"at least {amperes(wanted)}",
        found_shown=amperes(rating),
        reason="The device carries the load.",
        otherwise="The load is more than the device may carry.",
        remedy=f"A smaller load,{full_rating} or a larger device within the other limits.",
        steps=(
            f"{amperes(continuous)} × {number(100 * factor)} % + {amperes(rest)} = {amperes(wanted)}",
        ),
    )


# What a rigid raceway may have in it: FMC or LFMC, whichever it is, must hold to the stricter limit.
WHIP = "whip"
_SIZES_UP_TO_1_1_4 = ("3/8", "1/2", "3/4", "1", "1-1/4")


def flexible_serves(site: Site, type_: str) -> Finding:
    """Whether flexible metal raceway may be part of the primary's grounding path [A, ft].

    type_: FMC, LFMC, or WHIP for flexible pieces in a rigid raceway. Section: 250.118. Raises Missing.
    """

    def size_of(site: Site) -> Finding:
        return _flexible_size(site, type_)

    def device(site: Site) -> Finding:
        return _flexible_device(site, type_)

    def length(site: Site) -> Finding:
        return _flexible_length(site, type_)

    return every(site, size_of, device, length, _flexible_use)


def _flexible_size(site: Site, type_: str) -> Finding:
    trade = site.need(lambda job: job.primary.raceway.trade_size)
    limited = (
        type_ != "FMC" or choice(site.code.edition, "flexible_metal_conduit_size") == "limited"
    )
    name = "flexible raceway" if type_ == WHIP else type_
    return confirm(
        site,
        not limited or trade in _SIZES_UP_TO_1_1_4,
        required=f"{name} of at most 1-1/4 in." if limited else "",
        found=f"{trade} in." if type_ == WHIP else trade_size(trade, type_),
        reason="",
        otherwise=f"{name[0].upper()}{name[1:]} larger than 1-1/4 in. may not serve as the equipment grounding conductor.",
        remedy=_WIRE,
    )


_WIRE = "A wire in the raceway."


def _flexible_device(site: Site, type_: str) -> Finding:
    rating = primary_device_rating(site)
    trade = site.need(lambda job: job.primary.raceway.trade_size)
    small = trade in ("3/8", "1/2")
    limit = 60.0 if type_ == "LFMC" and not small else 20.0
    if type_ == WHIP and not small and not at_most(rating, limit) and at_most(rating, 60):
        return undetermined(
            "It depends on the type of flex. Flexible metal conduit (FMC) may serve as the equipment grounding "
            "conductor up to 20 A. Liquidtight (LFMC) of 3/4 to 1-1/4 in. may serve up to 60 A, unless its core is "
            "stainless steel or smaller flex is in the same path. Identify it, or pull a wire-type equipment "
            "grounding conductor.",
            required="device of at most 20 A through FMC, 60 A through LFMC",
            found=f"device {amperes(rating)}",
        )
    return compare(
        site,
        found=rating,
        at_most=limit,
        required=f"device of at most {amperes(limit)}",
        found_shown=f"device {amperes(rating)}",
        reason="The device is small enough for a flexible raceway to serve.",
        otherwise="The device is too large for a flexible raceway to serve.",
        remedy=_WIRE,
    )


def _flexible_length(site: Site, type_: str) -> Finding:
    """A raceway that is flexible itself counts with its whole length, and with it any other flexible piece."""
    raceway = site.job.primary.raceway
    whole = 0.0 if type_ == WHIP else raceway.length_feet
    length = max(whole or 0.0, raceway.flexible_length_feet or 0.0)
    if at_most(length, 6):
        length = max(
            0.0 if type_ == WHIP else site.need(lambda job: job.primary.raceway.length_feet),
            site.need(lambda job: job.primary.raceway.flexible_length_feet),
        )
    return compare(
        site,
        found=length,
        at_most=6,
        required="at most 6 ft of flexible raceway in the path",
        found_shown=feet(length),
        reason="Short enough.",
        otherwise="Too long for a flexible raceway to serve.",
        remedy=_WIRE,
    )


def _flexible_use(site: Site) -> Finding:
    listed = site.need(lambda job: job.primary.raceway.fittings_listed_for_grounding)
    moves = site.need(lambda job: job.primary.raceway.flexibility_needed)
    return confirm(
        site,
        listed and not moves,
        required="fittings listed for grounding, no movement or vibration to take up",
        found=f"fittings {'listed' if listed else 'not listed'}, {'moves' if moves else 'does not move'}",
        reason="Fittings listed, no movement.",
        otherwise="Flexible raceway that moves, or whose fittings are not listed for grounding, needs a wire.",
        remedy=_WIRE,
    )
