"""Secondary conductors under 240.21(C), and the panelboard they supply. Never rounded up."""

from collections.abc import Callable
from functools import partial

from engine.derived import (
    conditions_of_use,
    conductor_ampacity,
    conductor_runs,
    conductor_sizes,
    currents,
    grounded_systems,
)
from engine.derived import secondary_conductors as of_secondary
from engine.derived.secondary_conductors import CITES, Wanted, secondary_conductor_minimum
from engine.derived.sides import PRIMARY, SECONDARY
from engine.job.missing import Missing
from engine.job.site import Site
from engine.judging.verdicts import (
    Finding,
    compare,
    confirm,
    every,
    not_applicable,
    undetermined,
    worded,
)
from engine.physics.quantities import amperes, at_most, feet, number
from engine.rules.conditions.control_circuits import large_enough_below_50_volts
from engine.rules.conditions.device_load import carried
from engine.rules.conditions.facts_read import (
    DEVICE_RATING,
    INSULATIONS_BESIDE,
    SECONDARY_RATING,
    conductor_asks,
)
from engine.rules.conditions.first_disconnect import poles_of_two_mains
from engine.rules.conditions.insulation import beside_other_insulation, no_ampacity
from engine.rules.conditions.large_enough import smallest_remedy
from engine.rules.conditions.parallel_conductors import parallel_sizes
from engine.rules.conditions.words import CONNECTIONS, OVER_1000
from engine.rules.rule import rule

_PROTECTION = (*SECONDARY_RATING, "secondary.protection.one_enclosure")
_TAP_FEET = 25
RULE_NAMES = {
    "primary_device": "protected by the primary device",
    "10_ft": "not over 10 ft",
    "industrial_25_ft": "industrial, not over 25 ft",
    "outside": "outdoors",
    "feeder_tap_25_ft": "from a tapped feeder, 25 ft in all",
    "25_ft": "not over 25 ft",
}


def _length(limit: float) -> Callable[[Site], Finding]:
    def condition(site: Site) -> Finding:
        length = conductor_runs.longest(site, SECONDARY, limit)
        return compare(
            site,
            found=length,
            at_most=limit,
            required=f"at most {feet(limit)}",
            found_shown=feet(length),
            reason=f"Not over {feet(limit)}.",
            otherwise=f"Longer than {feet(limit)}.",
            remedy="Move the overcurrent device nearer to the transformer.",
        )

    return condition


def _whole_length(site: Site) -> Finding:
    """Without the primary conductors where the device ahead protects them at their ampacity, not rounded up."""
    secondary = conductor_runs.longest(site, SECONDARY, _TAP_FEET)
    primary = conductor_runs.known_length(site, PRIMARY)
    depends = at_most(secondary, _TAP_FEET) and (
        primary is None or not at_most(primary + secondary, _TAP_FEET)
    )
    if depends and currents.is_over_1000_volts(site):
        return undetermined(OVER_1000, required=f"at most {feet(_TAP_FEET)}", found=feet(secondary))
    if depends and _primary_protected_at_ampacity(site):
        return compare(
            site,
            found=secondary,
            at_most=_TAP_FEET,
            required=f"at most {feet(_TAP_FEET)}, without the primary that is protected at its ampacity",
            found_shown=feet(secondary),
            reason="The primary conductors are protected at their ampacity, so their length does not count.",
            otherwise="",
        )
    primary = conductor_runs.longest(site, PRIMARY, _TAP_FEET - secondary)
    return compare(
        site,
        found=primary + secondary,
        at_most=_TAP_FEET,
        required=f"primary and secondary together at most {feet(_TAP_FEET)}",
        found_shown=f"{feet(primary)} + {feet(secondary)} = {feet(primary + secondary)}",
        reason="Not over 25 ft in all.",
        otherwise="Primary and secondary together are longer than 25 ft.",
        remedy="A device at the start of the primary conductors that protects them, or shorter runs.",
    )


def _primary_protected_at_ampacity(site: Site) -> bool:
    """Rounding up to the next standard rating (240.4(B)) is not protection at the ampacity: the strict side."""
    ampacity = conductor_ampacity.primary_conductor_ampacity(site).amount
    size_ = site.need(lambda job: job.primary.conductors.size)
    material = site.need(lambda job: job.primary.conductors.material)
    sets = site.need(lambda job: job.primary.conductors.sets)
    rating = currents.primary_device_rating(site)
    return at_most(rating, conductor_ampacity.largest_device(site, ampacity, size_, material, sets))


