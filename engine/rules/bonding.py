"""Grounded conductor, bonding jumpers, and the one point where they meet."""

from collections.abc import Callable

from engine.code import SIZES, Code, size_index
from engine.code.limits import (
    GROUNDED_UP_TO_VOLTS,
    METAL_RACEWAYS,
    METAL_RACEWAYS_AND_FLEX,
    PERHAPS_UP_TO_VOLTS,
)
from engine.derived import (
    bonding_jumpers,
    circuits,
    conditions_of_use,
    conductor_ampacity,
    currents,
    grounded_conductors,
    grounded_systems,
    secondary_conductors,
    ungrounded_area,
    volts_to_ground,
)
from engine.derived.derived import Derived
from engine.job import Job
from engine.job.missing import Missing
from engine.job.site import Site
from engine.judging.verdicts import (
    Finding,
    Remedy,
    compare,
    confirm,
    every,
    not_applicable,
    undetermined,
)
from engine.physics.quantities import TOLERANCE, amperes, area_kcmil, at_most, size, volts
from engine.rules.conditions.control_circuits import (
    feeds_control_circuits_only,
    large_enough_below_50_volts,
    needs_no_electrode,
)
from engine.rules.conditions.facts_read import (
    DERIVED_CONDUCTORS,
    DEVICE_RATING,
    GROUNDED_BY,
    NO_ELECTRODE,
    SECONDARY_RATING,
    conductor_asks,
)
from engine.rules.conditions.grounding_path import metal_to_metal
from engine.rules.conditions.insulation import no_ampacity_of
from engine.rules.conditions.parallel_conductors import alike_in_each_raceway
from engine.rules.conditions.words import NO_ELECTRODE_WORDS
from engine.rules.rule import rule

_BOTH = (
    "transformer.location",
    "observations.no_parallel_neutral_path",
    "bonding.supply_side_bonding_jumper.kind",
    "secondary.raceway.type",
    "electrode.used",
    "electrode.connected_at",
    "electrode.joined_to_building_system",
    "primary.equipment_grounding.kind",
    "primary.raceway.type",
)
_JUMPER_AT = {
    "source": "at the transformer",
    "first_disconnect": "at the first disconnect",
    "both": "at the transformer and at the first disconnect",
}


def large_enough(
    site: Site,
    *,
    found: str,
    material: str,
    minimum: Derived,
    reason: str,
    otherwise: str,
    sets: int = 1,
    remedy: Remedy | None = None,
) -> Finding:
    """Hold a found size against a minimum that is a size or an area [kcmil]. Section: that of the minimum."""
    area, wanted = ungrounded_area.is_large_enough(site, found, minimum, sets)
    named = size(minimum.size, material) if minimum.size else ""
    if isinstance(minimum.value, str):
        needed = size(minimum.value, material)
    elif named.startswith(f"{area_kcmil(minimum.value)} "):
        needed = named
    else:
        needed = f"{area_kcmil(minimum.value)}{f' ({named})' if named else ''}"
    return compare(
        site,
        found=area,
        at_least=wanted,
        required=f"{needed} or larger",
        found_shown=f"{f'{sets} × ' if sets > 1 else ''}{size(found, material)}",
        reason=reason,
        otherwise=otherwise,
        remedy=remedy or f"{named or needed} or larger.",
        steps=minimum.steps,
        cite=minimum.cite,
    )


def by_known_runs(site: Site, judge: Callable[[Site], Finding]) -> Finding:
    """What is too small for the runs that are known is too small, whatever the others turn out to be.

    Unit: AWG or kcmil. Section: that of the minimum. Raises Missing.
    """
    try:
        return judge(site)
    except Missing:
        part = ungrounded_area.known_runs_alone(site)
        finding = judge(part) if part else None
        if finding is None or finding.verdict != "does_not_meet":
            raise
        return finding._replace(
            reason=f"{finding.reason} The known runs alone require more than this.",
            remedy="Find the conductor sizes of the other runs too: the required size comes from all runs together.",
        )


@rule(
    "system_grounding",
    title="Grounding of the secondary",
    cite="systems_to_be_grounded",
    severity="danger",
    group="bonding",
    asks=(
        *GROUNDED_BY,
        "primary.supply_system",
        "transformer.location",
        "secondary.rule",
        "secondary.raceway.type",
        "secondary.enclosed_in_raceway",
    ),
)
def system_grounding(site: Site) -> Finding:
    """Whether a system that must be grounded is grounded.

    Unit: V. Section: 250.20(B). Raises Missing.
    """
    line = volts(site.job.transformer.secondary_volts)
    supply = site.job.transformer.primary_volts
    if (
        site.job.transformer.secondary_volts < 50
        and site.job.bonding.system_bonding_jumper.location == "none"
    ):
        return _ungrounded_below_50_volts(site, line)
    # 250.20(B) begins at 50 V; below it 250.20(A) has conditions of its own.
    cite = "systems_below_50_volts" if site.job.transformer.secondary_volts < 50 else None
    if (
        site.job.transformer.secondary_volts < 50
        and GROUNDED_UP_TO_VOLTS < supply <= PERHAPS_UP_TO_VOLTS
    ):
        return undetermined(
            "Below 50 V it must be grounded where the supply exceeds 150 V to ground or is ungrounded: find out which "
            "supply this is.",
            cite=cite,
        )
    neutral_used = _neutral_of_a_wye(site)
    if not (grounded_systems.must_be_grounded(site) or neutral_used):
        return not_applicable(
            f"At {line} and with this connection grounding is optional.", cite=cite
        )
    location = site.need(lambda job: job.bonding.system_bonding_jumper.location)
    return confirm(
        site,
        location != "none",
        required="a grounded system",
        found="no system bonding jumper" if location == "none" else "a system bonding jumper",
        reason="Grounded, as this system must be.",
        otherwise="This system must be grounded and nothing grounds it: metal can become live and no device will trip.",
        remedy="Install the system bonding jumper and the grounding electrode conductor.",
        cite=cite,
    )


