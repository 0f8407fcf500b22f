"""A replacement: what must have been done, and bonds that are said to be back."""

from collections.abc import Callable

from engine.job.missing import need_at
from engine.job.site import Site
from engine.judging.verdicts import Finding, Severity, confirm, every, not_applicable, undetermined
from engine.rules import (
    grounding_electrode,
    pipe_and_steel_bonds,
    primary,
    supply_side_bonding_jumper,
    system_bonding_jumper,
)
from engine.rules.conditions.facts_read import GROUNDED_BY, NO_ELECTRODE
from engine.rules.rule import Rule, rule


def _done(
    id_: str,
    title: str,
    field: str,
    *,
    otherwise: str,
    remedy: str,
    severity: Severity,
    cite: str = "listing_and_instructions",
) -> Rule:
    path = f"replacement.{field}"

    def judge(site: Site) -> Finding:
        answer = need_at(site.job, path)
        return confirm(
            site,
            answer,
            required="yes",
            found="yes" if answer else "no",
            reason="Done, on the word of whoever did it.",
            otherwise=otherwise,
            remedy=remedy,
        )

    return rule(id_, title=title, cite=cite, severity=severity, group="replacement", asks=(path,))(
        judge
    )


_BONDS_ASK = tuple(
    dict.fromkeys(
        (
            "replacement.bonds_refitted",
            "replacement.old.secondary_system",
            *GROUNDED_BY,
            "bonding.supply_side_bonding_jumper.kind",
            "secondary.raceway.type",
            "secondary.first_disconnect_separate",
            "transformer.location",
            "observations.no_parallel_neutral_path",
            "electrode.used",
            "electrode.available",
            *NO_ELECTRODE,
            "bonding.water_pipe_bond.present",
            "bonding.water_pipe_bond.metal_in_area",
            "bonding.water_pipe_bond.to_common_conductor",
            "bonding.structural_steel_bond.present",
            "bonding.structural_steel_bond.metal_in_area",
            "bonding.structural_steel_bond.to_common_conductor",
            "electrode.common_conductor",
            "primary.equipment_grounding.kind",
            "primary.raceway.type",
            "observations.enclosure_bonded",
        )
    )
)


@rule(
    "replacement_bonds",
    title="Bonds and electrode conductor reinstalled",
    cite="separately_derived_systems",
    severity="danger",
    group="replacement",
    asks=_BONDS_ASK,
)
def replacement_bonds(site: Site) -> Finding:
    """Whether the bonds are back, on someone's word and as far as they were looked for.

    Unit: none. Section: 250.30. Raises Missing.
    """
    done = site.need(lambda job: job.replacement.bonds_refitted)
    required = "all bonds and the electrode conductor in place"
    if not done:
        return confirm(
            site,
            False,
            required=required,
            found="no",
            reason="",
            otherwise="A bond or the electrode conductor was left off.",
            remedy="Reinstall them before energizing.",
        )
    return every(site, lambda site: _said_to_be_done(site, required), *_LEFT_OFF, *_FOUND_MISSING)


def _said_to_be_done(site: Site, required: str) -> Finding:
    return confirm(
        site,
        True,
        required=required,
        found="yes",
        reason="Done, on the word of whoever did it.",
        otherwise="",
    )


# Connections with a neutral or a grounded phase: what they feed may need one.
_WITH_A_GROUNDED_CONDUCTOR = (
    "wye_4_wire",
    "single_phase_3_wire",
    "delta_high_leg",
    "delta_corner_grounded",
)


def _left_off(
    of: Rule, path: str, what: str, missing: str | bool = "none"
) -> Callable[[Site], Finding]:
    """Whether a bond that is said to be back was found to be missing, where one must be there."""

    def judge(site: Site) -> Finding:
        if need_at(site.job, path) != missing:
            return not_applicable("")
        broken = of.judge(site).verdict == "does_not_meet"
        if not broken and of is system_bonding_jumper.system_bonding_jumper:
            old = site.need(lambda job: job.replacement.old.secondary_system)
            if old in _WITH_A_GROUNDED_CONDUCTOR:
                return undetermined(
                    "Everything is entered as reinstalled, but no system bonding jumper was found. Grounding this system "
                    "is optional, but the old connection has a conductor to ground, and what is connected downstream may "
                    "be made for a grounded system. Find out whether the old system was grounded.",
                    found=f"no {what}",
                )
        return confirm(
            site,
            not broken,
            required="",
            found=f"no {what}" if broken else "",
            reason="",
            otherwise=f"Everything is entered as reinstalled, but no {what} was found.",
            remedy=f"Reinstall the {what} before energizing, or correct the answer.",
        )

    return judge


def _case_not_bonded(site: Site) -> Finding:
    """Whether the case is said to be unbonded. Section: 250.96, 450.10."""
    if site.need(lambda job: job.observations.enclosure_bonded):
        return not_applicable("")
    return confirm(
        site,
        False,
        required="",
        found="case not bonded",
        reason="",
        otherwise="Everything is entered as reinstalled, but the case was found not bonded.",
        remedy="Bond the case before energizing, or correct the answer.",
    )


_FOUND_MISSING = (
    _left_off(
        pipe_and_steel_bonds.water_pipe_bond,
        "bonding.water_pipe_bond.present",
        "bond of the water pipe",
        False,
    ),
    _left_off(
        pipe_and_steel_bonds.structural_steel_bond,
        "bonding.structural_steel_bond.present",
        "bond of the structural steel",
        False,
    ),
    _left_off(
        primary.primary_equipment_grounding,
        "primary.equipment_grounding.kind",
        "equipment grounding conductor of the primary",
    ),
    _case_not_bonded,
)
_LEFT_OFF = (
    _left_off(
        system_bonding_jumper.system_bonding_jumper,
        "bonding.system_bonding_jumper.location",
        "system bonding jumper",
    ),
    _left_off(
        supply_side_bonding_jumper.supply_side_bonding_jumper,
        "bonding.supply_side_bonding_jumper.kind",
        "supply-side bonding jumper",
    ),
    _left_off(
        grounding_electrode.grounding_electrode, "electrode.used", "connection to an electrode"
    ),
)
replacement_isolation = _done(
    "replacement_isolation",
    "Isolated, locked out and tested dead on both sides",
    "isolated_both_sides",
    otherwise="A transformer can be fed from either side.",
    remedy="Isolate and lock out both sides; test dead.",
    severity="danger",
)
replacement_taps = _done(
    "replacement_taps",
    "Taps the same on all phases",
    "taps_alike_on_all_phases",
    otherwise="Tap links differ between phases: unequal voltages.",
    remedy="De-energize and set them the same.",
    severity="violation",
)
replacement_frequency = _done(
    "replacement_frequency",
    "Frequency of the supply",
    "frequency_matches",
    otherwise="Made for another frequency: it may saturate and overheat.",
    remedy="Get the unit that matches.",
    severity="violation",
)