def _end_device(site: Site) -> Finding:
    """Ampacity not less than what the conductors end at, with no rounding up."""
    relied_on = site.need(lambda job: job.secondary.rule)
    if relied_on == "primary_device":
        return _reach(site, of_secondary.the_end(site))
    if of_secondary.nothing_protects(site):
        return _no_device(site)
    end = of_secondary.the_end(site)
    if (
        relied_on == "10_ft"
        and site.need(lambda job: job.secondary.protection.kind) == "grouped_devices"
        and site.job.secondary.panelboard.present is not False
        and not at_most(end.amount, conductor_ampacity.secondary_protectable_ampacity(site).amount)
    ):
        # The rating of the equipment that holds the devices would do as well.
        site.need(lambda job: job.secondary.panelboard.rating)
    finding = _reach(site, end)
    if (
        finding.verdict == "meets"
        and site.need(lambda job: job.secondary.protection.kind) == "grouped_devices"
    ):
        return _beside_several_devices(site, relied_on, finding)
    return finding


def _beside_several_devices(site: Site, relied_on: str, finding: Finding) -> Finding:
    """What else counts where several devices together keep the ampacity [A]. Section: 240.21(C), (C)(2)(1)(b)."""
    if len(site.need(lambda job: job.secondary.protection.ratings)) < 2:
        return finding
    if not site.need(lambda job: job.secondary.protection.one_enclosure):
        return undetermined(
            "The devices are in several enclosures, but one set of conductors can end in only one of them. If each "
            "enclosure has its own set, enter each set as a separate run, with its own device.",
            required="each set of conductors to one enclosure",
            found="several enclosures",
        )
    if relied_on != "10_ft":
        return finding
    if site.job.secondary.panelboard.present is False:
        return undetermined(
            "The ampacity covers the sum of the devices. But as written, the 10 ft rule counts a single device at the "
            "end, or the rating of the equipment that holds the devices. This tool does not ask for the rating of a "
            "switchboard or other equipment: compare that rating with the ampacity, or ask the authority having "
            "jurisdiction.",
            required="at least the rating of the equipment that holds the devices",
            found=finding.found,
            cite="secondary_10_ft",
        )
    equipment = site.need(lambda job: job.secondary.panelboard.rating)
    ampacity = conductor_ampacity.secondary_protectable_ampacity(site).amount
    if at_most(equipment, ampacity):
        return finding
    return undetermined(
        "The ampacity covers the sum of the devices, but not the rating of the panelboard that holds them. As "
        "written, the 10 ft rule counts a single device at the end, or the rating of the equipment: ask the authority "
        "having jurisdiction.",
        required=f"at least {amperes(equipment)}, the rating of the equipment that holds the devices",
        found=amperes(ampacity),
        cite="secondary_10_ft",
    )


def _no_device(site: Site) -> Finding:
    return confirm(
        site,
        False,
        required="an overcurrent device at the end of the conductors",
        found="none found",
        reason="",
        otherwise="No overcurrent device was found at their end: nothing protects these conductors.",
        remedy="One main breaker or one set of fuses at their end.",
    )


def _calculated_load(site: Site) -> Finding:
    """The load counts by itself where no single device holds it to the ampacity."""
    parts = of_secondary.the_load(site)
    if not parts:
        return not_applicable(
            "One device limits the load; whether it carries it is checked separately."
        )
    return every(site, *(partial(_reach, wanted=each) for each in parts))


def _share_of_primary(site: Site) -> Finding:
    share = of_secondary.share_of_primary(site)
    finding = _reach(site, share)
    if finding.verdict != "does_not_meet" or share.cite != "secondary_10_ft":
        return finding
    if not site.need(lambda job: job.secondary.first_disconnect_separate):
        return not_applicable(
            "The conductors do not leave the enclosure, so the 1/10 rule does not apply."
        )
    return finding


def _rated_current(site: Site) -> Finding:
    return _reach(site, of_secondary.rated_current(site))


_OF = {
    "device": conductor_ampacity.secondary_protectable_ampacity,
    "ampacity": conductor_ampacity.secondary_conductor_ampacity,
    "before_correction": conductor_ampacity.secondary_conductor_ampacity,
}