def _ungrounded_below_50_volts(site: Site, line: str) -> Finding:
    """Whether the supply leaves the choice: grounded, and at 150 V to ground or less.

    Section: 250.20(A)(1) and (2), the list as printed in Electrical Contractor, "To ground or not to ground" (ecmag.com).
    """
    cite = "systems_below_50_volts"
    supply = site.job.primary.supply_system
    to_ground = volts_to_ground.of_primary(site, supply)
    # A wye of 260 V is at 150 V to ground, rounding aside.
    perhaps = to_ground.least <= PERHAPS_UP_TO_VOLTS / 3**0.5
    if perhaps:
        supply = site.need(lambda job: job.primary.supply_system)
    # An impedance holds the neutral to ground, so that the lines have what those of a wye have.
    most = to_ground.least if supply == "impedance_grounded" else to_ground.most
    if supply != "ungrounded" and perhaps:
        if supply == "high_leg":
            return undetermined(
                "Below 50 V, the system must be grounded where its supply system exceeds 150 V to ground. This "
                "circuit might not exceed it, but the high leg of the same supply does. Ask the authority having "
                "jurisdiction, or ground the system.",
                required="a grounded system",
                found="no system bonding jumper",
                cite=cite,
            )
        if most > GROUNDED_UP_TO_VOLTS:
            return undetermined(
                "Below 50 V it must be grounded where its supply exceeds 150 V to ground, and whether this one does is "
                f"not known. {to_ground.find_out}",
                required="a grounded system",
                found="no system bonding jumper",
                cite=cite,
            )
        if any(site.in_each_run(_perhaps_overhead)):
            return undetermined(
                "Below 50 V it must be grounded where its conductors run outside as overhead conductors: find out whether "
                "these do.",
                required="a grounded system",
                found="no system bonding jumper",
                cite=cite,
            )
        return not_applicable(
            f"At {line}, from a grounded supply at {volts(most)} to ground, grounding is optional.",
            cite=cite,
        )
    return confirm(
        site,
        False,
        required="a grounded system",
        found="no system bonding jumper",
        reason="",
        otherwise="Below 50 V the secondary must be grounded where its supply "
        f"{'is ungrounded' if supply == 'ungrounded' else 'exceeds 150 V to ground'}, and nothing grounds "
        "it: if the windings break down, the supply voltage gets onto the secondary and stays there.",
        remedy="Install the system bonding jumper and the grounding electrode conductor.",
        cite=cite,
    )


def _perhaps_overhead(site: Site) -> bool:
    """Whether a run may be overhead conductors outside: what is in a raceway or stays indoors is not. 250.20(A)(3)."""
    secondary = site.job.secondary
    if secondary.raceway.type is not None or secondary.enclosed_in_raceway:
        return False
    outside = secondary.rule == "outside" or (
        site.need(lambda job: job.transformer.location) == "outdoors"
    )
    return outside and not site.need(lambda job: job.secondary.enclosed_in_raceway)


def _neutral_of_a_wye(site: Site) -> bool:
    """Whether the neutral of a wye is run as a circuit conductor: it must then be grounded. Section: 250.20(B)(2)."""
    if site.need(lambda job: job.transformer.secondary_system) != "wye_3_wire":
        return False
    return grounded_systems.must_be_grounded(site) or site.need(
        lambda job: job.secondary.grounded_conductor.present
    )


_GROUNDED = (
    *GROUNDED_BY,
    "secondary.grounded_conductor.material",
    "secondary.grounded_conductor.sets",
    "secondary.grounded_conductor.insulation",
    *conductor_asks("secondary"),
    "secondary.conductors.raceways",
)


@rule(
    "grounded_conductor",
    title="Grounded conductor to the first disconnect",
    cite="derived_grounded_conductor",
    severity="danger",
    group="secondary_run",
    asks=_GROUNDED,
)
def grounded_conductor(site: Site) -> Finding:
    """Whether the grounded conductor is there and can carry a ground fault back to the source (AWG or kcmil, A).

    The fault returns through it where the system bonding jumper is not at the source. What it carries in daily use has
    a check of its own. Section: 250.30(A)(3), 310.10(G). Raises Missing.
    """
    role = circuits.grounded_role(site)
    if role is None:
        return not_applicable("An ungrounded system has no grounded conductor.")
    if site.job.secondary.grounded_conductor.size is None and (
        site.need(lambda job: job.secondary.grounded_conductor.present) is False
    ):
        return _no_grounded_conductor(site, role)
    if site.need(lambda job: job.bonding.system_bonding_jumper.location) == "source":
        return not_applicable(
            "The system bonding jumper is at the source: no fault current returns through the grounded conductor. "
            "What it carries in normal use is checked separately."
        )
    return _as_much_as_phases(site) if role == "grounded_phase" else _returns_fault(site)


