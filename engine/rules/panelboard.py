"""The panelboard that the secondary feeds: protected at its rating, its back-fed main held down."""

from engine.derived import currents
from engine.derived import secondary_conductors as of_secondary
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, every, not_applicable, undetermined
from engine.physics.quantities import amperes, number
from engine.rules.conditions.facts_read import DEVICE_RATING, conductor_asks
from engine.rules.conditions.first_disconnect import poles_of_two_mains
from engine.rules.conditions.secondary_ampacity import SECONDARY_PROTECTION, no_device_at_the_end
from engine.rules.conditions.through_transformer import (
    DELTAS_OF_THREE_WIRES,
    primary_device_covers,
    two_wire_or_delta,
)
from engine.rules.rule import rule


@rule(
    "panelboard_protection",
    title="Panelboard protected at its rating",
    cite="panelboard_protection",
    severity="violation",
    group="first_disconnect",
    asks=(
        *SECONDARY_PROTECTION,
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
            return no_device_at_the_end(site)
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
    if is_another and system not in (None, "single_phase_2_wire", *DELTAS_OF_THREE_WIRES):
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

    return every(site, two_wire_or_delta, primary_device_covers, within_the_bus)


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