def _reach(site: Site, wanted: Wanted) -> Finding:
    """Whether the conductors reach what is wanted of them [A]. Raises Missing."""
    ampacity = _OF[wanted.of](site)
    found = ampacity.amount
    if wanted.of == "before_correction":
        found = conductor_ampacity.ampacity_before_correction(
            site,
            conditions_of_use.secondary_conditions(site),
            site.need(lambda job: job.secondary.conductors.size),
            site.need(lambda job: job.secondary.conductors.sets),
        )
    nothing = no_ampacity(site, SECONDARY)
    if nothing:
        why, remedy = nothing
    elif ampacity.cite == "small_conductors":
        why = f"Small conductors may not be protected above {amperes(ampacity.amount)} ({site.section('small_conductors')})."
        remedy = ""
    elif wanted.of == "device":
        why = "The ampacity is smaller, and rounding up to the next standard rating is not permitted here."
        remedy = ""
    else:
        why, remedy = f"Smaller than {wanted.words}.", ""
    before = " before correction" if wanted.of == "before_correction" else ""
    return compare(
        site,
        found=found,
        at_least=wanted.amount,
        required=f"at least {amperes(wanted.amount)}{before}: {wanted.words}",
        found_shown=f"{amperes(found)}{before}",
        reason="The ampacity reaches it without rounding up."
        if wanted.of == "device"
        else f"Reaches {wanted.words}.",
        otherwise=why,
        remedy=remedy or (lambda: _remedy(site, wanted.instead)),
        steps=(*ampacity.steps, wanted.step),
        cite=wanted.cite,
    )


def _remedy(site: Site, instead: str) -> str:
    try:
        return smallest_remedy(
            secondary_conductor_minimum(site),
            site.need(lambda job: job.secondary.conductors.sets),
            site.need(lambda job: job.secondary.conductors.material),
            instead,
        )
    except Missing:
        return f"Larger conductors{f', or {instead}' if instead else ''}."


@rule(
    "secondary_conductors",
    title="Secondary conductors for what they end at",
    cite="secondary_conductors",
    severity="violation",
    group="secondary_run",
    asks=(
        *conductor_asks("secondary"),
        *_PROTECTION,
        "secondary.panelboard.rating",
        "secondary.panelboard.present",
        "secondary.rule",
        *DEVICE_RATING,
        "secondary.load.continuous_amperes",
        "secondary.load.noncontinuous_amperes",
        *INSULATIONS_BESIDE["secondary"],
        "secondary.class_1_2_3_circuits_only",
    ),
)
def secondary_conductors(site: Site) -> Finding:
    """Whether the ampacity [A] reaches the device or equipment at the end of the secondary conductors.

    Section: 240.21(C) lead text (no 240.4(B)), Table 310.16, 310.10(G), 310.14(A)(3). Raises Missing.
    """
    return every(
        site,
        lambda s: parallel_sizes(s, SECONDARY),
        _end_device,
        _calculated_load,
        _before_correction,
        _below_50_volts,
        _beside_other_insulation,
    )


def _beside_other_insulation(site: Site) -> Finding:
    if of_secondary.end_at_nothing(site):
        return not_applicable("No device limits the current; that is said elsewhere.")
    return beside_other_insulation(site, SECONDARY, lambda s: of_secondary.the_end(s).amount)


def _below_50_volts(site: Site) -> Finding:
    return large_enough_below_50_volts(site, lambda job: job.secondary.conductors)


def _before_correction(site: Site) -> Finding:
    """In cool surroundings the ampacity may exceed the one before correction, which must hold 125 % of the load too."""
    if not of_secondary.held_by_one_device(site):
        return not_applicable(
            "The load is not limited by one device; it is compared with the ampacity itself."
        )
    corrected = conductor_ampacity.secondary_conductor_ampacity(site)
    before = conductor_ampacity.ampacity_before_correction(
        site,
        conditions_of_use.secondary_conditions(site),
        site.need(lambda job: job.secondary.conductors.size),
        site.need(lambda job: job.secondary.conductors.sets),
    )
    end = of_secondary.the_end(site)
    if at_most(corrected.amount, before) or at_most(end.amount, before):
        return not_applicable("Correction does not raise the ampacity above what they end at.")
    load = conductor_sizes.load_before_correction(
        site.need(lambda job: job.secondary.load.continuous_amperes),
        site.need(lambda job: job.secondary.load.noncontinuous_amperes),
        end.amount,
    )
    return compare(
        site,
        found=before,
        at_least=load,
        required=f"{amperes(load)} before correction",
        found_shown=f"{amperes(before)} before correction",
        reason="Carries the load before correction too.",
        otherwise="Too small before correction for the continuous load at 125 %.",
        remedy=lambda: _remedy(site, "a smaller load"),
        steps=corrected.steps,
        cite="feeder_conductor_size",
    )