def _no_grounded_conductor(site: Site, role: circuits.Role) -> Finding:
    if role != "neutral":
        return confirm(
            site,
            False,
            required="a grounded conductor",
            found="none",
            reason="",
            otherwise="This circuit needs its grounded conductor: without it the load current returns through metal.",
            remedy="Run the grounded conductor with the phases from the transformer to the first disconnect.",
            cite="objectionable_current",
        )
    if site.need(lambda job: job.bonding.system_bonding_jumper.location) == "source":
        return not_applicable(
            "No grounded conductor is run, and none is needed for the fault current: the system bonding jumper is at the "
            "source. Without it no line-to-neutral load can be fed."
        )
    return confirm(
        site,
        False,
        required="a grounded conductor",
        found="none",
        reason="",
        otherwise="No grounded conductor runs to the bonding point: a fault has no way back to the source.",
        remedy="Run the grounded conductor with the phases to the first disconnect.",
    )


def _returns_fault(site: Site) -> Finding:
    """The size is the one in each raceway, as the minimum is; several in one raceway are added where they are known."""
    found = site.need(lambda job: job.secondary.grounded_conductor.size)
    material = site.need(lambda job: job.secondary.grounded_conductor.material)
    minimum = _needed(grounded_conductors.fault_return_minimum(site, material))

    def judged(number: int) -> Finding:
        return large_enough(
            site,
            found=found,
            material=material,
            minimum=minimum,
            sets=number,
            reason="Can carry the fault current back to the source.",
            otherwise="Too small to carry the fault current back to the source.",
            remedy=lambda: _grounded_remedy(site),
        )

    if site.need(lambda job: job.secondary.conductors.sets) == 1:
        return judged(1)
    # Parallel ones must be 1/0 or larger, however many lie together.
    floor = site.code.parallel_minimum_size
    alone = judged(1)
    if alone.verdict == "meets" and size_index(found) >= size_index(floor):
        return alone
    run = grounded_conductors.grounded_in_parallel(site)
    if run.all > 1 and size_index(found) < size_index(floor):
        return confirm(
            site,
            False,
            required=f"parallel: {size(floor)} or larger",
            found=f"{run.all} × {size(found, material)}",
            reason="",
            otherwise=f"Conductors smaller than {size(floor)} may not run in parallel "
            f"({site.section('parallel_conductors')}).",
            remedy=lambda: _grounded_remedy(site),
            steps=minimum.steps,
            cite="parallel_conductors",
        )
    return judged(run.in_each)


def _as_much_as_phases(site: Site) -> Finding:
    """A grounded phase has the ampacity of the others, whatever they end at."""
    found, material, number = _grounded_found(site)
    use = grounded_conductors.grounded_conditions(site, material)
    wanted = grounded_conductors.phases_ampacity(site)
    ampacity, _ = grounded_conductors.grounded_ampacity(site, use, found, number)
    return compare(
        site,
        found=ampacity,
        at_least=wanted,
        required=f"at least {amperes(wanted)}, as the phases have",
        found_shown=f"{_times(number)}{size(found, material)}: {amperes(ampacity)}",
        reason="Has the ampacity of the other phases.",
        otherwise=_not_here(site, use) or "The grounded phase has less ampacity than the others.",
        remedy=lambda: _grounded_remedy(site),
        steps=conductor_ampacity.ampacity_steps(site, use, found, number),
    )


def _times(number: int) -> str:
    return f"{number} × " if number > 1 else ""


def _grounded_found(site: Site) -> tuple[str, str, int]:
    """Size and metal of each grounded conductor, and how many there are."""
    return (
        site.need(lambda job: job.secondary.grounded_conductor.size),
        site.need(lambda job: job.secondary.grounded_conductor.material),
        grounded_conductors.grounded_in_parallel(site).all,
    )


def _not_here(site: Site, use: conditions_of_use.Conditions) -> str:
    """Why these conductors carry nothing where they are; empty where they do."""
    nothing = no_ampacity_of(site, use)
    return nothing.why if nothing else ""


def _grounded_remedy(site: Site) -> str:
    try:
        material = site.need(lambda job: job.secondary.grounded_conductor.material)
        run = grounded_conductors.grounded_in_parallel(site)
        use = grounded_conductors.grounded_conditions(site, material)
        minimum = grounded_conductors.grounded_conductor_minimum(site)
    except Missing:
        return "A larger grounded conductor."
    nothing = no_ampacity_of(site, use)
    if nothing:
        return nothing.remedy
    if minimum is None or minimum.size is None:
        return "More grounded conductors in parallel, or a smaller load."
    return f"{_times(run.all)}{size(minimum.size, material)} or larger."


