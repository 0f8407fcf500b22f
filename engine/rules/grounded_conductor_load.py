"""The current that the grounded conductor carries: its ampacity, and the device behind it."""

from engine.code import MATERIALS, Code, size_index
from engine.derived import (
    circuits,
    conductor_ampacity,
    currents,
    grounded_conductors,
    grounded_systems,
    secondary_conductors,
    ungrounded_area,
)
from engine.job import Job
from engine.job.missing import Missing
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, every, not_applicable, undetermined
from engine.physics.quantities import TOLERANCE, amperes, area_kcmil, at_most, size
from engine.rules.conditions.control_circuits import large_enough_below_50_volts
from engine.rules.conditions.facts_read import DEVICE_RATING, SECONDARY_RATING
from engine.rules.conditions.grounded_conductor_found import (
    GROUNDED,
    grounded_found,
    grounded_remedy,
    times,
)
from engine.rules.conditions.insulation import no_ampacity_of
from engine.rules.rule import rule


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


@rule(
    "grounded_conductor_load",
    title="Grounded conductor for the current it carries",
    cite="neutral_load",
    severity="danger",
    group="secondary_run",
    grounding_visit=is_grounded_conductor_thin,
    asks=(
        *GROUNDED,
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
    if role == "neutral" and not is_within_any_ampacity(site.job, site.code):
        return _beyond_any_ampacity(site)
    return every(site, _fit_for_place, carries, _large_enough_for_device, _below_50_volts)


def is_within_any_ampacity(job: Job, code: Code) -> bool:
    """Whether a neutral of this size can carry its calculated load in some insulation [A]; true where that is not known.

    No terminal lets it carry more than the hottest column of the table. Section: 220.61, 310.16, 110.14(C).
    """
    grounded, load = job.secondary.grounded_conductor, job.secondary.neutral_load_amperes
    number = _number_on_record(job)
    if load is None or grounded.size is None or number is None:
        return True
    return at_most(load, number * _most_amperes(code, grounded.size, grounded.material))


def _number_on_record(job: Job) -> int | None:
    """How many neutrals run in all: beside one set of phases a single one, unless more are told."""
    number = job.secondary.grounded_conductor.sets
    return 1 if number is None and job.secondary.conductors.sets == 1 else number


def _most_amperes(code: Code, size_: str, material: str | None) -> float:
    """The hottest column of the table [A], for the better metal where it is not known. Section: 310.16."""
    metals = MATERIALS if material is None else (material,)
    return max(code.ampacity(size_, metal, 90) or 0.0 for metal in metals)


def _beyond_any_ampacity(site: Site) -> Finding:
    grounded = site.job.secondary.grounded_conductor
    number = _number_on_record(site.job) or 1
    size_ = site.need(lambda job: job.secondary.grounded_conductor.size)
    most = number * _most_amperes(site.code, size_, grounded.material)
    load = site.need(lambda job: job.secondary.neutral_load_amperes)
    return compare(
        site,
        found=most,
        at_least=load,
        required=f"at least {amperes(load)}, the calculated neutral load",
        found_shown=f"{times(number)}{size(size_, grounded.material)}: {amperes(most)} at most",
        reason="",
        otherwise="Smaller than its calculated load, whatever its insulation.",
        remedy=lambda: grounded_remedy(site),
        cite="neutral_load",
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
    found, material, number = grounded_found(site)
    use = grounded_conductors.grounded_conditions(site, material)
    ampacity, _ = grounded_conductors.grounded_ampacity(site, use, found, number)
    shown = f"{times(number)}{size(found, material)}: {amperes(ampacity)}"
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
    doubt = at_most(load, ampacity) and _too_small_for_electronic_load(site, load, ampacity)
    if doubt:
        return undetermined(
            doubt,
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
        remedy=lambda: grounded_remedy(site),
        steps=conductor_ampacity.ampacity_steps(site, use, found, number),
        cite="neutral_load",
    )


# Of a load that is mostly electronic and connected line to neutral, more than this share of what the phases carry is in
# the neutral: nothing of the electronic part may be left out (220.61(C)).
ELECTRONIC_SHARE = 0.5


def _too_small_for_electronic_load(site: Site, load: float, ampacity: float) -> str:
    """Why the neutral load [A] can't be that small; empty where it can, or where the neutral carries all the phases do.

    Section: 220.61(C). Raises Missing.
    """
    if not _has_electronic_load_on_a_wye(site):
        return ""
    if load == 0:
        return (
            "Most of the load is electronic, and the calculated neutral load is 0. Zero is right only if no load is "
            "connected line to neutral; the part of the neutral load that is electronic may not be reduced "
            f"({site.section('neutral_load')}). Check the calculation."
        )
    of_phases = secondary_conductors.calculated_load(site).whole
    if at_most(ELECTRONIC_SHARE * of_phases, load) or at_most(of_phases, ampacity):
        return ""
    return (
        f"Most of the load is electronic, and the calculated neutral load, {amperes(load)}, is less than half of what "
        f"the phases carry, {amperes(of_phases)}. That is right only if most of the electronic load is connected line to "
        "line; the part of the neutral load that is electronic may not be reduced "
        f"({site.section('neutral_load')}). Check the calculation."
    )


def _has_electronic_load_on_a_wye(site: Site) -> bool:
    """Where harmonics of the phases add up in the neutral, and no part of its load may be left out.

    Section: 220.61(C). Source: EC&M Code Quiz 69 (ecmweb.com): no reduction for nonlinear loads. Three-phase drives alone
    load no neutral, so that a load of 0 contradicts nothing. Raises Missing.
    """
    if not grounded_systems.has_four_wires_of_a_wye(site):
        return False
    return site.need(lambda job: job.observations.nonlinear_load)


def _carries_line_current(site: Site) -> Finding:
    """What the phases must carry and be protected at, the grounded conductor of the same circuit must too."""
    found, material, number = grounded_found(site)
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
        found_shown=f"{times(number)}{size(found, material)}: {amperes(held)}",
        reason="Carries the whole current of the phases.",
        otherwise=why,
        remedy=lambda: grounded_remedy(site),
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
    found, material, number = grounded_found(site)
    area = ungrounded_area.area_of(site, found) * number
    if not grounded_conductors.as_large_as_phases(
        site, material, area
    ) and secondary_conductors.end_at_nothing(site):
        return _no_device_at_the_end(f"{times(number)}{size(found, material)}")
    if grounded_conductors.feeder_grounded_enough(site, material, area):
        return confirm(
            site,
            True,
            required="the size for the device, or that of the phases",
            found=f"{times(number)}{size(found, material)}",
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
        found_shown=f"{times(number)}{size(found, material)}",
        reason="",
        otherwise="Too small for the device at its end, though its load may be small.",
        remedy=lambda: grounded_remedy(site),
        steps=minimum.steps,
        cite="feeder_grounded_conductor",
    )