def _single_device(site: Site) -> Finding:
    kind = site.need(lambda job: job.secondary.protection.kind)
    if kind == "main_device":
        return _reach(site, of_secondary.the_end(site))
    if of_secondary.nothing_protects(site):
        return _no_device(site)
    return confirm(
        site,
        False,
        required="end at one device",
        found="main lugs only" if kind == "main_lugs_only" else "several grouped devices",
        reason="",
        otherwise="The conductors do not end at one device that limits the load to their ampacity.",
        remedy="One main breaker or one set of fuses at their end.",
    )


def _enclosed(site: Site) -> Finding:
    return confirm(
        site,
        site.need(lambda job: job.secondary.enclosed_in_raceway),
        required="in a raceway all the way",
        found="in a raceway" if site.job.secondary.enclosed_in_raceway else "not in a raceway",
        reason="In a raceway.",
        otherwise="Not in a raceway all the way.",
        remedy="Enclose them in a raceway.",
    )


def _in_a_wiring_method(site: Site) -> Finding:
    """Single conductors are part of a wiring method all the way. Section: 300.3(A), under every rule. Raises Missing."""
    enclosed = site.need(lambda job: job.secondary.enclosed_in_raceway)
    relied_on = site.need(lambda job: job.secondary.rule)
    # Overhead spans outdoors (225.6) and industrial cable trays (392.10(B)) may hold single conductors; a run without a
    # raceway may be a cable.
    may_be_lawful = relied_on in ("outside", "industrial_25_ft") or (
        site.job.secondary.raceway.type is None
    )
    if not enclosed and may_be_lawful:
        return undetermined(
            "Not in a raceway all the way. A cable, a cable tray or an overhead span may be permitted; this tool "
            "judges runs in raceways only.",
            required="in a raceway or another wiring method all the way",
            found="not in a raceway",
            cite="single_conductors",
        )
    return confirm(
        site,
        enclosed,
        required="in a raceway or another wiring method all the way" if not enclosed else "",
        found="open single conductors" if not enclosed else "",
        reason="",
        otherwise=f"Single conductors may not run in the open ({site.section('single_conductors')}).",
        remedy="Enclose them in a raceway.",
    )


def _protected(site: Site) -> Finding:
    holds = site.need(lambda job: job.secondary.protected_from_damage)
    return confirm(
        site,
        holds,
        required="protected from physical damage",
        found="protected" if holds else "not protected",
        reason="Protected from damage.",
        otherwise="Not protected from physical damage.",
        remedy="Enclose them in a raceway.",
    )


def _qualified(site: Site) -> Finding:
    holds = site.need(lambda job: job.secondary.qualified_persons_only)
    return confirm(
        site,
        holds,
        required="industrial, qualified persons only",
        found="qualified persons only" if holds else "others may service it",
        reason="Only qualified persons service it.",
        otherwise="Not restricted to qualified persons.",
        remedy="Rely on another rule.",
    )


def _grouped(site: Site) -> Finding:
    kind = site.need(lambda job: job.secondary.protection.kind)
    if kind == "main_lugs_only":
        return confirm(
            site,
            False,
            required="devices grouped at the end",
            found="main lugs only",
            reason="",
            otherwise="No overcurrent devices at the end of the conductors.",
            remedy="Devices grouped at the end, together not above the ampacity.",
        )
    return _end_device(site)


_DELTAS_OF_THREE_WIRES = ("delta_3_wire_ungrounded", "delta_corner_grounded")