@rule(
    "grounded_conductor_load",
    title="Grounded conductor for the current it carries",
    cite="neutral_load",
    severity="danger",
    group="secondary_run",
    asks=(
        *_GROUNDED,
        "secondary.neutral_load_amperes",
        "observations.nonlinear_load",
        "secondary.rule",
        *SECONDARY_RATING,
        "secondary.panelboard.rating",
        "secondary.load.continuous_amperes",
        "secondary.load.noncontinuous_amperes",
        *DEVICE_RATING,
        "secondary.class_1_2_3_circuits_only",
        "secondary.panelboard.present",
    ),
)
def grounded_conductor_load(site: Site) -> Finding:
    """Whether the grounded conductor carries its current [A] and is as large as the device at its end asks for.

    A neutral carries the calculated unbalance; a grounded phase and the return of two wires carry what the phases carry,
    and no neutral load is asked of them. Section: 220.61, 215.2(A)(2), 240.21(C). Raises Missing.
    """
    role = circuits.grounded_role(site)
    if role is None:
        return not_applicable("An ungrounded system has no grounded conductor.")
    if site.job.secondary.grounded_conductor.size is None and (
        site.need(lambda job: job.secondary.grounded_conductor.present) is False
    ):
        return not_applicable(
            "No grounded conductor is run. Whether one is needed is checked separately."
            if role != "neutral"
            else "No neutral is run, so no line-to-neutral load can be fed."
        )
    carries = _carries_neutral_load if role == "neutral" else _carries_line_current
    return every(site, _fit_for_place, carries, _large_enough_for_device, _below_50_volts)


def is_grounded_conductor_thin(job: Job, code: Code) -> bool:
    """Whether a single grounded conductor is recorded so small that what it carries must be looked at on any visit.

    It is smaller than phases whose whole current it carries, or than Table 250.122 asks for by a known main.
    Unit: AWG or kcmil. Section: 215.2(A)(2), 215.2(B) from 2020.
    """
    secondary = job.secondary
    grounded, phases = secondary.grounded_conductor, secondary.conductors
    if grounded.size is None or (grounded.sets or phases.sets or 1) > 1:
        return False
    carries_all = job.transformer.secondary_system in grounded_systems.CARRY_LINE_CURRENT
    if carries_all and phases.size and size_index(grounded.size) < size_index(phases.size):
        return True
    main = secondary.protection
    if main.kind != "main_device" or main.rating is None:
        return False
    least = code.equipment_grounding(main.rating, grounded.material or "copper")
    return least is not None and size_index(grounded.size) < size_index(least)


def is_wire_in_several_raceways(job: Job) -> bool:
    """Whether a supply-side bonding wire belongs in each of several raceways, or may: who counts them is not asked.

    Unit: none. Section: 250.30(A)(2), 250.102(C)(2), 300.3(B).
    """
    return job.bonding.supply_side_bonding_jumper.kind == "wire" and any(
        (run.conductors.raceways or run.conductors.sets or 1) > 1
        for run in (job.secondary, *job.secondary.further_runs)
    )


def _below_50_volts(site: Site) -> Finding:
    return large_enough_below_50_volts(site, lambda job: job.secondary.grounded_conductor)


def _fit_for_place(site: Site) -> Finding:
    """Whether its insulation may be used where it runs, and leaves any ampacity there."""
    material = site.need(lambda job: job.secondary.grounded_conductor.material)
    use = grounded_conductors.grounded_conditions(site, material)
    nothing = no_ampacity_of(site, use)
    return confirm(
        site,
        nothing is None,
        required="" if nothing is None else "an insulation suited to where it runs",
        found="" if nothing is None else use.insulation,
        reason="",
        otherwise=nothing.why if nothing else "",
        remedy=nothing.remedy if nothing else "",
        cite="insulation_temperature",
    )


def _carries_neutral_load(site: Site) -> Finding:
    """The calculated load. Unknown, it is bounded by what the device lets through, unless the load is mostly electronic.

    A neutral that reaches that bound is no open requirement, and no verdict either: a load that is read may be above it.
    """
    found, material, number = _grounded_found(site)
    use = grounded_conductors.grounded_conditions(site, material)
    ampacity, _ = grounded_conductors.grounded_ampacity(site, use, found, number)
    shown = f"{_times(number)}{size(found, material)}: {amperes(ampacity)}"
    load = site.job.secondary.neutral_load_amperes
    if load is None:
        # Harmonics of electronic loads add up in the neutral, beyond what the phases carry.
        most = (
            currents.secondary_device_rating(site).amount
            if site.need(lambda job: job.secondary.protection.kind) != "main_lugs_only"
            else None
        )
        if most is None or not at_most(most, ampacity):
            raise Missing("secondary.neutral_load_amperes", found=shown)
        if site.need(lambda job: job.observations.nonlinear_load):
            raise Missing("secondary.neutral_load_amperes", found=shown)
        # Not known, and still no open requirement: the code's own bound of the unbalance is reached.
        return undetermined(
            "The neutral load is not known. The neutral can carry all that the device lets through, and so any "
            f"unbalance of the phases ({site.section('neutral_load')}).",
            required=f"the calculated neutral load, at most {amperes(most)} by the device",
            found=shown,
            cite="neutral_load",
        )._replace(
            severity="advice", steps=conductor_ampacity.ampacity_steps(site, use, found, number)
        )
    if load == 0 and _has_electronic_load_on_a_wye(site):
        return undetermined(
            "Most of the load is electronic, and the calculated neutral load is 0. Zero is right only if no load is "
            "connected line to neutral; the part of the neutral load that is electronic may not be reduced "
            f"({site.section('neutral_load')}). Check the calculation.",
            required="the calculated neutral load, harmonics included",
            found=shown,
            cite="neutral_load",
        )
    return compare(
        site,
        found=ampacity,
        at_least=load,
        required=f"at least {amperes(load)}, the calculated neutral load",
        found_shown=shown,
        reason="Carries its calculated load.",
        otherwise="Smaller than its calculated load.",
        remedy=lambda: _grounded_remedy(site),
        steps=conductor_ampacity.ampacity_steps(site, use, found, number),
        cite="neutral_load",
    )


