"""A replacement: whether the new unit fits its place and the conductors that stay."""

from engine.code.limits import HIGHEST_TERMINAL_COLUMN
from engine.derived import currents
from engine.job.site import Site
from engine.judging.verdicts import Finding, compare, confirm, every, not_applicable, undetermined
from engine.physics.quantities import number
from engine.rules.rule import rule

# What is at least as closed as each, and what is more open. Other pairs have no order, such as a weather shield
# against a case without vents: common practice, no source.
_AS_CLOSED: dict[str, tuple[str, ...]] = {
    "open": (
        "open",
        "ventilated",
        "ventilated_with_weather_shield",
        "totally_enclosed",
        "encapsulated",
    ),
    "ventilated": (
        "ventilated",
        "ventilated_with_weather_shield",
        "totally_enclosed",
        "encapsulated",
    ),
    "ventilated_with_weather_shield": ("ventilated_with_weather_shield",),
    "totally_enclosed": ("totally_enclosed", "encapsulated"),
    "encapsulated": ("encapsulated",),
}
_MORE_OPEN: dict[str, tuple[str, ...]] = {
    "open": (),
    "ventilated": ("open",),
    "ventilated_with_weather_shield": ("open", "ventilated"),
    "totally_enclosed": ("open", "ventilated", "ventilated_with_weather_shield"),
    "encapsulated": ("open", "ventilated", "ventilated_with_weather_shield"),
}


@rule(
    "replacement_enclosure",
    title="New and old nameplate: enclosure",
    cite="listing_and_instructions",
    severity="advice",
    group="replacement",
    asks=("replacement.old.enclosure", "transformer.enclosure"),
)
def replacement_enclosure(site: Site) -> Finding:
    """Whether the case is at least as closed as the old one. Unit: none. Section: 110.3(B). Raises Missing."""
    old = site.need(lambda job: job.replacement.old.enclosure)
    new = site.need(lambda job: job.transformer.enclosure)
    required = f"at least as closed as {old.replace('_', ' ')}"
    found = new.replace("_", " ")
    if new not in (*_AS_CLOSED[old], *_MORE_OPEN[old]):
        return undetermined(
            "Neither is more closed than the other: check the new case against dust, drip and rain where it is. "
            "Vents and outdoor use are checked separately.",
            required=required,
            found=found,
        )
    return confirm(
        site,
        new in _AS_CLOSED[old],
        required=required,
        found=found,
        reason="The same kind of case."
        if new == old
        else "More closed than before; the vents are checked separately.",
        otherwise="More open than before: dust, drip, rain or hands may reach what the old case protected.",
        remedy="Ask why the old one was closed; get the case that the location needs.",
    )


@rule(
    "replacement_weight",
    title="New and old nameplate: weight",
    cite="mounting",
    severity="advice",
    group="replacement",
    asks=("replacement.old.weight_pounds", "transformer.weight_pounds"),
)
def replacement_weight(site: Site) -> Finding:
    """Whether what carries it has more to carry than before [lb]. Section: 110.13(A). Raises Missing."""
    old = site.need(lambda job: job.replacement.old.weight_pounds)
    new = site.need(lambda job: job.transformer.weight_pounds)
    required, found = f"at most {number(old)} lb, or a support made for more", f"{number(new)} lb"
    if new > old:
        return undetermined(
            f"Heavier by {number(new - old)} lb: all that is known is that bracket, rods, floor and anchors "
            "carried the old one.",
            required=required,
            found=found,
        )
    return confirm(
        site, True, required=required, found=found, reason="Not heavier than before.", otherwise=""
    )