def _two_wire_or_delta(site: Site) -> Finding:
    phases = site.job.transformer.phases
    primary = site.need(lambda job: job.transformer.primary_system)
    secondary = site.need(lambda job: job.transformer.secondary_system)
    if phases == 1:
        holds = primary == "single_phase_2_wire" and secondary == "single_phase_2_wire"
    else:
        holds = primary == "delta_3_wire" and secondary in _DELTAS_OF_THREE_WIRES
    return confirm(
        site,
        holds,
        required="single-phase 2-wire to 2-wire, or delta-delta 3-wire",
        found=f"{CONNECTIONS[primary]} to {CONNECTIONS[secondary]}",
        reason="A secondary that the primary device can protect.",
        otherwise="The primary device does not protect these secondary conductors: on this connection one secondary phase "
        "can be overloaded without the primary seeing it.",
        remedy="Protection at the end of the secondary conductors, under another rule.",
    )


def _primary_device_covers(site: Site) -> Finding:
    ampacity = conductor_ampacity.secondary_protectable_ampacity(site)
    rating = currents.primary_device_rating(site)
    ratio = currents.voltage_ratio(site)
    limit = ampacity.amount / ratio
    return compare(
        site,
        found=rating,
        at_most=limit,
        required=f"primary device at most {amperes(ampacity.amount)} / {number(ratio)} = {amperes(limit)}",
        found_shown=amperes(rating),
        reason="Small enough to protect the secondary conductors too.",
        otherwise="Too large to protect the secondary conductors.",
        remedy="Larger secondary conductors or a smaller primary device.",
        steps=ampacity.steps,
    )


def _tap_primary(site: Site) -> Finding:
    if currents.is_over_1000_volts(site):
        return undetermined(OVER_1000, required="primary at least 1/3 of the feeder's device")
    ampacity = conductor_ampacity.primary_conductor_ampacity(site)
    rating = currents.primary_device_rating(site)
    return compare(
        site,
        found=ampacity.amount,
        at_least=rating / 3,
        required=f"primary at least 1/3 of {amperes(rating)} = {amperes(rating / 3)}",
        found_shown=amperes(ampacity.amount),
        reason="The primary conductors reach 1/3 of the feeder's device.",
        otherwise="The primary conductors are smaller than 1/3 of the feeder's device.",
        remedy="Larger primary conductors.",
        steps=ampacity.steps,
    )


def _primary_protected(site: Site) -> Finding:
    holds = site.need(lambda job: job.primary.protected_from_damage)
    return confirm(
        site,
        holds,
        required="primary conductors protected from physical damage",
        found="primary protected" if holds else "primary not protected",
        reason="The primary conductors are protected from damage too.",
        otherwise="The primary conductors are not protected from physical damage.",
        remedy="Enclose the primary conductors in a raceway.",
    )


def _outdoors(site: Site) -> Finding:
    location = site.need(lambda job: job.transformer.location)
    return confirm(
        site,
        location == "outdoors",
        required="outdoors",
        found=location,
        reason="Outdoors.",
        otherwise="The outside rule holds outdoors only.",
        remedy="Rely on another rule.",
    )


_CONDITIONS: dict[str, tuple[Callable[[Site], Finding], ...]] = {
    "primary_device": (_two_wire_or_delta, _primary_device_covers, _in_a_wiring_method),
    "10_ft": (_length(10), _end_device, _calculated_load, _enclosed, _share_of_primary),
    "industrial_25_ft": (
        _length(25),
        _rated_current,
        _grouped,
        _calculated_load,
        _qualified,
        _protected,
        _in_a_wiring_method,
    ),
    "outside": (_outdoors, _single_device, _protected, _in_a_wiring_method),
    "feeder_tap_25_ft": (
        _whole_length,
        _tap_primary,
        _share_of_primary,
        _single_device,
        _protected,
        _primary_protected,
        _in_a_wiring_method,
    ),
    "25_ft": (
        _length(25),
        _share_of_primary,
        _single_device,
        _protected,
        _in_a_wiring_method,
    ),
}


# Conditions that only a look settles have checks of their own.
_ENDS = "Whether they end at the equipment they supply is checked separately."
_OWN_LINES = {
    "10_ft": _ENDS,
    "industrial_25_ft": f"{_ENDS} So is whether they supply switchgear or a switchboard.",
    "outside": f"{_ENDS} So are whether they are outdoors all the way, and where the disconnect is.",
    "feeder_tap_25_ft": _ENDS,
    "25_ft": _ENDS,
}


