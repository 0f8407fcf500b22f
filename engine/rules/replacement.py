"""A replacement: what the new nameplate changes, and what must have been done."""

from collections.abc import Callable

from engine.code.limits import HIGHEST_TERMINAL_COLUMN
from engine.derived import currents, faults
from engine.job.missing import need_at
from engine.job.site import Site
from engine.judging.verdicts import (
    Finding,
    Severity,
    compare,
    confirm,
    every,
    not_applicable,
    undetermined,
)
from engine.physics.fault_current import transformer_fault_current
from engine.physics.full_load_current import full_load_current
from engine.physics.quantities import kiloamperes, number, volts
from engine.rules import electrode, supply_side_bonding_jumper, system_bonding_jumper
from engine.rules.conditions.facts_read import GROUNDED_BY, NO_ELECTRODE
from engine.rules.conditions.words import CONNECTIONS
from engine.rules.rule import Rule, rule


@rule(
    "replacement_voltages",
    title="New and old nameplate: voltages and connection",
    cite="listing_and_instructions",
    severity="danger",
    group="replacement",
    asks=(
        "replacement.old.phases",
        "replacement.old.primary_volts",
        "replacement.old.secondary_volts",
        "replacement.old.secondary_system",
        "transformer.secondary_system",
        "replacement.old.primary_system",
        "transformer.primary_system",
    ),
)
def replacement_voltages(site: Site) -> Finding:
    """Whether phases, voltages [V] and connection are those of the old one. Section: 110.3(B). Raises Missing."""
    return every(
        site, _same_phases, _same_primary, _same_secondary, _same_system, _same_primary_system
    )


def _old_phases(site: Site) -> int:
    return site.job.replacement.old.known_phases or site.need(
        lambda job: job.replacement.old.phases
    )


_PHASES = {1: "single-phase", 3: "three-phase"}


def _same_phases(site: Site) -> Finding:
    new = site.job.transformer.phases
    return _same(site, _PHASES[_old_phases(site)], _PHASES[new], "number of phases")


def _same_primary(site: Site) -> Finding:
    old = site.need(lambda job: job.replacement.old.primary_volts)
    new = site.job.transformer.primary_volts
    stays = f"what feeds it is made for {volts(old)}"
    return _same(site, volts(old), volts(new), "primary voltage", stays)


def _same_secondary(site: Site) -> Finding:
    old = site.need(lambda job: job.replacement.old.secondary_volts)
    return _same(site, volts(old), volts(site.job.transformer.secondary_volts), "secondary voltage")


# Connections that serve loads between lines alone, whose insulation is for the full voltage to ground.
_LINES_ALONE = ("delta_3_wire_ungrounded", "wye_3_wire")


def _same_system(site: Site) -> Finding:
    old = site.need(lambda job: job.replacement.old.secondary_system)
    new = site.need(lambda job: job.transformer.secondary_system)
    if old != new and old in _LINES_ALONE and new in ("wye_3_wire", "wye_4_wire"):
        return undetermined(
            "Line-to-line loads see the same voltage as before. But the old system may have been ungrounded, and a "
            "grounded system trips on the first ground fault. Look for downstream equipment made for the old system, "
            "such as ground detectors. Have the change engineered.",
            required=f"connection {CONNECTIONS[old]}",
            found=CONNECTIONS[new],
        )
    return _same(site, CONNECTIONS[old], CONNECTIONS[new], "connection")


def _same_primary_system(site: Site) -> Finding:
    """Another primary winding is no wrong voltage, but what it does to neutral and ground faults has to be worked out."""
    old = site.need(lambda job: job.replacement.old.primary_system)
    new = site.need(lambda job: job.transformer.primary_system)
    if old != new:
        return undetermined(
            "A different primary connection: phase shift, ground-fault current and how steady the voltages to "
            "neutral are may change with it. Have the change engineered.",
            required=f"primary {CONNECTIONS[old]}",
            found=f"primary {CONNECTIONS[new]}",
        )
    return _same(site, f"primary {CONNECTIONS[old]}", f"primary {CONNECTIONS[new]}", "connection")