def _has_electronic_load_on_a_wye(site: Site) -> bool:
    """Where harmonics of the phases add up in the neutral, and no part of its load may be left out.

    Section: 220.61(C). Source: EC&M Code Quiz 69 (ecmweb.com): no reduction for nonlinear loads. Three-phase drives alone
    load no neutral, so that a load of 0 contradicts nothing. Raises Missing.
    """
    if site.need(lambda job: job.transformer.secondary_system) != "wye_4_wire":
        return False
    return site.need(lambda job: job.observations.nonlinear_load)


def _carries_line_current(site: Site) -> Finding:
    """What the phases must carry and be protected at, the grounded conductor of the same circuit must too."""
    found, material, number = _grounded_found(site)
    use = grounded_conductors.grounded_conditions(site, material)
    ampacity, device = grounded_conductors.grounded_ampacity(site, use, found, number)
    load = grounded_conductors.grounded_load(site)
    if device < load.device * (1 - TOLERANCE) and at_most(load.current, ampacity):
        held, wanted = device, load.device
        why = f"Small conductors may not be protected above {amperes(device)} ({site.section('small_conductors')})."
    else:
        held, wanted = ampacity, load.current
        why = "It carries the same current as the phases and is too small for it."
    finding = compare(
        site,
        found=held,
        at_least=wanted,
        required=f"at least {amperes(wanted)}, the whole current of the phases",
        found_shown=f"{_times(number)}{size(found, material)}: {amperes(held)}",
        reason="Carries the whole current of the phases.",
        otherwise=why,
        remedy=lambda: _grounded_remedy(site),
        steps=conductor_ampacity.ampacity_steps(site, use, found, number),
        cite="secondary_conductors",
    )
    if finding.verdict == "meets" and secondary_conductors.end_at_nothing(site):
        return _no_device_at_the_end(finding.found)
    return finding


def _no_device_at_the_end(found: str) -> Finding:
    return undetermined(
        "No device was found at the end of these conductors, so nothing says how large the grounded conductor must be. That "
        "none is there has a line of its own.",
        required="the size for the device at its end",
        found=found,
    )


def _large_enough_for_device(site: Site) -> Finding:
    found, material, number = _grounded_found(site)
    area = ungrounded_area.area_of(site, found) * number
    if not grounded_conductors.as_large_as_phases(
        site, material, area
    ) and secondary_conductors.end_at_nothing(site):
        return _no_device_at_the_end(f"{_times(number)}{size(found, material)}")
    if grounded_conductors.feeder_grounded_enough(site, material, area):
        return confirm(
            site,
            True,
            required="the size for the device, or that of the phases",
            found=f"{_times(number)}{size(found, material)}",
            reason="Large enough for the device at its end.",
            otherwise="",
            cite="feeder_grounded_conductor",
        )
    minimum = grounded_conductors.feeder_grounded_area(site, material)
    needed = size(minimum.size, material) if minimum.size else area_kcmil(minimum.amount)
    return compare(
        site,
        found=area,
        at_least=minimum.amount,
        required=f"{needed} or larger",
        found_shown=f"{_times(number)}{size(found, material)}",
        reason="",
        otherwise="Too small for the device at its end, though its load may be small.",
        remedy=lambda: _grounded_remedy(site),
        steps=minimum.steps,
        cite="feeder_grounded_conductor",
    )


@rule(
    "grounded_conductor_sets",
    title="Grounded conductor in every raceway",
    cite="conductors_of_one_circuit_together",
    severity="danger",
    group="secondary_run",
    asks=(
        "secondary.conductors.sets",
        "secondary.conductors.raceways",
        "secondary.grounded_conductor.sets",
        "secondary.grounded_conductor.size",
        "secondary.grounded_conductor.present",
        *GROUNDED_BY,
    ),
)
def grounded_conductor_sets(site: Site) -> Finding:
    """Whether each raceway holds its grounded conductor, none in parallel smaller than allowed (AWG or kcmil).

    Section: 300.3(B), 310.10(G). Raises Missing.
    """
    if site.need(lambda job: job.secondary.conductors.sets) == 1:
        return not_applicable("One set of conductors.")
    if not grounded_systems.has_grounded_conductor(site):
        return not_applicable("No grounded conductor is run.")
    run = grounded_conductors.grounded_in_parallel(site)
    sets, raceways = run.all, run.raceways
    found = site.need(lambda job: job.secondary.grounded_conductor.size)
    least = site.code.parallel_minimum_size
    large = sets == 1 or size_index(found) >= size_index(least)
    if large and sets > raceways and sets % raceways:
        return alike_in_each_raceway(site, sets, raceways, f"{sets} × {size(found)}")
    return confirm(
        site,
        sets >= raceways and large,
        required=f"{'one in the raceway' if raceways == 1 else f'one in each of {raceways} raceways'}; in parallel "
        f"{size(least)} or larger",
        found=f"{sets} × {size(found)}",
        reason="Each raceway holds its grounded conductor.",
        otherwise="A raceway holds phases without their grounded conductor."
        if sets < raceways
        else f"Conductors smaller than {size(least)} may not run in parallel.",
        remedy="One in each raceway."
        if sets < raceways
        else f"{size(least)} or larger in each set.",
        cite="conductors_of_one_circuit_together" if sets < raceways else "parallel_conductors",
    )