def _others_that_hold(site: Site, relied_on: str) -> list[str]:
    names: list[str] = []
    for name, conditions in _CONDITIONS.items():
        if name == relied_on:
            continue
        try:
            holds = every(site.knowing("secondary.rule", name), *conditions).verdict == "meets"
        except Missing:
            continue
        if holds:
            names.append(f"{RULE_NAMES[name]} ({site.section(CITES[name])})")
    return names


def _with_others_that_hold(site: Site, relied_on: str, finding: Finding) -> str:
    others = _others_that_hold(site, relied_on)
    if not others:
        return worded(finding)
    return f"{worded(finding)} All that was found would hold under: {'; '.join(others)}."


@rule(
    "secondary_rule",
    title="Rule for the secondary conductors",
    cite="secondary_conductors",
    severity="violation",
    group="secondary_run",
    asks=(
        "secondary.rule",
        "secondary.conductors.length_feet",
        "secondary.raceway.length_feet",
        *_PROTECTION,
        "secondary.panelboard.rating",
        "secondary.enclosed_in_raceway",
        "secondary.raceway.type",
        "secondary.protected_from_damage",
        "secondary.qualified_persons_only",
        "secondary.load.continuous_amperes",
        "secondary.load.noncontinuous_amperes",
        "secondary.panelboard.present",
        "secondary.first_disconnect_separate",
        *DEVICE_RATING,
        "transformer.primary_system",
        "transformer.location",
        "primary.conductors.length_feet",
        "primary.raceway.length_feet",
        "primary.protected_from_damage",
        *conductor_asks("secondary"),
        *conductor_asks("primary"),
    ),
)
def secondary_rule(site: Site) -> Finding:
    """Whether every condition of the rule relied on holds: lengths [ft], ampacities [A], ends, protection.

    Section: 240.21(C)(1) to (C)(6), 240.21(B)(3). Raises Missing.
    """
    relied_on = site.need(lambda job: job.secondary.rule)
    finding = every(site, *_CONDITIONS[relied_on])._replace(cite=CITES[relied_on])
    if finding.verdict != "does_not_meet":
        own_line = _OWN_LINES.get(relied_on)
        return finding._replace(reason=f"{finding.reason} {own_line}") if own_line else finding
    return finding._replace(remedy=lambda: _with_others_that_hold(site, relied_on, finding))


@rule(
    "panelboard_protection",
    title="Panelboard protected at its rating",
    cite="panelboard_protection",
    severity="violation",
    group="first_disconnect",
    asks=(
        *_PROTECTION,
        "secondary.panelboard.rating",
        "secondary.panelboard.present",
        "secondary.panelboard.fed_by_two_mains",
        "secondary.panelboard.at_most_42_poles",
        "secondary.rule",
        *DEVICE_RATING,
        "transformer.primary_system",
        "transformer.secondary_system",
        *conductor_asks("secondary"),
    ),
)
def panelboard_protection(site: Site) -> Finding:
    """Whether the panelboard has protection at not more than its rating [A], on the secondary side.

    Section: 408.36, 408.36(B), 240.21(C)(1). Raises Missing.
    """
    if site.job.secondary.panelboard.rating is None and (
        site.need(lambda job: job.secondary.panelboard.present) is False
    ):
        return not_applicable("The secondary conductors supply no panelboard.")
    bus = site.need(lambda job: job.secondary.panelboard.rating)
    kind = site.need(lambda job: job.secondary.protection.kind)
    shown = f"at most {amperes(bus)}, the rating of the panelboard"
    if kind == "main_device":
        rating = currents.secondary_main_rating(site)
        return compare(
            site,
            found=rating,
            at_most=bus,
            required=shown,
            found_shown=amperes(rating),
            reason="The main device is on the secondary side and not above the panelboard's rating.",
            otherwise="The main device is larger than the panelboard's rating.",
            remedy=f"A main device of {amperes(bus)} or less, or a larger panelboard.",
        )
    if kind == "grouped_devices":
        ratings = currents.secondary_grouped_ratings(site)
        total = sum(ratings)
        if of_secondary.nothing_protects(site):
            return _no_device(site)
        if len(ratings) == 2 and site.need(lambda job: job.secondary.panelboard.fed_by_two_mains):
            together = compare(
                site,
                found=total,
                at_most=bus,
                required=shown,
                found_shown=amperes(total),
                reason="Two devices whose ratings together are not above the panelboard's rating.",
                otherwise="The devices together are above the panelboard's rating.",
                remedy=f"One main device of {amperes(bus)} or less.",
            )
            return every(site, lambda _: together, poles_of_two_mains)
        return undetermined(
            "Several grouped devices: each panelboard needs protection at its own rating. Record which device "
            "feeds which panelboard; a separate set of conductors is a separate run.",
            required=shown,
            found=f"{len(ratings)} devices",
        )
    # The exception goes by the conditions of 240.21(C)(1), whichever rule of 240.21(C) was named.
    is_another = site.need(lambda job: job.secondary.rule) != "primary_device"
    system = site.job.transformer.secondary_system
    if is_another and system not in (None, "single_phase_2_wire", *_DELTAS_OF_THREE_WIRES):
        through = None
    else:
        through = _protected_through_the_transformer(site, bus, shown)
    if through is None or (is_another and through.verdict == "does_not_meet"):
        return confirm(
            site,
            False,
            required=shown,
            found="main lugs only",
            reason="",
            otherwise="Main lugs only, and nothing on the secondary side protects the panelboard.",
            remedy=f"A main device of {amperes(bus)} or less at the panelboard or ahead of it.",
            cite="panelboard_through_transformer",
        )
    return through