def _same(site: Site, old: str, new: str, what: str, stays: str = "") -> Finding:
    return confirm(
        site,
        old == new,
        required=f"{what} {old}",
        found=new,
        reason=f"Same {what}.",
        otherwise=f"Different {what}: {stays or f'everything fed from it was made for {old}'}.",
        remedy="Do not energize the loads. Get the unit that matches, or have the change engineered.",
    )


@rule(
    "replacement_capacity",
    title="New and old nameplate: kVA and what it changes",
    cite="transformer_protection",
    severity="advice",
    group="replacement",
    asks=("replacement.old.kva",),
)
def replacement_capacity(site: Site) -> Finding:
    """What another kVA changes: currents, largest devices, fault current [kVA]. Section: 450.3(B). Raises Missing."""
    old = site.need(lambda job: job.replacement.old.kva)
    transformer = site.job.transformer
    found = f"{number(old)} kVA before, {number(transformer.kva)} kVA now"
    steps = currents.full_load_current_primary(site).steps
    if old == transformer.kva:
        return confirm(
            site,
            True,
            required="the same kVA, or every change checked",
            found=found,
            reason="Same kVA.",
            otherwise="",
        )
    if transformer.kva < old:
        return confirm(
            site,
            False,
            required="the same kVA, or every change checked",
            found=found,
            reason="",
            otherwise="Smaller than before: the load may overload it, and the kept devices may be too large for it.",
            remedy="Compare the load with the new rating; see the device checks.",
        )._replace(steps=steps)
    return undetermined(
        "Larger than before: the kept device, conductors, jumpers, electrode conductor and ratings were sized for less. "
        "Each is checked separately, for the new unit.",
        required="the same kVA, or every change checked",
        found=found,
    )._replace(steps=steps)


@rule(
    "replacement_fault_current",
    title="Fault current before and after",
    cite="short_circuit_rating",
    severity="danger",
    group="replacement",
    asks=(
        "replacement.old.kva",
        "replacement.old.phases",
        "replacement.old.secondary_volts",
        "replacement.old.secondary_system",
        "replacement.old.impedance_percent",
        "transformer.impedance_percent",
    ),
)
def replacement_fault_current(site: Site) -> Finding:
    """Whether the new transformer raises the fault current [kA]: ratings and marks downstream then change.

    Section: 110.10, 408.6. Raises Missing.
    """
    new = faults.secondary_fault_current(site)
    kva = site.need(lambda job: job.replacement.old.kva)
    impedance = site.need(lambda job: job.replacement.old.impedance_percent)
    secondary_volts = site.need(lambda job: job.replacement.old.secondary_volts)
    before = transformer_fault_current(
        full_load_amperes=full_load_current(
            kva=kva, volts=secondary_volts, phases=_old_phases(site)
        ),
        impedance_percent=impedance,
    )
    found = f"{kiloamperes(before)} before, {kiloamperes(new.amount)} now (infinite bus)"
    required = "not above what the equipment downstream was chosen for"
    if new.amount <= before * (1 + 1e-9):
        return confirm(
            site,
            True,
            required=required,
            found=found,
            reason="Fault current not higher than before.",
            otherwise="",
            steps=new.steps,
        )
    # What was chosen for the old unit may well bear more: the lines of the ratings tell, where they were read.
    return undetermined(
        "Fault current higher than before: compare every rating downstream with it, beyond the first panelboard "
        "too, and update the fault-current marking, its date and the arc-flash labels.",
        required=required,
        found=found,
    )._replace(steps=new.steps)


@rule(
    "replacement_inrush",
    title="Inrush of a newer transformer",
    cite="transformer_protection",
    severity="advice",
    group="replacement",
    asks=("replacement.old.made_before_2016",),
)
def replacement_inrush(site: Site) -> Finding:
    """Whether the newer unit may draw more inrush than the old one. Unit: none. Section: none.

    Source: IAEI Magazine, "High-efficiency transformers and the electrical distribution system" (2016). Raises Missing.
    """
    old = site.need(lambda job: job.replacement.old.made_before_2016)
    if old:
        return undetermined(
            "Three-phase dry types made from 2016 on often have lower impedance and more inrush than older ones: the kept "
            "device may trip on energizing. See the inrush check.",
            required="the kept device compared with the new inrush",
            found="old unit made before 2016",
        )
    return confirm(
        site,
        True,
        required="the kept device compared with the new inrush",
        found="old unit made 2016 or later",
        reason="Both of the same generation; see the inrush check.",
        otherwise="",
    )