@rule(
    "supply_side_bonding_jumper",
    title="Supply-side bonding jumper",
    cite="supply_side_bonding_jumper",
    severity="danger",
    group="secondary_run",
    asks=(
        "bonding.supply_side_bonding_jumper.kind",
        "bonding.supply_side_bonding_jumper.size",
        "bonding.supply_side_bonding_jumper.material",
        "secondary.raceway.type",
        "secondary.enclosed_in_raceway",
        "secondary.first_disconnect_separate",
        "bonding.system_bonding_jumper.location",
        *_BOTH,
        *DERIVED_CONDUCTORS,
        "secondary.conductors.raceways",
    ),
)
def supply_side_bonding_jumper(site: Site) -> Finding:
    """Whether the enclosures of source and first disconnect are bonded, by the derived conductors (AWG or kcmil).

    It is on the supply side of the secondary protection, so the table for equipment grounding conductors does not
    size it. Section: 250.30(A)(2), 250.30(B)(3), 250.102(C). Raises Missing.
    """
    kind = site.need(lambda job: job.bonding.supply_side_bonding_jumper.kind)
    if kind == "none":
        return _no_jumper(site)
    if kind == "raceway":
        type_ = site.need(lambda job: job.secondary.raceway.type)
        if type_ in METAL_RACEWAYS and not site.need(lambda job: job.secondary.enclosed_in_raceway):
            return confirm(
                site,
                False,
                required="a metal raceway from enclosure to enclosure",
                found="not in a raceway all the way",
                reason="",
                otherwise="The raceway that serves as the supply-side bonding jumper does not run all the way between "
                "the enclosures.",
                remedy="Install a wire-type supply-side bonding jumper, or complete the raceway.",
            )
        return confirm(
            site,
            type_ in METAL_RACEWAYS,
            required="a nonflexible metal raceway: RMC, IMC or EMT",
            found=type_,
            reason=f"{type_} may serve as the supply-side bonding jumper; its fittings must be made up tight.",
            otherwise=f"{type_} may not serve as the supply-side bonding jumper, whatever its length.",
            remedy="A wire-type supply-side bonding jumper in each raceway.",
        )
    found = site.need(lambda job: job.bonding.supply_side_bonding_jumper.size)
    material = site.need(lambda job: job.bonding.supply_side_bonding_jumper.material)
    return large_enough(
        site,
        found=found,
        material=material,
        minimum=_supply_side_minimum(site),
        reason="Large enough by the derived ungrounded conductors.",
        otherwise="Too small by the derived ungrounded conductors. The table for equipment grounding conductors does "
        "not size it: it is ahead of the secondary device.",
    )


def _needed(minimum: Derived | None) -> Derived:
    """A minimum that exists because the system is grounded."""
    if minimum is None:
        raise LookupError("an ungrounded system has no such minimum")
    return minimum


def _supply_side_minimum(site: Site) -> Derived:
    minimum = bonding_jumpers.supply_side_bonding_jumper_minimum(site)
    if site.job.transformer.secondary_system == "delta_3_wire_ungrounded":
        return minimum._replace(cite="ungrounded_supply_side_bonding_jumper")
    return minimum


def _no_jumper(site: Site) -> Finding:
    type_ = site.job.secondary.raceway.type
    if type_ in METAL_RACEWAYS:
        return metal_to_metal(type_)
    # A secondary raceway that was recorded leads out of the transformer: the disconnect is then elsewhere.
    if type_ is None and not site.need(lambda job: job.secondary.first_disconnect_separate):
        return not_applicable("Source and first disconnect share one enclosure.")
    if site.job.bonding.system_bonding_jumper.location == "both" and both_permitted(site):
        return not_applicable(
            "A jumper at both ends is permitted here; a supply-side bonding jumper would make a parallel path."
        )
    return confirm(
        site,
        False,
        required="a supply-side bonding jumper",
        found="none found",
        reason="",
        otherwise="Nothing bonds the transformer's enclosure to the first disconnect's.",
        remedy="A wire in each raceway, or RMC, IMC or EMT all the way.",
    )


