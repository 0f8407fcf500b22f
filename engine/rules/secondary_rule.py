"""The rule of 240.21(C) that the secondary conductors rely on, and each of its conditions."""

from collections.abc import Callable

from engine.code import Code
from engine.derived import conductor_ampacity, conductor_runs, currents
from engine.derived import secondary_conductors as of_secondary
from engine.derived.secondary_conductors import CITES
from engine.derived.sides import PRIMARY, SECONDARY
from engine.job import Job
from engine.job.missing import Missing
from engine.job.site import Site
from engine.job.words import SECONDARY_RULES
from engine.judging.verdicts import (
    Finding,
    compare,
    confirm,
    every,
    not_applicable,
    undetermined,
    worded,
)
from engine.physics.quantities import amperes, at_most, feet
from engine.rules.conditions.facts_read import DEVICE_RATING, conductor_asks
from engine.rules.conditions.secondary_ampacity import (
    SECONDARY_PROTECTION,
    no_device_at_the_end,
    reaches_the_end,
    reaches_the_load,
    reaches_what_is_wanted,
)
from engine.rules.conditions.through_transformer import primary_device_covers, two_wire_or_delta
from engine.rules.conditions.words import OVER_1000
from engine.rules.rule import rule

_TAP_FEET = 25


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


def _share_of_primary(site: Site) -> Finding:
    share = of_secondary.share_of_primary(site)
    finding = reaches_what_is_wanted(site, share)
    if finding.verdict != "does_not_meet" or share.cite != "secondary_10_ft":
        return finding
    if not site.need(lambda job: job.secondary.first_disconnect_separate):
        return not_applicable(
            "The conductors do not leave the enclosure, so the 1/10 rule does not apply."
        )
    return finding


def _rated_current(site: Site) -> Finding:
    return reaches_what_is_wanted(site, of_secondary.rated_current(site))


def _single_device(site: Site) -> Finding:
    kind = site.need(lambda job: job.secondary.protection.kind)
    if kind == "main_device":
        return reaches_what_is_wanted(site, of_secondary.the_end(site))
    if of_secondary.nothing_protects(site):
        return no_device_at_the_end(site)
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
    return reaches_the_end(site)


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
    "primary_device": (two_wire_or_delta, primary_device_covers, _in_a_wiring_method),
    "10_ft": (_length(10), reaches_the_end, reaches_the_load, _enclosed, _share_of_primary),
    "industrial_25_ft": (
        _length(25),
        _rated_current,
        _grouped,
        reaches_the_load,
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
            names.append(f"{SECONDARY_RULES[name].said} ({site.section(CITES[name])})")
    return names


def _with_others_that_hold(site: Site, relied_on: str, finding: Finding) -> str:
    others = _others_that_hold(site, relied_on)
    if not others:
        return worded(finding)
    return f"{worded(finding)} All that was found would hold under: {'; '.join(others)}."


def _runs_in_the_open(job: Job, _: Code) -> bool:
    """Whether conductors are recorded as not in a raceway all the way, so that any visit tells (300.3(A))."""
    return job.secondary.enclosed_in_raceway is False or any(
        run.enclosed_in_raceway is False for run in job.secondary.further_runs or ()
    )


@rule(
    "secondary_rule",
    title="Rule for the secondary conductors",
    cite="secondary_conductors",
    severity="violation",
    group="secondary_run",
    grounding_visit=_runs_in_the_open,
    asks=(
        "secondary.rule",
        "secondary.conductors.length_feet",
        "secondary.raceway.length_feet",
        *SECONDARY_PROTECTION,
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