@rule(
    "replacement_k_factor",
    title="New and old nameplate: K-factor and rise",
    cite="listing_and_instructions",
    severity="advice",
    group="replacement",
    asks=(
        "replacement.old.k_factor",
        "transformer.k_factor",
        "replacement.old.temperature_rise_celsius",
        "transformer.temperature_rise_celsius",
    ),
)
def replacement_k_factor(site: Site) -> Finding:
    """Whether the new unit stands as much harmonic load and runs no hotter [K, °C]. Section: 110.3(B). Raises Missing."""
    old_k = site.need(lambda job: job.replacement.old.k_factor)
    new_k = site.need(lambda job: job.transformer.k_factor)
    old_rise = site.need(lambda job: job.replacement.old.temperature_rise_celsius)
    new_rise = site.need(lambda job: job.transformer.temperature_rise_celsius)
    return confirm(
        site,
        new_k >= old_k and new_rise <= old_rise,
        required=f"K-{number(old_k)} or higher, rise {old_rise} °C or lower",
        found=f"K-{number(new_k)}, rise {new_rise} °C",
        reason="K-factor not lower than the old one, and rise not higher.",
        otherwise="Lower K-factor or higher rise than the old one: it may overheat under the same load, or give off more heat.",
        remedy="Ask the customer what the load needs before keeping it.",
    )


@rule(
    "replacement_tap_range",
    title="New and old nameplate: taps",
    cite="common_practice",
    severity="advice",
    group="replacement",
    asks=(
        "replacement.old.taps_above_percent",
        "transformer.taps_above_percent",
        "replacement.old.taps_below_percent",
        "transformer.taps_below_percent",
    ),
)
def replacement_tap_range(site: Site) -> Finding:
    """Whether the taps reach as far as the old ones did [%]. Section: none, common practice. Raises Missing."""
    return every(site, _taps_above, _taps_below)


def _taps_above(site: Site) -> Finding:
    old = site.need(lambda job: job.replacement.old.taps_above_percent)
    new = site.need(lambda job: job.transformer.taps_above_percent)
    return _reach(site, old, new, "above", "too high")


def _taps_below(site: Site) -> Finding:
    old = site.need(lambda job: job.replacement.old.taps_below_percent)
    new = site.need(lambda job: job.transformer.taps_below_percent)
    return _reach(site, old, new, "below", "too low")


def _reach(site: Site, old: float, new: float, side: str, output: str) -> Finding:
    return compare(
        site,
        found=new,
        at_least=old,
        required=f"taps to {number(old)} % {side} nominal",
        found_shown=f"{number(new)} % {side}",
        reason=f"They reach as far {side} nominal as before.",
        otherwise=f"They reach less far {side} nominal: an output that is {output} can't be corrected as far as before.",
        remedy="Ask which tap the old one was set on; read the output, unloaded, before the loads go on.",
    )


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
            *GROUNDED_BY,
            "bonding.supply_side_bonding_jumper.kind",
            "secondary.raceway.type",
            "secondary.first_disconnect_separate",
            "transformer.location",
            "observations.no_parallel_neutral_path",
            "electrode.used",
            "electrode.available",
            *NO_ELECTRODE,
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
    return every(site, lambda site: _said_to_be_done(site, required), *_LEFT_OFF)


def _said_to_be_done(site: Site, required: str) -> Finding:
    return confirm(
        site,
        True,
        required=required,
        found="yes",
        reason="Done, on the word of whoever did it.",
        otherwise="",
    )


def _left_off(of: Rule, path: str, what: str) -> Callable[[Site], Finding]:
    """Whether a bond that is said to be back was found to be missing, where one must be there."""

    def judge(site: Site) -> Finding:
        if need_at(site.job, path) != "none":
            return not_applicable("")
        broken = of.judge(site).verdict == "does_not_meet"
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
    _left_off(electrode.grounding_electrode, "electrode.used", "connection to an electrode"),
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