@rule(
    "system_bonding_jumper",
    title="System bonding jumper",
    cite="system_bonding_jumper",
    severity="danger",
    group="bonding",
    asks=(
        *GROUNDED_BY,
        "bonding.system_bonding_jumper.factory_furnished",
        "bonding.system_bonding_jumper.in_each_enclosure",
        "bonding.system_bonding_jumper.size",
        "bonding.system_bonding_jumper.material",
        *DERIVED_CONDUCTORS,
        *_BOTH,
        "secondary.class_1_2_3_circuits_only",
    ),
)
def system_bonding_jumper(site: Site) -> Finding:
    """Whether there is one system bonding jumper, and large enough (AWG or kcmil).

    Section: 250.30(A)(1), 250.28(D), Table 250.102(C)(1). Raises Missing.
    """
    location = site.need(lambda job: job.bonding.system_bonding_jumper.location)
    grounded = grounded_systems.is_grounded(site)
    if not grounded:
        if location == "none":
            return not_applicable("An ungrounded system has no system bonding jumper.")
        return confirm(
            site,
            False,
            required="no system bonding jumper on an ungrounded system",
            found=_JUMPER_AT[location],
            reason="",
            otherwise="The system is called ungrounded, yet a jumper grounds it. One of the two is wrong.",
            remedy="Find out how the system is meant to be grounded; identify a grounded phase as such.",
        )
    if location == "none":
        return confirm(
            site,
            False,
            required="one system bonding jumper",
            found="none",
            reason="",
            otherwise="No system bonding jumper: a ground fault will not trip anything, and metal stays live.",
            remedy="One jumper at the transformer or at the first disconnect, unspliced, where the electrode conductor "
            "connects.",
        )
    if location == "both" and not both_permitted(site):
        return confirm(
            site,
            False,
            required="one system bonding jumper",
            found=_JUMPER_AT[location],
            reason="",
            otherwise="Two jumpers: neutral current runs on raceways and steel.",
            remedy="De-energize and take one out. Keep the one where the electrode conductor connects, and make "
            "sure the grounded conductor reaches it.",
        )
    doubt = _primary_in_doubt(site) if location == "both" else None
    if doubt:
        return undetermined(doubt, required="one system bonding jumper", found=_JUMPER_AT[location])
    count = "One jumper at each end, as permitted here" if location == "both" else "One jumper"
    if site.job.bonding.system_bonding_jumper.factory_furnished:
        return confirm(
            site,
            True,
            required="one system bonding jumper",
            found=f"the identified strap or screw that came with the equipment, {_JUMPER_AT[location]}",
            reason=f"{count}, furnished with the equipment and covered by its listing; check that it is fastened.",
            otherwise="",
            cite="listing_and_instructions",
        )
    found = site.need(lambda job: job.bonding.system_bonding_jumper.size)
    material = site.need(lambda job: job.bonding.system_bonding_jumper.material)

    def by_the_phases(site: Site) -> Finding:
        return large_enough(
            site,
            found=found,
            material=material,
            minimum=_needed(bonding_jumpers.system_bonding_jumper_minimum(site)),
            reason=f"{count}, large enough by the derived ungrounded conductors.",
            otherwise="Too small by the derived ungrounded conductors.",
        )

    finding = by_known_runs(site, by_the_phases)
    if finding.verdict == "does_not_meet" and feeds_control_circuits_only(site):
        return large_enough(
            site,
            found=found,
            material=material,
            minimum=_control_transformer_jumper(site, material),
            reason=f"{count}, large enough for a control transformer.",
            otherwise="Too small even for a control transformer.",
        )
    if (
        finding.verdict == "does_not_meet"
        and site.has_further_runs
        and location == "first_disconnect"
        and site.need(lambda job: job.bonding.system_bonding_jumper.in_each_enclosure)
    ):
        return undetermined(
            "Too small for all conductors together. But each enclosure has its own jumper, sized by the conductors to "
            "that enclosure: read the size of each jumper.",
            required=finding.required,
            found=finding.found,
            cite="system_bonding_jumper_size",
        )
    return finding


def _control_transformer_jumper(site: Site, material: str) -> Derived:
    """As large as the derived ungrounded conductors, and 14 AWG copper or 12 AWG aluminum at least."""
    least = bonding_jumpers.LEAST_SYSTEM_BONDING_JUMPER[material]
    if site.has_further_runs:
        together = ungrounded_area.derived_ungrounded_area(site).amount
        phase = ungrounded_area.smallest_of_area(site, together) or SIZES[-1]
    else:
        phase = site.need(lambda job: job.secondary.conductors.size)
    largest = max(least, phase, key=size_index)
    steps = (
        f"Control transformer: as large as the ungrounded conductors, {size(phase)}, and {size(least, material)} at least",
    )
    return Derived(largest, "AWG or kcmil", "control_transformer_jumper", steps, size=largest)


def both_permitted(site: Site) -> bool:
    """Whether two jumpers are permitted: outdoors, with no path beside the neutral, wire and raceway included.

    Unit: none. Section: 250.30(A)(1), the exception for an outdoor source. Raises Missing.
    """
    if site.has_further_runs:
        return all(site.in_each_run(both_permitted))
    return (
        site.need(lambda job: job.transformer.location) == "outdoors"
        and site.need(lambda job: job.observations.no_parallel_neutral_path)
        and site.need(lambda job: job.bonding.supply_side_bonding_jumper.kind) == "none"
        and site.need(lambda job: job.secondary.raceway.type) in ("PVC40", "PVC80", "LFNC", "ENT")
        and not _electrode_is_a_path(site)
    )


def _electrode_is_a_path(site: Site) -> bool:
    """Whether metal from an electrode at the transformer leads to the building, where the other jumper is.

    Earth alone is no path. Section: 250.30(A)(1), the exception for an outdoor source.
    """
    if site.need(lambda job: job.electrode.used) == "none" or (
        site.need(lambda job: job.electrode.connected_at) != "source"
    ):
        return False
    if site.job.electrode.used in ("building_steel", "water_pipe"):
        return True
    return site.need(lambda job: job.electrode.joined_to_building_system)