@rule(
    "replacement_size",
    title="New and old unit: size",
    cite="working_space",
    severity="advice",
    group="replacement",
    asks=(
        "replacement.old.width_inches",
        "transformer.width_inches",
        "replacement.old.height_inches",
        "transformer.height_inches",
        "replacement.old.depth_inches",
        "transformer.depth_inches",
        "observations.working_space_clear",
        "observations.ventilation_clear",
    ),
)
def replacement_size(site: Site) -> Finding:
    """Whether it is no larger [in.], or working space and vents were seen clear. Section: 110.26, 450.9. Raises Missing."""
    old = (
        site.need(lambda job: job.replacement.old.width_inches),
        site.need(lambda job: job.replacement.old.height_inches),
        site.need(lambda job: job.replacement.old.depth_inches),
    )
    new = (
        site.need(lambda job: job.transformer.width_inches),
        site.need(lambda job: job.transformer.height_inches),
        site.need(lambda job: job.transformer.depth_inches),
    )
    grown = [
        f"{name} {number(now)} in., was {number(before)}"
        for name, before, now in zip(("width", "height", "depth"), old, new, strict=True)
        if now > before
    ]
    required = "no larger than before, or working space and vents seen clear"
    if not grown:
        return confirm(
            site,
            True,
            required=required,
            found="not larger",
            reason="Not larger in any direction; the distance to the vents is that of the new nameplate.",
            otherwise="",
        )
    clear = every(site, _space_clear, _vents_clear)
    return clear._replace(required=required, found=f"{', '.join(grown)}; {clear.found}")


def _space_clear(site: Site) -> Finding:
    clear = site.need(lambda job: job.observations.working_space_clear)
    return _still_clear(site, clear, "working space")


def _vents_clear(site: Site) -> Finding:
    clear = site.need(lambda job: job.observations.ventilation_clear)
    return _still_clear(site, clear, "vents")


def _still_clear(site: Site, clear: bool, what: str) -> Finding:
    return confirm(
        site,
        clear,
        required=f"{what} clear",
        found=f"{what} {'clear' if clear else 'not clear'}",
        reason=f"Larger, and still clear: {what}.",
        otherwise=f"Larger than before, and not clear: {what}.",
        remedy="Clear it, or get a unit that fits.",
    )


@rule(
    "replacement_terminals",
    title="Kept conductors on the new terminals",
    cite="terminal_temperature",
    severity="violation",
    group="replacement",
    asks=(
        "transformer.primary_terminal_celsius",
        "primary.conductors.termination_celsius",
        "transformer.secondary_terminal_celsius",
        "secondary.conductors.termination_celsius",
    ),
)
def replacement_terminals(site: Site) -> Finding:
    """Whether the kept conductors are judged no hotter than the new terminals allow [°C].

    Section: 110.14(C)(1). Raises Missing.
    """
    return every(site, _primary_terminals, _secondary_terminals)


def _primary_terminals(site: Site) -> Finding:
    if currents.is_over_1000_volts(site):
        return not_applicable("Primary conductors above 1000 V are not judged here.")
    marked = site.need(lambda job: job.transformer.primary_terminal_celsius)
    judged = site.need(lambda job: job.primary.conductors.termination_celsius)
    return _terminals(site, marked, judged, "primary")


def _secondary_terminals(site: Site) -> Finding:
    marked = site.need(lambda job: job.transformer.secondary_terminal_celsius)
    judged = site.need(lambda job: job.secondary.conductors.termination_celsius)
    return _terminals(site, marked, judged, "secondary")


def _terminals(site: Site, marked: int, ends_at: int, side: str) -> Finding:
    # No column above this is used, whatever the lugs are marked.
    judged = min(ends_at, HIGHEST_TERMINAL_COLUMN)
    return compare(
        site,
        found=judged,
        at_most=marked,
        required=f"{side} conductors judged at {marked} °C or lower",
        found_shown=f"{judged} °C",
        reason=f"The {side} conductors are judged at no more than the new terminals allow.",
        otherwise=f"The {side} conductors are judged at {judged} °C, and the new terminals allow {marked} °C.",
        remedy=f"Correct the terminal temperature in the {side} run; the conductors are then judged again.",
    )