def _protected_through_the_transformer(site: Site, bus: float, shown: str) -> Finding:
    """Whether the primary device protects the panelboard: 408.36(B), exception, and 240.21(C)(1)."""

    def within_the_bus(site: Site) -> Finding:
        rating = currents.primary_device_rating(site)
        ratio = currents.voltage_ratio(site)
        seen = rating * ratio
        return compare(
            site,
            found=seen,
            at_most=bus,
            required=shown,
            found_shown=f"{amperes(rating)} × {number(ratio)} = {amperes(seen)}",
            reason="The primary device, multiplied by the voltage ratio, protects the panelboard.",
            otherwise="The primary device, multiplied by the voltage ratio, is above the panelboard's rating.",
            remedy="A main device at the panelboard.",
            cite="panelboard_through_transformer",
        )

    return every(site, _two_wire_or_delta, _primary_device_covers, within_the_bus)


@rule(
    "back_fed_main",
    title="Back-fed main held down",
    cite="back_fed_devices",
    severity="violation",
    group="first_disconnect",
    asks=(
        "secondary.protection.kind",
        "secondary.protection.ratings",
        "secondary.protection.device_kind",
        "secondary.protection.back_fed",
        "secondary.protection.held_down",
    ),
)
def back_fed_main(site: Site) -> Finding:
    """Whether each plug-on main that is fed through its load side, however many, is held by more than its spring.

    Unit: none. Section: 408.36(D). Raises Missing.
    """
    kind = site.need(lambda job: job.secondary.protection.kind)
    if kind == "main_lugs_only" or of_secondary.nothing_protects(site):
        return not_applicable("No main at the end of the conductors.")
    if site.need(lambda job: job.secondary.protection.device_kind) != "breaker":
        return not_applicable("The main is a set of fuses.")
    if not site.need(lambda job: job.secondary.protection.back_fed):
        return not_applicable("The main is not a back-fed plug-on breaker.")
    held = site.need(lambda job: job.secondary.protection.held_down)
    return confirm(
        site,
        held,
        required="a fastener that takes more than a pull to release",
        found="held down" if held else "not held down",
        reason="Held down.",
        otherwise="Only spring clips hold the back-fed main: if it is pulled off, its terminals stay live.",
        remedy="De-energize and install the panelboard manufacturer's hold-down kit.",
    )


@rule(
    "secondary_load",
    title="Secondary device for the load",
    cite="feeder_overcurrent",
    severity="violation",
    group="first_disconnect",
    asks=(
        *_PROTECTION,
        "secondary.load.continuous_amperes",
        "secondary.protection.continuous_percent",
        "secondary.load.noncontinuous_amperes",
        "secondary.rule",
        *DEVICE_RATING,
    ),
)
def secondary_load(site: Site) -> Finding:
    """Whether what protects the secondary carries its load [A]: 125 % of what is continuous, plus the rest.

    Grouped devices count together, which says nothing of each by itself. Section: 215.3. Raises Missing.
    """
    kind = site.need(lambda job: job.secondary.protection.kind)
    if kind == "grouped_devices":
        return _grouped_load(site)
    if kind == "main_lugs_only":
        if site.need(lambda job: job.secondary.rule) != "primary_device":
            return not_applicable("No device on the secondary carries its load.")
        return _through_transformer(site)
    if site.need(lambda job: job.secondary.rule) == "primary_device":
        return every(site, _main_load, _through_transformer)
    return _main_load(site)