def _primary_in_doubt(site: Site) -> str | None:
    """Why two jumpers that nothing else forbids can't be judged: what grounds the case leads to a building too.

    Section: 250.30(A)(1), the exception for an outdoor source. Raises Missing.
    """
    if (
        site.job.primary.equipment_grounding.kind == "none"
        and site.need(lambda job: job.primary.raceway.type) not in METAL_RACEWAYS_AND_FLEX
    ):
        return None
    return (
        "The primary's equipment grounding conductor or metal raceway bonds the transformer's case to the building "
        "that feeds it. If the secondary serves that same building, neutral current has a parallel path: de-energize "
        "and remove one system bonding jumper, never both. Two are permitted only if the primary comes from another "
        "building, with no metal path between the buildings. Show it to the authority having jurisdiction."
    )


def _disconnect_elsewhere(site: Site) -> bool:
    """Whether the first disconnect has a case of its own; a raceway or several runs lead to one elsewhere."""
    return (
        site.has_further_runs
        or site.job.secondary.raceway.type is not None
        or site.need(lambda job: job.secondary.first_disconnect_separate)
    )


@rule(
    "single_bonding_point",
    title="One bonding point for all",
    cite="system_bonding_jumper",
    severity="danger",
    group="bonding",
    asks=(
        *GROUNDED_BY,
        "secondary.first_disconnect_separate",
        *_BOTH,
        *NO_ELECTRODE,
    ),
)
def single_bonding_point(site: Site) -> Finding:
    """Whether the jumper and the electrode conductor meet at one point.

    Unit: none. Section: 250.30(A)(1) and (A)(5). Raises Missing.
    """
    location = site.need(lambda job: job.bonding.system_bonding_jumper.location)
    if not grounded_systems.is_grounded(site):
        return not_applicable("An ungrounded system has no bonding point of the neutral.")
    required = "system bonding jumper and electrode conductor at one point"
    if location == "none":
        return confirm(
            site,
            False,
            required=required,
            found="no system bonding jumper",
            reason="",
            otherwise="There is no bonding point.",
            remedy="Install the system bonding jumper.",
        )
    if location == "both":
        permitted = both_permitted(site)
        doubt = _primary_in_doubt(site) if permitted else None
        if doubt:
            return undetermined(doubt, required=required, found="two system bonding jumpers")
        return confirm(
            site,
            permitted,
            required=required,
            found="two system bonding jumpers",
            reason="Two jumpers are permitted for this outdoor source with no path beside the neutral.",
            otherwise="Two bonding points: neutral current has a second path back through metal.",
            remedy="De-energize and take one jumper out.",
        )
    # Without an electrode conductor there is no second thing to meet the jumper.
    if (
        site.job.electrode.connected_at is None
        and site.job.electrode.used == "none"
        and needs_no_electrode(site)
    ):
        return not_applicable(NO_ELECTRODE_WORDS, cite="control_transformer_electrode")
    at = site.need(lambda job: job.electrode.connected_at)
    names = {"source": "transformer", "first_disconnect": "first disconnect"}
    if at != location and not _disconnect_elsewhere(site):
        return undetermined(
            "The transformer and the first disconnect share one case: check whether the jumper and the electrode "
            "conductor land on the same terminal or bar in it.",
            required=required,
            found=f"jumper at the {names[location]}, electrode conductor at the {names[at]}, in one case",
            cite="derived_grounding_electrode_conductor",
        )
    return confirm(
        site,
        at == location,
        required=required,
        found=f"jumper at the {names[location]}, electrode conductor at the {names[at]}",
        reason=f"Both at the {names[location]}.",
        otherwise="Jumper and electrode conductor are at different places.",
        remedy=f"Connect the electrode conductor at the {names[location]}, where the jumper is.",
        cite="derived_grounding_electrode_conductor",
    )


@rule(
    "neutral_isolation",
    title="Neutral and ground kept apart downstream",
    cite="grounded_conductor_not_for_grounding",
    severity="danger",
    group="downstream",
    asks=("bonding.neutral_bonded_downstream", *GROUNDED_BY),
)
def neutral_isolation(site: Site) -> Finding:
    """Whether neutral and ground stay apart past the bonding point.

    Unit: none. Section: 250.142(B), 250.24 (no load-side connection). Raises Missing.
    """
    joined = site.need(lambda job: job.bonding.neutral_bonded_downstream)
    if not grounded_systems.is_grounded(site):
        if not joined:
            return not_applicable("An ungrounded system has no grounded conductor to keep apart.")
        return confirm(
            site,
            False,
            required="no conductor of an ungrounded system joined to ground",
            found="a conductor joined to ground downstream",
            reason="",
            otherwise="The system is called ungrounded, yet a conductor is joined to ground downstream. One of the "
            "two is wrong.",
            remedy="Find out how the system is meant to be grounded; de-energize and take out the downstream connection.",
            cite="systems_to_be_grounded",
        )
    return confirm(
        site,
        not joined,
        required="neutral and ground joined nowhere past the bonding point",
        found="joined again downstream" if joined else "apart",
        reason="Separate downstream, as far as was checked.",
        otherwise="Joined again downstream: neutral current runs on grounding conductors and metal.",
        remedy="De-energize and take out the strap or screw in the downstream panel.",
    )