def _through_transformer(site: Site) -> Finding:
    """Under (C)(1) the primary device is what lets the load through."""
    # What the trip is set to now carries the load, however far it can be turned up.
    seen = of_secondary.through_ratio(site, site.need(lambda job: job.primary.device.rating))
    load = of_secondary.calculated_load(site).with_continuous
    return compare(
        site,
        found=seen.amount,
        at_least=load,
        required=f"at least {amperes(load)} of primary device × voltage ratio",
        found_shown=amperes(seen.amount),
        reason="The primary device, multiplied by the voltage ratio, carries the load.",
        otherwise="The load is more than the primary device lets through.",
        remedy="A smaller load, or protection on the secondary side under another rule.",
        steps=(seen.step,),
    )


def _grouped_load(site: Site) -> Finding:
    if of_secondary.nothing_protects(site):
        return _no_device(site)
    total = currents.secondary_device_rating(site)
    load = of_secondary.calculated_load(site)
    required = f"together at least {load.sum}"
    if at_most(load.with_continuous, total.amount):
        return not_applicable(
            "The devices together are not below the load. How it is divided among them was not recorded: compare "
            "each with its own part.",
            required=required,
            found=amperes(total.amount),
        )
    return confirm(
        site,
        False,
        required=required,
        found=amperes(total.amount),
        reason="",
        otherwise="The load is more than the devices together may carry.",
        remedy="A smaller load, or larger devices within the other limits.",
        steps=total.steps,
    )


def _main_load(site: Site) -> Finding:
    return carried(
        site,
        SECONDARY,
        rating=site.need(lambda job: job.secondary.protection.rating),
        continuous_percent=lambda job: job.secondary.protection.continuous_percent,
    )


@rule(
    "wet_insulation",
    title="Insulation fit for outdoors",
    cite="insulation_temperature",
    severity="violation",
    group="secondary_run",
    asks=("secondary.rule", "secondary.conductors.insulation"),
)
def wet_insulation(site: Site) -> Finding:
    """Whether conductors under the outside rule may be wet: raceways outdoors count as wet inside.

    Unit: °C. Section: Table 310.4(1) and 300.9. Raises Missing.
    """
    if site.need(lambda job: job.secondary.rule) != "outside":
        return not_applicable("The outside rule is not relied on.")
    insulation = site.need(lambda job: job.secondary.conductors.insulation)
    return confirm(
        site,
        site.code.insulation_column(insulation, True) is not None,
        required="an insulation for wet locations",
        found=insulation,
        reason="May be wet.",
        otherwise=f"{insulation} is for dry and damp locations only; a raceway outdoors counts as wet inside.",
        remedy="THWN-2, XHHW-2 or another insulation for wet locations.",
    )


@rule(
    "neutral_counted",
    title="Neutral counted as current-carrying",
    cite="neutral_as_current_carrying",
    severity="violation",
    group="secondary_run",
    asks=(
        "transformer.secondary_system",
        "observations.nonlinear_load",
        "secondary.grounded_conductor.present",
        "secondary.grounded_conductor.size",
        "secondary.grounded_conductor.current_carrying",
    ),
)
def neutral_counted(site: Site) -> Finding:
    """Whether the neutral of a wye counts where most of the load is electronic.

    Unit: conductors. Section: 310.15(E)(3). Raises Missing.
    """
    if site.need(lambda job: job.transformer.secondary_system) != "wye_4_wire":
        return not_applicable("Not a four-wire wye secondary.")
    if not site.need(lambda job: job.observations.nonlinear_load):
        return not_applicable("Most of the load is not electronic.")
    if grounded_systems.is_without_neutral(site):
        return not_applicable("No neutral is run.")
    counted = site.need(lambda job: job.secondary.grounded_conductor.current_carrying)
    return confirm(
        site,
        counted,
        required="the neutral counted as current-carrying",
        found="counted" if counted else "not counted",
        reason="Counted.",
        otherwise="Most of the load is electronic, so the neutral carries harmonic current and counts.",
        remedy="Count it; the ampacity of the conductors follows.",
    )
